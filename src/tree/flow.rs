//! The safety check's data-flow: what is surely in force at each step, over all paths from the start.
//!
//! Forward may-analysis (Kildall 1973; from memory): a state is the set of values each facet can have,
//! paths are joined by union, a step sets constants or makes not known. Such changes act on each facet
//! by itself and distribute over the union, so the fixpoint equals the union over all paths, with no
//! path enumerated; a demand fails here exactly if it fails on some path.

use std::borrow::Cow;
use std::collections::{BinaryHeap, HashMap};

use petgraph::graph::{DiGraph, NodeIndex};
use petgraph::visit::DfsPostOrder;

use crate::safety::{Change, Deed, Demand, State, Vocabulary, changes, changes_on_cannot, demands};

use super::lists::Lists;

/// How one step leads to the next.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum EdgeKind {
    /// The step was done.
    Go,
    /// The step could not be done: nothing it sets is known.
    Cannot,
    /// The step was done, and another round begins.
    Again,
}

/// A step, as far as the safety check sees it.
#[derive(Debug, Clone, Default)]
pub struct FlowNode<'c> {
    /// What it does or asks of a person. All their needs are held against the state on entry; their
    /// changes are made in this order.
    pub deeds: Cow<'c, [Deed]>,
}

/// A way from one step to another.
#[derive(Debug, Clone)]
pub struct FlowEdge {
    /// The step it leaves.
    pub from: usize,
    /// The step it leads to; for another round the step where rounds begin again.
    pub to: usize,
    /// How.
    pub kind: EdgeKind,
    /// The proofs that the answer or band shows; none on a `cannot`.
    pub shows: Vec<String>,
}

/// Steps and ways between them, from one start.
#[derive(Debug, Clone, Default)]
pub struct FlowGraph<'c> {
    /// The step at which a job begins.
    pub start: usize,
    /// The steps.
    pub nodes: Vec<FlowNode<'c>>,
    /// The ways.
    pub edges: Vec<FlowEdge>,
}

/// A graph that names a step it does not have, or names that the vocabulary has no room for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum FlowFault {
    /// The start or an end of an edge is no step.
    #[error("there is no step number {0}")]
    NoStep(usize),
    /// Too many names.
    #[error(transparent)]
    TooManyNames(#[from] crate::safety::TooManyNames),
}

/// A demand of a step that does not surely hold there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Violation {
    /// The step.
    pub node: usize,
    /// Which of its deeds makes the demand.
    pub deed: usize,
    /// The demand.
    pub demand: Demand,
}

/// What each step changes, done or not.
#[derive(Debug)]
struct Effects {
    done: Lists<Change>,
    cannot: Lists<Change>,
}

/// What is in force at every step, and every demand that is not met.
#[derive(Debug)]
pub struct Flow<'a> {
    pub(super) graph: &'a FlowGraph<'a>,
    pub(super) vocabulary: &'a Vocabulary,
    net: DiGraph<(), usize>,
    effects: Effects,
    states: Vec<Option<State>>,
    violations: Vec<Violation>,
}

impl FlowGraph<'_> {
    /// Takes every name of the graph into the vocabulary; to be done before [`Flow::over`].
    ///
    /// # Errors
    /// When there are more names than the vocabulary keeps.
    pub fn learn(&self, vocabulary: &mut Vocabulary) -> Result<(), FlowFault> {
        for deed in self.nodes.iter().flat_map(|node| &*node.deeds) {
            vocabulary.learn(deed)?;
        }
        for proof in self.edges.iter().flat_map(|edge| &edge.shows) {
            vocabulary.learn(&Deed::Shown { proof: proof.clone() })?;
        }
        Ok(())
    }

    fn net(&self) -> Result<DiGraph<(), usize>, FlowFault> {
        let mut net = DiGraph::with_capacity(self.nodes.len(), self.edges.len());
        for _ in &self.nodes {
            net.add_node(());
        }
        let known = |at: usize| if at < self.nodes.len() { Ok(at) } else { Err(FlowFault::NoStep(at)) };
        known(self.start)?;
        for (number, edge) in self.edges.iter().enumerate() {
            net.add_edge(NodeIndex::new(known(edge.from)?), NodeIndex::new(known(edge.to)?), number);
        }
        Ok(net)
    }
}

impl<'a> Flow<'a> {
    /// Runs the analysis to its fixpoint.
    ///
    /// # Errors
    /// When the graph names a step it does not have.
    pub fn over(graph: &'a FlowGraph<'a>, vocabulary: &'a Vocabulary) -> Result<Self, FlowFault> {
        let net = graph.net()?;
        let effects = Effects::of(graph, vocabulary);
        let mut flow = Self { graph, vocabulary, net, effects, states: Vec::new(), violations: Vec::new() };
        flow.states = flow.spread(&HashMap::new());
        flow.violations = flow.failing();
        Ok(flow)
    }

    /// Which violations remain if each demand on the way to a step is taken to have been met there: one cause is told
    /// once, where it first shows, and not at every step that relies on it. Numbers in [`Flow::violations`]. The first
    /// violation on any path is always among them.
    #[must_use]
    pub fn roots(&self) -> Vec<usize> {
        if self.violations.is_empty() {
            return Vec::new();
        }
        let mut taken_as_met: HashMap<usize, Vec<&Demand>> = HashMap::new();
        for violation in &self.violations {
            taken_as_met.entry(violation.node).or_default().push(&violation.demand);
        }
        let states = self.spread(&taken_as_met);
        let remains = |v: &Violation| {
            states[v.node].as_ref().is_some_and(|state| !v.demand.holds(state, self.vocabulary))
        };
        let numbers = self.violations.iter().enumerate().filter(|(_, v)| remains(v));
        numbers.map(|(number, _)| number).collect()
    }

