//! The keys of the author screen in one table: it feeds dispatch, footer, numbered list and help.

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

/// Where a key means something of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AuthorPlace {
    /// The text.
    Text,
    /// A list with a cursor: problems, steps.
    List,
    /// The numbered list, or a question with numbered answers.
    Numbers,
    /// Help.
    Leaf,
}

/// What a key says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AuthorMessage {
    /// Save.
    Save,
    /// Undo.
    Undo,
    /// Redo.
    Redo,
    /// To the next problem.
    NextProblem,
    /// To the problem before.
    ProblemBefore,
    /// All problems.
    Problems,
    /// All steps.
    Steps,
    /// To the step that is named under the cursor.
    Follow,
    /// Back to where the last jump began.
    Back,
    /// The numbered list.
    Numbers,
    /// Help.
    Help,
    /// Leave.
    Leave,
    /// Close what is open.
    Close,
    /// Up in a list.
    Up,
    /// Down in a list.
    Down,
    /// A page up.
    PageUp,
    /// A page down.
    PageDown,
    /// Go to what is marked in a list.
    Enter,
    /// That number.
    Pick(char),
    /// A letter that filters a list.
    Type(char),
    /// Takes a letter back.
    Erase,
    /// Two spaces.
    Indent,
}

use AuthorMessage as Say;
use AuthorPlace::{Leaf, List, Numbers, Text};

/// A key, or a class of keys.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AuthorPress {
    /// Ctrl and a letter.
    Ctrl(char),
    /// One key.
    Key(KeyCode),
    /// The number that a line begins with.
    Number,
    /// Any character.
    Letter,
}

/// A row of the table.
#[derive(Debug, Clone, Copy)]
pub struct AuthorKey {
    /// Where it holds.
    pub places: &'static [AuthorPlace],
    /// The key.
    pub press: AuthorPress,
    /// What it says, given the character.
    pub message: fn(char) -> AuthorMessage,
    /// What it does.
    pub label: &'static str,
    /// It stands in the footer.
    pub foot: bool,
    /// Its number in the numbered list.
    pub number: Option<char>,
}

type Says = fn(char) -> AuthorMessage;

const fn row(
    places: &'static [AuthorPlace],
    press: AuthorPress,
    message: Says,
    label: &'static str,
) -> AuthorKey {
    AuthorKey { places, press, message, label, foot: false, number: None }
}

impl AuthorKey {
    const fn foot(self) -> Self {
        Self { foot: true, ..self }
    }

    const fn numbered(self, number: char) -> Self {
        Self { number: Some(number), ..self }
    }
}

const ESC: AuthorPress = AuthorPress::Key(KeyCode::Esc);

/// The table.
pub static AUTHOR_KEYS: &[AuthorKey] = &[
    row(&[Text], ESC, |_| Say::Numbers, "list").foot(),
    row(&[Text], AuthorPress::Ctrl('s'), |_| Say::Save, "save").foot().numbered('1'),
    row(&[Text], AuthorPress::Ctrl('n'), |_| Say::NextProblem, "next problem").foot().numbered('2'),
    row(&[Text], AuthorPress::Ctrl('p'), |_| Say::ProblemBefore, "problem before").numbered('3'),
    row(&[Text], AuthorPress::Ctrl('l'), |_| Say::Problems, "all problems").numbered('4'),
    row(&[Text], AuthorPress::Ctrl('t'), |_| Say::Steps, "steps").foot().numbered('5'),
    row(&[Text], AuthorPress::Ctrl('f'), |_| Say::Follow, "to the step named here").numbered('6'),
    row(&[Text], AuthorPress::Ctrl('b'), |_| Say::Back, "back from a jump").numbered('7'),
    row(&[Text], AuthorPress::Ctrl('z'), |_| Say::Undo, "undo").numbered('8'),
    row(&[Text], AuthorPress::Ctrl('y'), |_| Say::Redo, "redo").numbered('9'),
    row(&[Text], AuthorPress::Ctrl('k'), |_| Say::Help, "keys").numbered('k'),
    row(&[Text], AuthorPress::Ctrl('q'), |_| Say::Leave, "leave").foot().numbered('0'),
    row(&[Text, List, Numbers, Leaf], AuthorPress::Ctrl('c'), |_| Say::Leave, "leave"),
    row(&[Text], AuthorPress::Key(KeyCode::Tab), |_| Say::Indent, "two spaces"),
    row(&[List], AuthorPress::Key(KeyCode::Enter), |_| Say::Enter, "go there").foot(),
    row(&[List, Leaf], AuthorPress::Key(KeyCode::Up), |_| Say::Up, "up"),
    row(&[List, Leaf], AuthorPress::Key(KeyCode::Down), |_| Say::Down, "down"),
    row(&[List, Leaf], AuthorPress::Key(KeyCode::PageUp), |_| Say::PageUp, "a page up"),
    row(&[List, Leaf], AuthorPress::Key(KeyCode::PageDown), |_| Say::PageDown, "a page down"),
    row(&[List], AuthorPress::Letter, Say::Type, "filter").foot(),
    row(&[List], AuthorPress::Key(KeyCode::Backspace), |_| Say::Erase, "takes a letter back"),
    row(&[Numbers], AuthorPress::Number, Say::Pick, "that line").foot(),
    row(&[List, Numbers, Leaf], ESC, |_| Say::Close, "back to the text").foot(),
];

impl AuthorPress {
    fn takes(self, key: &KeyEvent) -> Option<char> {
        let ctrl = key.modifiers.contains(KeyModifiers::CONTROL);
        let alt = key.modifiers.contains(KeyModifiers::ALT);
        match (self, key.code) {
            (Self::Ctrl(wanted), KeyCode::Char(c)) if ctrl && !alt && c.eq_ignore_ascii_case(&wanted) => {
                Some(c)
            }
            (Self::Number | Self::Letter, KeyCode::Char(c)) if !ctrl && !alt => Some(c),
            (Self::Key(code), pressed) if code == pressed => Some(' '),
            _ => None,
        }
    }

    /// The key's name.
    #[must_use]
    pub fn name(self) -> String {
        match self {
            Self::Ctrl(c) => format!("Ctrl-{}", c.to_ascii_uppercase()),
            Self::Number => "1-9".to_owned(),
            Self::Letter => "letters".to_owned(),
            Self::Key(KeyCode::PageUp) => "PgUp".to_owned(),
            Self::Key(KeyCode::PageDown) => "PgDn".to_owned(),
            Self::Key(code) => format!("{code:?}"),
        }
    }
}

/// What a key says at a place; releases say nothing.
pub(super) fn message_of(place: AuthorPlace, key: &KeyEvent) -> Option<AuthorMessage> {
    if key.kind == KeyEventKind::Release {
        return None;
    }
    author_keys_at(place).find_map(|row| row.press.takes(key).map(row.message))
}

/// The rows of a place.
pub fn author_keys_at(place: AuthorPlace) -> impl Iterator<Item = &'static AuthorKey> {
    AUTHOR_KEYS.iter().filter(move |row| row.places.contains(&place))
}
