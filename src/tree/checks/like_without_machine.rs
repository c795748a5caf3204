//! `like-without-machine`: a band by likeness in a tree that has no machine to be like.

use crate::diag::{Problems, Weight};

use super::super::model::BandKind;
use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule = Rule {
    name: "like-without-machine",
    weight: Weight::Refused,
    doc: include_str!("like-without-machine.md"),
    run,
};

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    if subject.tree.machine.is_some() {
        return;
    }
    for (step, read) in subject.readings() {
        // Beside bands in numbers it is `band-mixed` that is wrong.
        if read.bands.iter().any(|b| matches!(&b.kind, BandKind::Range(range) if !range.jumps())) {
            continue;
        }
        let Some(at) = read.bands.iter().position(|b| matches!(b.kind, BandKind::Like(_))) else { continue };
        RULE.at(step.place.key("bands").item(at).key("like"), problems).says(
            "a band by likeness, and the tree has no machine",
            "Without the machine nobody can work out which reading is like what.",
            "`machine: …` at the top of the tree, or edges in numbers",
        );
    }
}
