//! Events: one thread reads the terminal, one channel carries what it read. Nothing wakes up while nobody types.

use std::sync::mpsc::{Receiver, SyncSender, TryRecvError, sync_channel};

use ratatui::crossterm::event::{self, Event as Raw, KeyEvent, KeyEventKind, MouseEvent, MouseEventKind};

/// Something that happened at the terminal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Event {
    /// A key went down, or repeats.
    Key(KeyEvent),
    /// A text was pasted.
    Paste(String),
    /// The mouse pressed, dragged or turned its wheel.
    Mouse(MouseEvent),
    /// The screen must be drawn again: its size changed, or the program came back from the shell.
    Redraw,
}

/// An event of the terminal as the app takes it; releases, and a mouse that only moves, are nothing.
pub fn from_raw(raw: Raw) -> Option<Event> {
    match raw {
        Raw::Key(key) if key.kind != KeyEventKind::Release => Some(Event::Key(key)),
        Raw::Paste(words) => Some(Event::Paste(words)),
        Raw::Mouse(mouse) if !matches!(mouse.kind, MouseEventKind::Moved | MouseEventKind::Up(_)) => {
            Some(Event::Mouse(mouse))
        }
        Raw::Resize(..) | Raw::FocusGained => Some(Event::Redraw),
        _ => None,
    }
}

/// Start the thread that reads. It ends when the channel or the terminal is gone.
pub fn start(more: SyncSender<Event>) {
    std::thread::spawn(move || {
        while let Ok(raw) = event::read() {
            if let Some(event) = from_raw(raw)
                && more.send(event).is_err()
            {
                return;
            }
        }
    });
}

/// The channel: bounded, so that a pasted book cannot fill the memory.
pub fn channel() -> (SyncSender<Event>, Receiver<Event>) {
    sync_channel(1024)
}

/// Wait for an event, then take all that came with it. `None`: nobody can send any more.
pub fn batch(events: &Receiver<Event>) -> Option<Vec<Event>> {
    let mut batch = vec![events.recv().ok()?];
    while batch.len() < 512 {
        match events.try_recv() {
            Ok(event) => batch.push(event),
            Err(TryRecvError::Empty | TryRecvError::Disconnected) => break,
        }
    }
    Some(batch)
}
