//! `unknown-function`: a function that is watched under a name that is nearly one of the symptom's.

use crate::diag::{Problems, Weight, nearest};

use super::super::model::{Kind, Observe};
use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "unknown-function", weight: Weight::Warning, doc: include_str!("unknown-function.md"), run };

/// Without a machine a tree may watch functions that its symptom does not name; only a likely slip is told.
fn run(subject: &Subject<'_>, problems: &mut Problems) {
    if subject.tree.machine.is_some() {
        return;
    }
    let known = || subject.tree.symptom.iter().map(|(name, _)| name.as_str());
    for (_, step) in subject.steps() {
        let Kind::Ask(ask) = &step.kind else { continue };
        let Some(Observe::Function(name)) = &ask.observe else { continue };
        if known().any(|function| function == name) {
            continue;
        }
        let Some(meant) = nearest(name, known()) else { continue };
        RULE.at(step.place.key("observe"), problems).says(
            format!("the symptom has a function `{meant}`, and this step watches `{name}`"),
            "What is seen here would say nothing about the fault.",
            format!("`observe: {meant}`, if that is meant"),
        );
    }
}
