//! The proofs at the end of a draft: the function is back, and each state that must hold it does.

use crate::machine::{ControlId, Function, Machine};
use crate::safety::Power;

use super::rehearsal::Head;
use super::words;
use super::yaml;

/// One proof.
pub(super) struct Proof {
    function: String,
    said: String,
    held: bool,
    with: Vec<(String, String)>,
    moves: Vec<String>,
}

/// The proofs of a symptom: its function works, then one for each state that must hold it. Where nothing holds that
/// one, those of the symptom's others: whoever worked at them shows that they are still held.
pub(super) fn proofs(machine: &Machine, head: &Head) -> Vec<Proof> {
    let Some(first) = Proof::works(machine, head.proved()) else { return Vec::new() };
    let others = head.symptom.iter().map(|(name, _)| name.as_str()).filter(|name| *name != head.proved());
    let mut holds = std::iter::once(head.proved()).chain(others).map(|name| Proof::all_held(machine, name));
    let then = holds.find(|own| !own.is_empty()).unwrap_or_default();
    std::iter::once(first).chain(then).collect()
}

/// The state in which a function should work. A proof is tried with the power on: a function that works with the key
/// out too says nothing about the key.
fn powered(machine: &Machine, function: &Function) -> Vec<(String, String)> {
    let speaks =
        |name: &String| machine.parts().controls.iter().any(|c| c.name == *name && !c.power.is_empty());
    let mut with = said(machine, &function.with);
    if function.power == Power::Off {
        with.retain(|(control, _)| !speaks(control));
    }
    with
}

/// Controls and their states by name.
fn said(machine: &Machine, pairs: &[(ControlId, usize)]) -> Vec<(String, String)> {
    let one = |(control, state): &(ControlId, usize)| {
        let control = &machine.parts().controls[control.at()];
        (control.name.clone(), control.states[*state].clone())
    };
    pairs.iter().map(one).collect()
}

/// The states that must hold a function, each laid over the one in which it should work.
pub(super) fn held_states(
    machine: &Machine,
    function: &Function,
    with: &[(String, String)],
) -> Vec<Vec<(String, String)>> {
    let laid = |over: &Vec<(ControlId, usize)>| {
        let over = said(machine, over);
        let mut laid = with.to_vec();
        laid.retain(|(control, _)| over.iter().all(|(own, _)| own != control));
        laid.extend(over);
        laid
    };
    function.held.iter().map(laid).collect()
}

impl Proof {
    fn works(machine: &Machine, name: &str) -> Option<Self> {
        let function = words::function_named(machine, name)?;
        let moves = function.moves.clone();
        let said = words::function(machine, name).0;
        Some(Self { function: name.to_owned(), said, held: false, with: powered(machine, function), moves })
    }

    fn all_held(machine: &Machine, name: &str) -> Vec<Self> {
        let Some(function) = words::function_named(machine, name) else { return Vec::new() };
        let held = |with| {
            let (moves, said) = (function.moves.clone(), words::function(machine, name).0);
            Self { function: name.to_owned(), said, held: true, with, moves }
        };
        held_states(machine, function, &powered(machine, function)).into_iter().map(held).collect()
    }

    /// What its step is called.
    pub(super) fn id(&self, at: usize) -> String {
        match (self.held, at) {
            (false, _) => "proof-works".to_owned(),
            (true, 1) => "proof-held".to_owned(),
            (true, at) => format!("proof-held-{at}"),
        }
    }

    /// The lines of its step; `good` and `bad` are where its answers lead.
    pub(super) fn lines(&self, good: &str, bad: &str) -> Vec<String> {
        let state: Vec<String> = self.with.iter().map(|(c, s)| format!("{c} {s}")).collect();
        let state = state.join(", ");
        let said = &self.said;
        let moves = if self.moves.is_empty() { vec!["nothing".to_owned()] } else { self.moves.clone() };
        let question = if self.held {
            format!("With {state}, tried gently: is it held? It must not be so: {said}.")
        } else {
            format!("With {state}: does it work again? It has to be so: {said}.")
        };
        let (yes, no) = if self.held {
            ("It is held: nothing happens", "It is not held")
        } else {
            ("Yes, as it should", "No")
        };
        let (proof, good_means, bad_means) =
            if self.held { ("held", "fails", "works") } else { ("works", "works", "fails") };
        let caution = if self.held {
            "Everybody clear. If this does not hold it, it works now."
        } else {
            "Everybody clear."
        };
        vec![
            format!("ask: {}", yaml::quoted(&question)),
            format!("proof: {proof}"),
            format!("observe: {}", yaml::word(&self.function)),
            "zone: seat".to_owned(),
            format!("moves: {}", yaml::list(moves.iter().map(String::as_str))),
            format!("with: {}", yaml::pairs(&self.with)),
            format!("caution: {}", yaml::quoted(caution)),
            "answers:".to_owned(),
            format!("  as-it-should: {{text: {}, means: {good_means}, go: {good}}}", yaml::quoted(yes)),
            format!("  not-so: {{text: {}, means: {bad_means}, go: {bad}}}", yaml::quoted(no)),
            format!("cannot: {}", if self.held { bad } else { "again" }),
        ]
    }

    pub(super) fn is_held(&self) -> bool {
        self.held
    }
}
