//! The command line. stdout is data, stderr is everything else; exit codes are part of the contract:
//! 0 done, 1 the input or the data is wrong, 2 usage, 3 the book is locked, newer or damaged, 4 a check said
//! no, 70 a fault of the program.

mod arguments;
mod batch;
mod calc;
mod drift;
mod export;
mod hands;
mod help;
mod import;
mod keep;
mod log;
mod look;
mod margins;
mod predict;
mod report;
pub mod settings;
mod trace;
mod write_file;

use std::ffi::OsString;
use std::io::Write;
use std::path::PathBuf;

use chrono::NaiveDate;

use crate::book::Problem;
use crate::desk::{Desk, Refusal, Surroundings};
use crate::quantity::System;
use crate::report::ascii::{Plain, Signs};
use crate::report::text::clean_lines;
use crate::store::StoreError;

pub use arguments::command;

/// What the command line takes from the process around it.
pub struct Environment<'a> {
    /// `PROOFMARK_BOOK`.
    pub book: Option<PathBuf>,
    /// `PROOFMARK_BY`.
    pub by: Option<String>,
    /// Where books are kept when nobody names one.
    pub data_folder: Option<PathBuf>,
    /// Whether stdout is a terminal.
    pub terminal: bool,
    /// What the settings file says.
    pub settings: settings::Settings,
    /// Which characters text may be written in: what the locale takes.
    pub locale: Signs,
    /// Makes a clock and a source of identities.
    pub surroundings: &'a dyn Fn() -> Box<dyn Surroundings>,
    /// Data.
    pub out: &'a mut dyn Write,
    /// Everything else.
    pub err: &'a mut dyn Write,
}

/// What the binary does next.
#[derive(Debug)]
pub enum Outcome {
    /// End with an exit code.
    Done(u8),
    /// Open the terminal UI on a book.
    OpenUi(Choices),
    /// Print the keys of the screen.
    Keys {
        /// As JSON instead of a table.
        json: bool,
    },
    /// Write, build or open a demonstration book.
    Demo {
        /// Where to write it, instead of opening a scratch copy.
        at: Option<PathBuf>,
        /// Build it again through the desk instead of copying the one in the program.
        rebuild: bool,
        /// A large generated book instead: casings and firings.
        large: Option<(u64, u64)>,
        /// How to show it.
        choices: Choices,
    },
}

/// The choices every command shares.
#[derive(Clone, Debug, Default)]
pub struct Choices {
    /// The book.
    pub book: PathBuf,
    /// The units a person reads.
    pub system: System,
    /// Who writes.
    pub by: Option<String>,
    /// The day asked for.
    pub on: Option<NaiveDate>,
    /// JSON instead of text.
    pub json: bool,
    /// The theme, where one was asked for.
    pub theme: Option<settings::Look>,
    /// Whether the screens were asked for as lines of text.
    pub lines: bool,
}

/// Why a command did not do what was asked.
#[derive(Debug)]
pub enum Fault {
    /// The input or the data is wrong.
    Input(Vec<Problem>),
    /// A check said no; what there is to say has been said.
    CheckSaidNo,
    /// The book.
    Store(StoreError),
    /// stdout cannot be written.
    Output(std::io::Error),
    /// It is done and in the book; only saying so failed.
    Unsaid {
        /// What is done.
        done: String,
        /// Why it could not be said.
        error: std::io::Error,
    },
}

impl Fault {
    /// What was done is done: where only saying so failed, that is said.
    fn unsaid(self, done: impl FnOnce() -> String) -> Self {
        match self {
            Self::Output(error) => Self::Unsaid { done: done(), error },
            other => other,
        }
    }
}

impl From<StoreError> for Fault {
    fn from(error: StoreError) -> Self {
        Self::Store(error)
    }
}
impl From<std::io::Error> for Fault {
    fn from(error: std::io::Error) -> Self {
        Self::Output(error)
    }
}
impl From<Vec<Problem>> for Fault {
    fn from(problems: Vec<Problem>) -> Self {
        Self::Input(problems)
    }
}
impl From<Refusal> for Fault {
    fn from(refusal: Refusal) -> Self {
        match refusal {
            Refusal::Form(problems) => Self::Input(problems),
            Refusal::Store(error) => Self::Store(error),
            Refusal::Forbidden { .. } => Self::CheckSaidNo,
        }
    }
}

