//! Which column is time, which thrust, which pressure, and in what unit.

use super::error::TraceError;
use super::layout::Layout;
use super::unit::{ColumnUnit, Measure, column_unit, examples};

/// A column asked for by the caller.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ColumnChoice {
    /// The name in the header, or the number of the column counted from 1.
    pub column: String,
    /// The unit; left out, the header must state it.
    pub unit: Option<String>,
}

/// A straight line from raw to real: `value = slope * raw + offset`, in the unit of the column.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Calibration {
    /// Real units a raw unit.
    pub slope: f64,
    /// Real value at raw zero.
    pub offset: f64,
}

/// The part a column plays.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// When.
    Time,
    /// Force on the stand.
    Thrust,
    /// In the chamber.
    Pressure,
}

impl Role {
    /// The word for it on the command line and in errors.
    pub fn word(self) -> &'static str {
        match self {
            Self::Time => "time",
            Self::Thrust => "thrust",
            Self::Pressure => "pressure",
        }
    }

    fn measure(self) -> Measure {
        match self {
            Self::Time => Measure::Time,
            Self::Thrust => Measure::Force,
            Self::Pressure => Measure::Pressure,
        }
    }

    fn example(self) -> &'static str {
        match self {
            Self::Time => "ms",
            Self::Thrust => "lbf",
            Self::Pressure => "psi",
        }
    }

    fn names(self) -> &'static [&'static str] {
        match self {
            Self::Time => {
                &["time", "t", "timestamp", "stamp", "elapsed", "frame", "frames", "seconds", "clock"]
            }
            Self::Thrust => &[
                "thrust", "force", "load", "f", "bridge", "loadcell", "cell", "scale", "reading", "weight",
                "fx", "fz",
            ],
            Self::Pressure => &["pressure", "press", "p", "pc", "chamber", "pt", "transducer"],
        }
    }
}

/// A column with its part, its unit and how a raw number becomes an SI one.
#[derive(Clone, Debug, PartialEq)]
pub struct Assigned {
    /// Counted from 0.
    pub index: usize,
    /// As the header calls it, or its number.
    pub name: String,
    /// As stated.
    pub unit_text: String,
    /// What the unit means.
    pub unit: ColumnUnit,
    /// `si = slope * raw + offset`.
    pub slope: f64,
    /// `si = slope * raw + offset`.
    pub offset: f64,
}

/// A header cell parted into the words of its name and its unit.
fn part(name: &str) -> (Vec<String>, Option<(String, ColumnUnit)>) {
    let words = |text: &str| -> Vec<String> {
        text.split(|c: char| !c.is_alphanumeric())
            .filter(|w| !w.is_empty())
            .map(|w| w.trim_end_matches(|c: char| c.is_ascii_digit()).to_lowercase())
            .collect()
    };
    // "Load (lbf)", "time [s]", "P {psi}".
    if let Some(open) = name.rfind(['(', '[', '{']) {
        let inside = name[open + 1..].trim().trim_end_matches([')', ']', '}']).trim();
        let front = &name[..open];
        if let Some(unit) = column_unit(inside) {
            return (words(front), Some((inside.to_owned(), unit)));
        }
    }
    // "F/N", "thrust_kN", "Load lbf", "Time, s", "P in psi": the last word, when it is a unit and not the
    // whole name (a column headed "t" or "p" or "f" alone is a name).
    let cut = |at: usize, width: usize| {
        let unit_text = name[at + width..].trim();
        column_unit(unit_text).map(|unit| (words(&name[..at]), Some((unit_text.to_owned(), unit))))
    };
    for mark in ['/', '_', ' ', ',', ':', '-', '.'] {
        if let Some(at) = name.rfind(mark)
            && at > 0
            && let Some((mut front, unit)) = cut(at, mark.len_utf8())
        {
            front.retain(|w| w != "in");
            return (front, unit);
        }
    }
    // "ms" or "lbf" alone: the unit names the column.
    if let Some(unit) = column_unit(name) {
        return (Vec::new(), Some((name.to_owned(), unit)));
    }
    (words(name), None)
}

/// Whether a header cell is a unit and nothing else: "(ms)", "psi".
pub fn is_unit_only(name: &str) -> bool {
    column_unit(name.trim_matches(['(', ')', '[', ']', '{', '}', ' '])).is_some()
}

/// Whether a header cell says which part its column plays.
pub fn speaks(name: &str) -> bool {
    [Role::Time, Role::Thrust, Role::Pressure].iter().any(|&role| score(name, role) > 0)
}

