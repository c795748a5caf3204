//! Every test that could tell suspects apart on a machine: questions by telephone, looks, readings.
//!
//! A place that has several names is read under the one that a probe reaches best: a controller's pin, a contact's
//! side, a terminal, then the end of a part. Only chains that a suspect sits on are read.

use std::collections::BTreeSet;

use crate::machine::{
    ChainItem, CodeName, ElementId, Fault, FaultKind, Kind, Located, Machine, Owner, PointId, Reach,
};
use crate::safety::Power;
use crate::tree::Shows;
use crate::units::Minutes;

use super::suspects::Suspects;
use super::trial::{Trial, What};

/// Where the suspects sit, and the state in which they show.
pub(super) struct Candidates<'m, 's> {
    pub(super) machine: &'m Machine,
    pub(super) suspects: &'s Suspects,
    pub(super) symptom: &'s [(String, Shows)],
    /// The tree's setup: controls and states in which the symptom shows.
    pub(super) setup: Vec<(String, String)>,
    /// The states that must hold a function which is not held: what is wrong shows there.
    pub(super) held: Vec<Vec<(String, String)>>,
    /// The power that volts are read at.
    pub(super) power: Power,
}

impl Candidates<'_, '_> {
    /// All of them, each once.
    pub(super) fn all(&self) -> Vec<Trial> {
        let mut all = self.asked();
        all.extend(self.looked());
        all.extend(self.seen());
        let chains = self.chains();
        all.extend(self.read(&chains));
        let mut kept: Vec<Trial> = Vec::new();
        for trial in all {
            if !kept.contains(&trial) {
                kept.push(trial);
            }
        }
        kept
    }

    fn asked(&self) -> Vec<Trial> {
        let parts = self.machine.parts();
        let known = |name: &String| self.symptom.iter().any(|(own, _)| own == name);
        let functions = parts.functions.iter().map(|f| f.name.clone()).filter(|name| !known(name));
        let codes = parts.controllers.iter().flat_map(|c| &c.codes).filter_map(|code| match code.name {
            CodeName::Spn { spn, fmi } => Some(What::Code(spn, fmi)),
            CodeName::Own(_) => None,
        });
        functions.map(What::Function).chain(codes).map(Trial::phone).collect()
    }

    /// Rubs and plugs on which a suspect sits. Fuses are read: a link cracked under its window looks whole.
    fn looked(&self) -> Vec<Trial> {
        let parts = self.machine.parts();
        let mut looks = Vec::new();
        for id in self.elements() {
            let element = &parts.elements[id.at()];
            match &element.kind {
                Kind::Wire(wire) => {
                    for rub in &wire.rubs {
                        looks.push(Self::look(format!("{}@{}", element.name, rub.name), None, None));
                    }
                }
                Kind::Contact { connector, .. } => {
                    let plug = parts.connectors[connector.at()].name.clone();
                    looks.push(Self::look(plug.clone(), Some(plug), Some(3.0)));
                }
                _ => {}
            }
        }
        looks
    }

    /// What is not electrical and the machine file says how to see.
    fn seen(&self) -> Vec<Trial> {
        let all: Vec<usize> = (0..self.suspects.list.len()).collect();
        let faults = self.suspects.faults(&all).into_iter().map(|fault| self.machine.fault(fault));
        let sight = |fault: &Fault| {
            let seen = fault.seen.as_ref()?;
            let what = What::Sight(fault.name.clone());
            let minutes = seen.minutes.map(Minutes::value);
            Some(Trial { power: Some(Power::Isolated), minutes, ..Trial::phone(what) })
        };
        faults.filter_map(sight).collect()
    }

    fn look(place: String, apart: Option<String>, minutes: Option<f64>) -> Trial {
        Trial { apart, minutes, ..Trial::phone(What::Look(place)) }
    }

    /// The elements that suspects sit on, and those of a controller that is one.
    fn elements(&self) -> Vec<ElementId> {
        let mut all: BTreeSet<ElementId> = BTreeSet::new();
        for suspect in &self.suspects.list {
            all.extend(self.machine.fault_elements(suspect.fault));
        }
        all.into_iter().collect()
    }

    /// The chains that a suspect sits on, by an element, a stud or a pin.
    fn chains(&self) -> BTreeSet<usize> {
        let parts = self.machine.parts();
        let mut chains: BTreeSet<usize> =
            self.elements().iter().map(|id| parts.elements[id.at()].chain).collect();
        let mut points: BTreeSet<PointId> = BTreeSet::new();
        for suspect in &self.suspects.list {
            match self.machine.fault(suspect.fault).kind {
                FaultKind::Stud(stud) => points.extend(parts.studs.get(stud as usize).map(|s| s.point)),
                FaultKind::PinDead(pin) => points.extend([pin]),
                FaultKind::ControllerDead(id) => {
                    let feed = parts.controllers[id.at()].feed;
                    points.extend([feed.plus, feed.minus]);
                }
                _ => {}
            }
        }
        for (at, chain) in parts.chains.iter().enumerate() {
            let touches = |item: &ChainItem| matches!(item, ChainItem::Point(p) if points.contains(p));
            if chain.items.iter().any(touches) {
                chains.insert(at);
            }
        }
        chains
    }

