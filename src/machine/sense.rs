//! What tree checks ask of a machine: zones, sources, what moves, what is apart, what is still live.

use super::case::Case;
use super::day::Day;
use super::family::Machine;
use super::model::{ConnectorId, ControllerId, ElementId, FunctionId, Owner, Parts, PointId};
use super::network::Place;
use super::parts::Kind;
use super::rig::Rig;
use super::setup::Setup;
use crate::units::{Amps, Ohms, Volts};

/// Where the body is for something of a machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Located<'m> {
    /// The machine has nothing of this name.
    Nowhere,
    /// It is there, and its file gives no zone.
    Unzoned,
    /// In this zone.
    In(&'m str),
}

impl<'m> From<&'m Option<String>> for Located<'m> {
    fn from(zone: &'m Option<String>) -> Self {
        zone.as_deref().map_or(Self::Unzoned, Self::In)
    }
}

impl Machine {
    /// The zone of a point.
    #[must_use]
    pub fn zone_of(&self, point: PointId) -> Located<'_> {
        Located::from(&self.parts().points[point.at()].zone)
    }

    /// The zone of a point, plug, wire, rub (`W31@pivot-clamp`), controller or other thing by its name.
    #[must_use]
    pub fn zone_named(&self, name: &str) -> Located<'_> {
        let parts = self.parts();
        if let Some(point) = self.point(name) {
            return self.zone_of(point);
        }
        if let Some(element) = self.element(name) {
            return Located::from(&parts.element(element).zone);
        }
        if let Some(connector) = self.connector(name) {
            return Located::from(&parts.connectors[connector.at()].zone);
        }
        self.controller(name).map_or(Located::Nowhere, |c| Located::from(&parts.controllers[c.at()].zone))
    }

    /// The controller of this name.
    #[must_use]
    pub fn controller(&self, name: &str) -> Option<ControllerId> {
        self.parts().controllers.iter().position(|c| c.name == name).map(ControllerId::new)
    }

    /// The connector that a point is a side of.
    #[must_use]
    pub fn connector_of(&self, point: PointId) -> Option<ConnectorId> {
        let Owner::Side(contact, _) = self.parts().points[point.at()].owner else { return None };
        match self.parts().element(contact).kind {
            Kind::Contact { connector, .. } => Some(connector),
            _ => None,
        }
    }

    /// The contacts that a plug takes apart.
    #[must_use]
    pub fn taken_apart(&self, connector: ConnectorId) -> &[ElementId] {
        &self.parts().connectors[connector.at()].contacts
    }

    /// True if two addresses are one place: an end of a wire and the pin it goes to.
    #[must_use]
    pub fn is_one_place(&self, a: PointId, b: PointId) -> bool {
        self.harness().circuit.one_node(self.parts().place(a), self.parts().place(b))
    }

    /// What a point belongs to, as the file calls it: its controller, plug, wire or stud, or itself.
    #[must_use]
    pub fn owner_name(&self, point: PointId) -> &str {
        let parts = self.parts();
        match parts.points[point.at()].owner {
            Owner::Controller(id) => &parts.controllers[id.at()].name,
            Owner::End(id, _) | Owner::Rub(id, _) => &parts.element(id).name,
            Owner::Side(id, _) => match parts.element(id).kind {
                Kind::Contact { connector, .. } => &parts.connectors[connector.at()].name,
                _ => &parts.element(id).name,
            },
            _ => &parts.points[point.at()].name,
        }
    }

    /// The load that hangs on a thing in some function's state, healthy; none if that draws 50 mA or
    /// less: then it is in a signal circuit.
    #[must_use]
    pub fn load_on(&self, element: ElementId) -> Option<Ohms> {
        self.carried().get(element.at()).copied().flatten().map(Ohms)
    }

    /// True if parting a plug parts a load circuit.
    #[must_use]
    pub fn parts_load(&self, connector: ConnectorId) -> bool {
        self.taken_apart(connector).iter().any(|contact| self.load_on(*contact).is_some())
    }

    /// The functions that move something.
    pub fn movers(&self) -> impl Iterator<Item = FunctionId> + '_ {
        self.function_ids().filter(|id| !self.parts().functions[id.at()].moves.is_empty())
    }
}

