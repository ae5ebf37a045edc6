//! `import`: old notebooks from CSV, shown first, then taken in whole or not at all.

use std::path::PathBuf;

use clap::{Arg, ArgAction, ArgMatches, Command, value_parser};
use serde_json::{Value, json};

use super::{Choices, Environment, Fault};
use crate::book::Kind;
use crate::book::forms;
use crate::desk::import::{DayOrder, Mapping, Tried, Wish, bench};
use crate::desk::{Desk, Refusal};
use crate::report::{json::SCHEMA, text::clean};

/// Rows shown of a clean import.
const SHOWN: usize = 12;

pub(super) fn command() -> Command {
    let many = |name: &'static str, value: &'static str, help: &'static str| {
        Arg::new(name).long(name).value_name(value).action(ArgAction::Append).help(help)
    };
    Command::new("import")
        .about("Take an old notebook in from CSV: shows what it would write; --apply writes it, whole or not at all")
        .after_help(
            "The first line names the columns: a field's name or label, with its unit in brackets where the cells have none\n\
             (\"Peak pressure (psi)\"). Other names are mapped: --map \"Chamber max=peak_pressure:psi\". Readings at a station:\n\
             --map \"OD mid=od[120 mm @ 0]:mm\". A column \"kind\" says what each row is, else --kind. A date may be a month\n\
             or a year, or carry a ~ or ?: it is kept as a guess. One strike of the counting entry undoes an import.",
        )
        .arg(Arg::new("file").required(true).value_name("FILE.csv").value_parser(value_parser!(PathBuf)))
        .arg(
            Arg::new("kind").long("kind").value_name("KIND")
                .value_parser(clap::builder::PossibleValuesParser::new(forms::FORMS.iter().map(|form| form.kind.word())))
                .help("What every row is"),
        )
        .arg(many("map", "HEADER=FIELD[:UNIT]", "Take a column for a field"))
        .arg(many("skip", "HEADER", "Leave a column out"))
        .arg(many("set", "FIELD=VALUE", "The same in every row that does not say otherwise"))
        .arg(
            Arg::new("dates").long("dates").value_name("ORDER").value_parser(["dmy", "mdy"])
                .help("How dates such as 3/4/2021 are written"),
        )
        .arg(Arg::new("date-approximate").long("date-approximate").action(ArgAction::SetTrue).help("Every date is a guess"))
        .arg(Arg::new("preview").long("preview").action(ArgAction::SetTrue).conflicts_with("apply").help("Only show what would be written (the default)"))
        .arg(Arg::new("apply").long("apply").action(ArgAction::SetTrue).help("Write it"))
}

fn wish(matches: &ArgMatches, choices: &Choices) -> Result<Wish, Fault> {
    let words = |name: &str| -> Vec<String> {
        matches.get_many::<String>(name).into_iter().flatten().cloned().collect()
    };
    let maps: Result<Vec<Mapping>, _> = words("map").iter().map(|text| Mapping::parse(text)).collect();
    let set: Result<Vec<(String, String)>, Fault> = words("set")
        .iter()
        .map(|text| {
            text.split_once('=')
                .map(|(field, value)| (field.trim().to_owned(), value.trim().to_owned()))
                .ok_or_else(|| {
                    Fault::input(
                        "set",
                        format!("\"{}\" is not FIELD=VALUE", crate::book::reading::shorten(text)),
                    )
                })
        })
        .collect();
    Ok(Wish {
        kind: matches.get_one::<String>("kind").and_then(|word| Kind::from_word(word)),
        maps: maps.map_err(|problem| Fault::Input(vec![problem]))?,
        skip: words("skip"),
        set: set?,
        approximate: matches.get_flag("date-approximate"),
        order: match matches.get_one::<String>("dates").map(String::as_str) {
            Some("dmy") => Some(DayOrder::DayFirst),
            Some(_) => Some(DayOrder::MonthFirst),
            None => None,
        },
        by: choices.by.clone(),
    })
}

