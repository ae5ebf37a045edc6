//! The terminal screens: the answer first, then the reason, then the key to press.
//!
//! State, action, update, view; no async runtime. [`app::App`] is the whole state and is tested without a terminal;
//! [`run`] puts it into one and gives the terminal back whole on every way out.

pub mod action;
pub mod app;
pub mod ascii;
mod context;
mod editor;
pub mod event;
mod key;
pub mod keymap;
pub mod lines;
pub mod screens;
pub mod terminal;
pub mod text;
pub mod theme;
mod watch;
pub mod widgets;
pub mod work;

use ratatui::Terminal;
use ratatui::backend::CrosstermBackend;
use ratatui::crossterm::clipboard::CopyToClipboard;
use ratatui::crossterm::execute;

pub use app::App;
pub use event::Event;
pub use keymap::Keymap;

use crate::desk::Desk;
use crate::quantity::System;

/// Every key as the program ships them, as a Markdown table.
pub fn key_table() -> String {
    Keymap::default().table()
}

/// What the caller knows and the screens need.
#[derive(Clone, Debug, Default)]
pub struct Options {
    /// The units shown, and taken for bare numbers.
    pub system: System,
    /// Who is writing.
    pub by: Option<String>,
    /// Whether the terminal is light; `None` where nobody knows.
    pub light: Option<bool>,
    /// Whether colour is wanted; false under `NO_COLOR`.
    pub colour: bool,
    /// Whether the cautions are shown first.
    pub first_run: bool,
    /// Whether this is a scratch copy of the demo book.
    pub demo: bool,
    /// The keys in force.
    pub keys: Keymap,
    /// Which characters may be drawn.
    pub signs: ascii::Signs,
    /// Whether the mouse is taken; without it the terminal selects text itself.
    pub mouse: bool,
    /// What a person should hear about first, such as a setting that is not known.
    pub said: Vec<String>,
}

/// Why the screens could not be shown.
#[derive(Debug, thiserror::Error)]
pub enum TuiError {
    /// The terminal.
    #[error("the terminal cannot be used: {0}. The commands work without one: proofmark --help")]
    Terminal(#[from] std::io::Error),
}

/// Show the screens until the person leaves.
///
/// # Errors
/// The terminal cannot be used. It is given back as it was, then as always.
pub fn run(desk: Desk, options: Options) -> Result<(), TuiError> {
    terminal::hook_panics();
    terminal::hook_signals()?;
    let guard = terminal::Guard::enter()?;
    terminal::mouse(options.mouse)?;
    let mut screen = Terminal::new(CrosstermBackend::new(std::io::stdout()))?;
    let mut app = App::new(desk, options);
    let drawn = screen.draw(|frame| app.draw(frame))?.area.as_size();
    let mut title = app.window_title();
    terminal::title(&title)?;
    let (more, events) = event::channel();
    app.set_waker(work::Waker::new(more.clone()));
    let book = app.desk().book().path().to_path_buf();
    let _watching = watch::book(&book, more.clone());
    let reader = event::start(more)?;
    // A new size that came before anybody listened was told to nobody.
    if screen.size()? != drawn {
        screen.draw(|frame| app.draw(frame))?;
    }
    while !app.quitting() {
        let Some(batch) = event::batch(&events) else { break };
        app.handle_all(batch);
        match app.take_wish() {
            Some(app::Wish::Suspend) => {
                terminal::suspend()?;
                terminal::mouse(app.mouse_taken())?;
                terminal::title(&title)?;
                forget_what_is_shown(&mut screen)?;
            }
            Some(app::Wish::Edit(words)) => {
                reader.hold();
                terminal::leave();
                let edited = editor::edit(&words);
                terminal::enter()?;
                terminal::mouse(app.mouse_taken())?;
                terminal::title(&title)?;
                reader.go_on();
                forget_what_is_shown(&mut screen)?;
                app.edited(edited.map_err(|error| error.to_string()));
            }
            Some(app::Wish::Mouse(wanted)) => terminal::mouse(wanted)?,
            Some(app::Wish::Repaint) => forget_what_is_shown(&mut screen)?,
            Some(app::Wish::Copy(words)) => {
                execute!(std::io::stdout(), CopyToClipboard::to_clipboard_from(words))?;
            }
            None => {}
        }
        if !app.quitting() {
            screen.draw(|frame| app.draw(frame))?;
            let here = app.window_title();
            if here != title {
                terminal::title(&here)?;
                title = here;
            }
        }
    }
    drop(guard);
    Ok(())
}

/// Make the next frame draw every cell. (Clearing asks the terminal where its cursor is, and the answer would go to
/// the thread that reads keys; taking the same size anew does not ask.)
fn forget_what_is_shown(screen: &mut Terminal<CrosstermBackend<std::io::Stdout>>) -> std::io::Result<()> {
    let size = screen.size()?;
    screen.resize(ratatui::layout::Rect::new(0, 0, size.width, size.height))
}
