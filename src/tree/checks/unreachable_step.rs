//! `unreachable-step`: a step that no path from the start comes to.

use std::collections::HashSet;

use petgraph::Direction;
use petgraph::algo::kosaraju_scc;

use crate::diag::{Problems, Weight};

use super::super::model::StepIx;
use super::subject::{Subject, node, step_of};
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "unreachable-step", weight: Weight::Refused, doc: include_str!("unreachable-step.md"), run };

/// Only the first steps of what hangs loose are told; what only they lead to is reached when they are. Loose steps in
/// a circle are told as the cycle they are.
fn run(subject: &Subject<'_>, problems: &mut Problems) {
    if !subject.complete {
        return;
    }
    let reached = subject.spread([subject.tree.start], Direction::Outgoing, |_| true);
    let knotted: HashSet<StepIx> = kosaraju_scc(&subject.graph)
        .into_iter()
        .filter(|knot| knot.len() > 1)
        .flatten()
        .map(step_of)
        .collect();
    for (ix, step) in subject.tree.iter().filter(|(ix, _)| !reached.holds(*ix)) {
        let mut before = subject.graph.neighbors_directed(node(ix), Direction::Incoming);
        if knotted.contains(&ix) || before.any(|from| step_of(from) != ix) {
            continue;
        }
        // A gate of a list and a step of a group are reached by the name of the step that the author wrote.
        let written = step.id.split('/').next().unwrap_or(&step.id);
        RULE.at(step.place.as_key(), problems).says(
            format!("no path from the start comes to `{written}`"),
            "It is never shown: a finding or a gate that stands here is missing in every walk.",
            format!("`go: {written}` where it belongs, or take the step out"),
        );
    }
}