/// How strongly a header cell claims a part: by its words, else by its unit. A unit of another measure
/// takes the claim away ("P (N)" is no pressure).
fn score(name: &str, role: Role) -> u32 {
    let (words, unit) = part(name);
    let by_name = words.iter().filter_map(|w| role.names().iter().position(|n| n == w)).min();
    let by_unit = unit.as_ref().map(|(_, u)| u.measure);
    match (by_name, by_unit) {
        (Some(place), Some(measure)) if measure == role.measure() => 100 - place as u32,
        (Some(place), None) => 60 - place as u32,
        (Some(place), Some(Measure::Voltage)) if role != Role::Time => 60 - place as u32,
        (None, Some(measure)) if measure == role.measure() => 30,
        _ => 0,
    }
}

/// Settles one part. `Ok(None)` when nothing was asked and no column claims it.
pub fn assign(
    role: Role,
    layout: &Layout,
    choice: Option<&ColumnChoice>,
    calibration: Option<Calibration>,
) -> Result<Option<Assigned>, TraceError> {
    let index = match choice {
        Some(choice) => find(role, layout, &choice.column)?,
        None => match claim(role, layout)? {
            Some(index) => index,
            None => return Ok(None),
        },
    };
    let name = layout.names.get(index).cloned().unwrap_or_else(|| (index + 1).to_string());
    let (unit_text, unit) = match choice.and_then(|c| c.unit.as_ref()) {
        Some(text) => match column_unit(text) {
            Some(unit) => (text.clone(), unit),
            None => {
                return Err(TraceError::WrongUnit {
                    role: role.word(),
                    column: name,
                    unit: text.clone(),
                    units: examples(role.measure()),
                });
            }
        },
        None => match part(&name).1.filter(|_| index < layout.names.len()) {
            Some(found) => found,
            None => {
                return Err(TraceError::NoUnit {
                    role: role.word(),
                    example: if role == Role::Time && name.to_lowercase().contains("frame") {
                        "frames@29.97"
                    } else {
                        role.example()
                    },
                    column: name,
                    units: examples(role.measure()),
                });
            }
        },
    };
    let volts = unit.measure == Measure::Voltage && role != Role::Time;
    if unit.measure != role.measure() && !volts {
        return Err(TraceError::WrongUnit {
            role: role.word(),
            column: name,
            unit: unit_text,
            units: examples(role.measure()),
        });
    }
    let Calibration { slope, offset } = calibration.unwrap_or(Calibration { slope: 1.0, offset: 0.0 });
    if !(slope.is_finite() && offset.is_finite()) || slope == 0.0 {
        return Err(TraceError::BadCalibration { role: role.word(), slope, offset });
    }
    if volts && calibration.is_some_and(|c| c.slope != -1.0 || c.offset != 0.0) {
        return Err(TraceError::CalibratedVolts {
            role: role.word(),
            column: name,
            unit: unit_text,
            example: role.example(),
        });
    }
    Ok(Some(Assigned {
        index,
        name,
        unit_text,
        unit,
        slope: slope * unit.scale,
        offset: offset * unit.scale,
    }))
}

fn find(role: Role, layout: &Layout, asked: &str) -> Result<usize, TraceError> {
    let asked = asked.trim();
    let bare = |name: &str| part(name).0.join(" ");
    let named = layout
        .names
        .iter()
        .position(|n| n == asked)
        .or_else(|| layout.names.iter().position(|n| n.eq_ignore_ascii_case(asked)));
    let numbered =
        || asked.parse::<usize>().ok().filter(|n| (1..=layout.cells.max(layout.names.len())).contains(n));
    let loosely = || {
        let wanted = bare(asked);
        layout.names.iter().position(|n| !wanted.is_empty() && bare(n) == wanted)
    };
    named.or_else(|| numbered().map(|n| n - 1)).or_else(loosely).ok_or_else(|| TraceError::UnknownColumn {
        role: role.word(),
        asked: asked.to_owned(),
        found: columns(layout),
    })
}

