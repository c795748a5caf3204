//! `unknown-zone`: a zone that neither the program nor the machine file has.

use crate::diag::{Problems, Weight, nearest};

use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "unknown-zone", weight: Weight::Refused, doc: include_str!("unknown-zone.md"), run };

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    let Some(vocabulary) = subject.vocabulary else { return };
    for (_, step) in subject.steps() {
        let Some(zone) = step.zone.as_deref().filter(|zone| vocabulary.zone(zone).is_none()) else { continue };
        let known: Vec<&str> = vocabulary.zone_names().collect();
        RULE.at(step.place.key("zone"), problems).says(
            format!("there is no zone `{zone}`"),
            "Nobody can say what must hold before somebody puts head or hands there.",
            nearest(zone, known.iter().copied()).map_or_else(
                || format!("one of {}", known.iter().map(|z| format!("`{z}`")).collect::<Vec<_>>().join(", ")),
                |name| format!("`{name}`, if that is meant"),
            ),
        );
    }
}
