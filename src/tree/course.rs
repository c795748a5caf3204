//! A tree with what each of its steps does and needs, and the proof that it may be walked.
//!
//! [`Walkable`] can only be had from [`Examined::walkable`]: who holds one holds a tree in which no path reaches a step
//! whose conditions are not surely in force. The stepper takes nothing else.

use std::collections::HashMap;
use std::ops::Deref;
use std::sync::{Arc, OnceLock};

use crate::diag::{Files, Place, Problems, Source, Sources};
use crate::safety::{Deed, Demand, Drive, Facet, Moves, Power, Vocabulary, Watch, Watched, Zone, demands};

use super::checks::check_tree;
use super::deeds::deeds_of_all;
use super::flow::{EdgeKind, Flow, FlowEdge, FlowGraph, FlowNode};
use super::ground::{Ground, POWERS};
use super::lists::Lists;
use super::load::load;
use super::model::{Kind, Setup, StepIx, Target, Tree};
use super::names::check_names;
use super::prepared::{Prepared, prepared_of_all};
use super::proofs::{shown_on, unshown_on};
use super::safe::check_safety;

/// A tree with what each of its steps does and needs.
#[derive(Debug, Clone)]
pub struct Course {
    tree: Tree,
    vocabulary: Vocabulary,
    deeds: Lists<Deed>,
    demands: Lists<Demand>,
    prepared: OnceLock<Vec<Prepared>>,
}

impl Course {
    /// Works out what each step does and needs.
    pub(super) fn of(tree: Tree, problems: &mut Problems) -> Self {
        let mut vocabulary = own_vocabulary(&tree, problems);
        let deeds = {
            let ground = Ground::new(tree.model.as_deref(), &vocabulary);
            deeds_of_all(&tree, &ground)
        };
        let mut told = false;
        for (step, list) in tree.steps.iter().zip(deeds.iter()) {
            for deed in list {
                if vocabulary.learn(deed).is_err() && !told {
                    told = true;
                    problems.refuse("too-many-names", step.place.clone()).says(
                        format!(
                            "the tree speaks of more than {} plugs, ties, bridges and leads",
                            crate::safety::NAME_LIMIT
                        ),
                        "The safety check would have to forget some of them.",
                        "several smaller trees",
                    );
                }
            }
        }
        let mut course =
            Self { tree, vocabulary, deeds, demands: Lists::default(), prepared: OnceLock::new() };
        course.learn_proofs();
        course.add_moving_setups();
        let mut needed = Lists::default();
        for list in course.deeds.iter() {
            needed.push(list.iter().flat_map(|d| demands(d, &course.vocabulary)));
        }
        course.demands = needed;
        course
    }

    fn learn_proofs(&mut self) {
        for step in &self.tree.steps {
            for way in 0..step.ways().count() {
                for deed in shown_on(step, way) {
                    // Two names at most; there is room for them once the steps' own were taken in.
                    let _ = self.vocabulary.learn(&deed);
                }
            }
        }
    }

    /// A step whose setup makes something move is watched, whatever else it is for: added where the power that it may
    /// have allows it, until nothing new moves (what moves is lost, and changes what later steps may have).
    fn add_moving_setups(&mut self) {
        if self.tree.model.is_none() {
            return;
        }
        for _ in 0..MOVING_ROUNDS {
            let added = self.moving_setups();
            if added.is_empty() {
                return;
            }
            self.deeds.append(added);
        }
    }

    /// The watches that a look at the flow shows to be missing.
    fn moving_setups(&self) -> Vec<(usize, Deed)> {
        let ground = Ground::new(self.tree.model.as_deref(), &self.vocabulary);
        let graph = self.flow_graph();
        let Ok(flow) = Flow::over(&graph, &self.vocabulary) else { return Vec::new() };
        let mut moving: HashMap<(Setup, Power), Option<Watch>> = HashMap::new();
        let mut added = Vec::new();
        for (ix, step) in self.tree.iter() {
            let watched = self.deeds(ix).iter().any(|d| matches!(d, Deed::Watch(_)));
            let sets = matches!(&step.kind, Kind::Read(_)) || !step.with.is_empty();
            let Some(state) = flow.state_in(ix.at()).filter(|_| sets && !watched) else { continue };
            let powers = state.values(Facet::POWER, &self.vocabulary);
            let found = POWERS.into_iter().filter(|p| !powers.and(p.only()).is_empty()).find_map(|power| {
                moving
                    .entry((step.with.clone(), power))
                    .or_insert_with(|| watch_of(&ground.moving(&self.tree, step, power)))
                    .clone()
            });
            if let Some(mut watch) = found {
                watch.from = step.zone.as_deref().and_then(|z| self.vocabulary.zone(z)).or(Some(Zone::Seat));
                added.push((ix.at(), Deed::Watch(watch)));
            }
        }
        added
    }

    /// The tree.
    #[must_use]
    pub const fn tree(&self) -> &Tree {
        &self.tree
    }

    /// The conditions, gates, zones and names it speaks of.
    #[must_use]
    pub const fn vocabulary(&self) -> &Vocabulary {
        &self.vocabulary
    }

