//! `calc`: the shop calculators. Without a name they are listed; `NAME --help` explains one; `NAME key=value …`
//! runs it.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use clap::{Arg, ArgAction, ArgMatches, Command};

use super::{Choices, Environment, Fault};
use crate::book::Problem;
use crate::desk::calculators::{self, Calculator, Need, Outcome, Output, Shows};
use crate::quantity::System;
use crate::report::text::clean;

pub(super) fn command() -> Command {
    Command::new("calc")
        .about("The shop calculators: list them, explain one (NAME --help), or run one (NAME key=value …)")
        .disable_help_flag(true)
        .arg(Arg::new("name").value_name("NAME").help("Which calculator; all are listed without one"))
        .arg(
            Arg::new("inputs")
                .value_name("key=value")
                .action(ArgAction::Append)
                .help("Its inputs, with their units: od=\"3.5 in\" wall=4mm pressure=\"1500 psi\""),
        )
        .arg(
            Arg::new("help")
                .long("help")
                .short('h')
                .action(ArgAction::SetTrue)
                .help("Formula, inputs, range and source of the calculator named"),
        )
}

pub(super) fn calc(
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let Some(name) = matches.get_one::<String>("name") else {
        return list(choices, environment);
    };
    let Some(calculator) = calculators::find(name) else {
        // The error of an unknown name lists them all.
        return calculators::run(name, &BTreeMap::new()).map(|_| ()).map_err(Fault::Input);
    };
    if matches.get_flag("help") && choices.json {
        let mut one = described(calculator);
        one["schema"] = crate::report::json::SCHEMA.into();
        writeln!(environment.out, "{one}")?;
        return Ok(());
    }
    if matches.get_flag("help") {
        write!(environment.out, "{}", explain(calculator))?;
        return Ok(());
    }
    let outcome = calculator.run(&typed(matches)?).map_err(|mut problems| {
        if let Some(first) = problems.first_mut() {
            let _ = write!(first.message, " (proofmark calc {} --help tells more)", calculator.name);
        }
        Fault::Input(problems)
    })?;
    if choices.json {
        let json = serde_json::to_string(&outcome)
            .map_err(|error| Fault::input("results", format!("cannot be written as JSON: {error}")))?;
        writeln!(environment.out, "{json}")?;
    } else {
        write!(environment.out, "{}", table(&outcome, choices.system))?;
    }
    Ok(())
}

/// The words `key=value`, each key once.
fn typed(matches: &ArgMatches) -> Result<BTreeMap<String, String>, Fault> {
    let mut given = BTreeMap::new();
    let mut problems = Vec::new();
    for word in matches.get_many::<String>("inputs").into_iter().flatten() {
        match word.split_once('=') {
            Some((key, value)) if !key.trim().is_empty() => {
                if given.insert(key.trim().to_owned(), value.to_owned()).is_some() {
                    problems.push(Problem::new(&clean(key.trim()), "is given twice: give it once"));
                }
            }
            _ => problems.push(Problem::new(
                "inputs",
                format!(
                    "{} is not key=value: write it like od=\"3.5 in\"",
                    crate::quantity::text::quote(word)
                ),
            )),
        }
    }
    if problems.is_empty() { Ok(given) } else { Err(Fault::Input(problems)) }
}

fn list(choices: &Choices, environment: &mut Environment<'_>) -> Result<(), Fault> {
    if choices.json {
        let all: Vec<_> = calculators::list().map(described).collect();
        writeln!(
            environment.out,
            "{}",
            serde_json::json!({"schema": crate::report::json::SCHEMA, "calculators": all})
        )?;
        return Ok(());
    }
    let width = calculators::list().map(|it| it.name.len()).max().unwrap_or(0);
    let mut out = String::new();
    for calculator in calculators::list() {
        let _ = writeln!(out, "{:width$}  {}", calculator.name, calculator.purpose);
    }
    out.push_str(
        "\nproofmark calc NAME --help explains one. proofmark calc NAME key=value … runs it, with --json for programs.\n",
    );
    write!(environment.out, "{out}")?;
    Ok(())
}

