//! What somebody who means harm, or a machine that fails, can do to a book from outside.

use std::path::{Path, PathBuf};

use proofmark::book::{Answers, Details, FiringMode, Kind};
use proofmark::desk::{Desk, Planned, Refusal};
use proofmark::standing::{Checklist, ItemState};

use crate::books::{anns, log, merge, said, second, try_log};
use crate::common::{Still, day, still};

fn two_books(folder: &Path) -> (PathBuf, PathBuf) {
    let ann = anns(folder);
    let bo = second(folder, "bo.db", &ann);
    (ann, bo)
}

fn load(path: &Path, on: &str, by: &str, revision: &str, peak: &str) -> i64 {
    let fields = [("name", "DUP"), ("revision", revision), ("peak_pressure", peak), ("impulse", "900 Ns")];
    log(path, Kind::Load, on, by, &fields).entries[0].number
}

fn checklist(path: &Path, load: &str, batch: Option<&str>) -> Checklist {
    let desk = Desk::reading(path, still()).unwrap();
    let planned = Planned { load, batch, mode: FiringMode::Static, grain: None };
    let list = desk.checklist("MF-1", planned, day("2026-10-03")).unwrap();
    // Who may be fired says the same.
    let all = desk.who_may_fire(planned, day("2026-10-03")).unwrap();
    assert_eq!(all[0].checklist.forbidden(), list.forbidden());
    list
}

fn forbidding(list: &Checklist) -> Vec<&str> {
    list.items.iter().filter(|it| it.state == ItemState::Forbids).map(|it| it.text.as_str()).collect()
}

#[test]
fn a_load_two_books_differ_on_is_not_fired_until_a_person_settles_it() {
    let folder = tempfile::tempdir().unwrap();
    let (ann, bo) = two_books(folder.path());
    load(&bo, "2026-02-02", "Bo Ray", "A", "4.9 MPa");
    load(&ann, "2026-02-03", "Ann Lee", "A", "4 MPa");
    for path in [&ann, &bo] {
        assert!(forbidding(&checklist(path, "DUP", None)).is_empty());
    }
    merge(&ann, &bo);
    merge(&bo, &ann);
    assert_eq!(said(&ann), said(&bo));
    for path in [&ann, &bo] {
        let list = checklist(path, "DUP", None);
        let why = forbidding(&list);
        assert_eq!(why.len(), 1, "{why:?}");
        for word in
            ["by Bo Ray on 2026-02-02", "5.00 MPa abs", "by Ann Lee on 2026-02-03", "4.10 MPa abs", "strike"]
        {
            assert!(why[0].contains(word), "{word}: {}", why[0]);
        }
        assert_eq!(list.items.iter().filter(|it| it.rule.as_deref() == Some("books-differ")).count(), 1);
        // Another load is not touched by it.
        assert!(forbidding(&checklist(path, "48A", None)).is_empty());
    }
    // A firing with it is a breach.
    let firing = [("casing", "MF-1"), ("mode", "static"), ("load", "DUP"), ("peak_pressure", "4 MPa")];
    let Err(Refusal::Form(problems)) = try_log(&ann, Kind::Firing, "2026-02-04", "Ann Lee", &firing) else {
        panic!("a firing with it was logged without a word")
    };
    assert!(problems[0].message.contains("two books differ on the load DUP"), "{problems:?}");
    // An older day on the new entry settles nothing: it comes into force before them.
    load(&ann, "2026-02-01", "Ann Lee", "B", "3 MPa");
    assert!(checklist(&ann, "DUP", None).forbidden());
    // One that bears their day or a later one, by a book that held both, does.
    load(&ann, "2026-02-03", "Ann Lee", "C", "4.5 MPa");
    assert!(forbidding(&checklist(&ann, "DUP", None)).is_empty());
    merge(&bo, &ann);
    assert!(forbidding(&checklist(&bo, "DUP", None)).is_empty());
}

