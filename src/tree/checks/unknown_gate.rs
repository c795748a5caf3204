//! `unknown-gate`: a gate that neither the program nor the machine file has.

use crate::diag::{Problems, Weight, nearest};

use super::super::model::Kind;
use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "unknown-gate", weight: Weight::Refused, doc: include_str!("unknown-gate.md"), run };

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    let Some(vocabulary) = subject.vocabulary else { return };
    for (_, step) in subject.steps() {
        let Kind::Gate(gate) = &step.kind else { continue };
        if gate.gate.is_empty() || vocabulary.gate(&gate.gate).is_some() {
            continue;
        }
        let known: Vec<&str> = vocabulary.gates().map(|id| id.name(vocabulary)).collect();
        let all = known.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ");
        RULE.at(step.place.key("gate"), problems).says(
            format!("there is no gate `{}`", gate.gate),
            "A gate nobody knows makes nothing safe.",
            nearest(&gate.gate, known).map_or_else(
                || format!("one of {all}"),
                |name| format!("`{name}`, if that is meant"),
            ),
        );
    }
}
