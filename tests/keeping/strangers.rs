//! Text from strangers: control characters, marks that turn text around, endless words, markup, formulas. No parser
//! panics, and nothing a terminal would act on comes out.

use std::path::Path;

use proofmark::book::{Answers, Kind};
use proofmark::cli::{self, Environment, Outcome};
use proofmark::desk::{Desk, Surroundings};
use proofmark::quantity::{Dimension, parse_quantity};
use proofmark::report::text::unseen;
use proptest::prelude::*;

use crate::books::{anns, log};
use crate::common::still;

/// How many times each: a few here, more with `PROOFMARK_STRANGERS=20000`.
fn cases() -> u32 {
    std::env::var("PROOFMARK_STRANGERS").ok().and_then(|text| text.parse().ok()).unwrap_or(96)
}

/// Pieces that parsers look for, and pieces nobody should send.
const PIECES: &[&str] = &[
    "1",
    "3/4",
    "27/64",
    "-",
    "+",
    "e",
    "E308",
    "9e999",
    ".",
    ",",
    "1,5",
    "0",
    "\u{2212}3",
    "½",
    "٣",
    "in",
    "mm",
    "\"",
    "'",
    "psi",
    "MPa abs",
    "degC",
    "%",
    "#7 drill",
    "letter U drill",
    "lb",
    "oz",
    "@",
    ":",
    ";",
    "\t",
    "\n",
    "\r\n",
    "\0",
    "\u{1b}[2J",
    "\u{1b}]0;x\u{7}",
    "\u{9b}31m",
    "\u{202e}",
    "\u{2066}",
    "\u{200b}",
    "\u{feff}",
    "\u{e0041}",
    "<script>",
    "&amp;",
    "=1+1",
    "@SUM(A1)",
    "[tube]",
    "[[tube]]",
    "od = \"2 in\"",
    "= ",
    "{",
    "}",
    "true",
    "nan",
    "inf",
    "time,thrust",
    "Time (s),Load (lbf)\n0,0\n0.1,5\n",
    "not measured",
    "2026-10-03",
    "100 mm @ 0: 50.80 mm",
    "𝟚",
    "\u{301}",
    "ﬁ",
    "日本",
];

fn hostile() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        8 => proptest::sample::select(PIECES).prop_map(str::to_owned),
        1 => any::<char>().prop_map(String::from),
        1 => (proptest::sample::select(PIECES), 1_usize..4_000).prop_map(|(piece, times)| piece.repeat(times)),
    ];
    proptest::collection::vec(piece, 0..8).prop_map(|pieces| pieces.concat())
}

fn hostile_bytes() -> impl Strategy<Value = Vec<u8>> {
    prop_oneof![
        3 => hostile().prop_map(String::into_bytes),
        1 => proptest::collection::vec(any::<u8>(), 0..400),
        1 => (hostile(), proptest::collection::vec(any::<u8>(), 0..8))
            .prop_map(|(text, more)| [text.as_bytes(), &more, b"\n1,2,3\n", text.as_bytes()].concat()),
    ]
}

/// Nothing in it that a terminal acts on or that nobody sees, lines aside.
fn seen(text: &str) -> Result<(), TestCaseError> {
    match text.chars().find(|c| *c != '\n' && unseen(*c)) {
        None => Ok(()),
        Some(found) => Err(TestCaseError::fail(format!("{found:?} in {text:?}"))),
    }
}

/// Run the command line in this process: exit code, stdout, stderr.
fn run(book: &Path, arguments: &[&str]) -> (u8, String, String) {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let surroundings = || still() as Box<dyn Surroundings>;
    let mut environment = Environment {
        book: Some(book.to_path_buf()),
        by: Some("Ann Lee".to_owned()),
        data_folder: None,
        terminal: false,
        locale: proofmark::report::ascii::Signs::Any,
        settings: proofmark::cli::settings::Settings::default(),
        surroundings: &surroundings,
        out: &mut out,
        err: &mut err,
    };
    let all = std::iter::once("proofmark").chain(arguments.iter().copied()).map(Into::into).collect();
    let code = match cli::run(all, &mut environment) {
        Outcome::Done(code) => code,
        other => panic!("{other:?}"),
    };
    (code, String::from_utf8(out).unwrap(), String::from_utf8(err).unwrap())
}

const DIMENSIONS: &[Dimension] = &[
    Dimension::Length,
    Dimension::Area,
    Dimension::Volume,
    Dimension::Mass,
    Dimension::Force,
    Dimension::Impulse,
    Dimension::Pressure,
    Dimension::Temperature,
];

