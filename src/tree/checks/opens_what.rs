//! `opens-what`: `opens` and `shuts` are about the hydraulics and take one word.

use crate::diag::{Problems, Weight};

use super::super::model::Act;
use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "opens-what", weight: Weight::Refused, doc: include_str!("opens-what.md"), run };

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (step, action) in subject.actions() {
        for (act, names) in &action.acts {
            let key = match act {
                Act::Opens => "opens",
                Act::Shuts => "shuts",
                _ => continue,
            };
            let Some(name) = names.iter().find(|name| *name != "pressure") else { continue };
            RULE.at(step.place.key(key), problems).says(
                format!("`{key}` takes the word `pressure`, not `{name}`"),
                "What opens the hydraulics must be known, or oil comes out at whoever does it.",
                format!("`{key}: pressure`; a connector is `unplugs`, a cover needs no key"),
            );
        }
    }
}
