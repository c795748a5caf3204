//! Which step has which id, for a hundred thousand steps as well: only numbers lie in the table, and the ids themselves
//! stay where the steps keep them.

use std::collections::HashMap;
use std::hash::{BuildHasher as _, RandomState};

use hashbrown::HashTable;

use super::model::StepIx;

/// The numbers of steps by their ids. Who asks says which id a step has; it is always the same.
#[derive(Debug, Clone, Default)]
pub(super) struct Ids {
    hashed: RandomState,
    steps: HashTable<StepIx>,
    /// What a name means that no step has itself: a run or a list of gates, by its first step.
    others: HashMap<String, StepIx>,
}

impl Ids {
    /// Makes room for so many more steps.
    pub(super) fn reserve<'s>(&mut self, steps: usize, id_of: impl Fn(StepIx) -> &'s str) {
        self.steps.reserve(steps, |ix| self.hashed.hash_one(id_of(*ix)));
    }

    /// Takes in a step. Of two with one id, which was told, the later counts.
    pub(super) fn add<'s>(&mut self, ix: StepIx, id_of: impl Fn(StepIx) -> &'s str) {
        let id = id_of(ix);
        match self.steps.find_mut(self.hashed.hash_one(id), |known| id_of(*known) == id) {
            Some(known) => *known = ix,
            None => {
                self.steps.insert_unique(self.hashed.hash_one(id), ix, |ix| self.hashed.hash_one(id_of(*ix)));
            }
        }
    }

    /// Takes in a further name of a step.
    pub(super) fn name(&mut self, name: &str, ix: StepIx) {
        self.others.insert(name.to_owned(), ix);
    }

    /// The step with this id or name.
    pub(super) fn find<'s>(&self, name: &str, id_of: impl Fn(StepIx) -> &'s str) -> Option<StepIx> {
        let step = self.steps.find(self.hashed.hash_one(name), |ix| id_of(*ix) == name);
        self.others.get(name).or(step).copied()
    }

    /// The names that no step has itself.
    pub(super) fn other_names(&self) -> impl Iterator<Item = &str> {
        self.others.keys().map(String::as_str)
    }
}
