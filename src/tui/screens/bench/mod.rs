//! The load bench: a load's curves follow every key, with the limits of the casing drawn on them, beside another
//! plan that is held.

mod fields;
mod figures;
mod view;

use ratatui::Frame;
use ratatui::layout::Rect;

use super::big::Said;
use super::form::FormScreen;
use super::{Cx, Screen, Step, named};
use crate::ballistics::load::Spread;
use crate::ballistics::{Load, Prediction, room};
use crate::book::details::BatchRecord;
use crate::book::{Kind, Problem, SubjectOf};
use crate::desk::bench::batch::BatchPage;
use crate::desk::bench::{CasingLimits, HardStartCount, compare, shape};
use crate::desk::{Refusal, calculators};
use crate::quantity::{Angle, BurnRate, GaugePressure, Quantity, Speed, System, show};
use crate::standing::RuleSet;
use crate::tui::action::{Act, Context};
use crate::tui::widgets::Paint;
use crate::tui::widgets::live::LiveFields;

/// A plan worked out.
#[derive(Clone)]
struct Worked {
    title: String,
    load: Load,
    plan: Prediction,
}

/// What the figures under the plot show.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Page {
    Figures,
    Room,
    Drives,
    Batch,
}

/// Which curve is drawn where there is room for one.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Shown {
    Pressure,
    Thrust,
    Kn,
}

/// The load bench.
pub struct BenchScreen {
    /// The casing, where the bench was opened for one.
    limits: Option<CasingLimits>,
    /// Its serial and name.
    who: Option<String>,
    rules: RuleSet,
    hard: Option<HardStartCount>,
    fields: LiveFields,
    /// The load whose numbers were put into the fields last, and its own scatter.
    filled: String,
    peak_scatter: Option<f64>,
    /// The half angle of its nozzle, which has no field here.
    half_angle: Option<crate::quantity::Typed<Angle>>,
    /// The batch named, as it is on record.
    batch: Option<(String, Option<BatchRecord>)>,
    batch_page: Option<BatchPage>,
    /// The last plan that could be worked out.
    good: Option<Worked>,
    /// What is wrong with what is typed now.
    problems: Vec<Problem>,
    held: Option<Worked>,
    /// Why the held plan is there, where it is more than another plan.
    reason: Option<String>,
    page: Page,
    shown: Shown,
}

impl BenchScreen {
    /// Open the bench for a casing, or for none, on a load where one is named.
    pub fn open(casing: Option<&str>, load: Option<&str>, batch: Option<&str>, cx: &mut Cx<'_>) {
        match Self::new(casing, load, batch, cx) {
            Ok(screen) => cx.go(Step::Open(Box::new(screen))),
            Err(Refusal::Form(problems)) => {
                let words: Vec<String> = problems.iter().map(ToString::to_string).collect();
                cx.say(words.join("; "));
            }
            Err(Refusal::Store(error)) => cx.say(error.to_string()),
            Err(Refusal::Forbidden { .. }) => {}
        }
    }

    fn new(
        casing: Option<&str>,
        load: Option<&str>,
        batch: Option<&str>,
        cx: &Cx<'_>,
    ) -> Result<Self, Refusal> {
        let day = cx.desk.day();
        let rules = cx.desk.book().rules_on(day)?;
        let limits = casing.map(|serial| cx.desk.casing_limits(serial, day)).transpose()?;
        let loads = cx.desk.book().names(SubjectOf::Load)?;
        let mut batches = cx.desk.book().names(SubjectOf::Batch)?;
        batches.reverse();
        let mut fields = fields::empty(&loads, &batches);
        let first = match load {
            Some(load) => load.to_owned(),
            None => usual_load(limits.as_ref(), &loads, cx)?,
        };
        fields.set("load", &first);
        fields.set("batch", batch.unwrap_or("none"));
        fields.focus = 2;
        Ok(Self {
            limits,
            who: casing.map(|serial| named(serial, cx.desk)),
            hard: cx.desk.hard_starts(&rules, day).ok(),
            rules,
            fields,
            filled: String::new(),
            peak_scatter: None,
            half_angle: None,
            batch: None,
            batch_page: None,
            good: None,
            problems: Vec::new(),
            held: None,
            reason: None,
            page: Page::Figures,
            shown: Shown::Pressure,
        })
    }

