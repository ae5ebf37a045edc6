//! Where an action is offered: every context, and the groups of them that share their keys.

crate::words! {
    /// Where an action is offered.
    pub enum Context {
        /// The rack.
        Rack = "rack",
        /// Typing a filter over the rack.
        Filter = "filter",
        /// A casing's page.
        Casing = "casing page",
        /// Choosing a load for a pre-fire run.
        Loads = "choosing a load",
        /// Choosing a load, typing how hot the grains are.
        Soak = "typing the grain temperature",
        /// A pre-fire checklist.
        Checklist = "pre-fire run",
        /// A list of forms to choose from.
        Menu = "list of forms",
        /// A form, on a field of one line.
        Form = "form",
        /// A form, on a field that takes one of a few words or a name on record.
        FormWords = "form, on a field of set words",
        /// A form, on a field of several rows.
        FormRows = "form, on a field of several rows",
        /// A form, on a field that takes a path.
        FormFile = "form, on a field of a path",
        /// A question with a few answers.
        Ask = "question",
        /// A text to read.
        Read = "text",
        /// Looking for an action by name.
        Find = "finding an action",
        /// Typing a day.
        Day = "choosing a day",
        /// The list of calculators.
        Calculators = "calculators",
        /// A calculator or a what-if, on a field that is typed.
        Live = "calculator, what-if",
        /// A calculator or a what-if, on a field of set words.
        LiveWords = "calculator, what-if, on a field of set words",
        /// The load bench, on a field that is typed.
        Bench = "load bench",
        /// The load bench, on a field of set words.
        BenchWords = "load bench, on a field of set words",
        /// The rules.
        Rules = "rules",
        /// Who may be fired on a day.
        Due = "who may be fired",
        /// People and instruments.
        Instruments = "people and instruments",
        /// Everything about one part.
        Part = "part",
        /// What a bulge argues for.
        Bulge = "bulge",
        /// What waits for a decision, and what each would follow.
        Decide = "deciding",
        /// A proof being pumped, on a field that is typed.
        Rig = "proof at the rig",
        /// A proof being pumped, on a field of set words.
        RigWords = "proof at the rig, on a field of set words",
        /// A trace.
        Trace = "trace",
        /// Choosing what a trace is held against.
        TraceList = "trace, choosing what to hold it against",
        /// Typing the path of a trace file.
        TraceFile = "trace, naming a file",
    }
}

impl Context {
    /// Whether a plain letter is text here, and so never a command.
    pub fn typing(self) -> bool {
        TYPED.contains(&self)
    }
}

/// Groups by what is in them: contexts and other groups, in the order they are listed to people.
macro_rules! groups {
    ($($(#[$doc:meta])* $name:ident = $($part:expr),+;)+) => {
        $($(#[$doc])*
        pub(super) const $name: &[Context] = {
            const PARTS: &[&[Context]] = &[$($part),+];
            const LENGTH: usize = length(PARTS);
            &joined::<LENGTH>(PARTS)
        };)+
    };
}

const fn length(parts: &[&[Context]]) -> usize {
    let (mut part, mut length) = (0, 0);
    while part < parts.len() {
        length += parts[part].len();
        part += 1;
    }
    length
}

const fn joined<const LENGTH: usize>(parts: &[&[Context]]) -> [Context; LENGTH] {
    let mut all = [Context::Rack; LENGTH];
    let (mut part, mut at) = (0, 0);
    while part < parts.len() {
        let mut i = 0;
        while i < parts[part].len() {
            all[at] = parts[part][i];
            (i, at) = (i + 1, at + 1);
        }
        part += 1;
    }
    all
}

use Context::*;

groups! {
    /// Where a casing is selected.
    WITH_CASING = &[Rack, Casing];
    /// What is opened from the rack and left for it: lines to go through, and no field.
    PAGES = &[Casing, Loads, Checklist, Menu, Read, Calculators, Rules, Due, Instruments, Part, Bulge, Decide];
    /// What Esc or a letter leaves.
    LEAVES = PAGES, &[Trace, TraceList];
    /// Where a plain letter is a command of its own.
    PLAIN = &[Rack], LEAVES;
    /// What has a first line and a last.
    LISTS = &[Rack], PAGES, &[Ask, TraceList];
    /// What the arrows go through, while something is typed too.
    ARROWS = LISTS, &[Trace, Find, Filter];
    /// A form, whatever its field takes.
    FORMS = &[Form, FormWords, FormRows, FormFile];
    /// A proof being pumped.
    RIG = &[Rig, RigWords];
    /// The load bench.
    BENCH = &[Bench, BenchWords];
    /// Fields that are worked out at every key, and may all be emptied.
    LIVE = &[Live, LiveWords], RIG;
    /// Fields with an answer below them.
    ANSWERS = LIVE, BENCH;
    /// Every field.
    FIELDS = FORMS, ANSWERS;
    /// Fields of one line, which Enter leaves for the next.
    ONE_LINE = &[Form, FormWords], ANSWERS;
    /// Fields of set words.
    WORDS = &[FormWords, LiveWords, RigWords, BenchWords];
    /// Where what is typed is text.
    TYPED = FORMS, &[Filter, Find, Day, Soak], ANSWERS, &[TraceFile];
    /// What Esc alone leaves.
    ESCAPED = FORMS, &[Find, Day, Soak, Ask], ANSWERS, &[TraceFile];
    /// What can be read back in big letters.
    READ_BACK = WITH_CASING, &[Checklist], FORMS, &[Live, LiveWords], BENCH, &[Trace];
}
