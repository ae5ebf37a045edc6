//! A casing drawn: in section with what is on record along it, and its life as peaks against MEOP and proof.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::{Cx, Screen, Step};
use crate::book::Details;
use crate::desk::view::CasingPage;
use crate::quantity::{GaugePressure, Quantity, STANDARD_ATMOSPHERE_PA, System, show};
use crate::standing::RuleSet;
use crate::standing::growth::{Degree, degree};
use crate::tui::action::{Act, Context};
use crate::tui::theme::Meaning;
use crate::tui::widgets::plot::{Curve, Level, Plot, Span, Stroke};
use crate::tui::widgets::section::{Mark, Section};
use crate::tui::widgets::{Paint, put};

/// One firing or proof of a life.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// Pascals above the atmosphere.
    pub peak_pa: f64,
    /// Whether it is a proof.
    pub proof: bool,
}

/// The firings and proofs on record, in order; how many firings have no peak on record.
pub fn life(page: &CasingPage) -> (Vec<Event>, usize) {
    let mut unknown = 0;
    let mut events = Vec::new();
    for line in page.ledger.iter().filter(|line| line.struck_by.is_none()) {
        match &line.entry.entry.details {
            Details::Firing(firing) if firing.casing == page.assessed.serial => match &firing.peak_pressure {
                Some(peak) => events.push(Event {
                    peak_pa: peak.value.gauge_under(STANDARD_ATMOSPHERE_PA).si(),
                    proof: false,
                }),
                None => unknown += 1,
            },
            Details::Proof(proof) if proof.casing == page.assessed.serial => {
                events.push(Event { peak_pa: proof.pressure.value.si(), proof: true });
            }
            _ => {}
        }
    }
    (events, unknown)
}

/// What is marked along the wall: growth at the stations, soft and thin places, findings at a station.
pub fn marks(page: &CasingPage, rules: &RuleSet) -> Vec<Mark> {
    let mut marks: Vec<Mark> = page
        .assessed
        .growth
        .iter()
        .map(|it| {
            let (letter, meaning) = match (it.noise, degree(it.percent, rules)) {
                (true, _) | (_, Degree::None) => ('.', Meaning::Plain),
                (_, Degree::Seen) => ('s', Meaning::Warns),
                (_, Degree::Hold) => ('h', Meaning::Forbids),
                (_, Degree::Yielded) => ('Y', Meaning::Forbids),
            };
            Mark { station_mm: it.station_mm, letter, meaning }
        })
        .collect();
    for line in page.ledger.iter().filter(|line| line.struck_by.is_none()) {
        let Details::Finding(finding) = &line.entry.entry.details else { continue };
        let ours = finding.casing.as_deref() == Some(page.assessed.serial.as_str());
        if let (true, Some(station)) = (ours, &finding.station) {
            let letter = finding.damage.sheet().code.chars().next().unwrap_or('D');
            marks.push(Mark { station_mm: station.value.as_mm(), letter, meaning: Meaning::Forbids });
        }
    }
    marks
}

/// The throat's DIAMETER in millimetres, where a part with one is fitted.
pub fn throat_mm(page: &CasingPage) -> Option<f64> {
    page.assessed.parts.iter().find_map(|part| part.throat_m).map(|it| it * 1e3)
}

/// The casing drawn.
pub struct DrawingScreen {
    page: CasingPage,
    marks: Vec<Mark>,
    life: (Vec<Event>, usize),
}

impl DrawingScreen {
    /// From a casing's page.
    pub fn new(page: &CasingPage, rules: &RuleSet) -> Self {
        Self { page: page.clone(), marks: marks(page, rules), life: life(page) }
    }
}

impl Screen for DrawingScreen {
    fn context(&self) -> Context {
        Context::Read
    }

    fn title(&self) -> String {
        format!("{} drawn", self.page.assessed.serial)
    }

    fn offers(&self, act: Act) -> bool {
        !matches!(act, Act::GoOn | Act::Rig | Act::WriteAgain)
    }

    fn copy(&self, system: System) -> Option<String> {
        let line = |at: usize, event: &Event| {
            let what = if event.proof { "proof" } else { "firing" };
            format!("{}\t{what}\t{}", at + 1, show(GaugePressure::from_si(event.peak_pa), system))
        };
        Some(self.life.0.iter().enumerate().map(|(at, it)| line(at, it)).collect::<Vec<_>>().join("\n"))
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        if matches!(act, Act::Back | Act::GoOn) {
            cx.go(Step::Back);
        }
    }

