//! Entries of which a file may have only so many, counted as they are once they are written out: one may stand for a
//! whole group of them, or for each item of a list.

use std::collections::HashMap;

use super::Glanced;
use crate::diag::limits::Limit;
use crate::diag::place::Position;

/// Groups that stand in one another deeper than this count as one entry.
const DEEPEST: usize = 16;

/// So many names of groups are kept at a glance; more are not counted.
const MOST_NAMES: usize = 150_000;

/// So many names of files are kept.
const MOST_OTHERS: usize = 1_000;

/// The keys by which such entries are found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rows {
    /// The key of the file's own map under which they stand, and that of each group.
    pub under: &'static str,
    /// The most there may be, written out.
    pub most: usize,
    /// The key of the file's own map under which the groups stand by name.
    pub groups: &'static str,
    /// The key of an entry that stands for a group, which it names.
    pub group: &'static str,
    /// The key of an entry that stands for each item of a list.
    pub list: &'static str,
    /// The key of the file's own map under which files are named whose groups may be used too.
    pub others: &'static str,
}

impl Rows {
    /// The limit that an entry passes.
    #[must_use]
    pub const fn entries(&self) -> Limit {
        Limit::Entries { most: self.most, under: self.under }
    }

    /// The limit that entries pass once they are written out.
    #[must_use]
    pub const fn written_out(&self) -> Limit {
        Limit::WrittenOut { most: self.most, under: self.under, groups: self.groups }
    }
}

/// Another file, as a file names it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Named {
    /// The name.
    pub name: String,
    /// The byte at which it is named.
    pub at: usize,
    /// The same as line and column.
    pub position: Position,
}

/// The entries of one map.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Row {
    alone: usize,
    groups: HashMap<Vec<u8>, usize>,
}

impl Row {
    /// An entry that stands for so many; for itself at least.
    pub fn takes(&mut self, entries: usize) {
        self.alone = self.alone.saturating_add(entries.max(1));
    }

    /// An entry that stands for the group of this name.
    pub fn takes_group(&mut self, name: &[u8]) {
        let name = name.trim_ascii();
        match self.groups.get_mut(name) {
            Some(times) => *times += 1,
            None => {
                self.groups.insert(name.to_owned(), 1);
            }
        }
    }

    /// How many entries there are, those of the groups written out. A group that nobody knows counts as one, and so does
    /// one that stands in itself while it is counted.
    #[must_use]
    pub fn written_out(&self, groups: &RowGroups) -> usize {
        Count { groups, known: HashMap::new() }.of(self, 0)
    }
}

/// Groups by name, as far as they are counted.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct RowGroups {
    rows: HashMap<Vec<u8>, Row>,
    /// There were more of them than are looked at: of a name that is not among these, nothing is known.
    is_cut: bool,
}

impl RowGroups {
    /// Adds a group; the first of a name counts.
    pub fn add(&mut self, name: &[u8], row: Row) {
        self.rows.entry(name.to_owned()).or_insert(row);
    }

    /// Adds the groups of another file.
    pub fn join(&mut self, others: Self) {
        self.is_cut |= others.is_cut;
        for (name, row) in others.rows {
            self.rows.entry(name).or_insert(row);
        }
    }
}

struct Count<'g> {
    groups: &'g RowGroups,
    known: HashMap<&'g [u8], usize>,
}

impl<'g> Count<'g> {
    fn of(&mut self, row: &'g Row, depth: usize) -> usize {
        row.groups.iter().fold(row.alone, |sum, (name, times)| {
            let each = if depth < DEEPEST { self.group(name, depth + 1) } else { 1 };
            sum.saturating_add(each.saturating_mul(*times))
        })
    }

    fn group(&mut self, name: &'g [u8], depth: usize) -> usize {
        if let Some(known) = self.known.get(name) {
            return *known;
        }
        self.known.insert(name, 1);
        let unknown = usize::from(!self.groups.is_cut);
        let count = self.groups.rows.get(name).map_or(unknown, |row| self.of(row, depth));
        self.known.insert(name, count);
        count
    }
}

/// What the glance has seen of such entries.
pub(super) struct Tally {
    pub(super) rows: Rows,
    brought: Glanced,
    part: Part,
    /// The group that is gone through: its name, if that is known, and its entries.
    name: Option<Vec<u8>>,
    group: Row,
    entry: Option<Entry>,
    /// What names another file, while it is read.
    other: Option<String>,
    /// Where the map of the file's own entries stands.
    pub(super) begins: Option<(usize, Position)>,
}

/// What is gone through.
#[derive(Clone, Copy, PartialEq)]
enum Part {
    Else,
    /// The file's own entries.
    Own,
    /// The groups, or what stands in one beside its entries.
    Groups,
    /// The entries of a group.
    Group,
    /// The files it names.
    Others,
}

#[derive(Default)]
struct Entry {
    key: Key,
    items: usize,
    stands_for: StandsFor,
}

/// What an entry stands for, beside the items of a list.
#[derive(Default)]
enum StandsFor {
    #[default]
    Itself,
    Group(Vec<u8>),
    /// A group whose name is written in a way that the glance does not read: it is not counted.
    Unread,
}

/// The last key of an entry, as far as it matters.
#[derive(Default, Clone, Copy, PartialEq)]
enum Key {
    #[default]
    Else,
    Group,
    List,
}

