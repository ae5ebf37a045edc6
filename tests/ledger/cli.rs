//! The command line alone: a fresh book through the whole cycle, exit codes, bad input.

use std::path::PathBuf;

use assert_cmd::Command;

struct Shop {
    folder: tempfile::TempDir,
}

struct Ran {
    code: i32,
    out: String,
    err: String,
}

impl Shop {
    fn new() -> Self {
        Self { folder: tempfile::tempdir().unwrap() }
    }

    fn book(&self) -> PathBuf {
        self.folder.path().join("book.db")
    }

    fn run(&self, arguments: &[&str]) -> Ran {
        let output = Command::cargo_bin("proofmark")
            .unwrap()
            .env_clear()
            .env("LC_ALL", "C.UTF-8")
            .env("PROOFMARK_BOOK", self.book())
            .env("PROOFMARK_BY", "Ann Lee")
            .current_dir(self.folder.path())
            .args(arguments)
            .output()
            .unwrap();
        Ran {
            code: output.status.code().unwrap(),
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
        }
    }

    fn done(&self, arguments: &[&str]) -> Ran {
        let ran = self.run(arguments);
        assert_eq!(ran.code, 0, "{arguments:?}: {}{}", ran.out, ran.err);
        ran
    }

    fn write(&self, name: &str, text: &str) {
        std::fs::write(self.folder.path().join(name), text).unwrap();
    }

    /// A casing with a welded plug, by a TOML file.
    fn register(&self) {
        self.write(
            "casing.toml",
            r#"
serial = "MF-10"
name = "Teal"
od = ["10 mm @ 0: 50.80 mm", "100 mm @ 0: 50.80 mm"]
[tube]
material = "6061-T6"
form = "drawn tube"
od = "2.000 in"
wall = "0.065 in"
wall_min = "0.063 in"
[forward]
kind = "welded plug"
leg = "2.8 mm"
[aft]
kind = "radial bolts"
count = 8
bolt = "10-32"
edge = "10 mm"
bolt_ultimate = "150 ksi"
[service]
meop = "725 psi"
"#,
        );
        let ran = self.done(&["log", "casing", "--from", "casing.toml", "--on", "2026-01-10"]);
        assert!(
            ran.err.contains("It does not certify"),
            "the cautions are shown when a book begins: {}",
            ran.err
        );
        assert!(ran.out.contains("unproved"), "{}", ran.out);
    }
}

