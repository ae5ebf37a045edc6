//! The outer contract in its corners: what `--json` carries, which exit code a slip gets, and units that are asked for.

use proofmark::report::schema;

use super::common::Shop;

#[test]
fn what_is_described_as_nothing_can_be_nothing_else() {
    // A key seen only empty is still described by what it holds; a verdict is written by two people, never here.
    let only_null: Vec<String> = schema::commands()
        .into_iter()
        .flat_map(|command| schema::keys(command).into_iter().map(move |key| (command, key)))
        .filter(|(_, key)| key.types == "null")
        .map(|(command, key)| format!("{command} {}", key.path))
        .collect();
    assert_eq!(only_null, ["bulge verdict"]);
}

#[test]
fn every_json_of_a_reading_command_says_its_schema() {
    let shop = Shop::demo();
    for words in [
        &["calc", "bates", "--help"][..],
        &["calc", "proof-factor", "burst_factor=1.5"],
        &["label", "MF-41-06"],
        &["batch", "P25-1"],
        &["doctor"],
    ] {
        assert_eq!(shop.json(words)["schema"], 1, "{words:?}");
    }
    assert_eq!(shop.json(&["label", "MF-41-06"])["serial"], "MF-41-06");
}

#[test]
fn a_quantity_below_zero_is_refused_by_what_it_is() {
    let shop = Shop::demo();
    for (words, says) in [
        (&["margins", "MF-41-06", "--pressure", "-5 MPa"][..], "error: pressure: "),
        (&["margins", "MF-41-06", "--pit", "-1 mm"], "error: pit: "),
        (&["margins", "MF-41-06", "--hardness", "-3"], "error: hardness: "),
        (&["proof", "MF-41-07", "--pressure", "-5 MPa"], "error: pressure: "),
        (&["room", "--casing", "MF-41-06", "--load", "41A", "--margin", "-2"], "error: margin: "),
        (&["predict", "--load", "41A", "--throat-growth", "-1 mm"], "error: "),
        (&["predict", "--load", "41A", "--draws", "-5"], "error: draws: "),
    ] {
        let ran = shop.run(words);
        assert_eq!((ran.code, ran.out.as_str()), (1, ""), "{words:?}: {}", ran.err);
        assert!(ran.err.starts_with(says), "{words:?}: {}", ran.err);
    }
}

