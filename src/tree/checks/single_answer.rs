//! `single-answer`: a question with one answer only.

use crate::diag::{Problems, Weight};

use super::super::model::Kind;
use super::subject::{Subject, answers_of};
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "single-answer", weight: Weight::Warning, doc: include_str!("single-answer.md"), run };

/// A proof is left to `proof-one-way`.
fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (_, step) in subject.sound_steps_here() {
        let is_proof = matches!(&step.kind, Kind::Ask(ask) if ask.proof.is_some());
        if is_proof || answers_of(step).len() != 1 {
            continue;
        }
        RULE.at(step.place.key("answers").as_key(), problems).says(
            "there is only one answer to choose",
            "It tells no suspects apart, and whoever sees something else has no answer to give.",
            "the other answer too; or a `do` step, if it is no question",
        );
    }
}
