//! What waits for a decision: each decision tried on the record, with what would follow, and the form it fills in.
//! Nothing here decides; people do, two of them where the record asks for two.

use super::Desk;
use super::record::Refusal;
use super::view::CasingPage;
use super::what_if::meop_kept;
use crate::book::details::{DispositionRecord, LoadRecord};
use crate::book::{Decision, Details, Kind, Standing, SubjectOf};
use crate::quantity::{GaugePressure, Quantity, STANDARD_ATMOSPHERE_PA, System, Typed, show};
use crate::standing::in_units::{decided_by_people, in_units};
use crate::standing::proof_plan::propose;
use crate::standing::{Reason, RuleSet};

/// One thing that may be written now.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// In words: the decision, or the part to release.
    pub what: String,
    /// Whether the rules on record ask for it.
    pub asked_for: bool,
    /// How the casing would stand, where the record can say.
    pub leads_to: Option<Standing>,
    /// Why, or what it would leave open.
    pub why: String,
    /// Whether it settles what is open only with two names.
    pub two_names: bool,
    /// The form it fills in.
    pub form: Kind,
    /// The fields filled in.
    pub given: Vec<(String, String)>,
}

/// What waits for a decision on a casing.
#[derive(Clone, Debug)]
pub struct Deciding {
    /// The casing.
    pub serial: String,
    /// The day asked.
    pub day: chrono::NaiveDate,
    /// How it stands.
    pub standing: Standing,
    /// The rule trail: every reason that stands against it, worst first.
    pub trail: Vec<Reason>,
    /// Competing causes, where a bulge argues for some.
    pub causes: Vec<String>,
    /// What may be written, what is asked for first.
    pub proposals: Vec<Proposal>,
}

impl Deciding {
    /// Whether anything that may be written takes two names.
    pub fn two_names(&self) -> bool {
        self.proposals.iter().any(|it| it.two_names)
    }

    /// The same with the quantities of its reasons in the units asked for. What is offered to be written stays as it
    /// is kept, and so does what would stay open, which may be in somebody's words.
    #[must_use]
    pub fn shown(mut self, system: System) -> Self {
        self.trail = self.trail.into_iter().map(|reason| reason.shown(system)).collect();
        for it in &mut self.proposals {
            let (ours, open) = it.why.split_at(it.why.find("leaves open").unwrap_or(it.why.len()));
            it.why = in_units(ours, system, true) + open;
        }
        self
    }
}

impl Desk {
    /// What waits for a decision on a casing, each decision tried on the record.
    ///
    /// # Errors
    /// The casing is not on record, or the book cannot be read.
    pub fn deciding(&self, serial: &str) -> Result<Deciding, Refusal> {
        let page = self.casing(serial)?;
        let trail: Vec<Reason> = page
            .assessed
            .reasons_on(page.day)
            .into_iter()
            .filter(|reason| reason.standing != Standing::InService)
            .cloned()
            .collect();
        let causes: Vec<String> = self
            .bulge_reading(&page)?
            .map(|reading| {
                reading
                    .causes
                    .iter()
                    .filter(|cause| !cause.argues_for.is_empty())
                    .map(|cause| {
                        let against = if cause.argues_against.is_empty() {
                            "nothing".to_owned()
                        } else {
                            cause.argues_against.join("; ")
                        };
                        format!("{}: for: {}; against: {against}", cause.cause, cause.argues_for.join("; "))
                    })
                    .collect()
            })
            .unwrap_or_default();
        let proposals =
            if page.standing == Standing::Retired { releases(&page) } else { self.proposals(&page, &trail)? };
        Ok(Deciding {
            serial: serial.to_owned(),
            day: page.day,
            standing: page.standing,
            trail,
            causes,
            proposals,
        })
    }

