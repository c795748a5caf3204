//! `phone-hands-on`: a telephone question that asks somebody to do more than remember.

use crate::diag::{Place, Problems, Text, Weight};
use crate::safety::SafetyRule;

use super::super::model::{Ask, Kind, Step};
use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "phone-hands-on", weight: Weight::Refused, doc: include_str!("phone-hands-on.md"), run };

/// Words that, at the beginning of a sentence, ask for hands on the machine.
const ORDERS: &[&str] = &[
    "measure", "probe", "unplug", "disconnect", "bridge", "bypass", "jump", "cut", "remove", "open", "climb",
    "crawl", "reach", "hold", "tie", "crank", "start", "loosen", "mida", "mide", "desenchufe", "desconecte",
    "puentee", "corte", "quite", "abra", "suba", "afloje", "arranque",
];

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (_, step) in subject.steps() {
        let Kind::Ask(ask) = &step.kind else { continue };
        if !ask.phone {
            continue;
        }
        let Some((what, place)) = hands_on(step, ask) else { continue };
        let rule = SafetyRule::PhoneHandsOn;
        RULE.at(place, problems).says(
            format!("a telephone question {what}"),
            rule.at_machine(),
            "a question that can be answered from memory; or the same step without `phone: true`, behind its gates",
        );
    }
}

fn hands_on(step: &Step, ask: &Ask) -> Option<(&'static str, Place)> {
    let key = |key: &str| step.place.key(key);
    if ask.proof.is_some() {
        return Some(("cannot be a proof", key("proof")));
    }
    if step.zone.is_some() {
        return Some(("sends nobody to a place at the machine", key("zone")));
    }
    if step.power.is_some() {
        return Some(("sets no power", key("power")));
    }
    if !step.with.is_empty() {
        return Some(("has no controls set", key("with")));
    }
    if !step.moves.is_empty() {
        return Some(("has nothing moved", key("moves")));
    }
    orders(&ask.question).then(|| ("asks for hands on the machine", key("ask")))
}

fn orders(question: &Text) -> bool {
    let sentences = question.wordings().flat_map(|(_, text)| text.split(['.', '!', '?', ';', ':', '¿', '¡']));
    sentences
        .filter_map(|sentence| sentence.split_whitespace().find(|word| !word.eq_ignore_ascii_case("please")))
        .any(|word| ORDERS.contains(&word.trim_matches(|c: char| !c.is_alphanumeric()).to_lowercase().as_str()))
}
