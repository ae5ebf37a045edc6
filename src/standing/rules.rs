//! The club's limits as data: each with a value, a unit and where it comes from. A club may change any value
//! by an entry; the identity and the meaning of a rule are the program's.

use std::collections::{BTreeMap, HashMap};
use std::sync::LazyLock;

use super::conflicts::Conflict;
use super::reason::EntryRef;
use chrono::NaiveDate;

mod stricter;

pub use stricter::{Stricter, stricter};

/// A rule as the program knows it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RuleSpec {
    /// Its id, for entries, JSON and people.
    pub id: &'static str,
    /// What it says; `{}` stands for the value with its unit.
    pub says: &'static str,
    /// The default.
    pub value: f64,
    /// Its unit; empty for a factor.
    pub unit: &'static str,
    /// Where it comes from.
    pub source: &'static str,
}

const HABIT: &str = "common practice, no source";

const fn rule(
    id: &'static str,
    value: f64,
    unit: &'static str,
    says: &'static str,
    source: &'static str,
) -> RuleSpec {
    RuleSpec { id, says, value, unit, source }
}

/// Every rule with its default.
pub const DEFAULTS: &[RuleSpec] = &[
    // Proof
    rule("proof-months", 24.0, "months", "a proof is good for {}", HABIT),
    rule("proof-firings", 10.0, "firings", "a proof is good for {}", HABIT),
    rule("proof-firings-welded", 5.0, "firings", "a proof of a tube with a welded end is good for {}", HABIT),
    rule("proof-firings-restricted", 3.0, "firings", "a proof of a restricted casing is good for {}", HABIT),
    rule(
        "proof-factor",
        1.5,
        "x MEOP",
        "a proof is planned at {}",
        "common practice, no source; between 1.3 (ASME BPVC VIII-1 UG-99(b)) and 5/3 (49 CFR 180.209(a) Table 1)",
    ),
    rule(
        "proof-factor-least",
        1.25,
        "x MEOP",
        "a proof must have reached {} to cover it",
        "common practice, no source; the proof factor (1 + burst factor)/2 of MIL-STD-1522A at burst factor 1.5, from memory",
    ),
    rule("proof-yield-share", 90.0, "%", "a proof takes no mode above {} of its local yield", HABIT),
    rule(
        "permanent-set-second-reader",
        5.0,
        "%",
        "permanent over total expansion above {} needs a second reader",
        HABIT,
    ),
    rule(
        "permanent-set",
        10.0,
        "%",
        "permanent over total expansion above {} condemns",
        "49 CFR 180.205 with 180.203 (gas cylinders; percentage of total expansion), limit from memory",
    ),
    rule("proof-growth-after", 0.02, "mm", "a station may keep at most {} after a proof", HABIT),
    rule("proof-growth-share", 5.0, "%", "or at most {} of what it grew under pressure", HABIT),
    rule(
        "proof-elastic-agreement",
        15.0,
        "%",
        "growth under pressure agrees with the prediction within {}",
        HABIT,
    ),
    rule(
        "proof-expansion-least",
        60.0,
        "%",
        "expansion below {} of the prediction for the whole tube length is doubted",
        HABIT,
    ),
    rule(
        "proof-hold",
        300.0,
        "s",
        "a proof is held for {}",
        "common practice, no source; piping practice 10 min, cylinders 30 s",
    ),
    rule(
        "proof-hold-least",
        30.0,
        "s",
        "a proof held less than {} does not pass",
        "49 CFR 180.205 (30 seconds at test pressure), from memory",
    ),
    rule("proof-second", 2.0, "names", "a proof is read and signed with {}", HABIT),
    rule(
        "proof-weld-zone",
        1.0,
        "station",
        "a proof of a welded end reads {} beside the weld before and after",
        HABIT,
    ),
    rule(
        "proof-failed",
        1.0,
        "proof",
        "after a proof that failed: a decision with two names, and {} that covers MEOP and reads its stations again",
        HABIT,
    ),
    rule(
        "proof-gauge",
        1.0,
        "proof",
        "a pressure gauge out of calibration is doubted until {} with one in date",
        HABIT,
    ),
    rule(
        "proof-step",
        10.0,
        "%",
        "above MEOP the pressure goes up by at most {} of the proof at a time",
        HABIT,
    ),
    rule(
        "proof-stiffness",
        20.0,
        "%",
        "pressure gained a stroke may fall by at most {}: more is yield, a leak or air",
        HABIT,
    ),
    rule(
        "proof-resolution",
        0.05,
        "mL",
        "a burette of a shed resolves {}; what is smaller is left to diameters",
        HABIT,
    ),
    rule(
        "dial-repeatability",
        0.003,
        "mm",
        "a dial gauge left in place repeats to {} where no study says better",
        HABIT,
    ),
    rule(
        "weld-zone",
        30.0,
        "mm",
        "the wall is taken as softened within {} of a weld",
        "EN 1999-1-1 6.1.6.3 (TIG, wall up to 6 mm), from memory",
    ),
    rule("station-angles", 4.0, "angles", "after a hard landing every station is read at {}", HABIT),
    rule(
        "penetrant-every",
        3.0,
        "firings",
        "a welded end gets penetrant every {}, and after an over-pressure",
        HABIT,
    ),
    rule(
        "proof-of-build",
        1.0,
        "proof",
        "a proof covers one serial as it was built: {} of every build",
        HABIT,
    ),
    // Firing
    rule(
        "peak-share-of-proof",
        90.0,
        "%",
        "a peak over {} of the proof pressure asks for a new proof",
        HABIT,
    ),
    rule(
        "peak-over-proof",
        100.0,
        "%",
        "a peak over {} of the proof pressure: hold, map the stations, penetrant",
        HABIT,
    ),
    rule("peak-share-of-yield", 90.0, "%", "a peak over {} of the weakest mode's yield: hold", HABIT),
    rule("peak-over-meop", 100.0, "%", "a peak over {} of MEOP: check throat, grain sheet, batch", HABIT),
    rule("peak-over-plan", 1.10, "x plan", "a peak over {}: check throat, grain sheet, batch", HABIT),
    rule(
        "peak-far-over-plan",
        1.20,
        "x plan",
        "a peak over {}: full inspection and a second inspector",
        HABIT,
    ),
    rule(
        "peak-under-plan",
        0.85,
        "x plan",
        "a peak or impulse under {}: look for a leak, a breach, a lost nozzle",
        HABIT,
    ),
    rule(
        "peak-known",
        1.0,
        "decision",
        "a firing without a known peak: {} with two names; it counts as one at MEOP",
        HABIT,
    ),
    rule("sudden-drop", 1.0, "decision", "a trace with a sudden drop: {} once the cause is found", HABIT),
    rule("part-missing", 1.0, "part", "every place that held a part holds {} again", HABIT),
    rule(
        "hard-landing",
        1.0,
        "inspection",
        "a hard landing: {} of roundness, then a decision with two names",
        HABIT,
    ),
    rule("first-firing", 1.0, "firing", "the first of a build is {} on the stand", HABIT),
    // Inspection
    rule("strip-after-firing", 1.0, "inspection", "every firing is followed by {}, complete", HABIT),
    rule("decision-after-strip", 1.0, "decision", "every inspection is followed by {}", HABIT),
    rule("decision-after-finding", 1.0, "decision", "every finding is followed by {}", HABIT),
    // Growth and shape
    rule("growth-noise", 0.03, "mm", "nothing up to {} is called growth", HABIT),
    rule(
        "growth-noise-gauge",
        2.0,
        "x repeatability",
        "nothing up to {} of the gauge is called growth",
        "common practice, no source; repeatability as JCGM 100:2008 4.2.2",
    ),
    rule(
        "study-outlier",
        0.10,
        "mm",
        "a reading that Grubbs' test tells from the rest and {} from their median is no repeat reading",
        "NIST/SEMATECH e-Handbook of Statistical Methods 1.3.5.17.1 (Grubbs' test, two-sided, 5 %); the distance: common practice, no source",
    ),
    rule(
        "study-spread",
        0.20,
        "mm",
        "a study that spreads by more than {} (one standard deviation) is not one of one place",
        HABIT,
    ),
    rule("stations-read", 1.0, "reading", "after a firing every station of the birth record gets {}", HABIT),
    rule("shrink", 0.10, "%", "a station that reads {} smaller than at birth is read again", HABIT),
    rule(
        "growth-hold",
        0.10,
        "%",
        "a station grown by {}: hold and proof",
        "common practice, no source; half the 0.2 % offset that defines proof strength (ISO 6892-1)",
    ),
    rule(
        "growth-yield",
        0.20,
        "%",
        "a station grown by {} is a yielded wall: retire",
        "the 0.2 % offset that defines yield, ISO 6892-1; any visible bulge condemns a gas cylinder",
    ),
    rule("reading-believed", 10.0, "%", "a diameter more than {} from the drawing is not believed", HABIT),
    rule("ovality-watch", 0.5, "%", "out of round by more than {}: watch, and proof after an impact", HABIT),
    rule(
        "ovality-hold",
        1.0,
        "%",
        "out of round by more than {}: hold and proof",
        "ASME BPVC VIII-1 UG-80, 1 % of diameter",
    ),
    rule("ovality-retire", 2.0, "%", "out of round by more than {}: retire", HABIT),
    // Damage
    rule(
        "bulge-hold",
        0.10,
        "%",
        "a bulge of {}: hold and proof",
        "common practice, no source; half the offset that defines yield",
    ),
    rule(
        "bulge-yield",
        0.20,
        "%",
        "a bulge of {} is a yielded wall: retire",
        "the 0.2 % offset that defines yield, ISO 6892-1",
    ),
    rule(
        "crack",
        0.0,
        "mm",
        "any crack in a pressure part retires it",
        "49 CFR 180.205 (evidence of cracking condemns), from memory",
    ),
    rule("thread-damage", 1.0, "thread", "more than {} damaged: hold", HABIT),
    rule("seal-damage", 1.0, "decision", "soot past a seal: {} on why, with two names", HABIT),
    rule("throat-growth", 5.0, "%", "a throat area changed by more than {}: plan the load again", HABIT),
    rule(
        "throat-shrink",
        1.0,
        "%",
        "a throat area that shrank by more than {} is cleaned and gauged again",
        HABIT,
    ),
    rule("hardness-watch", 10.0, "%", "hardness lost up to {}: watch", HABIT),
    rule(
        "hardness-restrict",
        25.0,
        "%",
        "hardness lost up to {}: restrict on local strength; above it retire",
        HABIT,
    ),
    rule("heat-proof", 1.0, "proof", "a heat event asks for {}, like an over-pressure", HABIT),
    rule(
        "heat-aluminium",
        176.0,
        "degC",
        "aluminium at {} or hotter is condemned",
        "49 CFR 180.203 (condemnable heat exposure)",
    ),
    rule(
        "heat-steel",
        343.0,
        "degC",
        "steel at {} or hotter is condemned",
        "49 CFR 180.203 (condemnable heat exposure)",
    ),
    rule("pit-restrict", 10.0, "%", "a pit deeper than {} of the wall: restrict on what is left", HABIT),
    rule(
        "pit-retire",
        20.0,
        "%",
        "a pit deeper than {} of the wall: retire",
        "stricter than WAC 296-24-92007 (3/4 of the least wall must be left), secondary source",
    ),
    rule("dent", 2.0, "%", "a dent deeper than {} of the diameter, or at a weld: retire", HABIT),
    rule("gouge-blend", 5.0, "%", "a gouge deeper than {} of the wall: blend it", HABIT),
    rule("gouge-restrict", 10.0, "%", "a gouge deeper than {} of the wall: restrict", HABIT),
    rule(
        "gouge-retire",
        15.0,
        "%",
        "a gouge deeper than {} of the wall: retire",
        "CGA C-6.1 section 4.2, 15 % of the least design wall, secondary source",
    ),
    rule("groove-lip", 0.05, "mm", "a groove lip rolled by more than {}: hold", HABIT),
    rule("hole-elongation", 0.05, "mm", "a hole drawn long by more than {}: hold", HABIT),
    rule("hole-retire", 2.0, "%", "a hole drawn long by more than {} of its diameter: retire the end", HABIT),
    rule("bend", 0.5, "mm", "a run-out of more than {}: hold", HABIT),
    rule("mass-change", 0.5, "%", "a mass changed by more than {}: find out why", HABIT),
    rule(
        "fire",
        0.0,
        "",
        "aluminium that has been in a fire is retired",
        "WAC 296-24-92009 (remove from service), secondary source",
    ),
    rule("burst", 0.0, "", "a burst part or thrown closure is retired", HABIT),
    rule("screening", 1.0, "decision", "a screening check out of the ordinary: {} on what it means", HABIT),
    // Life and history
    rule(
        "damage-used",
        25.0,
        "%",
        "a detail that has used {} of its fatigue life is watched",
        "Palmgren-Miner; failures are observed from a sum of 0.33 to 3 (Wikibooks, Advanced Structural Analysis)",
    ),
    rule(
        "fatigue-life",
        100.0,
        "%",
        "a detail that has used {} of its fatigue life is used up",
        "Palmgren-Miner: failure at a sum of 1 (observed from 0.33 to 3; Wikibooks, Advanced Structural Analysis)",
    ),
    rule("part-life", 0.0, "firings", "a part is used up at the life on its record", HABIT),
    rule("rebuild-proof", 1.0, "proof", "another pressure part makes another build: {} of it", HABIT),
    rule(
        "event-proof",
        1.0,
        "proof",
        "machining, impact, over-pressure, a gap in history, another owner: {} afterwards",
        HABIT,
    ),
    rule(
        "retirement",
        0.0,
        "",
        "a retirement is final",
        "common practice, no source; \"condemned\" in 49 CFR 180.203 is likewise final",
    ),
    rule(
        "parts-released",
        2.0,
        "names",
        "a part of a retired casing is released with {}, one by one; its tube never",
        HABIT,
    ),
    rule(
        "books-differ",
        1.0,
        "decision",
        "two entries about one thing, of which neither writer knew the other: a strike, or {} with both at hand",
        HABIT,
    ),
    rule("restriction", 0.0, "", "a restriction holds until it is lifted with two names", HABIT),
    rule("disposition", 0.0, "", "the last decision on record stands", HABIT),
    rule("registered", 1.0, "drawing", "{} with a material that has a published least strength", HABIT),
    // Load
    rule("margin-least", 1.25, "x MEOP", "every mode yields at {} or more", HABIT),
    rule("load-over-meop", 100.0, "%", "a planned peak over {} of MEOP is refused", HABIT),
    rule(
        "load-share-of-proof",
        90.0,
        "%",
        "a planned peak plus two sigma over {} of the last proof is refused",
        HABIT,
    ),
    rule(
        "peak-scatter",
        6.4,
        "%",
        "peaks scatter by {} (one sigma)",
        "common practice, no source; root sum of the club's assumed scatters of rate, area, c* and throat",
    ),
    rule("load-sigmas", 2.0, "sigma", "a plan is judged at its peak plus {}", HABIT),
    rule(
        "load-scatter-over-meop",
        100.0,
        "%",
        "a planned peak plus two sigma over {} of MEOP earns a warning",
        HABIT,
    ),
    rule(
        "port-over-throat",
        2.0,
        "x throat",
        "a core of less than {} in area earns a warning: the start may burn erosively",
        "common practice, no source; erosive burning grows as port nears throat (Sutton and Biblarz 7e, section 11.1)",
    ),
    rule(
        "kn-tested",
        1.0,
        "%",
        "a plan more than {} outside the Kn its batch was fired at earns a warning",
        HABIT,
    ),
    rule(
        "throat-smallest",
        1.0,
        "%",
        "a throat more than {} smaller than any fired before earns a warning",
        HABIT,
    ),
    rule(
        "grain-soak",
        10.0,
        "degC",
        "a grain more than {} from the temperature of the data earns a warning",
        "common practice, no source; pressure changes by 0.07 to 0.28 % per degC (Sutton and Biblarz 7e, section 11.1)",
    ),
    rule("batch-known", 1.0, "firing", "a batch is known by at least {} of it", HABIT),
    rule(
        "standoff-metal",
        2.0,
        "x table",
        "a metal casing needs {} of the distance",
        "UKRA Safety Briefing 1 (doubling for dense, non-deforming materials), secondary source",
    ),
];