    fn proposals(&self, page: &CasingPage, trail: &[Reason]) -> Result<Vec<Proposal>, Refusal> {
        let serial = page.assessed.serial.as_str();
        let rules = self.book().rules_on(page.day)?;
        let asked = asked_for(trail);
        let reason = reason_words(trail);
        let mut proposals = Vec::new();
        for decision in Decision::ALL.iter().copied() {
            let mut record = DispositionRecord {
                casing: Some(serial.to_owned()),
                part: None,
                decision,
                reason: reason.clone(),
                meop: None,
                loads: Vec::new(),
                proof_every: None,
                expires: None,
                standoff_multiplier: None,
                lifts_restriction: false,
                extra_checks: None,
                made_unusable: None,
                repair: None,
            };
            let mut given = vec![
                ("decision".to_owned(), decision.word().to_owned()),
                ("reason".to_owned(), reason.clone()),
            ];
            let mut why = Vec::new();
            if decision == Decision::Restrict {
                self.fill_restriction(page, &rules, &mut record, &mut given, &mut why)?;
            }
            if decision == Decision::Watch {
                record.extra_checks = Some(checks(page));
                given.push(("extra_checks".to_owned(), checks(page)));
            }
            if decision == Decision::Retire {
                record.made_unusable = Some("holed".to_owned());
                why.push(
                    "say how it was made unusable; its parts are released one by one afterwards".to_owned(),
                );
            }
            let details = Details::from(record);
            let one_leaves = self.left_by_one_name(serial, &details)?;
            let leads_to = self.tried(serial, details, true)?;
            let left = leads_to.as_ref().and_then(|it| it.left());
            if let Some(left) = left
                && !matches!(decision, Decision::Hold | Decision::Retire)
            {
                why.push(format!("leaves open: {left}"));
            }
            if one_leaves.is_some() {
                why.push("takes two names".to_owned());
            }
            let on_asked = asked == Some(decision);
            proposals.push(Proposal {
                what: decision.word().to_owned(),
                asked_for: on_asked,
                leads_to: leads_to.map(|it| it.standing),
                why: why.join("; "),
                two_names: one_leaves.is_some(),
                form: Kind::Disposition,
                given,
            });
        }
        proposals.sort_by_key(|it| !it.asked_for);
        Ok(proposals)
    }

    /// The restriction that what is on record bears.
    fn fill_restriction(
        &self,
        page: &CasingPage,
        rules: &RuleSet,
        record: &mut DispositionRecord,
        given: &mut Vec<(String, String)>,
        why: &mut Vec<String>,
    ) -> Result<(), Refusal> {
        let Some(Ok(margins)) = page.assessed.margins(None) else { return Ok(()) };
        let drawing = page.assessed.design.as_ref().map(|design| design.service.meop.si());
        // A proof before the damage shows nothing of it: the margins speak alone, and a fresh proof is asked for.
        let Some(kept) = meop_kept(&margins, rules, None) else { return Ok(()) };
        // Never looser than what is in force.
        let in_force = page.assessed.meop_pa.or(drawing);
        // Where the margins bear what is in force, the next one down is what bears a proof at the club's factor.
        let cap_pa = rules.value("proof-yield-share") / 100.0
            * margins.thinnest().map_or(0.0, |mode| mode.yield_pressure_pa.si());
        let by_full_proof = cap_pa / rules.value("proof-factor");
        let meop_pa = match in_force {
            Some(in_force) if kept.si() >= in_force => in_force.min(by_full_proof),
            _ => kept.si(),
        };
        // Rounded down, to no coarser than a person reads off a gauge: no more is taken than the margins ask for.
        let meop_pa = (meop_pa / 1e4 + 1e-9).floor() * 1e4;
        let lowers = drawing.is_none_or(|drawing| meop_pa < drawing * (1.0 - 1e-9));
        if meop_pa <= 0.0 {
            why.push("no pressure is left that the margins bear".to_owned());
            return Ok(());
        }
        let meop = GaugePressure::from_si(meop_pa);
        let words = format!("{:.2} MPa", meop.as_mpa());
        if lowers {
            record.meop = Some(Typed::computed(meop));
            given.push(("meop".to_owned(), words.clone()));
        }
        let mut loads = Vec::new();
        for name in self.book().names(SubjectOf::Load)? {
            if let Some((load, _)) = self.book().load(&name, page.day)?
                && fits(&load, meop_pa, rules)
                && self.fired_here(page, &name)
            {
                loads.push(name);
            }
        }
        if !loads.is_empty() {
            given.push(("loads".to_owned(), loads.join(", ")));
            record.loads = loads;
        }
        let every = rules.value("proof-firings-restricted").max(1.0) as u32;
        record.proof_every = Some(every);
        given.push(("proof_every".to_owned(), every.to_string()));
        given.push(("standoff_multiplier".to_owned(), rules.value("standoff-metal").to_string()));
        record.extra_checks = Some(checks(page));
        given.push(("extra_checks".to_owned(), checks(page)));
        if let Some(ends) = page.day.checked_add_months(chrono::Months::new(12)) {
            record.expires = Some(ends);
            given.push(("expires".to_owned(), ends.to_string()));
        }
        if !lowers {
            let in_force = show(GaugePressure::from_si(in_force.unwrap_or(meop_pa)), System::Si);
            why.push(format!(
                "no mode asks for a MEOP below {in_force}: type a lower one where something else does"
            ));
        } else if let Some(proof) = propose(&margins, meop_pa, rules) {
            why.push(format!(
                "MEOP {words} keeps every mode at {}; proof it at {} afterwards",
                rules.limit("margin-least"),
                show(GaugePressure::from_si(proof.pressure_pa), System::Si)
            ));
        }
        Ok(())
    }

