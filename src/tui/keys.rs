//! One table of places, key, message and label: it feeds dispatch, footer and help.

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

use super::message::Message;
use super::words::{MORE, say};
use crate::diag::Lang;
use crate::safety::Words;

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
    /// Practice: one typed line.
    Practice,
    /// A review, event by event.
    Review,
    /// The circuit.
    Circuit,
    /// What is only looked at: help, report, archive.
    Leaf,
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
    pub places: &'static [Place],
    /// The key.
    pub press: Press,
    /// What it says, given the character.
    pub message: fn(char) -> Message,
    /// What it does.
    pub label: Words,
    /// It stands in the footer; the others stand in the help.
    pub foot: bool,
}

type Says = fn(char) -> Message;

/// A row of the footer.
const fn foot(places: &'static [Place], press: Press, message: Says, label: Words) -> KeyRow {
    KeyRow { places, press, message, label, foot: true }
}

/// A row of the help alone.
const fn help(places: &'static [Place], press: Press, message: Says, label: Words) -> KeyRow {
    KeyRow { places, press, message, label, foot: false }
}

const ENTER: Press = Press::Key(KeyCode::Enter);
const TAB: Press = Press::Key(KeyCode::Tab);
const ESC: Press = Press::Key(KeyCode::Esc);
const BACKSPACE: Press = Press::Key(KeyCode::Backspace);
const UP: Press = Press::Key(KeyCode::Up);
const DOWN: Press = Press::Key(KeyCode::Down);

/// The screens of a walk that the numbered list lies behind.
const WALK: &[Place] = &[Place::Choose, Place::Reading, Place::Act, Place::Gate, Place::GateText];
/// Where a line is typed.
const TYPED: &[Place] =
    &[Place::Start, Place::Form, Place::Reading, Place::GateText, Place::Note, Place::Practice];

const CLOSE: Words = say("close", "cerrar");
const GIVE_UP: Words = say("give up", "dejarlo");
const GOES_UP: Words = say("up", "sube");
const GOES_DOWN: Words = say("down", "baja");
const ABOVE: Words = say("shows what is above", "muestra lo de arriba");
const BELOW: Words = say("shows what is below", "muestra lo de abajo");
const AS_TAB: Words = say("as Tab", "como Tab");
const TEXT: Words = say("text", "texto");
const RECORD: Words = say("record", "registrar");

