//! The screens as lines of text, for screen readers and terminals that cannot draw: the same screens and the same
//! keys, a line at a time. What is selected or being typed in is marked with `[*]`.

use std::io::{BufRead, Write};

use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::buffer::Buffer;
use ratatui::crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use ratatui::style::Modifier;

use super::action::{ACTIONS, Act, Key};
use super::{App, Event, Options, TuiError, keymap};
use crate::desk::Desk;

/// As wide as a terminal nobody has set up, and tall enough that little has to be scrolled.
const SIZE: (u16, u16) = (80, 48);

/// What stands before the line that is selected or typed in: not one of the signs of a standing.
const MARK: &str = "[*] ";

const HOW: &str = "[*] marks what is selected. A line at a time: a key by its name (p, Enter, Esc, Tab, F1), or : and the name of an action \
                   (:prefire, :help). In a form: what to type in the field, which goes on to the next; a dot before a \
                   key (.Ctrl-S saves, .Esc leaves, .Shift-Tab goes back). = says the whole screen again. An empty \
                   line is Enter.";

/// Show the screens as text until the person leaves or the input ends.
///
/// # Errors
/// The output cannot be written.
pub fn run(
    desk: Desk,
    options: Options,
    input: &mut dyn BufRead,
    out: &mut dyn Write,
) -> Result<(), TuiError> {
    let mut app = App::new(desk, Options { mouse: false, ..options });
    let mut terminal = Terminal::new(TestBackend::new(SIZE.0, SIZE.1)).map_err(std::io::Error::other)?;
    for line in super::text::wrap(HOW, usize::from(SIZE.0)) {
        writeln!(out, "{line}")?;
    }
    let mut before: Vec<String> = Vec::new();
    let mut whole = true;
    loop {
        terminal.draw(|frame| app.draw(frame)).map_err(std::io::Error::other)?;
        let lines = lines_of(terminal.backend().buffer());
        // The same screen again: only what changed is read out.
        let same = !whole && before.first() == lines.first();
        writeln!(out)?;
        let changed = lines.iter().enumerate().filter(|(at, line)| !same || before.get(*at) != Some(*line));
        for (_, line) in changed.filter(|(_, line)| !line.is_empty()) {
            writeln!(out, "{line}")?;
        }
        before = lines;
        write!(out, "? ")?;
        out.flush()?;
        let mut typed = Vec::new();
        // Any bytes are taken: what is not UTF-8 becomes a sign that says so.
        if input.read_until(b'\n', &mut typed)? == 0 {
            return Ok(());
        }
        let typed = String::from_utf8_lossy(&typed);
        let typed = typed.trim_end_matches(['\n', '\r']);
        whole = typed == "=";
        if !whole {
            match events(&app, typed) {
                Ok(events) => events.into_iter().for_each(|event| app.handle(event)),
                Err(words) => {
                    for line in super::text::wrap(&words, usize::from(SIZE.0)) {
                        writeln!(out, "{line}")?;
                    }
                }
            }
        }
        app.take_wish();
        if app.quitting() {
            return Ok(());
        }
    }
}

/// What a typed line asks for; where nothing is understood, what would be.
fn events(app: &App, typed: &str) -> Result<Vec<Event>, String> {
    let press = |key: Key| {
        let modifiers = if key.ctrl { KeyModifiers::CONTROL } else { KeyModifiers::NONE };
        Event::Key(KeyEvent::new(key.code, modifiers))
    };
    let named = |name: &str| keymap::key_named(name).map(press);
    if let Some(id) = typed.strip_prefix(':') {
        let context = app.context();
        let action = ACTIONS.iter().find(|it| it.id == id.trim() && it.contexts.contains(&context));
        let key = action.and_then(|it| app.keys().keys(it).first().copied());
        return key.map(|it| vec![press(it)]).ok_or_else(|| not_understood(app, typed));
    }
    if typed.is_empty() {
        return Ok(vec![press(Key { code: KeyCode::Enter, ctrl: false })]);
    }
    if app.context().typing() {
        if let Some(name) = typed.strip_prefix('.').and_then(named) {
            return Ok(vec![name]);
        }
        // In place of what stands in the field, then on to the next.
        return Ok(vec![
            press(Key { code: KeyCode::End, ctrl: false }),
            press(Key { code: KeyCode::Char('u'), ctrl: true }),
            Event::Paste(typed.to_owned()),
            press(Key { code: KeyCode::Tab, ctrl: false }),
        ]);
    }
    let word = typed.trim().to_lowercase();
    if let "help" | "quit" = word.as_str() {
        let wanted = if word == "help" { Act::Help } else { Act::QuitNow };
        let context = app.context();
        let action = ACTIONS.iter().find(|it| it.act == wanted && it.contexts.contains(&context));
        let key = action.and_then(|it| app.keys().keys(it).first().copied());
        return key.map(|it| vec![press(it)]).ok_or_else(|| not_understood(app, typed));
    }
    if let Some(event) = named(typed) {
        return Ok(vec![event]);
    }
    // Several keys in a line: all of them, or none.
    let keys: Option<Vec<Event>> = typed.split_whitespace().map(named).collect();
    keys.filter(|it| !it.is_empty()).ok_or_else(|| not_understood(app, typed))
}

/// What is understood here, for a line that was not.
fn not_understood(app: &App, typed: &str) -> String {
    let context = app.context();
    let keys: Vec<String> = ACTIONS
        .iter()
        .filter(|it| it.bar > 0 && it.contexts.contains(&context))
        .filter_map(|it| Some(format!("{} {}", app.keys().keys(it).first()?.name(), it.label)))
        .collect();
    format!(
        "Not understood: {}. Understood here: {}; :NAME of an action; = the whole screen; help; quit.",
        super::text::clean(typed),
        keys.join(", ")
    )
}

/// The drawn screen as lines, the selected and the typed-in marked.
fn lines_of(buffer: &Buffer) -> Vec<String> {
    let area = buffer.area;
    (0..area.height)
        .map(|row| {
            let mut line = String::new();
            let mut marked = false;
            let mut column = 0;
            while column < area.width {
                let Some(cell) = buffer.cell((column, row)) else { break };
                let style = cell.style();
                // The bar at the top and the keys at the bottom stand out, too: they are no selection.
                let stands_out = style.add_modifier.contains(Modifier::REVERSED)
                    && !style.add_modifier.contains(Modifier::BOLD);
                marked |= (stands_out || style.add_modifier.contains(Modifier::UNDERLINED)) && row > 0;
                line.push_str(cell.symbol());
                column += u16::try_from(super::text::width(cell.symbol())).unwrap_or(1).max(1);
            }
            let line = line.trim_end();
            if marked && !line.is_empty() { format!("{MARK}{line}") } else { line.to_owned() }
        })
        .collect()
}
