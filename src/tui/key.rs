//! One key of a keyboard, as the table of actions and the footer name it.

use ratatui::crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

/// One key, with Ctrl or without. Nothing needs Alt or a chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Key {
    /// Which key.
    pub code: KeyCode,
    /// Whether Ctrl is held.
    pub ctrl: bool,
}

impl Key {
    /// The key of an event; `None` where a modifier is held that no action uses.
    pub fn of(event: &KeyEvent) -> Option<Self> {
        if event.modifiers.intersects(KeyModifiers::ALT | KeyModifiers::SUPER | KeyModifiers::META) {
            return None;
        }
        let ctrl = event.modifiers.contains(KeyModifiers::CONTROL);
        let code = match event.code {
            KeyCode::Char(c) if ctrl => KeyCode::Char(c.to_ascii_lowercase()),
            KeyCode::Tab if event.modifiers.contains(KeyModifiers::SHIFT) => KeyCode::BackTab,
            other => other,
        };
        Some(Self { code, ctrl })
    }

    /// Whether it would be typed as text.
    pub const fn is_text(self) -> bool {
        matches!(self.code, KeyCode::Char(_)) && !self.ctrl
    }

    /// The key's name as the footer and the tables print it.
    pub fn name(self) -> String {
        let plain = match self.code {
            KeyCode::Char(' ') => "Space".to_owned(),
            KeyCode::Char(c) if self.ctrl => c.to_ascii_uppercase().to_string(),
            KeyCode::Char(c) => c.to_string(),
            KeyCode::BackTab => "Shift-Tab".to_owned(),
            KeyCode::PageUp => "PgUp".to_owned(),
            KeyCode::PageDown => "PgDn".to_owned(),
            KeyCode::Esc => "Esc".to_owned(),
            KeyCode::F(number) => format!("F{number}"),
            other => format!("{other:?}"),
        };
        if self.ctrl { format!("Ctrl-{plain}") } else { plain }
    }
}
