//! How many steps a tree has, groups written out, counted before any of them is written out: a small file can ask for
//! more than a laptop can hold.

use std::collections::HashMap;

use crate::diag::{Node, Value};

use super::expand::Group;

/// Groups that run groups deeper than this are told elsewhere.
const DEEPEST: usize = 16;

/// The steps of a map of steps, groups written out; what is not understood counts as one.
pub(super) fn steps_in(steps: &Node<'_>, groups: &HashMap<String, Group<'_, '_>>) -> usize {
    Count { groups, known: HashMap::new() }.of(steps, 0)
}

struct Count<'g, 'n, 'a> {
    groups: &'g HashMap<String, Group<'n, 'a>>,
    known: HashMap<String, usize>,
}

impl Count<'_, '_, '_> {
    fn of(&mut self, steps: &Node<'_>, depth: usize) -> usize {
        let entries = steps.map().unwrap_or_default();
        entries.iter().fold(0, |sum: usize, entry| sum.saturating_add(self.step(&entry.value, depth)))
    }

    fn step(&mut self, step: &Node<'_>, depth: usize) -> usize {
        if let Some(gates) = step.get("gates") {
            return gates.one_or_many().len().max(1);
        }
        match step.get("run").map(|run| &run.value) {
            Some(Value::Scalar(name, _)) if depth < DEEPEST => self.group(name, depth + 1),
            _ => 1,
        }
    }

    fn group(&mut self, name: &str, depth: usize) -> usize {
        if let Some(known) = self.known.get(name) {
            return *known;
        }
        // A group that comes back to itself counts as one while it is counted.
        self.known.insert(name.to_owned(), 1);
        let steps = self.groups.get(name).and_then(|group| group.entries.get("steps"));
        let count = steps.map_or(1, |steps| self.of(steps, depth));
        self.known.insert(name.to_owned(), count);
        count
    }
}