    /// Put the numbers of the load named into the fields, once.
    fn take_load(&mut self, cx: &Cx<'_>) {
        let named = self.fields.text("load").to_owned();
        if named == self.filled || named.is_empty() {
            return;
        }
        let Ok(Some((record, _))) = cx.desk.book().load(&named, cx.desk.day()) else { return };
        self.filled.clone_from(&named);
        self.peak_scatter = record.peak_scatter;
        match cx.desk.planned_load(&named, None, cx.desk.day()) {
            Ok(planned) => {
                fields::fill(&mut self.fields, &fields::answers_of(&planned.load));
                self.half_angle = planned.load.nozzle.half_angle;
            }
            // It does not say enough to be burned: what it lacks is asked for.
            Err(_) => {
                fields::fill(&mut self.fields, &fields::known_of(&record));
                self.half_angle = None;
            }
        }
    }

    /// Look the batch named up, once.
    fn take_batch(&mut self, cx: &Cx<'_>) {
        let named = self.fields.text("batch").to_owned();
        if self.batch.as_ref().is_some_and(|(known, _)| *known == named) {
            return;
        }
        let record = cx.desk.book().batch(&named, cx.desk.day()).ok().flatten().map(|(record, _)| record);
        self.batch_page =
            if record.is_some() { cx.desk.batch_page(&named, cx.desk.day()).ok() } else { None };
        self.batch = Some((named, record));
    }

    fn batch_record(&self) -> Option<&BatchRecord> {
        self.batch.as_ref().and_then(|(_, record)| record.as_ref())
    }

    /// The load with the batch's numbers, the scatter and the limits in it.
    fn planned(&self, system: System) -> Result<Load, Vec<Problem>> {
        let mut load = fields::read(&self.fields, system)?;
        load.nozzle.half_angle.clone_from(&self.half_angle);
        if let Some(batch) = self.batch_record() {
            let own = &batch.propellant;
            let it = &mut load.propellant;
            let factor = batch.burn_rate_factor.unwrap_or(1.0);
            it.burn_rate = own.burn_rate.unwrap_or(BurnRate {
                rate: Speed::from_si(it.burn_rate.rate.si() * factor),
                ..it.burn_rate
            });
            it.exponent = own.exponent.unwrap_or(it.exponent);
            it.density = own.density.clone().unwrap_or_else(|| it.density.clone());
            if let Some(cstar) = &own.characteristic_velocity {
                it.characteristic_velocity = cstar.clone();
            }
            it.ratio_of_heats = own.ratio_of_heats.unwrap_or(it.ratio_of_heats);
            if it.at_temperature.is_none() {
                it.at_temperature = batch.at_temperature.clone();
            }
        }
        let sigma = self.peak_scatter.unwrap_or(self.rules.value("peak-scatter") / 100.0);
        let spread = Spread::of_peak(sigma, load.propellant.exponent);
        load.scatter = Some(self.hard.as_ref().map_or(spread, |hard| hard.tail_on(spread)));
        if let Some(limits) = &self.limits {
            load.limits = limits.as_limits();
        }
        Ok(load)
    }

    fn work_out(&mut self, system: System) {
        let worked = self.planned(system).and_then(|load| {
            let plan = calculators::plan(&load, None).map_err(|problem| vec![problem])?;
            Ok((load, plan))
        });
        match worked {
            Ok((load, plan)) => {
                self.problems.clear();
                self.good = Some(Worked { title: self.plan_title(), load, plan });
            }
            Err(problems) => self.problems = problems,
        }
        let batch = match &self.batch {
            Some((named, None)) if named == "none" || named.is_empty() => {
                Some("the numbers below as they are".to_owned())
            }
            Some((_, Some(_))) => self.batch_page.as_ref().map(|page| page.numbers.clone()),
            _ => None,
        };
        fields::write_notes(&mut self.fields, &self.problems, batch.as_deref(), system);
    }

