//! People and instruments: what is measured with, whether its calibration holds, what it can see; who signs.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::form::FormScreen;
use super::menu::Menu;
use super::{Cx, Screen, Step};
use crate::book::Kind;
use crate::desk::instruments::Instruments;
use crate::desk::view::micrometres;
use crate::quantity::{Length, Quantity, System, show};
use crate::report::instruments as words;
use crate::standing::in_units::in_units;
use crate::tui::action::{Act, Context};
use crate::tui::theme::Meaning;
use crate::tui::widgets::paper::Paper;
use crate::tui::widgets::table::{self, Place, column};
use crate::tui::widgets::{Paint, put};

/// People and instruments.
pub struct InstrumentsScreen {
    of: Instruments,
    place: Place,
    writable: bool,
}

impl InstrumentsScreen {
    /// Open it for the day asked.
    pub fn open(cx: &mut Cx<'_>) {
        match cx.desk.instruments() {
            Ok(of) => {
                let writable = cx.desk.book().writable();
                cx.go(Step::Open(Box::new(Self { of, place: Place::default(), writable })));
            }
            Err(error) => cx.say(error.to_string()),
        }
    }

    fn count(&self) -> usize {
        self.of.gauges.len() + self.of.people.len()
    }
}

impl Screen for InstrumentsScreen {
    fn context(&self) -> Context {
        Context::Instruments
    }

    fn title(&self) -> String {
        "people and instruments".to_owned()
    }

    fn offers(&self, act: Act) -> bool {
        let on_gauge = self.place.selected < self.of.gauges.len();
        match act {
            Act::NewGauge | Act::NewPerson | Act::LogMenu => self.writable,
            Act::Study | Act::Calibrate => self.writable && on_gauge,
            _ => true,
        }
    }

    fn copy(&self, system: System) -> Option<String> {
        Some(words::as_text(&self.of, system))
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        let count = self.count();
        if self.place.act(act, count) {
            return;
        }
        let gauge = self.of.gauges.get(self.place.selected);
        match (act, gauge) {
            (Act::Back, _) => cx.go(Step::Back),
            (Act::NewGauge, _) => FormScreen::open(Kind::Gauge, None, &[], cx),
            (Act::NewPerson, _) => FormScreen::open(Kind::Person, None, &[], cx),
            (Act::LogMenu, _) => Menu::open(None, cx),
            (Act::Study, Some(gauge)) => {
                FormScreen::open(Kind::Study, None, &[("gauge", &gauge.record.serial)], cx);
            }
            (Act::Calibrate, Some(gauge)) => {
                let record = &gauge.record;
                let typed = |si: Option<String>| si.unwrap_or_default();
                let full = typed(record.full_scale.as_ref().and_then(|it| it.typed.clone()));
                let least = typed(record.least.as_ref().and_then(|it| it.typed.clone()));
                let most = typed(record.most.as_ref().and_then(|it| it.typed.clone()));
                let given = [
                    ("serial", record.serial.as_str()),
                    ("what", record.what.word()),
                    ("maker", record.maker.as_deref().unwrap_or("")),
                    ("full_scale", full.as_str()),
                    ("least", least.as_str()),
                    ("most", most.as_str()),
                ];
                let given: Vec<(&str, &str)> =
                    given.into_iter().filter(|(_, words)| !words.is_empty()).collect();
                FormScreen::open(Kind::Gauge, None, &given, cx);
            }
            _ => {}
        }
    }

    fn refresh(&mut self, cx: &mut Cx<'_>) {
        match cx.desk.instruments() {
            Ok(of) => self.of = of,
            Err(error) => cx.say(error.to_string()),
        }
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        let out = self.of.gauges.iter().filter(|it| it.out).count();
        let answer = match (self.of.gauges.len(), out) {
            (0, _) => paint.keys.fill("No gauge is on record. Press {new-gauge} to register one."),
            (_, 0) => "Every calibration on record holds.".to_owned(),
            (count, out) => format!("! {out} of {count} gauges are out of calibration"),
        };
        put(frame, area, 0, 0, &answer, paint.of(if out > 0 { Meaning::Forbids } else { Meaning::Strong }));
        let rest = Rect { y: area.y + 1.min(area.height), height: area.height.saturating_sub(1), ..area };
        let below = 6;
        let (list, foot) = table::above_and_below(rest, self.count(), below, 2);
        let columns = [
            column("Mark, name", 16, 0, 0),
            column("What, role", 17, 0, 0),
            column("Calibration", 21, 0, 0),
            column("Repeats to", 20, 0, 0),
            column("Range", 20, 1, 1),
        ];
        let (gauges, people) = (&self.of.gauges, &self.of.people);
        let plain = paint.of(Meaning::Plain);
        table::draw(frame, list, &columns, &mut self.place, gauges.len() + people.len(), paint, |at| match (
            gauges.get(at),
            people.get(at.saturating_sub(gauges.len())),
        ) {
            (Some(gauge), _) => {
                let style = if gauge.out { paint.of(Meaning::Forbids) } else { plain };
                vec![
                    (gauge.record.serial.clone(), paint.of(Meaning::Strong)),
                    (gauge.record.what.to_string(), plain),
                    (words::calibration(gauge), style),
                    (words::repeats(gauge, paint.system), plain),
                    (words::range(gauge, paint.system), plain),
                ]
            }
            (None, Some(person)) => vec![
                (person.record.name.clone(), paint.of(Meaning::Strong)),
                (person.record.role.to_string(), plain),
            ],
            _ => Vec::new(),
        });
        let mut paper = Paper::new(usize::from(foot.width));
        if let Some(gauge) = gauges.get(self.place.selected) {
            paper.labelled("stated", &words::uncertainty(gauge, paint.system), paint);
            if let Some((study, entry)) = &gauge.study {
                paper.labelled(
                    "study",
                    &format!(
                        "{} readings of {} on {} (entry {}): mean {}, one standard deviation {} (JCGM 100:2008 4.2.2)",
                        study.lengths.len(),
                        study.measured,
                        entry.on,
                        entry.number,
                        show(study.mean.value, paint.system),
                        in_units(&micrometres(study.repeatability.si()), paint.system, true)
                    ),
                    paint,
                );
                let seen = 2.0 * study.repeatability.si();
                paper.labelled(
                    "sees",
                    &format!(
                        "nothing up to {} is called growth with it",
                        show(Length::from_si(seen), paint.system)
                    ),
                    paint,
                );
            }
            paper.labelled("compared", gauge.record.certificate.as_deref().unwrap_or(""), paint);
            paper.labelled("remark", gauge.record.remark.as_deref().unwrap_or(""), paint);
        } else if let Some(person) = people.get(self.place.selected.saturating_sub(gauges.len())) {
            paper.labelled("remark", person.record.remark.as_deref().unwrap_or(""), paint);
        }
        paper.draw(frame, foot, 0, paint);
    }
}
