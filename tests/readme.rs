//! The README is true: its key table is the program's, its commands exist.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

fn readme() -> String {
    std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap()
}

#[test]
fn the_key_table_is_the_programs_own() {
    let keys = proofmark::tui::key_table();
    assert!(readme().contains(keys.trim()), "put the output of `proofmark keys` into README.md under Keys");
}

#[test]
fn every_command_is_in_the_readme_and_every_command_of_the_readme_exists() {
    let readme = readme();
    let command = proofmark::cli::command();
    for sub in command.get_subcommands().filter(|sub| !sub.is_hide_set()) {
        assert!(
            readme.contains(&format!("proofmark {}", sub.get_name())),
            "{} is not in the README",
            sub.get_name()
        );
    }
    for line in readme.lines().filter(|line| line.starts_with("| `proofmark ")) {
        let name = line.trim_start_matches("| `proofmark ").split([' ', '`']).next().unwrap();
        assert!(command.find_subcommand(name).is_some(), "the README names {name}, which does not exist");
    }
}

#[test]
fn the_cautions_are_in_the_readme() {
    let readme = readme().replace(['*', '\n'], " ").split_whitespace().collect::<Vec<_>>().join(" ");
    for caution in [
        "Water, never gas",
        "Remote ignition only",
        "Local law and licensed practice",
        "It does not certify",
        "no propellant recipe",
    ] {
        assert!(readme.contains(caution), "{caution}");
    }
}

#[test]
fn the_settings_of_the_readme_are_all_taken() {
    let readme = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap();
    let from = readme.find("    by    = \"Ann Lee\"").unwrap();
    let text: String = readme[from..].split("\n\n").next().unwrap().to_owned();
    let (settings, said) = proofmark::cli::settings::Settings::read(&text);
    assert!(said.is_empty(), "{said:?}");
    assert_eq!((settings.keys.len(), settings.lines), (2, Some(true)));
    let keys =
        settings.keys.iter().map(|(id, keys)| (id.as_str(), keys.iter().map(String::as_str).collect()));
    let (_, wrong) = proofmark::tui::Keymap::with(keys);
    assert!(wrong.is_empty(), "{wrong:?}");
}