fn claim(role: Role, layout: &Layout) -> Result<Option<usize>, TraceError> {
    let mut best: Option<(usize, u32)> = None;
    let mut rival = None;
    for (index, name) in layout.names.iter().enumerate() {
        let claim = score(name, role);
        if claim == 0 || [Role::Time, Role::Thrust, Role::Pressure].iter().any(|&r| score(name, r) > claim) {
            continue;
        }
        match best {
            Some((_, held)) if claim < held => {}
            Some((_, held)) if claim == held => rival = Some(index),
            _ => {
                best = Some((index, claim));
                rival = None;
            }
        }
    }
    match (best, rival) {
        (Some((first, _)), Some(second)) if role != Role::Pressure => Err(TraceError::TwoColumns {
            role: role.word(),
            first: layout.names[first].clone(),
            second: layout.names[second].clone(),
        }),
        (best, _) => Ok(best.map(|(index, _)| index)),
    }
}

/// The error for a part no column claims.
pub fn missing(role: Role, layout: &Layout) -> TraceError {
    TraceError::NoColumn { role: role.word(), found: columns(layout), units: examples(role.measure()) }
}

fn columns(layout: &Layout) -> String {
    if layout.names.is_empty() {
        return format!("the file has no header and {} columns", layout.cells);
    }
    let names: Vec<String> = layout.names.iter().map(|n| format!("\"{n}\"")).collect();
    format!("the columns are {}", names.join(", "))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::trace::layout::sniff;

    fn auto(header: &str, role: Role) -> Result<Option<Assigned>, TraceError> {
        let cells = vec!["1"; header.split(';').count()].join(";");
        assign(role, &sniff(format!("{header}\n{cells}\n").as_bytes()).unwrap(), None, None)
    }

    #[test]
    fn headers_of_many_makes() {
        for (header, time, thrust, pressure) in [
            ("Time (ms);Load (lbf)", "ms", "lbf", None),
            ("time [s];thrust [kN]", "s", "kN", None),
            ("t_ms;thrust_kN;P (psi)", "ms", "kN", Some("psi")),
            ("t/s;F/N;p/bar", "s", "N", Some("bar")),
            ("Time, s;Force, N", "s", "N", None),
            ("P (psi);F (N);T (s)", "s", "N", Some("psi")),
            ("ms;lbf", "ms", "lbf", None),
            ("Elapsed time (s);Load cell 1 [kgf];Chamber pressure MPa", "s", "kgf", Some("MPa")),
            ("seconds;newtons", "seconds", "newtons", None),
            ("Zeit (s);Schub (N)", "s", "N", None),
            ("timestamp_us;weight_g;temp_C", "us", "g", None),
        ] {
            assert_eq!(auto(header, Role::Time).unwrap().unwrap().unit_text, time, "{header}");
            assert_eq!(auto(header, Role::Thrust).unwrap().unwrap().unit_text, thrust, "{header}");
            assert_eq!(
                auto(header, Role::Pressure).unwrap().map(|p| p.unit_text).as_deref(),
                pressure,
                "{header}"
            );
        }
    }

    #[test]
    fn a_unit_that_is_nowhere_stated_is_an_error() {
        let message = auto("Time (s);Load", Role::Thrust).unwrap_err().to_string();
        assert!(
            message.starts_with("thrust column \"Load\" has no unit: give --column thrust=Load:lbf"),
            "{message}"
        );
        assert!(matches!(auto("Time;Load (N)", Role::Time), Err(TraceError::NoUnit { .. })));
        assert!(matches!(auto("frame;Load (N)", Role::Time), Err(TraceError::NoUnit { .. })));
    }

    #[test]
    fn asked_columns() {
        let layout = sniff(b"t_ms;bridge_V;spare\n1;2;3\n").unwrap();
        let ask = |column: &str, unit: Option<&str>, calibration| {
            let choice = ColumnChoice { column: column.into(), unit: unit.map(Into::into) };
            assign(Role::Thrust, &layout, Some(&choice), calibration)
        };
        let line = Some(Calibration { slope: 812.5, offset: -203.1 });
        let cell = ask("bridge_V", Some("N"), line).unwrap().unwrap();
        assert_eq!((cell.index, cell.slope, cell.offset), (1, 812.5, -203.1));
        assert_eq!(ask("2", Some("V"), None).unwrap().unwrap().unit.measure, Measure::Voltage);
        assert!(matches!(ask("2", None, line), Err(TraceError::CalibratedVolts { .. })));
        assert!(matches!(ask("9", Some("N"), None), Err(TraceError::UnknownColumn { .. })));
        assert!(matches!(ask("2", Some("psi"), None), Err(TraceError::WrongUnit { .. })));
        assert!(matches!(ask("2", Some("stone"), None), Err(TraceError::WrongUnit { .. })));
    }
}
