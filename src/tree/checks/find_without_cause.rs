//! `find-without-cause`: a fault is named and repaired, and nothing says what made it.

use crate::diag::{Problems, Weight};

use super::super::model::{CloseAs, Find, Kind, Step, StepIx};
use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "find-without-cause", weight: Weight::Error, doc: include_str!("find-without-cause.md"), run };

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (_, step, _) in repaired_findings(subject).into_iter().filter(|(_, _, find)| find.cause.is_none()) {
        RULE.at(step.place.as_key(), problems).says(
            format!("the finding `{}` does not say what made the part fail", step.id),
            "Whatever rubbed, shook or leaked is still there, and the fault is back in a month.",
            "`cause:` what is to be removed; what only age can do is a cause too (`cause: worn out`)",
        );
    }
}

/// The findings from which a job can be closed as repaired; one that is only handed over is repaired by others.
pub(super) fn repaired_findings<'t>(subject: &Subject<'t>) -> Vec<(StepIx, &'t Step, &'t Find)> {
    let is_repaired = |step: &Step| matches!(&step.kind, Kind::Close(close) if close.how == CloseAs::Repaired);
    let repaired = subject.leading_to(is_repaired);
    subject
        .sound_steps()
        .filter(|(ix, _)| repaired.holds(*ix))
        .filter_map(|(ix, step)| match &step.kind {
            Kind::Find(find) => Some((ix, step, find)),
            _ => None,
        })
        .collect()
}
