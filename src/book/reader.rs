//! From text to a record: reads a form's answers field by field, collects every problem at once, and warns
//! where a number looks like a classic slip. Nothing is converted in silence and nothing typed is thrown away.

use chrono::NaiveDate;

use super::EntryId;
use super::alike;
use super::answers::Answers;
use super::details::Details;
use super::form::{Ask, Field, Form, Problem, nearest};
use super::forms;
use super::reading::{Reading, What, shorten};
use super::words::{Kind, SubjectOf};
use crate::design::Design;
use crate::quantity::{
    self, AbsolutePressure, Dimension, GaugePressure, Quantity, Reference, STANDARD_ATMOSPHERE_PA, System,
    Temperature, Typed,
};

/// What the reader needs to know of the book: whether a name is on record, and what to expect of it.
pub trait OnRecord {
    /// Whether a subject is on record.
    fn knows(&self, of: SubjectOf, name: &str) -> bool;
    /// The name on record nearest to a mistyped one.
    fn nearest(&self, of: SubjectOf, name: &str) -> Option<String>;
    /// A name on record that differs from this only in letter case or blanks.
    fn alike(&self, of: SubjectOf, name: &str) -> Option<String>;
    /// The entry a person means by a number or the start of an id.
    ///
    /// # Errors
    /// No entry, or more than one, answers to it.
    fn entry(&self, text: &str) -> Result<EntryId, String>;
    /// A casing on paper, for the guard against slips.
    fn design(&self, casing: &str) -> Option<Design>;
}

/// What the reader takes from its surroundings.
pub struct Desk<'a> {
    /// The day it is.
    pub today: NaiveDate,
    /// The units a bare number is taken in; `None` refuses a bare number.
    pub bare_numbers: Option<System>,
    /// What is on record.
    pub on_record: &'a dyn OnRecord,
}

/// The head of an entry as typed.
#[derive(Clone, Debug, PartialEq)]
pub struct Head {
    /// The day it happened.
    pub happened_on: NaiveDate,
    /// Whether that day is a guess.
    pub date_approximate: bool,
    /// Who writes it.
    pub by: String,
    /// The second person.
    pub second: Option<String>,
}

/// An entry as read, with what looked odd about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Read {
    /// The head.
    pub head: Head,
    /// The record; the desk fills in what only the book knows.
    pub details: Details,
    /// What looks like a slip. The value stands as typed.
    pub warnings: Vec<Problem>,
}

/// Read a form.
///
/// # Errors
/// Every problem of every field, each naming the field, the reason and what would be accepted.
pub fn read(kind: Kind, answers: &Answers, desk: &Desk<'_>) -> Result<Read, Vec<Problem>> {
    let Some(form) = forms::form(kind) else {
        return Err(vec![Problem::new("kind", format!("a {kind} entry is not written by hand"))]);
    };
    let mut reader = Reader::new(form.fields, answers, desk);
    reader.refuse_unknown_fields(form);
    let head = reader.head();
    let details = super::details::read(kind, &mut reader);
    match (reader.problems.is_empty(), head, details) {
        (true, Some(head), Some(details)) => Ok(Read { head, details, warnings: reader.warnings }),
        _ => Err(reader.problems),
    }
}

/// What looks like a slip in a form that is not whole yet: each field is judged as soon as it is answered.
pub fn odd(kind: Kind, answers: &Answers, desk: &Desk<'_>) -> Vec<Problem> {
    let Some(form) = forms::form(kind) else { return Vec::new() };
    let mut reader = Reader::new(form.fields, answers, desk);
    let _ = super::details::read(kind, &mut reader);
    reader.warnings
}

/// Reads one form's fields and collects what is wrong with them.
pub struct Reader<'a> {
    fields: &'static [Field],
    answers: &'a Answers,
    desk: &'a Desk<'a>,
    /// What is wrong.
    pub problems: Vec<Problem>,
    /// What looks odd.
    pub warnings: Vec<Problem>,
}

impl<'a> Reader<'a> {
    /// A reader over a table of fields.
    pub fn new(fields: &'static [Field], answers: &'a Answers, desk: &'a Desk<'a>) -> Self {
        Self { fields, answers, desk, problems: Vec::new(), warnings: Vec::new() }
    }