pub(super) fn import(
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let Some(path) = matches.get_one::<PathBuf>("file") else {
        return Err(Fault::input("file", "name a CSV file"));
    };
    let wish = wish(matches, choices)?;
    let bytes = crate::store::regular::read(path, crate::store::regular::NOTEBOOK)
        .map_err(|error| Fault::input("file", format!("{} cannot be read: {error}", path.display())))?;
    let name = path
        .file_name()
        .map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned());
    let book = choices.named_book()?.to_path_buf();
    let mut trial = bench(&book, (environment.surroundings)())?;
    let tried = trial.try_import(&name, &bytes, &wish)?;
    drop(trial);
    let clean_import = tried.clean();
    let apply = matches.get_flag("apply");
    let mut value = preview_json(&tried);
    let mut words = preview_text(&tried, apply);
    if !clean_import {
        super::look::print(|| value, || words, choices, environment)?;
        let rows = tried.rows.iter().filter(|row| !row.problems.is_empty()).count();
        let what =
            if rows == 0 { "it".to_owned() } else { format!("{rows} of its {} rows", tried.rows.len()) };
        return Err(Fault::input("file", format!("{what} cannot be taken in as it is; nothing was stored")));
    }
    if apply {
        let by = wish
            .by
            .clone()
            .ok_or_else(|| Fault::input("by", "who takes it in? give --by NAME or PROOFMARK_BY"))?;
        let mut desk = Desk::writing(&book, (environment.surroundings)(), None)?;
        let recorded = desk.take_import(tried, &by).map_err(|refusal| match refusal {
            Refusal::Form(problems) => Fault::Input(problems),
            other => other.into(),
        })?;
        let number = recorded.entries.last().map_or(0, |entry| entry.number);
        value["applied"] = true.into();
        value["counting_entry"] = number.into();
        for line in &recorded.follows {
            words.push_str(&clean(&line.shown(choices.system)));
            words.push('\n');
        }
    }
    let number = value["counting_entry"].as_i64();
    super::look::print(|| value, || words, choices, environment).map_err(|fault| match number {
        Some(number) => fault.unsaid(|| format!("taken in, counted by entry {number}")),
        None => fault,
    })
}

fn preview_json(tried: &Tried) -> Value {
    json!({
        "schema": SCHEMA,
        "file": tried.file,
        "sha256": tried.sha256,
        "clean": tried.clean(),
        "applied": false,
        "counting_entry": null,
        "entries": tried.entries(),
        "problems": tried.problems,
        "columns": tried.columns.iter().map(|column| json!({
            "header": column.header, "field": column.field, "station": column.station, "unit": column.unit,
        })).collect::<Vec<_>>(),
        "rows": tried.rows.iter().map(|row| json!({
            "line": row.line,
            "kind": row.kind.map(Kind::word),
            "on": row.on.map(|(day, _)| day.to_string()),
            "date_approximate": row.on.map(|(_, guess)| guess),
            "text": row.says,
            "warnings": row.warnings,
            "problems": row.problems,
        })).collect::<Vec<_>>(),
    })
}

fn preview_text(tried: &Tried, apply: bool) -> String {
    use std::fmt::Write as _;
    let mut out = format!("{}: {}\n", clean(&tried.file), crate::quantity::counted(tried.rows.len(), "row"));
    for column in &tried.columns {
        let unit = column.unit.as_ref().map_or_else(String::new, |unit| format!(" in {}", clean(unit)));
        let station =
            column.station.as_ref().map_or_else(String::new, |station| format!(" at {}", clean(station)));
        let _ = match column.field {
            Some(field) => writeln!(out, "  {:24} is {field}{station}{unit}", clean(&column.header)),
            None => writeln!(
                out,
                "  {:24} is not used; --map \"{}=FIELD\" takes it",
                clean(&column.header),
                clean(&column.header)
            ),
        };
    }
    for problem in &tried.problems {
        let _ = writeln!(out, "! {}", clean(&problem.to_string()));
    }
    let bad: Vec<_> = tried.rows.iter().filter(|row| !row.problems.is_empty()).collect();
    for row in &bad {
        for problem in &row.problems {
            let _ = writeln!(out, "line {:>4}: {}", row.line, clean(&problem.to_string()));
        }
    }
    if !tried.clean() {
        return out;
    }
    for row in tried.rows.iter().take(SHOWN) {
        let day =
            row.on.map_or_else(String::new, |(day, guess)| format!("{}{day}", if guess { "~" } else { " " }));
        let _ = writeln!(
            out,
            "line {:>4}: {day} {:11} {}",
            row.line,
            row.kind.map_or("", Kind::word),
            clean(&row.says)
        );
    }
    if tried.rows.len() > SHOWN {
        let _ = writeln!(out, "and {} more rows", tried.rows.len() - SHOWN);
    }
    for row in &tried.rows {
        for warning in &row.warnings {
            let _ = writeln!(out, "line {:>4} warns: {}", row.line, clean(&warning.to_string()));
        }
    }
    if !apply {
        let _ = writeln!(
            out,
            "{} would be written. Nothing was stored; --apply writes them all",
            crate::quantity::counted(tried.entries(), "entry")
        );
    }
    out
}
