//! The head of a machine file: supply, zones, conditions, gates, controls, connectors.

use super::draft::{Draft, Named};
use super::forms;
use crate::diag::{Entries, Entry, Node, Place as FilePlace, Text};
use crate::machine::model::{Connector, Control, Reach};
use crate::machine::power::{POWERS, Power};
use crate::safety::{CabKind, LostBy, Moves, OwnCondition, OwnGate, OwnNeed, OwnSafety, OwnZone, Zone};
use crate::units::Minutes;
use std::collections::HashSet;

/// Most pins of one connector.
const MOST_PINS: usize = 500;

/// The entries of a map under a key; anything else is told.
pub(super) fn named<'n, 'a>(draft: &mut Draft<'_>, entries: &Entries<'n, 'a>, key: &str) -> &'n [Entry<'a>] {
    let Some(node) = entries.get(key) else { return &[] };
    if let Some(map) = node.map() {
        return map;
    }
    let place = draft.place(node);
    draft.problems.refuse("wrong-kind", place).says(
        format!("`{key}` is a map of names; this is {}", node.kind()),
        "Nothing in it can be read.",
        format!("`{key}:` and under it `name: …` lines"),
    );
    &[]
}

/// The items of a list under a key; anything else is told.
pub(super) fn listed<'n, 'a>(draft: &mut Draft<'_>, entries: &Entries<'n, 'a>, key: &str) -> &'n [Node<'a>] {
    let Some(node) = entries.get(key) else { return &[] };
    if let Some(items) = node.list() {
        return items;
    }
    let place = draft.place(node);
    draft.problems.refuse("wrong-kind", place).says(
        format!("`{key}` is a list; this is {}", node.kind()),
        "Nothing in it can be read.",
        format!("`{key}:` and under it `- …` lines"),
    );
    &[]
}

impl Draft<'_> {
    pub(super) fn read_safety(&mut self, top: &Entries<'_, '_>) -> OwnSafety {
        let cab = top.one_of("cab", &[("tilts", CabKind::Tilts), ("fixed", CabKind::Fixed)], self.problems);
        let mut safety = OwnSafety { cab: cab.unwrap_or_default(), ..OwnSafety::default() };
        self.zones = ["seat", "outside", "engine-bay", "under-cab", "under-arms", "under-machine"]
            .into_iter()
            .filter(|name| Zone::named(name).is_some())
            .map(str::to_owned)
            .collect();
        for entry in named(self, top, "zones") {
            let Some(zone) = self.open(&entry.value, &forms::OWN_ZONE) else { continue };
            self.is_name(entry.key, FilePlace::Bytes(self.file, entry.key_span));
            let (needs, minutes) = (self.needs(&zone), self.minutes(&zone));
            if !self.zones.iter().any(|z| *z == entry.key) {
                self.zones.push(entry.key.to_string());
            }
            safety.zones.push(OwnZone { name: entry.key.to_string(), needs, minutes });
        }
        for entry in named(self, top, "conditions") {
            let Some(own) = self.open(&entry.value, &forms::CONDITION) else { continue };
            let words = |draft: &mut Self, key| {
                own.words(key, draft.problems).into_iter().map(|(w, _)| w.to_owned()).collect()
            };
            let (values, at_start) = (words(self, "values"), words(self, "at-start"));
            let lost_by = self.lost_by(&own);
            safety.conditions.push(OwnCondition { name: entry.key.to_string(), values, at_start, lost_by });
        }
        for entry in named(self, top, "gates") {
            let Some(gate) = self.open(&entry.value, &forms::OWN_GATE) else { continue };
            let (needs, minutes): (Vec<OwnNeed>, Option<Minutes>) = (self.needs(&gate), self.minutes(&gate));
            let sets = named(self, &gate, "sets").iter();
            let sets = sets.filter_map(|e| Some((e.key.to_string(), e.value.scalar()?.to_owned()))).collect();
            let items = listed(self, &gate, "items");
            let items = items
                .iter()
                .filter_map(|item| crate::diag::Text::read(item, self.file, self.problems))
                .collect();
            safety.gates.push(OwnGate { name: entry.key.to_string(), needs, sets, items, minutes });
        }
        safety
    }

    fn needs(&mut self, entries: &Entries<'_, '_>) -> Vec<OwnNeed> {
        let values = |entry: &Entry<'_>| {
            let values = entry.value.one_or_many().iter().filter_map(|v| v.scalar().map(str::to_owned));
            OwnNeed { condition: entry.key.to_string(), values: values.collect() }
        };
        named(self, entries, "needs").iter().map(values).collect()
    }

    fn lost_by(&mut self, own: &Entries<'_, '_>) -> Vec<LostBy> {
        let mut all = Vec::new();
        for node in own.get("lost-by").map_or(&[][..], Node::one_or_many) {
            if node.scalar() == Some("running") {
                all.push(LostBy::Running);
            } else if let Some(by) = self.open(node, &forms::LOST_BY) {
                all.extend(self.word(&by, "moves").map(|what| LostBy::Moves(moves(what))));
            }
        }
        all
    }

    pub(super) fn read_controls(&mut self, top: &Entries<'_, '_>) {
        for entry in named(self, top, "operator") {
            let Some(control) = self.open(&entry.value, &forms::CONTROL) else { continue };
            let key_at = FilePlace::Bytes(self.file, entry.key_span);
            if entry.key == "power" {
                self.problems.refuse("bad-name", key_at).says(
                    "`power` cannot be a control",
                    "Logic and setups use the word for the machine's energy.",
                    "the name of what is set, as `key`",
                );
                continue;
            }
            self.is_name(entry.key, key_at);
            let words = control.words("states", self.problems);
            let states: Vec<String> = words.iter().map(|(w, _)| (*w).to_owned()).collect();
            let mut seen = HashSet::new();
            for (state, place) in &words {
                if !seen.insert(*state) {
                    self.used_twice(state, place.clone());
                }
            }
            if states.is_empty() {
                self.empty("a control without states", control.key_place("states"));
                continue;
            }
            let power = self.power_map(&control, &states);
            let called = self.called(&control, &states);
            let title = self.title(&control);
            let reach = self.reach(&control);
            self.add_control(Control { name: entry.key.to_string(), title, states, called, power, reach });
        }
    }

    fn empty(&mut self, what: &str, place: FilePlace) {
        self.problems.refuse("empty-list", place).says(
            format!("this is {what}"),
            "Nothing could be set at the machine.",
            "`states: [\"off\", \"on\"]`",
        );
    }

    pub(super) fn add_control(&mut self, control: Control) {
        self.controls.insert(control.name.clone(), self.parts.controls.len());
        self.parts.controls.push(control);
    }

    fn reach(&mut self, control: &Entries<'_, '_>) -> Reach {
        let seat = control.one_of("from", &[("seat", true), ("anywhere", false)], self.problems);
        let tied = control.flag("can-be-tied", self.problems).unwrap_or(false);
        match (seat.unwrap_or(false), tied) {
            (false, _) => Reach::Anywhere,
            (true, false) => Reach::Seat,
            (true, true) => Reach::SeatOrTied,
        }
    }

    fn called(&mut self, control: &Entries<'_, '_>, states: &[String]) -> Vec<Option<Text>> {
        let mut called = vec![None; states.len()];
        for entry in named(self, control, "called") {
            let text = Text::read(&entry.value, self.file, self.problems);
            if let Some(at) = states.iter().position(|state| *state == entry.key) {
                called[at] = text;
            } else {
                let place = FilePlace::Bytes(self.file, entry.key_span);
                self.dangling("state of this control", entry.key, place, states.iter().map(String::as_str));
            }
        }
        called
    }

    fn power_map(&mut self, control: &Entries<'_, '_>, states: &[String]) -> Vec<Vec<Power>> {
        let entries = named(self, control, "power");
        if entries.is_empty() {
            return Vec::new();
        }
        let mut map = vec![Vec::new(); states.len()];
        for entry in entries {
            let at = states.iter().position(|s| *s == entry.key);
            if at.is_none() {
                let place = FilePlace::Bytes(self.file, entry.key_span);
                self.dangling("state of this control", entry.key, place, states.iter().map(String::as_str));
            }
            let powers = self.powers(&entry.value);
            if let Some(at) = at {
                map[at] = powers;
            }
        }
        if let Some(at) = map.iter().position(Vec::is_empty) {
            self.problems.refuse("missing-key", control.key_place("power")).says(
                format!("`power` does not say which powers `{}` allows", states[at]),
                "Whether the machine is live in that state would be a guess.",
                format!("`\"{}\": live`, one of off, isolated, live, running, or a list", states[at]),
            );
        }
        map
    }

    /// The powers that a node names: one, or a list.
    pub(super) fn powers(&mut self, node: &Node<'_>) -> Vec<Power> {
        let mut powers = Vec::new();
        for item in node.one_or_many() {
            let word = item.scalar().unwrap_or_default();
            if let Some((_, power)) = POWERS.iter().find(|(name, _)| *name == word) {
                powers.push(*power);
            } else {
                let place = self.place(item);
                self.dangling("power", word, place, POWERS.iter().map(|(name, _)| *name));
            }
        }
        powers
    }

    pub(super) fn read_connectors(&mut self, top: &Entries<'_, '_>) {
        for entry in named(self, top, "connectors") {
            let Some(own) = self.open(&entry.value, &forms::CONNECTOR) else { continue };
            let at = self.parts.connectors.len();
            let key_at = FilePlace::Bytes(self.file, entry.key_span);
            if !self.claim(entry.key, Named::Connector(at), key_at) {
                continue;
            }
            let rows = self.rows(&own);
            let connector = Connector {
                name: entry.key.to_string(),
                title: self.title(&own),
                location: self.text(&own, "where"),
                zone: self.zone(&own),
                view: self.text(&own, "view"),
                rows,
                minutes: self.minutes(&own).map(Minutes::value),
                contacts: Vec::new(),
            };
            self.parts.connectors.push(connector);
        }
    }

    fn rows(&mut self, own: &Entries<'_, '_>) -> Vec<Vec<String>> {
        let mut rows: Vec<Vec<String>> = Vec::new();
        let mut taken = HashSet::new();
        for row in listed(self, own, "rows") {
            let mut pins = Vec::new();
            for pin in row.one_or_many() {
                let name = pin.scalar().unwrap_or_default().trim().to_owned();
                if !name.is_empty() && !taken.insert(name.clone()) {
                    let place = self.place(pin);
                    self.used_twice(&name, place);
                }
                pins.push(name);
            }
            rows.push(pins);
        }
        if taken.len() > MOST_PINS {
            self.problems.refuse("too-large", own.key_place("rows")).says(
                format!("this face has {} pins; {MOST_PINS} are allowed", taken.len()),
                "Nobody counts that far with a probe in the hand.",
                "several connectors",
            );
            return Vec::new();
        }
        rows
    }
}

/// What a function moves, by its word.
pub(super) fn moves(word: &str) -> Moves {
    match word {
        "arms" => Moves::Arms,
        "travel" => Moves::Travel,
        other => Moves::Own(other.to_owned()),
    }
}
