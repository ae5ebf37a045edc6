//! The real program in a real pseudo-terminal: keys, paste, resize, and every way out leaves the terminal whole.

#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::io::{Read, Write};
use std::path::Path;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};

struct Session {
    child: Box<dyn Child + Send + Sync>,
    master: Option<Box<dyn MasterPty + Send>>,
    keys: Box<dyn Write + Send>,
    screen: Arc<Mutex<(vt100::Parser, usize)>>,
    raw: Arc<Mutex<Vec<u8>>>,
}

impl Session {
    fn start(arguments: &[&str], size: (u16, u16)) -> Self {
        Self::start_program(env!("CARGO_BIN_EXE_proofmark"), arguments, size, &[])
    }

    fn start_program(
        program: &str,
        arguments: &[&str],
        size: (u16, u16),
        environment: &[(&str, &str)],
    ) -> Self {
        let pair = native_pty_system().openpty(pty_size(size)).unwrap();
        let mut command = CommandBuilder::new(program);
        command.env("LC_ALL", "C.UTF-8");
        for (name, value) in environment {
            command.env(name, value);
        }
        command.args(arguments);
        command.env("TERM", "xterm-256color");
        command.env("PROOFMARK_BY", "Ines");
        command.env_remove("NO_COLOR");
        let child = pair.slave.spawn_command(command).unwrap();
        drop(pair.slave);
        let screen = Arc::new(Mutex::new((vt100::Parser::new(some(size.1), some(size.0), 0), 0)));
        let mut reader = pair.master.try_clone_reader().unwrap();
        let shared = Arc::clone(&screen);
        let raw = Arc::new(Mutex::new(Vec::new()));
        let kept = Arc::clone(&raw);
        std::thread::spawn(move || {
            let mut bytes = [0; 4096];
            while let Ok(count) = reader.read(&mut bytes) {
                if count == 0 {
                    break;
                }
                let mut shared = shared.lock().unwrap();
                shared.0.process(&bytes[..count]);
                shared.1 += count;
                kept.lock().unwrap().extend_from_slice(&bytes[..count]);
            }
        });
        let keys = pair.master.take_writer().unwrap();
        Self { child, master: Some(pair.master), keys, screen, raw }
    }

    fn on(book: &Path) -> Self {
        Self::start(&["--book", book.to_str().unwrap()], (80, 24))
    }

    fn press(&mut self, keys: &str) {
        self.keys.write_all(keys.as_bytes()).unwrap();
        self.keys.flush().unwrap();
    }

    fn text(&self) -> String {
        self.screen.lock().unwrap().0.screen().contents()
    }

    fn bytes(&self) -> usize {
        self.screen.lock().unwrap().1
    }

    fn until(&self, what: &str, test: impl Fn(&Self) -> bool) {
        let end = Instant::now() + Duration::from_secs(20);
        while !test(self) {
            assert!(Instant::now() < end, "never {what}:\n{}", self.text());
            std::thread::sleep(Duration::from_millis(10));
        }
    }

    fn until_shows(&self, words: &str) {
        self.until(words, |it| it.text().contains(words));
    }

    fn signal(&self, name: &str) {
        let id = self.child.process_id().unwrap().to_string();
        assert!(std::process::Command::new("kill").args([name, &id]).status().unwrap().success());
    }

    /// Wait for the end; the exit code.
    fn end(&mut self) -> u32 {
        let end = Instant::now() + Duration::from_secs(20);
        loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                std::thread::sleep(Duration::from_millis(50));
                return status.exit_code();
            }
            assert!(Instant::now() < end, "it does not end:\n{}", self.text());
            std::thread::sleep(Duration::from_millis(10));
        }
    }

    fn whole(&self) -> bool {
        let shared = self.screen.lock().unwrap();
        let screen = shared.0.screen();
        !screen.alternate_screen()
            && !screen.hide_cursor()
            && !screen.bracketed_paste()
            && screen.mouse_protocol_mode() == vt100::MouseProtocolMode::None
    }
}

