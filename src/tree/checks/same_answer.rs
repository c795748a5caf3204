//! `same-answer`: two answers of one question with the same words.

use crate::diag::{Problems, Weight};

use super::subject::{Subject, answers_of};
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "same-answer", weight: Weight::Refused, doc: include_str!("same-answer.md"), run };

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (_, step) in subject.tree.iter() {
        let mut said: Vec<(&str, String, &str)> = Vec::new();
        for answer in answers_of(step) {
            let wordings: Vec<_> =
                answer.text.wordings().map(|(lang, text)| (lang, text.to_lowercase(), answer.id.as_str())).collect();
            let same = wordings.iter().find_map(|new| said.iter().find(|old| (old.0, &old.1) == (new.0, &new.1)));
            if let Some((_, _, other)) = same {
                RULE.at(step.place.key("answers").key(&answer.id).key("text"), problems).says(
                    format!("the answers `{other}` and `{}` have the same words", answer.id),
                    "The mechanic could not tell them apart, and half of the time goes the wrong way.",
                    "words that say what is different",
                );
            }
            said.extend(wordings);
        }
    }
}