#[test]
fn revisions_written_apart_differ_and_a_strike_settles_it() {
    let folder = tempfile::tempdir().unwrap();
    let (ann, bo) = two_books(folder.path());
    load(&ann, "2026-02-01", "Ann Lee", "A", "4 MPa");
    merge(&bo, &ann);
    load(&bo, "2026-02-02", "Bo Ray", "B", "4.9 MPa");
    let wrong = load(&ann, "2026-02-03", "Ann Lee", "C", "4 MPa").to_string();
    merge(&ann, &bo);
    assert!(checklist(&ann, "DUP", None).forbidden());
    // What is dated ahead by a wrong clock hides nothing.
    let cy = second(folder.path(), "cy.db", &bo);
    let ahead = Still { today: day("2026-12-01"), count: std::rc::Rc::default() };
    let mut answers = Answers::new();
    for (field, text) in [("on", "2026-12-01"), ("by", "Cy Fox"), ("name", "DUP"), ("revision", "D")] {
        answers.set(field, text);
    }
    answers.set("peak_pressure", "4.8 MPa");
    Desk::writing(&cy, Box::new(ahead), None).unwrap().record(Kind::Load, &answers, None).unwrap();
    let dee = second(folder.path(), "dee.db", &bo);
    load(&dee, "2026-02-05", "Dee Poe", "D", "3 MPa");
    merge(&dee, &cy);
    assert!(checklist(&dee, "DUP", None).forbidden());
    let strike = [("entry", wrong.as_str()), ("reason", "typed by mistake"), ("second", "Cy Fox")];
    log(&ann, Kind::Strike, "2026-02-04", "Ann Lee", &strike);
    assert!(forbidding(&checklist(&ann, "DUP", None)).is_empty());
}

#[test]
fn a_batch_two_books_differ_on_is_not_fired_either() {
    let folder = tempfile::tempdir().unwrap();
    let (ann, bo) = two_books(folder.path());
    let batch = |path: &Path, by: &str, c_star: &str| {
        let fields = [
            ("name", "P1"),
            ("propellant.density", "1750 kg/m3"),
            ("propellant.characteristic_velocity", c_star),
            ("numbers_from", "the maker's sheet"),
        ];
        log(path, Kind::Batch, "2026-02-02", by, &fields);
    };
    batch(&ann, "Ann Lee", "1450 m/s");
    batch(&bo, "Bo Ray", "1550 m/s");
    merge(&ann, &bo);
    let list = checklist(&ann, "48A", Some("P1"));
    assert_eq!(forbidding(&list).len(), 1, "{:?}", forbidding(&list));
    assert!(forbidding(&list)[0].contains("two books differ on the batch P1"));
    assert!(forbidding(&checklist(&ann, "48A", None)).is_empty());
}

fn rule(path: &Path, by: &str, on: &str, rule: &str, value: &str, reason: &str) {
    let fields = [("rule", rule), ("value", value), ("reason", reason), ("second", "Cy Fox")];
    log(path, Kind::Rule, on, by, &fields);
}

#[test]
fn of_a_rule_changed_apart_the_stricter_value_holds_and_every_page_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let (ann, bo) = two_books(folder.path());
    rule(&bo, "Bo Ray", "2026-02-02", "proof-months", "6", "be careful");
    rule(&ann, "Ann Lee", "2026-02-03", "proof-months", "36", "be easy");
    // A floor is stricter the other way, and the stricter may be the later one.
    rule(&bo, "Bo Ray", "2026-02-02", "margin-least", "1.1", "be easy");
    rule(&ann, "Ann Lee", "2026-02-03", "margin-least", "1.3", "be careful");
    // The same value for another reason is no difference.
    rule(&bo, "Bo Ray", "2026-02-02", "proof-firings", "8", "fewer");
    rule(&ann, "Ann Lee", "2026-02-03", "proof-firings", "8", "not so many");
    merge(&ann, &bo);
    merge(&bo, &ann);
    assert_eq!(said(&ann), said(&bo));
    for path in [&ann, &bo] {
        let desk = Desk::reading(path, still()).unwrap();
        let rules = desk.book().rules_on(day("2026-10-03")).unwrap();
        assert_eq!((rules.value("proof-months"), rules.value("margin-least")), (6.0, 1.3));
        assert_eq!(rules.disputed().count(), 2);
        // Proved on 2026-01-05: by the laxer side in date until 2029.
        let page = desk.casing("MF-1").unwrap();
        assert!(page.standing.forbids(), "{:?}", page.assessed.reasons);
        assert!(page.assessed.flags.iter().any(|it| it.contains("rule proof-months apart")), "{page:?}");
        let list = checklist(path, "48A", None);
        let said = list.items.iter().find(|it| it.id == "books-differ-rule-proof-months").unwrap();
        assert!(said.text.contains("6 months") && said.text.contains("36 months"), "{}", said.text);
        assert!(
            proofmark::report::text::rules(&rules, proofmark::quantity::System::Si)
                .contains("until somebody settles it")
        );
    }
    // Whoever has both at hand settles it.
    rule(&ann, "Ann Lee", "2026-02-04", "proof-months", "24", "as it was");
    let desk = Desk::reading(&ann, still()).unwrap();
    assert_eq!(desk.book().rules_on(day("2026-10-03")).unwrap().value("proof-months"), 24.0);
    assert!(!desk.casing("MF-1").unwrap().standing.forbids());
    assert_eq!(desk.book().verify().unwrap(), []);
}

