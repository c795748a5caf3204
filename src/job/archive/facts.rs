//! What the trees inside jobs say of their steps, worked out once for all jobs on the same texts.

use std::collections::{HashMap, HashSet};

use crate::job::journal::{FileLayer, read_journal};
use crate::job::kept::Kept;
use crate::job::place::JobPlace;
use crate::tree::{Course, Kind, examine};

use super::brief::Trace;

/// What a tree says of its steps.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct TreeFacts {
    /// The machine's name; empty without one.
    pub machine: String,
    /// The finds, and the faults that each names.
    pub finds: HashMap<String, Vec<String>>,
    /// The steps that are gates, and which.
    pub gates: HashMap<String, String>,
    /// Answers and bands of proofs that do not show them.
    unshown: HashSet<(String, String)>,
}

impl TreeFacts {
    /// Of a tree with what its steps do.
    #[must_use]
    pub fn of(course: &Course) -> Self {
        let tree = course.tree();
        let machine = tree.model.as_ref().map_or_else(String::new, |machine| machine.name.clone());
        let mut facts = Self { machine, ..Self::default() };
        for (ix, step) in tree.iter() {
            let ways: Vec<String> = match &step.kind {
                Kind::Find(find) => {
                    facts.finds.insert(step.id.clone(), find.faults.clone());
                    continue;
                }
                Kind::Gate(gate) => {
                    facts.gates.insert(step.id.clone(), gate.gate.clone());
                    continue;
                }
                Kind::Ask(ask) if ask.proof.is_some() => ask.answers.iter().map(|a| a.id.clone()).collect(),
                Kind::Read(read) if read.proof.is_some() => {
                    (0..read.bands.len()).map(|n| n.to_string()).collect()
                }
                _ => continue,
            };
            let unshown =
                ways.into_iter().enumerate().filter(|(way, _)| !course.unshown_on(ix, *way).is_empty());
            facts.unshown.extend(unshown.map(|(_, name)| (step.id.clone(), name)));
        }
        facts
    }

    /// True if this was a proof that did not show what it is for.
    #[must_use]
    pub fn is_failed_proof(&self, trace: &Trace) -> bool {
        match trace {
            Trace::Answered(step, answer) => self.unshown.contains(&(step.clone(), answer.clone())),
            Trace::Read(step, band) => self.unshown.contains(&(step.clone(), band.to_string())),
            _ => false,
        }
    }
}

/// What is known of trees, by the fingerprint of their texts.
#[derive(Debug, Default)]
pub struct Facts(HashMap<u64, Option<TreeFacts>>);

impl Facts {
    /// What is known of the tree inside a job; read and worked out the first time. `None` where it cannot be read.
    pub fn of(&mut self, layer: &dyn FileLayer, place: &JobPlace, texts: u64) -> Option<&TreeFacts> {
        self.0.entry(texts).or_insert_with(|| inside(layer, place)).as_ref()
    }
}

fn inside(layer: &dyn FileLayer, place: &JobPlace) -> Option<TreeFacts> {
    let found = read_journal::<Kept>(layer, place).ok()?;
    let Kept::Opened(opening) = &found.records.first()?.event else { return None };
    let sources = opening.sources();
    let source = sources.first()?.clone();
    examine(&source, &sources).course.map(|course| TreeFacts::of(&course))
}
