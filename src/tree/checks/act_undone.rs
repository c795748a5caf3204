//! `act-undone`: a step that does something and undoes it again.

use crate::diag::{Problems, Weight};

use super::super::model::{Act, Do};
use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "act-undone", weight: Weight::Refused, doc: include_str!("act-undone.md"), run };

/// Acts that undo each other, with their keys.
const PAIRS: [(Act, Act, &str, &str); 5] = [
    (Act::Unplugs, Act::Plugs, "unplugs", "plugs"),
    (Act::Opens, Act::Shuts, "opens", "shuts"),
    (Act::Bridges, Act::Unbridges, "bridges", "unbridges"),
    (Act::Ties, Act::Unties, "ties", "unties"),
    (Act::Fits, Act::Unfits, "fits", "unfits"),
];

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (step, action) in subject.actions() {
        for (act, undo, key, undo_key) in PAIRS {
            let undone = done(action, undo);
            let Some(name) = done(action, act).iter().find(|name| undone.contains(name)) else { continue };
            RULE.at(step.place.key(undo_key), problems).says(
                format!("this step `{key}` and `{undo_key}` `{name}` at once"),
                "Nobody could say how it stands afterwards, and the gates count on that.",
                "two steps, one for each",
            );
        }
    }
}

fn done(action: &Do, act: Act) -> &[String] {
    action.acts.iter().find(|(a, _)| *a == act).map_or(&[], |(_, names)| names.as_slice())
}
