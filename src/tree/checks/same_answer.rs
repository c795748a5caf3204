//! `same-answer`: two answers of one question with the same words.

use std::collections::HashMap;

use crate::diag::{Problems, Weight};

use super::super::model::Answer;
use super::subject::{Subject, answers_of};
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "same-answer", weight: Weight::Refused, doc: include_str!("same-answer.md"), run };

/// Up to so many answers are held against each other one by one.
const FEW: usize = 12;

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (_, step) in subject.steps() {
        let answers = answers_of(step);
        if answers.len() <= FEW && !any_same(answers) {
            continue;
        }
        let mut said: HashMap<(&str, String), &str> = HashMap::new();
        for answer in answers {
            let wordings = || answer.text.wordings().map(|(lang, text)| (lang, text.to_lowercase()));
            if let Some(other) = wordings().find_map(|words| said.get(&words)) {
                RULE.at(step.place.key("answers").key(&answer.id).key("text"), problems).says(
                    format!("the answers `{other}` and `{}` have the same words", answer.id),
                    "The mechanic could not tell them apart, and half of the time goes the wrong way.",
                    "words that say what is different",
                );
            }
            for words in wordings() {
                said.entry(words).or_insert(&answer.id);
            }
        }
    }
}

/// Whether two of a few answers have the same words.
fn any_same(answers: &[Answer]) -> bool {
    answers.iter().enumerate().any(|(nth, one)| {
        let mut before = answers[..nth].iter().flat_map(|before| before.text.wordings());
        before.any(|old| one.text.wordings().any(|new| old.0 == new.0 && are_same(old.1, new.1)))
    })
}

/// Whether two texts have the same words; mostly their first letters tell that they have not.
fn are_same(one: &str, other: &str) -> bool {
    let differ = |(a, b): (&u8, &u8)| a.is_ascii() && b.is_ascii() && !a.eq_ignore_ascii_case(b);
    !one.as_bytes().first().zip(other.as_bytes().first()).is_some_and(differ)
        && one.to_lowercase() == other.to_lowercase()
}
