//! `margins`: which failure mode is thinnest, of a casing on record or only on paper.

use std::path::PathBuf;

use chrono::NaiveDate;
use clap::ArgMatches;

use super::look::print;
use super::{Choices, Environment, Fault};
use crate::book::reader::{self, OnRecord, Reader};
use crate::book::{Answers, EntryId, SubjectOf, details, forms};
use crate::design::Design;
use crate::quantity::{GaugePressure, Quantity, Typed};
use crate::report::{json, text};
use crate::strength::{self, LocalState};

/// A design file stands alone: nothing is on record for it.
struct Nothing;

impl OnRecord for Nothing {
    fn knows(&self, _: SubjectOf, _: &str) -> bool {
        false
    }
    fn nearest(&self, _: SubjectOf, _: &str) -> Option<String> {
        None
    }
    fn entry(&self, _: &str) -> Result<EntryId, String> {
        Err("a design names no entry".to_owned())
    }
    fn design(&self, _: &str) -> Option<Design> {
        None
    }
}

pub(super) fn margins(
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let pressure = matches
        .get_one::<String>("pressure")
        .map(|text| {
            Typed::<GaugePressure>::parse(text, None)
                .map_err(|error| Fault::input("pressure", error.to_string()))
        })
        .transpose()?
        .map(|typed| typed.value);
    if pressure.is_some_and(|pressure| pressure.si() <= 0.0) {
        return Err(Fault::input("pressure", "must be more than nothing"));
    }
    let (title, margins) = match matches.get_one::<PathBuf>("design") {
        Some(path) => {
            let (design, warnings) = read_design(path, environment)?;
            for warning in warnings {
                writeln!(environment.err, "warning: {}", text::clean(&warning.to_string()))?;
            }
            (path.display().to_string(), strength::margins(&design, pressure, &LocalState::default()))
        }
        None => {
            let serial = super::arguments::required(matches, "serial");
            let page = choices.read(environment)?.casing(serial)?;
            let margins = page.assessed.margins(pressure).ok_or_else(|| {
                Fault::input("serial", format!("{serial} was not registered yet on {}", page.day))
            })?;
            (serial.to_owned(), margins)
        }
    };
    let margins = margins.map_err(|error| Fault::input("design", error.to_string()))?;
    for objection in &margins.objections {
        writeln!(environment.err, "objection: {}", text::clean(objection))?;
    }
    let value = || {
        let mut value = serde_json::to_value(&margins).unwrap_or_default();
        if let Some(map) = value.as_object_mut() {
            map.insert("schema".to_owned(), json::SCHEMA.into());
        }
        value
    };
    print(value, || text::margins(&title, &margins, choices.system), choices, environment)
}

fn read_design(
    path: &std::path::Path,
    environment: &Environment<'_>,
) -> Result<(Design, Vec<crate::book::Problem>), Fault> {
    let shown = path.display();
    let bytes = std::fs::read(path)
        .map_err(|error| Fault::input("design", format!("{shown} cannot be read: {error}")))?;
    let text =
        String::from_utf8(bytes).map_err(|_| Fault::input("design", format!("{shown} is not UTF-8 text")))?;
    let answers = Answers::from_toml(&text)?;
    let today: NaiveDate = (environment.surroundings)().today();
    let desk = reader::Desk { today, bare_numbers: None, on_record: &Nothing };
    let mut reader = Reader::new(forms::DESIGN, &answers, &desk);
    reader.refuse_unknown("a design", forms::DESIGN);
    let design = details::design(&mut reader);
    match design {
        Some(design) if reader.problems.is_empty() => Ok((design, reader.warnings)),
        _ => Err(Fault::Input(reader.problems)),
    }
}
