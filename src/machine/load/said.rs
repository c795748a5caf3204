//! Logic and functions.

use super::draft::{Draft, Named};
use super::forms;
use super::head::named;
use crate::diag::{Entries, Entry, Node, Place as FilePlace};
use crate::machine::logic::Logic;
use crate::machine::model::{ControlId, Function, InputId, Level};
use crate::machine::parts::Kind;
use crate::machine::power::{POWERS, Power};
use crate::units::Volts;

/// Most held states of one function, lists of states written out.
const MOST_HELD: usize = 16;

/// Controls and the states they are in.
type States = Vec<(ControlId, usize)>;

impl Draft<'_> {
    /// Logic: every key of the map has to hold.
    pub(super) fn logic(&mut self, node: &Node<'_>) -> Option<Logic> {
        let form = self.open(node, &forms::LOGIC_FORM)?;
        let mut all = Vec::new();
        let mut sound = true;
        for entry in node.map().unwrap_or_default() {
            match self.clause(&form, entry) {
                Some(clause) => all.push(clause),
                None => sound = false,
            }
        }
        if node.map().is_some_and(<[_]>::is_empty) {
            self.problems.refuse("empty-list", form.place()).says(
                "this logic says nothing",
                "It would hold always, or never.",
                "`{all: [{input: {bar: low}}]}`",
            );
            return None;
        }
        if !sound {
            return None;
        }
        Some(if all.len() == 1 { all.remove(0) } else { Logic::All(all) })
    }

    fn clause(&mut self, form: &Entries<'_, '_>, entry: &Entry<'_>) -> Option<Logic> {
        let value = &entry.value;
        match entry.key {
            "all" => self.parts_of(value).map(Logic::All),
            "any" => self.parts_of(value).map(Logic::Any),
            "not" => Some(Logic::Not(Box::new(self.logic(value)?))),
            "input" => self.levels(form),
            "operator" => self.states_logic(form, "operator"),
            "power" => Some(Logic::Power(self.powers(value))),
            "load" => {
                let name = self.word(form, "load")?.to_owned();
                let at = self.place(value);
                let load = self.load(&name, at.clone())?;
                if let Kind::Load { pulls_in: None } = self.parts.element(load).kind {
                    self.problems.refuse("load-without-pull-in", at).says(
                        format!("`{name}` does not say from which volts up it works"),
                        "Whether it works with a poor feed would be a guess.",
                        format!("`pulls-in: 7.5 V` at `load: {name}`"),
                    );
                }
                Some(Logic::Load(load))
            }
            "fed" => {
                let name = self.word(form, "fed")?.to_owned();
                if let Some(Named::Controller(id)) = self.names.get(&name) {
                    return Some(Logic::Fed(*id));
                }
                let at = self.place(value);
                let names: Vec<String> = self.parts.controllers.iter().map(|c| c.name.clone()).collect();
                self.dangling("controller", &name, at, names.iter().map(String::as_str));
                None
            }
            "output" => {
                let name = self.word(form, "output")?.to_owned();
                if let Some(id) = self.outputs.get(&name) {
                    return Some(Logic::Output(*id));
                }
                let at = self.place(value);
                let names: Vec<String> = self.outputs.keys().cloned().collect();
                self.dangling("output", &name, at, names.iter().map(String::as_str));
                None
            }
            "agree" => self.agree(value),
            // An unknown key is already told.
            _ => None,
        }
    }

    fn parts_of(&mut self, node: &Node<'_>) -> Option<Vec<Logic>> {
        let Some(items) = node.list().filter(|items| !items.is_empty()) else {
            let place = self.place(node);
            self.problems.refuse("wrong-kind", place).says(
                "a list of statements is wanted here",
                "What the controller decides would be a guess.",
                "`[{input: {bar: low}}, {input: {door: high}}]`",
            );
            return None;
        };
        let parts: Vec<Option<Logic>> = items.iter().map(|item| self.logic(item)).collect();
        parts.into_iter().collect()
    }

    fn input(&mut self, name: &str, at: FilePlace) -> Option<InputId> {
        let found = self.inputs.get(name).copied();
        if found.is_none() {
            let names: Vec<String> = self.inputs.keys().cloned().collect();
            self.dangling("input", name, at, names.iter().map(String::as_str));
        }
        found
    }

    fn levels(&mut self, form: &Entries<'_, '_>) -> Option<Logic> {
        let mut all = Vec::new();
        for entry in named(self, form, "input") {
            let input = self.input(entry.key, FilePlace::Bytes(self.file, entry.key_span));
            let level = match entry.value.scalar() {
                Some("low") => Some(Level::Low),
                Some("high") => Some(Level::High),
                other => {
                    let place = self.place(&entry.value);
                    self.dangling("level", other.unwrap_or_default(), place, ["low", "high"].into_iter());
                    None
                }
            };
            all.push(Logic::Input(input?, level?));
        }
        Some(if all.len() == 1 { all.remove(0) } else { Logic::All(all) })
    }

    fn agree(&mut self, node: &Node<'_>) -> Option<Logic> {
        let form = self.open(node, &forms::AGREE)?;
        let words = form.words("inputs", self.problems);
        let inputs: Vec<InputId> =
            words.iter().filter_map(|(name, at)| self.input(name, at.clone())).collect();
        let within: Volts = self.quantity(&form, "within")?;
        let sum: Option<Volts> = self.quantity(&form, "sum");
        let Ok(inputs) = <[InputId; 2]>::try_from(inputs) else {
            self.problems.refuse("wrong-kind", form.key_place("inputs")).says(
                "two inputs agree or do not",
                "What the controller compares would be a guess.",
                "`inputs: [lever-a, lever-b]`",
            );
            return None;
        };
        Some(Logic::Agree { inputs, sum, within })
    }

    pub(super) fn read_functions(&mut self, top: &Entries<'_, '_>) {
        for entry in named(self, top, "functions") {
            let Some(own) = self.open(&entry.value, &forms::FUNCTION) else { continue };
            self.is_name(entry.key, FilePlace::Bytes(self.file, entry.key_span));
            let title = self.title(&own);
            let with = self.set_states(&own, "with");
            let words: Vec<(&str, Power)> = POWERS.to_vec();
            let power = own.one_of("power", &words, self.problems);
            let power = power.unwrap_or_else(|| self.first_power(&with));
            let holds = own.get("works").and_then(|node| self.logic(node));
            let held = own.get("held-when").map_or_else(Vec::new, |node| self.held(node));
            let moves = own.words("moves", self.problems).iter().map(|(w, _)| (*w).to_owned()).collect();
            if let Some(works) = holds {
                let name = entry.key.to_string();
                self.parts.functions.push(Function { name, title, with, power, works, held, moves });
            }
        }
    }

    /// Live, or the first that the controls' states allow.
    fn first_power(&self, with: &States) -> Power {
        let maps = with.iter().filter_map(|(control, state)| {
            self.parts.controls[control.at()].power.get(*state).filter(|powers| !powers.is_empty())
        });
        let mut allowed = vec![Power::Live, Power::Running, Power::Off, Power::Isolated];
        for powers in maps {
            allowed.retain(|power| powers.contains(power));
        }
        allowed.first().copied().unwrap_or(Power::Live)
    }

    /// Controls and the one state each is in.
    fn set_states(&mut self, own: &Entries<'_, '_>, key: &str) -> States {
        let mut with = Vec::new();
        for entry in named(self, own, key) {
            let at = FilePlace::Bytes(self.file, entry.key_span);
            let Some(control) = self.control(entry.key, at) else { continue };
            let place = self.place(&entry.value);
            let state = self.state(control, entry.value.scalar().unwrap_or_default(), place);
            with.extend(state.map(|state| (ControlId::new(control), state)));
        }
        with
    }

    /// `held-when` is an `any` of operator states; each is one held state.
    fn held(&mut self, node: &Node<'_>) -> Vec<States> {
        let Some(logic) = self.logic(node) else { return Vec::new() };
        let mut held = Vec::new();
        if !held_states(&logic, &mut held) || held.len() > MOST_HELD {
            let place = self.place(node);
            self.problems.refuse("held-when", place).says(
                "`held-when` is an `any` of operator states",
                "Each of them is tried at the machine, one by one; anything else cannot be set by hand.",
                "`held-when: {any: [{operator: {bar: up}}, {operator: {door: open}}]}`",
            );
            return Vec::new();
        }
        held
    }
}

/// Writes out the states that hold a function; false if it is something else.
fn held_states(logic: &Logic, held: &mut Vec<States>) -> bool {
    match logic {
        Logic::Any(parts) => parts.iter().all(|part| held_states(part, held)),
        other => one_held(other).is_some_and(|more| {
            held.extend(more);
            held.len() <= MOST_HELD
        }),
    }
}

/// The states one entry stands for: lists of states are tried one by one, controls together.
fn one_held(logic: &Logic) -> Option<Vec<States>> {
    match logic {
        Logic::Operator(control, states) => Some(states.iter().map(|s| vec![(*control, *s)]).collect()),
        Logic::All(parts) => {
            let mut all: Vec<States> = vec![Vec::new()];
            for part in parts {
                let more = one_held(part)?;
                let joined = all.iter().flat_map(|base| {
                    more.iter().map(|extra| base.iter().chain(extra).copied().collect::<States>())
                });
                all = joined.take(MOST_HELD + 1).collect();
            }
            Some(all)
        }
        _ => None,
    }
}
