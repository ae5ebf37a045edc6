//! `drift`: how the batches burn, and whether one drifts.

use clap::{Arg, ArgMatches, Command};

use super::look::print;
use super::{Choices, Environment, Fault};
use crate::book::SubjectOf;
use crate::report::{after, json};

pub(super) fn command() -> Command {
    Command::new("drift")
        .about("Does a batch burn as planned? The burn-rate factor of every firing on record, and its drift")
        .arg(Arg::new("batch").long("batch").value_name("NAME").help("Only this batch"))
}

pub(super) fn drift(
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let desk = choices.read(environment)?;
    let only = matches.get_one::<String>("batch").map(String::as_str);
    if let Some(batch) = only
        && !desk.book().knows(SubjectOf::Batch, batch)?
    {
        let shown = crate::book::reading::shorten(batch);
        let known = desk.book().names(SubjectOf::Batch)?.join(", ");
        return Err(Fault::input("batch", format!("no batch \"{shown}\" is on record; there are: {known}")));
    }
    let report = desk.batch_factors(only)?;
    let value = || {
        let mut value = serde_json::to_value(&report).unwrap_or_default();
        if let Some(map) = value.as_object_mut() {
            map.insert("schema".to_owned(), json::SCHEMA.into());
        }
        value
    };
    print(value, || after::drift(&report), choices, environment)
}
