//! What the program says of itself: shell completions, manual pages, the shape of its JSON.

use std::path::PathBuf;

use clap::{Arg, ArgMatches, Command, value_parser};
use clap_complete::Shell;

use super::{Environment, Fault, arguments};
use crate::report::schema;

pub(super) fn commands() -> [Command; 3] {
    [
        Command::new("completions")
            .about("Completions for a shell, to stdout")
            .arg(Arg::new("shell").required(true).value_name("SHELL").value_parser(value_parser!(Shell))),
        Command::new("man").about("The manual pages, into a folder").arg(
            Arg::new("out")
                .long("out")
                .required(true)
                .value_name("FOLDER")
                .value_parser(value_parser!(PathBuf))
                .help("Where they go; made when it is not there"),
        ),
        Command::new("schema")
            .about("The shape of the JSON of a reading command, or of all of them, as JSON Schema")
            .arg(
                Arg::new("command")
                    .value_name("COMMAND")
                    .value_parser(clap::builder::PossibleValuesParser::new(schema::commands())),
            ),
    ]
}

pub(super) fn completions(matches: &ArgMatches, environment: &mut Environment<'_>) -> Result<(), Fault> {
    let Some(shell) = matches.get_one::<Shell>("shell") else {
        return Err(Fault::input("shell", "name a shell"));
    };
    let mut script = Vec::new();
    clap_complete::generate(*shell, &mut arguments::command(), "proofmark", &mut script);
    Ok(environment.out.write_all(&script)?)
}

/// One page a command, `proofmark.1`, `proofmark-log-firing.1` and so on.
pub(super) fn man(matches: &ArgMatches, environment: &mut Environment<'_>) -> Result<(), Fault> {
    let Some(folder) = matches.get_one::<PathBuf>("out") else {
        return Err(Fault::input("out", "name a folder"));
    };
    let fault = |error: std::io::Error| {
        Fault::input("out", format!("{} cannot be written: {error}", folder.display()))
    };
    std::fs::create_dir_all(folder).map_err(fault)?;
    let mut written = 0;
    let mut root = arguments::command();
    // Only a built command knows the flags that every command takes.
    root.build();
    let mut open = vec![("proofmark".to_owned(), root)];
    while let Some((name, command)) = open.pop() {
        for sub in command.get_subcommands().filter(|sub| !sub.is_hide_set()) {
            open.push((format!("{name}-{}", sub.get_name()), sub.clone()));
        }
        let mut page = Vec::new();
        clap_mangen::Man::new(command.name(name.clone())).render(&mut page).map_err(fault)?;
        super::write_file::write(&folder.join(format!("{name}.1")), &page, environment)?;
        written += 1;
    }
    writeln!(
        environment.out,
        "{written} pages are in {}: man -l {}/proofmark.1",
        folder.display(),
        folder.display()
    )?;
    Ok(())
}

pub(super) fn schema(matches: &ArgMatches, environment: &mut Environment<'_>) -> Result<(), Fault> {
    let document = match matches.get_one::<String>("command") {
        Some(command) => schema::document(command)
            .ok_or_else(|| Fault::input("command", format!("{command} is not described")))?,
        None => schema::all(),
    };
    writeln!(environment.out, "{document:#}")?;
    Ok(())
}