    fn read(&self, chains: &BTreeSet<usize>) -> Vec<Trial> {
        let points = self.points(chains);
        let mut all = Vec::new();
        for point in &points {
            let zone = self.zone(*point);
            let name = self.name(*point);
            for black in self.blacks(zone, *point) {
                all.extend(self.volts(&What::Volts(name.clone(), black.clone()), None));
                all.extend(self.ohms(&What::Ohms(name.clone(), black.clone()), None));
            }
            if let Some(connector) = self.machine.connector_of(*point) {
                let plug = self.machine.parts().connectors[connector.at()].name.clone();
                all.extend(self.volts(&What::Volts(name.clone(), None), Some(&plug)));
                all.extend(self.ohms(&What::Ohms(name.clone(), None), Some(&plug)));
                if self.machine.parts_load(connector) {
                    all.extend(self.volts(&What::Lamp(name.clone(), None), Some(&plug)));
                }
            }
        }
        for chain in chains {
            all.extend(self.across(*chain));
        }
        all.extend(self.between_pins());
        all
    }

    /// From end to end of each part whose ends are reached from one zone; amps around the wires of loads, and around all
    /// that may carry what charges or cranks.
    fn across(&self, chain: usize) -> Vec<Trial> {
        let parts = self.machine.parts();
        let mut all = Vec::new();
        for item in &parts.chains[chain].items {
            let ChainItem::Element(id) = item else { continue };
            let element = &parts.elements[id.at()];
            let [one, other] = element.ends.map(|end| (self.best(end), self.zone(self.best(end))));
            if one.1.is_some() && one.1 == other.1 {
                let (red, black) = (self.name(one.0), Some(self.name(other.0)));
                all.extend(self.volts(&What::Volts(red.clone(), black.clone()), None));
                all.extend(self.ohms(&What::Ohms(red, black), None));
            }
            let carries = self.machine.load_on(*id).is_some() || self.shows_running();
            if matches!(element.kind, Kind::Wire(_)) && carries {
                all.extend(self.volts(&What::Amps(element.name.clone()), None));
            }
        }
        all
    }

    /// From pin to pin of one plug, where two wires can touch or water joins them.
    fn between_pins(&self) -> Vec<Trial> {
        let parts = self.machine.parts();
        let mut all = Vec::new();
        let contact_of = |wire: ElementId| {
            let ends = parts.elements[wire.at()].ends;
            let is_side = |id: &&ElementId| {
                parts.elements[id.at()]
                    .ends
                    .iter()
                    .any(|e| ends.iter().any(|w| self.machine.is_one_place(*e, *w)))
            };
            parts.connectors.iter().flat_map(|c| &c.contacts).find(is_side).copied()
        };
        let touching =
            parts.touching.iter().filter_map(|pair| Some([contact_of(pair[0].0)?, contact_of(pair[1].0)?]));
        for [one, other] in parts.wet.iter().copied().chain(touching) {
            let plug = |id: ElementId| match parts.elements[id.at()].kind {
                Kind::Contact { connector, .. } => Some(connector),
                _ => None,
            };
            let Some(connector) = plug(one).filter(|own| plug(other) == Some(*own)) else { continue };
            let apart = parts.connectors[connector.at()].name.clone();
            for side in 0..2 {
                let end = |id: ElementId| self.name(parts.elements[id.at()].ends[side]);
                all.extend(self.ohms(&What::Ohms(end(one), Some(end(other))), Some(&apart)));
            }
        }
        all
    }

    /// A reading of volts or amps with all the symptom's controls set; with only those that nobody has to hold; and
    /// in each state that must hold what is not held.
    fn volts(&self, what: &What, apart: Option<&str>) -> Vec<Trial> {
        let mut all = self.reading(what, apart, self.power);
        if self.shows_running() && apart.is_none() {
            all.extend(self.running(what));
        }
        all
    }

    /// True if something shows only with the engine running or cranked: the symptom has a state that no reading with the
    /// engine stopped can have, as the key at start; or something that charges is suspect.
    fn shows_running(&self) -> bool {
        let running = |(control, state): &(String, String)| {
            self.allows(control, state, Power::Running) && !self.allows(control, state, self.power)
        };
        let kinds = self.suspects.list.iter().map(|suspect| self.machine.fault(suspect.fault).kind);
        self.setup.iter().any(running)
            || kinds.into_iter().any(|kind| matches!(kind, FaultKind::SourceDead(_)))
    }

