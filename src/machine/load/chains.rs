//! The chains of a machine file: places and two-ended things, read as on a wiring diagram.
//!
//! Two neighbouring things make an unnamed place; two neighbouring places are one. End 1 of a thing is
//! nearer the chain's start.

use super::draft::{Draft, Named};
use super::forms::ITEMS;
use crate::diag::{Entries, Entry, Form, Node, Place as FilePlace, nearest};
use crate::machine::model::{Chain, ChainItem, Owner, PointId};
use crate::machine::network::Place;
use crate::machine::parts::{Kind, STUD, Stud};
use crate::units::Ohms;

/// A chain while it is read.
#[derive(Default)]
pub(super) struct Reading {
    /// The place where the chain has got to.
    pub(super) at: Option<Place>,
    pub(super) items: Vec<ChainItem>,
}

/// Points of a chain that take the zone of the nearest wire, with their place in the chain.
type Unzoned = Vec<(usize, PointId)>;

impl Draft<'_> {
    pub(super) fn read_chains(&mut self, entries: &[Entry<'_>]) {
        let items = entries.iter().filter_map(|entry| entry.value.list()).flatten();
        self.load_names =
            items.filter_map(|item| Some(item.get("load")?.scalar()?.trim().to_owned())).collect();
        for entry in entries {
            let Some(items) = entry.value.list() else {
                let place = self.place(&entry.value);
                self.problems.refuse("wrong-kind", place).says(
                    format!("a circuit is a list of places and things; this is {}", entry.value.kind()),
                    "Nothing can be computed from it.",
                    "`- {wire: W1, …}` lines, from one end to the other",
                );
                continue;
            };
            self.chain(entry.key, items, FilePlace::Bytes(self.file, entry.key_span));
        }
    }

    fn chain(&mut self, name: &str, items: &[Node<'_>], at: FilePlace) {
        let mut reading = Reading::default();
        let mut unzoned = Vec::new();
        for node in items {
            let Some((form, kind)) = self.item_form(node) else { continue };
            let Some(item) = self.open(node, form) else { continue };
            match kind {
                "pin" | "point" | "splice" | "ground" => {
                    self.place_item(kind, &item, &mut reading, &mut unzoned);
                }
                _ => self.element_item(kind, &item, &mut reading),
            }
        }
        if items.len() < 2 {
            self.problems.warn("short-circuit-chain", at).says(
                format!("the circuit `{name}` has fewer than two things in it"),
                "It leads nowhere.",
                "its wires and the places at both ends",
            );
        }
        self.zone_from_wires(&reading.items, &unzoned);
        self.parts.chains.push(Chain { name: name.to_owned(), items: reading.items });
    }

    /// The form of an item, told by whichever key says what it is.
    fn item_form(&mut self, node: &Node<'_>) -> Option<(&'static Form, &'static str)> {
        let kinds = || ITEMS.iter().map(|form| (*form, form.fields[0].name));
        let found = kinds().find(|(_, kind)| node.get(kind).is_some());
        if found.is_none() {
            let place = self.place(node);
            let first = node.map().and_then(|m| m.first()).map_or("", |e| e.key);
            let meant = nearest(first, kinds().map(|(_, kind)| kind));
            let all = kinds().map(|(_, kind)| format!("`{kind}`")).collect::<Vec<_>>().join(", ");
            self.problems.refuse("chain-item", place).says(
                "nothing says what stands here in the chain",
                "The circuit would be broken at this place.",
                meant.map_or_else(|| format!("one of {all}"), |m| format!("`{m}: …`, if that is meant")),
            );
        }
        found
    }

    fn place_item(
        &mut self,
        kind: &str,
        item: &Entries<'_, '_>,
        reading: &mut Reading,
        unzoned: &mut Unzoned,
    ) {
        let Some(name) = self.word(item, kind).map(str::to_owned) else { return };
        let at = FilePlace::Bytes(self.file, item.get(kind).map_or_else(Default::default, |n| n.span));
        let point = match kind {
            "pin" => self.pin(&name, at),
            "ground" => self.stud(&name, item, at),
            _ => self.own_point(&name, kind, at),
        };
        let Some(point) = point else { return };
        if kind != "pin" {
            if let Some(zone) = self.zone(item) {
                self.parts.points[point.at()].zone = Some(zone);
            }
            if self.parts.points[point.at()].zone.is_none() && point.at() > 0 {
                unzoned.push((reading.items.len(), point));
            }
        }
        let place = self.parts.place(point);
        if let Some(here) = reading.at {
            self.parts.joins.push((here, place));
        }
        reading.at = Some(place);
        reading.items.push(ChainItem::Point(point));
    }

    fn pin(&mut self, name: &str, at: FilePlace) -> Option<PointId> {
        let controller = name.split_once(':').map_or(name, |(box_name, _)| box_name);
        let Some(Named::Controller(id)) = self.names.get(controller).copied() else {
            let names: Vec<String> = self.parts.controllers.iter().map(|c| c.name.clone()).collect();
            self.dangling("controller", controller, at, names.iter().map(String::as_str));
            return None;
        };
        let point = self.points.get(name).copied();
        if point.is_none() {
            let points = self.parts.points.iter().filter(|p| p.owner == Owner::Controller(id));
            let known: Vec<String> = points.map(|p| p.name.clone()).collect();
            self.problems.refuse("unknown-pin", at).says(
                format!("`{name}` is not among the pins of {controller}"),
                "What the controller does at that pin is not known, so nothing can be said about its volts.",
                nearest(name, known.iter().map(String::as_str)).map_or_else(
                    || {
                        format!(
                            "one of {}, or the pin under `inputs:`, `outputs:` or `inside:`",
                            known.join(", ")
                        )
                    },
                    |m| format!("`{m}`, if that is meant"),
                ),
            );
        }
        point
    }

    /// A terminal or splice: made where it is first named, the same one everywhere.
    fn own_point(&mut self, name: &str, kind: &str, at: FilePlace) -> Option<PointId> {
        match self.names.get(name).copied() {
            Some(Named::Point(point)) if kind == "point" => return Some(point),
            Some(Named::Splice(point)) if kind == "splice" => return Some(point),
            Some(_) => {
                self.used_twice(name, at);
                return None;
            }
            None => {}
        }
        if !self.is_name(name, at) {
            return None;
        }
        // An address that an element brought along: the wiper of a potentiometer, an end of a wire.
        if let Some(point) = self.points.get(name).copied() {
            return Some(point);
        }
        let place = self.new_place();
        let point = self.add_point(name, Owner::Own, place);
        let named = if kind == "splice" { Named::Splice(point) } else { Named::Point(point) };
        self.names.insert(name.to_owned(), named);
        Some(point)
    }

    fn stud(&mut self, name: &str, item: &Entries<'_, '_>, at: FilePlace) -> Option<PointId> {
        let ohms: Option<Ohms> = self.quantity(item, "ohms");
        if let Some(Named::Stud(point)) = self.names.get(name).copied() {
            if let (Some(ohms), Owner::Stud(stud)) = (ohms, self.parts.points[point.at()].owner) {
                self.parts.studs[stud as usize].ohms = ohms;
            }
            return Some(point);
        }
        let stud = u32::try_from(self.parts.studs.len()).ok()?;
        if !self.claim(name, Named::Stud(PointId(0)), at) {
            return None;
        }
        let place = self.new_place();
        let point = self.add_point(name, Owner::Stud(stud), place);
        self.names.insert(name.to_owned(), Named::Stud(point));
        self.add_stud(Stud { name: name.to_owned(), point, ohms: ohms.unwrap_or(STUD) });
        Some(point)
    }

    /// Terminals, splices and studs without a zone have that of the nearest wire in their chain.
    fn zone_from_wires(&mut self, items: &[ChainItem], unzoned: &Unzoned) {
        let wires: Vec<(usize, String)> = items
            .iter()
            .enumerate()
            .filter_map(|(at, item)| match item {
                ChainItem::Element(id) => {
                    let element = self.parts.element(*id);
                    let wire = matches!(element.kind, Kind::Wire(_));
                    wire.then(|| Some((at, element.zone.clone()?)))?
                }
                ChainItem::Point(_) => None,
            })
            .collect();
        for (at, point) in unzoned {
            let nearest = wires.iter().min_by_key(|(wire, _)| wire.abs_diff(*at));
            let point = &mut self.parts.points[point.at()];
            if point.zone.is_none() {
                point.zone = nearest.map(|(_, zone)| zone.clone());
            }
        }
    }
}
