//! A CSV file with its columns taken for fields.

use std::collections::BTreeMap;

use super::{Wish, dates};
use crate::book::form::{Ask, Field, nearest};
use crate::book::reading::shorten;
use crate::book::{Answers, Kind, Problem, forms};

/// The largest file taken: an old notebook is small, and the whole of it is tried out at once.
const LARGEST: usize = 32 << 20;

/// A column mapped by a person: `HEADER=FIELD`, `HEADER=FIELD:UNIT`, `HEADER=od[12 mm @ 0]:mm`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mapping {
    /// The column's header.
    pub header: String,
    /// The field.
    pub field: String,
    /// Where a reading stands, for a field of readings.
    pub station: Option<String>,
    /// The unit of numbers without one.
    pub unit: Option<String>,
}

impl Mapping {
    /// Read the words of a mapping.
    ///
    /// # Errors
    /// They are of another shape.
    pub fn parse(text: &str) -> Result<Self, Problem> {
        let wrong = || {
            Problem::new(
                "map",
                format!(
                    "\"{}\" is not HEADER=FIELD or HEADER=FIELD:UNIT, for example \"Peak psi=peak_pressure:psi\"",
                    shorten(text)
                ),
            )
        };
        let (header, rest) = text.rsplit_once('=').ok_or_else(wrong)?;
        let (head, station, tail) = match (rest.find('['), rest.rfind(']')) {
            (Some(from), Some(to)) if from < to => {
                (&rest[..from], Some(rest[from + 1..to].trim().to_owned()), &rest[to + 1..])
            }
            (None, None) => match rest.split_once(':') {
                Some((field, _)) => (field, None, &rest[field.len()..]),
                None => (rest, None, ""),
            },
            _ => return Err(wrong()),
        };
        let unit =
            tail.trim().strip_prefix(':').map(|unit| unit.trim().to_owned()).filter(|unit| !unit.is_empty());
        if header.trim().is_empty() || head.trim().is_empty() || (unit.is_none() && !tail.trim().is_empty()) {
            return Err(wrong());
        }
        Ok(Self { header: header.trim().to_owned(), field: head.trim().to_owned(), station, unit })
    }
}

/// What a column is taken for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// Its header.
    pub header: String,
    /// The field; `None`: not used.
    pub field: Option<&'static str>,
    /// Where a reading stands.
    pub station: Option<String>,
    /// The unit of numbers without one.
    pub unit: Option<String>,
}

/// One row as answers.
#[derive(Clone, Debug)]
pub struct SheetRow {
    /// The line of the file it begins on.
    pub line: u64,
    /// Its kind.
    pub kind: Option<Kind>,
    /// What was written.
    pub answers: Answers,
    /// What is wrong with it already.
    pub problems: Vec<Problem>,
}

/// A file with its columns taken for fields.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// The columns.
    pub columns: Vec<Column>,
    /// The rows.
    pub rows: Vec<SheetRow>,
}

/// The column that says what a row is.
const KIND: &str = "kind";

/// Headers of old notebooks that are no field's name or label.
const ALSO: &[(&str, &str)] = &[
    ("date", "on"),
    ("day", "on"),
    ("when", "on"),
    ("who", "by"),
    ("logged by", "by"),
    ("serial", "casing"),
    ("motor", "casing"),
    ("casing serial", "casing"),
    ("notes", "remark"),
    ("comment", "remark"),
    ("comments", "remark"),
    ("type", KIND),
    ("entry", KIND),
];

/// Units that stand behind a header's name without brackets, in small letters.
const UNITS: &[&str] = &[
    "mm", "cm", "in", "psi", "mpa", "kpa", "bar", "n", "kn", "lbf", "ns", "s", "ms", "min", "g", "kg", "lb",
    "oz", "cc", "ml",
];

