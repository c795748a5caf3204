//! `senseless-repeat`: a reading that is repeated not at all, or more often than anybody would.

use crate::diag::{Problems, Weight};

use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "senseless-repeat", weight: Weight::Warning, doc: include_str!("senseless-repeat.md"), run };

/// Our choice, no source.
const MOST: u32 = 20;

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (step, read) in subject.readings() {
        let Some(times) = read.repeat.filter(|times| !(2..=MOST).contains(times)) else { continue };
        RULE.at(step.place.key("repeat"), problems).says(
            format!("`repeat: {times}` makes no sense"),
            "One reading is no repeat, and nobody reads the same point dozens of times with gloves on.",
            format!("a number from 2 to {MOST}, or no `repeat:`"),
        );
    }
}