#[test]
fn the_whole_cycle_ends_with_a_casing_retired_for_a_bulge_and_the_reason_on_the_rack() {
    let shop = Shop::new();
    shop.register();
    shop.done(&[
        "log",
        "part",
        "--serial",
        "N-1",
        "--what",
        "nozzle carrier",
        "--throat",
        "U drill",
        "--life-firings",
        "12",
        "--on",
        "2026-01-10",
    ]);
    shop.done(&["log", "fit", "casing=MF-10", "part=N-1", "on=2026-01-10"]);
    let ran = shop.done(&[
        "log",
        "proof",
        "--casing",
        "MF-10",
        "--pressure",
        "930 psi",
        "--medium",
        "water",
        "--bled",
        "yes",
        "--hold",
        "5 min",
        "--method",
        "diameters only",
        "--od-before",
        "100 mm @ 0: 50.80 mm",
        "--od-before",
        "12 mm @ 0: 50.80 mm",
        "--od-after",
        "12 mm @ 0: 50.80 mm",
        "--od-under",
        "100 mm @ 0: 50.86 mm",
        "--od-after",
        "100 mm @ 0: 50.80 mm",
        "--leak",
        "no",
        "--pressure-drop",
        "no",
        "--second",
        "Bo Ray",
        "--on",
        "2026-01-12",
    ]);
    assert!(ran.err.contains("Water, never gas"), "{}", ran.err);
    shop.done(&[
        "log",
        "load",
        "--name",
        "48A",
        "--peak-pressure",
        "600 psi",
        "--impulse",
        "950 Ns",
        "--nozzle-throat",
        "U drill",
        "--on",
        "2026-01-12",
    ]);
    shop.done(&["log", "batch", "--name", "P26-1", "--burn-rate-factor", "0.98", "--on", "2026-01-12"]);
    shop.done(&["prefire", "MF-10", "--load", "48A", "--static", "--on", "2026-02-01"]);
    shop.done(&[
        "log",
        "prefire",
        "--casing",
        "MF-10",
        "--load",
        "48A",
        "--mode",
        "static",
        "--yes",
        "all",
        "--second",
        "Bo Ray",
        "--on",
        "2026-02-01",
    ]);
    shop.write(
        "stand.csv",
        "Time (s),Thrust (N)\n-1.0,0\n-0.5,0\n0,0\n0.1,980\n1.0,700\n1.5,600\n1.6,0\n2.0,0\n",
    );
    let ran = shop.done(&[
        "log",
        "firing",
        "--casing",
        "MF-10",
        "--mode",
        "static",
        "--load",
        "48A",
        "--batch",
        "P26-1",
        "--peak-pressure",
        "1150 psi",
        "--trace",
        "stand.csv",
        "--on",
        "2026-02-01",
    ]);
    assert!(ran.out.contains("trace of MF-10 recorded") && ran.out.contains("hold"), "{}", ran.out);
    shop.done(&[
        "log",
        "strip",
        "--casing",
        "MF-10",
        "--heat",
        "good",
        "--straight-edge",
        "finding",
        "--bore",
        "good",
        "--od",
        "10 mm @ 0: 51.26 mm",
        "--od",
        "100 mm @ 0: 50.80 mm",
        "--on",
        "2026-02-01",
    ]);
    shop.done(&[
        "log",
        "finding",
        "--casing",
        "MF-10",
        "--damage",
        "bulge",
        "--percent",
        "0.91 %",
        "--station",
        "10 mm",
        "--evidence",
        "a rule rocks",
        "--on",
        "2026-02-01",
    ]);
    shop.done(&[
        "log",
        "disposition",
        "--casing",
        "MF-10",
        "--decision",
        "retire",
        "--reason",
        "bulge beside the weld",
        "--made-unusable",
        "holed",
        "--second",
        "Bo Ray",
        "--on",
        "2026-02-02",
    ]);
    let ran = shop.done(&["rack"]);
    assert!(ran.out.contains("x retired") && ran.out.contains("bulge beside the weld"), "{}", ran.out);
    let ran = shop.run(&["prefire", "MF-10", "--load", "48A"]);
    assert_eq!(ran.code, 4);
    assert!(ran.out.contains("forbidden") && ran.out.contains("retired on 2026-02-02"), "{}", ran.out);
    let ran = shop.run(&[
        "log", "prefire", "--casing", "MF-10", "--load", "48A", "--mode", "static", "--yes", "all",
        "--second", "Bo Ray",
    ]);
    assert_eq!(ran.code, 4, "a planned firing is refused: {}", ran.err);
    let ran = shop.run(&[
        "log",
        "firing",
        "--casing",
        "MF-10",
        "--mode",
        "static",
        "--load",
        "48A",
        "--on",
        "2026-02-03",
    ]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("breach_reason") && ran.err.contains("nothing was stored"), "{}", ran.err);
    let ran = shop.done(&[
        "log",
        "firing",
        "--casing",
        "MF-10",
        "--mode",
        "static",
        "--load",
        "48A",
        "--on",
        "2026-02-03",
        "--breach-reason",
        "fired by mistake",
    ]);
    assert!(ran.out.contains("recorded as a breach"), "{}", ran.out);
    let show = shop.done(&["show", "MF-10"]);
    assert!(
        show.out.contains("fired although the record forbade it") && show.out.contains("fired by mistake"),
        "{}",
        show.out
    );
    assert!(shop.done(&["rack"]).out.contains("x retired"), "the standing stays what the rules say");
    shop.done(&["verify"]);
}

#[test]
fn the_trace_fills_in_what_was_not_typed_and_its_bytes_are_kept() {
    let shop = Shop::new();
    shop.register();
    shop.done(&["log", "load", "--name", "48A", "--peak-pressure", "600 psi", "--on", "2026-01-12"]);
    let csv = "Time (s),Thrust (N)\n0,0\n0.1,500\n2.1,500\n2.6,0\n";
    shop.write("stand.csv", csv);
    shop.done(&[
        "log",
        "firing",
        "--casing",
        "MF-10",
        "--mode",
        "static",
        "--load",
        "48A",
        "--trace",
        "stand.csv",
        "--breach-reason",
        "unproved: test of the form",
        "--on",
        "2026-02-01",
    ]);
    let value: serde_json::Value =
        serde_json::from_str(&shop.done(&["show", "MF-10", "--json"]).out).unwrap();
    let of = |kind: &str| {
        value["ledger"].as_array().unwrap().iter().find(|it| it["kind"] == kind).unwrap()["details"].clone()
    };
    // Exact geometry: 25 + 1000 + 125 N s (NFPA 1125: class J up to 1280 N s).
    assert!((of("firing")["impulse"]["ns"].as_f64().unwrap() - 1150.0).abs() < 0.6);
    assert_eq!(of("trace")["reduction"]["class"], "J");
    assert_eq!(of("trace")["bytes"].as_u64(), Some(csv.len() as u64));
}

