//! An open trace: its curves in shown units, the window over them, the cursor.

use crate::desk::after::AgainstFiring;
use crate::desk::trace_job::TraceFound;
use crate::quantity::{Force, GaugePressure, System, Typed};
use crate::trace::{ChannelReduction, ChannelUnit, Curve};
use crate::tui::action::Act;
use crate::tui::widgets::plot::Span;

/// The part of time that is shown, and the cursor in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Window {
    /// All there is.
    pub all: Span,
    /// What is shown.
    pub shown: Span,
    /// Where the cursor stands.
    pub cursor: f64,
}

impl Window {
    /// Nearer or farther about a time.
    pub fn zoom(&mut self, about: f64, factor: f64) {
        let least = self.all.length() * 1e-5;
        let next = self.shown.zoomed(about, factor);
        if next.length() >= least {
            self.shown = next.within(self.all);
        }
    }

    /// Move what is shown by so many seconds.
    pub fn slide(&mut self, seconds: f64) {
        self.shown = self.shown.moved(seconds / self.shown.length()).within(self.all);
        self.cursor = self.cursor.clamp(self.shown.from, self.shown.to);
    }

    /// Put the cursor somewhere, and keep it in sight.
    pub fn put_cursor(&mut self, at: f64) {
        self.cursor = at.clamp(self.all.from, self.all.to);
        if self.cursor < self.shown.from || self.cursor > self.shown.to {
            let middle = f64::midpoint(self.shown.from, self.shown.to);
            self.shown = self.shown.moved((self.cursor - middle) / self.shown.length()).within(self.all);
        }
    }

    /// A hundredth of what is shown.
    fn step(&self) -> f64 {
        self.shown.length() / 100.0
    }
}

/// One channel as it is drawn.
pub(super) struct Drawn {
    pub unit: ChannelUnit,
    pub measured: Curve,
    pub planned: Option<Curve>,
    pub other: Option<Curve>,
    /// Points in the units shown: measured, planned, other.
    points: [Vec<(f64, f64)>; 3],
    system: Option<System>,
}

impl Drawn {
    fn new(measured: Curve, planned: Option<Curve>) -> Self {
        Self { unit: measured.unit, measured, planned, other: None, points: Default::default(), system: None }
    }

    /// The points in these units, worked out once.
    pub fn points(&mut self, system: System) -> &[Vec<(f64, f64)>; 3] {
        if self.system != Some(system) {
            let (scale, _) = axis(self.unit, system);
            let of = |curve: Option<&Curve>| -> Vec<(f64, f64)> {
                curve.map_or_else(Vec::new, |it| {
                    it.time_s.iter().zip(&it.value).map(|(t, y)| (*t, y * scale)).collect()
                })
            };
            self.points = [of(Some(&self.measured)), of(self.planned.as_ref()), of(self.other.as_ref())];
            self.system = Some(system);
        }
        &self.points
    }
}

/// What one unit shown is of the SI unit, and its name.
pub(super) fn axis(unit: ChannelUnit, system: System) -> (f64, &'static str) {
    let of = |si: Option<f64>| 1.0 / si.filter(|it| *it > 0.0).unwrap_or(1.0);
    match (unit, system) {
        (ChannelUnit::N, System::Si) => (1.0, "N"),
        (ChannelUnit::N, System::Us) => {
            (of(Typed::<Force>::parse("1 lbf", None).ok().map(|it| it.si())), "lbf")
        }
        (ChannelUnit::Pa, System::Si) => (1e-6, "MPa"),
        (ChannelUnit::Pa, System::Us) => {
            (of(Typed::<GaugePressure>::parse("1 psi", None).ok().map(|it| it.si())), "psi")
        }
        (ChannelUnit::V, _) => (1.0, "V"),
    }
}

/// An open trace.
pub(super) struct Shown {
    pub found: TraceFound,
    pub window: Window,
    /// Thrust first.
    pub channels: Vec<Drawn>,
    /// Running integral of the first channel from the first measurable reading.
    integral: Vec<f64>,
    /// Another firing it is held against.
    pub other: Option<(String, AgainstFiring)>,
    /// Times worth a stop of the cursor, with their words.
    pub marks: Vec<(f64, String)>,
}

impl Shown {
    /// From what was read.
    pub fn new(found: TraceFound) -> Self {
        let reduced = &found.reduced;
        let start_s = main(&found).map_or(0.0, |it| it.burn.start_s);
        let plan = found.plan.as_ref().and_then(|it| it.as_ref().ok());
        let channels: Vec<Drawn> = [&reduced.thrust, &reduced.pressure]
            .into_iter()
            .flatten()
            .map(|curve| {
                let planned = plan.and_then(|plan| plan.curve(curve.unit)).map(|plan| later(&plan, start_s));
                Drawn::new(curve.clone(), planned)
            })
            .collect();
        let span = channels.first().and_then(|it| it.measured.span()).unwrap_or((0.0, 1.0));
        let all = Span::new(span.0, span.1);
        let integral = match (channels.first(), main(&found)) {
            (Some(channel), Some(numbers)) => channel.measured.running_integral(numbers.integral_from_s),
            _ => Vec::new(),
        };
        let window = Window { all, shown: all, cursor: main(&found).map_or(all.from, |it| it.peak_at_s) };
        let marks = marks(&found);
        let mut shown = Self { found, window, channels, integral, other: None, marks };
        shown.show_burn();
        shown
    }

    pub fn has_both(&self) -> bool {
        self.channels.len() > 1
    }

