//! Old notebooks: shown first, whole or not at all, undone by one strike; bad input costs nothing.

use proptest::prelude::*;

use super::common::Shop;

const NOTEBOOK: &str = "\
kind,Date,Serial,Name,tube.material,tube.form,Tube OD (in),Wall (in),Fwd,fwd leg (mm),Aft,bolts,bolt,edge mm,MEOP psi,Pressure (psi),medium,bled,hold,method,before,after,leak,pressure_drop,mode,load,Peak psi,text
casing,2019,OLD-1,Grouse,6061-T6,drawn tube,2.000,0.065,welded plug,2.8,radial bolts,8,10-32,10,700,,,,,,,,,,,,,
proof,May 2019,OLD-1,,,,,,,,,,,,,885,water,yes,5 min,diameters only,12 mm @ 0: 50.80 mm,12 mm @ 0: 50.80 mm,no,no,,,,
load,2019,,48A,,,,,,,,,,,,,,,,,,,,,,,600,
firing,3/6/2019,OLD-1,,,,,,,,,,,,,,,,,,,,,,static,48A,590,
note,~2019-07-01,OLD-1,,,,,,,,,,,,,,,,,,,,,,,,,'=looked at again
";

const MAPS: &[&str] = &[
    "--map",
    "Fwd=forward.kind",
    "--map",
    "fwd leg=forward.leg:mm",
    "--map",
    "Aft=aft.kind",
    "--map",
    "bolts=aft.count",
    "--map",
    "bolt=aft.bolt",
    "--map",
    "edge mm=aft.edge:mm",
    "--map",
    "MEOP psi=service.meop:psi",
    "--map",
    "before=od_before",
    "--map",
    "after=od_after",
    "--map",
    "Peak psi=peak_pressure:psi",
    "--set",
    "second=Bo Ray",
    "--dates",
    "dmy",
];

fn call<'a>(more: &[&'a str]) -> Vec<&'a str> {
    [&["import", "old.csv"], MAPS, more].concat()
}

#[test]
fn a_notebook_is_shown_then_taken_in_then_undone_by_one_strike() {
    let shop = Shop::empty();
    shop.write("old.csv", NOTEBOOK);
    let shown = shop.done(&call(&[]));
    assert!(!shop.path("book.db").exists(), "a preview begins no book");
    for wanted in [
        "Tube OD (in)",
        "is tube.od in in",
        "~2019-01-01",
        "~2019-05-01",
        " 2019-06-03",
        "5 entries would be written",
    ] {
        assert!(shown.out.contains(wanted), "{wanted}: {}", shown.out);
    }
    let applied = shop.json(&call(&["--apply"]));
    assert_eq!((applied["applied"].as_bool(), applied["entries"].as_i64()), (Some(true), Some(5)));
    let counting = applied["counting_entry"].to_string();
    let page = shop.json(&["show", "OLD-1"]);
    let note = page["ledger"].as_array().unwrap().iter().find(|it| it["kind"] == "note").unwrap().clone();
    assert_eq!(note["details"]["text"], "=looked at again");
    assert_eq!((note["date_approximate"].as_bool(), note["on"].as_str()), (Some(true), Some("2019-07-01")));
    let firing = page["ledger"].as_array().unwrap().iter().find(|it| it["kind"] == "firing").unwrap().clone();
    assert_eq!(firing["date_approximate"], false);
    assert_eq!(firing["details"]["peak_pressure"]["typed"], "590 psi gauge");
    assert_eq!(shop.json(&["verify"])["faults"].as_array().unwrap().len(), 0);

    // The same file again is refused.
    let again = shop.run(&call(&["--apply"]));
    assert!(again.code == 1 && again.out.contains("imported already"), "{}{}", again.out, again.err);

    // An entry of one's own afterwards stays.
    shop.done(&["log", "note", "--casing", "OLD-1", "--text", "mine"]);
    let undone = shop.run(&["log", "strike", "--entry", &counting, "--reason", "wrong club"]);
    assert_eq!(undone.code, 0, "{}{}", undone.out, undone.err);
    assert!(undone.out.contains("5 entries of the import are struck"));
    let rack = shop.json(&["rack"]);
    assert_eq!(rack["casings"].as_array().unwrap().len(), 0);
    assert_eq!(shop.json(&["verify"])["faults"].as_array().unwrap().len(), 0);
    let again = shop.run(&["log", "strike", "--entry", &counting, "--reason", "twice"]);
    assert!(again.code == 1 && again.err.contains("struck already"), "{}", again.err);
    // And it can be taken in once more.
    shop.done(&call(&["--apply"]));
}