#[test]
fn a_rule_of_which_nobody_can_say_which_value_is_stricter_forbids() {
    let folder = tempfile::tempdir().unwrap();
    let (ann, bo) = two_books(folder.path());
    rule(&bo, "Bo Ray", "2026-02-02", "reading-believed", "5", "less");
    rule(&ann, "Ann Lee", "2026-02-03", "reading-believed", "15", "more");
    merge(&ann, &bo);
    let list = checklist(&ann, "48A", None);
    assert!(forbidding(&list).iter().any(|it| it.contains("reading-believed")), "{:?}", forbidding(&list));
    rule(&ann, "Ann Lee", "2026-02-04", "reading-believed", "10", "as it was");
    assert!(forbidding(&checklist(&ann, "48A", None)).is_empty());
}

#[test]
fn verify_names_the_entry_whatever_of_it_is_not_readable() {
    let folder = tempfile::tempdir().unwrap();
    let (ann, bo) = two_books(folder.path());
    log(&bo, Kind::Note, "2026-02-02", "Bo Ray", &[("casing", "MF-1"), ("text", "a new box")]);
    rule(&bo, "Bo Ray", "2026-02-02", "proof-months", "6", "be careful");
    merge(&ann, &bo);
    for column in
        ["id", "origin", "happened_on", "recorded_at", "kind", "subject_of", "subject", "body", "seal"]
    {
        for number in [1, 3, 5] {
            for value in [
                format!("{column} || ' '"),
                "CAST(x'ff41' AS TEXT)".to_owned(),
                "'no'".to_owned(),
                "x'ff'".to_owned(),
                "12".to_owned(),
            ] {
                let path = folder.path().join("changed.db");
                std::fs::copy(&ann, &path).unwrap();
                let book = rusqlite::Connection::open(&path).unwrap();
                book.execute_batch("PRAGMA foreign_keys = OFF; PRAGMA ignore_check_constraints = ON;")
                    .unwrap();
                let trigger: String = book
                    .query_row(
                        "SELECT sql FROM sqlite_schema WHERE name = 'entry_is_never_changed'",
                        [],
                        |row| row.get(0),
                    )
                    .unwrap();
                book.execute_batch("DROP TRIGGER entry_is_never_changed").unwrap();
                if book
                    .execute_batch(&format!("UPDATE entry SET {column} = {value} WHERE number = {number}"))
                    .is_err()
                {
                    continue;
                }
                book.execute_batch(&trigger).unwrap();
                drop(book);
                let what = format!("{column} of {number} as {value}");
                let (code, out, err) = crate::outside::run(folder.path(), &path, &["verify"]);
                assert_eq!(code, Some(4), "{what}: {out} {err}");
                assert!(out.contains(&format!("entry {number}:")), "{what}: {out}");
            }
        }
    }
}

#[test]
fn what_separates_two_readings_without_being_seen_becomes_a_blank() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let stored = |fields: &[(&str, &str)]| {
        let recorded = log(&ann, Kind::Note, "2026-03-01", "Ann Lee", fields);
        let Details::Note(note) = &recorded.entries[0].entry.details else { panic!("no note") };
        (
            note.text.clone(),
            recorded.warnings.iter().map(|it| it.message.clone()).collect::<Vec<_>>().join(" "),
        )
    };
    let (text, said) = stored(&[("text", "OD\t50.8\t0.1\tmm")]);
    assert_eq!(text, "OD 50.8 0.1 mm");
    assert!(said.contains("it reads \"OD 50.8 0.1 mm\""), "{said}");
    assert_eq!(stored(&[("text", "50.80\r50.81\u{b}50.82\u{0}\u{85}50.83")]).0, "50.80 50.81 50.82 50.83");
    // Line ends stay, whoever wrote them, and nothing is said of them.
    assert_eq!(stored(&[("text", "one\r\ntwo\n\nthree")]), ("one\ntwo\n\nthree".to_owned(), String::new()));
    std::fs::write(folder.path().join("note.toml"), "text = \"OD\\t50.8\\tmm\"\n").unwrap();
    let (code, out, err) =
        crate::outside::run(folder.path(), &ann, &["log", "note", "--from", "note.toml", "--json"]);
    assert_eq!(code, Some(0), "{err}");
    assert!(out.contains("OD 50.8 mm"), "{out}");
}

