//! People and instruments: who signs, what is measured with, what each instrument can see.

use chrono::NaiveDate;

use super::Desk;
use crate::book::details::{GaugeRecord, PersonRecord, StudyRecord};
use crate::book::reader::folded;
use crate::book::{Details, Kind, Problem, Subject, SubjectOf};
use crate::quantity::{Length, Quantity, Typed};
use crate::standing::EntryRef;
use crate::standing::growth::blind;
use crate::store::{Filter, StoreError};

/// An instrument on record.
#[derive(Clone, Debug)]
pub struct GaugeLine {
    /// Its last record: its last calibration.
    pub record: GaugeRecord,
    /// The entry of that record.
    pub entry: EntryRef,
    /// Whether its calibration has run out on the day asked.
    pub out: bool,
    /// Its last repeatability study.
    pub study: Option<(StudyRecord, EntryRef)>,
    /// How many studies are on record.
    pub studies: usize,
}

/// Somebody on the list.
#[derive(Clone, Debug)]
pub struct PersonLine {
    /// The last record.
    pub record: PersonRecord,
    /// Its entry.
    pub entry: EntryRef,
}

/// People and instruments on a day.
#[derive(Clone, Debug)]
pub struct Instruments {
    /// The day asked.
    pub day: NaiveDate,
    /// Every gauge, by mark.
    pub gauges: Vec<GaugeLine>,
    /// Everybody who signs, by name.
    pub people: Vec<PersonLine>,
}

