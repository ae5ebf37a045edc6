//! Completions, manual pages and labels.

use super::common::Shop;

#[test]
fn completions_and_manual_pages_know_every_command() {
    let shop = Shop::empty();
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = shop.done(&["completions", shell]).out;
        for word in ["report", "export", "import", "disposition"] {
            assert!(script.contains(word), "{shell}: {word}");
        }
    }
    shop.write("try.sh", shop.done(&["completions", "bash"]).out);
    let syntax = std::process::Command::new("bash").arg("-n").arg(shop.path("try.sh")).status().unwrap();
    assert!(syntax.success());
    assert_eq!(shop.run(&["completions", "abacus"]).code, 2);
    shop.done(&["man", "--out", "man"]);
    let command = proofmark::cli::command();
    for sub in command.get_subcommands().filter(|sub| !sub.is_hide_set()) {
        let page = shop.read(&format!("man/proofmark-{}.1", sub.get_name()));
        assert!(page.contains(".TH") && page.contains("SYNOPSIS"), "{}", sub.get_name());
    }
    assert!(shop.read("man/proofmark-log-firing.1").contains("breach\\-reason"));
}

#[test]
fn a_label_is_a_code_of_the_serial() {
    let shop = Shop::demo();
    let text = shop.done(&["label", "MF-48-02"]).out;
    assert!(text.ends_with("MF-48-02 Thistle\n"));
    // 21 squares and two of quiet zone on either side, two rows of squares a line.
    let rows: Vec<&str> = text.lines().filter(|line| line.contains('█')).collect();
    assert!(rows.iter().all(|row| row.chars().count() == 25));
    shop.done(&["label", "MF-48-02", "--out", "l.svg"]);
    let drawing = shop.read("l.svg");
    assert!(
        drawing.starts_with("<?xml")
            && drawing.contains(">MF-48-02</text>")
            && drawing.contains("width=\"60mm\"")
    );
    assert_eq!(shop.run(&["label", "NO"]).code, 1);
}
