//! One table of place, key, message and label: it feeds dispatch, footer and help.

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

use super::message::Message;

/// Where a key means something of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// The start screen.
    Start,
    /// Lines to fill in: the job, an own reading, a reason.
    Form,
    /// A question or a look.
    Choose,
    /// A reading.
    Reading,
    /// Something to do, a finding, an end, a wait.
    Act,
    /// A gate.
    Gate,
    /// A typed reading or initials at a gate.
    GateText,
    /// The numbered list, or a question with numbered answers.
    List,
    /// A note.
    Note,
    /// The help.
    Help,
    /// The report.
    Report,
}

/// A key, or a class of keys.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Press {
    /// Any digit.
    Digit,
    /// Any character.
    Text,
    /// One key.
    Key(KeyCode),
    /// Ctrl-C.
    Break,
}

/// A row of the table.
#[derive(Debug, Clone, Copy)]
pub struct KeyRow {
    /// Where it holds.
    pub place: Place,
    /// The key.
    pub press: Press,
    /// What it says, given the character.
    pub message: fn(char) -> Message,
    /// What it does, in words.
    pub label: &'static str,
    /// It stands in the footer; the others stand in the help.
    pub foot: bool,
}

const fn row(
    place: Place,
    press: Press,
    message: fn(char) -> Message,
    label: &'static str,
    foot: bool,
) -> KeyRow {
    KeyRow { place, press, message, label, foot }
}

const ENTER: Press = Press::Key(KeyCode::Enter);
const TAB: Press = Press::Key(KeyCode::Tab);
const ESC: Press = Press::Key(KeyCode::Esc);
const BACKSPACE: Press = Press::Key(KeyCode::Backspace);
const UP: Press = Press::Key(KeyCode::Up);
const DOWN: Press = Press::Key(KeyCode::Down);

/// The table.
pub static KEYS: &[KeyRow] = &[
    row(Place::Start, Press::Digit, Message::Pick, "opens that line", true),
    row(Place::Start, ENTER, |_| Message::Enter, "open", true),
    row(Place::Start, UP, |_| Message::Up, "up", false),
    row(Place::Start, DOWN, |_| Message::Down, "down", true),
    row(Place::Start, TAB, |_| Message::Next, "help, light or dark, leave", true),
    row(Place::Start, ESC, |_| Message::Close, "as Tab", false),
    row(Place::Start, BACKSPACE, |_| Message::Erase, "takes back a letter of the filter", false),
    row(Place::Start, Press::Text, Message::Type, "letters filter the trees", true),
    row(Place::Form, ENTER, |_| Message::Enter, "next line", true),
    row(Place::Form, TAB, |_| Message::Next, "go on with what is there", true),
    row(Place::Form, ESC, |_| Message::Close, "give up", true),
    row(Place::Form, UP, |_| Message::Up, "up", false),
    row(Place::Form, DOWN, |_| Message::Down, "down", false),
    row(Place::Form, BACKSPACE, |_| Message::Erase, "takes back a letter", false),
    row(Place::Form, Press::Text, Message::Type, "text", false),
    row(Place::Choose, Press::Digit, Message::Pick, "answer", true),
    row(Place::Choose, TAB, |_| Message::Next, "more", true),
    row(Place::Choose, ESC, |_| Message::Close, "as Tab", false),
    row(Place::Choose, UP, |_| Message::Up, "shows what is above", false),
    row(Place::Choose, DOWN, |_| Message::Down, "shows what is below", false),
    row(Place::Reading, ENTER, |_| Message::Enter, "record", true),
    row(Place::Reading, TAB, |_| Message::Next, "more", true),
    row(Place::Reading, ESC, |_| Message::Close, "as Tab", false),
    row(Place::Reading, BACKSPACE, |_| Message::Erase, "takes back a letter", false),
    row(Place::Reading, UP, |_| Message::Up, "shows what is above", false),
    row(Place::Reading, DOWN, |_| Message::Down, "shows what is below", false),
    row(
        Place::Reading,
        Press::Text,
        Message::Type,
        "the reading: 12.4, 4k7, 30 mV, OL, 0.1..4.8, jumps",
        false,
    ),
    row(Place::Act, Press::Digit, Message::Pick, "does that line", true),
    row(Place::Act, TAB, |_| Message::Next, "more", true),
    row(Place::Act, ESC, |_| Message::Close, "as Tab", false),
    row(Place::Act, UP, |_| Message::Up, "shows what is above", false),
    row(Place::Act, DOWN, |_| Message::Down, "shows what is below", false),
    row(Place::Gate, Press::Digit, Message::Pick, "confirms item >", true),
    row(Place::Gate, TAB, |_| Message::Next, "more", true),
    row(Place::Gate, ESC, |_| Message::Close, "as Tab", false),
    row(Place::Gate, UP, |_| Message::Up, "shows what is above", false),
    row(Place::Gate, DOWN, |_| Message::Down, "shows what is below", false),
    row(Place::GateText, ENTER, |_| Message::Enter, "record", true),
    row(Place::GateText, TAB, |_| Message::Next, "more", true),
    row(Place::GateText, ESC, |_| Message::Close, "as Tab", false),
    row(Place::GateText, BACKSPACE, |_| Message::Erase, "takes back a letter", false),
    row(Place::GateText, UP, |_| Message::Up, "shows what is above", false),
    row(Place::GateText, DOWN, |_| Message::Down, "shows what is below", false),
    row(Place::GateText, Press::Text, Message::Type, "what the meter shows, or initials", false),
    row(Place::List, Press::Digit, Message::Pick, "that line", true),
    row(Place::List, ESC, |_| Message::Close, "close", true),
    row(Place::List, TAB, |_| Message::Close, "close", false),
    row(Place::List, UP, |_| Message::Up, "shows what is above", false),
    row(Place::List, DOWN, |_| Message::Down, "shows what is below", false),
    row(Place::List, Press::Text, Message::Pick, "q where that line begins with q", false),
    row(Place::Note, TAB, |_| Message::Next, "record the note", true),
    row(Place::Note, ESC, |_| Message::Close, "give up", true),
    row(Place::Note, ENTER, |_| Message::Enter, "new line", true),
    row(Place::Note, BACKSPACE, |_| Message::Erase, "takes back a letter", false),
    row(Place::Note, UP, |_| Message::Up, "up", false),
    row(Place::Note, DOWN, |_| Message::Down, "down", false),
    row(Place::Note, Press::Text, Message::Type, "text", false),
    row(Place::Help, ESC, |_| Message::Close, "close", true),
    row(Place::Help, TAB, |_| Message::Close, "close", false),
    row(Place::Help, UP, |_| Message::Up, "up", true),
    row(Place::Help, DOWN, |_| Message::Down, "down", true),
    row(Place::Report, ESC, |_| Message::Close, "close", true),
    row(Place::Report, TAB, |_| Message::Close, "close", false),
    row(Place::Report, UP, |_| Message::Up, "up", true),
    row(Place::Report, DOWN, |_| Message::Down, "down", true),
];

