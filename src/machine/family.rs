//! One machine family: its parts, its network, its faults, and what others ask of it.

use super::day::Day;
use super::fault::{Fault, FaultKind, Knot};
use super::harness::Harness;
use super::model::{ConnectorId, ControlId, ElementId, FaultId, FunctionId, Owner, Parts, PointId, Reach};
use super::parts::Kind;
use super::power::{Power, power_word};
use super::settled::Probes;
use super::setup::{Moved, Setup, SetupError, Today};
use crate::diag::{Text, nearest};
use std::collections::HashMap;
use std::sync::Arc;

/// A machine family, loaded from its file.
#[derive(Debug, Clone)]
pub struct Machine {
    /// Its name in files.
    pub name: String,
    /// What it is called.
    pub title: Text,
    /// The revision of its file.
    pub revision: u32,
    parts: Parts,
    harness: Arc<Harness>,
    faults: Vec<Fault>,
    names: Names,
    moving: Vec<ElementId>,
    loads: Vec<ElementId>,
    fuses: Vec<ElementId>,
    carried: Vec<Option<f64>>,
}

/// Who has which name.
#[derive(Debug, Clone, Default)]
pub(super) struct Names {
    pub(super) points: HashMap<String, PointId>,
    pub(super) elements: HashMap<String, ElementId>,
    pub(super) faults: HashMap<String, FaultId>,
}

impl Machine {
    pub(super) fn new((name, title, revision): (String, Text, u32), parts: Parts, harness: Harness) -> Self {
        let ids = || (0..parts.elements.len()).map(ElementId::new);
        let of = |wanted: fn(&Kind) -> bool| ids().filter(|id| wanted(&parts.element(*id).kind)).collect();
        let points = parts.points.iter().enumerate().map(|(at, p)| (p.name.clone(), PointId::new(at)));
        let names = Names {
            points: points.collect(),
            elements: ids().map(|id| (parts.element(id).name.clone(), id)).collect(),
            faults: HashMap::new(),
        };
        Self {
            name,
            title,
            revision,
            moving: of(|kind| {
                matches!(kind, Kind::RelayContact { .. } | Kind::Diode | Kind::Source { most: Some(_), .. })
            }),
            loads: of(|kind| matches!(kind, Kind::Load { pulls_in: Some(_) })),
            fuses: of(|kind| matches!(kind, Kind::Fuse { .. })),
            parts,
            harness: Arc::new(harness),
            faults: Vec::new(),
            carried: Vec::new(),
            names,
        }
    }

    /// The same family with other parts of the same kinds.
    pub(super) fn with_parts(&self, parts: Parts, harness: Harness) -> Self {
        Self { parts, harness: Arc::new(harness), ..self.clone() }
    }

    /// Per element: the load it carries, in ohms, where it is in a load circuit.
    pub(super) fn carried(&self) -> &[Option<f64>] {
        &self.carried
    }

    pub(super) fn set_carried(&mut self, carried: Vec<Option<f64>>) {
        self.carried = carried;
    }

    pub(super) fn set_faults(&mut self, faults: Vec<Fault>) {
        let by_name = faults.iter().enumerate().map(|(at, f)| (f.name.clone(), FaultId::new(at)));
        self.names.faults = by_name.collect();
        self.faults = faults;
    }

    /// Everything the file lists, names resolved.
    #[must_use]
    pub fn parts(&self) -> &Parts {
        &self.parts
    }

    pub(super) fn harness(&self) -> &Arc<Harness> {
        &self.harness
    }

    /// Relay contacts and diodes: what states move.
    pub(super) fn moving(&self) -> &[ElementId] {
        &self.moving
    }

    /// Loads of which is said when they pull in.
    #[must_use]
    pub fn loads(&self) -> &[ElementId] {
        &self.loads
    }

    /// Fuses, in file order.
    #[must_use]
    pub fn fuses(&self) -> &[ElementId] {
        &self.fuses
    }

