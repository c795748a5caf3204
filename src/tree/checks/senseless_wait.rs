//! `senseless-wait`: a wait before a reading that is nothing, or longer than a day.

use crate::diag::{Problems, Weight};

use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "senseless-wait", weight: Weight::Warning, doc: include_str!("senseless-wait.md"), run };

/// A day, in minutes: our choice, no source. A battery at rest is read after hours, never after days.
const LONGEST: f64 = 24.0 * 60.0;

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (step, read) in subject.readings() {
        let Some(wait) = read.wait.map(crate::units::Minutes::value) else { continue };
        if wait > 0.0 && wait <= LONGEST {
            continue;
        }
        let wrong = if wait > LONGEST { "the wait is longer than a day" } else { "the wait is no time at all" };
        RULE.at(step.place.key("wait"), problems).says(
            wrong,
            "The mechanic stands at the machine meanwhile, or reads before the value has settled.",
            "`wait: 2 min`, or no `wait:`; for a machine that has to stand overnight, `refer` with `waits-for`",
        );
    }
}
