//! Roles of text and how each looks: dark, high-contrast light, or without colour.
//!
//! Only the sixteen colours every terminal has. Colour never carries meaning alone: a signal word stands in words and
//! reversed, what is live has a mark before it. Signal colours by ANSI Z535.1: danger red, warning orange (here yellow),
//! caution yellow, notice blue.

use ratatui::style::{Color, Modifier, Style};

/// Which palette.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Palette {
    /// Light on dark.
    #[default]
    Dark,
    /// Dark on light, for the sun.
    Light,
    /// No colour at all.
    None,
}

/// Which characters the console can show.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Letters {
    /// All.
    #[default]
    All,
    /// ASCII only.
    Ascii,
}

/// What a piece of text is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    Plain,
    Strong,
    Live,
    Field,
    Rule,
    Danger,
    Warning,
    Caution,
    Notice,
}

impl Role {
    /// The role of a signal word, in either language.
    pub(super) fn of_signal(word: &str) -> Self {
        match word {
            "DANGER" | "PELIGRO" => Self::Danger,
            "WARNING" | "ADVERTENCIA" => Self::Warning,
            "CAUTION" | "PRECAUCIÓN" => Self::Caution,
            _ => Self::Notice,
        }
    }
}

impl Palette {
    pub(super) fn style(self, role: Role) -> Style {
        let plain = match self {
            Self::Dark => Style::new().fg(Color::White).bg(Color::Black),
            Self::Light => Style::new().fg(Color::Black).bg(Color::White),
            Self::None => Style::new(),
        };
        let turned = plain.add_modifier(Modifier::REVERSED);
        match role {
            Role::Plain | Role::Rule => plain,
            Role::Strong => plain.add_modifier(Modifier::BOLD),
            Role::Live => turned.add_modifier(Modifier::BOLD),
            Role::Field => plain.add_modifier(Modifier::UNDERLINED | Modifier::BOLD),
            _ if self == Self::None => turned.add_modifier(Modifier::BOLD),
            Role::Danger => signal(Color::White, Color::Red),
            Role::Warning | Role::Caution => signal(Color::Black, Color::Yellow),
            Role::Notice => signal(Color::White, Color::Blue),
        }
    }
}

fn signal(front: Color, back: Color) -> Style {
    Style::new().fg(front).bg(back).add_modifier(Modifier::BOLD)
}
