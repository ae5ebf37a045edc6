//! What is said in US units behind an entry, of a trace, of the rules and of growth; JSON stays metric.

use assert_cmd::Command;

struct Club {
    folder: tempfile::TempDir,
}

impl Club {
    fn demo() -> Self {
        let folder = tempfile::tempdir().unwrap();
        proofmark::demo::write(&folder.path().join("demo.db")).unwrap();
        Self { folder }
    }

    fn run(&self, arguments: &[&str]) -> String {
        let output = Command::cargo_bin("proofmark")
            .unwrap()
            .env_clear()
            .env("LC_ALL", "C.UTF-8")
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .args(["--book", self.folder.path().join("demo.db").to_str().unwrap(), "--by", "Ines Varga-Holt"])
            .args(arguments)
            .output()
            .unwrap();
        String::from_utf8(output.stdout).unwrap()
    }
}

/// Metric quantities left in a text: a number with a metric unit behind it.
fn metric(text: &str) -> Vec<&str> {
    let units = ["mm", "µm", "um", "MPa", "kPa", "N", "degC", "°C", "mL", "kg"];
    text.lines()
        .filter(|line| {
            let words: Vec<&str> = line.split_whitespace().collect();
            words.windows(2).any(|pair| {
                let number = pair[0].trim_start_matches(['+', '-', '(']);
                let unit = pair[1].trim_end_matches([',', ';', '.', ':', ')']);
                number.parse::<f64>().is_ok() && units.contains(&unit)
            })
        })
        .collect()
}

#[test]
fn what_follows_an_entry_is_in_the_units_asked_for() {
    let club = Club::demo();
    // A groove lip: what the rule says next is a number.
    let finding = [
        "log",
        "finding",
        "--casing",
        "MF-48-08",
        "--damage",
        "gouge",
        "--percent",
        "12",
        "--depth",
        "0.2 mm",
        "--station",
        "112 mm",
        "--evidence",
        "seen",
    ];
    let json: serde_json::Value =
        serde_json::from_str(&club.run(&[&finding[..], &["--units", "us", "--json"]].concat())).unwrap();
    let follows: Vec<&str> =
        json["follows"].as_array().unwrap().iter().map(|it| it.as_str().unwrap()).collect();
    assert!(follows.iter().any(|it| it.contains("station 112 mm")), "{follows:?}");
    let shown = club.run(&[&finding[..], &["--units", "us"]].concat());
    assert!(shown.contains("because") && shown.contains("station 4.4094 in"), "{shown}");
    assert!(metric(&shown).is_empty(), "{shown}");
    // What a person decided stays as it was written.
    let note = club.run(&["log", "note", "--casing", "MF-41-07", "--text", "seen", "--units", "us"]);
    assert!(note.contains("proof again at 7.35 MPa"), "{note}");
}

#[test]
fn a_trace_and_what_the_rules_say_of_it_are_in_the_units_asked_for() {
    let club = Club::demo();
    let trace = ["trace", "tests/traces/stand_d.csv", "--casing", "MF-48-08", "--load", "48V"];
    let si = club.run(&trace);
    assert!(
        si.contains("peak thrust            1726.5 N,") && si.contains("MPa gauge; MEOP 5.90 MPa"),
        "{si}"
    );
    let us = club.run(&[&trace[..], &["--units", "us"]].concat());
    assert!(us.contains("peak thrust            388.13 lbf,") && us.contains("MEOP 856 psi"), "{us}");
    assert!(us.contains("from 371.4 lbf to 53.84 lbf") && us.contains("1886.3 N·s"), "{us}");
    assert_eq!(metric(&us), Vec::<&str>::new());
    let json = [&trace[..], &["--json"]].concat();
    assert_eq!(club.run(&json), club.run(&[&json[..], &["--units", "us"]].concat()));
}

#[test]
fn the_rules_and_the_growth_are_in_the_units_asked_for() {
    let club = Club::demo();
    let rules = club.run(&["rules", "--units", "us"]);
    let sources = ["EN 1999-1-1 6.1.6.3 (TIG, wall up to 6 mm)"];
    let left: Vec<&str> =
        metric(&rules).into_iter().filter(|line| !sources.iter().any(|it| line.contains(it))).collect();
    assert_eq!(left, Vec::<&str>::new());
    assert!(
        rules.contains("a grain more than 18.0 °F from the temperature"),
        "a difference is no temperature"
    );
    assert!(rules.contains("aluminium at 348.8 °F or hotter"), "{rules}");
    let growth = club.run(&["growth", "MF-48-02", "--units", "us"]);
    assert_eq!(metric(&growth), Vec::<&str>::new());
    assert!(growth.contains("inches of diameter against birth"), "{growth}");
    // 0.073 mm over 100 mm is 0.0088 in over 12 in.
    assert!(growth.contains("taper -0.0088 in a foot"), "{growth}");
    assert!(club.run(&["growth", "MF-48-02"]).contains("taper -0.073 mm a 100 mm"));
    for command in
        [&["margins", "MF-48-02"][..], &["margins", "MF-41-07"], &["bulge", "MF-48-02"], &["instruments"]]
    {
        let us = club.run(&[command, &["--units", "us"]].concat());
        assert!(!us.is_empty(), "{command:?}");
        assert_eq!(metric(&us), Vec::<&str>::new(), "{command:?}");
        // What shares its unit with a number behind it has it, too.
        assert!(!us.contains(" x 0.0") || us.contains(" in x 0.0"), "{us}");
    }
    let drives = club.run(&["predict", "--load", "76A", "--drives", "--units", "us"]);
    assert!(drives.contains("throat 0.0039 in smaller"), "{drives}");
    for command in [&["rules"][..], &["growth", "MF-48-02"]] {
        let json = [command, &["--json"]].concat();
        assert_eq!(club.run(&json), club.run(&[&json[..], &["--units", "us"]].concat()));
    }
}

#[test]
fn who_may_go_is_listed_as_the_screen_lists_it() {
    let club = Club::demo();
    let due = club.run(&["due"]);
    assert!(due.starts_with("on 2026-10-03: nothing on record forbids 4 of 9\n"), "{due}");
    let order: Vec<&str> = due
        .lines()
        .filter(|line| !line.starts_with("   "))
        .skip(1)
        .map(|line| &line[line.find("MF-").unwrap()..][..8])
        .collect();
    assert_eq!(
        order,
        [
            "MF-41-06", "MF-48-08", "MF-76-09", "MF-60-05", "MF-48-04", "MF-41-07", "MF-48-01", "MF-48-02",
            "MF-60-03"
        ]
    );
    let load = club.run(&["due", "--load", "48A", "--units", "us"]);
    assert_eq!(metric(&load), Vec::<&str>::new());
}
