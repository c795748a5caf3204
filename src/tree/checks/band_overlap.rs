//! `band-overlap`: a reading that two bands take.

use crate::diag::{Problems, Weight};
use crate::units::BandFlaw;

use super::band_gap::{flaws, spoken};
use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "band-overlap", weight: Weight::Refused, doc: include_str!("band-overlap.md"), run };

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (step, read) in subject.sound_readings() {
        for flaw in flaws(read) {
            let BandFlaw::Overlap { first, second, shared } = flaw else { continue };
            RULE.at(step.place.key("bands").item(second), problems).says(
                format!("a reading {} is taken by this band and by band {}", spoken(shared), first + 1),
                "The same reading would lead two ways, and the wrong part might be changed.",
                "edges that meet: the upper edge of one band is the lower edge of the next",
            );
        }
    }
}
