//! The thin binary: the real clock, the real environment, and nothing else.

use std::ffi::OsString;
use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use chrono::{DateTime, Local, NaiveDate, Utc};
use proofmark::cli::settings::{Look, Settings};
use proofmark::cli::{self, Choices, Environment, Outcome};
use proofmark::desk::{Desk, Surroundings};
use proofmark::report::ascii::Signs;
use proofmark::tui::Keymap;
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

/// A file that may not grow is an error like a full disk, said and survived, and not the end of the program.
fn outlive_file_limits() {
    #[cfg(unix)]
    {
        const SIGXFSZ: i32 = 25;
        let met = std::sync::Arc::new(std::sync::atomic::AtomicBool::new(false));
        let _ = signal_hook::flag::register(SIGXFSZ, met);
    }
}

fn main() -> ExitCode {
    outlive_file_limits();
    keep_log();
    let arguments: Vec<OsString> = std::env::args_os().collect();
    let text = |name: &str| std::env::var(name).ok().filter(|value| !value.trim().is_empty());
    let mut out = std::io::stdout();
    let mut err = std::io::stderr();
    let (settings, mut said) = settings();
    let (keys, wrong) = Keymap::with(
        settings.keys.iter().map(|(id, keys)| (id.as_str(), keys.iter().map(String::as_str).collect())),
    );
    said.extend(wrong);
    let terminal = out.is_terminal() && std::io::stdin().is_terminal();
    let locale = Signs::of_locale(&|name| std::env::var(name).ok());
    let signs = settings.signs(locale);
    let mut environment = Environment {
        locale,
        book: std::env::var_os("PROOFMARK_BOOK").filter(|path| !path.is_empty()).map(PathBuf::from),
        by: text("PROOFMARK_BY"),
        data_folder: data_folder(),
        terminal,
        settings: settings.clone(),
        surroundings: &surroundings,
        out: &mut out,
        err: &mut err,
    };
    let outcome = cli::run(arguments, &mut environment);
    let screen = Screen { settings, keys, said, signs };
    let drawn = matches!(outcome, Outcome::OpenUi(_) | Outcome::Demo { at: None, .. }) && terminal;
    if !drawn {
        screen.said.iter().for_each(|line| eprintln!("{}", signs.text(line)));
    }
    let code = match outcome {
        Outcome::Done(code) => code,
        Outcome::Keys { json } => {
            let words =
                if json { format!("{}\n", screen.keys.json()) } else { signs.text(&screen.keys.table()) };
            match write!(std::io::stdout(), "{words}") {
                Ok(()) => 0,
                Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => 0,
                Err(error) => {
                    eprintln!("error: the output cannot be written: {error}");
                    1
                }
            }
        }
        Outcome::OpenUi(choices) => open(choices, false, screen),
        Outcome::Demo { at: Some(at), large: Some((casings, firings)), .. } => {
            write_large(&at, casings, firings)
        }
        Outcome::Demo { at, rebuild, choices, .. } => show_demo(at, rebuild, choices, screen),
    };
    ExitCode::from(code)
}

/// How the screen is to be.
struct Screen {
    settings: Settings,
    keys: Keymap,
    said: Vec<String>,
    signs: Signs,
}

/// The settings file, where there is one, and what of it could not be taken.
fn settings() -> (Settings, Vec<String>) {
    use etcetera::BaseStrategy;
    let named = std::env::var_os("PROOFMARK_CONFIG").filter(|path| !path.is_empty()).map(PathBuf::from);
    let path = named.clone().or_else(|| {
        etcetera::choose_base_strategy()
            .ok()
            .map(|base| base.config_dir().join("proofmark").join("settings.toml"))
    });
    let Some(path) = path else { return Default::default() };
    match proofmark::store::regular::read(&path, proofmark::store::regular::TEXT) {
        Ok(bytes) => Settings::read(&String::from_utf8_lossy(&bytes)),
        Err(error) if named.is_none() && error.kind() == std::io::ErrorKind::NotFound => Default::default(),
        Err(error) => {
            (Settings::default(), vec![format!("settings {} cannot be read: {error}", path.display())])
        }
    }
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

fn show_demo(at: Option<PathBuf>, rebuild: bool, choices: Choices, screen: Screen) -> u8 {
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
            let code = if choices.lines || std::io::stdout().is_terminal() && std::io::stdin().is_terminal() {
                open(Choices { book: path, ..choices }, true, screen)
            } else {
                let mut out = std::io::stdout();
                let mut err = std::io::stderr();
                let arguments = ["proofmark", "rack"].map(OsString::from).to_vec();
                let mut environment = Environment {
                    locale: screen.signs,
                    book: Some(path),
                    by: None,
                    data_folder: None,
                    terminal: false,
                    settings: Settings::default(),
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

fn open(choices: Choices, demo: bool, screen: Screen) -> u8 {
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
    let no_colour = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    let light = match choices.theme {
        Some(Look::Light) => Some(true),
        Some(Look::Dark) => Some(false),
        Some(_) => None,
        None => background(),
    };
    let dumb = std::env::var("TERM").is_ok_and(|term| term == "dumb");
    let options = tui::Options {
        system: choices.system,
        by: choices.by,
        light,
        colour: !no_colour && choices.theme != Some(Look::Monochrome),
        first_run: first_run || demo,
        demo,
        keys: screen.keys,
        signs: screen.signs,
        mouse: screen.settings.mouse.unwrap_or(true),
        said: screen.said,
    };
    let shown = if choices.lines || screen.settings.lines.unwrap_or(false) || dumb {
        tui::lines::run(desk, options, &mut std::io::stdin().lock(), &mut std::io::stdout())
    } else {
        tui::run(desk, options)
    };
    match shown {
        Ok(()) => 0,
        // Whoever read the lines has gone: not a fault.
        Err(tui::TuiError::Terminal(error)) if error.kind() == std::io::ErrorKind::BrokenPipe => 0,
        Err(error) => {
            eprintln!("error: {error}");
            70
        }
    }
}

/// Whether the terminal says of itself that it is light, as some do in `COLORFGBG`.
fn background() -> Option<bool> {
    let value = std::env::var("COLORFGBG").ok()?;
    let ground: u8 = value.rsplit(';').next()?.parse().ok()?;
    Some(ground == 7 || ground == 15)
}