/// The table.
pub static KEYS: &[KeyRow] = &[
    foot(&[Place::Start], Press::Digit, Message::Pick, say("opens that line", "abre esa línea")),
    foot(&[Place::Start], ENTER, |_| Message::Enter, say("open", "abrir")),
    foot(&[Place::Start], DOWN, |_| Message::Down, GOES_DOWN),
    help(&[Place::Start], UP, |_| Message::Up, GOES_UP),
    foot(&[Place::Start], TAB, |_| Message::Next, say("practise, help, leave", "practicar, ayuda, salir")),
    help(&[Place::Start], ESC, |_| Message::Close, AS_TAB),
    foot(&[Place::Start], Press::Text, Message::Type, say("filter the trees", "filtran los árboles")),
    foot(&[Place::Form], ENTER, |_| Message::Enter, say("next line, or done", "línea siguiente, o listo")),
    foot(&[Place::Form], TAB, |_| Message::Next, say("go on with what is there", "seguir con lo que hay")),
    foot(&[Place::Form], ESC, |_| Message::Close, GIVE_UP),
    help(&[Place::Form, Place::Note], UP, |_| Message::Up, GOES_UP),
    help(&[Place::Form, Place::Note], DOWN, |_| Message::Down, GOES_DOWN),
    help(&[Place::Form, Place::Note], Press::Text, Message::Type, TEXT),
    foot(&[Place::Choose], Press::Digit, Message::Pick, say("answer", "respuesta")),
    foot(&[Place::Act], Press::Digit, Message::Pick, say("does that line", "hace esa línea")),
    foot(&[Place::Gate], Press::Digit, Message::Pick, say("confirms item >", "confirma el punto >")),
    foot(&[Place::Reading, Place::GateText], ENTER, |_| Message::Enter, RECORD),
    foot(WALK, TAB, |_| Message::Next, MORE),
    help(WALK, ESC, |_| Message::Close, AS_TAB),
    help(WALK, UP, |_| Message::Up, ABOVE),
    help(WALK, DOWN, |_| Message::Down, BELOW),
    help(
        &[Place::Reading],
        Press::Text,
        Message::Type,
        say(
            "the reading: 12.4, 4k7, 30 mV, OL, 0.1..4.8, jumps",
            "la lectura: 12.4, 4k7, 30 mV, OL, 0.1..4.8, salta",
        ),
    ),
    help(
        &[Place::GateText],
        Press::Text,
        Message::Type,
        say("what the meter shows, or initials", "lo que marca el medidor, o iniciales"),
    ),
    help(TYPED, BACKSPACE, |_| Message::Erase, say("takes back a letter", "borra una letra")),
    foot(&[Place::List], Press::Digit, Message::Pick, say("that line", "esa línea")),
    foot(&[Place::List], ESC, |_| Message::Close, CLOSE),
    help(&[Place::List], TAB, |_| Message::Close, CLOSE),
    help(&[Place::List], UP, |_| Message::Up, ABOVE),
    help(&[Place::List], DOWN, |_| Message::Down, BELOW),
    help(
        &[Place::List],
        Press::Text,
        Message::Pick,
        say("q where that line begins with q", "q donde esa línea empieza por q"),
    ),
    foot(&[Place::Note], TAB, |_| Message::Next, say("record the note", "registrar la nota")),
    foot(&[Place::Note], ESC, |_| Message::Close, GIVE_UP),
    foot(&[Place::Note], ENTER, |_| Message::Enter, say("new line", "línea nueva")),
    foot(
        &[Place::Practice],
        ENTER,
        |_| Message::Enter,
        say("ask, look, read, or what is typed", "preguntar, mirar, leer, o lo escrito"),
    ),
    help(&[Place::Practice], Press::Text, Message::Type, TEXT),
    foot(&[Place::Practice], ESC, |_| Message::Close, GIVE_UP),
    help(&[Place::Practice], UP, |_| Message::Up, ABOVE),
    help(&[Place::Practice], DOWN, |_| Message::Down, BELOW),
    foot(&[Place::Review], DOWN, |_| Message::Down, say("forward", "adelante")),
    foot(&[Place::Review], UP, |_| Message::Up, say("back", "atrás")),
    foot(
        &[Place::Review],
        TAB,
        |_| Message::Next,
        say("gates, conditions, the other job", "controles, condiciones, el otro trabajo"),
    ),
    foot(&[Place::Review], ESC, |_| Message::Close, CLOSE),
    foot(&[Place::Circuit], DOWN, |_| Message::Down, say("along the line", "por la línea")),
    help(&[Place::Circuit], UP, |_| Message::Up, say("back along the line", "atrás por la línea")),
    foot(&[Place::Circuit], ENTER, |_| Message::Enter, say("where it goes on", "donde sigue")),
    foot(&[Place::Circuit], TAB, |_| Message::Next, say("next line", "línea siguiente")),
    foot(&[Place::Circuit], ESC, |_| Message::Close, CLOSE),
    foot(&[Place::Leaf], ESC, |_| Message::Close, CLOSE),
    help(&[Place::Leaf], TAB, |_| Message::Close, CLOSE),
    foot(&[Place::Leaf], UP, |_| Message::Up, GOES_UP),
    foot(&[Place::Leaf], DOWN, |_| Message::Down, GOES_DOWN),
];

/// A key that means the same everywhere; these stand in the help.
#[derive(Debug, Clone, Copy)]
pub struct EverywhereKey {
    /// The key.
    pub press: Press,
    /// What it says.
    pub message: Message,
    /// What it does.
    pub label: Words,
}

/// Keys that mean the same everywhere.
pub static EVERYWHERE: [EverywhereKey; 3] = [
    EverywhereKey {
        press: Press::Key(KeyCode::PageUp),
        message: Message::PageUp,
        label: say("a page up", "una página arriba"),
    },
    EverywhereKey {
        press: Press::Key(KeyCode::PageDown),
        message: Message::PageDown,
        label: say("a page down", "una página abajo"),
    },
    EverywhereKey {
        press: Press::Break,
        message: Message::Leave,
        label: say("leaves the program; the job is kept", "sale del programa; el trabajo se guarda"),
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
    pub fn name(self, lang: &Lang) -> &'static str {
        let words = match self {
            Self::Digit => say("1-9", "1-9"),
            Self::Text => say("letters", "letras"),
            Self::Break => say("Ctrl-C", "Ctrl-C"),
            Self::Key(KeyCode::Enter) => say("Enter", "Enter"),
            Self::Key(KeyCode::Tab) => say("Tab", "Tab"),
            Self::Key(KeyCode::Esc) => say("Esc", "Esc"),
            Self::Key(KeyCode::Backspace) => say("Backspace", "Retroceso"),
            Self::Key(KeyCode::Up) => say("Up", "Arriba"),
            Self::Key(KeyCode::Down) => say("Down", "Abajo"),
            Self::Key(KeyCode::PageUp) => say("PgUp", "RePág"),
            Self::Key(KeyCode::PageDown) => say("PgDn", "AvPág"),
            Self::Key(_) => say("", ""),
        };
        words.in_lang(lang)
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
    KEYS.iter().filter(move |row| row.places.contains(&place))
}