impl<'m> Day<'m> {
    /// The functions with `moves` that work in a setup, healthy: what a step with this setup sets in motion.
    #[must_use]
    pub fn moving(&self, rig: &Rig<'m>) -> Vec<FunctionId> {
        self.healthy().moving(rig)
    }

    /// True if a point has a source in a setup, healthy: something that conducts leads from it to a
    /// battery, an alternator, a pull-up or a rail, without going through the frame. Without one a
    /// dead reading there says nothing.
    #[must_use]
    pub fn has_source(&self, rig: &Rig<'m>, point: PointId) -> bool {
        let settled = self.bare().settle(rig);
        settled.reaches_source(self.machine().parts().place(point))
    }
}

impl<'m> Case<'_, 'm> {
    /// The functions with `moves` that work in a setup with these faults, if only now and then.
    #[must_use]
    pub fn moving(&self, rig: &Rig<'m>) -> Vec<FunctionId> {
        let settled = self.settle(rig);
        self.day.machine().movers().filter(|id| settled.may_move(*id)).collect()
    }

    /// What a place could push into the frame if it touched it: its volts over its resistance.
    #[must_use]
    pub fn push_into_frame(&self, rig: &Rig<'m>, point: PointId) -> Amps {
        self.settle(rig).push(self.day.machine().parts().place(point))
    }

    /// What undoing the things named could push into the frame at most, over all their ends.
    #[must_use]
    pub fn push_at(&self, rig: &Rig<'m>, elements: &[ElementId]) -> Amps {
        let parts = self.day.machine().parts();
        let settled = self.settle(rig);
        let ends = elements.iter().flat_map(|e| parts.element(*e).ends);
        Amps(ends.map(|end| settled.push(parts.place(end)).value()).fold(0.0, f64::max))
    }
}

impl super::settled::Settled<'_, '_> {
    /// A graph search over what conducts, not through the frame nor the battery's minus: what leads there leads to no
    /// source.
    fn reaches_source(&self, from: Place) -> bool {
        let (rig, frames) = self.inside();
        let circuit = &rig.harness.circuit;
        let sinks = [Parts::FRAME, Parts::MINUS].map(|point| rig.machine.parts().place(point));
        frames.iter().any(|solved| {
            let mut reached = vec![from];
            let mut at = 0;
            while let Some(place) = reached.get(at).copied() {
                at += 1;
                if at > 1 && sinks.iter().any(|sink| circuit.one_node(place, *sink)) {
                    continue;
                }
                for branch in rig.harness.network.branch_ids() {
                    let (a, b) = circuit.ends(branch);
                    let (here, there) = match (circuit.one_node(a, place), circuit.one_node(b, place)) {
                        (true, false) => (a, b),
                        (false, true) => (b, a),
                        _ => continue,
                    };
                    if !solved.values.conducts(branch) {
                        continue;
                    }
                    if solved.values.drives(branch) || circuit.is_held(here) {
                        return true;
                    }
                    if !reached.iter().any(|r| circuit.one_node(*r, there)) {
                        reached.push(there);
                    }
                }
            }
            false
        })
    }

    fn push(&self, place: Place) -> Amps {
        let (rig, frames) = self.inside();
        let circuit = &rig.harness.circuit;
        let frame = rig.machine.parts().place(Parts::FRAME);
        let most = frames.iter().map(|solved| {
            let open = solved.solution.volts(place).map_or(0.0, Volts::value).abs();
            let ohms =
                circuit.ohms_between(&solved.solution, place, frame).map_or(f64::INFINITY, Ohms::value);
            if open <= 0.0 { 0.0 } else { open / ohms.max(1e-6) }
        });
        Amps(most.fold(0.0, f64::max))
    }
}

impl Setup {
    /// True if a connector is apart.
    #[must_use]
    pub fn is_apart(&self, connector: ConnectorId) -> bool {
        self.unplugged.contains(&connector)
    }
}
