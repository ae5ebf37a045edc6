//! Events: one thread reads the terminal, one channel carries what it read. Nothing wakes up while nobody types.

use std::os::fd::OwnedFd;
use std::sync::mpsc::{Receiver, SyncSender, TryRecvError, sync_channel};
use std::time::Duration;

use ratatui::crossterm::event::{self, Event as Raw, KeyEvent, KeyEventKind, MouseEvent, MouseEventKind};
use rustix::event::{PollFd, PollFlags};

/// Something that happened at the terminal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Event {
    /// A key went down, or repeats.
    Key(KeyEvent),
    /// A text was pasted.
    Paste(String),
    /// The mouse pressed, dragged or turned its wheel.
    Mouse(MouseEvent),
    /// Work on another thread has something to show.
    Woke,
    /// Somebody wrote into the book's file.
    Written,
    /// The screen must be drawn again: its size changed, or the program came back from the shell.
    Redraw,
}

/// An event of the terminal as the app takes it; releases, and a mouse that only moves, are nothing.
fn from_raw(raw: Raw) -> Option<Event> {
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

/// The thread that reads the terminal; it can be held, so that another program reads it for a while.
pub struct Reader {
    control: OwnedFd,
    held: Receiver<()>,
}

impl Reader {
    /// Leave the terminal's input alone until [`Reader::go_on`].
    pub fn hold(&self) {
        if rustix::io::write(&self.control, b"h").is_ok() {
            let _ = self.held.recv();
        }
    }

    /// Read again.
    pub fn go_on(&self) {
        let _ = rustix::io::write(&self.control, b"g");
    }
}

/// Start the thread that reads. It ends when the channel or the terminal is gone. Nothing wakes up before a key, a
/// paste, the mouse or a new size.
///
/// # Errors
/// The system gives no pipe or no signals.
pub fn start(more: SyncSender<Event>) -> std::io::Result<Reader> {
    let (asked, control) = rustix::pipe::pipe()?;
    let (tell, held) = sync_channel(1);
    let resized = more.clone();
    let mut sizes = signal_hook::iterator::Signals::new([signal_hook::consts::SIGWINCH])?;
    std::thread::spawn(move || {
        for _ in sizes.forever() {
            if resized.send(Event::Redraw).is_err() {
                return;
            }
        }
    });
    std::thread::spawn(move || {
        let terminal = std::io::stdin();
        loop {
            let mut ready = [PollFd::new(&terminal, PollFlags::IN), PollFd::new(&asked, PollFlags::IN)];
            match rustix::event::poll(&mut ready, None) {
                Ok(_) => {}
                Err(rustix::io::Errno::INTR) => continue,
                Err(_) => return,
            }
            let (keys, control) = (ready[0].revents(), ready[1].revents());
            let mut byte = [0_u8; 1];
            if !control.is_empty() {
                if rustix::io::read(&asked, &mut byte).is_err() || tell.send(()).is_err() {
                    return;
                }
                // Held: nothing more is read until the other byte comes.
                if !matches!(rustix::io::read(&asked, &mut byte), Ok(1)) {
                    return;
                }
                continue;
            }
            let mut any = false;
            while let Ok(true) = event::poll(Duration::ZERO) {
                any = true;
                let Ok(raw) = event::read() else { return };
                if let Some(event) = from_raw(raw)
                    && more.send(event).is_err()
                {
                    return;
                }
            }
            if !any && keys.intersects(PollFlags::HUP | PollFlags::ERR | PollFlags::NVAL) {
                return;
            }
        }
    });
    Ok(Reader { control, held })
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
