//! Meanings to styles. Colour never carries a meaning alone: each standing also has its word and its sign.

use ratatui::style::{Color, Modifier, Style};

use crate::book::Standing;

/// What a piece of the screen means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meaning {
    /// Text.
    Plain,
    /// The thing to read first.
    Strong,
    /// A heading.
    Heading,
    /// A label before a value.
    Label,
    /// A key to press.
    Key,
    /// The bar at the top.
    Bar,
    /// The selected line.
    Selected,
    /// A field being typed in.
    Typing,
    /// Something forbids, or is wrong.
    Forbids,
    /// Something warns, or looks odd.
    Warns,
    /// Nothing stands against it.
    InOrder,
    /// Crossed out, and still readable.
    Struck,
    /// What the search found.
    Found,
}

/// Which colours to use.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Palette {
    /// Only what reads on any background.
    Either,
    /// A dark terminal.
    Dark,
    /// A light terminal.
    Light,
    /// No colour at all.
    None,
}

/// Meanings to styles.
#[derive(Clone, Copy, Debug)]
pub struct Theme {
    palette: Palette,
}

impl Theme {
    /// A theme for a palette.
    pub const fn new(palette: Palette) -> Self {
        Self { palette }
    }

    /// From what the caller knows of the terminal.
    pub const fn choose(colour: bool, light: Option<bool>) -> Self {
        Self::new(match (colour, light) {
            (false, _) => Palette::None,
            (true, Some(true)) => Palette::Light,
            (true, Some(false)) => Palette::Dark,
            (true, None) => Palette::Either,
        })
    }

    /// The style of a meaning. Backgrounds are always the terminal's own.
    pub const fn of(self, meaning: Meaning) -> Style {
        let style = Style::new();
        match meaning {
            Meaning::Plain | Meaning::Label => style,
            Meaning::Strong | Meaning::Heading | Meaning::Key => style.add_modifier(Modifier::BOLD),
            Meaning::Bar => style.add_modifier(Modifier::REVERSED).add_modifier(Modifier::BOLD),
            Meaning::Selected => style.add_modifier(Modifier::REVERSED),
            Meaning::Typing => style.add_modifier(Modifier::UNDERLINED),
            Meaning::Found => style.add_modifier(Modifier::BOLD).add_modifier(Modifier::UNDERLINED),
            Meaning::Struck => style.add_modifier(Modifier::CROSSED_OUT),
            Meaning::Forbids => {
                self.colour(style, Color::LightRed, Color::Red, Color::Red).add_modifier(Modifier::BOLD)
            }
            Meaning::Warns => self
                .colour(style, Color::LightYellow, Color::Magenta, Color::Magenta)
                .add_modifier(Modifier::BOLD),
            // Green is unreadable on a light terminal, so it is used only where the terminal is known to be dark.
            Meaning::InOrder => match self.palette {
                Palette::Dark => style.fg(Color::LightGreen),
                _ => style,
            },
        }
    }

    const fn colour(self, style: Style, dark: Color, light: Color, either: Color) -> Style {
        match self.palette {
            Palette::None => style,
            Palette::Dark => style.fg(dark),
            Palette::Light => style.fg(light),
            Palette::Either => style.fg(either),
        }
    }

    /// The style of a standing.
    pub const fn standing(self, standing: Standing) -> Style {
        self.of(match standing {
            Standing::Retired | Standing::Hold | Standing::Overdue | Standing::Unproved => Meaning::Forbids,
            Standing::Restricted | Standing::Watch => Meaning::Warns,
            Standing::InService => Meaning::InOrder,
        })
    }
}