/// A key that means the same everywhere; these stand in the help.
#[derive(Debug, Clone, Copy)]
pub struct EverywhereKey {
    /// The key.
    pub press: Press,
    /// What it says.
    pub message: Message,
    /// What it does, in words.
    pub label: &'static str,
}

/// Keys that mean the same everywhere.
pub static EVERYWHERE: [EverywhereKey; 3] = [
    EverywhereKey { press: Press::Key(KeyCode::PageUp), message: Message::PageUp, label: "a page up" },
    EverywhereKey { press: Press::Key(KeyCode::PageDown), message: Message::PageDown, label: "a page down" },
    EverywhereKey {
        press: Press::Break,
        message: Message::Leave,
        label: "leaves the program; the job is kept",
    },
];

impl Press {
    /// The character with which it is meant, if this is the key.
    fn takes(self, key: &KeyEvent) -> Option<char> {
        let held = key.modifiers.intersects(KeyModifiers::CONTROL | KeyModifiers::ALT);
        match (self, key.code) {
            (Self::Break, KeyCode::Char('c')) if key.modifiers.contains(KeyModifiers::CONTROL) => Some('c'),
            (Self::Digit, KeyCode::Char(c)) if c.is_ascii_digit() && !held => Some(c),
            (Self::Text, KeyCode::Char(c)) if !held => Some(c),
            (Self::Key(code), pressed) if code == pressed => Some(' '),
            _ => None,
        }
    }

    /// The key's name.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Digit => "1-9",
            Self::Text => "letters",
            Self::Break => "Ctrl-C",
            Self::Key(KeyCode::Enter) => "Enter",
            Self::Key(KeyCode::Tab) => "Tab",
            Self::Key(KeyCode::Esc) => "Esc",
            Self::Key(KeyCode::Backspace) => "Backspace",
            Self::Key(KeyCode::Up) => "Up",
            Self::Key(KeyCode::Down) => "Down",
            Self::Key(KeyCode::PageUp) => "PgUp",
            Self::Key(KeyCode::PageDown) => "PgDn",
            Self::Key(_) => "",
        }
    }
}

/// What a key says at a place; releases and repeats say nothing.
pub(super) fn message_of(place: Place, key: &KeyEvent) -> Option<Message> {
    if key.kind != KeyEventKind::Press {
        return None;
    }
    let own = keys_at(place).find_map(|row| row.press.takes(key).map(row.message));
    own.or_else(|| EVERYWHERE.iter().find(|row| row.press.takes(key).is_some()).map(|row| row.message))
}

/// The rows of a place.
pub fn keys_at(place: Place) -> impl Iterator<Item = &'static KeyRow> {
    KEYS.iter().filter(move |row| row.place == place)
}