    /// The running integral at a time.
    pub fn integral_at(&self, time_s: f64) -> Option<f64> {
        let channel = self.channels.first()?;
        let after = channel.measured.time_s.partition_point(|&t| t <= time_s);
        Some(after.checked_sub(1).and_then(|at| self.integral.get(at)).copied().unwrap_or(0.0))
    }

    /// The burn with a little before and after it.
    fn show_burn(&mut self) {
        let Some(burn) = main(&self.found).map(|it| it.burn) else { return };
        let room = 0.12 * burn.time_s();
        self.window.shown = Span::new(burn.start_s - room, burn.end_s + 1.5 * room).within(self.window.all);
        self.window.shown = Span::new(
            self.window.shown.from.max(self.window.all.from),
            self.window.shown.to.min(self.window.all.to),
        );
        self.window.cursor = self.window.cursor.clamp(self.window.shown.from, self.window.shown.to);
    }

    /// Put another firing beside it, on a common start.
    pub fn hold_against(&mut self, label: String, other: TraceFound, against: AgainstFiring) {
        let shift = match (main(&self.found), main(&other)) {
            (Some(mine), Some(its)) => mine.burn.start_s - its.burn.start_s,
            _ => 0.0,
        };
        for channel in &mut self.channels {
            let its = [&other.reduced.thrust, &other.reduced.pressure];
            channel.other =
                its.into_iter().flatten().find(|it| it.unit == channel.unit).map(|it| later(it, shift));
            channel.system = None;
        }
        self.other = Some((label, against));
    }

    /// Move the cursor or the window.
    pub fn act(&mut self, act: Act) {
        let window = &mut self.window;
        let (step, cursor) = (window.step(), window.cursor);
        match act {
            Act::CursorLeft => window.put_cursor(cursor - step),
            Act::CursorRight => window.put_cursor(cursor + step),
            Act::ZoomIn => window.zoom(cursor, 0.7),
            Act::ZoomOut => window.zoom(cursor, 1.0 / 0.7),
            Act::PanLeft => window.slide(-25.0 * step),
            Act::PanRight => window.slide(25.0 * step),
            Act::WholeTrace if window.shown == window.all => self.show_burn(),
            Act::WholeTrace => window.shown = window.all,
            Act::First => window.put_cursor(window.shown.from),
            Act::Last => window.put_cursor(window.shown.to),
            Act::NextMark => {
                let next = self.marks.iter().find(|it| it.0 > cursor + 1e-9).or(self.marks.first());
                if let Some((at, _)) = next {
                    window.put_cursor(*at);
                }
            }
            Act::PreviousMark => {
                let before = self.marks.iter().rev().find(|it| it.0 < cursor - 1e-9).or(self.marks.last());
                if let Some((at, _)) = before {
                    window.put_cursor(*at);
                }
            }
            _ => {}
        }
    }

    /// The words of the mark the cursor stands on.
    pub fn mark(&self) -> Option<&str> {
        let near = self.window.shown.length() / 400.0;
        self.marks
            .iter()
            .filter(|it| (it.0 - self.window.cursor).abs() <= near)
            .min_by(|a, b| (a.0 - self.window.cursor).abs().total_cmp(&(b.0 - self.window.cursor).abs()))
            .map(|it| it.1.as_str())
    }
}

/// The channel a firing is judged by.
pub(super) fn main(found: &TraceFound) -> Option<&ChannelReduction> {
    found.reduced.reduction.thrust.as_ref().or(found.reduced.reduction.pressure.as_ref())
}

/// The letter of a phase.
pub(super) fn letter(at: usize) -> String {
    char::from_u32('A' as u32 + u32::try_from(at % 26).unwrap_or(0)).unwrap_or('A').to_string()
}

fn later(curve: &Curve, seconds: f64) -> Curve {
    Curve {
        unit: curve.unit,
        time_s: curve.time_s.iter().map(|t| t + seconds).collect(),
        value: curve.value.clone(),
    }
}

fn marks(found: &TraceFound) -> Vec<(f64, String)> {
    let reduction = &found.reduced.reduction;
    let mut marks = Vec::new();
    if let Some(numbers) = main(found) {
        let percent = 100.0 * numbers.burn.threshold;
        marks.push((numbers.burn.start_s, format!("ignition, {percent:.0} % of the peak")));
        marks.push((numbers.burn.end_s, format!("burnout, {percent:.0} % of the peak")));
        marks.push((numbers.peak_at_s, "peak".to_owned()));
    }
    if let (Some(_), Some(pressure)) = (&reduction.thrust, &reduction.pressure) {
        marks.push((pressure.peak_at_s, "peak pressure".to_owned()));
    }
    for (at, phase) in reduction.phases.iter().enumerate() {
        marks.push((phase.from_s, format!("phase {} begins", letter(at))));
        marks.push((phase.to_s, format!("phase {} ends", letter(at))));
    }
    marks.extend(reduction.findings.iter().map(|it| (it.at_s, it.pattern.clone())));
    marks.retain(|it| it.0.is_finite());
    marks.sort_by(|a, b| a.0.total_cmp(&b.0));
    marks
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_window_stays_inside_and_keeps_the_cursor_in_sight() {
        let all = Span::new(0.0, 10.0);
        let mut window = Window { all, shown: all, cursor: 5.0 };
        for _ in 0..200 {
            window.zoom(5.0, 0.7);
        }
        assert!(window.shown.length() >= 1e-4 && window.shown.from < 5.0 && window.shown.to > 5.0);
        window.put_cursor(9.0);
        assert!(window.shown.from <= 9.0 && window.shown.to >= 9.0);
        window.slide(-100.0);
        assert!(window.shown.from >= 0.0 && window.cursor <= window.shown.to);
        window.zoom(0.0, 1e9);
        assert_eq!(window.shown, all);
    }
}
