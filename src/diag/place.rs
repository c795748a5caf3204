//! A place in a file: by bytes, or by a symbolic route that only the [`Locator`] turns into bytes.

use std::borrow::Cow;
use std::collections::{BTreeMap, HashMap};
use std::ops::Range;

use memchr::memchr_iter;

use super::source::{FileId, Files};
use super::yaml::seek;

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
    Key(Cow<'static, str>),
    /// The same, where it is known at which bytes the entry stands, key and value: looked for there alone.
    Entry(Cow<'static, str>, Span),
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
        self.further(Leg::Key(Cow::Owned(key.to_owned())))
    }

    /// This place, one key further in, whose entry stands at these bytes, key and value.
    #[must_use]
    pub fn entry(&self, key: &str, at: Span) -> Self {
        self.further(Leg::Entry(Cow::Owned(key.to_owned()), at))
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
                let mut further = Vec::with_capacity(legs.len() + 1);
                further.extend_from_slice(legs);
                further.push(leg);
                Self::Route(*file, further, Side::Value)
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
pub struct Locator<'f> {
    files: &'f Files,
    found: HashMap<Place, Span>,
    /// For each file the byte that was asked for last, and its line.
    last: HashMap<FileId, (usize, usize)>,
}

impl<'f> Locator<'f> {
    /// A locator over these files.
    #[must_use]
    pub fn new(files: &'f Files) -> Self {
        Self { files, found: HashMap::new(), last: HashMap::new() }
    }

    /// The bytes of a place. A route that leads nowhere ends at the last leg that exists.
    pub fn span(&mut self, place: &Place) -> Span {
        if let Place::Bytes(_, span) = place {
            return *span;
        }
        if !self.found.contains_key(place) {
            self.seek([place]);
        }
        self.found.get(place).copied().unwrap_or_default()
    }

    /// Looks many places up at once: each part of a file in which some of them lie is gone through once.
    pub fn seek<'p>(&mut self, places: impl IntoIterator<Item = &'p Place>) {
        let mut by_part: BTreeMap<(FileId, Option<Span>), Vec<&Place>> = BTreeMap::new();
        for place in places {
            if let Place::Route(file, legs, _) = place {
                by_part.entry((*file, last_entry(legs).map(|(_, at)| at))).or_default().push(place);
            }
        }
        for ((file, part), places) in by_part {
            let spans = self.seek_in(file, part, &places);
            let spans = spans.or_else(|| part.and_then(|_| self.seek_in(file, None, &places)));
            let spans = spans.into_iter().flatten().chain(std::iter::repeat(Span::default()));
            self.found.extend(places.into_iter().cloned().zip(spans));
        }
    }

    /// Looks places up in a part of a file that is an entry of a map, or in the whole. `None` if that cannot be taken apart.
    fn seek_in(&self, file: FileId, part: Option<Span>, places: &[&Place]) -> Option<Vec<Span>> {
        let text: &str = &self.files.get(file)?.text;
        let from = part.map_or(0, |part| part.start);
        let part = part.map_or(text, |part| text.get(part.start as usize..part.end as usize).unwrap_or(""));
        let is_whole = part.len() == text.len();
        let routes = places.iter().filter_map(|place| match place {
            Place::Route(_, legs, side) => {
                let known = if is_whole { 0 } else { last_entry(legs).map_or(0, |(nth, _)| nth) };
                Some((&legs[known..], *side))
            }
            Place::Bytes(..) => None,
        });
        let found = seek(part, &routes.collect::<Vec<_>>())?;
        let moved = |span: Span| Span { start: span.start + from, end: span.end + from };
        Some(found.into_iter().map(moved).collect())
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

/// The last leg of a route of which it is known where it stands.
fn last_entry(legs: &[Leg]) -> Option<(usize, Span)> {
    legs.iter().enumerate().rev().find_map(|(nth, leg)| match leg {
        Leg::Entry(_, at) => Some((nth, *at)),
        Leg::Key(_) | Leg::Item(_) => None,
    })
}