impl Sheet {
    /// Read a file.
    ///
    /// # Errors
    /// It is no such file, or its columns cannot be taken; every problem at once.
    pub fn read(bytes: &[u8], wish: &Wish) -> Result<Self, Vec<Problem>> {
        let text = text_of(bytes).map_err(|why| vec![Problem::new("file", why)])?;
        let first = text.lines().find(|line| !line.trim().is_empty()).unwrap_or("");
        let separator = [b';', b'\t', b',']
            .into_iter()
            .max_by_key(|mark| first.bytes().filter(|byte| byte == mark).count())
            .unwrap_or(b',');
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(separator)
            .flexible(true)
            .has_headers(false)
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let mut records = reader.records();
        let header = match records.find(|record| record.as_ref().map_or(true, |record| !blank(record))) {
            Some(Ok(record)) => record,
            Some(Err(error)) => return Err(vec![Problem::new("file", format!("it is no CSV: {error}"))]),
            None => return Err(vec![Problem::new("file", "it is empty: the first line names the columns")]),
        };
        let columns = columns(&header, wish)?;
        let mut rows = Vec::new();
        for record in records {
            match record {
                Ok(record) if blank(&record) => {}
                Ok(record) => rows.push(row(&record, &columns, wish)),
                Err(error) => {
                    let line = error.position().map_or(0, csv::Position::line);
                    rows.push(SheetRow {
                        line,
                        kind: None,
                        answers: Answers::new(),
                        problems: vec![Problem::new("row", format!("it is no CSV: {error}"))],
                    });
                }
            }
        }
        Ok(Self { columns, rows })
    }
}

fn blank(record: &csv::StringRecord) -> bool {
    record.iter().all(str::is_empty)
}

fn text_of(bytes: &[u8]) -> Result<String, String> {
    if bytes.len() > LARGEST {
        return Err(format!("{} bytes are more than an import takes ({LARGEST}); split it", bytes.len()));
    }
    let wide = |big: bool, rest: &[u8]| {
        let units: Vec<u16> = rest
            .chunks_exact(2)
            .map(|pair| {
                if big {
                    u16::from_be_bytes([pair[0], pair[1]])
                } else {
                    u16::from_le_bytes([pair[0], pair[1]])
                }
            })
            .collect();
        String::from_utf16(&units).map_err(|_| "it is not UTF-16 text as its first bytes say".to_owned())
    };
    match bytes {
        [0xff, 0xfe, rest @ ..] => wide(false, rest),
        [0xfe, 0xff, rest @ ..] => wide(true, rest),
        [0xef, 0xbb, 0xbf, rest @ ..] => utf8(rest),
        all => utf8(all),
    }
}

fn utf8(bytes: &[u8]) -> Result<String, String> {
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let line = 1 + bytes[..error.valid_up_to()].iter().filter(|byte| **byte == b'\n').count();
        format!("line {line} is not UTF-8 text; save the sheet as \"CSV UTF-8\"")
    })?;
    Ok(text.to_owned())
}

/// A header as it is compared: small letters, the unit in brackets apart, every other sign a blank.
fn folded(header: &str) -> (String, Option<String>) {
    let (head, unit) = match header.find(['(', '[']) {
        Some(from) => {
            let unit = header[from..].trim_matches(['(', ')', '[', ']', ' ']).to_owned();
            (&header[..from], Some(unit).filter(|unit| !unit.is_empty()))
        }
        None => (header, None),
    };
    let words: String =
        head.chars().map(|c| if c.is_alphanumeric() { c.to_ascii_lowercase() } else { ' ' }).collect();
    (words.split_whitespace().collect::<Vec<_>>().join(" "), unit)
}

/// Every field a row may have, by its folded name and by its folded label; a name wins over a label.
fn known(kind: Option<Kind>) -> BTreeMap<String, &'static str> {
    let own: Vec<&'static [Field]> = match kind.and_then(forms::form) {
        Some(form) => vec![form.fields],
        None => forms::FORMS.iter().map(|form| form.fields).collect(),
    };
    let mut known = BTreeMap::new();
    let fields = || forms::HEAD.iter().chain(own.iter().flat_map(|fields| fields.iter()));
    for field in fields() {
        known.insert(folded(field.label).0, field.name);
    }
    for field in fields() {
        known.insert(folded(field.name).0, field.name);
    }
    for (also, name) in ALSO {
        if *name == KIND {
            if kind.is_none() {
                known.entry((*also).to_owned()).or_insert(KIND);
            }
        } else if fields().any(|field| field.name == *name) {
            known.entry((*also).to_owned()).or_insert(name);
        }
    }
    if kind.is_none() {
        known.insert(KIND.to_owned(), KIND);
    }
    known
}

