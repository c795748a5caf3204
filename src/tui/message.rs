//! What a key, a click or a pasted text says to a screen.

/// A message to the current screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Message {
    /// A digit: an answer, an item, an entry of the list.
    Pick(char),
    /// A character of a text.
    Type(char),
    /// The last character goes.
    Erase,
    /// Records what is typed, or opens what is marked.
    Enter,
    /// Opens the numbered list, or goes on with what is there.
    Next,
    /// Opens the numbered list, or closes what is open.
    Close,
    /// Up.
    Up,
    /// Down.
    Down,
    /// A page up.
    PageUp,
    /// A page down.
    PageDown,
    /// Leaves the program; the job is kept.
    Leave,
}