#[test]
fn one_bad_row_stops_all_and_every_bad_row_is_named() {
    let shop = Shop::demo();
    let (before, bytes) = (shop.json(&["verify"]), std::fs::read(shop.path("book.db")).unwrap());
    shop.write(
        "bad.csv",
        "Date,Casing,Load,Mode,Peak pressure (psi),Place\n\
         2026-09-01,MF-41-06,41B,static,600,Fen pit\n\
         3/4/2026,MF-41-06,41B,static,600,Fen pit\n\
         2026-09-02,MF-41-60,41B,static,600,Fen pit\n\
         2026-09-03,MF-41-06,41B,static,lots,Fen pit\n\
         ,MF-41-06,41B,static,600,Fen pit\n\
         2026-09-04,MF-48-02,48A,static,600,Fen pit\n\
         2026-09-05,MF-41-06,41B,static,600,Fen pit, bermed\n",
    );
    for apply in ["--preview", "--apply"] {
        let ran = shop.run(&["import", "bad.csv", "--kind", "firing", apply]);
        assert_eq!(ran.code, 1);
        for wanted in [
            "line    3: on: \"3/4/2026\" may be 2026-04-03 or 2026-03-04",
            "line    4: casing: no casing \"MF-41-60\" is on record; did you mean MF-41-06?",
            "line    5: peak_pressure:",
            "line    6: on: an old page has a day",
            "line    7: breach_reason: the record forbade firing MF-48-02",
            "line    8: row: it has 7 cells, the header 6",
        ] {
            assert!(ran.out.contains(wanted), "{wanted}\n{}", ran.out);
        }
        assert!(!ran.out.contains("line    2:"), "a good row is no problem");
        assert!(ran.err.contains("6 of its 7 rows") && ran.err.contains("nothing was stored"), "{}", ran.err);
    }
    assert_eq!(shop.json(&["verify"]), before);
    assert_eq!(std::fs::read(shop.path("book.db")).unwrap(), bytes, "not a byte of the book changed");
}