proptest! {
    #![proptest_config(ProptestConfig { cases: cases(), failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn quantities_take_anything(text in hostile(), unit in proptest::option::of(proptest::sample::select(PIECES))) {
        for dimension in DIMENSIONS {
            match parse_quantity(&text, *dimension, unit) {
                Ok(parsed) => prop_assert!(parsed.si.is_finite()),
                Err(error) => {
                    prop_assert!(error.message.chars().count() < 1_000, "{}", error.message.len());
                    prop_assert!(!error.message.chars().any(|c| c.is_control()), "{:?}", error.message);
                }
            }
        }
    }

    #[test]
    fn traces_take_any_bytes(bytes in hostile_bytes()) {
        match proofmark::trace::read(&bytes, &Default::default()) {
            Ok(record) => prop_assert!(record.time_s.iter().all(|it| it.is_finite())),
            Err(error) => seen(&proofmark::report::text::clean_lines(&error.to_string()))?,
        }
    }

    #[test]
    fn forms_take_anything_in_any_field(values in proptest::collection::vec(hostile(), 1..6), toml in hostile()) {
        let desk = Desk::in_memory(still()).unwrap();
        if let Ok(answers) = Answers::from_toml(&toml) {
            let _ = desk.check(Kind::Casing, &answers, None);
        }
        let _ = proofmark::ballistics::Load::from_toml(&toml);
        for form in proofmark::book::forms::FORMS {
            let mut answers = Answers::new();
            for (field, value) in form.fields.iter().chain(proofmark::book::forms::HEAD).zip(values.iter().cycle()) {
                answers.push(field.name, value.clone());
            }
            if let Err(problems) = desk.check(form.kind, &answers, None) {
                prop_assert!(problems.iter().all(|it| it.to_string().chars().count() < 4_000));
            }
            let text: String = values.iter().map(|it| format!("{} = {it}\n", form.fields[0].name)).collect();
            let _ = Answers::from_toml(&text);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: cases() / 4, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_asked_nothing_unseen_comes_out(texts in proptest::collection::vec(hostile(), 3)) {
        let book = shared();
        let file = tempfile::NamedTempFile::new().unwrap();
        std::fs::write(file.path(), &texts[0]).unwrap();
        let path = file.path().to_str().unwrap();
        let flags: Vec<String> = texts.iter().map(|it| it.replace('\0', " ")).collect();
        let asked: Vec<Vec<&str>> = vec![
            vec!["show", &flags[0]],
            vec!["prefire", "MF-1", "--load", &flags[1]],
            vec!["log", "note", "--from", path],
            vec!["log", "casing", "--from", path],
            vec!["log", "note", "--casing", &flags[0], "--text", &flags[1]],
            vec!["log", "strike", "--entry", &flags[0], "--reason", &flags[1]],
            vec!["--on", &flags[2], "rack"],
            vec!["calc", &flags[0], &flags[1]],
            vec!["trace", path],
            vec!["predict", path],
            vec!["margins", "--design", path],
            vec!["merge", path],
            vec!["restore", path],
            vec!["--book", path, "verify"],
            vec!["--book", path, "doctor"],
            vec![&flags[0], &flags[1]],
        ];
        for arguments in asked {
            // A word that begins with a hyphen is a flag; what is tried is text.
            let (code, out, err) = run(book, &arguments);
            prop_assert!(matches!(code, 0..=4), "{code} {arguments:?}");
            seen(&out)?;
            seen(&err)?;
            prop_assert!(code == 0 || code == 4 || !err.is_empty(), "{arguments:?}");
        }
    }
}

fn shared() -> &'static Path {
    static KEPT: std::sync::OnceLock<(tempfile::TempDir, std::path::PathBuf)> = std::sync::OnceLock::new();
    &KEPT
        .get_or_init(|| {
            let folder = tempfile::tempdir().unwrap();
            let book = anns(folder.path());
            (folder, book)
        })
        .1
}

#[test]
fn words_in_a_book_come_out_without_what_a_terminal_acts_on() {
    let folder = tempfile::tempdir().unwrap();
    let book = anns(folder.path());
    let nasty = "a\u{1b}[2Jb\u{202e}c\u{e0041}d<script>=1+1";
    log(&book, Kind::Note, "2026-03-01", "Bo Ray", &[("casing", "MF-1"), ("text", nasty)]);
    // What no form lets through, a stranger's program may have written.
    let escaped = r"x\u001b[2J\u202e<script>";
    let connection = rusqlite::Connection::open(&book).unwrap();
    connection
        .execute_batch(&format!(
            "DROP TRIGGER entry_is_never_changed;
             UPDATE entry SET recorded_by = '{nasty}', second = '{nasty}';
             UPDATE standing SET name = '{nasty}', weakest = '{nasty}', assessment = replace(assessment, '6061-T6', '{escaped}');
             UPDATE entry SET kind = '{nasty}' WHERE number = 3;"
        ))
        .unwrap();
    drop(connection);
    for arguments in [
        ["rack"].as_slice(),
        &["show", "MF-1"],
        &["due", "--on", "2026-10-04"],
        &["verify"],
        &["doctor"],
        &["prefire", "MF-1", "--load", "48A"],
        &["rules"],
        &["margins", "MF-1"],
    ] {
        let (_, out, err) = run(&book, arguments);
        seen(&out).unwrap_or_else(|error| panic!("{arguments:?}: {error}"));
        seen(&err).unwrap_or_else(|error| panic!("{arguments:?}: {error}"));
    }
}
