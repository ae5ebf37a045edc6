//! The README's walk, exactly as it stands there, and its scripts.

use std::process::Command;

use super::common::Shop;

fn readme() -> String {
    std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap()
}

/// The indented blocks below a heading, up to the next heading.
fn blocks(heading: &str) -> Vec<String> {
    let readme = readme();
    let section = readme.split(heading).nth(1).unwrap_or_else(|| panic!("{heading}"));
    let section = section.split("\n## ").next().unwrap();
    let mut blocks = vec![String::new()];
    for line in section.lines() {
        match line.strip_prefix("    ") {
            Some(code) => {
                let block = blocks.last_mut().unwrap();
                block.push_str(code);
                block.push('\n');
            }
            None if !blocks.last().unwrap().is_empty() => blocks.push(String::new()),
            None => {}
        }
    }
    blocks.retain(|block| !block.is_empty());
    blocks
}

fn bash(shop: &Shop, script: &str) -> String {
    let program = assert_cmd::cargo::cargo_bin("proofmark");
    let path = format!("{}:{}", program.parent().unwrap().display(), std::env::var("PATH").unwrap());
    let output = Command::new("bash")
        .args(["-euo", "pipefail", "-c", script])
        .current_dir(shop.folder.path())
        .env("PATH", path)
        .env("LC_ALL", "C.UTF-8")
        .env("HOME", shop.folder.path())
        .env_remove("PROOFMARK_BOOK")
        .output()
        .unwrap();
    assert!(
        output.status.success(),
        "{script}\n{}{}",
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn from_clone_to_a_printed_passport() {
    let shop = Shop::empty();
    let casing = blocks("## Starting a book").into_iter().find(|block| block.starts_with("serial")).unwrap();
    shop.write("teal.toml", casing);
    let walk = blocks("## From clone to a printed passport").remove(0);
    let (build, rest) = walk.split_once('\n').unwrap();
    assert!(build.starts_with("cargo build --release --locked"), "the build is CI's first step: {build}");
    let said = bash(&shop, rest);
    let page = shop.read("passport.html");
    for wanted in [
        "MF-10",
        "Teal",
        "x retired: may not be fired",
        "sawn in two",
        "4.07 MPa",
        "thrust of stand.csv",
        "Water, never gas",
    ] {
        assert!(page.contains(wanted), "{wanted}");
    }
    // The seal on the page is the seal of the book.
    let seal = said.lines().last().unwrap().rsplit(' ').next().unwrap();
    assert!(seal.len() == 64 && page.contains(seal), "{seal}");
    assert!(shop.read("card.html").contains("nothing on record forbids it"));
    assert!(
        shop.read("proof.html").contains("Permanent expansion") && shop.read("label.svg").contains("MF-10")
    );
}

#[test]
fn the_scripts_of_the_readme_run() {
    let shop = Shop::demo();
    shop.write("old.csv", "Date,Serial,Mode,Load,Chamber max\n3/9/2026,MF-41-06,static,41B,590\n");
    let mut ran = 0;
    for block in blocks("## Data out, old notebooks in") {
        let said = bash(&shop, &format!("export PROOFMARK_BOOK=book.db PROOFMARK_BY='Ann Lee'\n{block}"));
        if block.contains("in service") {
            assert!(said.contains("MF-48-04\toverdue\t"), "{said}");
            ran += 1;
        }
        if block.contains("highest_peak_pa") {
            // Thistle's one peak over its proof: 8.869 of 7.125 MPa.
            assert!(said.contains("MF-48-02 1.24"), "{said}");
            ran += 1;
        }
        if block.contains("--apply") {
            assert!(said.contains("1 entry was taken in"), "{said}");
            ran += 1;
        }
    }
    assert_eq!(ran, 3, "every script was found");
    assert!(shop.path("taken/book.json").exists());
}

#[test]
fn the_plan_of_the_readme_is_predicted_and_put_on_record() {
    let shop = Shop::empty();
    let plan = blocks("## Planning a load").into_iter().find(|block| block.starts_with("name")).unwrap();
    shop.write("plan.toml", plan);
    let said = bash(
        &shop,
        "export PROOFMARK_BOOK=$PWD/mine.db PROOFMARK_BY='Ann Lee'
         proofmark predict plan.toml
         proofmark log load --from plan.toml",
    );
    assert!(said.contains("48B: what to expect") && said.contains("load of 48B recorded"), "{said}");
}
