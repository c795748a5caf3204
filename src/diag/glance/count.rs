//! What the glance counts: keys and values, lists and maps in one another, and what the tally of entries hears of them.

use super::rows::Heard;
use super::{Eye, Kind, Level, Name, Over, Seen, Stop};
use crate::diag::limits::Limit;

impl Eye<'_> {
    /// A key at this column, outside of brackets.
    #[inline]
    pub(super) fn key(&mut self, column: usize, name: Option<Name>) -> Seen {
        self.opened(column, Kind::Map)?;
        self.named(name)
    }

    /// A key of the innermost map.
    #[inline]
    pub(super) fn named(&mut self, name: Option<Name>) -> Seen {
        if self.levels.len() <= self.heard {
            self.hears_key(name)?;
        }
        self.counted()
    }

    fn hears_key(&mut self, name: Option<Name>) -> Seen {
        let in_map = matches!(self.levels.last(), Some(Level { kind: Kind::Map | Kind::FlowMap, .. }));
        let Some(tally) = self.tally.as_mut().filter(|_| in_map) else { return Ok(()) };
        let heard = tally.key(self.levels.len(), name.and_then(|name| self.text.said(name)));
        (self.heard, self.listens) = (tally.heard(), tally.listens());
        if heard == Heard::Enough {
            return Ok(());
        }
        let (at, position) = (self.text.name_at(), self.text.name_position());
        if heard == Heard::TooMany {
            let limit = tally.rows.entries();
            return Err(Stop::Over(Box::new(Over { limit, at, position })));
        }
        tally.begins = Some((at, position));
        Ok(())
    }

    /// A value that is no list and no map, on one line or in quotes.
    #[inline]
    pub(super) fn scalar(&mut self, name: Option<Name>) -> Seen {
        self.says(name);
        self.counted()
    }

    /// What such a value says, if that stands on one line.
    #[inline]
    pub(super) fn says(&mut self, name: Option<Name>) {
        if self.listens {
            self.hears(name);
        }
    }

    fn hears(&mut self, name: Option<Name>) {
        if let Some(tally) = &mut self.tally {
            let in_list = matches!(self.levels.last(), Some(Level { kind: Kind::List | Kind::FlowList, .. }));
            let depth = self.levels.len();
            if tally.value(depth, in_list, name.and_then(|name| self.text.said(name))) {
                tally.names_another(self.text.name_at(), self.text.name_position());
            }
        }
    }

    /// A list or map goes on at this column, or begins there; what was deeper has ended.
    #[inline]
    pub(super) fn opened(&mut self, column: usize, kind: Kind) -> Seen {
        let wanted = Level { column, kind };
        while let Some(last) = self.levels.last() {
            if *last == wanted {
                return Ok(());
            }
            let beside = last.column == column && last.kind == Kind::List && kind == Kind::Map;
            if last.column <= column && !beside {
                break;
            }
            self.levels.pop();
        }
        self.pushed(wanted)
    }

    #[inline]
    pub(super) fn pushed(&mut self, level: Level) -> Seen {
        self.levels.push(level);
        if self.levels.len() > self.limits.depth {
            return Err(self.over(Limit::Depth(self.limits.depth)));
        }
        self.counted()
    }

    #[inline]
    pub(super) fn counted(&mut self) -> Seen {
        self.nodes += 1;
        if self.nodes > self.limits.nodes { Err(self.over(Limit::Nodes(self.limits.nodes))) } else { Ok(()) }
    }

    #[cold]
    fn over(&mut self, limit: Limit) -> Stop {
        Stop::Over(Box::new(Over { limit, at: self.text.place(), position: self.text.position() }))
    }
}
