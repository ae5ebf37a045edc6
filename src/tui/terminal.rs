//! The terminal: entered once, left whole on every way out. One teardown undoes every mode that was set; quit,
//! errors, panics and signals all go through it.

use std::io::{self, Write, stdout};
use std::sync::atomic::{AtomicBool, Ordering};

use ratatui::crossterm::cursor::{SetCursorStyle, Show};
use ratatui::crossterm::event::{
    DisableBracketedPaste, DisableMouseCapture, EnableBracketedPaste, EnableMouseCapture,
};
use ratatui::crossterm::style::Print;
use ratatui::crossterm::terminal::{
    EnterAlternateScreen, LeaveAlternateScreen, SetTitle, disable_raw_mode, enable_raw_mode,
};
use ratatui::crossterm::{execute, queue};
use signal_hook::consts::{SIGHUP, SIGINT, SIGQUIT, SIGTERM};

/// Whether the terminal is ours, so that it is given back once and only when it was taken.
static TAKEN: AtomicBool = AtomicBool::new(false);

/// Asks the terminal to keep its window title, and to take it back. One that does neither is left without a title.
const KEEP_TITLE: &str = "\x1b[22;2t";
const TITLE_BACK: &str = "\x1b[23;2t";

/// Say in the window's title where one is.
///
/// # Errors
/// The terminal is gone.
pub fn title(words: &str) -> io::Result<()> {
    execute!(stdout(), SetTitle(words))
}

/// Take the mouse, or leave it to the terminal for selecting text.
///
/// # Errors
/// The terminal is gone.
pub fn mouse(wanted: bool) -> io::Result<()> {
    if wanted { execute!(stdout(), EnableMouseCapture) } else { execute!(stdout(), DisableMouseCapture) }
}

/// Take the terminal.
///
/// # Errors
/// It is not a terminal, or does not do as asked; what was set is undone.
pub fn enter() -> io::Result<()> {
    TAKEN.store(true, Ordering::SeqCst);
    let entered = enable_raw_mode()
        .and_then(|()| execute!(stdout(), Print(KEEP_TITLE), EnterAlternateScreen, EnableBracketedPaste));
    if entered.is_err() {
        leave();
    }
    entered
}

/// Give the terminal back as it was. Every step is tried, whatever the others say.
pub fn leave() {
    if !TAKEN.swap(false, Ordering::SeqCst) {
        return;
    }
    let mut out = stdout();
    let _ = queue!(out, DisableMouseCapture);
    let _ = queue!(out, DisableBracketedPaste);
    let _ = queue!(out, SetCursorStyle::DefaultUserShape);
    let _ = queue!(out, LeaveAlternateScreen);
    let _ = queue!(out, SetTitle(""), Print(TITLE_BACK));
    let _ = queue!(out, Show);
    let _ = out.flush();
    let _ = disable_raw_mode();
}

/// Gives the terminal back when it goes out of scope, on errors as on quit.
pub struct Guard;

impl Guard {
    /// Take the terminal until this is dropped.
    ///
    /// # Errors
    /// As [`enter`].
    pub fn enter() -> io::Result<Self> {
        enter().map(|()| Self)
    }
}

impl Drop for Guard {
    fn drop(&mut self) {
        leave();
    }
}

/// A panic first gives the terminal back, then says what it has to say.
pub fn hook_panics() {
    let before = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |info| {
        leave();
        before(info);
    }));
}

/// A signal that ends the program gives the terminal back and ends it at once. The thread does it itself: the main
/// thread may be waiting in a read that never comes back once the terminal is gone.
///
/// # Errors
/// The signals cannot be taken.
pub fn hook_signals() -> io::Result<()> {
    let mut signals = signal_hook::iterator::Signals::new([SIGTERM, SIGHUP, SIGINT, SIGQUIT])?;
    std::thread::spawn(move || {
        if let Some(signal) = signals.forever().next() {
            // Held to the end, so that no frame is drawn over the shell's screen in the meantime.
            let _held = stdout().lock();
            leave();
            std::process::exit(128 + signal);
        }
    });
    Ok(())
}

/// Go to the shell; comes back when the shell says so.
///
/// # Errors
/// The terminal cannot be taken again.
pub fn suspend() -> io::Result<()> {
    leave();
    signal_hook::low_level::emulate_default_handler(signal_hook::consts::SIGTSTP)?;
    enter()
}