#[test]
fn a_writer_is_not_also_the_second_person_however_the_name_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let decide = |by: &str, second: &str| {
        let fields = [("casing", "MF-1"), ("decision", "keep"), ("reason", "as before"), ("second", second)];
        try_log(&ann, Kind::Disposition, "2026-02-01", by, &fields)
    };
    for second in
        ["Ren\u{e9} Roy", "Rene\u{301} Roy", "Roy, Ren\u{e9}", "ROY RENE", "Ｒené Roy", "rene\u{301}-roy"]
    {
        let Err(Refusal::Form(problems)) = decide("Ren\u{e9} Roy", second) else {
            panic!("{second:?} counted as another person")
        };
        assert_eq!(problems[0].field, "second", "{problems:?}");
    }
    for second in ["Renate Roy", "Ren\u{e9} Roi", "Bo Ray"] {
        assert!(decide("Ren\u{e9} Roy", second).is_ok(), "{second}");
    }
}

#[test]
fn nothing_a_terminal_acts_on_is_in_what_is_written_out() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let trace = folder.path().join("e\u{1b}[31m\u{7}\u{202e}.csv");
    std::fs::write(&trace, "t_s,thrust_N\n0,0\n0.1,510\n1.8,480\n2.0,0\n").unwrap();
    let fields = [
        ("casing", "MF-1"),
        ("mode", "static"),
        ("load", "48A"),
        ("peak_pressure", "4 MPa"),
        ("trace", trace.to_str().unwrap()),
    ];
    log(&ann, Kind::Firing, "2026-02-01", "ev\u{1b}[31mil \u{202e}Fox", &fields);
    log(&ann, Kind::Note, "2026-02-01", "Ann Lee", &[("casing", "MF-1"), ("text", "a \u{202e}b\u{200b}c")]);
    let (code, _, err) = crate::outside::run(folder.path(), &ann, &["export", "--out", "taken"]);
    assert_eq!(code, Some(0), "{err}");
    let mut open = vec![folder.path().join("taken")];
    let (mut looked_at, mut all) = (0, String::new());
    while let Some(at) = open.pop() {
        if at.is_dir() {
            open.extend(std::fs::read_dir(&at).unwrap().map(|it| it.unwrap().path()));
        } else if at.extension().is_some_and(|it| it == "csv" || it == "json")
            && !at.to_string_lossy().contains("/raw/")
        {
            let text = std::fs::read_to_string(&at).unwrap();
            let odd = text
                .chars()
                .find(|c| proofmark::report::text::unseen(*c) && !matches!(c, '\n' | '\r' | '\t'));
            assert_eq!(odd, None, "{}", at.display());
            looked_at += 1;
            all += &text;
        }
    }
    assert!(looked_at > 10 && all.contains("\\u202e") && all.contains("\\u{202e}"), "{looked_at}");
    // The writer's name lost what is unseen when it was written.
    let (_, out, _) = crate::outside::run(folder.path(), &ann, &["show", "MF-1", "--json"]);
    assert!(out.contains("ev [31mil Fox"), "{out}");
}

#[cfg(target_os = "linux")]
#[test]
fn what_was_written_and_could_not_be_announced_is_not_a_failure() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let to_full = |arguments: &[&str]| {
        let output = std::process::Command::new(env!("CARGO_BIN_EXE_proofmark"))
            .arg("--book")
            .arg(&ann)
            .args(arguments)
            .current_dir(folder.path())
            .env("PROOFMARK_BY", "Ann Lee")
            .env("XDG_CONFIG_HOME", folder.path())
            .stdout(std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap())
            .output()
            .unwrap();
        (output.status.code(), String::from_utf8(output.stderr).unwrap())
    };
    for json in [&["log", "note", "--text", "once"][..], &["log", "note", "--text", "once", "--json"]] {
        let (code, err) = to_full(json);
        assert_eq!(code, Some(0), "{err}");
        assert!(err.contains("written as entry") && err.contains("only the announcement failed"), "{err}");
    }
    assert_eq!(proofmark::store::Book::open_reading(&ann).unwrap().size().unwrap().1, 5);
    let (code, err) = to_full(&["backup", "copy.db"]);
    assert_eq!(code, Some(0), "{err}");
    // What only reads has failed where nobody can read it.
    let (code, err) = to_full(&["rack"]);
    assert_eq!(code, Some(1), "{err}");
}