    /// The machine with today's battery and temperature.
    #[must_use]
    pub fn day(&self, today: Today) -> Day<'_> {
        Day::new(self, today)
    }

    /// Everything that can be wrong, in file order.
    #[must_use]
    pub fn faults(&self) -> &[Fault] {
        &self.faults
    }

    /// One of them.
    #[must_use]
    pub fn fault(&self, id: FaultId) -> &Fault {
        &self.faults[id.at()]
    }

    /// Every fault's number.
    pub fn fault_ids(&self) -> impl Iterator<Item = FaultId> + use<> {
        (0..self.faults.len()).map(FaultId::new)
    }

    /// The fault of this name; of two that touch or are joined by water, either may be named first.
    #[must_use]
    pub fn fault_named(&self, name: &str) -> Option<FaultId> {
        let name = name.split_whitespace().collect::<Vec<_>>().join(" ");
        self.names.faults.get(&name).or_else(|| self.names.faults.get(&turned(&name)?)).copied()
    }

    /// The fault's name that was probably meant.
    #[must_use]
    pub fn nearest_fault(&self, name: &str) -> Option<&str> {
        nearest(name, self.faults.iter().map(|f| f.name.as_str()))
    }

    /// The nominal knot of a fault, or the one at this severity in the fault's unit.
    #[must_use]
    pub fn knot(&self, fault: FaultId, severity: Option<f64>) -> Knot {
        let own = self.fault(fault);
        Knot { fault, severity: severity.map_or(own.nominal, |s| own.sane(s)) }
    }

    /// The point of this address.
    #[must_use]
    pub fn point(&self, name: &str) -> Option<PointId> {
        self.names.points.get(name).copied()
    }

    /// The point's address that was probably meant.
    #[must_use]
    pub fn nearest_point(&self, name: &str) -> Option<&str> {
        nearest(name, self.parts.points.iter().map(|p| p.name.as_str()))
    }

    /// The frame.
    #[must_use]
    pub const fn frame(&self) -> PointId {
        Parts::FRAME
    }

    /// Every point's number, in file order.
    pub fn point_ids(&self) -> impl Iterator<Item = PointId> + use<> {
        (0..self.parts.points.len()).map(PointId::new)
    }

    /// The wire, contact, switch or other two-ended thing of this name.
    #[must_use]
    pub fn element(&self, name: &str) -> Option<ElementId> {
        self.names.elements.get(name).copied()
    }

    /// The connector of this name.
    #[must_use]
    pub fn connector(&self, name: &str) -> Option<ConnectorId> {
        self.parts.connectors.iter().position(|c| c.name == name).map(ConnectorId::new)
    }

    /// The control of this name.
    #[must_use]
    pub fn control(&self, name: &str) -> Option<ControlId> {
        self.parts.controls.iter().position(|c| c.name == name).map(ControlId::new)
    }

    /// The function of this name.
    #[must_use]
    pub fn function(&self, name: &str) -> Option<FunctionId> {
        self.parts.functions.iter().position(|f| f.name == name).map(FunctionId::new)
    }

    /// Every function's number, in file order.
    pub fn function_ids(&self) -> impl Iterator<Item = FunctionId> + use<> {
        (0..self.parts.functions.len()).map(FunctionId::new)
    }

    /// From where a control can be set.
    #[must_use]
    pub fn reach(&self, control: ControlId) -> Reach {
        self.parts.controls[control.at()].reach
    }

    /// The element whose two ends the probes are on, and 1 if red is on its end 1, else −1.
    pub(super) fn spanned(&self, probes: Probes) -> Option<(ElementId, f64)> {
        let end = |point: PointId| match self.parts.points[point.at()].owner {
            Owner::End(element, end) | Owner::Side(element, end) => Some((element, end)),
            _ => None,
        };
        let ((red, side), (black, _)) = (end(probes.red)?, end(probes.black)?);
        (red == black && probes.red != probes.black).then_some((red, if side == 0 { 1.0 } else { -1.0 }))
    }

    /// True if the place of a fault is moved in a setup.
    #[must_use]
    pub fn is_moved(&self, fault: FaultId, setup: &Setup) -> bool {
        self.fault_elements(fault).iter().any(|element| {
            setup.moved.iter().any(|moved| match (moved, &self.parts.element(*element).kind) {
                (Moved::Connector(moved), Kind::Contact { connector, .. }) => moved == connector,
                (Moved::Wire(wire), _) => wire == element,
                _ => false,
            })
        })
    }

    /// The elements a fault sits on.
    #[must_use]
    pub fn fault_elements(&self, fault: FaultId) -> Vec<ElementId> {
        match self.fault(fault).kind {
            FaultKind::Open(element, _)
            | FaultKind::Resistive(element)
            | FaultKind::Shorted(element)
            | FaultKind::StuckClosed(element)
            | FaultKind::Grounded(element, _)
            | FaultKind::SourceDead(element) => vec![element],
            FaultKind::Touching(pair) => self.parts.touching[pair as usize].map(|(wire, _)| wire).to_vec(),
            FaultKind::Wet(pair) => self.parts.wet[pair as usize].to_vec(),
            FaultKind::Intermittent(steady) => self.fault_elements(steady),
            _ => Vec::new(),
        }
    }

    /// A setup: the resting states with these laid over, and the power, or else the first that the
    /// states allow. A control with a power map that is not named takes the state that fits the power.
    ///
    /// # Errors
    /// A control or state that does not exist, or a state that does not go with the power.
    pub fn setup(&self, with: &[(&str, &str)], power: Option<Power>) -> Result<Setup, SetupError> {
        let mut set = Vec::new();
        for (name, state) in with {
            let control = self.control(name).ok_or_else(|| SetupError::Control {
                name: (*name).to_owned(),
                meant: nearest(name, self.parts.controls.iter().map(|c| c.name.as_str())).map(str::to_owned),
            })?;
            let own = &self.parts.controls[control.at()];
            let at = own.states.iter().position(|s| s == state).ok_or_else(|| SetupError::State {
                control: own.name.clone(),
                state: (*state).to_owned(),
                known: own.states.join(", "),
            })?;
            set.push((control, at));
        }
        self.setup_of(&set, power)
    }

    /// As [`Machine::setup`], by numbers.
    ///
    /// # Errors
    /// A state that does not go with the power, or states that no power goes with.
    pub fn setup_of(&self, with: &[(ControlId, usize)], power: Option<Power>) -> Result<Setup, SetupError> {
        let mut states = vec![0; self.parts.controls.len()];
        for (control, state) in with {
            states[control.at()] = *state;
        }
        let named = |at: usize| with.iter().any(|(control, _)| control.at() == at);
        let power = match power {
            Some(power) => power,
            None => self.first_power(&states, &named)?,
        };
        for (at, control) in self.parts.controls.iter().enumerate() {
            let allows = |state: usize| control.power.get(state).is_none_or(|p| p.contains(&power));
            if control.power.is_empty() || allows(states[at]) {
                continue;
            }
            let fitting = (0..control.states.len()).find(|state| allows(*state));
            match fitting.filter(|_| !named(at)) {
                Some(state) => states[at] = state,
                None if !named(at) => {}
                None => return Err(self.contradiction(at, states[at], power)),
            }
        }
        let (unplugged, cut, bridged, moved) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        Ok(Setup { states, power, unplugged, cut, bridged, moved, lamp: None })
    }

    /// The first power that the first control with a map allows and no other named one forbids.
    fn first_power(&self, states: &[usize], named: &impl Fn(usize) -> bool) -> Result<Power, SetupError> {
        let maps = || self.parts.controls.iter().enumerate().filter(|(_, c)| !c.power.is_empty());
        let allowed = |at: usize| self.parts.controls[at].power[states[at]].as_slice();
        let Some(leader) =
            maps().map(|(at, _)| at).find(|at| named(*at)).or_else(|| maps().map(|m| m.0).next())
        else {
            return Ok(Power::Live);
        };
        let fits =
            |power: &&Power| maps().filter(|(at, _)| named(*at)).all(|(at, _)| allowed(at).contains(power));
        allowed(leader).iter().find(fits).copied().ok_or_else(|| {
            let said = |at: usize| {
                let control = &self.parts.controls[at];
                format!("{} {}", control.name, control.states[states[at]])
            };
            let states = maps().filter(|(at, _)| named(*at)).map(|(at, _)| said(at)).collect::<Vec<_>>();
            SetupError::NoPower { states: states.join(" and ") }
        })
    }

    fn contradiction(&self, at: usize, state: usize, power: Power) -> SetupError {
        let control = &self.parts.controls[at];
        SetupError::Power {
            control: control.name.clone(),
            state: control.states[state].clone(),
            power: power_word(power),
            allowed: control.power[state].iter().map(|p| power_word(*p)).collect::<Vec<_>>().join(", "),
        }
    }

    /// The setup with every control at rest, or in the state that fits the power.
    #[must_use]
    pub fn resting(&self, power: Power) -> Setup {
        self.setup_of(&[], Some(power)).unwrap_or_else(|_| Setup {
            states: vec![0; self.parts.controls.len()],
            power,
            unplugged: Vec::new(),
            cut: Vec::new(),
            bridged: Vec::new(),
            moved: Vec::new(),
            lamp: None,
        })
    }

    /// The setup in which a function should work, and those in which it must not.
    #[must_use]
    pub fn function_setups(&self, id: FunctionId) -> (Setup, Vec<Setup>) {
        let function = &self.parts.functions[id.at()];
        let resting = self.resting(function.power);
        let made = |with: &[(ControlId, usize)]| {
            self.setup_of(with, Some(function.power))
                .or_else(|_| self.setup_of(with, None))
                .unwrap_or_else(|_| resting.clone())
        };
        let held = function.held.iter().map(|over| {
            let mut with = function.with.clone();
            with.retain(|(control, _)| !over.iter().any(|(other, _)| other == control));
            with.extend(over);
            made(&with)
        });
        (made(&function.with), held.collect())
    }
}

/// The same pair named the other way round: `A touching B at r`, `X:3 wet to X:4`.
pub(super) fn turned(name: &str) -> Option<String> {
    if let Some((first, second)) = name.split_once(" wet to ") {
        return Some(format!("{second} wet to {first}"));
    }
    let (first, rest) = name.split_once(" touching ")?;
    let (second, at) = rest.split_once(" at ")?;
    Some(format!("{second} touching {first} at {at}"))
}
