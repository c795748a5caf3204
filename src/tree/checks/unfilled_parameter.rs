//! `unfilled-parameter`: a `{…}` in a text or a name that no running step fills in.

use crate::diag::{Place, Problems, Text, Weight};

use super::super::model::{Kind, Leads, Step};
use super::subject::{Subject, texts_of};
use super::Rule;

pub(super) const RULE: Rule = Rule {
    name: "unfilled-parameter",
    weight: Weight::Refused,
    doc: include_str!("unfilled-parameter.md"),
    run,
};

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (_, step) in subject.steps() {
        let Some((name, place)) = first_unfilled(step) else { continue };
        RULE.at(place, problems).says(
            format!("nothing fills in `{{{name}}}`"),
            "The mechanic would read the braces, and a name in braces ties to nothing on the machine.",
            format!("`for: {{{name}: …}}` at the step that runs the group, or the name itself"),
        );
    }
}

fn first_unfilled(step: &Step) -> Option<(String, Place)> {
    let named = |key: &str, mut names: &mut dyn Iterator<Item = &str>| {
        let name = Iterator::find_map(&mut names, parameter_in)?;
        Some((name, step.place.key(key)))
    };
    let in_zone = named("zone", &mut step.zone.as_deref().into_iter());
    let in_names = || match &step.kind {
        Kind::Look(look) => named("places", &mut look.places.iter().map(String::as_str)),
        Kind::Read(read) => {
            let key = match &read.leads {
                Leads::RedBlack { .. } => "red",
                Leads::Across(..) => "across",
                Leads::Around(_) => "around",
                Leads::At(_) => "at",
            };
            let further = match &read.leads {
                Leads::Around(place) | Leads::At(place) => Some(place.as_str()),
                _ => None,
            };
            let in_leads = named(key, &mut read.points().into_iter().chain(further));
            in_leads.or_else(|| named("tells", &mut read.tells.iter().map(String::as_str)))
        }
        Kind::Do(action) => {
            let mut things = action.acts.iter().flat_map(|(_, things)| things);
            things.find_map(|thing| parameter_in(thing)).map(|name| (name, step.place.clone()))
        }
        Kind::Find(find) => named("find", &mut find.faults.iter().map(String::as_str)),
        _ => None,
    };
    let in_texts = || texts_of(step).find_map(|worded| Some((in_text(worded.text)?, worded.place(step))));
    in_zone.or_else(in_names).or_else(in_texts)
}

fn in_text(text: &Text) -> Option<String> {
    text.wordings().find_map(|(_, wording)| parameter_in(wording))
}

/// The first name in braces: letters, digits and `-` only, so that other braces may stand in a text.
fn parameter_in(text: &str) -> Option<String> {
    text.split('{').skip(1).find_map(|rest| {
        let name = rest.split_once('}')?.0;
        let is_name = !name.is_empty() && name.chars().all(|c| c.is_alphanumeric() || c == '-');
        is_name.then(|| name.to_owned())
    })
}