    fn fired_here(&self, page: &CasingPage, load: &str) -> bool {
        page.ledger.iter().any(|line| match &line.entry.entry.details {
            Details::Firing(it) => it.casing == page.assessed.serial && it.load.as_deref() == Some(load),
            _ => false,
        })
    }
}

/// The decision that the rules on record ask for, where they ask for one: retire or restrict where a rule says so;
/// keep only where nothing but the decision itself is open.
fn asked_for(trail: &[Reason]) -> Option<Decision> {
    let open: Vec<&str> =
        trail.iter().filter(|reason| reason.standing.forbids()).map(|reason| reason.next.as_str()).collect();
    if open.iter().any(|next| next.starts_with("retire")) {
        return Some(Decision::Retire);
    }
    if open.iter().any(|next| next.starts_with("restrict")) {
        return Some(Decision::Restrict);
    }
    let only_the_decision =
        |next: &&str| next.starts_with("decide: keep or watch") || next.starts_with("decide: keep, watch");
    (!open.is_empty() && open.iter().all(only_the_decision)).then_some(Decision::Keep)
}

/// The first draft of a reason: the leading reason with its rule and value. What earlier decisions said is on
/// record already: where nothing else leads, only the entry it follows is named.
fn reason_words(trail: &[Reason]) -> String {
    let against = || trail.iter().filter(|reason| reason.standing < Standing::InService);
    if let Some(leads) = against().find(|reason| !decided_by_people(&reason.rule)) {
        let entry = leads.entry.map_or_else(String::new, |entry| format!(", entry {}", entry.number));
        return format!("{} ({}; rule {}{entry})", leads.text, leads.value, leads.rule);
    }
    let follows = against().find_map(|reason| reason.entry);
    follows.map_or_else(String::new, |entry| format!("follows entry {}", entry.number))
}

/// What is looked at every firing, by what is on record.
fn checks(page: &CasingPage) -> String {
    let mut checks: Vec<String> = page
        .assessed
        .spots
        .iter()
        .map(|spot| format!("hardness and diameter at the {}", spot.place))
        .collect();
    if checks.is_empty() {
        checks.push("diameters at every station".to_owned());
    }
    checks.dedup();
    checks.join("; ")
}

/// Whether a plan with its scatter stays within a MEOP.
fn fits(load: &LoadRecord, meop_pa: f64, rules: &RuleSet) -> bool {
    let peak = load.peak_pressure.si() - STANDARD_ATMOSPHERE_PA;
    peak <= meop_pa * rules.value("load-over-meop") / 100.0
}

/// The parts of a retired casing, each to be released or retired on its own.
fn releases(page: &CasingPage) -> Vec<Proposal> {
    page.assessed
        .parts
        .iter()
        .flat_map(|part| {
            let life = match (part.life_firings, part.left()) {
                (Some(life), Some(left)) => {
                    format!(
                        "{} of {} used, {left} left: they go with it",
                        part.firings,
                        crate::quantity::counted(life, "firing")
                    )
                }
                _ => format!("{}: they go with it", crate::quantity::counted(part.firings, "firing")),
            };
            let given = |decision: bool| {
                let mut given = vec![("part".to_owned(), part.part.clone())];
                if decision {
                    given.push(("decision".to_owned(), Decision::Retire.word().to_owned()));
                    given.push(("reason".to_owned(), format!("retired with {}", page.assessed.serial)));
                } else {
                    given.push(("casing".to_owned(), page.assessed.serial.clone()));
                    given.push(("position".to_owned(), part.position.word().to_owned()));
                    given.push(("action".to_owned(), "removed".to_owned()));
                    given.push((
                        "remark".to_owned(),
                        format!("released from the retired {}: looked at, ", page.assessed.serial),
                    ));
                }
                given
            };
            [
                Proposal {
                    what: format!("release {}", part.part),
                    asked_for: false,
                    leads_to: None,
                    why: format!("{}; {life}", part.position),
                    two_names: true,
                    form: Kind::Fit,
                    given: given(false),
                },
                Proposal {
                    what: format!("retire {}", part.part),
                    asked_for: false,
                    leads_to: None,
                    why: format!("{}; never fitted again", part.position),
                    two_names: false,
                    form: Kind::Disposition,
                    given: given(true),
                },
            ]
        })
        .collect()
}
