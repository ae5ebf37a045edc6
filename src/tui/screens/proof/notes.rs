//! What stands beside each field at the rig: what was understood, what is odd, when to stop.

use super::*;
use crate::standing::in_units::in_units;
use crate::standing::proof_plan::growth_words;

impl RigScreen {
    pub(super) fn note(&self, field: &Live, system: System) -> Note {
        let name = field.name.as_str();
        let typed = field.text();
        let parts: Vec<&str> = name.split('.').collect();
        let number = |at: usize| parts.get(at).and_then(|it| it.parse::<usize>().ok()).unwrap_or(0);
        let understood = |dimension, gauge| {
            live::understood(typed, dimension, gauge, system)
                .map_or_else(|| Note::Wrong("not understood".to_owned()), Note::Says)
        };
        let pressure = |pa: f64| show(GaugePressure::from_si(pa), system);
        match (parts.first().copied().unwrap_or(""), parts.get(2).copied()) {
            ("gauge" | "dial" | "reader", _) if self.unknown_gauge(name).is_some() => {
                Note::Wrong(self.unknown_gauge(name).unwrap_or_default())
            }
            ("pressure", _) if typed.is_empty() => {
                Note::Says(format!("{}, the plan", pressure(self.plan.pressure_pa)))
            }
            ("pressure", _) => understood(Dimension::Pressure, Some(false)),
            ("medium", _) if typed.is_empty() => Note::Says("← → water, never gas".to_owned()),
            ("medium", _) if crate::book::Medium::from_word(typed).is_none() => {
                Note::Wrong("water only: gas holds about a thousand times the energy".to_owned())
            }
            ("rig", _) => {
                let words =
                    RIG.iter().find(|(id, _)| parts.get(1) == Some(id)).map_or("", |(_, words)| *words);
                match given::yes_no(typed) {
                    Some(false) => Note::Wrong(format!("not pumped before it is: {words}")),
                    None if !typed.is_empty() => Note::Wrong(format!("yes or no: {words}")),
                    _ => Note::Says(words.to_owned()),
                }
            }
            ("dials", _) => {
                let marks: Vec<String> = self
                    .plan
                    .stations
                    .iter()
                    .enumerate()
                    .map(|(at, station)| format!("{} {}", at + 1, station.mark()))
                    .collect();
                Note::Says(format!("numbers; all when left out: {}", marks.join(", ")))
            }
            ("reader", _) => Note::Says("the gauge of the diameters before and after".to_owned()),
            ("dial", _) => {
                Note::Says(format!("taken to repeat to {}", growth_words(self.plan.dial_mm, system)))
            }
            ("before" | "after", _) => self.diameter_note(parts[0], number(1), typed, system),
            ("step", Some("pressure")) => {
                let Some(step) = self.plan.steps.get(number(1)) else { return Note::None };
                let away = if step.away { ", nobody near" } else { "" };
                if typed.is_empty() {
                    return Note::Says(format!(
                        "{} planned: {}{away}",
                        pressure(step.pressure_pa),
                        step.what
                    ));
                }
                let planned = step.pressure_pa;
                if let Some(typed) = self.far(number(1), system) {
                    let slip = crate::book::reader::slip(Dimension::Pressure, None, typed, planned);
                    return Note::Wrong(slip.unwrap_or_else(|| {
                        format!("far from the {} planned for this step: is it this step?", pressure(planned))
                    }));
                }
                self.flagged(number(1), None, system)
                    .unwrap_or_else(|| understood(Dimension::Pressure, Some(false)))
            }
            ("step", Some("strokes")) => {
                if typed.is_empty() {
                    return Note::Says("since the step before".to_owned());
                }
                if parse_number(typed).is_err() {
                    return Note::Wrong("a number of strokes".to_owned());
                }
                self.flagged(number(1), None, system).unwrap_or(Note::None)
            }
            ("step", Some("dial")) => {
                let station = parts.get(3).and_then(|it| it.parse::<usize>().ok()).unwrap_or(0);
                let predicted = self.plan.steps.get(number(1)).and_then(|step| step.growth_mm);
                let predicted = predicted.map_or_else(
                    || "no prediction".to_owned(),
                    |mm| format!("{} predicted", growth_words(mm, system)),
                );
                if typed.is_empty() {
                    return Note::Says(predicted);
                }
                self.flagged(number(1), Some(station), system).unwrap_or_else(|| {
                    match self.si(name, Dimension::Length, system) {
                        Some(si) => Note::Says(format!("= {}; {predicted}", growth_words(si * 1e3, system))),
                        None => Note::Wrong("not understood: 0.031 mm, 1.2 thou".to_owned()),
                    }
                })
            }
            ("hold", _) if typed.is_empty() => Note::Says(format!("{:.0} s planned", self.plan.hold_s)),
            ("hold", _) => match self.si(name, Dimension::Time, system) {
                Some(held) if held < self.plan.hold_s => Note::Wrong(format!(
                    "{held:.0} s is short of the {:.0} s planned: hold on, or was it minutes?",
                    self.plan.hold_s
                )),
                Some(held) if held > 10.0 * self.plan.hold_s => Note::Wrong(format!(
                    "{held:.0} s is far over the {:.0} s planned: is the unit right?",
                    self.plan.hold_s
                )),
                _ => understood(Dimension::Time, None),
            },
            ("leak" | "drop", _) if !typed.is_empty() && given::yes_no(typed).is_none() => {
                Note::Wrong("yes or no".to_owned())
            }
            ("water" | "pumped" | "returned", _) if typed.is_empty() => {
                Note::Says(match (name, &self.plan.water) {
                    ("water", Some(water)) => {
                        format!("{} over the whole tube", show(water.volume_m3, system))
                    }
                    ("pumped", Some(water)) => format!(
                        "direct expansion: about {}, {} of it compression",
                        show(
                            crate::quantity::Volume::from_si(
                                water.growth_thick_m3.si() + water.water_compression_m3.si()
                            ),
                            system
                        ),
                        show(water.water_compression_m3, system)
                    ),
                    _ => "may be left out: then diameters only".to_owned(),
                })
            }
            ("water" | "pumped" | "returned", _) => {
                self.odd_water(name, system).map_or_else(|| understood(Dimension::Volume, None), Note::Wrong)
            }
            _ => Note::None,
        }
    }

