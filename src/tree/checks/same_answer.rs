//! `same-answer`: two answers of one question with the same words.

use std::hash::{BuildHasher as _, RandomState};

use hashbrown::HashTable;
use hashbrown::hash_table::Entry;

use crate::diag::{Problems, Weight};

use super::super::model::Answer;
use super::subject::{Subject, answers_of};
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "same-answer", weight: Weight::Refused, doc: include_str!("same-answer.md"), run };

/// Up to so many answers are held against each other one by one.
const FEW: usize = 12;

/// What an answer says in a language; of hundreds of thousands none is written down once more.
#[derive(Clone, Copy)]
struct Said<'a> {
    lang: &'a str,
    text: &'a str,
    id: &'a str,
}

impl Said<'_> {
    fn hashed(&self, hasher: &RandomState) -> u64 {
        hasher.hash_one((self.lang, self.text.to_lowercase()))
    }

    fn is_as(&self, other: &Said<'_>) -> bool {
        self.lang == other.lang && are_same(self.text, other.text)
    }
}

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    let hasher = RandomState::new();
    for (_, step) in subject.steps() {
        let answers = answers_of(step);
        if answers.len() <= FEW && !any_same(answers) {
            continue;
        }
        let mut said: HashTable<Said<'_>> = HashTable::with_capacity(answers.len());
        for answer in answers {
            let mut other = None;
            for (lang, text) in answer.text.wordings() {
                let words = Said { lang, text, id: &answer.id };
                match said.entry(words.hashed(&hasher), |old| words.is_as(old), |old| old.hashed(&hasher)) {
                    Entry::Occupied(old) => other = other.or(Some(old.get().id)),
                    Entry::Vacant(new) => {
                        new.insert(words);
                    }
                }
            }
            if let Some(other) = other {
                RULE.at(step.place.key("answers").key(&answer.id).key("text"), problems).says(
                    format!("the answers `{other}` and `{}` have the same words", answer.id),
                    "The mechanic could not tell them apart, and half of the time goes the wrong way.",
                    "words that say what is different",
                );
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