#[test]
fn a_number_that_cannot_be_is_refused_not_warned_of() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let peak = |peak: &str| {
        try_log(&ann, Kind::Load, "2026-02-02", "Ann Lee", &[("name", "BIG"), ("peak_pressure", peak)])
    };
    for impossible in ["1e300 MPa", "5 TPa", "4 GPa", "600000000 psi"] {
        assert!(matches!(peak(impossible), Err(Refusal::Form(_))), "{impossible}");
    }
    // Only odd: said, and stored as typed.
    assert!(!peak("60 MPa").unwrap().warnings.is_empty());
    let fields = [("name", "LONG"), ("peak_pressure", "4 MPa"), ("impulse", "1e200 Ns")];
    assert!(matches!(try_log(&ann, Kind::Load, "2026-02-02", "Ann Lee", &fields), Err(Refusal::Form(_))));
}

#[test]
fn what_stands_after_the_last_page_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let ann = anns(folder.path());
    let mut bytes = std::fs::read(&ann).unwrap();
    bytes.extend_from_slice(b"something else that is kept here");
    std::fs::write(&ann, bytes).unwrap();
    let (code, out, _) = crate::outside::run(folder.path(), &ann, &["verify"]);
    assert_eq!(code, Some(4), "{out}");
    assert!(out.contains("32 bytes stand after the last page"), "{out}");
    // A backup of it is the book alone.
    let (code, _, err) = crate::outside::run(folder.path(), &ann, &["backup", "copy.db"]);
    assert_eq!(code, Some(0), "{err}");
    let (code, out, _) = crate::outside::run(folder.path(), &folder.path().join("copy.db"), &["verify"]);
    assert_eq!(code, Some(0), "{out}");
}

#[test]
fn a_book_that_cannot_be_begun_is_not_said_to_begin() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("file"), "in the way").unwrap();
    let book = folder.path().join("file").join("book.db");
    let (code, _, err) = crate::outside::run(folder.path(), &book, &["log", "note", "--text", "first"]);
    assert_eq!(code, Some(1), "{err}");
    assert!(!err.contains("a new book begins"), "{err}");
}

#[test]
fn what_is_worked_out_from_a_load_two_books_differ_on_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let (ann, bo) = two_books(folder.path());
    for (path, by, core) in [(&ann, "Ann Lee", "16 mm"), (&bo, "Bo Ray", "13 mm")] {
        let fields = [
            ("name", "DUP"),
            ("peak_pressure", "4 MPa"),
            ("grain.count", "3"),
            ("grain.outside_diameter", "43 mm"),
            ("grain.core", core),
            ("grain.length", "75 mm"),
            ("propellant.density", "1680 kg/m3"),
            ("propellant.characteristic_velocity", "1370 m/s"),
            ("propellant.burn_rate", "7.0 mm/s at 5 MPa"),
            ("propellant.exponent", "0.36"),
            ("nozzle.throat", "9.58 mm"),
        ];
        log(path, Kind::Load, "2026-02-02", by, &fields);
    }
    merge(&ann, &bo);
    let basis = |path: &Path| {
        Desk::reading(path, still()).unwrap().planned_load("DUP", None, day("2026-10-03")).unwrap().basis
    };
    assert!(
        basis(&ann).iter().any(|it| it.contains("two books differ on the load DUP")),
        "{:?}",
        basis(&ann)
    );
    // The short words of both are the same: what differs is named.
    assert!(basis(&ann).iter().any(|it| it.contains("another grain")), "{:?}", basis(&ann));
    assert!(!basis(&bo).iter().any(|it| it.contains("two books differ")), "{:?}", basis(&bo));
}

#[test]
fn a_difference_about_a_load_is_said_once_to_whoever_asks_who_may_go() {
    use proofmark::report::text::candidates;
    let folder = tempfile::tempdir().unwrap();
    let (ann, bo) = two_books(folder.path());
    load(&bo, "2026-02-02", "Bo Ray", "A", "4.9 MPa");
    load(&ann, "2026-02-03", "Ann Lee", "A", "4 MPa");
    merge(&ann, &bo);
    let desk = Desk::reading(&ann, still()).unwrap();
    let planned = Planned { load: "DUP", batch: None, mode: FiringMode::Static, grain: None };
    let mut found = desk.who_may_fire(planned, day("2026-10-03")).unwrap();
    found.push(found[0].clone());
    let text = candidates(planned, day("2026-10-03"), &found, proofmark::quantity::System::Si);
    assert_eq!(text.matches("two books differ on the load DUP").count(), 1, "{text}");
    assert_eq!(text.matches("forbidden").count(), found.len(), "{text}");
}