    /// What a step does.
    #[must_use]
    pub fn deeds(&self, ix: StepIx) -> &[Deed] {
        self.deeds.get(ix.at())
    }

    /// What must be in force at a step.
    #[must_use]
    pub fn demands(&self, ix: StepIx) -> &[Demand] {
        self.demands.get(ix.at())
    }

    /// What the tree itself has prepared on every path to a step.
    #[must_use]
    pub fn prepared(&self, ix: StepIx) -> &Prepared {
        &self.prepared.get_or_init(|| prepared_of_all(self))[ix.at()]
    }

    /// What one of a step's ways shows: the proofs on an answer or band.
    #[must_use]
    pub fn shown_on(&self, ix: StepIx, way: usize) -> Vec<Deed> {
        shown_on(self.tree.step(ix), way)
    }

    /// What one of a step's ways fails to show: the proof of the step, on an answer or band that does not show it.
    #[must_use]
    pub fn unshown_on(&self, ix: StepIx, way: usize) -> Vec<String> {
        unshown_on(self.tree.step(ix), way)
    }

    /// The graph that the safety check runs over.
    #[must_use]
    pub fn flow_graph(&self) -> FlowGraph<'_> {
        let nodes = self.deeds.iter().map(|deeds| FlowNode { deeds: deeds.into() }).collect();
        let mut edges = Vec::with_capacity(self.tree.steps.len() * 2);
        for (ix, step) in self.tree.iter() {
            let ways = step.ways().count();
            for (way, target) in step.ways().enumerate() {
                let Some(to) = self.tree.land(target) else { continue };
                let is_cannot = step.cannot.is_some() && way + 1 == ways;
                let kind = match target {
                    _ if is_cannot => EdgeKind::Cannot,
                    Target::Again => EdgeKind::Again,
                    _ => EdgeKind::Go,
                };
                let shows = if is_cannot { Vec::new() } else { proofs(&shown_on(step, way)) };
                edges.push(FlowEdge { from: ix.at(), to: to.at(), kind, shows });
            }
        }
        FlowGraph { start: self.tree.start.at(), nodes, edges }
    }
}

fn proofs(deeds: &[Deed]) -> Vec<String> {
    deeds
        .iter()
        .filter_map(|deed| match deed {
            Deed::Shown { proof } => Some(proof.clone()),
            _ => None,
        })
        .collect()
}

/// Rounds in which moving setups are looked for; each adds what the one before made possible.
const MOVING_ROUNDS: usize = 4;

/// One watch for all that moves in a setup.
pub(super) fn watch_of(moving: &[(Drive, Vec<Moves>)]) -> Option<Watch> {
    let drive = moving.first()?.0;
    let mut moves: Vec<Moves> = Vec::new();
    for one in moving.iter().flat_map(|(_, moves)| moves) {
        if !moves.contains(one) {
            moves.push(one.clone());
        }
    }
    Some(Watch { drive, moves, from: None, why: Watched::BySetup })
}

/// The built-in vocabulary with what the machine adds; what cannot be added is told, and nothing of it is taken.
fn own_vocabulary(tree: &Tree, problems: &mut Problems) -> Vocabulary {
    Vocabulary::new(&tree.own).unwrap_or_else(|faults| {
        let file = tree.machine_file.unwrap_or(tree.file);
        for fault in faults {
            problems.refuse("own-safety", Place::file(file)).says(
                fault.to_string(),
                "What a machine file adds to the rules may only make them stricter, and must be clear.",
                "a condition, gate or zone of its own, with needs and items",
            );
        }
        Vocabulary::built_in()
    })
}

/// A course that may be walked.
#[derive(Debug, Clone)]
pub struct Walkable(Arc<Course>);

impl Walkable {
    /// The course, to be shared.
    #[must_use]
    pub fn course(&self) -> Arc<Course> {
        self.0.clone()
    }
}

impl Deref for Walkable {
    type Target = Course;

    fn deref(&self) -> &Course {
        &self.0
    }
}

/// A tree as read and examined, with everything that is wrong with it.
#[derive(Debug)]
pub struct Examined {
    /// The tree with what its steps do; `None` if nothing could be made of it.
    pub course: Option<Course>,
    /// The texts read: the tree first.
    pub files: Files,
    /// Everything that is wrong.
    pub problems: Problems,
}

impl Examined {
    /// The course, if nothing in it keeps it from being walked.
    #[must_use]
    pub fn walkable(self) -> Option<Walkable> {
        if self.problems.refused() { None } else { self.course.map(|course| Walkable(Arc::new(course))) }
    }
}

/// Reads a tree with what it uses, and holds it against every rule.
#[must_use]
pub fn examine(source: &Source, sources: &dyn Sources) -> Examined {
    let loaded = load(source, sources);
    let mut problems = loaded.problems;
    let is_complete = !problems.refused();
    let course = loaded.tree.map(|tree| Course::of(tree, &mut problems));
    if let Some(course) = &course {
        problems.extend(check_tree(course.tree(), Some(course.vocabulary()), is_complete));
        check_names(course, &mut problems);
        check_safety(course, &mut problems);
    }
    Examined { course, files: loaded.files, problems }
}