#[test]
fn the_number_of_draws_refused_is_the_number_typed() {
    let ran = Shop::demo().run(&["predict", "--load", "41A", "--draws", "99999999999"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("99999999999 is outside"), "{}", ran.err);
}

#[test]
fn a_station_without_a_pit_or_a_soft_spot_is_no_question() {
    let shop = Shop::demo();
    assert_eq!(shop.run(&["margins", "MF-41-06", "--at", "250 mm"]).code, 2);
    assert_eq!(shop.run(&["margins", "MF-41-06", "--at", "250 mm", "--pit", "0.2 mm"]).code, 0);
}

#[test]
fn what_margins_assume_is_in_the_units_asked_for() {
    let shop = Shop::demo();
    let us = shop.done(&["--units", "us", "margins", "MF-41-06"]).out;
    let assumed: Vec<&str> = us.lines().filter(|line| line.starts_with("assumed")).collect();
    assert!(!assumed.is_empty() && assumed.iter().all(|line| !line.contains("MPa")), "{assumed:?}");
}

#[test]
fn help_says_what_every_word_is() {
    let shop = Shop::empty();
    for command in ["show", "prefire", "margins", "growth", "label", "decide", "bulge", "proof"] {
        let help = shop.done(&[command, "--help"]).out;
        assert!(help.contains("permanent mark"), "{command}: {help}");
    }
    assert!(shop.done(&["--help"]).out.contains("70 a fault of the program"));
}

#[test]
fn a_file_that_cannot_be_merged_or_restored_is_told_apart_from_the_book() {
    let shop = Shop::demo();
    shop.write("notes.csv", "t,F\n0,0\n");
    let book = std::fs::read(shop.path("book.db")).unwrap();
    shop.write("half.db", &book[..5000]);
    for command in ["merge", "restore"] {
        for (file, code, says) in [
            ("gone.db", 1, "there is no file gone.db: name the copy"),
            ("notes.csv", 3, "not an SQLite file). It was left as it is; name another file\n"),
            ("half.db", 3, "Nothing was taken from it; take another copy"),
        ] {
            let ran = shop.run(&[command, file]);
            assert_eq!(ran.code, code, "{command} {file}: {}", ran.err);
            assert!(ran.err.contains(says), "{command} {file}: {}", ran.err);
        }
    }
    assert_eq!(std::fs::read(shop.path("book.db")).unwrap(), book);
}

#[test]
fn a_weld_bears_the_pressure_on_the_whole_bore_whatever_seal_is_written() {
    let shop = Shop::empty();
    let throat = |seal: &str| {
        shop.write(
            "plug.toml",
            format!(
                r#"
tube = {{ material = "6061-T6", form = "drawn tube", od = "2.000 in", wall = "0.065 in", wall_min = "0.060 in" }}
forward = {{ kind = "welded plug", leg = "2.8 mm"{seal} }}
aft = {{ kind = "radial bolts", count = 8, bolt = "10-32", edge = "10 mm" }}
service = {{ meop = "5.7 MPa" }}
"#
            ),
        );
        let found = shop.json(&["margins", "--design", "plug.toml"]);
        let modes = found["modes"].as_array().unwrap();
        modes.iter().find(|it| it["mode"] == "weld throat").unwrap()["yield_pressure_pa"].as_f64().unwrap()
    };
    let bore = throat("");
    // 0.707 x 2.8 mm of throat, 4 throats over the bore, 0.577 of 105 MPa.
    assert!((bore / (4.0 * 2.8 / 2.0_f64.sqrt() / 47.752 * 105e6 / 3.0_f64.sqrt()) - 1.0).abs() < 1e-9);
    assert_eq!(throat(", seal_diameter = \"10 mm\""), bore);
    assert!(throat(", seal_diameter = \"50 mm\"") < bore);
}

#[test]
fn a_seal_narrower_than_the_bore_is_taken_on_somebodys_word_and_said() {
    let shop = Shop::empty();
    let said = |seal: &str| {
        shop.write(
            "bolts.toml",
            format!(
                r#"
tube = {{ material = "6061-T6", form = "drawn tube", od = "50 mm", wall = "2 mm", wall_min = "2 mm" }}
forward = {{ kind = "radial bolts", count = 8, bolt = "10-32", edge = "10 mm", bolt_ultimate = "150 ksi"{seal} }}
aft = {{ kind = "radial bolts", count = 8, bolt = "10-32", edge = "10 mm", bolt_ultimate = "150 ksi" }}
service = {{ meop = "5 MPa" }}
"#
            ),
        );
        shop.json(&["margins", "--design", "bolts.toml"])["assumed"].to_string()
    };
    assert!(said(", seal_diameter = \"23 mm\"").contains("the bore of 46.00 mm takes 4.00 times the force"));
    assert!(!said("").contains("seal"));
    assert!(!said(", seal_diameter = \"46 mm\"").contains("seal"));
}

#[test]
fn every_manual_page_has_the_flags_of_every_command() {
    let shop = Shop::empty();
    shop.done(&["man", "--out", "man"]);
    for page in ["proofmark", "proofmark-margins", "proofmark-log-firing", "proofmark-trace"] {
        let text = shop.read(&format!("man/{page}.1"));
        for flag in ["book", "units", "by", "on", "json"] {
            assert!(text.contains(&format!("\\-\\-{flag}\\fR")), "{page} has no --{flag}");
        }
    }
    assert!(shop.read("man/proofmark-margins.1").contains("proofmark margins"));
}
