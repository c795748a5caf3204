//! `held-without-state`: a proof that the interlock holds, which does not say in which state.

use crate::diag::{Problems, Weight};

use super::super::model::{Kind, Proof};
use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule = Rule {
    name: "held-without-state",
    weight: Weight::Error,
    doc: include_str!("held-without-state.md"),
    run,
};

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (_, step) in subject.sound_steps_here() {
        let proof = match &step.kind {
            Kind::Ask(ask) => ask.proof,
            Kind::Read(read) => read.proof,
            _ => None,
        };
        if proof == Some(Proof::Held) && step.with.is_empty() {
            RULE.at(step.place.key("proof"), problems).says(
                "`proof: held` does not say in which state the function must be held",
                "Each interlock is tried on its own; nobody could tell which one was.",
                "`with:` the control in that state, as `with: {bar: up}`",
            );
        }
    }
}
