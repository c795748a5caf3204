//! `band-twice`: two bands of one step for the same likeness, or for readings that jump.

use crate::diag::{Problems, Weight};

use super::super::model::{BandKind, Like};
use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "band-twice", weight: Weight::Refused, doc: include_str!("band-twice.md"), run };

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (step, read) in subject.readings() {
        let mut seen: Vec<String> = Vec::new();
        for (at, band) in read.bands.iter().enumerate() {
            let doubled = names_of(&band.kind).into_iter().find(|name| seen.contains(name));
            if let Some(name) = doubled {
                RULE.at(step.place.key("bands").item(at), problems).says(
                    format!("two bands of this step are for {name}"),
                    "The same reading would lead two ways.",
                    "one of the two",
                );
            }
            seen.extend(names_of(&band.kind));
        }
    }
}

fn names_of(kind: &BandKind) -> Vec<String> {
    match kind {
        BandKind::Range(range) if range.jumps() => vec!["readings that jump".to_owned()],
        BandKind::Range(_) => Vec::new(),
        BandKind::Like(Like::Healthy) => vec!["a healthy machine".to_owned()],
        BandKind::Like(Like::Rest) => vec!["the rest".to_owned()],
        BandKind::Like(Like::Faults(faults)) => faults.iter().map(|fault| format!("`{fault}`")).collect(),
    }
}
