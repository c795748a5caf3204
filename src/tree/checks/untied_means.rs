//! `untied-means`: an answer means `works` or `fails`, and nothing says of what.

use crate::diag::{Problems, Weight};

use super::super::model::{Kind, Step};
use super::subject::{Subject, answers_of};
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "untied-means", weight: Weight::Warning, doc: include_str!("untied-means.md"), run };

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (_, step) in subject.sound_steps_here().filter(|(_, step)| !is_tied(step)) {
        let lost = answers_of(step).iter().find_map(|answer| {
            let word = answer.means.as_ref()?.en();
            matches!(word, "works" | "fails" | "active").then_some((answer, word))
        });
        let Some((answer, word)) = lost else { continue };
        RULE.at(step.place.key("answers").key(&answer.id).key("means"), problems).says(
            format!("`means: {word}`, and the step does not say what it watches"),
            "The answer rules no suspect out, though it was meant to.",
            "`observe:` with the function or the code; or in words what the answer means",
        );
    }
}

fn is_tied(step: &Step) -> bool {
    matches!(&step.kind, Kind::Ask(ask) if ask.observe.is_some() || ask.proof.is_some())
}