fn some(size: u16) -> std::num::NonZeroU16 {
    std::num::NonZeroU16::new(size).unwrap()
}

fn pty_size((cols, rows): (u16, u16)) -> PtySize {
    PtySize { rows, cols, pixel_width: 0, pixel_height: 0 }
}

fn demo_book() -> (tempfile::TempDir, std::path::PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("demo.db");
    proofmark::demo::write(&path).unwrap();
    (folder, path)
}

#[test]
fn quitting_leaves_the_terminal_whole() {
    let (_folder, book) = demo_book();
    let mut session = Session::on(&book);
    session.until_shows("Juniper");
    assert!(session.screen.lock().unwrap().0.screen().bracketed_paste());
    session.press("q");
    assert_eq!(session.end(), 0);
    assert!(session.whole());
}

#[test]
fn the_window_title_says_where_one_is_and_is_given_back() {
    let (_folder, book) = demo_book();
    let mut session = Session::on(&book);
    let said = |session: &Session, words: &str| {
        String::from_utf8_lossy(&session.raw.lock().unwrap()).contains(words)
    };
    session.until("the rack in the title", |it| said(it, "\u{1b}]0;proofmark: rack\u{7}"));
    session.press("\r");
    session.until("the casing in the title", |it| said(it, "\u{1b}]0;proofmark: MF-"));
    session.press("qq");
    assert_eq!(session.end(), 0);
    assert!(said(&session, "\u{1b}[22;2t") && said(&session, "\u{1b}[23;2t"), "kept and taken back");
    assert!(said(&session, "\u{1b}]0;\u{7}"), "no title of ours is left behind");
}

#[test]
fn every_signal_leaves_the_terminal_whole() {
    let (_folder, book) = demo_book();
    for (signal, code) in [("-TERM", 143), ("-HUP", 129), ("-INT", 130), ("-QUIT", 131)] {
        let mut session = Session::on(&book);
        session.until_shows("Juniper");
        session.signal(signal);
        assert_eq!(session.end(), code, "{signal}");
        assert!(session.whole(), "{signal}");
    }
}

#[test]
fn it_ends_when_the_terminal_is_gone() {
    let (_folder, book) = demo_book();
    let pair = native_pty_system().openpty(pty_size((80, 24))).unwrap();
    let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_proofmark"));
    command.args(["--book", book.to_str().unwrap()]);
    let mut child = pair.slave.spawn_command(command).unwrap();
    std::thread::sleep(Duration::from_millis(700));
    assert!(child.try_wait().unwrap().is_none(), "it runs");
    drop(pair);
    let end = Instant::now() + Duration::from_secs(10);
    while child.try_wait().unwrap().is_none() {
        assert!(Instant::now() < end, "it lives on without a terminal");
        std::thread::sleep(Duration::from_millis(10));
    }
}

#[test]
fn a_paste_is_text() {
    let (_folder, book) = demo_book();
    let mut session = Session::on(&book);
    session.until_shows("Juniper");
    session.press("\u{1b}[200~q\n:delete\u{1b}[201~");
    session.until_shows("what was pasted is left out");
    session.press("n");
    session.until_shows("Write down anything else");
    session.press("\u{1b}[200~q\n:delete\u{1b}[201~");
    session.until_shows(":delete");
    session.press("\u{1b}");
    session.until_shows("not written into the book yet");
    session.press("d");
    session.until_shows("Juniper");
    session.press("q");
    assert_eq!(session.end(), 0);
}

#[test]
fn copying_goes_through_the_terminal() {
    let (_folder, book) = demo_book();
    let mut session = Session::on(&book);
    session.until_shows("Juniper");
    session.press("y");
    session.until_shows("Copied");
    assert!(String::from_utf8_lossy(&session.raw.lock().unwrap()).contains("\u{1b}]52;c;"));
    session.press("q");
    assert_eq!(session.end(), 0);
}