impl Desk {
    /// Every gauge and everybody who signs, as on record on the day asked.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn instruments(&self) -> Result<Instruments, StoreError> {
        let day = self.day();
        let mut gauges = Vec::new();
        for mark in self.book().names(SubjectOf::Gauge)? {
            gauges.extend(self.gauge(&mark, day)?);
        }
        let mut people = Vec::new();
        for name in self.book().names(SubjectOf::Person)? {
            let subject = Subject { of: SubjectOf::Person, name };
            let Some(entry) = self.book().last_of(Kind::Person, &subject, day)? else { continue };
            let at = EntryRef::from(&entry);
            if let Details::Person(record) = entry.entry.details
                && !record.leaves
            {
                people.push(PersonLine { record: *record, entry: at });
            }
        }
        Ok(Instruments { day, gauges, people })
    }

    /// One gauge as on record on a day.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn gauge(&self, mark: &str, day: NaiveDate) -> Result<Option<GaugeLine>, StoreError> {
        let subject = Subject { of: SubjectOf::Gauge, name: mark.to_owned() };
        let Some(last) = self.book().last_of(Kind::Gauge, &subject, day)? else { return Ok(None) };
        let entry = EntryRef::from(&last);
        let Details::Gauge(record) = last.entry.details else { return Ok(None) };
        let studies: Vec<(StudyRecord, EntryRef)> = self
            .book()
            .lines(&Filter::About(subject), day)?
            .into_iter()
            .filter(|line| line.struck_by.is_none())
            .filter_map(|line| {
                let at = EntryRef::from(&line.entry);
                match line.entry.entry.details {
                    Details::Study(study) => Some((*study, at)),
                    _ => None,
                }
            })
            .collect();
        Ok(Some(GaugeLine {
            out: record.out_of_calibration(day),
            record: *record,
            entry,
            studies: studies.len(),
            study: studies.into_iter().next_back(),
        }))
    }

    /// What a gauge repeats to, as known on a day.
    ///
    /// # Errors
    /// The book cannot be read.
    pub fn repeatability(&self, mark: &str, day: NaiveDate) -> Result<Option<Typed<Length>>, StoreError> {
        Ok(self.gauge(mark, day)?.and_then(|gauge| gauge.study).map(|(study, _)| study.repeatability))
    }

    /// Whether a length gauge is, by its own papers, too coarse for the growth that asks for a hold on the smallest
    /// tube on record (or one of 50 mm, where there is none).
    pub(super) fn too_coarse(&self, record: &GaugeRecord) -> Result<Option<Problem>, StoreError> {
        let Some(uncertainty) = &record.uncertainty else { return Ok(None) };
        let day = self.today();
        let rules = self.book().rules_on(day)?;
        let smallest_mm = self
            .book()
            .casing_traits(day)?
            .into_iter()
            .map(|traits| traits.tube.1 * 1e3)
            .filter(|millimetres| *millimetres > 0.0)
            .reduce(f64::min)
            .unwrap_or(50.0);
        let uncertainty_mm = Quantity::si(uncertainty.value) * 1e3;
        Ok(blind(&rules, Some(uncertainty_mm), smallest_mm).then(|| {
            Problem::new(
                "uncertainty",
                format!(
                    "{uncertainty_mm:.3} mm is too coarse to see {:.3} mm, the growth that asks for a hold on a tube of {smallest_mm:.1} mm: an inspection read with it alone is not complete",
                    rules.value("growth-hold") / 100.0 * smallest_mm
                ),
            )
        }))
    }

    /// What is odd about the gauges an entry names: unknown, out of calibration, of the wrong range.
    pub(super) fn odd_gauges(&self, details: &Details, day: NaiveDate) -> Result<Vec<Problem>, StoreError> {
        let mut odd = Vec::new();
        let named: Vec<(&str, Option<&str>)> = match details {
            Details::Proof(record) => {
                vec![("gauge", record.gauge.as_deref()), ("od_gauge", record.od_gauge.as_deref())]
            }
            Details::Strip(record) => vec![("od_gauge", record.od_gauge.as_deref())],
            Details::Casing(record) => vec![("od_gauge", record.od_gauge.as_deref())],
            _ => return Ok(odd),
        };
        for (field, mark) in named {
            let Some(mark) = mark else { continue };
            let Some(gauge) = self.gauge(mark, day)? else {
                // Where nobody registers gauges, an unknown mark is no slip.
                if !self.book().names(SubjectOf::Gauge)?.is_empty() {
                    odd.push(Problem::new(
                        field,
                        format!(
                            "{mark} was not on record as a gauge on {day}: what it repeats to is not known"
                        ),
                    ));
                }
                continue;
            };
            if gauge.out {
                let due = gauge.record.calibration_due.map_or_else(String::new, |due| due.to_string());
                odd.push(Problem::new(
                    field,
                    format!("the calibration of {mark} ran out on {due}: compare it with another before you trust it"),
                ));
            }
            if let (Details::Proof(record), "gauge", Some(full)) = (details, field, &gauge.record.full_scale)
                && !(1.5..=4.0).contains(&(full.si() / record.pressure.si()))
            {
                odd.push(Problem::new(
                    field,
                    format!(
                        "{mark} reads to {:.2} MPa: a gauge is best at 1.5 to 4 times the proof (common practice, no source)",
                        full.value.as_mpa()
                    ),
                ));
            }
        }
        Ok(odd)
    }

    /// Who signs but is not on the list, where there is one.
    pub(super) fn unlisted(&self, by: &str, second: Option<&str>) -> Result<Vec<Problem>, StoreError> {
        let list = self.book().names(SubjectOf::Person)?;
        if list.is_empty() {
            return Ok(Vec::new());
        }
        let known = |name: &str| list.iter().any(|it| folded(it) == folded(name));
        Ok([("by", Some(by)), ("second", second)]
            .into_iter()
            .filter_map(|(field, name)| name.map(|name| (field, name)))
            .filter(|(_, name)| !known(name))
            .map(|(field, name)| Problem::new(field, format!("{name} is not on the list of those who sign")))
            .collect())
    }

    /// What the gauge of the diameters repeats to goes into the entry, so that a later study changes no history.
    pub(super) fn inherit_repeatability(
        &self,
        details: &mut Details,
        day: NaiveDate,
    ) -> Result<(), StoreError> {
        let (gauge, into) = match details {
            Details::Casing(record) => (&record.od_gauge, &mut record.od_repeatability),
            Details::Proof(record) => (&record.od_gauge, &mut record.od_repeatability),
            Details::Strip(record) => (&record.od_gauge, &mut record.od_repeatability),
            _ => return Ok(()),
        };
        if let Some(mark) = gauge {
            *into = self.repeatability(mark, day)?;
        }
        Ok(())
    }
}

/// A standard deviation in millimetres, where one is known.
pub fn spread_mm(repeatability: Option<&Typed<Length>>) -> Option<f64> {
    repeatability.map(|it| Quantity::si(it.value) * 1e3)
}
