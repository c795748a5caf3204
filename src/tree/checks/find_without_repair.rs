//! `find-without-repair`: a fault is named and the job closed as repaired, and nothing says what is put right.

use crate::diag::{Problems, Weight};

use super::super::model::Repair;
use super::find_without_cause::repaired_findings;
use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule = Rule {
    name: "find-without-repair",
    weight: Weight::Refused,
    doc: include_str!("find-without-repair.md"),
    run,
};

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (_, step, find) in repaired_findings(subject) {
        let says_something = |repair: &Repair| !repair.jobs.is_empty() || repair.text.is_some();
        if find.repair.as_ref().is_some_and(says_something) {
            continue;
        }
        RULE.at(step.place.as_key(), problems).says(
            format!("the finding `{}` does not say what is put right", step.id),
            "The repair step has nothing to show, and nobody knows whether it needs heat or a hand under the cab.",
            "`repair: {splice: W35}`, or `replace:`, `clean:`, `tighten:` … with the part",
        );
    }
}
