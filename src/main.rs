//! The thin binary: the real clock, the real environment, and nothing else.

use std::ffi::OsString;
use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use chrono::{DateTime, Local, NaiveDate, Utc};
use proofmark::cli::{self, Choices, Environment, Outcome};
use proofmark::desk::{Desk, Surroundings};
use proofmark::{demo, tui};
use uuid::Uuid;

/// The real clock, and identities from it.
struct RealSurroundings;

impl Surroundings for RealSurroundings {
    fn now(&self) -> DateTime<Utc> {
        Utc::now()
    }
    fn today(&self) -> NaiveDate {
        Local::now().date_naive()
    }
    fn identity(&mut self) -> Uuid {
        Uuid::now_v7()
    }
}

fn surroundings() -> Box<dyn Surroundings> {
    Box::new(RealSurroundings)
}

/// Write what the program does to the file named by `PROOFMARK_LOG`; never to the screen.
fn keep_log() {
    let Some(path) = std::env::var_os("PROOFMARK_LOG").filter(|path| !path.is_empty()) else { return };
    match std::fs::OpenOptions::new().create(true).append(true).open(&path) {
        Ok(file) => {
            let stamp = time::macros::format_description!(
                "[year]-[month]-[day]T[hour]:[minute]:[second].[subsecond digits:3]Z"
            );
            tracing_subscriber::fmt()
                .with_writer(std::sync::Mutex::new(file))
                .with_timer(tracing_subscriber::fmt::time::UtcTime::new(stamp))
                .with_ansi(false)
                .with_target(false)
                .init();
        }
        Err(error) => eprintln!("the log {} cannot be written: {error}", path.to_string_lossy()),
    }
}

fn main() -> ExitCode {
    keep_log();
    let arguments: Vec<OsString> = std::env::args_os().collect();
    let text = |name: &str| std::env::var(name).ok().filter(|value| !value.trim().is_empty());
    let mut out = std::io::stdout();
    let mut err = std::io::stderr();
    let terminal = out.is_terminal() && std::io::stdin().is_terminal();
    let mut environment = Environment {
        book: std::env::var_os("PROOFMARK_BOOK").filter(|path| !path.is_empty()).map(PathBuf::from),
        by: text("PROOFMARK_BY"),
        data_folder: data_folder(),
        terminal,
        surroundings: &surroundings,
        out: &mut out,
        err: &mut err,
    };
    let code = match cli::run(arguments, &mut environment) {
        Outcome::Done(code) => code,
        Outcome::Keys => match write!(std::io::stdout(), "{}", tui::key_table()) {
            Ok(()) => 0,
            Err(_) => 1,
        },
        Outcome::OpenUi(choices) => open(choices, false),
        Outcome::Demo { at: Some(at), large: Some((casings, firings)), .. } => {
            write_large(&at, casings, firings)
        }
        Outcome::Demo { at, rebuild, choices, .. } => show_demo(at, rebuild, choices),
    };
    ExitCode::from(code)
}

fn data_folder() -> Option<PathBuf> {
    use etcetera::BaseStrategy;
    etcetera::choose_base_strategy().ok().map(|base| base.data_dir().join("proofmark"))
}

fn write_large(path: &Path, casings: u64, firings: u64) -> u8 {
    match demo::write_large(path, casings, firings) {
        Ok(copied) => {
            println!(
                "a generated book of {casings} casings, {firings} firings and {} entries is at {}",
                copied.entries,
                path.display()
            );
            0
        }
        Err(error) => {
            eprintln!("error: {error}");
            1
        }
    }
}

fn show_demo(at: Option<PathBuf>, rebuild: bool, choices: Choices) -> u8 {
    let fail = |error: &dyn std::fmt::Display| {
        eprintln!("error: {error}");
        1
    };
    match at {
        Some(path) if rebuild => match demo::build(&path) {
            Ok(()) => 0,
            Err(error) => fail(&error),
        },
        Some(path) => match demo::write(&path) {
            Ok(()) => {
                println!("the demo book is at {}", path.display());
                0
            }
            Err(error) => fail(&error),
        },
        None => {
            let folder = std::env::temp_dir().join(format!("proofmark-demo-{}", Uuid::now_v7()));
            let path = folder.join("demo.db");
            if let Err(error) = std::fs::create_dir_all(&folder)
                .map_err(|source| demo::DemoError::Io { path: folder.clone(), source })
                .and_then(|()| demo::write(&path))
            {
                return fail(&error);
            }
            let code = if std::io::stdout().is_terminal() && std::io::stdin().is_terminal() {
                open(Choices { book: path, ..choices }, true)
            } else {
                let mut out = std::io::stdout();
                let mut err = std::io::stderr();
                let arguments = ["proofmark", "rack"].map(OsString::from).to_vec();
                let mut environment = Environment {
                    book: Some(path),
                    by: None,
                    data_folder: None,
                    terminal: false,
                    surroundings: &surroundings,
                    out: &mut out,
                    err: &mut err,
                };
                match cli::run(arguments, &mut environment) {
                    Outcome::Done(code) => code,
                    _ => 70,
                }
            };
            let _ = std::fs::remove_dir_all(&folder);
            code
        }
    }
}

fn open(choices: Choices, demo: bool) -> u8 {
    let first_run = !choices.book.exists();
    // A book that cannot be written is still shown; the screens say that it is read-only.
    let desk = match Desk::writing(&choices.book, surroundings(), None) {
        Ok(desk) => Ok(desk),
        Err(error) => match Desk::reading(&choices.book, surroundings()) {
            Ok(desk) => {
                eprintln!("{error}");
                Ok(desk)
            }
            Err(_) => Err(error),
        },
    };
    let mut desk = match desk {
        Ok(desk) => desk,
        Err(error) => {
            eprintln!("error: {error}");
            return error.exit_code();
        }
    };
    desk.ask_for(choices.on);
    let options = tui::Options {
        system: choices.system,
        by: choices.by,
        light: choices.light,
        colour: std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty()),
        first_run: first_run || demo,
        demo,
    };
    match tui::run(desk, options) {
        Ok(()) => 0,
        Err(error) => {
            eprintln!("error: {error}");
            70
        }
    }
}