#[test]
fn a_new_size_is_drawn_at_once() {
    let (_folder, book) = demo_book();
    let mut session = Session::on(&book);
    session.until_shows("Juniper");
    for size in [(160, 50), (40, 10), (100, 30)] {
        session.screen.lock().unwrap().0.screen_mut().set_size(some(size.1), some(size.0));
        session.master.as_ref().unwrap().resize(pty_size(size)).unwrap();
        let wanted = match size.0 {
            40 => "needs 60×16, have 40×10",
            160 => "thread blow-by",
            _ => "Juniper",
        };
        session.until_shows(wanted);
    }
    session.press("q");
    assert_eq!(session.end(), 0);
    assert!(session.whole());
}

#[test]
fn the_shell_gets_the_terminal_back_for_a_while() {
    let (_folder, book) = demo_book();
    let mut session = Session::on(&book);
    session.until_shows("Juniper");
    session.press("\u{1a}");
    session.until("given back", Session::whole);
    session.signal("-CONT");
    session.until("taken again", |it| !it.whole());
    session.until_shows("Juniper");
    session.press("q");
    assert_eq!(session.end(), 0);
    assert!(session.whole());
}

#[test]
fn what_was_typed_survives_a_kill() {
    let (_folder, book) = demo_book();
    let mut session = Session::on(&book);
    session.until_shows("Juniper");
    session.press("n");
    session.until_shows("Write down anything else");
    session.press("wind from the north");
    session.until_shows("wind from the north");
    session.signal("-KILL");
    session.end();
    let mut session = Session::on(&book);
    session.until_shows("half-typed note");
    session.press("o");
    session.until_shows("wind from the north");
    session.press("\u{13}");
    session.until_shows("written: note");
    session.press("\r");
    session.until_shows("Juniper");
    session.press("q");
    assert_eq!(session.end(), 0);
}

#[test]
fn a_first_run_reads_the_cautions() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("new.db");
    let mut session = Session::on(&book);
    session.until_shows("It does not certify");
    session.press("\r");
    session.until_shows("No casing is on record yet");
    session.press("\u{3}");
    assert_eq!(session.end(), 0);
    assert!(session.whole());
}

#[test]
fn what_the_command_line_writes_is_on_the_open_screen_without_a_key() {
    let (_folder, book) = demo_book();
    let mut session = Session::on(&book);
    session.until_shows("Juniper");
    let written = std::process::Command::new(env!("CARGO_BIN_EXE_proofmark"))
        .env("LC_ALL", "C.UTF-8")
        .args([
            "--book",
            book.to_str().unwrap(),
            "--by",
            "Ines",
            "log",
            "disposition",
            "--casing",
            "MF-41-06",
        ])
        .args(["--decision", "hold", "--reason", "dropped on the way home", "--on", "2026-10-03"])
        .output()
        .unwrap();
    assert!(written.status.success(), "{}", String::from_utf8_lossy(&written.stderr));
    session.until_shows("written to elsewhere");
    session.until("Marigold on hold", |it| {
        it.text().lines().any(|line| line.contains("! hold") && line.contains("MF-41-06"))
    });
    session.press("q");
    assert_eq!(session.end(), 0);
}

