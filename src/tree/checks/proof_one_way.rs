//! `proof-one-way`: a proof that can only come out well, or only badly.

use crate::diag::{Problems, Weight};

use super::super::model::{Kind, Seen};
use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "proof-one-way", weight: Weight::Refused, doc: include_str!("proof-one-way.md"), run };

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (_, step) in subject.sound_steps_here() {
        let Kind::Ask(ask) = &step.kind else { continue };
        if ask.proof.is_none() {
            continue;
        }
        for (seen, word) in [(Seen::Works, "works"), (Seen::Fails, "fails")] {
            if ask.answers.iter().any(|answer| answer.seen == Some(seen)) {
                continue;
            }
            RULE.at(step.place.key("answers").as_key(), problems).says(
                format!("no answer of this proof says `means: {word}`"),
                "A proof that can come out only one way proves nothing.",
                format!("an answer with `means: {word}`; the one that shows the fault still there leads to `again`"),
            );
        }
    }
}