/// A change of a rule on record.
#[derive(Clone, Debug, PartialEq)]
pub struct RuleChange {
    /// The new value.
    pub value: f64,
    /// Why.
    pub reason: String,
    /// By whom.
    pub by: String,
    /// The entry.
    pub entry: EntryRef,
}

/// A rule that two books changed apart, each its own way, until a named person settles it.
#[derive(Clone, Debug, PartialEq)]
pub struct Disputed {
    /// The change that holds meanwhile, the stricter; `None` where it is not clear which is.
    pub holds: Option<RuleChange>,
    /// The two changes.
    pub conflict: Conflict,
}

impl Disputed {
    /// What every page says of it.
    pub fn sentence(&self) -> String {
        let about = &self.conflict.about;
        match &self.holds {
            Some(holds) => format!(
                "two books changed the rule {about} apart: {}; the stricter holds, {} of entry {}, until somebody settles it: log the rule again with both at hand, or strike the one that is wrong",
                self.conflict.sides(),
                spec(about).map_or_else(|| holds.value.to_string(), |spec| with_unit(holds.value, spec.unit)),
                holds.entry.number
            ),
            None => format!(
                "two books changed the rule {about} apart: {}; which is stricter cannot be said, so nothing is fired until somebody settles it: log the rule again with both at hand, or strike the one that is wrong",
                self.conflict.sides()
            ),
        }
    }
}