/// What has come of a key.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Heard {
    Enough,
    /// The map of the file's own entries begins.
    Begins,
    /// It is the first entry beyond what the file may have.
    TooMany,
}

impl Tally {
    pub(super) fn of(rows: Rows) -> Self {
        let (brought, group) = (Glanced::default(), Row::default());
        Self { rows, brought, part: Part::Else, name: None, group, entry: None, other: None, begins: None }
    }

    /// How deep the map lies whose entries are counted here.
    const fn base(&self) -> usize {
        match self.part {
            Part::Else | Part::Others => 1,
            Part::Own => 2,
            Part::Groups | Part::Group => 4,
        }
    }

    /// Keys of maps that lie no deeper than this matter.
    pub(super) fn heard(&self) -> usize {
        self.base() + usize::from(self.entry.is_some())
    }

    /// A key of a map that lies so deep; `None` if it is too long to be one that is known.
    pub(super) fn key(&mut self, depth: usize, name: Option<&[u8]>) -> Heard {
        if depth > self.base() {
            if let Some(entry) = &mut self.entry {
                entry.key = match name {
                    _ if is(name, self.rows.group) => Key::Group,
                    _ if is(name, self.rows.list) => Key::List,
                    _ => Key::Else,
                };
            }
            return Heard::Enough;
        }
        self.entry_ends();
        match (depth, self.part) {
            (1, _) => return self.part_begins(name),
            (2, Part::Own) => {
                self.entry = Some(Entry::default());
                if self.brought.own.alone >= self.rows.most {
                    return Heard::TooMany;
                }
            }
            (4, Part::Group) => self.entry = Some(Entry::default()),
            (2, Part::Groups | Part::Group) => {
                self.group_ends();
                self.part = Part::Groups;
                self.name = name.map(<[u8]>::to_owned);
            }
            (3, Part::Groups | Part::Group) => {
                self.part = if is(name, self.rows.under) { Part::Group } else { Part::Groups };
            }
            _ => {}
        }
        Heard::Enough
    }

    /// A key of the file itself.
    fn part_begins(&mut self, name: Option<&[u8]>) -> Heard {
        self.group_ends();
        self.part = match name {
            _ if is(name, self.rows.under) => Part::Own,
            _ if is(name, self.rows.groups) => Part::Groups,
            _ if is(name, self.rows.others) => Part::Others,
            _ => Part::Else,
        };
        if self.part == Part::Own { Heard::Begins } else { Heard::Enough }
    }

    /// Whether the next value matters.
    pub(super) fn listens(&self) -> bool {
        self.part == Part::Others || self.entry.as_ref().is_some_and(|entry| entry.key != Key::Else)
    }

    /// A value that is no list and no map, so deep in others; what it says, if it stands on one line. True if it names
    /// another file.
    pub(super) fn value(&mut self, depth: usize, in_list: bool, text: Option<&[u8]>) -> bool {
        let base = self.base();
        let text = text.filter(|text| is_bare(text));
        if self.part == Part::Others {
            let is_one = if in_list { depth == 2 } else { depth == 1 };
            self.other = text.filter(|_| is_one).and_then(|text| String::from_utf8(text.to_owned()).ok());
            return self.other.is_some() && self.brought.others.len() < MOST_OTHERS;
        }
        let Some(entry) = &mut self.entry else { return false };
        match entry.key {
            Key::Group if depth == base + 1 && !in_list => {
                entry.stands_for = text.map_or(StandsFor::Unread, |text| StandsFor::Group(text.to_owned()));
            }
            Key::List if depth == base + 2 && in_list => entry.items += 1,
            _ => {}
        }
        false
    }

    /// The file that was named last, and where.
    pub(super) fn names_another(&mut self, at: usize, position: Position) {
        let name = self.other.take().map(|name| Named { name: name.trim().to_owned(), at, position });
        self.brought.others.extend(name);
    }

    /// The entry that was gone through has ended.
    fn entry_ends(&mut self) {
        let Some(entry) = self.entry.take() else { return };
        let row = if self.part == Part::Group { &mut self.group } else { &mut self.brought.own };
        match entry.stands_for {
            StandsFor::Group(name) if entry.items == 0 => {
                if row.groups.len() < MOST_NAMES {
                    row.takes_group(&name);
                }
            }
            StandsFor::Unread if entry.items == 0 => {}
            _ => row.takes(entry.items),
        }
    }

    /// So has the group, if one was.
    fn group_ends(&mut self) {
        let row = std::mem::take(&mut self.group);
        let groups = &mut self.brought.groups;
        match self.name.take() {
            Some(name) if groups.rows.len() < MOST_NAMES => groups.add(&name, row),
            Some(_) => groups.is_cut = true,
            None => groups.is_cut |= row.alone > 0 || !row.groups.is_empty(),
        }
    }

    /// At the text's end: what it brings.
    pub(super) fn brought(mut self) -> Glanced {
        self.entry_ends();
        self.group_ends();
        self.brought.begins = self.begins;
        self.brought
    }
}

fn is(name: Option<&[u8]>, wanted: &str) -> bool {
    name == Some(wanted.as_bytes())
}

/// Whether a name says what its bytes say, without escapes and further lines.
fn is_bare(name: &[u8]) -> bool {
    !name.iter().any(|byte| matches!(byte, b'\\' | b'\'' | b'"' | b'\n'))
}
