//! `compare-misfit`: a reading is compared with something that was not read before, or in other units.

use petgraph::algo::dominators::simple_fast;

use crate::diag::{Problems, Weight, nearest};

use super::super::model::{Kind, Step, StepIx, Tree};
use super::subject::{Subject, node};
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "compare-misfit", weight: Weight::Refused, doc: include_str!("compare-misfit.md"), run };

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    let compared: Vec<_> = subject
        .tree
        .iter()
        .filter_map(|(ix, step)| match &step.kind {
            Kind::Read(read) => Some((ix, step, read.compare.as_deref()?)),
            _ => None,
        })
        .collect();
    if compared.is_empty() {
        return;
    }
    // The steps that lie on every path to a step dominate it.
    let dominators = simple_fast(&subject.graph, node(subject.tree.start));
    for (ix, step, name) in compared {
        let place = step.place.key("compare");
        let Some(other) = named_from(subject.tree, step, name) else {
            let readings = subject.tree.steps.iter().filter(|s| matches!(s.kind, Kind::Read(_)));
            RULE.at(place, problems).says(
                format!("there is no step `{name}` to compare with"),
                WHY,
                nearest(name, readings.map(|s| s.id.as_str()))
                    .map_or_else(|| "the id of an earlier `read` step".to_owned(), |id| format!("`{id}`, if that is meant")),
            );
            continue;
        };
        let before = || dominators.dominators(node(ix)).is_none_or(|mut all| all.any(|on| on == node(other)));
        let wrong = match (&step.kind, &subject.tree.step(other).kind) {
            _ if other == ix => format!("`{name}` is compared with itself"),
            (Kind::Read(here), Kind::Read(there)) if here.measure != there.measure => {
                format!("`{name}` reads {}, this step {}", there.measure, here.measure)
            }
            (_, Kind::Read(_)) if subject.complete && !before() => {
                format!("not every path to this step comes by `{name}`")
            }
            (_, Kind::Read(_)) => continue,
            (_, kind) => format!("`{name}` is no `read` step but `{}`", kind.word()),
        };
        RULE.at(place, problems).says(wrong, WHY, "an earlier `read` step of the same kind, on every path to this one");
    }
}

const WHY: &str = "There would be no earlier reading to hold this one against.";

/// The step that a name means at a step: inside a copy of a group the copy's own steps come first.
fn named_from(tree: &Tree, step: &Step, name: &str) -> Option<StepIx> {
    let beside = step.id.rsplit_once('/').and_then(|(prefix, _)| tree.find(&format!("{prefix}/{name}")));
    beside.or_else(|| tree.find(name))
}