/// The rules in force.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RuleSet {
    changes: BTreeMap<String, Vec<RuleChange>>,
    disputed: BTreeMap<String, Disputed>,
}

impl RuleSet {
    /// The program's defaults.
    pub fn new() -> Self {
        Self::default()
    }

    /// Take a change into force; those before it stay readable.
    pub fn change(&mut self, rule: &str, change: RuleChange) {
        self.changes.entry(rule.to_owned()).or_default().push(change);
    }

    /// The change of a rule, where there is one.
    pub fn changed(&self, id: &str) -> Option<&RuleChange> {
        match self.disputed.get(id).and_then(|it| it.holds.as_ref()) {
            Some(holds) => Some(holds),
            None => self.history(id).last(),
        }
    }

    /// Say which changes were written apart and are not settled; of each such rule the strictest value holds.
    pub fn dispute(&mut self, found: Vec<Conflict>) {
        for conflict in found {
            let id = conflict.about.clone();
            let way = stricter(&id);
            let side = |number: i64| self.history(&id).iter().find(|it| it.entry.number == number);
            let before = self.disputed.get(&id).and_then(|it| it.holds.as_ref());
            let holds = [side(conflict.one.entry.number), side(conflict.other.entry.number), before]
                .into_iter()
                .flatten()
                .filter(|_| way != Stricter::Unclear)
                .reduce(|a, b| match way {
                    Stricter::Lower if b.value < a.value => b,
                    Stricter::Higher if b.value > a.value => b,
                    _ => a,
                })
                .cloned();
            self.disputed.insert(id, Disputed { holds, conflict });
        }
    }

