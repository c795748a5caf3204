//! `find-nothing`: a finding that names no fault.

use crate::diag::{Problems, Weight};

use super::super::model::Kind;
use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "find-nothing", weight: Weight::Refused, doc: include_str!("find-nothing.md"), run };

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (_, step) in subject.sound_steps_here() {
        let Kind::Find(find) = &step.kind else { continue };
        if find.faults.is_empty() {
            RULE.at(step.place.key("find"), problems).says(
                "this finding names no fault",
                "The report would say that something was found, and not what.",
                "`find: [W35 grounded at pivot-clamp]`, what is wrong with which part",
            );
        }
    }
}
