//! `band-mixed`: bands in numbers beside bands by likeness. (A single band with both is told by the loader.)

use crate::diag::{Problems, Weight};

use super::super::model::BandKind;
use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "band-mixed", weight: Weight::Refused, doc: include_str!("band-mixed.md"), run };

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (step, read) in subject.readings() {
        let is_like = |kind: &BandKind| matches!(kind, BandKind::Like(_));
        let is_number = |kind: &BandKind| matches!(kind, BandKind::Range(range) if !range.jumps());
        let Some(first) = read.bands.iter().find(|b| is_like(&b.kind) || is_number(&b.kind)) else { continue };
        let other = read.bands.iter().position(|band| {
            if is_like(&first.kind) { is_number(&band.kind) } else { is_like(&band.kind) }
        });
        let Some(at) = other else { continue };
        RULE.at(step.place.key("bands").item(at), problems).says(
            "one step has bands in numbers and bands by likeness",
            "The two would disagree on another day, with another battery.",
            "all bands in numbers, or all by `like:`",
        );
    }
}