#[test]
fn columns_that_cannot_be_taken_are_said_with_what_to_do() {
    let shop = Shop::demo();
    shop.write("a.csv", "Date,Casing,Txet\n2026-09-01,MF-41-06,ink\n");
    let ran = shop.run(&["import", "a.csv"]);
    assert!(ran.code == 1 && ran.out.contains("--kind firing, or a column named kind"), "{}", ran.out);
    let ran = shop.run(&["import", "a.csv", "--kind", "note"]);
    assert!(ran.code == 1 && ran.out.contains("Txet") && ran.out.contains("is not used"), "{}", ran.out);
    let ran = shop.run(&["import", "a.csv", "--kind", "note", "--map", "Txet=txt"]);
    assert!(ran.code == 1 && ran.out.contains("did you mean text?"), "{}", ran.out);
    let ran = shop.run(&["import", "a.csv", "--kind", "note", "--map", "Tekst=text"]);
    assert!(ran.code == 1 && ran.out.contains("no column \"Tekst\""), "{}", ran.out);
    shop.done(&["import", "a.csv", "--kind", "note", "--map", "Txet=text"]);
    for (name, bytes, says) in [
        ("empty.csv", &b""[..], "it is empty"),
        ("header.csv", b"Date,Casing,text\n", "no row below its header"),
        ("latin.csv", b"Date,Casing,text\n2026-09-01,MF-41-06,caf\xe9\n", "line 2 is not UTF-8"),
    ] {
        shop.write(name, bytes);
        let ran = shop.run(&["import", name, "--kind", "note"]);
        assert!(ran.code == 1 && ran.out.contains(says), "{name}: {}", ran.out);
    }
    for kind in ["strike", "prefire", "rule"] {
        shop.write("k.csv", format!("kind,date,entry,reason\n{kind},2026-01-01,3,why\n"));
        let ran = shop.run(&["import", "k.csv"]);
        assert!(ran.code == 1 && ran.out.contains("is never imported"), "{kind}: {}", ran.out);
    }
    // Semicolons, a byte order mark, UTF-16, quotes.
    shop.write("b.csv", "\u{feff}Date;Casing;Text\n2026-09-01;MF-41-06;\"one; two\"\n");
    assert!(shop.done(&["import", "b.csv", "--kind", "note"]).out.contains("one; two"));
    let wide: Vec<u8> = [0xff, 0xfe]
        .into_iter()
        .chain("Date\tCasing\tText\n2026-09-01\tMF-41-06\twide\n".encode_utf16().flat_map(u16::to_le_bytes))
        .collect();
    shop.write("w.csv", wide);
    assert!(shop.done(&["import", "w.csv", "--kind", "note"]).out.contains("wide"));
}

#[test]
fn undoing_an_import_that_made_things_worse_takes_two_names() {
    let shop = Shop::demo();
    shop.write("r.csv", "date,casing,decision,reason,made_unusable\n2026-10-01,MF-41-06,retire,worn,sawn\n");
    shop.done(&["import", "r.csv", "--kind", "disposition", "--set", "second=Bo Ray", "--apply"]);
    let standing = |shop: &Shop| shop.json(&["show", "MF-41-06"])["standing"].as_str().unwrap().to_owned();
    assert_eq!(standing(&shop), "retired");
    let (last, _) = (shop.json(&["verify"])["entries"].as_i64().unwrap().to_string(), ());
    let ran = shop.run(&["log", "strike", "--entry", &last, "--reason", "wrong casing"]);
    assert!(ran.code == 1 && ran.err.contains("two names"), "{}", ran.err);
    shop.done(&["log", "strike", "--entry", &last, "--reason", "wrong casing", "--second", "Bo Ray"]);
    assert_eq!(standing(&shop), "in service");
    let flags = shop.json(&["show", "MF-41-06"])["flags"].to_string();
    assert!(flags.contains("retirement"), "every later page says so: {flags}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Whatever bytes come, nothing panics and nothing but text comes out.
    #[test]
    fn any_bytes_are_a_notebook_or_a_reason(bytes in proptest::collection::vec(any::<u8>(), 0..300), kind in 0..17usize) {
        let wish = proofmark::desk::import::Wish {
            kind: proofmark::book::Kind::ALL.get(kind).copied(),
            by: Some("Ann".to_owned()),
            ..Default::default()
        };
        if let Ok(sheet) = proofmark::desk::import::Sheet::read(&bytes, &wish) {
            prop_assert!(sheet.columns.len() <= 301);
        }
    }

    #[test]
    fn any_table_is_a_notebook_or_a_reason(cells in proptest::collection::vec("[ -~é\"',;\\n]{0,12}", 1..40), kind in 0..17usize) {
        let text = format!("kind,date,casing,text\n{}", cells.chunks(4).map(|row| row.join(",")).collect::<Vec<_>>().join("\n"));
        let wish = proofmark::desk::import::Wish {
            kind: proofmark::book::Kind::ALL.get(kind).copied(),
            ..Default::default()
        };
        let _ = proofmark::desk::import::Sheet::read(text.as_bytes(), &wish);
    }
}