    /// The rules that two books changed apart.
    pub fn disputed(&self) -> impl Iterator<Item = &Disputed> {
        self.disputed.values()
    }

    /// The rules as they were in force on a day; `None` where nothing has changed since.
    pub fn until(&self, day: NaiveDate) -> Option<Self> {
        let before = |change: &&RuleChange| change.entry.on <= day;
        if self.changes.values().flatten().all(|change| before(&change)) {
            return None;
        }
        let changes = self
            .changes
            .iter()
            .map(|(rule, changes)| (rule.clone(), changes.iter().filter(before).cloned().collect()))
            .collect();
        let known =
            |it: &&Disputed| [&it.conflict.one, &it.conflict.other].iter().all(|side| side.entry.on <= day);
        let disputed = self
            .disputed
            .iter()
            .filter(|(_, it)| known(it))
            .map(|(id, it)| (id.clone(), it.clone()))
            .collect();
        Some(Self { changes, disputed })
    }

    /// Every change of a rule, the first first.
    pub fn history(&self, id: &str) -> &[RuleChange] {
        self.changes.get(id).map_or(&[], Vec::as_slice)
    }

    /// The value in force. An id that is no rule has no value: zero, which a test rules out.
    pub fn value(&self, id: &str) -> f64 {
        self.changed(id)
            .map(|change| change.value)
            .or_else(|| spec(id).map(|spec| spec.value))
            .unwrap_or_default()
    }