#[test]
fn bad_input_of_every_kind_exits_1_names_the_field_and_stores_nothing() {
    let shop = Shop::new();
    shop.register();
    let before = std::fs::read(shop.book()).unwrap();
    shop.write("broken.toml", "serial = \n");
    shop.write("latin.toml", "");
    std::fs::write(shop.folder.path().join("latin.toml"), b"serial = \"M\xfcller\"").unwrap();
    for (arguments, says) in [
        (&["log", "proof", "--casing", "MF-99"][..], "casing"),
        (&["log", "note", "--casing", "MF-10"], "text"),
        (&["log", "casing", "--from", "missing.toml"], "missing.toml"),
        (&["log", "casing", "--from", "broken.toml"], "TOML"),
        (&["log", "casing", "--from", "latin.toml"], "UTF-8"),
        (&["log", "note", "text=x", "wibble"], "wibble"),
        (&["log", "note", "txet=x"], "did you mean text?"),
        (&["log", "strike", "--entry", "77", "--reason", "x"], "entry"),
        (&["log", "photo", "--casing", "MF-10", "--path", "none.jpg", "--caption", "x"], "none.jpg"),
        (&["show", "MF-11"], "did you mean MF-10?"),
        (&["prefire", "MF-10", "--load", "48A"], "load"),
        (&["margins", "--design", "none.toml"], "none.toml"),
        (&["margins", "MF-10", "--pressure", "7"], "no unit"),
        (&["trace", "none.csv"], "none.csv"),
        (&["rack", "--on", "tomorrowish"], "date"),
    ] {
        let ran = shop.run(arguments);
        assert_eq!(ran.code, 1, "{arguments:?}: {}{}", ran.out, ran.err);
        assert!(ran.err.contains(says), "{arguments:?}: {}", ran.err);
        assert!(ran.out.is_empty(), "{arguments:?} printed data: {}", ran.out);
        assert!(std::fs::read(shop.book()).unwrap() == before, "{arguments:?} changed the book");
    }
    let ran = shop.run(&["frobnicate"]);
    assert_eq!((ran.code, ran.out.is_empty()), (2, true));
}

#[test]
fn a_bad_first_entry_begins_no_book() {
    let shop = Shop::new();
    assert_eq!(shop.run(&["log", "casing", "--serial", "MF-1"]).code, 1);
    assert_eq!(shop.run(&["log", "firing", "--casing", "MF-1"]).code, 1);
    assert_eq!(shop.run(&["rack"]).code, 1);
    assert!(!shop.book().exists());
}

#[test]
fn a_book_of_another_program_exits_3() {
    let shop = Shop::new();
    std::fs::write(shop.book(), b"not a book at all, but quite long enough to be read as one by somebody who does not look closely at it").unwrap();
    for arguments in [&["rack"][..], &["log", "note", "text=x"]] {
        let ran = shop.run(arguments);
        assert_eq!(ran.code, 3, "{}", ran.err);
        assert!(ran.err.contains("not a proofmark book"), "{}", ran.err);
    }
}

#[test]
fn a_design_on_paper_has_margins_without_a_book() {
    let shop = Shop::new();
    shop.write(
        "design.toml",
        "[tube]\nmaterial = \"6061-T6\"\nform = \"drawn tube\"\nod = \"3.5 in\"\nwall = \"0.216 in\"\nwall_min = \"0.216 in\"\n\
         [forward]\nkind = \"radial bolts\"\ncount = 8\nbolt = \"1/4-20\"\nedge = \"0.5 in\"\n\
         [aft]\nkind = \"radial bolts\"\ncount = 8\nbolt = \"1/4-20\"\nedge = \"0.5 in\"\n[service]\nmeop = \"1000 psi\"\n",
    );
    let ran = shop.done(&["margins", "--design", "design.toml", "--json"]);
    let value: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(value["schema"], 1);
    let wall = value["modes"].as_array().unwrap().iter().find(|it| it["mode"] == "tube wall").unwrap();
    // Lame with von Mises, (Sy/sqrt3)(1 - 1/K^2), at the published minimum of 240 MPa (EN 1999-1-1 Table 3.2b).
    let k: f64 = 3.5 / 3.068;
    let expected = 240e6 / 3f64.sqrt() * (1.0 - 1.0 / (k * k));
    assert!((wall["yield_pressure_pa"].as_f64().unwrap() / expected - 1.0).abs() < 1e-6);
    let ran = shop.run(&["margins", "--design", "design.toml", "--json", "--pressure", "0 psi"]);
    assert_eq!(ran.code, 1);
}

#[test]
fn us_units_show_inches_and_psi() {
    let shop = Shop::new();
    shop.register();
    let ran = shop.done(&["show", "MF-10", "--units", "us"]);
    assert!(ran.out.contains("MEOP 725 psi"), "{}", ran.out);
}

#[test]
fn hostile_text_never_reaches_the_terminal_raw() {
    let shop = Shop::new();
    shop.register();
    shop.done(&[
        "log",
        "note",
        "--casing",
        "MF-10",
        "--text",
        "red \u{1b}[31m and \u{202e}turned\u{7}",
        "--on",
        "2026-02-01",
    ]);
    let ran = shop.done(&["show", "MF-10"]);
    assert!(!ran.out.contains('\u{1b}') && !ran.out.contains('\u{202e}') && !ran.out.contains('\u{7}'));
}

#[test]
fn every_log_command_helps_with_every_field() {
    let shop = Shop::new();
    for form in proofmark::book::forms::FORMS {
        let ran = shop.done(&["log", form.kind.word(), "--help"]);
        for field in form.fields {
            let flag = format!("--{}", field.name.replace(['.', '_'], "-"));
            assert!(ran.out.contains(&flag), "{} {flag}", form.kind);
        }
    }
}