#[test]
#[cfg(target_os = "linux")]
fn an_idle_screen_draws_nothing_writes_nothing_and_takes_no_time() {
    let (folder, book) = demo_book();
    let mut session = Session::on(&book);
    session.until_shows("Juniper");
    std::thread::sleep(Duration::from_millis(300));
    let id = session.child.process_id().unwrap();
    let ticks = || {
        let stat = std::fs::read_to_string(format!("/proc/{id}/stat")).unwrap();
        let fields: Vec<&str> = stat.rsplit(") ").next().unwrap().split(' ').collect();
        fields[11].parse::<u64>().unwrap() + fields[12].parse::<u64>().unwrap()
    };
    // Every switch the program's threads made of their own will: a wake-up is one.
    let wakes = || -> u64 {
        let tasks = std::fs::read_dir(format!("/proc/{id}/task")).unwrap();
        tasks
            .map(|task| std::fs::read_to_string(task.unwrap().path().join("status")).unwrap())
            .map(|text| {
                let line = text.lines().find(|line| line.starts_with("voluntary_ctxt_switches")).unwrap();
                line.rsplit('\t').next().unwrap().parse::<u64>().unwrap()
            })
            .sum()
    };
    let state = || (session.bytes(), ticks(), wakes(), std::fs::metadata(&book).unwrap().modified().unwrap());
    let before = state();
    std::thread::sleep(Duration::from_secs(2));
    assert_eq!(before, state());
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1, "nothing lies beside the book");
    session.press("q");
    assert_eq!(session.end(), 0);
}

#[test]
fn the_mouse_is_taken_left_and_given_back() {
    let (_folder, book) = demo_book();
    let mut session = Session::on(&book);
    session.until_shows("Juniper");
    let taken = |it: &Session| {
        it.screen.lock().unwrap().0.screen().mouse_protocol_mode() != vt100::MouseProtocolMode::None
    };
    session.until("the mouse taken", taken);
    // The second row of the list, pressed twice: selected, then opened.
    session.press("\u{1b}[<0;5;5M\u{1b}[<0;5;5m\u{1b}[<0;5;5M\u{1b}[<0;5;5m");
    session.until_shows("1 standing");
    session.press("\u{1b}[20~");
    session.until("the mouse left", |it| !taken(it));
    session.press("\u{1b}[20~");
    session.until("the mouse taken again", taken);
    session.press("qq");
    assert_eq!(session.end(), 0);
    assert!(session.whole());
}

#[test]
fn a_terminal_that_cannot_draw_gets_lines() {
    let (_folder, book) = demo_book();
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_proofmark"))
        .env("LC_ALL", "C.UTF-8")
        .args(["--book", book.to_str().unwrap(), "--lines"])
        .stdin(std::process::Stdio::null())
        .output()
        .unwrap();
    let text = String::from_utf8(output.stdout).unwrap();
    assert!(output.status.success() && text.contains("MF-48-04") && !text.contains('\u{1b}'), "{text}");
}

/// Not a test of its own: what the next one runs in a terminal.
#[test]
#[ignore = "it panics on purpose, in the terminal of another test"]
fn panics_with_the_terminal_taken() {
    proofmark::tui::terminal::hook_panics();
    let _guard = proofmark::tui::terminal::Guard::enter().unwrap();
    proofmark::tui::terminal::mouse(true).unwrap();
    panic!("on purpose");
}

#[test]
fn a_panic_gives_the_terminal_back_and_says_what_happened() {
    let program = std::env::current_exe().unwrap();
    let arguments = ["--ignored", "--exact", "panics_with_the_terminal_taken", "--nocapture"];
    let mut session = Session::start_program(program.to_str().unwrap(), &arguments, (80, 24), &[]);
    assert_ne!(session.end(), 0);
    let raw = String::from_utf8_lossy(&session.raw.lock().unwrap()).into_owned();
    assert!(raw.contains("\u{1b}[?1049h"), "the terminal was taken: {raw:?}");
    assert!(session.whole(), "{raw:?}");
    let back = raw.rfind("\u{1b}[?1049l").unwrap();
    assert!(raw[back..].contains("on purpose"), "{raw:?}");
}