    /// What is in force on entry to the step; nothing if no path reaches it.
    #[must_use]
    pub fn state_in(&self, node: usize) -> Option<&State> {
        self.states.get(node)?.as_ref()
    }

    /// Every demand that does not surely hold, by step and deed.
    #[must_use]
    pub fn violations(&self) -> &[Violation] {
        &self.violations
    }

    /// The changes that the edge stands for, in their order: the step it leaves, done or not, and what
    /// was shown.
    pub(super) fn changes_along(&self, edge: &FlowEdge) -> impl Iterator<Item = Change> {
        let (effects, proofs) = match edge.kind {
            EdgeKind::Cannot => (&self.effects.cannot, &[][..]),
            EdgeKind::Go | EdgeKind::Again => (&self.effects.done, edge.shows.as_slice()),
        };
        let shown =
            proofs.iter().flat_map(|proof| changes(&Deed::Shown { proof: proof.clone() }, self.vocabulary));
        effects.get(edge.from).iter().copied().chain(shown)
    }

    /// The edges that leave the step, in the file's own order.
    pub(super) fn leaving(&self, node: usize) -> Vec<usize> {
        // The net lists the newest first.
        let mut numbers: Vec<usize> =
            self.net.edges(NodeIndex::new(node)).map(|edge| *edge.weight()).collect();
        numbers.reverse();
        numbers
    }

    /// Worklist in reverse postorder from the start: on a graph without cycles each step is visited
    /// once, and every `again` costs one more pass over what it changes.
    fn spread(&self, taken_as_met: &HashMap<usize, Vec<&Demand>>) -> Vec<Option<State>> {
        let order = self.reverse_postorder();
        let mut rank = vec![usize::MAX; self.graph.nodes.len()];
        for (place, node) in order.iter().enumerate() {
            rank[*node] = place;
        }
        let mut waiting = vec![false; order.len()];
        let mut queue = BinaryHeap::from([std::cmp::Reverse(0)]);
        let mut states = vec![None; self.graph.nodes.len()];
        states[self.graph.start] = Some(State::at_start(self.vocabulary));
        while let Some(std::cmp::Reverse(place)) = queue.pop() {
            waiting[place] = false;
            let node = order[place];
            let Some(mut here) = states[node].clone() else { continue };
            self.take_as_met(taken_as_met.get(&node), &mut here);
            for reached in self.visit(node, &here, &mut states) {
                if !std::mem::replace(&mut waiting[rank[reached]], true) {
                    queue.push(std::cmp::Reverse(rank[reached]));
                }
            }
        }
        states
    }

    /// Joins what leaves the step into the steps it leads to; those that learned something new.
    fn visit(&self, node: usize, here: &State, states: &mut [Option<State>]) -> Vec<usize> {
        let mut grown = Vec::new();
        for number in self.leaving(node) {
            let edge = &self.graph.edges[number];
            let mut leaving = here.clone();
            for change in self.changes_along(edge) {
                leaving.apply(change, self.vocabulary);
            }
            let is_new = match &mut states[edge.to] {
                Some(known) => known.join(&leaving),
                nothing => {
                    *nothing = Some(leaving);
                    true
                }
            };
            if is_new {
                grown.push(edge.to);
            }
        }
        grown
    }

    /// Sets what these demands ask for and the state does not surely have; of alternatives the first.
    fn take_as_met(&self, asked: Option<&Vec<&Demand>>, state: &mut State) {
        for demand in asked.into_iter().flatten() {
            let missing = demand.missing(state, self.vocabulary);
            for missing in missing.into_iter().next().unwrap_or_default() {
                state.apply(Change::Set(missing.facet, missing.allowed), self.vocabulary);
            }
        }
    }

    fn reverse_postorder(&self) -> Vec<usize> {
        let mut walk = DfsPostOrder::new(&self.net, NodeIndex::new(self.graph.start));
        let mut order = Vec::new();
        while let Some(node) = walk.next(&self.net) {
            order.push(node.index());
        }
        order.reverse();
        order
    }

    fn failing(&self) -> Vec<Violation> {
        let mut violations = Vec::new();
        for (node, state) in self.states.iter().enumerate() {
            let Some(state) = state else { continue };
            for (deed, what) in self.graph.nodes[node].deeds.iter().enumerate() {
                let needed = demands(what, self.vocabulary).into_iter();
                let failing = needed.filter(|demand| !demand.holds(state, self.vocabulary));
                violations.extend(failing.map(|demand| Violation { node, deed, demand }));
            }
        }
        violations
    }
}

impl Effects {
    fn of(graph: &FlowGraph<'_>, vocabulary: &Vocabulary) -> Self {
        let (mut done, mut cannot) =
            (Lists::with_room_for(graph.nodes.len()), Lists::with_room_for(graph.nodes.len()));
        for node in &graph.nodes {
            done.push(node.deeds.iter().flat_map(|deed| changes(deed, vocabulary)));
            cannot.push(node.deeds.iter().flat_map(|deed| changes_on_cannot(deed, vocabulary)));
        }
        Self { done, cannot }
    }
}
