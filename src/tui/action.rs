//! Every action, declared once. Dispatch, the footer, `?`, the `:` palette, `proofmark keys` and the README's
//! key table are all made from [`ACTIONS`], so that no key on a screen can be untrue.

use ratatui::crossterm::event::KeyCode;

pub use super::context::Context;
use super::context::{
    ANSWERS, ARROWS, BENCH, ESCAPED, FIELDS, FORMS, LEAVES, LISTS, LIVE, ONE_LINE, PLAIN, READ_BACK, RIG,
    TYPED, WITH_CASING, WORDS,
};
pub use super::key::Key;

macro_rules! acts {
    ($($name:ident)*) => {
        /// What a person can ask for.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        #[allow(missing_docs)] // each has its sentence in ACTIONS
        pub enum Act { $($name),* }
    };
}

acts! {
    OpenCasing ShowEntry ChooseLoad ChooseForm RunAction TakeDay GoOn
    OpenBench HoldPlan OneLong NextPage NextCurve SaveLoad LogBatch
    Rig Instruments NewGauge NewPerson Study Calibrate Bulge OpenEntry ChooseDecision OpenShared MapOrList
    OpenCalculator Calculators Rules ChangeRule Due WhatIf Revise ClearFields
    Prefire LogFiring LogProof LogStrip LogFinding LogDecision LogNote LogFit Register LogMenu Strike WriteAgain
    Filter KeepFilter ClearFilter Sort Day Draft
    NextPanel PreviousPanel Panel1 Panel2 Panel3 Panel4 Panel5
    OpenTrace SeeTrace TraceFile CompletePath FullTrace AgainstTrace PlanOf Channels ChooseTrace TakeFile
    CursorLeft CursorRight ZoomIn ZoomOut PanLeft PanRight WholeTrace NextMark PreviousMark
    Static Flight Batch NextLoad GrainTemperature TakeSoak InOrder NotInOrder OpenAgain NextOpen FirstOpen Release
    NextField PreviousField NewRow NextWord PreviousWord Save
    Yes No KeepDraft Discard Fresh
    Up Down PageUp PageDown First Last
    Back Quit QuitNow Help Find Units Copy Suspend Repaint Mouse Undo Drawing ReadBack Editor
}

/// One action.
#[derive(Clone, Copy, Debug)]
pub struct Action {
    /// What it is inside the program.
    pub act: Act,
    /// Its stable name.
    pub id: &'static str,
    /// Its label in the footer.
    pub label: &'static str,
    /// What it does, in a sentence.
    pub sentence: &'static str,
    /// Its keys, the one to show first.
    pub keys: &'static [Key],
    /// Where it is offered.
    pub contexts: &'static [Context],
    /// Its place in the footer, small first; 0 keeps it out.
    pub bar: u8,
    /// Whether it leads to a new entry in the book.
    pub writes: bool,
}

const fn key(code: KeyCode) -> Key {
    Key { code, ctrl: false }
}
const fn letter(c: char) -> Key {
    key(KeyCode::Char(c))
}
const fn ctrl(c: char) -> Key {
    Key { code: KeyCode::Char(c), ctrl: true }
}

const fn action(
    act: Act,
    id: &'static str,
    keys: &'static [Key],
    contexts: &'static [Context],
    bar: u8,
    label: &'static str,
    sentence: &'static str,
) -> Action {
    Action { act, id, label, sentence, keys, contexts, bar, writes: false }
}
const fn writing(action: Action) -> Action {
    Action { writes: true, ..action }
}

use Context::*;
use KeyCode::{BackTab, Backspace, Down, End, Enter, Esc, Home, Left, PageDown, PageUp, Right, Tab, Up};