impl Fault {
    /// An input fault of one field.
    pub fn input(field: &str, message: impl Into<String>) -> Self {
        Self::Input(vec![Problem::new(field, message)])
    }
}

/// Run one command.
pub fn run(arguments: Vec<OsString>, environment: &mut Environment<'_>) -> Outcome {
    let parsed = arguments::command().try_get_matches_from(arguments);
    // What is said is text for people; so is what comes out, but for documents that say themselves how they are
    // written.
    let said = environment.settings.signs(environment.locale);
    let document = parsed.as_ref().is_ok_and(|matches| {
        matches!(
            matches.subcommand_name(),
            Some("report" | "label" | "export" | "completions" | "man" | "schema")
        ) || arguments::asks_for_json(matches)
    });
    let mut out = Plain::new(environment.out, if document { Signs::Any } else { said });
    let mut err = Plain::new(environment.err, said);
    let mut environment = Environment {
        book: environment.book.take(),
        by: environment.by.take(),
        data_folder: environment.data_folder.take(),
        settings: std::mem::take(&mut environment.settings),
        out: &mut out,
        err: &mut err,
        ..*environment
    };
    run_parsed(parsed, &mut environment)
}

fn run_parsed(parsed: Result<clap::ArgMatches, clap::Error>, environment: &mut Environment<'_>) -> Outcome {
    let matches = match parsed {
        Ok(matches) => matches,
        Err(error) => {
            let text = error.render().to_string();
            return if error.use_stderr() {
                let _ = writeln!(environment.err, "{}", clean_lines(&text));
                Outcome::Done(2)
            } else {
                let _ = write!(environment.out, "{text}");
                Outcome::Done(0)
            };
        }
    };
    let writing = matches.subcommand_name() == Some("log");
    match dispatch(&matches, environment) {
        Ok(outcome) => outcome,
        Err(fault) => Outcome::Done(report(fault, writing, environment)),
    }
}

fn dispatch(matches: &clap::ArgMatches, environment: &mut Environment<'_>) -> Result<Outcome, Fault> {
    let choices = arguments::choices(matches, environment)?;
    match matches.subcommand() {
        None if environment.terminal || choices.lines => {
            choices.named_book()?;
            Ok(Outcome::OpenUi(choices))
        }
        None => look::rack(&choices, environment).map(|()| Outcome::Done(0)),
        Some(("demo", demo)) => Ok(Outcome::Demo {
            at: demo.get_one::<PathBuf>("at").cloned(),
            rebuild: demo.get_flag("rebuild"),
            large: keep::large(demo),
            choices,
        }),
        Some(("rack", _)) => look::rack(&choices, environment).map(|()| Outcome::Done(0)),
        Some(("show", show)) => look::show(show, &choices, environment).map(|()| Outcome::Done(0)),
        Some(("journal", journal)) => {
            look::journal(journal, &choices, environment).map(|()| Outcome::Done(0))
        }
        Some(("due", due)) => look::due(due, &choices, environment).map(|()| Outcome::Done(0)),
        Some(("prefire", prefire)) => look::prefire(prefire, &choices, environment).map(Outcome::Done),
        Some(("rules", _)) => look::rules(&choices, environment).map(|()| Outcome::Done(0)),
        Some((name @ ("verify" | "merge" | "backup" | "restore" | "doctor"), keep)) => {
            keep::run(name, keep, &choices, environment).map(Outcome::Done)
        }
        Some(("keys", _)) => Ok(Outcome::Keys { json: choices.json }),
        Some(("margins", margins)) => {
            margins::margins(margins, &choices, environment).map(|()| Outcome::Done(0))
        }
        Some(("calc", calc)) => calc::calc(calc, &choices, environment).map(|()| Outcome::Done(0)),
        Some(("predict", predict)) => {
            predict::predict(predict, &choices, environment).map(|()| Outcome::Done(0))
        }
        Some(("batch", batch)) => batch::batch(batch, &choices, environment).map(|()| Outcome::Done(0)),
        Some(("room", room)) => batch::room_of(room, &choices, environment).map(|()| Outcome::Done(0)),
        Some(("trace", trace)) => trace::trace(trace, &choices, environment).map(|()| Outcome::Done(0)),
        Some(("report", matches)) => {
            report::report(matches, &choices, environment).map(|()| Outcome::Done(0))
        }
        Some(("label", matches)) => report::label(matches, &choices, environment).map(|()| Outcome::Done(0)),
        Some(("export", matches)) => {
            export::export(matches, &choices, environment).map(|()| Outcome::Done(0))
        }
        Some(("import", matches)) => {
            import::import(matches, &choices, environment).map(|()| Outcome::Done(0))
        }
        Some(("completions", matches)) => help::completions(matches, environment).map(|()| Outcome::Done(0)),
        Some(("man", matches)) => help::man(matches, environment).map(|()| Outcome::Done(0)),
        Some(("schema", matches)) => help::schema(matches, environment).map(|()| Outcome::Done(0)),
        Some(("instruments", _)) => hands::instruments(&choices, environment).map(|()| Outcome::Done(0)),
        Some(("decide", decide)) => {
            hands::decide(required_serial(decide), &choices, environment).map(|()| Outcome::Done(0))
        }
        Some(("bulge", bulge)) => {
            hands::bulge(required_serial(bulge), &choices, environment).map(|()| Outcome::Done(0))
        }
        Some(("growth", growth)) => {
            hands::growth(required_serial(growth), &choices, environment).map(|()| Outcome::Done(0))
        }
        Some(("proof", proof)) => hands::proof(proof, &choices, environment).map(|()| Outcome::Done(0)),
        Some(("drift", drift)) => drift::drift(drift, &choices, environment).map(|()| Outcome::Done(0)),
        Some(("log", log)) => log::log(log, &choices, environment).map(|()| Outcome::Done(0)),
        Some((other, _)) => Err(Fault::input("command", format!("{other} is not known"))),
    }
}