    /// What is on record.
    pub fn on_record(&self) -> &'a dyn OnRecord {
        self.desk.on_record
    }

    fn refuse_unknown_fields(&mut self, form: &Form) {
        for field in self.answers.fields() {
            if form.field(field).is_none() && !forms::HEAD.iter().any(|head| head.name == field) {
                let known = form.fields.iter().chain(forms::HEAD).map(|field| field.name);
                let hint = nearest(field, known).map_or_else(
                    || format!("see proofmark log {} --help", form.kind),
                    |near| format!("did you mean {near}?"),
                );
                self.problems.push(Problem::new(
                    &shorten(field),
                    format!("a {} has no such field; {hint}", form.kind),
                ));
            }
        }
    }

    /// Refuse answers that are no field of a table.
    pub fn refuse_unknown(&mut self, what: &str, fields: &[Field]) {
        for field in self.answers.fields() {
            if fields.iter().all(|known| known.name != field) {
                let hint = nearest(field, fields.iter().map(|known| known.name))
                    .map_or_else(String::new, |near| format!("; did you mean {near}?"));
                self.problems.push(Problem::new(&shorten(field), format!("{what} has no such field{hint}")));
            }
        }
    }

    fn head(&mut self) -> Option<Head> {
        let happened_on = match self.answers.text("on") {
            None => Some(self.desk.today),
            Some(text) => match read_date(text, self.desk.today) {
                Ok(date) if date > self.desk.today => {
                    self.wrong(
                        "on",
                        format!(
                            "{date} has not come yet (today is {}); an entry records what happened",
                            self.desk.today
                        ),
                    );
                    None
                }
                Ok(date) => Some(date),
                Err(message) => {
                    self.wrong("on", message);
                    None
                }
            },
        };
        let date_approximate = self.yes_no_of("date_approximate").unwrap_or(false);
        let by = self.answers.text("by").map(person_as_written).filter(|by| !by.is_empty());
        match &by {
            None => {
                self.wrong("by", "every entry has a writer: give --by NAME, or set PROOFMARK_BY".to_owned())
            }
            Some(name) => self.must_name("by", name, "your"),
        }
        let second = self.answers.text("second").map(person_as_written);
        if let Some(second) = &second {
            let shown = shorten(second);
            self.must_name("second", second, "the second person's");
            if by.as_ref().is_some_and(|by| alike::same_person(by, second)) {
                self.wrong(
                    "second",
                    format!("{shown} is also the writer; the second person must be another"),
                );
            }
        }
        Some(Head { happened_on: happened_on?, date_approximate, by: by?, second })
    }

    /// Whether a text is somebody's name: what another book must be able to take in, too.
    fn must_name(&mut self, field: &str, name: &str, whose: &str) {
        let shown = shorten(name);
        if alike::person(name).chars().count() < 2 {
            self.wrong(field, format!("\"{shown}\" is no name: write {whose} name in full"));
        } else if name.chars().count() > LONGEST_NAME {
            let message =
                format!("\"{shown}\" is longer than {LONGEST_NAME} letters: write {whose} name alone");
            self.wrong(field, message);
        } else if name.chars().any(char::is_control) {
            let message =
                format!("\"{shown}\" holds letters nobody can see: write {whose} name in plain letters");
            self.wrong(field, message);
        }
    }

    /// Note a problem.
    pub fn wrong(&mut self, field: &str, message: String) {
        self.problems.push(Problem::new(field, message));
    }

    /// Note something odd.
    pub fn odd(&mut self, field: &str, message: String) {
        self.warnings.push(Problem::new(field, message));
    }

    fn spec(&self, name: &str) -> Option<&'static Field> {
        self.fields.iter().find(|field| field.name == name)
    }

    /// Whether a field has an answer.
    pub fn has(&self, name: &str) -> bool {
        self.answers.text(name).is_some()
    }

    /// Whether any field under a prefix has an answer.
    pub fn has_any(&self, prefix: &str) -> bool {
        self.answers.fields().any(|field| field.starts_with(prefix) && self.answers.text(field).is_some())
    }

    /// The text of a field; missing is a problem where the field is required.
    fn raw(&mut self, name: &str) -> Option<&'a str> {
        let text = self.answers.text(name);
        if text.is_none() && self.spec(name).is_some_and(|field| field.required) {
            let help = self.spec(name).map_or("", |field| field.help);
            let accepted = match self.spec(name).map(|field| field.ask) {
                Some(Ask::Word(words)) => format!("one of: {}", words.join(", ")),
                Some(Ask::YesNo) => "yes or no".to_owned(),
                _ => help.to_owned(),
            };
            self.wrong(name, format!("missing; it takes {accepted}"));
        }
        text
    }

    /// A line or lines of text. What separates without being seen (tabs, carriage returns) becomes one blank, so that
    /// two readings never run into one; line ends stay.
    pub fn text(&mut self, name: &str) -> Option<String> {
        let text = self.raw(name)?;
        if text.chars().count() > 20_000 {
            self.wrong(
                name,
                "longer than 20,000 characters; put the rest in a file and add it as a photo or trace"
                    .to_owned(),
            );
            return None;
        }
        let settled = separated(text, true);
        if text.chars().any(|c| c.is_control() && !matches!(c, '\n' | '\r')) {
            let message = format!(
                "a tab or other unseen mark in it was made a blank: it reads \"{}\"",
                shorten(&settled)
            );
            self.odd(name, message);
        }
        Some(settled)
    }

    /// A new serial or name: short, printable, no spaces at the ends.
    pub fn new_name(&mut self, name: &str) -> Option<String> {
        let text = self.raw(name)?;
        let fits = text.chars().count() <= 40
            && text.chars().all(|c| c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | '/' | '+' | ' '));
        if !fits {
            self.wrong(
                name,
                format!(
                    "\"{}\" is no serial or name: up to 40 letters, digits, spaces and - _ . / +",
                    shorten(text)
                ),
            );
            return None;
        }
        Some(text.to_owned())
    }

    /// A new serial: as it is stamped, in plain letters, so that two marks that look alike are one.
    pub fn serial(&mut self, name: &str, of: SubjectOf) -> Option<String> {
        let serial = self.new_name(name)?;
        if !serial.is_ascii() {
            self.wrong(
                name,
                format!(
                    "\"{}\" has letters that look like others: use A to Z, digits and - _ . / +",
                    shorten(&serial)
                ),
            );
            return None;
        }
        if !self.desk.on_record.knows(of, &serial)
            && let Some(like) = self.desk.on_record.alike(of, &serial)
        {
            self.wrong(
                name,
                format!(
                    "{like} is on record, and {} looks like it: use that serial, or another one",
                    shorten(&serial)
                ),
            );
            return None;
        }
        Some(serial)
    }

    /// A name that must be on record.
    pub fn known(&mut self, name: &str, of: SubjectOf) -> Option<String> {
        let text = self.raw(name)?;
        if self.desk.on_record.knows(of, text) {
            return Some(text.to_owned());
        }
        let hint = self.desk.on_record.nearest(of, text).map_or_else(
            || format!("register it first: proofmark log {of}"),
            |near| format!("did you mean {near}?"),
        );
        self.wrong(name, format!("no {of} \"{}\" is on record; {hint}", shorten(text)));
        None
    }

    /// An entry that must be on record.
    pub fn entry(&mut self, name: &str) -> Option<EntryId> {
        let text = self.raw(name)?;
        self.desk.on_record.entry(text).map_err(|message| self.wrong(name, message)).ok()
    }

    /// One word of a closed list.
    pub fn word<W: Copy + 'static>(&mut self, name: &str, from_word: fn(&str) -> Option<W>) -> Option<W> {
        let text = self.raw(name)?;
        let found = from_word(text);
        if found.is_none() {
            let words: &[&str] = match self.spec(name).map(|field| field.ask) {
                Some(Ask::Word(words)) => words,
                _ => &[],
            };
            let hint = nearest(text, words.iter().copied())
                .map_or_else(String::new, |near| format!("; did you mean {near}?"));
            self.wrong(name, format!("\"{}\" is not one of: {}{hint}", shorten(text), words.join(", ")));
        }
        found
    }

    /// A quantity with its unit.
    pub fn quantity<Q: Quantity>(&mut self, name: &str) -> Option<Typed<Q>> {
        let text = self.raw(name)?;
        let bare = self.desk.bare_numbers.map(|system| quantity::show::input_unit(Q::DIMENSION, system));
        let typed = Typed::<Q>::parse(text, bare).map_err(|error| error.to_string()).and_then(|typed| {
            let shown = shorten(text.trim());
            if typed.si().abs() <= BEYOND_ANYTHING {
                Ok(typed)
            } else {
                Err(format!("\"{shown}\" is beyond anything there is: look at the digits and the unit"))
            }
        });
        typed.map_err(|message| self.wrong(name, message)).ok()
    }

    /// How hot grains are soaked.
    pub fn grain_temperature(&mut self, name: &str) -> Option<Typed<Temperature>> {
        let text = self.raw(name)?;
        let text = text.to_owned();
        let bare =
            self.desk.bare_numbers.map(|system| quantity::show::input_unit(Dimension::Temperature, system));
        read_grain_temperature(&text, bare).map_err(|message| self.wrong(name, message)).ok()
    }

    /// A quantity that must be more than nothing.
    pub fn positive<Q: Quantity>(&mut self, name: &str) -> Option<Typed<Q>> {
        let typed = self.quantity::<Q>(name)?;
        if typed.si() > 0.0 {
            return Some(typed);
        }
        self.wrong(
            name,
            format!("\"{}\" must be more than nothing", shorten(typed.typed.as_deref().unwrap_or(""))),
        );
        None
    }

    /// A peak pressure: what a gauge shows unless the words say "abs", kept above vacuum.
    ///
    /// Taking an unstated one as gauge is the careful reading: the wall is never asked for less than it saw.
    pub fn peak_pressure(&mut self, name: &str) -> Option<Typed<AbsolutePressure>> {
        let gauge = self.positive::<GaugePressure>(name)?;
        if gauge.si() > BEYOND_METAL_PA {
            let typed = shorten(gauge.typed.as_deref().unwrap_or(""));
            self.wrong(
                name,
                format!("\"{typed}\" is more than any metal holds: look at the digits and the unit"),
            );
            return None;
        }
        let said = gauge.typed.map(|text| {
            let unstated = quantity::parse_quantity(&text, Dimension::Pressure, None)
                .is_ok_and(|it| it.reference == Reference::Unstated);
            if unstated { format!("{text} gauge") } else { text }
        });
        Some(Typed { value: gauge.value.absolute_under(STANDARD_ATMOSPHERE_PA), typed: said })
    }

    /// A burn rate at a stated pressure.
    pub fn burn_rate(&mut self, name: &str) -> Option<quantity::BurnRate> {
        let text = self.raw(name)?;
        quantity::parse_burn_rate(text).map_err(|error| self.wrong(name, error.to_string())).ok()
    }

    /// A plain number within a range.
    pub fn number(&mut self, name: &str, range: std::ops::RangeInclusive<f64>) -> Option<f64> {
        let text = self.raw(name)?;
        match quantity::parse_number(text) {
            Ok(number) if range.contains(&number) => Some(number),
            Ok(number) => {
                self.wrong(name, format!("{number} is outside {} to {}", range.start(), range.end()));
                None
            }
            Err(error) => {
                self.wrong(name, error.to_string());
                None
            }
        }
    }

    /// A percentage: "0.9 %" and "0.9" are the same.
    pub fn percent(&mut self, name: &str, range: std::ops::RangeInclusive<f64>) -> Option<f64> {
        let text = self.raw(name)?;
        let bare = text.trim_end_matches('%').trim();
        match quantity::parse_number(bare) {
            Ok(number) if range.contains(&number) => Some(number),
            Ok(number) => {
                self.wrong(name, format!("{number} % is outside {} to {} %", range.start(), range.end()));
                None
            }
            Err(_) => {
                self.wrong(name, format!("\"{}\" is not a percentage; write 0.9 %", shorten(text)));
                None
            }
        }
    }

    /// A whole number within a range.
    pub fn whole(&mut self, name: &str, range: std::ops::RangeInclusive<u32>) -> Option<u32> {
        let text = self.raw(name)?;
        match text.parse::<u32>() {
            Ok(number) if range.contains(&number) => Some(number),
            _ => {
                self.wrong(
                    name,
                    format!(
                        "\"{}\" is not a whole number from {} to {}",
                        shorten(text),
                        range.start(),
                        range.end()
                    ),
                );
                None
            }
        }
    }

    /// Yes or no.
    pub fn yes_no(&mut self, name: &str) -> Option<bool> {
        self.raw(name)?;
        self.yes_no_of(name)
    }

    fn yes_no_of(&mut self, name: &str) -> Option<bool> {
        let text = self.answers.text(name)?;
        match text.to_lowercase().as_str() {
            "yes" | "y" | "true" => Some(true),
            "no" | "n" | "false" => Some(false),
            _ => {
                self.wrong(name, format!("\"{}\" is neither yes nor no", shorten(text)));
                None
            }
        }
    }

    /// A date.
    pub fn date(&mut self, name: &str) -> Option<NaiveDate> {
        let text = self.raw(name)?;
        read_date(text, self.desk.today).map_err(|message| self.wrong(name, message)).ok()
    }

    /// Names separated by commas or line ends.
    pub fn names(&mut self, name: &str) -> Vec<String> {
        self.answers
            .rows(name)
            .iter()
            .flat_map(|row| row.split(','))
            .map(str::trim)
            .filter(|part| !part.is_empty())
            .map(str::to_owned)
            .collect()
    }

    /// The rows of a field, as typed.
    pub fn rows(&self, name: &str) -> Vec<String> {
        self.answers.rows(name).into_iter().map(str::to_owned).collect()
    }

    /// A quantity out of a row, a bare number in the user's unit.
    ///
    /// # Errors
    /// The text is no such quantity.
    pub fn typed_of<Q: Quantity>(&self, text: &str) -> Result<Typed<Q>, String> {
        let bare = self.desk.bare_numbers.map(|system| quantity::show::input_unit(Q::DIMENSION, system));
        Typed::<Q>::parse(text, bare).map_err(|error| error.to_string())
    }

    /// A quantity a row, each more than nothing.
    pub fn rows_of<Q: Quantity>(&mut self, name: &str) -> Vec<Typed<Q>> {
        let rows = self.rows(name);
        if rows.is_empty() {
            self.raw(name);
        }
        let mut found = Vec::new();
        for row in rows.iter().flat_map(|row| row.split(';')).map(str::trim).filter(|row| !row.is_empty()) {
            match self.typed_of::<Q>(row) {
                Ok(value) if value.si() > 0.0 => found.push(value),
                Ok(_) => self.wrong(name, format!("\"{}\" must be more than nothing", shorten(row))),
                Err(message) => self.wrong(name, message),
            }
        }
        found
    }

    /// Rows of readings.
    pub fn readings(&mut self, kind: Kind, name: &str, what: What) -> Vec<Reading> {
        let bare = self
            .desk
            .bare_numbers
            .map(|system| quantity::show::input_unit(quantity::Dimension::Length, system));
        let phase = forms::phase_of(kind, name);
        let mut readings: Vec<Reading> = Vec::new();
        for row in self.answers.rows(name) {
            match Reading::parse(row, what, phase, bare) {
                Ok(reading) => {
                    let twice = readings.iter().any(|it| {
                        it.station.value == reading.station.value && it.clock_deg == reading.clock_deg
                    });
                    if twice {
                        self.wrong(
                            name,
                            format!(
                                "\"{}\": this station and clock angle is already given above",
                                shorten(row)
                            ),
                        );
                    }
                    readings.push(reading);
                }
                Err(message) => self.wrong(name, message),
            }
        }
        readings
    }

    /// Warn where a value is far from what the record leads one to expect, naming the slip it looks like.
    pub fn hold_against<Q: Quantity>(&mut self, name: &str, typed: &Typed<Q>, expected_si: f64) {
        if let Some(message) = slip(Q::DIMENSION, typed.typed.as_deref(), typed.si(), expected_si) {
            self.odd(name, message);
        }
    }

    /// Warn where a value looks like a slip of what is expected, or lies outside what goes with it.
    pub fn expect_between<Q: Quantity>(
        &mut self,
        name: &str,
        typed: &Typed<Q>,
        expected_si: f64,
        (low_si, high_si): (f64, f64),
    ) {
        match slip(Q::DIMENSION, typed.typed.as_deref(), typed.si(), expected_si) {
            Some(message) => self.odd(name, message),
            None => self.plausible(name, typed, low_si, high_si),
        }
    }

    /// Warn where a value is outside what anybody builds; refuse one a hundred times beyond it.
    pub fn plausible<Q: Quantity>(&mut self, name: &str, typed: &Typed<Q>, low_si: f64, high_si: f64) {
        let suspicion = match &typed.typed {
            Some(text) => quantity::blunder::outside_typed(text, Q::DIMENSION, typed.si(), low_si, high_si),
            None => quantity::outside(Q::DIMENSION, typed.si(), low_si, high_si),
        };
        if let Some(suspicion) = suspicion {
            if typed.si() > 100.0 * high_si {
                self.wrong(name, suspicion.message);
            } else {
                self.odd(name, suspicion.message);
            }
        }
    }
}