    fn plan_title(&self) -> String {
        let load = self.fields.text("load");
        match self.batch_record() {
            Some(batch) => format!("{load} with {}", batch.name),
            None => load.to_owned(),
        }
    }

    /// Hold the plan as it is, or let the held one go.
    fn hold(&mut self, cx: &mut Cx<'_>) {
        if self.held.take().is_some() {
            self.reason = None;
            cx.say("The held plan is let go.");
        } else if let Some(good) = &self.good {
            self.held = Some(good.clone());
            cx.say(
                cx.keys.fill(
                    "Held: change the fields, and both plans stand side by side. {hold-plan} lets it go.",
                ),
            );
        }
    }

    /// Hold the same propellant in one long grain, with the reason why it peaks higher.
    fn hold_one_long(&mut self, cx: &mut Cx<'_>) {
        let Some(good) = &self.good else { return };
        let count = good.load.grain.0.first().map_or(1, |grain| grain.count);
        if count < 2 {
            return cx.say("There is only one segment: give it more of them first.");
        }
        let Some(long) = room::recut(&good.load, 1) else { return };
        match calculators::plan(&long, None) {
            Ok(plan) => {
                self.reason = Some(compare::why_one_long(&plan, &good.plan, count));
                self.held = Some(Worked { title: "one long grain".to_owned(), load: long, plan });
                self.page = Page::Figures;
            }
            Err(problem) => cx.say(format!("One long grain cannot be worked out: {}", problem.message)),
        }
    }

    fn save(&self, cx: &mut Cx<'_>) {
        let mut answers = fields::answers(&self.fields, cx.system);
        for field in fields::SUPPOSED {
            answers.clear(field);
        }
        // A load is planned by its own numbers; a batch is named when it is fired, and a grain's heat is the day's.
        if let Ok(mut load) = fields::read(&self.fields, cx.system) {
            load.ambient.grain_temperature = None;
            load.nozzle.half_angle.clone_from(&self.half_angle);
            if let Ok(plan) = calculators::plan(&load, None) {
                shape::fill(&plan, &mut answers);
            }
        }
        if let Some(angle) = &self.half_angle {
            answers.set("nozzle.half_angle", format!("{}", angle.si().to_degrees()));
        }
        answers.set("planned_by", "load bench, quasi-steady calculation");
        let fields: Vec<(String, String)> = answers
            .fields()
            .filter_map(|field| answers.text(field).map(|words| (field.to_owned(), words.to_owned())))
            .collect();
        let given: Vec<(&str, &str)> =
            fields.iter().map(|(field, words)| (field.as_str(), words.as_str())).collect();
        FormScreen::open(Kind::Load, None, &given, cx);
    }

    fn log_batch(&self, cx: &mut Cx<'_>) {
        let Some(page) = self.batch_page.as_ref().filter(|page| !page.proposal.is_empty()) else {
            return cx.say("Name a batch with firings on record first: they say what its new numbers are.");
        };
        let given: Vec<(&str, &str)> =
            page.proposal.iter().map(|(field, words)| (*field, words.as_str())).collect();
        FormScreen::open(Kind::Batch, None, &given, cx);
    }
}

/// The load a casing was fired with last, else the first on record.
fn usual_load(limits: Option<&CasingLimits>, loads: &[String], cx: &Cx<'_>) -> Result<String, Refusal> {
    use crate::book::{Details, Subject};
    if let Some(limits) = limits {
        let last = cx.desk.book().last_of(Kind::Firing, &Subject::casing(&limits.serial), cx.desk.day())?;
        if let Some(Details::Firing(firing)) = last.map(|entry| entry.entry.details)
            && let Some(load) = firing.load
        {
            return Ok(load);
        }
        // Never fired: the load whose grain fits its bore best.
        if let Some(bore) = limits.bore_m {
            let mut best: Option<(f64, &String)> = None;
            for name in loads {
                let Some((record, _)) = cx.desk.book().load(name, cx.desk.day())? else { continue };
                let Some(grain) = record.grain else { continue };
                let spare = bore - grain.outside_diameter.si();
                if spare >= 0.0 && best.is_none_or(|(least, _)| spare < least) {
                    best = Some((spare, name));
                }
            }
            if let Some((_, name)) = best {
                return Ok(name.clone());
            }
        }
    }
    Ok(loads.first().cloned().unwrap_or_default())
}