fn required_serial(matches: &clap::ArgMatches) -> &str {
    arguments::required(matches, "serial")
}

fn report(fault: Fault, writing: bool, environment: &mut Environment<'_>) -> u8 {
    let err = &mut environment.err;
    match fault {
        Fault::CheckSaidNo => 4,
        // Done is done: whoever tries again after a failure would do it twice.
        Fault::Unsaid { error, .. } if error.kind() == std::io::ErrorKind::BrokenPipe => 0,
        Fault::Unsaid { done, error } => {
            let _ = writeln!(err, "note: {done}; only the announcement failed ({error}). Do not do it again");
            0
        }
        // Somebody closed the pipe, as `| head` does: not a fault.
        Fault::Output(error) if error.kind() == std::io::ErrorKind::BrokenPipe => 0,
        Fault::Output(error) => {
            let _ = writeln!(err, "error: the output cannot be written: {error}");
            1
        }
        Fault::Store(error) => {
            let _ = writeln!(err, "error: {}", clean_lines(&error.to_string()));
            error.exit_code()
        }
        Fault::Input(problems) => {
            let stored = if writing { "; nothing was stored" } else { "" };
            let _ = match problems.as_slice() {
                [one] => writeln!(err, "error: {}{stored}", clean_lines(&one.to_string())),
                many => {
                    let _ = writeln!(err, "error: {} fields need another look{stored}", many.len());
                    many.iter().try_for_each(|it| writeln!(err, "  {}", clean_lines(&it.to_string())))
                }
            };
            1
        }
    }
}

impl Choices {
    /// The book, which commands that need none do without.
    fn named_book(&self) -> Result<&std::path::Path, Fault> {
        if self.book.as_os_str().is_empty() {
            return Err(Fault::input(
                "book",
                "no book is named and no data folder is known: give --book FILE",
            ));
        }
        Ok(&self.book)
    }

    /// The units of what is put into words: JSON is always metric.
    const fn shown(&self) -> System {
        if self.json { System::Si } else { self.system }
    }

    /// Sit down with the book for reading.
    fn read(&self, environment: &Environment<'_>) -> Result<Desk, Fault> {
        let mut desk = Desk::reading(self.named_book()?, (environment.surroundings)())?;
        desk.ask_for(self.on);
        Ok(desk)
    }
}