/// How hot grains are soaked; a bare number is in `bare`, where there is such a unit.
///
/// # Errors
/// The text is no temperature, or one at which nobody soaks a grain: what is accepted.
pub fn read_grain_temperature(text: &str, bare: Option<&str>) -> Result<Typed<Temperature>, String> {
    let typed = Typed::<Temperature>::parse(text, bare).map_err(|error| error.message)?;
    if (233.15..=353.15).contains(&typed.si()) {
        Ok(typed)
    } else {
        Err(format!(
            "\"{}\" is no grain temperature: from -40 to 80 degC (-40 to 176 degF)",
            shorten(text.trim())
        ))
    }
}

/// The most letters somebody's name may have.
const LONGEST_NAME: usize = 80;

/// A name with letter case and blanks evened out, so that one person is not two.
pub fn folded(name: &str) -> String {
    name.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}

/// The sentence for a classic slip, where a value looks like one.
pub fn slip(
    dimension: quantity::Dimension,
    typed: Option<&str>,
    typed_si: f64,
    expected_si: f64,
) -> Option<String> {
    match typed {
        Some(text) => quantity::blunder::suspect_typed(text, dimension, typed_si, expected_si),
        None => quantity::suspect(dimension, typed_si, expected_si),
    }
    .map(|suspicion| suspicion.message)
}