impl Screen for BenchScreen {
    fn context(&self) -> Context {
        if self.fields.context() == Context::LiveWords { Context::BenchWords } else { Context::Bench }
    }

    fn title(&self) -> String {
        self.who.as_ref().map_or_else(|| "load bench".to_owned(), |who| format!("{who} load bench"))
    }

    fn offers(&self, act: Act) -> bool {
        match act {
            Act::HoldPlan | Act::OneLong | Act::Copy | Act::NextCurve => self.good.is_some(),
            Act::LogBatch => self.batch_page.as_ref().is_some_and(|page| !page.proposal.is_empty()),
            _ => true,
        }
    }

    fn copy(&self, system: System) -> Option<String> {
        let good = self.good.as_ref()?;
        Some(figures::as_text(&good.plan, system))
    }

    fn read_back(&self, system: System) -> Vec<Said> {
        let Some(good) = self.good.as_ref().filter(|_| self.problems.is_empty()) else { return Vec::new() };
        let mut said = vec![
            ("load".to_owned(), good.title.clone()),
            ("peak pressure".to_owned(), show(good.plan.peak_pressure_pa, system)),
        ];
        if let Some(limits) = &self.limits {
            said.push(("casing".to_owned(), limits.serial.clone()));
            if let Some(meop) = limits.meop_pa {
                said.push(("MEOP".to_owned(), show(GaugePressure::from_si(meop), system)));
            }
        }
        said.push(("throat".to_owned(), show(good.load.nozzle.throat.value, system)));
        said.push(("class".to_owned(), good.plan.class.clone().unwrap_or_default()));
        said
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        if self.fields.act(act) {
            return;
        }
        match act {
            Act::Back => cx.go(Step::Back),
            Act::HoldPlan => self.hold(cx),
            Act::OneLong => self.hold_one_long(cx),
            Act::NextPage => {
                self.fields.answer.top = 0;
                self.page = match self.page {
                    Page::Figures if self.limits.is_some() => Page::Room,
                    Page::Figures | Page::Room => Page::Drives,
                    Page::Drives if self.batch_page.is_some() => Page::Batch,
                    Page::Drives | Page::Batch => Page::Figures,
                };
            }
            Act::NextCurve => {
                self.shown = match self.shown {
                    Shown::Pressure => Shown::Thrust,
                    Shown::Thrust => Shown::Kn,
                    Shown::Kn => Shown::Pressure,
                };
            }
            Act::SaveLoad => self.save(cx),
            Act::LogBatch => self.log_batch(cx),
            _ => {}
        }
    }

    fn live(&mut self) -> Option<&mut LiveFields> {
        Some(&mut self.fields)
    }

    fn refresh(&mut self, cx: &mut Cx<'_>) {
        // The book, the day or the units changed: the limits and the batch are looked up again, what is typed stays.
        let day = cx.desk.day();
        if let Ok(rules) = cx.desk.book().rules_on(day) {
            self.hard = cx.desk.hard_starts(&rules, day).ok();
            self.rules = rules;
        }
        if let Some(limits) = &self.limits {
            self.limits = cx.desk.casing_limits(&limits.serial, day).ok().or_else(|| self.limits.clone());
        }
        for (name, of) in [("load", SubjectOf::Load), ("batch", SubjectOf::Batch)] {
            if let Ok(mut names) = cx.desk.book().names(of)
                && let Some(field) = self.fields.fields.iter_mut().find(|field| field.name == name)
            {
                if name == "batch" {
                    names.reverse();
                    names.insert(0, "none".to_owned());
                }
                field.words = names;
            }
        }
        self.batch = None;
        self.fields.changed = true;
    }

    fn settle(&mut self, cx: &mut Cx<'_>) {
        if !std::mem::take(&mut self.fields.changed) {
            return;
        }
        self.take_load(cx);
        self.take_batch(cx);
        self.work_out(cx.system);
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        view::draw(self, frame, area, paint);
    }
}
