//! Why a sum could not be done.

use crate::units::{Amps, Celsius, Metres, WireSize};

/// Why a sum could not be done.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RepairError {
    /// A value that must be above zero.
    #[error("{what} must be above zero, not {value}")]
    NotAboveZero {
        /// Which value.
        what: &'static str,
        /// Its number.
        value: f64,
    },
    /// Outside −80 to 300 °C.
    #[error("{} °C is outside -80 to 300 °C, where copper's resistance is linear", .0.0)]
    Temperature(Celsius),
    /// No gauge up to 4/0 does it.
    #[error(
        "no size up to 4/0 AWG keeps the drop and carries the current: shorten the run or divide the load"
    )]
    NoSize,
    /// The wire is too small for its load.
    #[error("no fuse carries {} A for good and protects {size}: the wire is too small for the load", .load.0)]
    NoFuse {
        /// The wire.
        size: WireSize,
        /// Its load.
        load: Amps,
    },
    /// Nothing to join.
    #[error("a splice joins at least two wires")]
    NothingToJoin,
    /// More copper than any barrel holds.
    #[error("{0:.0} circular mils are more than a 4/0 AWG barrel holds: use a bolted joint")]
    NoBarrel(f64),
    /// The sleeve must pass what is thinner than what it is to grip.
    #[error("the sleeve has to pass {:.1} mm, which is thinner than the {:.1} mm it is to grip: are they swapped?", .over.0 * 1e3, .down_to.0 * 1e3)]
    SleeveSwapped {
        /// Largest diameter it passes over.
        over: Metres,
        /// Smallest diameter it grips.
        down_to: Metres,
    },
    /// No sleeve reaches from one diameter to the other.
    #[error("no sleeve passes {:.1} mm and grips {:.1} mm: build the thin side up with a short sleeve first", .over.0 * 1e3, .down_to.0 * 1e3)]
    NoSleeve {
        /// Largest diameter it passes over.
        over: Metres,
        /// Smallest diameter it grips.
        down_to: Metres,
    },
}

impl RepairError {
    pub(super) fn above_zero(value: f64, what: &'static str) -> Result<f64, Self> {
        if value.is_finite() && value > 0.0 { Ok(value) } else { Err(Self::NotAboveZero { what, value }) }
    }
}