/// Read a date as people write it: 2026-10-03, 3 Oct 2026, 3 October 2026, today, yesterday.
///
/// # Errors
/// The text is not such a date; a date whose day and month could be swapped is refused, not guessed.
pub fn read_date(text: &str, today: NaiveDate) -> Result<NaiveDate, String> {
    let bare = text.trim();
    match bare.to_lowercase().as_str() {
        "today" => return Ok(today),
        "yesterday" => return Ok(today.pred_opt().unwrap_or(today)),
        _ => {}
    }
    let date = ["%Y-%m-%d", "%d %b %Y", "%d %B %Y", "%Y%m%d", "%a %Y-%m-%d", "%a %d %b %Y", "%A %d %B %Y"]
        .iter()
        .find_map(|pattern| NaiveDate::parse_from_str(bare, pattern).ok());
    match date {
        Some(date) if (1900..2200).contains(&chrono::Datelike::year(&date)) => Ok(date),
        Some(date) => Err(format!("the year of {date} is not from 1900 to 2199")),
        None => Err(format!("\"{}\" is not a date; write 2026-10-03 or 3 Oct 2026", shorten(text))),
    }
}

/// No quantity of a workshop is as large in its SI unit: the modulus of steel is 2e11 Pa.
const BEYOND_ANYTHING: f64 = 1e12;
/// The strongest steel wires break below 6 GPa; no chamber comes near half of it.
const BEYOND_METAL_PA: f64 = 3e9;

/// A text in which each run of control characters is one blank; with `lines`, line ends stay as they are.
fn separated(text: &str, lines: bool) -> String {
    let text = text.replace("\r\n", "\n");
    let mut settled = String::with_capacity(text.len());
    let mut waiting = false;
    for c in text.chars() {
        if c == '\n' && lines {
            waiting = false;
            settled.push(c);
        } else if c.is_control() {
            waiting = true;
        } else {
            if waiting && !c.is_whitespace() && !settled.is_empty() && !settled.ends_with(char::is_whitespace)
            {
                settled.push(' ');
            }
            waiting = false;
            settled.push(c);
        }
    }
    settled
}

/// A person's name on one line, without marks that turn or hide text.
fn person_as_written(name: &str) -> String {
    let hidden = |c: &char| crate::quantity::text::hidden(*c);
    separated(name, false).chars().filter(|c| !hidden(c)).collect::<String>().trim().to_owned()
}
