//! A machine family as its file describes it: plain data, names resolved to numbers.
//!
//! One namespace holds wires, contacts, switches, loads, plugs, controllers, terminals and studs;
//! controls, functions, inputs and outputs have their own. Everything stands in file order.

use super::logic::Logic;
use super::network::Place;
use super::parts::{Element, Stud};
use super::power::Power;
use crate::diag::Text;
use crate::units::{Amps, Ohms, Volts};

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub(super) u32);

        impl $name {
            pub(super) fn new(at: usize) -> Self {
                Self(u32::try_from(at).expect("a file has fewer entries than u32 counts"))
            }

            /// Its number in file order, from 0: the place in the list of its kind in [`Parts`].
            #[must_use]
            pub const fn at(self) -> usize {
                self.0 as usize
            }
        }
    )+};
}

ids!(
    /// A named point of a machine.
    PointId,
    /// A wire, contact, switch or other two-ended thing of a machine.
    ElementId,
    /// A connector of a machine.
    ConnectorId,
    /// A controller of a machine.
    ControllerId,
    /// A control that a person can set.
    ControlId,
    /// A function of a machine.
    FunctionId,
    /// A modelled fault of a machine.
    FaultId,
    /// An input of some controller.
    InputId,
    /// An output of some controller.
    OutputId,
);

/// The battery of a machine, between `B-` and `B+`.
#[derive(Debug, Clone, PartialEq)]
pub struct Supply {
    /// Its nominal volts at rest; today's take their place.
    pub volts: Volts,
    /// Its own resistance; none if the file gives none: then it holds its volts whatever the current.
    pub ohms: Option<Ohms>,
    /// What it holds while it is charged.
    pub charging: Option<Volts>,
    /// The source that charges it; without one the running engine does.
    pub charged_by: Option<ElementId>,
    /// The switch that isolates it.
    pub isolator: Option<ElementId>,
}

/// Something a person can set.
#[derive(Debug, Clone, PartialEq)]
pub struct Control {
    /// Its name in files.
    pub name: String,
    /// What it is called.
    pub title: Option<Text>,
    /// The states it can have; the first is the resting one.
    pub states: Vec<String>,
    /// What each state is called, as far as the file says; as long as the states.
    pub called: Vec<Option<Text>>,
    /// Which powers each state allows; empty if it says nothing about power.
    pub power: Vec<Vec<Power>>,
    /// From where it can be set.
    pub reach: Reach,
}

/// From where a control can be set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reach {
    /// From anywhere.
    Anywhere,
    /// From the seat only.
    Seat,
    /// From the seat, or tied there.
    SeatOrTied,
}

/// A body of mated pin pairs.
#[derive(Debug, Clone, PartialEq)]
pub struct Connector {
    /// Its designation.
    pub name: String,
    /// What it joins.
    pub title: Option<Text>,
    /// Where it sits.
    pub location: Option<Text>,
    /// The zone of the body that reaches it.
    pub zone: Option<String>,
    /// From which side the rows are seen.
    pub view: Option<Text>,
    /// The pins as the face shows them; empty if the file does not say.
    pub rows: Vec<Vec<String>>,
    /// How long it takes to part.
    pub minutes: Option<f64>,
    /// Its contacts, in file order.
    pub contacts: Vec<ElementId>,
}

/// Where a pin's volts are read as low or high.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// Below the input's lower limit.
    Low,
    /// At or above its upper limit.
    High,
    /// Between the two: neither.
    Neither,
}

/// What a pull-up goes to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PullUp {
    /// To a source of these volts above the controller's minus.
    Volts(Volts),
    /// To the controller's plus.
    Plus,
}

/// A pin that a controller reads.
#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    /// Its name in logic.
    pub name: String,
    /// Whose it is.
    pub controller: ControllerId,
    /// The pin.
    pub pin: PointId,
    /// What pulls it up, and through what.
    pub pull_up: Option<(PullUp, Ohms)>,
    /// What pulls it down to the controller's minus.
    pub pull_down: Option<Ohms>,
    /// Below this it is low.
    pub low_below: Option<Volts>,
    /// From this up it is high.
    pub high_from: Option<Volts>,
}

/// What an output does to its pin while it is on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Drive {
    /// Feeds the pin from the controller's plus.
    Plus,
    /// Sinks the pin into the controller's minus.
    Minus,
    /// Holds the pin at these volts above the controller's minus: a sensor rail.
    Rail(Volts),
}

/// A pin that a controller drives.
#[derive(Debug, Clone, PartialEq)]
pub struct Output {
    /// Its name in logic.
    pub name: String,
    /// Whose it is.
    pub controller: ControllerId,
    /// The pin.
    pub pin: PointId,
    /// What it does.
    pub drives: Drive,
    /// Through what.
    pub ohms: Ohms,
    /// Above this it trips.
    pub limit: Option<Amps>,
    /// When it is on; a rail without it is on while its controller is fed.
    pub when: Logic,
}

/// A trouble code as the machine file names it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum CodeName {
    /// SPN and FMI by SAE J1939-73.
    Spn {
        /// Suspect parameter number.
        spn: u32,
        /// Failure mode.
        fmi: u8,
    },
    /// The maker's own.
    Own(String),
}

/// A trouble code and when it is active.
#[derive(Debug, Clone, PartialEq)]
pub struct Code {
    /// Which.
    pub name: CodeName,
    /// What it says.
    pub text: Option<Text>,
    /// When it is active, while its controller is fed.
    pub when: Logic,
}