fn columns(header: &csv::StringRecord, wish: &Wish) -> Result<Vec<Column>, Vec<Problem>> {
    let known = known(wish.kind);
    let mut problems = Vec::new();
    let mut columns: Vec<Column> = Vec::new();
    let skipped = |name: &str| wish.skip.iter().any(|skip| skip.eq_ignore_ascii_case(name));
    for cell in header {
        let (bare, unit) = folded(cell);
        let mapped = wish
            .maps
            .iter()
            .find(|map| map.header.eq_ignore_ascii_case(cell) || folded(&map.header).0 == bare);
        let column = match mapped {
            _ if skipped(cell) => Column { header: cell.to_owned(), field: None, station: None, unit: None },
            Some(map) => {
                let field = known.get(&folded(&map.field).0).copied();
                if field.is_none() {
                    let hint = nearest(&map.field, known.values().copied())
                        .map_or_else(String::new, |near| format!("; did you mean {near}?"));
                    problems.push(Problem::new(
                        "map",
                        format!("there is no field \"{}\"{hint}", shorten(&map.field)),
                    ));
                }
                Column {
                    header: cell.to_owned(),
                    field,
                    station: map.station.clone(),
                    unit: map.unit.clone().or(unit),
                }
            }
            None => {
                let (field, unit) = match (known.get(&bare), bare.rsplit_once(' ')) {
                    (Some(field), _) => (Some(*field), unit),
                    // "Peak psi": a unit behind the name, without brackets.
                    (None, Some((head, last))) if unit.is_none() && UNITS.contains(&last) => {
                        (known.get(head).copied(), Some(cell.rsplit(' ').next().unwrap_or(last).to_owned()))
                    }
                    _ => (None, unit),
                };
                Column {
                    header: cell.to_owned(),
                    unit: unit.filter(|_| field.is_some()),
                    field,
                    station: None,
                }
            }
        };
        columns.push(column);
    }
    for map in &wish.maps {
        if !columns.iter().any(|column| {
            column.header.eq_ignore_ascii_case(&map.header)
                || folded(&column.header).0 == folded(&map.header).0
        }) {
            let near = nearest(&map.header, columns.iter().map(|column| column.header.as_str()))
                .map_or_else(String::new, |near| format!("; did you mean {near}?"));
            problems.push(Problem::new(
                "map",
                format!("the file has no column \"{}\"{near}", shorten(&map.header)),
            ));
        }
    }
    if wish.kind.is_none() && !columns.iter().any(|column| column.field == Some(KIND)) {
        problems.push(Problem::new("kind", "say what the rows are: --kind firing, or a column named kind"));
    }
    for (field, _) in &wish.set {
        if !known.contains_key(&folded(field).0) {
            problems.push(Problem::new("set", format!("there is no field \"{}\"", shorten(field))));
        }
    }
    if problems.is_empty() { Ok(columns) } else { Err(problems) }
}

/// In a file of several kinds one column names the casing: its own form calls it serial, every other casing.
fn twin(name: &'static str) -> &'static str {
    match name {
        "serial" => "casing",
        "casing" => "serial",
        other => other,
    }
}

/// A cell that says nothing is known.
fn nothing(cell: &str) -> bool {
    matches!(cell.to_lowercase().as_str(), "" | "-" | "n/a" | "na" | "none" | "unknown" | "?")
}

/// An apostrophe that an export put before a cell comes off again.
fn bare(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(rest) if rest.starts_with(['=', '+', '-', '@', '\'', '＝', '＋', '－', '＠']) => rest,
        _ => cell,
    }
}

