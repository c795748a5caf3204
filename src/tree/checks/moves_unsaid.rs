//! `moves-unsaid`: a function is watched, and neither a machine nor the step says what it moves.

use crate::diag::{Problems, Weight};

use super::super::model::{Kind, Observe};
use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "moves-unsaid", weight: Weight::Warning, doc: include_str!("moves-unsaid.md"), run };

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    if subject.tree.machine.is_some() {
        return;
    }
    for (_, step) in subject.sound_steps_here().filter(|(_, step)| step.moves.is_empty()) {
        let (key, watches) = match &step.kind {
            Kind::Ask(ask) if ask.phone => continue,
            Kind::Ask(ask) if matches!(ask.observe, Some(Observe::Function(_))) => ("observe", true),
            Kind::Ask(ask) => ("proof", ask.proof.is_some()),
            Kind::Read(read) => ("proof", read.proof.is_some()),
            _ => continue,
        };
        if watches {
            RULE.at(step.place.key(key), problems).says(
                "nothing says what moves while this is watched",
                "It is taken that the arms move, so that they count as raised afterwards.",
                "`moves: arms`, `moves: travel`, both, or `moves: nothing`",
            );
        }
    }
}
