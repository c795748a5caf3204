//! A place in a file: by bytes, or by a symbolic route that only the [`Locator`] turns into bytes.

use std::collections::HashMap;
use std::ops::Range;

use memchr::memchr_iter;

use super::node::{Node, Value};
use super::problem::Problems;
use super::source::{FileId, Files};
use super::yaml::{Limits, parse_yaml};

/// A range of bytes, end excluded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash, PartialOrd, Ord)]
pub struct Span {
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

/// One leg of a route into a YAML file.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Leg {
    /// The value under this key.
    Key(String),
    /// The item with this number, from 0.
    Item(usize),
}

/// Which side of the last entry of a route is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash, PartialOrd, Ord)]
pub enum Side {
    /// The value.
    #[default]
    Value,
    /// The key that leads to it.
    Key,
}

/// Where a problem stands.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Place {
    /// Bytes of a file, known to a loader.
    Bytes(FileId, Span),
    /// A route into a file, as checks name it: `steps`, `bar-volts`, `bands`, 2, `go`.
    Route(FileId, Vec<Leg>, Side),
}

impl Place {
    /// The whole of a file.
    #[must_use]
    pub const fn file(file: FileId) -> Self {
        Self::Bytes(file, Span { start: 0, end: 0 })
    }

    /// The file it lies in.
    #[must_use]
    pub const fn file_id(&self) -> FileId {
        match self {
            Self::Bytes(file, _) | Self::Route(file, ..) => *file,
        }
    }

    /// This place, one key further in. A place in bytes stays where it is.
    #[must_use]
    pub fn key(&self, key: &str) -> Self {
        self.further(Leg::Key(key.to_owned()))
    }

    /// This place, one item further in. A place in bytes stays where it is.
    #[must_use]
    pub fn item(&self, item: usize) -> Self {
        self.further(Leg::Item(item))
    }

    /// The key of this place instead of its value.
    #[must_use]
    pub fn as_key(&self) -> Self {
        match self {
            Self::Route(file, legs, _) => Self::Route(*file, legs.clone(), Side::Key),
            bytes @ Self::Bytes(..) => bytes.clone(),
        }
    }

    fn further(&self, leg: Leg) -> Self {
        match self {
            Self::Route(file, legs, _) => {
                let mut legs = legs.clone();
                legs.push(leg);
                Self::Route(*file, legs, Side::Value)
            }
            bytes @ Self::Bytes(..) => bytes.clone(),
        }
    }
}

/// Line and column for people, both from 1; columns count characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Position {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
}

/// Turns places into bytes, and bytes into lines and columns.
///
/// Each file is taken apart at most once, and only when a route into it is asked for.
pub struct Locator<'f> {
    files: &'f Files,
    roots: HashMap<FileId, Option<Node<'f>>>,
    /// For each file the byte that was asked for last, and its line.
    last: HashMap<FileId, (usize, usize)>,
}

impl<'f> Locator<'f> {
    /// A locator over these files.
    #[must_use]
    pub fn new(files: &'f Files) -> Self {
        Self { files, roots: HashMap::new(), last: HashMap::new() }
    }

    /// The bytes of a place. A route that leads nowhere ends at the last leg that exists.
    pub fn span(&mut self, place: &Place) -> Span {
        match place {
            Place::Bytes(_, span) => *span,
            Place::Route(file, legs, side) => {
                let files = self.files;
                let root = self.roots.entry(*file).or_insert_with(|| {
                    let text: &'f str = &files.get(*file)?.text;
                    parse_yaml(text, *file, Limits::default(), &mut Problems::default())
                });
                root.as_ref().map_or_else(Span::default, |root| follow(root, legs, *side))
            }
        }
    }

    /// Line and column of a byte.
    pub fn position(&mut self, file: FileId, byte: u32) -> Position {
        let Some(source) = self.files.get(file) else { return Position { line: 1, column: 1 } };
        let text: &str = &source.text;
        let until = floor_char(text, byte as usize);
        // Places are mostly asked for in their order: from one to the next is less than from the beginning.
        let last = self.last.entry(file).or_insert((0, 1));
        let between = line_ends(text, last.0.min(until)..last.0.max(until));
        let line = if until < last.0 { last.1 - between } else { last.1 + between };
        *last = (until, line);
        let start = text[..until].rfind('\n').map_or(0, |end| end + 1);
        Position { line, column: text[start..until].chars().count() + 1 }
    }
}

/// The nearest character boundary at or before this byte.
pub(super) fn floor_char(text: &str, byte: usize) -> usize {
    let mut at = byte.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// How many lines end within these bytes.
fn line_ends(text: &str, bytes: Range<usize>) -> usize {
    memchr_iter(b'\n', &text.as_bytes()[bytes]).count()
}

fn follow(root: &Node<'_>, legs: &[Leg], side: Side) -> Span {
    let mut node = root;
    let mut span = root.span;
    for (nth, leg) in legs.iter().enumerate() {
        let last = nth + 1 == legs.len();
        let next = match (&node.value, leg) {
            (Value::Map(entries), Leg::Key(key)) => entries.iter().find(|e| e.key == *key).map(|e| {
                let shown = if last && side == Side::Key { e.key_span } else { e.value.span };
                (&e.value, shown)
            }),
            (Value::List(items), Leg::Item(item)) => items.get(*item).map(|n| (n, n.span)),
            _ => None,
        };
        let Some((found, shown)) = next else { return span };
        node = found;
        span = shown;
    }
    span
}