    fn refresh(&mut self, cx: &mut Cx<'_>) {
        if let (Ok(page), Ok(rules)) =
            (cx.desk.casing(&self.page.assessed.serial), cx.desk.book().rules_on(cx.desk.day()))
        {
            *self = Self::new(&page, &rules);
        }
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        let assessed = &self.page.assessed;
        let name = assessed.name.as_ref().map_or_else(String::new, |name| format!(" {name}"));
        let style = paint.theme.standing(self.page.standing);
        let words =
            format!("{} {}{name}: {}", self.page.standing.sign(), assessed.serial, self.page.standing);
        put(frame, area, 0, 0, &words, style);
        let rest = Rect { y: area.y + 1, height: area.height.saturating_sub(1), ..area };
        let mut taken = 0;
        if let Some(design) = &assessed.design {
            let section = Section { design, marks: &self.marks, throat_mm: throat_mm(&self.page) };
            taken = section.height(rest.width, rest.height / 2 + 1).min(rest.height);
            section.draw(frame, Rect { height: taken, ..rest }, paint);
            let letters = "above the wall: . no growth, s seen, h hold limit, Y yielded; capitals: damage";
            let row = Rect {
                y: rest.y + taken.min(rest.height),
                height: rest.height.saturating_sub(taken),
                ..rest
            };
            put(frame, row, 0, 1, letters, paint.of(Meaning::Label));
            taken += 1;
        } else {
            put(frame, rest, 0, 0, "No drawing is on record.", paint.of(Meaning::Plain));
            taken += 1;
        }
        let below = Rect {
            y: rest.y + (taken + 1).min(rest.height),
            height: rest.height.saturating_sub(taken + 1),
            ..rest
        };
        self.draw_life(frame, below, paint);
    }
}

impl DrawingScreen {
    fn draw_life(&self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        draw_life(&self.page, &self.life, frame, area, paint);
    }
}

/// The life strip: a stroke an event, firings and proofs in order, against MEOP and the last passing proof.
pub fn draw_life(
    page: &CasingPage,
    (events, unknown): &(Vec<Event>, usize),
    frame: &mut Frame<'_>,
    area: Rect,
    paint: &Paint,
) {
    if events.is_empty() {
        put(frame, area, 0, 0, "No firing or proof with a pressure is on record.", paint.of(Meaning::Plain));
        return;
    }
    let (unit, scale) = match paint.system {
        System::Si => ("MPa", 1e-6),
        System::Us => ("psi", 1.0 / 6_894.757_293_168),
    };
    let strokes = |proof: bool| -> Vec<(f64, f64)> {
        let mut points = Vec::new();
        for (at, event) in events.iter().enumerate().filter(|(_, it)| it.proof == proof) {
            let x = at as f64 + 1.0;
            if proof {
                // A pole with a bar across: told from a firing without any colour.
                let top = event.peak_pa * scale;
                points.extend([(x - 0.25, top), (x + 0.25, top), (x + 0.25, f64::NAN)]);
                points.extend([(x, 0.0), (x, top), (x, f64::NAN)]);
                continue;
            }
            for part in -8..=8 {
                let x = x + f64::from(part) * 0.015;
                points.extend([(x, 0.0), (x, event.peak_pa * scale), (x, f64::NAN)]);
            }
        }
        points
    };
    let (firings, proofs) = (strokes(false), strokes(true));
    let curves = [
        Curve { name: "proof (pole)", points: &proofs, stroke: Stroke::Solid, meaning: Meaning::Warns },
        Curve { name: "firing (column)", points: &firings, stroke: Stroke::Solid, meaning: Meaning::Strong },
    ];
    let shown = |pa: f64| show(GaugePressure::from_si(pa), paint.system);
    let meop = page.assessed.meop_pa.map(|pa| (pa, format!("MEOP {}", shown(pa))));
    let proved = page.assessed.proof.as_ref().map(|(_, pa, _)| (*pa, format!("proved {}", shown(*pa))));
    let levels: Vec<Level<'_>> = [(&meop, Meaning::Forbids), (&proved, Meaning::Plain)]
        .into_iter()
        .filter_map(|(level, meaning)| {
            level.as_ref().map(|(pa, name)| Level { name, value: pa * scale, meaning })
        })
        .collect();
    let highest = events.iter().map(|it| it.peak_pa).chain(levels.iter().map(|it| it.value / scale));
    let unknown = match unknown {
        0 => String::new(),
        1 => ", 1 firing without a peak left out".to_owned(),
        many => format!(", {many} firings without a peak left out"),
    };
    Plot {
        title: &format!("peaks in order, {unit} above the atmosphere{unknown}"),
        along: "event",
        x: Span::new(0.5, events.len() as f64 + 0.5),
        y: Span::over(highest.map(|pa| pa * scale)),
        curves: &curves,
        levels: &levels,
        stretches: &[],
        cursor: None,
    }
    .draw(frame, area, paint);
}
