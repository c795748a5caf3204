//! What a tree has prepared at a step beyond what safety asks for: the power that every path to it has put in force,
//! the plugs it names that every path has parted, and the controls that every path has tied where nobody sits to hold
//! them. Who comes to the step another way (a jump, a better order) has to prepare the same, or its words do not fit: a
//! look inside a plug needs it apart.
//!
//! Paths are those on which everything can be done and no other round begins; they are joined as in the safety check.

use crate::safety::{Atom, Demand, Facet, Fact, NamedKind, Power, SafetyRule, State, Values, Vocabulary};

use super::course::Course;
use super::flow::{EdgeKind, Flow};
use super::model::{Act, Kind, Step, StepIx, Target, Tree};

/// Where a mechanic can hold the controls.
const SEAT: &str = "seat";

/// What a tree has prepared at a step.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Prepared {
    /// What gates can put in force: the power.
    pub by_gates: Vec<Demand>,
    /// What only steps of the tree can do: plugs apart or together, bridges in, controls tied.
    pub by_steps: Vec<Demand>,
    /// It is come to only through a thing to do that leaves no trace in the state.
    pub is_led_to: bool,
}

/// For each step, by number.
pub(super) fn prepared_of_all(course: &Course) -> Vec<Prepared> {
    let (tree, vocabulary) = (course.tree(), course.vocabulary());
    let mut graph = course.flow_graph();
    graph.edges.retain(|edge| edge.kind == EdgeKind::Go);
    let Ok(flow) = Flow::over(&graph, vocabulary) else { return vec![Prepared::default(); tree.steps.len()] };
    let before = steps_before(tree);
    let one = |(ix, step): (StepIx, &Step)| {
        let Some(state) = flow.state_in(ix.at()) else { return Prepared::default() };
        let before: Vec<&Step> = before[ix.at()].iter().map(|ix| tree.step(*ix)).collect();
        Prepared {
            by_gates: power(step, state, vocabulary).into_iter().collect(),
            by_steps: [plugs(step, &before, state, vocabulary), ties(tree, step, (state, vocabulary))]
                .concat(),
            is_led_to: is_test(step) && !before.is_empty() && before.iter().all(|step| leaves_no_trace(step)),
        }
    };
    tree.iter().map(one).collect()
}

fn steps_before(tree: &Tree) -> Vec<Vec<StepIx>> {
    let mut before = vec![Vec::new(); tree.steps.len()];
    for (ix, step) in tree.iter() {
        let mut targets = step.targets();
        if step.cannot.is_some() {
            targets.pop();
        }
        for target in targets.into_iter().filter(|target| *target != Target::Again) {
            if let Some(to) = tree.land(target) {
                before[to.at()].push(ix);
            }
        }
    }
    before
}

fn is_test(step: &Step) -> bool {
    matches!(step.kind, Kind::Look(_) | Kind::Read(_))
}

/// Hands are on the machine: with the engine stopped on every path, it is stopped; locked out, it is locked out.
fn power(step: &Step, state: &State, vocabulary: &Vocabulary) -> Option<Demand> {
    let values = state.values(Facet::POWER, vocabulary);
    let stopped = Power::Live.only().or(Power::Off.only()).or(Power::Isolated.only());
    let dead = Power::Off.only().or(Power::Isolated.only());
    let asked = match &step.kind {
        Kind::Read(_) => values,
        // What is looked at or done while the power is on could be done without.
        Kind::Look(_) | Kind::Do(_) if values.is_within(dead) => values,
        Kind::Look(_) | Kind::Do(_) if values.is_within(stopped) => stopped,
        _ => return None,
    };
    let all = vocabulary.all(Facet::POWER);
    (!values.is_empty() && !all.is_within(asked)).then(|| within(Facet::POWER, asked))
}

/// The plugs that a test names, and those parted just before it: apart or together, as on every path.
fn plugs(step: &Step, before: &[&Step], state: &State, vocabulary: &Vocabulary) -> Vec<Demand> {
    let named: Vec<&str> = match &step.kind {
        Kind::Look(look) => look.places.iter().map(String::as_str).collect(),
        Kind::Read(read) => read.points(),
        _ => return Vec::new(),
    };
    let is_named = |part: &str| named.iter().any(|name| name.split([':', '@']).next() == Some(part));
    let parted = |part: &str| {
        let does = |step: &&Step| step.done_to(Act::Unplugs).any(|plug| plug == part);
        !before.is_empty() && before.iter().all(does)
    };
    let reads = matches!(step.kind, Kind::Read(_));
    let mut asked = Vec::new();
    for (plug, facet) in vocabulary.named(NamedKind::Apart) {
        let is = |fact: Fact| state.is_within(facet, fact.only(), vocabulary);
        if is(Fact::Yes) && (is_named(plug) || parted(plug)) {
            asked.push(within(facet, Fact::Yes.only()));
        } else if is(Fact::No) && reads && is_named(plug) {
            asked.push(within(facet, Fact::No.only()));
        }
    }
    for (_, facet) in vocabulary.named(NamedKind::Bridged).into_iter().filter(|_| reads) {
        if state.is_within(facet, Fact::Yes.only(), vocabulary) {
            asked.push(within(facet, Fact::Yes.only()));
        }
    }
    asked
}

/// The controls that a test sets and every path has tied: away from the seat nobody holds them.
fn ties(tree: &Tree, step: &Step, (state, vocabulary): (&State, &Vocabulary)) -> Vec<Demand> {
    if !is_test(step) || step.zone.as_deref().is_none_or(|zone| zone == SEAT) {
        return Vec::new();
    }
    let is_set = |name: &str| tree.setup.iter().chain(&step.with).any(|(control, _)| control == name);
    let tied = vocabulary.named(NamedKind::Tied).into_iter().filter(|(control, _)| is_set(control));
    tied.filter(|(_, facet)| state.is_within(*facet, Fact::Yes.only(), vocabulary))
        .map(|(_, facet)| within(facet, Fact::Yes.only()))
        .collect()
}

fn within(facet: Facet, values: Values) -> Demand {
    Demand::one(SafetyRule::SetupContradicts, Atom::Within(facet, values))
}

/// A thing to do of which the state keeps nothing: a cover off, a battery charged.
fn leaves_no_trace(step: &Step) -> bool {
    matches!(&step.kind, Kind::Do(action) if action.acts.is_empty() && action.action.is_some())
}
