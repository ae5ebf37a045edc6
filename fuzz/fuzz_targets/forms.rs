//! Any text as a TOML form of every kind, a load file, a design and a draft; and as answers typed field by field, where
//! the first byte of the text chooses the form and each line begins with a letter that chooses its field. No panic; a
//! form that is taken gives an entry whose JSON reads back as the same entry and whose draft reads back as the same
//! answers; a load that can be burnt has finite figures; a design that is taken is taken again from its own words.
#![no_main]

use libfuzzer_sys::fuzz_target;
use proofmark::ballistics::Load;
use proofmark::book::reader::{self, read};
use proofmark::book::{Answers, Details, Form, Problem, forms};
use proofmark::desk::bench::shape;
use proofmark::desk::calculators::plan;
use proofmark::desk::view::sentence;
use proofmark::desk::{Desk, what_if};
use proofmark::quantity::{Dimension, Quantity, System, parse_field};
use proofmark_fuzz::{still, tell, today};
use serde_json::Value;

thread_local! {
    static DESK: Desk = {
        let mut desk = Desk::in_memory(still()).unwrap();
        tell(&mut desk);
        desk
    };
}

fn said(problems: &[Problem]) {
    assert!(!problems.is_empty());
    assert!(problems.iter().all(|it| it.message.chars().count() < 4_000), "{problems:?}");
}

/// Words kept beside a value are that value: whoever reads the entry later may read them again.
fn read_back(json: &Value) {
    match json {
        Value::Array(items) => items.iter().for_each(read_back),
        Value::Object(map) => {
            map.values().for_each(read_back);
            let (Some(Value::String(words)), Some((key, number))) =
                (map.get("typed"), map.iter().find(|(key, it)| *key != "typed" && it.is_number()))
            else {
                return;
            };
            let si = number.as_f64().unwrap();
            let read: &[Result<f64, _>] = &match key.as_str() {
                "m" => vec![parse_field(words, Dimension::Length, None, None)],
                "kg" => vec![parse_field(words, Dimension::Mass, None, None)],
                "n" => vec![parse_field(words, Dimension::Force, None, None)],
                "s" => vec![parse_field(words, Dimension::Time, None, None)],
                "k" => vec![
                    parse_field(words, Dimension::Temperature, None, None),
                    parse_field(words, Dimension::TemperatureDifference, None, None),
                ],
                "pa" => [None, Some(false), Some(true)]
                    .map(|absolute| parse_field(words, Dimension::Pressure, absolute, None))
                    .to_vec(),
                _ => return,
            };
            let near = |it: &f64| (it - si).abs() <= 1e-9 * si.abs().max(101_325.0 * f64::from(key == "pa"));
            assert!(read.iter().flatten().any(near), "{words:?} is {si} {key}: {read:?}");
        }
        _ => {}
    }
}

fn judge(form: &Form, answers: &Answers) {
    DESK.with(|desk| {
        for bare_numbers in [None, Some(System::Us)] {
            let checked = desk.check(form.kind, answers, bare_numbers);
            let on_paper = reader::Desk { today: today(), bare_numbers, on_record: desk.book() };
            match read(form.kind, answers, &on_paper) {
                Ok(read) => {
                    assert!(checked.is_ok());
                    let json = read.details.to_json().unwrap().to_string();
                    let again = Details::from_json(form.kind, &json)
                        .unwrap_or_else(|error| panic!("{error}: {json}"));
                    assert_eq!(again, read.details, "{json}");
                    read_back(&read.details.to_json().unwrap());
                    assert!(!sentence(&read.details, System::Si).is_empty());
                }
                Err(problems) => {
                    said(&problems);
                    assert!(checked.is_err());
                }
            }
        }
        let _ = desk.odd(form.kind, answers, None);
    });
}

fn burn(load: &Load) {
    let figures = match plan(load, Some((20, 1))) {
        Ok(figures) => figures,
        Err(problem) => return said(&[problem]),
    };
    for number in [
        figures.peak_pressure_absolute_pa.si(),
        figures.peak_thrust_n.si(),
        figures.impulse_ns.si(),
        figures.burn_time_s.si(),
        figures.propellant_kg.si(),
        figures.kn_max,
    ] {
        assert!(number.is_finite() && number >= 0.0, "{figures:?}");
    }
}

fuzz_target!(|text: &str| {
    if let Some(draft) = Answers::from_json(text) {
        assert_eq!(Answers::from_json(&draft.to_json()), Some(draft));
    }
    match Load::from_toml(text) {
        Ok(load) => burn(&load),
        Err(error) => assert!(!error.to_string().chars().any(|c| c.is_control() && c != '\n')),
    }
    match Answers::from_toml(text) {
        Ok(mut answers) => {
            assert_eq!(Answers::from_json(&answers.to_json()).as_ref(), Some(&answers));
            if let Ok((design, _)) = what_if::read_design(&answers) {
                let again = what_if::read_design(&what_if::answers_of(&design));
                assert_eq!(again.map(|it| it.0).as_ref(), Ok(&design));
            }
            for form in forms::FORMS {
                judge(form, &answers);
            }
            if shape::adapt(Some(text), &mut answers).is_ok() {
                judge(forms::form(proofmark::book::Kind::Load).unwrap(), &answers);
            }
        }
        Err(problems) => said(&problems),
    }
    let Some(first) = text.bytes().next() else { return };
    let form = &forms::FORMS[usize::from(first) % forms::FORMS.len()];
    let mut answers = Answers::new();
    for line in text.lines() {
        let mut letters = line.chars();
        let Some(letter) = letters.next() else { continue };
        let fields: Vec<_> = form.fields.iter().chain(forms::HEAD).collect();
        answers.push(fields[letter as usize % fields.len()].name, letters.as_str());
    }
    judge(form, &answers);
});
