//! `unfilled-parameter`: a `{…}` in a text or a name that no running step fills in.

use crate::diag::{Place, Problems, Text, Weight};

use super::super::model::{Kind, Leads, Step};
use super::subject::{Subject, answers_of};
use super::Rule;

pub(super) const RULE: Rule = Rule {
    name: "unfilled-parameter",
    weight: Weight::Refused,
    doc: include_str!("unfilled-parameter.md"),
    run,
};

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (_, step) in subject.tree.iter() {
        let Some((name, place)) = first_unfilled(step) else { continue };
        RULE.at(place, problems).says(
            format!("nothing fills in `{{{name}}}`"),
            "The mechanic would read the braces, and a name in braces ties to nothing on the machine.",
            format!("`for: {{{name}: …}}` at the step that runs the group, or the name itself"),
        );
    }
}

fn first_unfilled(step: &Step) -> Option<(String, Place)> {
    let mut words: Vec<(&str, Place)> = Vec::new();
    words.extend(step.zone.as_deref().map(|zone| (zone, step.place.key("zone"))));
    match &step.kind {
        Kind::Look(look) => words.extend(look.places.iter().map(|p| (p.as_str(), step.place.key("places")))),
        Kind::Read(read) => {
            let (key, points) = match &read.leads {
                Leads::RedBlack { .. } => ("red", read.points()),
                Leads::Across(..) => ("across", read.points()),
                Leads::Around(wire) => ("around", vec![wire.as_str()]),
                Leads::At(at) => ("at", vec![at.as_str()]),
            };
            words.extend(points.into_iter().map(|point| (point, step.place.key(key))));
            words.extend(read.tells.iter().map(|fault| (fault.as_str(), step.place.key("tells"))));
        }
        Kind::Do(action) => {
            words.extend(action.acts.iter().flat_map(|(_, names)| names).map(|n| (n.as_str(), step.place.clone())));
        }
        Kind::Find(find) => words.extend(find.faults.iter().map(|f| (f.as_str(), step.place.key("find")))),
        _ => {}
    }
    let in_words = words.into_iter().find_map(|(word, place)| Some((parameter_in(word)?, place)));
    in_words.or_else(|| texts(step).into_iter().find_map(|(text, place)| Some((in_text(text)?, place))))
}

fn texts(step: &Step) -> Vec<(&Text, Place)> {
    let mut texts: Vec<(&Text, Place)> = Vec::new();
    texts.extend(step.text.as_ref().map(|text| (text, step.place.key("text"))));
    texts.extend(step.caution.as_ref().map(|text| (text, step.place.key("caution"))));
    match &step.kind {
        Kind::Ask(ask) => texts.push((&ask.question, step.place.key("ask"))),
        Kind::Look(look) => texts.push((&look.what, step.place.key("look"))),
        Kind::Do(action) => texts.extend(action.action.as_ref().map(|text| (text, step.place.key("do")))),
        _ => {}
    }
    texts.extend(answers_of(step).iter().map(|a| (&a.text, step.place.key("answers").key(&a.id).key("text"))));
    texts
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
