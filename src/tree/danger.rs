//! Why a demand is not met: the shortest path that shows it, and what was lost where.
//!
//! Breadth-first over (step, values that the facets in question have on this path): along one path the
//! values are known exactly, so a path found is a real one, and the first found is a shortest. Where
//! no single path fails every alternative of an "or", there is one path for each.

use std::collections::{HashSet, VecDeque};

use petgraph::graph::NodeIndex;

use crate::safety::{Atom, Change, Facet, Missing, State, Values};

use super::flow::{EdgeKind, Flow, Violation};

/// Facets followed at once for one path; more are left to the paths of the single alternatives.
const FOLLOWED: usize = 4;

/// The paths that show a violation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Danger {
    /// One path on which the demand fails; or, where the rule says "or" and each alternative fails on
    /// another path only, one path for each alternative.
    pub paths: Vec<DangerPath>,
}

/// A path from the start to the step, and what is missing there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DangerPath {
    /// The steps, the start first.
    pub hops: Vec<Hop>,
    /// What is missing at the last of them.
    pub losses: Vec<Loss>,
}

/// A step on a path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hop {
    /// The step.
    pub node: usize,
    /// The edge that led to it, by its number; none at the start.
    pub edge: Option<usize>,
}

/// Something missing, and where on the path it was lost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Loss {
    /// What is missing, with the values it can have on this path.
    pub missing: Missing,
    /// Where.
    pub lost: Lost,
}

/// Where on a path something was lost; the place is that of the step in [`DangerPath::hops`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lost {
    /// It was never in force on this path.
    NeverInForce,
    /// By what this step does.
    By(usize),
    /// Because this step could not be done.
    OnCannot(usize),
}

/// A facet with the values it must have.
type Wanted = (Facet, Values);

struct Trail {
    node: usize,
    edge: Option<usize>,
    before: Option<usize>,
}

impl Flow<'_> {
    /// The shortest path that shows the violation, and what was lost where. Each call searches the
    /// graph, so that who shows many violations had best stop after some.
    #[must_use]
    pub fn danger(&self, violation: &Violation) -> Danger {
        let Some(state) = self.state_in(violation.node) else { return Danger { paths: Vec::new() } };
        let missing: Vec<Vec<Wanted>> = violation
            .demand
            .need
            .alternatives()
            .iter()
            .map(|atoms| atoms.iter().flat_map(|atom| self.missing(*atom, state)).collect())
            .collect();
        let paths = match missing.as_slice() {
            [] => vec![self.shortest(violation.node, &[], &|_| true)],
            [one] => vec![self.shortest_of_any(violation.node, one)],
            several => self.all_fail(violation.node, several),
        };
        Danger { paths: paths.into_iter().flatten().collect() }
    }

    fn missing(&self, atom: Atom, state: &State) -> Vec<Wanted> {
        let mut missing = atom.missing(state, self.vocabulary);
        missing.truncate(FOLLOWED);
        missing
    }

    /// The shortest path on which at least one of these is missing.
    fn shortest_of_any(&self, node: usize, wanted: &[Wanted]) -> Option<DangerPath> {
        let paths = wanted.iter().filter_map(|one| {
            self.shortest(node, std::slice::from_ref(one), &|values| !values[0].is_within(one.1))
        });
        paths.min_by_key(|path| path.hops.len())
    }

    /// One path on which every alternative fails, or else one for each alternative.
    fn all_fail(&self, node: usize, alternatives: &[Vec<Wanted>]) -> Vec<Option<DangerPath>> {
        let each = FOLLOWED.div_ceil(alternatives.len());
        let groups: Vec<&[Wanted]> =
            alternatives.iter().map(|group| &group[..group.len().min(each)]).collect();
        let followed = groups.concat();
        let fails = |values: &[Values]| {
            let mut at = 0;
            groups.iter().all(|group| {
                let these = &values[at..at + group.len()];
                at += group.len();
                these.iter().zip(*group).any(|(value, (_, allowed))| !value.is_within(*allowed))
            })
        };
        match self.shortest(node, &followed, &fails) {
            Some(path) => vec![Some(path)],
            None => alternatives.iter().map(|group| self.shortest_of_any(node, group)).collect(),
        }
    }

    fn shortest(
        &self,
        goal: usize,
        followed: &[Wanted],
        is_shown: &dyn Fn(&[Values]) -> bool,
    ) -> Option<DangerPath> {
        let start: Vec<Values> = followed.iter().map(|(facet, _)| self.vocabulary.at_start(*facet)).collect();
        let mut seen = HashSet::from([(self.graph.start, start.clone())]);
        let mut trails = vec![Trail { node: self.graph.start, edge: None, before: None }];
        let mut queue = VecDeque::from([(0, start)]);
        while let Some((at, values)) = queue.pop_front() {
            let node = trails[at].node;
            if node == goal && is_shown(&values) {
                return Some(self.told(&trails, at, followed));
            }
            // Edges come newest first; the file's own order makes the shown path the natural one.
            let mut numbers: Vec<usize> =
                self.net.edges(NodeIndex::new(node)).map(|edge| *edge.weight()).collect();
            numbers.reverse();
            for number in numbers {
                let edge = &self.graph.edges[number];
                let next = self.after(&self.changes_along(edge), followed, &values);
                if seen.insert((edge.to, next.clone())) {
                    trails.push(Trail { node: edge.to, edge: Some(number), before: Some(at) });
                    queue.push_back((trails.len() - 1, next));
                }
            }
        }
        None
    }

    fn after(&self, changes: &[Change], followed: &[Wanted], values: &[Values]) -> Vec<Values> {
        let outcome = |(facet, before): (Facet, Values)| {
            changes.iter().fold(before, |now, change| change.outcome(facet, self.vocabulary).unwrap_or(now))
        };
        followed.iter().zip(values).map(|((facet, _), before)| outcome((*facet, *before))).collect()
    }

    fn told(&self, trails: &[Trail], end: usize, followed: &[Wanted]) -> DangerPath {
        let mut hops = Vec::new();
        let mut at = Some(end);
        while let Some(here) = at {
            hops.push(Hop { node: trails[here].node, edge: trails[here].edge });
            at = trails[here].before;
        }
        hops.reverse();
        let losses = followed.iter().filter_map(|wanted| self.loss(&hops, *wanted)).collect();
        DangerPath { hops, losses }
    }

    /// Follows one facet along the path to where it was last lost; nothing if it holds at the end.
    fn loss(&self, hops: &[Hop], wanted: Wanted) -> Option<Loss> {
        let (facet, allowed) = wanted;
        let mut values = self.vocabulary.at_start(facet);
        let mut lost = Lost::NeverInForce;
        for (place, hop) in hops.iter().enumerate().skip(1) {
            let Some(edge) = hop.edge.and_then(|number| self.graph.edges.get(number)) else { continue };
            let next = self.after(&self.changes_along(edge), &[wanted], &[values]);
            if values.is_within(allowed) && !next[0].is_within(allowed) {
                lost = if edge.kind == EdgeKind::Cannot {
                    Lost::OnCannot(place - 1)
                } else {
                    Lost::By(place - 1)
                };
            }
            values = next[0];
        }
        let missing = Missing { facet, allowed, can_be: values };
        (!values.is_within(allowed)).then_some(Loss { missing, lost })
    }
}