    /// The same reading with the engine running: at the seat, or there by leads that were put on before.
    fn running(&self, what: &What) -> Vec<Trial> {
        let names: Vec<&String> = match what {
            What::Volts(red, black) => std::iter::once(red).chain(black).collect(),
            What::Amps(wire) => vec![wire],
            _ => return Vec::new(),
        };
        let zones: Vec<Option<&str>> = names.iter().map(|name| self.zone_named(name)).collect();
        let all_in = |zone: &str| zones.iter().all(|own| *own == Some(zone));
        let leads = match () {
            () if all_in("seat") => Vec::new(),
            () if all_in("engine-bay") => names.into_iter().cloned().collect(),
            () => return Vec::new(),
        };
        let with = |trial: Trial| Trial { leads: leads.clone(), ..trial };
        self.reading(what, None, Power::Running).into_iter().map(with).collect()
    }

    fn zone_named(&self, name: &str) -> Option<&str> {
        match self.machine.zone_named(name) {
            Located::In(zone) => Some(zone),
            _ => None,
        }
    }

    fn ohms(&self, what: &What, apart: Option<&str>) -> Vec<Trial> {
        self.reading(what, apart, Power::Isolated)
    }

    fn reading(&self, what: &What, apart: Option<&str>, power: Power) -> Vec<Trial> {
        let fits = |(control, state): &&(String, String)| self.allows(control, state, power);
        let set = |all: &Vec<(String, String)>| all.iter().filter(fits).cloned().collect::<Vec<_>>();
        let held = |(control, _): &&(String, String)| !self.is_held(control);
        let free: Vec<(String, String)> = set(&self.setup).iter().filter(held).cloned().collect();
        let mut withs = vec![free];
        for with in std::iter::once(&self.setup).chain(&self.held).map(set) {
            if !withs.contains(&with) {
                withs.push(with);
            }
        }
        let apart = apart.map(str::to_owned);
        let trial = |with| Trial {
            what: what.clone(),
            with,
            power: Some(power),
            apart: apart.clone(),
            minutes: None,
            leads: Vec::new(),
        };
        withs.into_iter().map(trial).collect()
    }

    /// A control that says something about power is set only where its state goes with the reading's.
    fn allows(&self, control: &str, state: &str, power: Power) -> bool {
        let Some(id) = self.machine.control(control) else { return false };
        let own = &self.machine.parts().controls[id.at()];
        let at = own.states.iter().position(|s| s == state);
        if own.power.is_empty() {
            return true;
        }
        power != Power::Isolated && at.and_then(|at| own.power.get(at)).is_some_and(|p| p.contains(&power))
    }

    /// Somebody in the seat has to hold or tie it.
    fn is_held(&self, control: &str) -> bool {
        self.machine.control(control).is_some_and(|id| self.machine.reach(id) != Reach::Anywhere)
    }

    /// One name for each place of these chains.
    fn points(&self, chains: &BTreeSet<usize>) -> Vec<PointId> {
        let parts = self.machine.parts();
        let mut found: BTreeSet<PointId> = BTreeSet::new();
        for chain in chains {
            for item in &parts.chains[*chain].items {
                match item {
                    ChainItem::Point(point) => {
                        found.insert(self.best(*point));
                    }
                    ChainItem::Element(id) => {
                        found.extend(parts.elements[id.at()].ends.map(|end| self.best(end)));
                    }
                }
            }
        }
        found.into_iter().filter(|p| *p != self.machine.frame()).collect()
    }

    /// The name under which a place is reached best. The end of a wire is where its other part is, whatever the zone of
    /// the wire.
    fn best(&self, point: PointId) -> PointId {
        let parts = self.machine.parts();
        let rank = |id: &PointId| match parts.points[id.at()].owner {
            Owner::Controller(_) => 0,
            Owner::Side(..) => 1,
            Owner::Stud(_) => 2,
            Owner::Own => 3,
            Owner::End(element, _) if matches!(parts.elements[element.at()].kind, Kind::Wire(_)) => 5,
            Owner::End(..) => 4,
            _ => 9,
        };
        let same = |id: &PointId| self.machine.is_one_place(*id, point);
        let other_zone = |id: &PointId| self.zone(*id) != self.zone(point);
        self.machine.point_ids().filter(same).min_by_key(|id| (rank(id), other_zone(id))).unwrap_or(point)
    }

    /// The frame, and the studs and posts in the same zone.
    fn blacks(&self, zone: Option<&str>, red: PointId) -> Vec<Option<String>> {
        let parts = self.machine.parts();
        let mut blacks = vec![None];
        let minus = self.machine.point("B-");
        for id in self.machine.point_ids() {
            let is_stud = matches!(parts.points[id.at()].owner, Owner::Stud(_)) || Some(id) == minus;
            if is_stud
                && id != red
                && zone.is_some()
                && self.zone(id) == zone
                && !self.machine.is_one_place(id, red)
            {
                blacks.push(Some(self.name(id)));
            }
        }
        blacks
    }

    fn zone(&self, point: PointId) -> Option<&str> {
        match self.machine.zone_of(point) {
            Located::In(zone) => Some(zone),
            _ => None,
        }
    }

    fn name(&self, point: PointId) -> String {
        self.machine.parts().points[point.at()].name.clone()
    }
}
