//! The situation at a step of a walk of which only some steps are known: the shortest way there through
//! the tree from the step before, or from the start where there is none.

use std::collections::{HashMap, VecDeque};

use super::situation::Situation;
use crate::safety::Vocabulary;
use crate::tree::{StepIx, Tree};

/// Where a walk is and what it has left behind.
#[derive(Debug, Clone)]
pub struct Trail<'a> {
    tree: &'a Tree,
    vocabulary: &'a Vocabulary,
    at: StepIx,
    now: Situation,
}

impl<'a> Trail<'a> {
    /// At the start of a tree.
    #[must_use]
    pub fn new(tree: &'a Tree, vocabulary: &'a Vocabulary) -> Self {
        Self { tree, vocabulary, at: tree.start, now: Situation::default() }
    }

    /// Goes on to a step; the situation on arriving there.
    pub fn go(&mut self, to: StepIx) -> &Situation {
        let way = self.way(self.at, to);
        let from_start = way.is_none();
        if from_start {
            self.now = Situation::default();
        }
        let way = way.or_else(|| self.way(self.tree.start, to)).unwrap_or_default();
        for ix in way {
            self.now = self.now.after(self.tree.step(ix), self.vocabulary);
        }
        self.at = to;
        &self.now
    }

    /// The situation where the walk is.
    #[must_use]
    pub const fn now(&self) -> &Situation {
        &self.now
    }

    /// The steps from one to before the other, by the fewest.
    fn way(&self, from: StepIx, to: StepIx) -> Option<Vec<StepIx>> {
        let mut came: HashMap<StepIx, StepIx> = HashMap::new();
        let mut queue = VecDeque::from([from]);
        while let Some(ix) = queue.pop_front() {
            if ix == to {
                let mut way = Vec::new();
                let mut at = to;
                while at != from {
                    at = came[&at];
                    way.push(at);
                }
                way.reverse();
                return Some(way);
            }
            for next in self.tree.step(ix).targets().into_iter().filter_map(|t| self.tree.land(t)) {
                if next != from && !came.contains_key(&next) {
                    came.insert(next, ix);
                    queue.push_back(next);
                }
            }
        }
        None
    }
}
