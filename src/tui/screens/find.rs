//! Find any action of the screen below by name; and the command for what is done on the command line.

use nucleo_matcher::pattern::{AtomKind, CaseMatching, Normalization, Pattern};
use nucleo_matcher::{Config, Matcher, Utf32Str};
use ratatui::Frame;
use ratatui::crossterm::event::KeyEvent;
use ratatui::layout::Rect;

use super::{Cx, Screen, Step};
use crate::tui::action::{self, Act, Action, Context};
use crate::tui::text;
use crate::tui::theme::Meaning;
use crate::tui::widgets::field::{LineField, Typed};
use crate::tui::widgets::filter;
use crate::tui::widgets::table::{self, Place, column, numbers};
use crate::tui::widgets::{Paint, put};

/// What is done on the command line alone: the words somebody looks for it by, the command, and what it does.
/// SERIAL is the casing selected.
pub const COMMANDS: &[(&[&str], &str, &str)] = &[
    (
        &["print", "report", "passport", "paper", "pdf", "html"],
        "report SERIAL --out passport.html",
        "a casing's page to print",
    ),
    (
        &["print", "card", "range", "rso"],
        "report SERIAL --card --load NAME --out card.html",
        "a card for the range safety officer",
    ),
    (&["print", "blank", "paper"], "report --blank proof --out proof.html", "a blank form on paper"),
    (
        &["print", "label", "qr", "sticker"],
        "label SERIAL --out label.svg",
        "a label with the serial as a QR code",
    ),
    (&["backup"], "backup TO.db", "a verified copy of the book"),
    (&["restore", "backup"], "restore FROM.db", "make a verified copy the book"),
    (&["merge", "sync", "laptop"], "merge OTHER.db", "take in another book's entries"),
    (&["verify", "seals"], "verify", "work every seal, row and standing out again"),
    (&["doctor"], "doctor", "what state the book is in"),
    (&["export", "csv", "json", "parquet"], "export --out FOLDER", "the whole book as plain files"),
    (&["import", "csv"], "import OLD.csv --kind firing", "what an old notebook would write"),
];

