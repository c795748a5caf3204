//! `band-gap`: a reading that no band takes.

use crate::diag::{Problems, Weight};
use crate::units::{BandFlaw, coverage};

use super::super::model::{BandKind, Read};
use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "band-gap", weight: Weight::Refused, doc: include_str!("band-gap.md"), run };

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (step, read) in subject.sound_readings() {
        for flaw in flaws(read) {
            let BandFlaw::Gap(gap) = flaw else { continue };
            RULE.at(step.place.key("bands"), problems).says(
                format!("no band takes a reading {}", spoken(gap)),
                "With such a reading on the meter the mechanic could not go on.",
                format!("a band for it, or a neighbour that reaches over: {}", written(gap)),
            );
        }
    }
}

/// What is wrong with the bands in numbers; nothing where a likeness stands among them.
pub(super) fn flaws(read: &Read) -> Vec<BandFlaw> {
    let ranges: Option<Vec<_>> = read
        .bands
        .iter()
        .map(|band| match band.kind {
            BandKind::Range(range) => Some(range),
            BandKind::Like(_) => None,
        })
        .collect();
    ranges.map_or_else(Vec::new, |ranges| coverage(read.measure, &ranges))
}

/// A range in a sentence.
pub(super) fn spoken(band: crate::units::Band) -> String {
    match (band.from(), band.to()) {
        (Some(from), Some(to)) => format!("from {from} to {to}"),
        (Some(from), None) => format!("from {from} up"),
        (None, Some(to)) => format!("below {to}"),
        (None, None) => "at all".to_owned(),
    }
}

/// A range as a file writes it.
fn written(band: crate::units::Band) -> String {
    match (band.from(), band.to()) {
        (Some(from), Some(to)) => format!("`{{from: {from:#}, to: {to:#}, go: …}}`"),
        (Some(from), None) => format!("`{{above: {from:#}, go: …}}`"),
        (None, Some(to)) => format!("`{{below: {to:#}, go: …}}`"),
        (None, None) => "`{below: …, go: …}` and `{above: …, go: …}`".to_owned(),
    }
}