/// How a controller is fed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Feed {
    /// Its plus pin.
    pub plus: PointId,
    /// Its minus pin.
    pub minus: PointId,
    /// It works from these volts up.
    pub least: Volts,
    /// What it draws, as a resistance between plus and minus.
    pub ohms: Ohms,
    /// The pin that wakes it, and its resistance asleep; without one it is always awake.
    pub sleep: Option<(PointId, Ohms)>,
}

/// The box that reads pins and drives pins.
#[derive(Debug, Clone, PartialEq)]
pub struct Controller {
    /// Its designation.
    pub name: String,
    /// What it is called.
    pub title: Option<Text>,
    /// The zone of the body that reaches it.
    pub zone: Option<String>,
    /// How it is fed.
    pub feed: Feed,
    /// Its inputs.
    pub inputs: Vec<InputId>,
    /// Its outputs.
    pub outputs: Vec<OutputId>,
    /// Resistances between its pins, there also when it is not fed.
    pub inside: Vec<(PointId, PointId, Ohms)>,
    /// The codes it sets.
    pub codes: Vec<Code>,
}

/// Something a person can see the machine do, or refuse to do.
#[derive(Debug, Clone, PartialEq)]
pub struct Function {
    /// Its name in files.
    pub name: String,
    /// What it is called.
    pub title: Option<Text>,
    /// The state in which it should work: controls and their states.
    pub with: Vec<(ControlId, usize)>,
    /// The least power at which it works.
    pub power: Power,
    /// What it comes down to.
    pub works: Logic,
    /// The states, each laid over `with`, in which it must not work.
    pub held: Vec<Vec<(ControlId, usize)>>,
    /// What it moves, by the name the safety check uses.
    pub moves: Vec<String>,
}

/// What a point belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Owner {
    /// The frame of the machine.
    Frame,
    /// A terminal, splice or other place of its own.
    Own,
    /// A stud on the frame.
    Stud(u32),
    /// A controller's pin.
    Controller(ControllerId),
    /// An end of a wire, switch or other element: 0 nearer the chain's start, 1 the other.
    End(ElementId, u8),
    /// A side of a contact: 0 is `a`, 1 is `b`.
    Side(ElementId, u8),
    /// A rub, by its number on its wire.
    Rub(ElementId, u32),
}

/// A place on a circuit where a probe can go.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// Its address: `A1:7`, `W31:1`, `X14:3a`, `W31@pivot-clamp`.
    pub name: String,
    /// What it belongs to.
    pub owner: Owner,
    /// The zone of the body that reaches it.
    pub zone: Option<String>,
    pub(super) place: Place,
}

/// A chain of the file: its name and what stands in it, in order.
#[derive(Debug, Clone, PartialEq)]
pub struct Chain {
    /// Its name.
    pub name: String,
    /// What stands in it.
    pub items: Vec<ChainItem>,
}

/// One thing in a chain.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChainItem {
    /// A named place.
    Point(PointId),
    /// Something with two ends.
    Element(ElementId),
}

/// The parts of a machine, as the file lists them.
#[derive(Debug, Clone, PartialEq)]
pub struct Parts {
    /// The battery.
    pub supply: Supply,
    /// What a person can set.
    pub controls: Vec<Control>,
    /// Plugs.
    pub connectors: Vec<Connector>,
    /// Chains.
    pub chains: Vec<Chain>,
    /// Two-ended things.
    pub elements: Vec<Element>,
    /// Studs on the frame.
    pub studs: Vec<Stud>,
    /// Named points.
    pub points: Vec<Point>,
    /// Controllers.
    pub controllers: Vec<Controller>,
    /// Inputs of all controllers.
    pub inputs: Vec<Input>,
    /// Outputs of all controllers.
    pub outputs: Vec<Output>,
    /// Functions.
    pub functions: Vec<Function>,
    /// What is put right and lies in no circuit: the name that trees write, and what it is called.
    pub others: Vec<(String, Text)>,
    /// Pairs of wires that run over one rub.
    pub touching: Vec<[(ElementId, u32); 2]>,
    /// Pairs of neighbouring contacts of one connector.
    pub wet: Vec<[ElementId; 2]>,
    /// How many places there are.
    pub(super) places: usize,
    /// Which of them are one.
    pub(super) joins: Vec<(Place, Place)>,
}

impl Parts {
    /// The frame's point: always the first.
    pub(super) const FRAME: PointId = PointId(0);
    /// The battery's minus.
    pub(super) const MINUS: PointId = PointId(1);
    /// The battery's plus.
    pub(super) const PLUS: PointId = PointId(2);

    pub(super) fn place(&self, point: PointId) -> Place {
        self.points[point.at()].place
    }

    /// What a place is called besides its name as the end of a wire: the pin, contact or stud that the wire ends on.
    #[must_use]
    pub fn end_of_wire(&self, end: PointId) -> &str {
        let own = &self.points[end.at()];
        let is_end = |point: &Point| match point.owner {
            Owner::End(element, _) => matches!(self.elements[element.at()].kind, super::parts::Kind::Wire(_)),
            _ => false,
        };
        let beside = self.points.iter().find(|point| point.place == own.place && !is_end(point));
        &beside.unwrap_or(own).name
    }

    pub(super) fn element(&self, id: ElementId) -> &Element {
        &self.elements[id.at()]
    }
}