fn described(calculator: &Calculator) -> serde_json::Value {
    let inputs: Vec<_> = calculator
        .inputs
        .iter()
        .map(|it| {
            serde_json::json!({
                "name": it.name, "help": it.help, "accepts": it.accepted(), "required": it.need == Need::Required,
                "default": match it.need { Need::Default(text) => Some(text), _ => None },
                "one_of": match it.need { Need::OneOf(words) => Some(words), _ => None },
            })
        })
        .collect();
    let results: Vec<_> =
        calculator.results.iter().map(|it| serde_json::json!({"key": it.key, "help": it.help})).collect();
    serde_json::json!({
        "name": calculator.name, "purpose": calculator.purpose, "formula": calculator.formula, "inputs": inputs,
        "results": results, "range": calculator.range, "outside": calculator.outside, "source": calculator.source,
    })
}

/// Formula, inputs, results, range, what happens outside it, source.
fn explain(calculator: &Calculator) -> String {
    let mut out = format!(
        "{}: {}\n\nformula\n  {}\n\ninputs\n",
        calculator.name, calculator.purpose, calculator.formula
    );
    let width = calculator.inputs.iter().map(|it| it.name.len()).max().unwrap_or(0);
    for input in calculator.inputs {
        let need = match input.need {
            Need::Required => String::new(),
            Need::Optional => " (may be left out)".to_owned(),
            Need::OneOf(words) => format!(" ({words})"),
            Need::Default(text) => format!(" ({text} when left out)"),
        };
        let _ = writeln!(out, "  {:width$}  {}{need}", input.name, input.help);
        let _ = writeln!(out, "  {:width$}    {}", "", input.accepted());
    }
    out.push_str("\nresults\n");
    let width = calculator.results.iter().map(|it| it.key.len()).max().unwrap_or(0);
    for output in calculator.results {
        let _ = writeln!(out, "  {:width$}  {}", output.key, output.help);
    }
    let _ = writeln!(
        out,
        "\nvalid\n  {}\n\noutside that\n  {}\n\nsource\n  {}",
        calculator.range, calculator.outside, calculator.source
    );
    out
}

/// A small table: what was taken, what was found, what to know, and the source below.
fn table(outcome: &Outcome, system: System) -> String {
    let label = |output: &Output| output.label().to_owned();
    let mut rows: Vec<(String, String, String)> = Vec::new();
    for echo in &outcome.inputs {
        let shown: Vec<_> = echo.values.iter().map(|(_, item, shows)| item.shown(*shows, system)).collect();
        let shown = shown.join(" at ");
        let as_typed = echo.values.iter().any(|(_, _, shows)| matches!(shows, Shows::Quantity(..)));
        let typed =
            if as_typed && echo.typed != shown { format!("typed {}", echo.typed) } else { String::new() };
        rows.push((echo.name.to_owned(), shown, typed));
    }
    let given = rows.len();
    for finding in &outcome.results {
        let shown = finding.value.shown(finding.output.shows, system);
        rows.push((label(finding.output), shown, finding.output.help.to_owned()));
    }
    let names = rows.iter().map(|it| it.0.chars().count()).max().unwrap_or(0);
    let values = rows.iter().map(|it| it.1.chars().count()).filter(|width| *width <= 24).max().unwrap_or(0);
    let mut out = format!("{}: {}\n", outcome.calculator.name, outcome.calculator.purpose);
    for (index, (name, value, help)) in rows.iter().enumerate() {
        if index == given {
            out.push('\n');
        }
        let line = format!("  {name:names$}  {value:>values$}  {help}");
        let _ = writeln!(out, "{}", clean(line.trim_end()));
    }
    for warning in &outcome.warnings {
        let _ = writeln!(out, "! {}", clean(warning));
    }
    let _ = writeln!(out, "source: {}", clean(&outcome.source));
    out
}