fn row(record: &csv::StringRecord, columns: &[Column], wish: &Wish) -> SheetRow {
    let line = record.position().map_or(0, csv::Position::line);
    let mut row = SheetRow { line, kind: wish.kind, answers: Answers::new(), problems: Vec::new() };
    if record.len() > columns.len() && record.iter().skip(columns.len()).any(|cell| !cell.is_empty()) {
        row.problems.push(Problem::new(
            "row",
            format!(
                "it has {} cells, the header {}: a comma inside a text needs quotes round it",
                record.len(),
                columns.len()
            ),
        ));
    }
    let cells = || columns.iter().zip(record.iter().chain(std::iter::repeat("")));
    for (column, cell) in cells() {
        if column.field == Some(KIND) {
            row.kind = Kind::from_word(cell);
            if row.kind.is_none() {
                row.problems.push(Problem::new(
                    KIND,
                    format!(
                        "\"{}\" is not one of: {}",
                        shorten(cell),
                        forms::FORMS.iter().map(|form| form.kind.word()).collect::<Vec<_>>().join(", ")
                    ),
                ));
            }
        }
    }
    let form = row.kind.and_then(forms::form);
    let field_of = |name: &str| {
        forms::HEAD.iter().find(|field| field.name == name).or_else(|| form.and_then(|form| form.field(name)))
    };
    for (field, value) in &wish.set {
        let name = folded(field).0;
        if let Some(field) = forms::HEAD
            .iter()
            .chain(form.map_or(&[][..], |form| form.fields))
            .find(|it| folded(it.name).0 == name)
        {
            row.answers.set(field.name, value.clone());
        }
    }
    let mut guess = wish.approximate;
    let mut filled: Vec<&str> = Vec::new();
    for (column, cell) in cells() {
        let cell = bare(cell);
        let Some(name) = column.field.filter(|name| *name != KIND) else { continue };
        if nothing(cell) {
            continue;
        }
        let Some(field) = field_of(name).or_else(|| field_of(twin(name))) else {
            if let Some(kind) = row.kind {
                row.problems.push(Problem::new(
                    name,
                    format!(
                        "a {kind} has no such field, but column \"{}\" holds \"{}\"",
                        shorten(&column.header),
                        shorten(cell)
                    ),
                ));
            }
            continue;
        };
        let name = field.name;
        if column.station.is_none() && filled.contains(&name) {
            row.problems.push(Problem::new(
                name,
                format!(
                    "two columns are filled for it, the second is \"{}\": leave one out with --skip",
                    shorten(&column.header)
                ),
            ));
            continue;
        }
        filled.push(name);
        match (field.ask, &column.station) {
            (Ask::Date, _) => match dates::read(cell, chrono::NaiveDate::MIN, wish.order) {
                Ok((date, approximate)) => {
                    guess |= approximate && name == "on";
                    row.answers.set(name, date.to_string());
                }
                Err(why) => row.problems.push(Problem::new(name, why)),
            },
            (Ask::Readings | Ask::Hardness, Some(station)) => {
                row.answers.push(name, format!("{station}: {}", with_unit(cell, column.unit.as_deref())));
            }
            (Ask::Readings | Ask::Hardness | Ask::Names, None) => {
                let rows = cell
                    .split([';', '\n'])
                    .map(str::trim)
                    .filter(|it| !it.is_empty())
                    .map(str::to_owned)
                    .collect();
                row.answers.set_rows(name, rows);
            }
            (Ask::Quantity(_) | Ask::GaugePressure | Ask::BurnRate, _) => {
                row.answers.set(name, with_unit(cell, column.unit.as_deref()));
            }
            _ => {
                row.answers.set(name, cell);
            }
        }
    }
    if row.answers.text("on").is_none() && row.problems.iter().all(|problem| problem.field != "on") {
        // Today is never the day of an old page.
        row.problems.push(Problem::new(
            "on",
            "an old page has a day: give it, \"2021\" or \"May 2021\" for a guess, or --set on=DATE",
        ));
    }
    if guess {
        row.answers.set("date_approximate", "yes");
    }
    row
}

/// A bare number with the column's unit behind it.
fn with_unit(cell: &str, unit: Option<&str>) -> String {
    match unit {
        Some(unit) if !cell.chars().any(char::is_alphabetic) && !cell.contains(['"', '#', '%']) => {
            format!("{cell} {unit}")
        }
        _ => cell.to_owned(),
    }
}
