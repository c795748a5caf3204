//! What can be wrong with a machine: one thing at a time, with its share and its severities.

use super::model::{ControllerId, ElementId, FaultId, FunctionId, PointId};
use crate::diag::Text;
use crate::units::Minutes;

/// What a fault does to the machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FaultKind {
    /// An element is open; a wire in this stretch, counted from its end 1.
    Open(ElementId, u32),
    /// An element has a resistance in series.
    Resistive(ElementId),
    /// A load or diode has a resistance across it.
    Shorted(ElementId),
    /// A switch or relay contact is always closed.
    StuckClosed(ElementId),
    /// A rub, by its number on its wire, touches the frame.
    Grounded(ElementId, u32),
    /// Two wires touch at a rub: the pair's number among [`Parts::touching`](super::Parts::touching).
    Touching(u32),
    /// Two contacts are joined by water: the pair's number among [`Parts::wet`](super::Parts::wet).
    Wet(u32),
    /// A stud has a resistance in series.
    Stud(u32),
    /// A controller does nothing: no pull-up, no drive.
    ControllerDead(ControllerId),
    /// A pin of a controller does nothing.
    PinDead(PointId),
    /// The battery is low.
    SupplyLow,
    /// A further source gives nothing.
    SourceDead(ElementId),
    /// Another fault that shows only while moved, hot or wet.
    Intermittent(FaultId),
    /// Nothing electrical: it stops functions.
    Other,
}

/// In what a severity is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Measured {
    /// There is only one way to have it.
    Fixed,
    /// In ohms.
    Ohms,
    /// In volts.
    Volts,
}

/// One thing that can be wrong.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    /// Its name: `W31 grounded at pivot-clamp`.
    pub name: String,
    /// What it does.
    pub kind: FaultKind,
    /// How often it is the cause, relative to the others.
    pub share: f64,
    /// In what its severities are told.
    pub measured: Measured,
    /// The severity that stands for it.
    pub nominal: f64,
    /// The severities it is walked at, in its unit; one entry if there is only one.
    pub spread: Vec<f64>,
    /// What a person would call it, if the file says so.
    pub title: Option<Text>,
    /// The functions it stops without any electrical trace.
    pub stops: Vec<FunctionId>,
    /// How it is seen, if the file says so.
    pub seen: Option<SeenAt>,
}

/// How a fault is seen with nothing opened and the power locked out.
#[derive(Debug, Clone, PartialEq)]
pub struct SeenAt {
    /// What is looked at, and what is wrong there.
    pub look: Text,
    /// Where the body is meanwhile.
    pub zone: String,
    /// How long it takes, if not as long as any look.
    pub minutes: Option<Minutes>,
}

/// A fault at one severity, in the fault's unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Knot {
    /// The fault.
    pub fault: FaultId,
    /// Its severity.
    pub severity: f64,
}