/// One line of what was found.
enum Found {
    /// An action of the screen.
    Action(&'static Action),
    /// A command to type in a shell, and what it does.
    Command(String, &'static str),
}

/// The palette.
pub struct Find {
    of: Context,
    serial: String,
    field: LineField,
    found: Vec<Found>,
    place: Place,
}

/// The commands that every word typed looks for.
fn commands(typed: &str, serial: &str) -> Vec<Found> {
    let typed = typed.to_lowercase();
    let wanted = |names: &[&str]| {
        // Two letters are the beginning of too much.
        let begins = |word: &str| word.len() > 2 && names.iter().any(|name| name.starts_with(word));
        let exact = |word: &str| names.contains(&word);
        typed.split_whitespace().all(|word| begins(word) || exact(word))
    };
    COMMANDS
        .iter()
        .filter(|(names, ..)| wanted(names))
        .map(|(_, line, does)| Found::Command(format!("proofmark {}", line.replace("SERIAL", serial)), does))
        .collect()
}

impl Find {
    /// The actions of a context, and the commands for the casing selected.
    pub fn new(of: Context, serial: Option<&str>) -> Self {
        let serial = match serial {
            Some(serial) if serial.contains(|c: char| !(c.is_alphanumeric() || "-_.".contains(c))) => {
                format!("'{}'", serial.replace('\'', "'\\''"))
            }
            other => other.unwrap_or("SERIAL").to_owned(),
        };
        let (field, place) = (LineField::default(), Place::default());
        let mut find = Self { of, serial, field, found: Vec::new(), place };
        find.look();
        find
    }

    fn look(&mut self) {
        let all = action::offered(self.of).filter(|it| !it.id.ends_with("-letter") && it.act != Act::Find);
        let words = self.field.text().trim();
        if words.is_empty() {
            self.found = all.map(Found::Action).collect();
            return;
        }
        let mut matcher = Matcher::new(Config::DEFAULT);
        let pattern = Pattern::new(words, CaseMatching::Ignore, Normalization::Smart, AtomKind::Fuzzy);
        let mut scored: Vec<(u32, &Action)> = all
            .filter_map(|action| {
                let text = format!("{} {} {}", action.id, action.label, action.sentence);
                let mut buffer = Vec::new();
                pattern.score(Utf32Str::new(&text, &mut buffer), &mut matcher).map(|score| (score, action))
            })
            .collect();
        scored.sort_by_key(|(score, _)| std::cmp::Reverse(*score));
        // A word that names a command asks for it; an action that happens to hold its letters comes after.
        self.found = commands(words, &self.serial);
        self.found.extend(scored.into_iter().map(|(_, action)| Found::Action(action)));
        self.place = Place::default();
    }
}

impl Screen for Find {
    fn context(&self) -> Context {
        Context::Find
    }

    fn title(&self) -> String {
        "do".to_owned()
    }

    fn label(&self, act: Act) -> Option<&'static str> {
        let command = matches!(self.found.get(self.place.selected), Some(Found::Command(..)));
        (act == Act::RunAction && command).then_some("copy it")
    }

    fn list(&mut self) -> Option<(&mut Place, usize)> {
        Some((&mut self.place, self.found.len()))
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        if self.place.act(act, self.found.len()) {
            return;
        }
        match act {
            Act::Back => cx.go(Step::Back),
            Act::RunAction => match self.found.get(self.place.selected) {
                Some(Found::Action(action)) => cx.go(Step::BackWith(action.act)),
                Some(Found::Command(line, _)) => {
                    cx.say(format!("Copied, where your terminal allows it, to run in a shell: {line}"));
                    cx.go(Step::Copy(line.clone()));
                    cx.go(Step::Back);
                }
                None => cx.go(Step::Back),
            },
            _ => {}
        }
    }

    fn type_key(&mut self, key: &KeyEvent, _cx: &mut Cx<'_>) -> bool {
        match self.field.key(key) {
            Typed::Changed => {
                self.look();
                true
            }
            Typed::Moved => true,
            Typed::NotMine => false,
        }
    }

    fn paste(&mut self, words: &str, _cx: &mut Cx<'_>) {
        self.field.paste(words);
        self.look();
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        put(
            frame,
            area,
            0,
            0,
            "What do you want to do? Type a part of its name.",
            paint.of(Meaning::Heading),
        );
        put(frame, area, 1, 0, ":", paint.of(Meaning::Key));
        if area.height > 1 {
            let line = Rect {
                x: area.x + 2.min(area.width),
                y: area.y + 1,
                width: area.width.saturating_sub(2),
                height: 1,
            };
            self.field.draw(frame, line, true, paint);
        }
        let below = Rect { y: area.y + 3.min(area.height), height: area.height.saturating_sub(3), ..area };
        // A command is read whole, to be typed elsewhere.
        let whole = match self.found.get(self.place.selected) {
            Some(Found::Command(line, does)) => {
                text::wrap(&format!("{line}   ({does})"), usize::from(area.width.saturating_sub(2)))
            }
            _ => Vec::new(),
        };
        let tall = u16::try_from(whole.len()).unwrap_or(0).min(below.height / 2);
        for (row, line) in (0..tall).zip(&whole) {
            put(frame, below, below.height - tall + row, 1, line, paint.of(Meaning::Strong));
        }
        let below = Rect { height: below.height - tall, ..below };
        let columns = [numbers("Key", 9, 1), column("Action", 22, 0, 0), column("What it does", 30, 1, 2)];
        let plain = paint.of(Meaning::Plain);
        table::draw(frame, below, &columns, &mut self.place, self.found.len(), paint, |at| {
            let action = match &self.found[at] {
                Found::Action(action) => action,
                Found::Command(line, does) => {
                    return vec![
                        (String::new(), plain),
                        ("on the command line".to_owned(), paint.of(Meaning::Strong)),
                        (format!("{line}: {does}"), plain),
                    ];
                }
            };
            vec![
                (
                    paint.keys.keys(action).first().map_or_else(String::new, |key| key.name()),
                    paint.of(Meaning::Key),
                ),
                (action.id.to_owned(), paint.of(Meaning::Strong)),
                (action.sentence.to_owned(), plain),
            ]
        });
        let rows = self.place.rows;
        for word in self.field.text().split_whitespace() {
            filter::mark(frame, rows, word, false, paint);
        }
    }
}
