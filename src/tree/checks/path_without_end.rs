//! `path-without-end`: a step from which only another round follows, and never an end.

use crate::diag::{Problems, Weight};

use super::super::model::{Kind, Target};
use super::subject::{Subject, node};
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "path-without-end", weight: Weight::Refused, doc: include_str!("path-without-end.md"), run };

/// Every other step leads on, and a row of steps that leads on for ever is a cycle: only a step that has nothing but
/// `again` can keep a walk from an end.
fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (ix, step) in subject.sound_steps() {
        let ends = matches!(step.kind, Kind::Close(_) | Kind::Refer(_));
        if ends || subject.graph.neighbors(node(ix)).next().is_some() {
            continue;
        }
        if step.ways().all(|to| to == Target::Again) {
            RULE.at(step.place.as_key(), problems).says(
                format!("from `{}` only another round follows, never `close` or `refer`", step.id),
                "The job could not be ended: nobody would be told how the machine stands.",
                "at least one way to `close` or `refer`",
            );
        }
    }
}
