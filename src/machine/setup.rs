//! A setup: what is set, which power, what is apart, while a reading is taken.

use super::model::{ConnectorId, ControlId, ElementId, PointId};
use super::power::Power;
use crate::units::{Celsius, Volts, Watts};

/// Something moved, heated or wetted by hand while a reading is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Moved {
    /// A connector.
    Connector(ConnectorId),
    /// A wire.
    Wire(ElementId),
}

/// A lamp hung on as a load between two points while a reading is taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lamp {
    /// Its two leads.
    pub leads: [PointId; 2],
    /// Its power at nominal volts.
    pub watts: Watts,
}

/// Controls, power, what is apart and what is moved.
#[derive(Debug, Clone, PartialEq)]
pub struct Setup {
    pub(super) states: Vec<usize>,
    pub(super) power: Power,
    /// Connectors that are apart.
    pub unplugged: Vec<ConnectorId>,
    /// Wires that are cut.
    pub cut: Vec<ElementId>,
    /// Points that a lead joins.
    pub bridged: Vec<[PointId; 2]>,
    /// What is moved, heated or wetted.
    pub moved: Vec<Moved>,
    /// A lamp as a load.
    pub lamp: Option<Lamp>,
}

impl Setup {
    /// The power of the setup.
    #[must_use]
    pub const fn power(&self) -> Power {
        self.power
    }

    /// The state of a control, by its number among the control's states.
    #[must_use]
    pub fn state(&self, control: ControlId) -> usize {
        self.states.get(control.at()).copied().unwrap_or(0)
    }
}

/// Why a setup cannot be.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SetupError {
    /// There is no such control.
    #[error("there is no control `{name}`{}", perhaps(.meant.as_deref()))]
    Control {
        /// As written.
        name: String,
        /// What was probably meant.
        meant: Option<String>,
    },
    /// A control has no such state.
    #[error("`{control}` has no state `{state}`; it has {known}")]
    State {
        /// The control.
        control: String,
        /// As written.
        state: String,
        /// Its states.
        known: String,
    },
    /// The states of the controls do not go with the power.
    #[error("`{control}` at `{state}` does not go with power `{power}`; it allows {allowed}")]
    Power {
        /// The control.
        control: String,
        /// Its state.
        state: String,
        /// The power asked for.
        power: &'static str,
        /// What the state allows.
        allowed: String,
    },
    /// No power goes with these states together.
    #[error("no power goes with {states} together")]
    NoPower {
        /// The states.
        states: String,
    },
    /// There is no such power.
    #[error("there is no power `{0}`; there are off, isolated, live and running")]
    PowerName(String),
    /// There is no such connector, wire or point.
    #[error("there is no {what} `{name}`{}", perhaps(.meant.as_deref()))]
    Name {
        /// What was looked for.
        what: &'static str,
        /// As written.
        name: String,
        /// What was probably meant.
        meant: Option<String>,
    },
}

fn perhaps(name: Option<&str>) -> String {
    name.map_or(String::new(), |name| format!("; `{name}` was probably meant"))
}

/// What was measured at the machine today.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Today {
    /// The battery at rest; the file's nominal if nothing was measured.
    pub volts: Option<Volts>,
    /// The temperature of the wiring.
    pub celsius: Celsius,
    /// By what all supply volts are multiplied, to try a weaker or stronger battery.
    pub scale: f64,
}

impl Default for Today {
    fn default() -> Self {
        Self { volts: None, celsius: Celsius(20.0), scale: 1.0 }
    }
}
