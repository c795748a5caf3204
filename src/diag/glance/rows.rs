//! Entries of which a file may have only so many, counted as they are once they are written out: one may stand for a
//! whole group of them, or for each item of a list.

use std::collections::HashMap;

/// Groups that stand in one another deeper than this count as one entry.
const DEEPEST: usize = 16;

/// The keys by which such entries are found.
#[derive(Debug, Clone, Copy)]
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
}

/// The entries of one map.
#[derive(Debug, Default)]
pub struct Row<'t> {
    alone: usize,
    groups: HashMap<&'t [u8], usize>,
}

impl<'t> Row<'t> {
    /// An entry that stands for so many; for itself at least.
    pub fn takes(&mut self, entries: usize) {
        self.alone = self.alone.saturating_add(entries.max(1));
    }

    /// An entry that stands for the group of this name.
    pub fn takes_group(&mut self, name: &'t [u8]) {
        *self.groups.entry(name.trim_ascii()).or_default() += 1;
    }

    /// How many entries there are, those of the groups written out. A group that nobody knows counts as one, and so does
    /// one that stands in itself while it is counted.
    #[must_use]
    pub fn written_out(&self, groups: &HashMap<&[u8], Row<'_>>) -> usize {
        Count { groups, known: HashMap::new() }.of(self, 0)
    }
}

struct Count<'g, 't> {
    groups: &'g HashMap<&'g [u8], Row<'t>>,
    known: HashMap<Vec<u8>, usize>,
}

impl Count<'_, '_> {
    fn of(&mut self, row: &Row<'_>, depth: usize) -> usize {
        row.groups.iter().fold(row.alone, |sum, (name, times)| {
            let each = if depth < DEEPEST { self.group(name, depth + 1) } else { 1 };
            sum.saturating_add(each.saturating_mul(*times))
        })
    }

    fn group(&mut self, name: &[u8], depth: usize) -> usize {
        if let Some(known) = self.known.get(name) {
            return *known;
        }
        self.known.insert(name.to_owned(), 1);
        let groups = self.groups;
        let count = groups.get(name).map_or(1, |row| self.of(row, depth));
        self.known.insert(name.to_owned(), count);
        count
    }
}

/// What the glance has seen of such entries.
pub(super) struct Tally<'t> {
    rows: Rows,
    own: Row<'t>,
    groups: HashMap<&'t [u8], Row<'t>>,
    part: Part<'t>,
    /// Where the map of the file's own entries stands.
    begins: usize,
    entry: Option<Entry<'t>>,
}

/// What is gone through.
#[derive(Clone, Copy)]
enum Part<'t> {
    Else,
    /// The file's own entries.
    Own,
    /// The groups, or what stands in one beside its entries.
    Groups(&'t [u8]),
    /// The entries of this group.
    Group(&'t [u8]),
}

#[derive(Default)]
struct Entry<'t> {
    key: Key,
    items: usize,
    group: Option<&'t [u8]>,
}

/// The last key of an entry, as far as it matters.
#[derive(Default, Clone, Copy, PartialEq)]
enum Key {
    #[default]
    Else,
    Group,
    List,
}

impl<'t> Tally<'t> {
    pub(super) fn of(rows: Rows) -> Self {
        let (own, groups) = (Row::default(), HashMap::new());
        Self { rows, own, groups, part: Part::Else, begins: 0, entry: None }
    }

    /// How deep the map lies whose entries are counted here.
    const fn base(&self) -> usize {
        match self.part {
            Part::Else => usize::MAX - 2,
            Part::Own => 2,
            Part::Groups(_) | Part::Group(_) => 4,
        }
    }

    /// A key of a map that lies so deep. True if it is the first entry beyond what the file may have.
    pub(super) fn key(&mut self, depth: usize, text: &'t [u8], at: usize) -> bool {
        let base = self.base();
        if depth > base + 1 {
            return false;
        }
        let text = text.trim_ascii();
        if depth > base {
            if let Some(entry) = &mut self.entry {
                entry.key = match text {
                    _ if text == self.rows.group.as_bytes() => Key::Group,
                    _ if text == self.rows.list.as_bytes() => Key::List,
                    _ => Key::Else,
                };
            }
            return false;
        }
        self.ends();
        match (depth, self.part) {
            (1, _) if text == self.rows.under.as_bytes() => (self.part, self.begins) = (Part::Own, at),
            (1, _) if text == self.rows.groups.as_bytes() => self.part = Part::Groups(b""),
            (1, _) => self.part = Part::Else,
            (2, Part::Own) | (4, Part::Group(_)) => self.entry = Some(Entry::default()),
            (2, Part::Groups(_) | Part::Group(_)) => self.part = Part::Groups(text),
            (3, Part::Groups(name) | Part::Group(name)) if text == self.rows.under.as_bytes() => {
                self.groups.entry(name).or_default();
                self.part = Part::Group(name);
            }
            (3, Part::Group(name)) => self.part = Part::Groups(name),
            _ => {}
        }
        depth == 2 && matches!(self.part, Part::Own) && self.own.alone >= self.rows.most
    }

    /// Whether the next value matters.
    pub(super) fn listens(&self) -> bool {
        self.entry.as_ref().is_some_and(|entry| entry.key != Key::Else)
    }

    /// A value that is no list and no map, so deep in others; what it says, if it stands on one line.
    pub(super) fn value(&mut self, depth: usize, in_list: bool, text: Option<&'t [u8]>) {
        let base = self.base();
        let Some(entry) = &mut self.entry else { return };
        match entry.key {
            Key::Group if depth == base + 1 && !in_list => entry.group = text.filter(|text| is_bare(text)),
            Key::List if depth == base + 2 && in_list => entry.items += 1,
            _ => {}
        }
    }

    /// The entry that was gone through has ended.
    fn ends(&mut self) {
        let Some(entry) = self.entry.take() else { return };
        let row = match self.part {
            Part::Group(name) => self.groups.entry(name).or_default(),
            _ => &mut self.own,
        };
        match entry.group {
            Some(name) if entry.items == 0 => row.takes_group(name),
            _ => row.takes(entry.items),
        }
    }

    /// At the text's end: where the entries begin that are too many once they are written out.
    pub(super) fn too_many(&mut self) -> Option<usize> {
        self.ends();
        (self.own.written_out(&self.groups) > self.rows.most).then_some(self.begins)
    }
}

/// Whether a name says what its bytes say, without escapes and further lines.
fn is_bare(name: &[u8]) -> bool {
    !name.iter().any(|byte| matches!(byte, b'\\' | b'\'' | b'"' | b'\n'))
}
