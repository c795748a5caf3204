//! `cycle`: steps that lead back to themselves.

use std::collections::hash_map::Entry;
use std::collections::{HashMap, HashSet, VecDeque};

use petgraph::algo::{kosaraju_scc, toposort};

use crate::diag::{Problems, Weight};

use super::super::model::{StepIx, Target};
use super::subject::{Subject, node, step_of, targets_with_places};
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "cycle", weight: Weight::Refused, doc: include_str!("cycle.md"), run };

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    // Where there is an order there is no knot, and no list of one step each is needed to see it.
    if toposort(&subject.graph, None).is_ok() {
        return;
    }
    let mut knots: Vec<Vec<StepIx>> = kosaraju_scc(&subject.graph)
        .into_iter()
        .map(|knot| knot.into_iter().map(step_of).collect::<Vec<_>>())
        .filter(|knot| knot.len() > 1 || subject.graph.contains_edge(node(knot[0]), node(knot[0])))
        .collect();
    for knot in &mut knots {
        knot.sort_unstable();
    }
    knots.sort_unstable();
    for knot in knots {
        let round = shortest_round(subject, &knot);
        let (Some(first), Some(last)) = (round.first(), round.last()) else { continue };
        let closing = subject.tree.step(*last);
        let place = targets_with_places(closing)
            .into_iter()
            .find(|(to, _)| *to == Target::Step(*first))
            .map_or_else(|| closing.place.clone(), |(_, place)| place);
        let opening = &subject.tree.step(*first).id;
        let mut path = round.clone();
        path.push(*first);
        RULE.at(place, problems).path(subject.named(&path)).says(
            if round.len() == 1 {
                format!("`{opening}` leads to itself")
            } else {
                format!("`{}` leads back to `{opening}`, and that leads here again", closing.id)
            },
            "The mechanic would go round in circles, asked the same again and again.",
            "a step further on; or `again` after a proof that failed, for another round",
        );
    }
}

/// The shortest way from the earliest step of a knot back to it, that step first.
fn shortest_round(subject: &Subject<'_>, knot: &[StepIx]) -> Vec<StepIx> {
    let Some(&first) = knot.first() else { return Vec::new() };
    let members: HashSet<StepIx> = knot.iter().copied().collect();
    let mut came_from: HashMap<StepIx, StepIx> = HashMap::new();
    let mut row = VecDeque::from([first]);
    while let Some(ix) = row.pop_front() {
        for to in subject.graph.neighbors(node(ix)).map(step_of).filter(|to| members.contains(to)) {
            if to == first {
                let mut round = vec![ix];
                while let Some(before) = came_from.get(round.last().unwrap_or(&first)) {
                    round.push(*before);
                }
                round.reverse();
                return round;
            }
            if let Entry::Vacant(free) = came_from.entry(to) {
                free.insert(ix);
                row.push_back(to);
            }
        }
    }
    Vec::new()
}
