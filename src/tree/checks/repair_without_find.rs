//! `repair-without-find`: the repair step can be reached with nothing found.

use petgraph::Direction;

use crate::diag::{Problems, Weight};

use super::super::model::Kind;
use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule = Rule {
    name: "repair-without-find",
    weight: Weight::Refused,
    doc: include_str!("repair-without-find.md"),
    run,
};

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    if !subject.tree.begins {
        return;
    }
    let found = |ix| matches!(subject.tree.step(ix).kind, Kind::Find(_));
    let bare = subject.spread([subject.tree.start], Direction::Outgoing, |ix| !found(ix));
    for (ix, step) in subject.sound_steps() {
        let is_repair = matches!(&step.kind, Kind::Do(action) if action.action.is_none());
        if !is_repair || !bare.holds(ix) {
            continue;
        }
        RULE.at(step.place.key("do"), problems).path(subject.named(&bare.way_to(ix))).says(
            "`do: repair` can be reached with nothing found",
            "There is no repair to show, and the mechanic stands before an empty step.",
            "a `find` on every path to it; or in words what to do",
        );
    }
}
