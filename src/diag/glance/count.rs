//! What the glance counts: keys and values, lists and maps in one another, and what the tally of entries hears of them.

use std::ops::Range;

use super::{Eye, Glanced, Kind, Level, Over, Stop};

impl Eye<'_> {
    /// A key at this column, outside of brackets.
    pub(super) fn key(&mut self, column: usize, text: Range<usize>) -> Glanced {
        self.opened(column, Kind::Map)?;
        self.named(text)
    }

    /// A key of the innermost map.
    pub(super) fn named(&mut self, text: Range<usize>) -> Glanced {
        let in_map = matches!(self.levels.last(), Some(Level { kind: Kind::Map | Kind::FlowMap, .. }));
        if in_map
            && let Some(tally) = &mut self.tally
            && tally.key(self.levels.len(), &self.bytes[text.clone()], text.start)
        {
            return Err(Stop::Over(Over::Entries(text.start)));
        }
        self.counted()
    }

    /// A value that is no list and no map, on one line or in quotes.
    pub(super) fn scalar(&mut self, text: Option<Range<usize>>) -> Glanced {
        self.says(text);
        self.counted()
    }

    /// What such a value says, if that stands on one line.
    pub(super) fn says(&mut self, text: Option<Range<usize>>) {
        if let Some(tally) = &mut self.tally
            && tally.listens()
        {
            let in_list = matches!(self.levels.last(), Some(Level { kind: Kind::List | Kind::FlowList, .. }));
            tally.value(self.levels.len(), in_list, text.map(|text| &self.bytes[text]));
        }
    }

    /// A list or map goes on at this column, or begins there; what was deeper has ended.
    pub(super) fn opened(&mut self, column: usize, kind: Kind) -> Glanced {
        while let Some(last) = self.levels.last() {
            let beside = last.column == column && last.kind == Kind::List && kind == Kind::Map;
            if last.column <= column && !beside {
                break;
            }
            self.levels.pop();
        }
        let wanted = Level { column, kind };
        if self.levels.last() == Some(&wanted) { Ok(()) } else { self.pushed(wanted) }
    }

    pub(super) fn pushed(&mut self, level: Level) -> Glanced {
        self.levels.push(level);
        if self.levels.len() > self.limits.depth {
            return Err(Stop::Over(Over::Depth(self.at)));
        }
        self.counted()
    }

    pub(super) fn counted(&mut self) -> Glanced {
        self.nodes += 1;
        if self.nodes > self.limits.nodes { Err(Stop::Over(Over::Nodes(self.at))) } else { Ok(()) }
    }
}