#[test]
fn a_settings_file_is_followed_and_what_it_has_wrong_is_said() {
    let (folder, book) = demo_book();
    let settings = folder.path().join("settings.toml");
    std::fs::write(&settings, "theme = \"monochrome\"\ncolour = 1\nascii = true\n[keys]\nhelp = \"F8\"\n")
        .unwrap();
    let environment = [("PROOFMARK_CONFIG", settings.to_str().unwrap())];
    let program = env!("CARGO_BIN_EXE_proofmark");
    let arguments = ["--book", book.to_str().unwrap()];
    let mut session = Session::start_program(program, &arguments, (100, 30), &environment);
    session.until_shows("settings: colour is not known");
    session.until_shows("F8  help");
    assert!(session.text().is_ascii(), "{}", session.text());
    assert!(!String::from_utf8_lossy(&session.raw.lock().unwrap()).contains("\u{1b}[38;5;"));
    session.press("q");
    assert_eq!(session.end(), 0);
    // The command line says it on stderr and does its work.
    let output = std::process::Command::new(program)
        .args(["--book", book.to_str().unwrap(), "keys"])
        .envs(environment)
        .output()
        .unwrap();
    assert!(String::from_utf8_lossy(&output.stderr).contains("colour is not known"));
    assert!(String::from_utf8_lossy(&output.stdout).contains("| `F8` |"));
}

#[test]
fn a_locale_without_utf8_gets_ascii_unless_the_settings_say_otherwise() {
    let (folder, book) = demo_book();
    let program = env!("CARGO_BIN_EXE_proofmark");
    let arguments = ["--book", book.to_str().unwrap()];
    let settings = folder.path().join("settings.toml");
    std::fs::write(&settings, "ascii = false\n").unwrap();
    let named = settings.to_str().unwrap();
    let nowhere = folder.path().join("none.toml");
    std::fs::write(&nowhere, "").unwrap();
    for (environment, ascii) in [
        (vec![("LC_ALL", "C"), ("PROOFMARK_CONFIG", nowhere.to_str().unwrap())], true),
        (vec![("LC_ALL", "C"), ("PROOFMARK_CONFIG", named)], false),
    ] {
        let mut session = Session::start_program(program, &arguments, (100, 30), &environment);
        session.until_shows("Juniper");
        session.press("\r3");
        session.until_shows("round");
        assert_eq!(session.raw.lock().unwrap().is_ascii(), ascii, "{}", session.text());
        session.press("qq");
        assert_eq!(session.end(), 0);
        let output = std::process::Command::new(program)
            .args(arguments)
            .args(["show", "MF-48-02"])
            .envs(environment.clone())
            .output()
            .unwrap();
        assert!(output.status.success());
        assert_eq!(output.stdout.is_ascii(), ascii, "{}", String::from_utf8_lossy(&output.stdout));
    }
}

#[test]
fn a_note_is_gone_on_with_in_an_editor() {
    let (folder, book) = demo_book();
    // An editor that needs the keyboard: it asks for a line and adds it.
    let editor = folder.path().join("editor.sh");
    std::fs::write(&editor, "#!/bin/sh\necho \"TYPE HERE\"\nread line\necho \"$line\" >> \"$1\"\n").unwrap();
    let command = format!("sh {}", editor.to_str().unwrap());
    let environment = [("EDITOR", command.as_str()), ("VISUAL", "")];
    let program = env!("CARGO_BIN_EXE_proofmark");
    let arguments = ["--book", book.to_str().unwrap()];
    let mut session = Session::start_program(program, &arguments, (100, 30), &environment);
    session.until_shows("Juniper");
    session.press("n");
    session.until_shows("Write down anything else");
    session.press("first line\r");
    session.until_shows("first line");
    session.press("\u{1b}OS");
    session.until_shows("TYPE HERE");
    session.press("from the editor\r");
    session.until("the form again", |it| it.text().contains("Write down anything else"));
    session.until_shows("from the editor");
    session.press("\u{13}");
    session.until_shows("written: note");
    session.press("\u{1b}");
    session.until_shows("Juniper");
    session.press("q");
    assert_eq!(session.end(), 0);
    assert!(session.whole());
}
