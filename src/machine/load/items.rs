//! The two-ended things of a chain.

use super::chains::Reading;
use super::draft::{Draft, Named};
use super::forms;
use super::head::named;
use crate::diag::{Entries, Place as FilePlace, Text};
use crate::machine::logic::Logic;
use crate::machine::model::{ChainItem, ConnectorId, ControlId, ElementId, Owner, PointId};
use crate::machine::network::Place;
use crate::machine::parts::{CONTACT, Element, FUSE, JOINT, Kind, Rests, Rub, SWITCH, Wiper, Wire};
use crate::units::{Amps, Metres, Ohms, Percent, Volts, Watts, WireSize, Written};

/// A thing of a chain before it has its number.
struct Thing {
    name: String,
    kind: Kind,
    ohms: Option<Ohms>,
    /// Zone from its connector, where it is a contact.
    zone: Option<String>,
}

/// The nominal volts that a lamp's watts are told for.
fn nominal(supply: Volts) -> f64 {
    if supply.value() > 18.0 { 24.0 } else { 12.0 }
}

impl Draft<'_> {
    pub(super) fn element_item(&mut self, kind: &str, item: &Entries<'_, '_>, reading: &mut Reading) {
        let id = ElementId::new(self.parts.elements.len());
        let from = reading.at.unwrap_or_else(|| self.new_place());
        let to = self.new_place();
        // Also after a mistake, so that what follows is not told to be broken too.
        reading.at = Some(to);
        let Some(name) = self.word(item, kind).map(str::to_owned) else { return };
        let at = FilePlace::Bytes(self.file, item.get(kind).map_or_else(Default::default, |n| n.span));
        let name = if kind == "relay-contact" { self.relay_contact_name(&name) } else { name };
        let claimed = self.claim(&name, Named::Element(id), at.clone());
        let thing = self.thing(kind, &name, item, id);
        let (Some(thing), true) = (thing, claimed) else {
            if claimed {
                self.names.remove(&name);
            }
            return;
        };
        let zone = if kind == "contact" { thing.zone.clone() } else { self.zone(item) };
        let ends = self.ends(&thing, id, (from, to), &at);
        for end in ends {
            self.parts.points[end.at()].zone.clone_from(&zone);
        }
        let title = self.title(item);
        let chain = self.parts.chains.len();
        self.parts.elements.push(Element {
            name: thing.name,
            title,
            kind: thing.kind,
            ohms: thing.ohms,
            ends,
            zone,
            chain,
        });
        self.element_at.push(at.clone());
        self.follow(id, &at);
        reading.items.push(ChainItem::Element(id));
    }

    fn ends(
        &mut self,
        thing: &Thing,
        id: ElementId,
        (from, to): (Place, Place),
        at: &FilePlace,
    ) -> [PointId; 2] {
        let contact = matches!(thing.kind, Kind::Contact { .. });
        let marks = if contact { ["a", "b"] } else { [":1", ":2"] };
        let owner = |end| if contact { Owner::Side(id, end) } else { Owner::End(id, end) };
        [(0, from), (1, to)].map(|(end, place)| {
            let name = format!("{}{}", thing.name, marks[usize::from(end)]);
            self.claim_point(&name, owner(end), place, at)
        })
    }

    /// What an element brings along once it has its number: rubs, a wiper, a place on its connector.
    fn follow(&mut self, id: ElementId, at: &FilePlace) {
        let element = self.parts.element(id).clone();
        match element.kind {
            Kind::Wire(wire) => {
                let mut rubs = wire.rubs;
                for (number, rub) in (0u32..).zip(&mut rubs) {
                    let place = self.new_place();
                    let name = format!("{}@{}", element.name, rub.name);
                    rub.point = self.claim_point(&name, Owner::Rub(id, number), place, at);
                    self.parts.points[rub.point.at()].zone =
                        rub.zone.clone().or_else(|| element.zone.clone());
                    self.rubs.entry(rub.name.clone()).or_default().push((id, rub.name.clone()));
                }
                if let Kind::Wire(wire) = &mut self.parts.elements[id.at()].kind {
                    wire.rubs = rubs;
                }
            }
            Kind::Potentiometer(wiper) => {
                let place = self.new_place();
                let name = format!("{}:3", element.name);
                let point = self.claim_point(&name, Owner::End(id, 2), place, at);
                self.parts.points[point.at()].zone = element.zone;
                let kind = Kind::Potentiometer(Wiper { point, ..wiper });
                self.parts.elements[id.at()].kind = kind;
            }
            Kind::Contact { connector, .. } => self.parts.connectors[connector.at()].contacts.push(id),
            _ => {}
        }
    }

    fn thing(&mut self, kind: &str, name: &str, item: &Entries<'_, '_>, id: ElementId) -> Option<Thing> {
        let own: Option<Ohms> =
            if kind == "source" || kind == "load" { None } else { self.quantity(item, "ohms") };
        let made = |kind, ohms| Some(Thing { name: name.to_owned(), kind, ohms, zone: None });
        match kind {
            "wire" => made(Kind::Wire(self.wire(item)?), None),
            "contact" => self.contact(name, item, own.unwrap_or(CONTACT)),
            "switch" => {
                made(Kind::Switch { closed: self.states_logic(item, "closed")? }, Some(own.unwrap_or(SWITCH)))
            }
            "fuse" => made(Kind::Fuse { rating: self.quantity(item, "rating")? }, Some(own.unwrap_or(FUSE))),
            "load" => {
                let (ohms, pulls_in) = (self.load_ohms(item)?, self.quantity(item, "pulls-in"));
                made(Kind::Load { pulls_in }, Some(ohms))
            }
            "resistor" => made(Kind::Resistor, Some(own?)),
            "potentiometer" => {
                let stands = self.stands(item);
                made(Kind::Potentiometer(Wiper { point: PointId(0), stands }), Some(own?))
            }
            "relay-contact" => {
                let rests = [("open", Rests::Open), ("closed", Rests::Closed)];
                let rests = item.one_of("rests", &rests, self.problems)?;
                // The coil is looked up once all chains are read; until then the contact is its own.
                made(Kind::RelayContact { coil: id, rests }, Some(own.unwrap_or(SWITCH)))
            }
            "joint" => made(Kind::Joint, Some(own.unwrap_or(JOINT))),
            "diode" => made(Kind::Diode, None),
            _ => {
                let volts: Volts = self.quantity(item, "volts")?;
                let ohms = self.quantity(item, "ohms");
                let plus = item.one_of("plus", &[("1", 0), ("2", 1)], self.problems).unwrap_or(1);
                let when = self.states_logic(item, "while").unwrap_or(Logic::ALWAYS);
                let most = self.most(item, ohms);
                made(Kind::Source { volts, plus, when, most }, ohms)
            }
        }
    }

    /// The most that a source gives: its volts give way by its own resistance, so that it must have one.
    fn most(&mut self, item: &Entries<'_, '_>, ohms: Option<Ohms>) -> Option<Amps> {
        let most: Option<Amps> = self.quantity(item, "most");
        if let (Some(node), None, None) = (item.get("most"), item.get("ohms"), ohms) {
            let place = self.place(node);
            self.problems.refuse("missing-key", place).says(
                "`most` without `ohms`",
                "An ideal source holds its volts whatever the current, so that nothing could give way.",
                "its own resistance beside it, as `ohms: 60 mohm`",
            );
            return None;
        }
        most.filter(|amps| amps.value() > 0.0)
    }

    /// `K3` of the coil `K3` becomes `K3a`, the next `K3b`.
    fn relay_contact_name(&self, name: &str) -> String {
        if !self.load_names.contains(name) {
            return name.to_owned();
        }
        let mut letters = ('a'..='z').map(|letter| format!("{name}{letter}"));
        letters.find(|n| !self.names.contains_key(n)).unwrap_or_else(|| name.to_owned())
    }

    fn wire(&mut self, item: &Entries<'_, '_>) -> Option<Wire> {
        let size: Option<WireSize> = self.quantity(item, "size");
        let length = self.length(item);
        let rating: Option<Amps> = self.quantity(item, "rating");
        let colour = self.word(item, "colour").map(str::to_owned);
        let (size, length) = (size?, length?);
        let rubs = self.rubs(item, length);
        Some(Wire { size, length, colour, rating, rubs })
    }

    /// A wire's length; nothing gets a name of its own, since a joint is meant.
    fn length(&mut self, item: &Entries<'_, '_>) -> Option<Metres> {
        let node = item.get("length")?;
        if node.scalar().and_then(|text| Metres::parse(text).ok()).is_some_and(|m| m.value() <= 0.0) {
            let place = self.place(node);
            self.problems.refuse("zero-length-wire", place).says(
                "this wire has no length",
                "It would have no resistance, and two points that are one would be told apart.",
                "its length, as `0.4 m`; leave the wire out where two places are one",
            );
            return None;
        }
        self.quantity_of(node)
    }

    fn rubs(&mut self, item: &Entries<'_, '_>, length: Metres) -> Vec<Rub> {
        let mut rubs: Vec<Rub> = Vec::new();
        for entry in named(self, item, "rubs") {
            let at = FilePlace::Bytes(self.file, entry.key_span);
            self.is_name(entry.key, at);
            let mut against = None;
            let (along, zone): (Option<Metres>, Option<String>) = if entry.value.map().is_some() {
                let Some(rub) = self.open(&entry.value, &forms::RUB) else { continue };
                against = rub.get("against").and_then(|node| Text::read(node, self.file, self.problems));
                (self.quantity(&rub, "at"), self.zone(&rub))
            } else {
                (self.quantity_of(&entry.value), None)
            };
            let Some(along) = along else { continue };
            let place = self.place(&entry.value);
            if along.value() >= length.value() {
                self.problems.refuse("rub-beyond-wire", place).says(
                    format!("the rub is at {along}, and the wire is {length} long"),
                    "A mechanic would look for it where there is no wire.",
                    format!("a distance from the chain's start below {length}"),
                );
            } else if rubs.iter().any(|r| (r.along.value() - along.value()).abs() < 1e-6) {
                self.problems.refuse("rub-twice", place).says(
                    format!("another rub of this wire is at {along} too"),
                    "The two could not be told apart.",
                    "one rub, or another distance",
                );
            } else {
                rubs.push(Rub { name: entry.key.to_string(), along, zone, against, point: PointId(0) });
            }
        }
        rubs.sort_by(|a, b| a.along.value().total_cmp(&b.along.value()));
        rubs
    }

    fn contact(&mut self, name: &str, item: &Entries<'_, '_>, ohms: Ohms) -> Option<Thing> {
        let at = FilePlace::Bytes(self.file, item.get("contact").map_or_else(Default::default, |n| n.span));
        let Some((plug, pin)) = name.split_once(':') else {
            self.problems.refuse("unknown-pin", at).says(
                format!("`{name}` does not say which pin"),
                "Nobody would know where to put the probe.",
                format!("plug and pin, as `{name}:1`"),
            );
            return None;
        };
        let connector = self.connector(plug, at.clone())?;
        let own = &self.parts.connectors[connector];
        if !own.rows.is_empty() && !own.rows.iter().flatten().any(|p| p == pin) {
            let pins = own.rows.iter().flatten().cloned().collect::<Vec<_>>().join(", ");
            self.problems.refuse("unknown-pin", at).says(
                format!("the face of {plug} has no pin {pin}"),
                "A mechanic would look for a pin that is not there.",
                format!("one of {pins}, or the pin in `rows:` of {plug}"),
            );
            return None;
        }
        let zone = own.zone.clone();
        let kind = Kind::Contact { connector: ConnectorId::new(connector), pin: pin.to_owned() };
        Some(Thing { name: name.to_owned(), kind, ohms: Some(ohms), zone })
    }

    fn load_ohms(&mut self, item: &Entries<'_, '_>) -> Option<Ohms> {
        let ohms: Option<Ohms> = self.quantity(item, "ohms");
        let watts: Option<Watts> = self.quantity(item, "watts");
        let volts = nominal(self.parts.supply.volts);
        let found = ohms.or_else(|| watts.map(|watts| Ohms(volts * volts / watts.value())));
        if found.is_none() && item.get("ohms").is_none() && item.get("watts").is_none() {
            self.problems.refuse("missing-key", item.place()).says(
                "a load has neither `ohms` nor `watts`",
                "Its current, and every drop before it, would be a guess.",
                "`ohms: 8.2 ohm`, or `watts: 21 W`",
            );
        }
        found
    }

    /// Controls and the states they have to be in, all of them: as logic.
    pub(super) fn states_logic(&mut self, item: &Entries<'_, '_>, key: &str) -> Option<Logic> {
        item.get(key)?;
        let mut all = Vec::new();
        for entry in named(self, item, key) {
            if entry.key == "power" {
                all.push(Logic::Power(self.powers(&entry.value)));
                continue;
            }
            let Some(control) = self.control(entry.key, FilePlace::Bytes(self.file, entry.key_span)) else {
                continue;
            };
            let mut states = Vec::new();
            for node in entry.value.one_or_many() {
                let place = self.place(node);
                states.extend(self.state(control, node.scalar().unwrap_or_default(), place));
            }
            all.push(Logic::Operator(ControlId::new(control), states));
        }
        Some(Logic::All(all))
    }

    fn stands(&mut self, item: &Entries<'_, '_>) -> Vec<(Logic, f64)> {
        let mut stands = Vec::new();
        for entry in named(self, item, "stands") {
            let at = FilePlace::Bytes(self.file, entry.key_span);
            let Some(control) = self.control(entry.key, at) else { continue };
            for state in entry.value.map().unwrap_or_default() {
                let at = FilePlace::Bytes(self.file, state.key_span);
                let number = self.state(control, state.key, at);
                let share: Option<Percent> = self.quantity_of(&state.value);
                if let (Some(number), Some(share)) = (number, share) {
                    let logic = Logic::Operator(ControlId::new(control), vec![number]);
                    stands.push((logic, share.value() / 100.0));
                }
            }
        }
        stands
    }
}
