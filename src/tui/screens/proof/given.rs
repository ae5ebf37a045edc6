//! What was read at the rig, as answers to the proof form.

use super::RigScreen;
use crate::book::{Answers, ProofMethod};
use crate::quantity::{Dimension, System, parse_number};
use crate::standing::proof_plan::RIG;
use crate::tui::widgets::live;

impl RigScreen {
    /// The proof form filled in.
    pub(super) fn answers(&self, system: System) -> Answers {
        let mut answers = Answers::new();
        answers.set("by", self.by.clone());
        answers.set("casing", self.serial.clone());
        let quantity = |name: &str, dimension| live::with_unit(self.text(name), dimension, None, system);
        let reached = self.reached(system);
        let highest = reached.iter().max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((words, ..)) = highest {
            answers.set("pressure", words.clone());
        }
        let steps: Vec<String> = (0..self.plan.steps.len())
            .filter_map(|at| {
                let (words, _) = reached.iter().find(|(_, _, of)| *of == at).map(|it| (&it.0, it.1))?;
                let strokes = self.text(&format!("step.{at}.strokes"));
                Some(match parse_number(strokes) {
                    Ok(count) => format!("{words}: {count}"),
                    Err(_) => words.clone(),
                })
            })
            .collect();
        if !steps.is_empty() {
            answers.set("steps", steps.join("\n"));
        }
        for (from, to) in [
            ("medium", "medium"),
            ("rig.solid", "bled"),
            ("leak", "leak"),
            ("drop", "pressure_drop"),
            ("gauge", "gauge"),
            ("reader", "od_gauge"),
        ] {
            let words = match yes_no(self.text(from)) {
                Some(true) => "yes",
                Some(false) => "no",
                None => self.text(from),
            };
            if !words.is_empty() {
                answers.set(to, words);
            }
        }
        let rig: Vec<Option<bool>> =
            RIG.iter().map(|(id, _)| yes_no(self.text(&format!("rig.{id}")))).collect();
        if rig.contains(&Some(false)) {
            answers.set("rig_checked", "no");
        } else if rig.iter().all(|it| *it == Some(true)) {
            answers.set("rig_checked", "yes");
        }
        for (from, to, dimension) in [
            ("hold", "hold", Dimension::Time),
            ("water", "water_volume", Dimension::Volume),
            ("pumped", "water_pumped", Dimension::Volume),
            ("returned", "water_returned", Dimension::Volume),
        ] {
            if !self.text(from).is_empty() {
                answers.set(to, quantity(from, dimension));
            }
        }
        let direct = !self.text("pumped").is_empty() && !self.text("returned").is_empty();
        let method = if direct { ProofMethod::Direct } else { ProofMethod::Diameters };
        answers.set("method", method.word());
        // Without both figures of the water there is no permanent expansion to judge.
        if !direct {
            answers.clear("water_pumped");
            answers.clear("water_returned");
        }
        self.diameters(&mut answers, highest.map(|it| it.2), system);
        answers
    }

    /// Every step that was reached: its words, its pressure in pascals, its place.
    fn reached(&self, system: System) -> Vec<(String, f64, usize)> {
        (0..self.plan.steps.len())
            .filter(|at| {
                let of = format!("step.{at}.");
                self.typed.keys().any(|name| name.starts_with(&of))
            })
            .filter_map(|at| {
                let name = format!("step.{at}.pressure");
                match self.si(&name, Dimension::Pressure, system) {
                    Some(pa) => Some((
                        live::with_unit(self.text(&name), Dimension::Pressure, Some(false), system),
                        pa,
                        at,
                    )),
                    // Left empty, with something read: as planned.
                    None if self.text(&name).is_empty() => {
                        let pa = self.plan.steps[at].pressure_pa;
                        Some((planned_words(pa, system), pa, at))
                    }
                    None => None,
                }
            })
            .collect()
    }

    /// Diameters before, under (the dial's growth on what it was before) and after.
    fn diameters(&self, answers: &mut Answers, highest: Option<usize>, system: System) {
        let mut rows: [Vec<String>; 3] = Default::default();
        for (at, station) in self.plan.stations.iter().enumerate() {
            let mark = station.mark();
            let before = self.si(&format!("before.{at}"), Dimension::Length, system);
            for (slot, phase) in [(0, "before"), (2, "after")] {
                let name = format!("{phase}.{at}");
                if !self.text(&name).is_empty() {
                    rows[slot].push(format!(
                        "{mark}: {}",
                        live::with_unit(self.text(&name), Dimension::Length, None, system)
                    ));
                }
            }
            let grown = highest
                .and_then(|step| self.si(&format!("step.{step}.dial.{at}"), Dimension::Length, system));
            if let (Some(before), Some(grown)) = (before, grown) {
                rows[1].push(format!("{mark}: {:.4} mm", (before + grown) * 1e3));
            }
        }
        for (name, rows) in ["od_before", "od_under", "od_after"].into_iter().zip(rows) {
            if !rows.is_empty() {
                answers.set(name, rows.join("\n"));
            }
        }
    }
}

/// A yes or a no, as a cold finger types it: its first letter is enough.
pub(super) fn yes_no(typed: &str) -> Option<bool> {
    match typed.trim().to_lowercase().as_str() {
        "y" | "ye" | "yes" => Some(true),
        "n" | "no" => Some(false),
        _ => None,
    }
}

/// A planned pressure as a form takes it: with every digit, so that no step is lost to rounding.
fn planned_words(pa: f64, system: System) -> String {
    match system {
        System::Si => format!("{:.4} MPa", pa * 1e-6),
        System::Us => format!("{:.2} psi", pa / 6_894.757_293_168),
    }
}