    /// Where the value in force comes from.
    pub fn source(&self, id: &str) -> String {
        match (self.changed(id), spec(id)) {
            (Some(change), _) => {
                format!("club rule, entry {} by {}: {}", change.entry.number, change.by, change.reason)
            }
            (None, Some(spec)) => spec.source.to_owned(),
            (None, None) => String::new(),
        }
    }

    /// The limit in words: value with unit.
    pub fn limit(&self, id: &str) -> String {
        spec(id).map_or_else(String::new, |spec| with_unit(self.value(id), spec.unit))
    }

    /// What the rule says with the value in force.
    pub fn says(&self, id: &str) -> String {
        spec(id).map_or_else(String::new, |spec| spec.says.replace("{}", &self.limit(id)))
    }
}

/// A rule by id.
pub fn spec(id: &str) -> Option<&'static RuleSpec> {
    // Asked many times for every firing of a casing.
    static BY_ID: LazyLock<HashMap<&str, &RuleSpec>> =
        LazyLock::new(|| DEFAULTS.iter().map(|rule| (rule.id, rule)).collect());
    BY_ID.get(id).copied()
}

/// A value with a unit, the unit in the singular for one.
pub fn with_unit(value: f64, unit: &str) -> String {
    let unit = if value == 1.0 {
        unit.strip_suffix('s').filter(|_| matches!(unit, "months" | "firings" | "angles")).unwrap_or(unit)
    } else {
        unit
    };
    if unit.is_empty() { format!("{value}") } else { format!("{value} {unit}") }
}

#[cfg(test)]
mod tests;