    /// What is odd about a volume of water, against what the plan expects of it.
    fn odd_water(&self, name: &str, system: System) -> Option<String> {
        let typed = self.si(name, Dimension::Volume, system)?;
        let water = self.plan.water.as_ref()?;
        let volume = |m3: f64| show(crate::quantity::Volume::from_si(m3), system);
        let pumped = self.si("pumped", Dimension::Volume, system);
        let expected = match name {
            "water" => water.volume_m3.si(),
            "pumped" => water.growth_thick_m3.si() + water.water_compression_m3.si(),
            _ => pumped?,
        };
        // The whole tube is not quite what the closures leave free, and a rig takes up water of its own.
        let (least, most) = match name {
            "water" => (0.3, 2.0),
            "pumped" => (0.3, 5.0),
            _ => (0.5, 1.0 + 1e-9),
        };
        let asked = match name {
            "returned" => format!("{} went in: is it read right?", volume(expected)),
            _ => format!("about {} is expected: is the unit right, or is there air in it?", volume(expected)),
        };
        (!(least..=most).contains(&(typed / expected))).then(|| format!("{}, but {asked}", volume(typed)))
    }

    fn diameter_note(&self, phase: &str, at: usize, typed: &str, system: System) -> Note {
        let Some(station) = self.plan.stations.get(at) else { return Note::None };
        let born = show(Length::mm(station.birth_mm), system);
        if typed.is_empty() {
            let note = station.note.map_or_else(String::new, |note| format!("; {note}"));
            return Note::Says(format!("born {born}{note}"));
        }
        let text = live::with_unit(typed, Dimension::Length, None, system);
        let Ok(si) = parse_field(&text, Dimension::Length, None, None) else {
            return Note::Wrong("not understood".to_owned());
        };
        if let Some(slip) =
            crate::book::reader::slip(Dimension::Length, Some(&text), si, station.birth_mm * 1e-3)
        {
            return Note::Wrong(slip);
        }
        let before = self.si(&format!("before.{at}"), Dimension::Length, system);
        match (phase, before) {
            ("after", Some(before)) => {
                Note::Says(format!("{} since before pumping", signed(si - before, system)))
            }
            _ => Note::Says(format!("{} since birth", signed(si - station.birth_mm * 1e-3, system))),
        }
    }

    pub(super) fn flagged(&self, step: usize, station: Option<usize>, system: System) -> Option<Note> {
        self.flags
            .iter()
            .find(|flag| flag.step == step && flag.station == station)
            .map(|flag| Note::Wrong(in_units(&flag.text, system, false)))
    }
}

/// A change of diameter with its sign, in the unit that a bare number is taken in.
fn signed(metres: f64, system: System) -> String {
    let words = growth_words(metres.abs() * 1e3, system);
    // What rounds to nothing has no sign: it is neither grown nor shrunk.
    let nothing = !words.bytes().any(|byte| (b'1'..=b'9').contains(&byte));
    let sign = match (nothing, metres < 0.0) {
        (true, _) => "",
        (false, true) => "-",
        (false, false) => "+",
    };
    format!("{sign}{words}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_rounds_to_nothing_has_no_sign() {
        let said = |mm: f64| signed(mm * 1e-3, System::Si);
        assert_eq!(
            [said(-1e-7), said(0.0), said(-0.01), said(0.01)].map(|it| it.replace(" mm", "")),
            ["0.000", "0.000", "-0.010", "+0.010"]
        );
    }
}
