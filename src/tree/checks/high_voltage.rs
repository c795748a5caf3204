//! `high-voltage`: a reading above 60 V that leads anywhere but to somebody licensed for it.

use std::cell::OnceCell;

use crate::diag::{Problems, Weight};
use crate::safety::SafetyRule;
use crate::units::{Amount, Measure};

use super::super::model::{BandKind, Kind};
use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "high-voltage", weight: Weight::Refused, doc: include_str!("high-voltage.md"), run };

/// The limit of d.c. that may be worked on without more (IEC 61140, IEC 60364-4-41: extra-low voltage in dry
/// conditions, ripple-free; from memory).
const LIMIT: f64 = 60.0;

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    // Worked out once, and only where a band is that high: what leads to anything but gates and a hand-over.
    let leads_on = OnceCell::new();
    let goes_on = || subject.leading_to(|step| !matches!(step.kind, Kind::Gate(_) | Kind::Refer(_)));
    for (step, read) in subject.sound_readings() {
        if read.measure != Measure::Volts {
            continue;
        }
        for (at, band) in read.bands.iter().enumerate() {
            let BandKind::Range(range) = band.kind else { continue };
            let high = |edge: Option<Amount>| edge.is_some_and(|edge| edge.value().abs() > LIMIT);
            let only_referred = || {
                subject.tree.land(band.go).is_some_and(|to| !leads_on.get_or_init(goes_on).holds(to))
            };
            if (high(range.from()) || high(range.to())) && !only_referred() {
                let rule = SafetyRule::HighVoltage;
                RULE.at(step.place.key("bands").item(at), problems).says(
                    "this band is for more than 60 V d.c., and leads on in the tree",
                    rule.at_machine(),
                    rule.write(),
                );
            }
        }
    }
}