/// The one table of actions.
#[rustfmt::skip]
pub const ACTIONS: &[Action] = &[
    action(Act::OpenCasing, "open-casing", &[key(Enter), key(Right)], &[Rack], 1, "open", "Open the selected casing's page"),
    action(Act::ShowEntry, "show-entry", &[key(Enter)], &[Casing], 2, "in full", "Show what the selected line rests on: its entry, or the whole basis of a margin"),
    action(Act::ChooseLoad, "choose-load", &[key(Enter)], &[Loads], 1, "begin", "Begin the pre-fire run with the selected load"),
    action(Act::OpenCalculator, "open-calculator", &[key(Enter), key(Right)], &[Calculators], 1, "open", "Open the selected calculator"),
    writing(action(Act::ChangeRule, "change-rule", &[key(Enter), letter('e')], &[Rules], 1, "change", "Change the selected rule, with a reason")),
    action(Act::OpenCasing, "open-due-casing", &[key(Enter), key(Right)], &[Due], 1, "open", "Open the selected casing's page"),
    action(Act::ChooseForm, "choose-form", &[key(Enter)], &[Menu], 1, "open form", "Open the selected form"),
    action(Act::RunAction, "run-action", &[key(Enter)], &[Find], 1, "do it", "Do the selected action"),
    action(Act::TakeDay, "take-day", &[key(Enter)], &[Day], 1, "ask for it", "Show the rack as of the day typed; empty goes back to today"),
    action(Act::GoOn, "go-on", &[key(Enter), letter(' ')], &[Read], 1, "go on", "Go on from a text"),
    action(Act::Yes, "yes", &[letter('y')], &[Ask], 1, "yes", "Answer yes"),
    action(Act::No, "no", &[letter('n')], &[Ask], 2, "no", "Answer no"),
    action(Act::KeepDraft, "keep-draft", &[letter('k')], &[Ask], 1, "keep draft", "Leave the form and keep what was typed for later"),
    action(Act::Discard, "discard", &[letter('d')], &[Ask], 2, "discard", "Leave the form and forget what was typed"),
    action(Act::Fresh, "start-fresh", &[key(KeyCode::Delete)], &[Ask], 2, "start fresh", "Forget the kept draft and start an empty form"),
    writing(action(Act::InOrder, "in-order", &[letter('y')], &[Checklist], 1, "in order", "Attest the selected item: seen, and in order")),
    writing(action(Act::NotInOrder, "not-in-order", &[letter('n')], &[Checklist], 2, "not in order", "Attest the selected item: seen, and not in order")),
    writing(action(Act::OpenAgain, "open-again", &[letter('o'), key(Backspace)], &[Checklist], 3, "open again", "Take back what was attested of the selected item")),
    action(Act::NextOpen, "next-open-item", &[key(Tab)], &[Checklist], 4, "next open", "Go to the next item that is not in order yet"),
    action(Act::FirstOpen, "first-open-item", &[key(BackTab)], &[Checklist], 24, "first open", "Go to the first item that is not in order: what comes after its hold point waits for it"),
    writing(action(Act::Release, "write-prefire", &[letter('w')], &[Checklist], 5, "write up", "Write the checklist into the book, as a release where every item is in order")),
    action(Act::Static, "mode-static", &[letter('s')], &[Loads, Due], 2, "static", "Ask about a firing on the stand"),
    action(Act::Flight, "mode-flight", &[letter('f')], &[Loads, Due], 3, "flight", "Ask about a flight"),
    action(Act::Batch, "name-batch", &[letter('b')], &[Loads], 4, "batch", "Name the next batch on record for this run"),
    action(Act::NextLoad, "next-load", &[letter('l')], &[Due], 2, "with a load", "Hold every casing against the next load on record, and after the last against none"),
    action(Act::GrainTemperature, "grain-temperature", &[letter('t')], &[Loads], 5, "grain temperature", "Say how hot the grains are soaked: hotter than its batch's numbers, the peak is judged higher"),
    action(Act::TakeSoak, "take-grain-temperature", &[key(Enter)], &[Soak], 1, "take it", "Judge every load with this grain temperature; empty: it is not known"),
    writing(action(Act::Prefire, "prefire", &[letter('p')], WITH_CASING, 3, "pre-fire", "Run the pre-fire checklist of this casing")),
    writing(action(Act::LogFiring, "log-firing", &[letter('f')], WITH_CASING, 4, "firing", "Record a firing that happened")),
    writing(action(Act::LogStrip, "log-strip", &[letter('i')], WITH_CASING, 5, "inspection", "Record the strip-down inspection after a firing")),
    writing(action(Act::LogProof, "log-proof", &[letter('h')], WITH_CASING, 6, "hydro proof", "Record a proof (water, never gas)")),
    writing(action(Act::Rig, "proof-at-the-rig", &[letter('g')], &[Casing, Read], 12, "plan a proof", "Plan a proof, and pump it step by step: each reading is held against the prediction")),
    writing(action(Act::Rig, "proof-at-the-rig-from-rack", &[letter('v')], &[Rack], 12, "plan a proof", "Plan a proof, and pump it step by step: each reading is held against the prediction")),
    writing(action(Act::Save, "rig-done", &[ctrl('s')], RIG, 1, "write up", "Take what was read at the rig into the proof form")),
    writing(action(Act::LogFinding, "log-finding", &[letter('b')], WITH_CASING, 7, "damage", "Record damage: a bulge, a burn, a break")),
    writing(action(Act::LogDecision, "log-decision", &[letter('d')], &[Rack, Casing, Bulge], 8, "decide", "Decide: keep, watch, restrict, repair, hold, retire")),
    writing(action(Act::LogNote, "log-note", &[letter('n')], WITH_CASING, 9, "note", "Write a note, or an event that counts")),
    writing(action(Act::LogFit, "log-fit", &[letter('m')], WITH_CASING, 10, "move part", "Put a part into this casing, or take one out")),
    writing(action(Act::Strike, "strike", &[letter('x')], &[Casing], 3, "strike", "Cross out the selected entry, and leave it readable")),
    writing(action(Act::WriteAgain, "write-again", &[letter('X')], &[Casing], 4, "write again", "Write the selected entry again, corrected: its form opens filled in, and saving strikes the old one")),
    writing(action(Act::WriteAgain, "write-again-part", &[letter('X')], &[Part], 2, "write again", "Write the selected entry again, corrected: its form opens filled in, and saving strikes the old one")),
    writing(action(Act::WriteAgain, "write-again-read", &[letter('X')], &[Read], 3, "write again", "Write this entry again, corrected: its form opens filled in, and saving strikes the old one")),
    writing(action(Act::Register, "register-casing", &[letter('c')], &[Rack], 9, "new casing", "Register a casing")),
    writing(action(Act::LogMenu, "log-anything", &[letter('l')], WITH_CASING, 11, "log…", "Choose any form: parts, loads, batches, photos, rules")),
    action(Act::Due, "due", &[letter('g')], &[Rack], 13, "who may go", "Show who may be fired on the day asked, and what each other needs first"),
    action(Act::OpenBench, "load-bench", &[key(KeyCode::F(5)), letter('L')], &[Rack, Casing, Loads], 9, "load bench", "See what a load will do on this casing, curve by curve, as you change it"),
    action(Act::HoldPlan, "hold-plan", &[key(KeyCode::F(7))], BENCH, 2, "hold", "Hold this plan and change another beside it, or let the held one go"),
    action(Act::OneLong, "one-long-grain", &[key(KeyCode::F(4))], BENCH, 4, "one long", "Hold the same propellant in one long grain beside this plan, and say why it peaks higher"),
    action(Act::NextPage, "next-page", &[key(KeyCode::F(5))], BENCH, 2, "room, drives", "Show the figures, the room the casing leaves, what drives the peak, what the batch's firings say"),
    action(Act::NextCurve, "next-curve", &[key(KeyCode::F(6))], BENCH, 3, "curve", "Show pressure, thrust or Kn"),
    writing(action(Act::SaveLoad, "save-load", &[ctrl('s')], BENCH, 3, "save load", "Open the form of a new load with what is typed here")),
    writing(action(Act::LogBatch, "log-batch", &[key(KeyCode::F(8))], BENCH, 9, "batch entry", "Open a new batch entry with what its firings say")),
    action(Act::Calculators, "calculators", &[letter('t')], WITH_CASING, 16, "calculators", "Work something out: walls, ends, threads, nozzles, units"),
    action(Act::Rules, "rules", &[letter('r')], WITH_CASING, 17, "rules", "Show every rule with its value and where it comes from"),
    action(Act::Instruments, "instruments", &[letter('w')], &[Rack], 18, "gauges, people", "Show people and instruments: calibration, what each gauge repeats to, who signs"),
    writing(action(Act::NewGauge, "new-gauge", &[letter('c')], &[Instruments], 1, "new gauge", "Register a gauge")),
    writing(action(Act::Calibrate, "calibrate-gauge", &[letter('a')], &[Instruments], 2, "calibrated", "Record a new calibration of the selected gauge")),
    writing(action(Act::Study, "study-gauge", &[letter('s')], &[Instruments], 3, "repeat study", "Find out what the selected gauge repeats to")),
    writing(action(Act::NewPerson, "new-person", &[letter('p')], &[Instruments], 4, "new person", "Put somebody on the list of those who sign")),
    action(Act::Bulge, "bulge", &[letter('c')], &[Casing], 13, "read a bulge", "Read a bulge: stress against strength, what argues for which cause, who shares the trait"),
    action(Act::OpenShared, "open-sharing-casing", &[key(Enter)], &[Bulge], 1, "open", "Open the selected casing that shares a trait"),
    writing(action(Act::ChooseDecision, "choose-decision", &[key(Enter)], &[Decide], 1, "decide", "Open the decision form filled in with the selected proposal")),
    action(Act::OpenEntry, "part-entry", &[key(Enter)], &[Part], 1, "in full", "Show the selected entry of this part"),
    action(Act::WhatIf, "what-if", &[letter('w')], &[Casing], 4, "what if", "Suppose another dimension, a pit or a soft spot, and see the margins"),
    action(Act::Drawing, "drawing", &[letter('s')], &[Casing], 5, "drawing", "Show the casing in section, to scale, and its life as peaks against MEOP and proof"),
    writing(action(Act::Revise, "revise", &[letter('v')], &[Casing], 12, "revise", "Register a new revision of this casing, filled in from its last record")),
    action(Act::Filter, "filter", &[letter('/')], &[Rack, Calculators, Rules], 2, "find", "Show only the lines that hold what you type"),
    action(Act::KeepFilter, "keep-filter", &[key(Enter)], &[Filter], 1, "keep", "Keep the filter and go back to the list"),
    action(Act::ClearFilter, "clear-filter", &[key(Esc)], &[Filter], 2, "clear", "Clear the filter and go back to where you were"),
    action(Act::Sort, "sort", &[letter('s')], &[Rack], 12, "sort", "Sort worst first, by serial, by what is due next, or by the thinnest margin"),
    action(Act::Day, "as-of", &[letter('a')], &[Rack, Due], 13, "as of…", "Ask about another day: who may fly on Saturday?"),
    action(Act::Draft, "take-draft", &[letter('o')], &[Rack, Casing], 2, "open draft", "Go on with the form that was left half typed"),
    action(Act::OpenTrace, "trace", &[letter('e')], &[Casing], 4, "trace", "See the trace of the selected firing, or open a trace file for this casing"),
    action(Act::TraceFile, "open-trace-file", &[letter('e')], &[Rack, Trace], 15, "trace file…", "Open a trace file by its path, and see what it says"),
    action(Act::SeeTrace, "see-trace", &[ctrl('t')], FORMS, 7, "see trace", "See the trace file this form names, before anything is written"),
    action(Act::TakeFile, "read-file", &[key(Enter)], &[TraceFile], 1, "read it", "Read the file named"),
    action(Act::ChooseTrace, "choose-trace", &[key(Enter)], &[TraceList], 1, "this one", "Take the selected line"),
    action(Act::FullTrace, "trace-in-full", &[key(Enter)], &[Trace], 9, "in full", "Show every number with its definition, and all that asks for a look"),
    action(Act::CursorLeft, "cursor-left", &[key(Left), letter('h')], &[Trace], 1, "cursor", "Move the cursor to the left"),
    action(Act::CursorRight, "cursor-right", &[key(Right), letter('l')], &[Trace], 0, "cursor", "Move the cursor to the right"),
    action(Act::NextMark, "next-mark", &[key(Tab)], &[Trace], 2, "next mark", "Put the cursor on the next mark: ignition, peak, a phase, a finding, burnout"),
    action(Act::PreviousMark, "previous-mark", &[key(BackTab)], &[Trace], 0, "mark before", "Put the cursor on the mark before"),
    action(Act::ZoomIn, "zoom-in", &[letter('+'), letter('=')], &[Trace], 3, "nearer", "Show less time about the cursor"),
    action(Act::ZoomOut, "zoom-out", &[letter('-')], &[Trace], 4, "farther", "Show more time about the cursor"),
    action(Act::PanLeft, "earlier", &[letter('[')], &[Trace], 0, "earlier", "Show earlier times"),
    action(Act::PanRight, "later", &[letter(']')], &[Trace], 0, "later", "Show later times"),
    action(Act::WholeTrace, "whole-trace", &[letter('0')], &[Trace], 5, "all", "Show the whole record; again, the burn"),
    action(Act::Channels, "channels", &[letter('c')], &[Trace], 6, "channels", "Draw thrust and pressure, or one of them"),
    action(Act::PlanOf, "plan-of-load", &[letter('p')], &[Trace], 7, "plan…", "Choose the load whose plan is drawn over it"),
    action(Act::AgainstTrace, "against-trace", &[letter('v')], &[Trace], 8, "against…", "Choose another firing to hold it against"),
    action(Act::First, "cursor-first", &[key(Home)], &[Trace], 0, "left end", "Put the cursor at the left end"),
    action(Act::Last, "cursor-last", &[key(End)], &[Trace], 0, "right end", "Put the cursor at the right end"),
    action(Act::NextPanel, "next-panel", &[key(Tab), key(Right)], &[Casing], 1, "next panel", "Go to the next panel"),
    action(Act::PreviousPanel, "previous-panel", &[key(BackTab), key(Left)], &[Casing], 0, "previous panel", "Go to the panel before"),
    action(Act::Panel1, "panel-standing", &[letter('1')], &[Casing], 0, "standing", "Show the standing and every reason for it"),
    action(Act::Panel2, "panel-ledger", &[letter('2')], &[Casing], 0, "ledger", "Show every entry about this casing and its parts"),
    action(Act::Panel3, "panel-growth", &[letter('3')], &[Casing], 0, "growth", "Show the growth map: stations by clock angles against birth"),
    action(Act::MapOrList, "map-or-list", &[letter('a')], &[Casing], 5, "map or list", "Show growth as a map, or as a list of every reading"),
    action(Act::Panel4, "panel-parts", &[letter('4')], &[Casing], 0, "parts", "Show the parts fitted and their life"),
    action(Act::Panel5, "panel-margins", &[letter('5')], &[Casing], 0, "margins", "Show the margins, the weakest first"),
    action(Act::NewRow, "new-row", &[key(Enter)], &[FormRows], 1, "new row", "Begin another row; on an empty last row, go on to the next field"),
    action(Act::NextField, "next-field", &[key(Tab), key(Down), key(Enter)], ONE_LINE, 1, "next", "Go to the next field"),
    action(Act::NextField, "after-path", &[key(Down), key(Enter)], &[FormFile], 1, "next", "Go to the field after the path"),
    action(Act::CompletePath, "complete-path", &[key(Tab)], &[FormFile, TraceFile], 2, "complete", "Complete the path; what begins so stands beside it. In a form, on to the next field where nothing is left to add"),
    action(Act::NextField, "leave-rows", &[key(Tab), key(Down)], &[FormRows], 2, "next", "Leave the rows for the next field; Down leaves from the last row"),
    action(Act::PreviousField, "previous-field", &[key(BackTab), key(Up)], FIELDS, 3, "back up", "Go to the field before"),
    action(Act::NextWord, "next-word", &[key(Right)], WORDS, 2, "change", "Take the next word of the list"),
    action(Act::PreviousWord, "previous-word", &[key(Left)], WORDS, 0, "change back", "Take the word before in the list"),
    action(Act::PageDown, "answer-down", &[key(PageDown)], ANSWERS, 4, "more", "See more of the answer"),
    action(Act::PageUp, "answer-up", &[key(PageUp)], ANSWERS, 0, "back up", "Go back up in the answer"),
    action(Act::ClearFields, "clear-fields", &[ctrl('r')], LIVE, 6, "empty all", "Empty every field"),
    action(Act::Copy, "copy-answer", &[ctrl('y')], ANSWERS, 7, "copy", "Copy the answer to the clipboard of your terminal"),
    action(Act::Units, "units-while-typing", &[key(KeyCode::F(2))], ANSWERS, 5, "units", "Switch between metric and US units"),
    writing(action(Act::Save, "save", &[ctrl('s')], FORMS, 1, "save", "Write the entry into the book")),
    action(Act::Up, "up", &[key(Up)], ARROWS, 0, "up", "Go up"),
    action(Act::Down, "down", &[key(Down)], ARROWS, 0, "down", "Go down"),
    action(Act::Up, "up-letter", &[letter('k')], PLAIN, 0, "up", "Go up"),
    action(Act::Down, "down-letter", &[letter('j')], PLAIN, 0, "down", "Go down"),
    action(Act::PageUp, "page-up", &[key(PageUp)], ARROWS, 0, "page up", "Go up a page"),
    action(Act::PageDown, "page-down", &[key(PageDown)], ARROWS, 0, "page down", "Go down a page"),
    action(Act::PageUp, "fields-up", &[key(PageUp)], FORMS, 0, "ten fields up", "Go up ten fields"),
    action(Act::PageDown, "fields-down", &[key(PageDown)], FORMS, 0, "ten fields down", "Go down ten fields"),
    action(Act::First, "first", &[key(Home)], LISTS, 0, "first", "Go to the first"),
    action(Act::Last, "last", &[key(End)], LISTS, 0, "last", "Go to the last"),
    action(Act::Copy, "copy", &[letter('y')], &[Rack, Casing, Read, Rules, Due, Instruments, Part, Bulge, Decide, Trace], 22, "copy", "Copy the selected line, or the text, to the clipboard of your terminal"),
    action(Act::Units, "units", &[letter('u')], PLAIN, 20, "units", "Switch between metric and US units"),
    action(Act::Find, "find-action", &[letter(':')], PLAIN, 21, "do…", "Find any action by name"),
    action(Act::Help, "help", &[letter('?')], PLAIN, 14, "help", "Show every key of this screen"),
    action(Act::Help, "help-while-typing", &[key(KeyCode::F(1))], TYPED, 14, "help", "Show every key of this screen"),
    action(Act::Back, "back", &[key(Esc), letter('q')], LEAVES, 13, "back", "Go back"),
    action(Act::Back, "leave", &[key(Esc)], ESCAPED, 12, "leave", "Leave; a form with something typed asks first"),
    action(Act::Quit, "quit", &[letter('q')], &[Rack], 15, "quit", "Leave the program"),
    action(Act::QuitNow, "quit-from-anywhere", &[ctrl('c')], Context::ALL, 0, "quit", "Leave the program from anywhere; a form with something typed asks first"),
    action(Act::Suspend, "suspend", &[ctrl('z')], Context::ALL, 0, "suspend", "Go to the shell for a while; fg comes back"),
    writing(action(Act::Undo, "undo", &[letter('z')], &[Rack, Casing, Read], 18, "take back", "Cross out the entry written last; it stays readable")),
    action(Act::ReadBack, "read-back", &[key(KeyCode::F(3))], READ_BACK, 19, "read back", "Show what matters here in big letters, to read it back over a shoulder"),
    action(Act::Editor, "editor", &[key(KeyCode::F(4))], &[FormRows], 8, "editor", "Go on with this text in your own editor (VISUAL or EDITOR)"),
    action(Act::Mouse, "mouse", &[key(KeyCode::F(9))], Context::ALL, 0, "mouse", "Take the mouse, or leave it to the terminal for selecting text"),
    action(Act::Repaint, "repaint", &[ctrl('l')], Context::ALL, 0, "repaint", "Draw the whole screen again"),
];

/// The actions offered in a context, in the order of the table.
pub fn offered(context: Context) -> impl Iterator<Item = &'static Action> {
    ACTIONS.iter().filter(move |action| action.contexts.contains(&context))
}
