//! The layout is the explanation, so it is tested: arrows between folders point one way, the core knows no SQL,
//! no screen and no clock, and nothing stands at the top level that was not agreed.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::path::{Path, PathBuf};

/// The folders in the order the data flows: each may use itself and those before it.
const ORDER: &[&str] = &[
    "quantity",
    "design",
    "strength",
    "ballistics",
    "trace",
    "book",
    "standing",
    "store",
    "desk",
    "report",
    "cli",
    "tui",
    "demo",
];

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn rust_files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            rust_files(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
}

/// Each source file with its folder and its text, comments taken off.
fn sources() -> Vec<(String, PathBuf, String)> {
    let mut files = Vec::new();
    rust_files(&root().join("src"), &mut files);
    files
        .into_iter()
        .map(|path| {
            let folder = path
                .strip_prefix(root().join("src"))
                .unwrap()
                .components()
                .next()
                .unwrap()
                .as_os_str()
                .to_string_lossy()
                .into_owned();
            let text: String = std::fs::read_to_string(&path)
                .unwrap()
                .lines()
                .map(|line| line.split("//").next().unwrap_or("").to_owned() + "\n")
                .collect();
            (folder, path, text)
        })
        .collect()
}

#[test]
fn arrows_point_down_the_list_only() {
    let mut wrong = Vec::new();
    for (folder, path, text) in sources() {
        let Some(at) = ORDER.iter().position(|name| *name == folder) else { continue };
        for (later, name) in ORDER.iter().enumerate().skip(at + 1) {
            let uses =
                text.contains(&format!("crate::{name}::")) || text.contains(&format!("crate::{name};"));
            if uses {
                wrong.push(format!(
                    "{} uses {name}, which comes after {folder} ({later} > {at})",
                    path.display()
                ));
            }
        }
        for group in text.split("use crate::{").skip(1) {
            let names = group.split('}').next().unwrap_or("");
            for name in &ORDER[at + 1..] {
                if names.split(',').any(|part| part.trim().split("::").next() == Some(*name)) {
                    wrong.push(format!("{} uses {name} in a group", path.display()));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_folder_is_in_the_order_and_every_place_in_the_order_is_a_folder() {
    let mut folders: Vec<String> = std::fs::read_dir(root().join("src"))
        .unwrap()
        .map(|entry| entry.unwrap())
        .filter(|entry| entry.path().is_dir())
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .collect();
    folders.sort();
    let mut order: Vec<String> = ORDER.iter().map(|name| (*name).to_owned()).collect();
    order.sort();
    assert_eq!(folders, order);
}

#[test]
fn the_core_knows_no_sql_no_screen_and_no_clock() {
    let core = &ORDER[..7];
    let mut wrong = Vec::new();
    for (folder, path, text) in sources() {
        if !core.contains(&folder.as_str()) {
            continue;
        }
        for word in [
            "rusqlite",
            "ratatui",
            "crossterm",
            "Utc::now",
            "Local::now",
            "SystemTime",
            "Instant::now",
            "std::env",
            "println!",
            "std::fs",
        ] {
            if text.contains(word) {
                wrong.push(format!("{}: {word}", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn only_the_binary_and_the_screens_read_the_real_clock() {
    for (folder, path, text) in sources() {
        if folder == "main.rs" || folder == "tui" {
            continue;
        }
        for word in ["Utc::now", "Local::now", "Uuid::now_v7", "thread_rng"] {
            assert!(!text.contains(word), "{}: {word}", path.display());
        }
    }
}

#[test]
fn nothing_at_the_top_level_that_was_not_agreed() {
    let agreed = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "LICENSE",
        "src",
        "migrations",
        "tests",
        "benches",
        "fuzz",
        "demo.db",
        ".ci",
        ".gitignore",
        "rustfmt.toml",
        ".git",
        "target",
        ".cargo",
    ];
    for entry in std::fs::read_dir(root()).unwrap() {
        let name = entry.unwrap().file_name().to_string_lossy().into_owned();
        assert!(agreed.contains(&name.as_str()), "{name} is not an agreed top-level entry");
    }
}
