//! Where along the wire: each method gives a place and how far it may be off.
//!
//! A meter's limit of error a is rectangular, u = a/√3 (JCGM 100:2008, 4.3.7, from memory); the uncertainties of
//! independent readings add in quadrature, and the interval is twice that either way, about 95 %, cut to
//! the wire.

mod bridge;
mod ends;
mod lamp;
mod rubs;
mod split;

pub use bridge::{Leg, murray, varley};
pub use ends::{Conductor, EndReading, drop_ratio, two_ended};
pub use lamp::{Joint, JointVerdict, SocketLamp, loaded_drop, socket_lamp};
pub use rubs::{Rub, RubRank, rank_rubs};
pub use split::{Opening, Split, half_split};

use crate::units::{Metres, Ohms, Volts};

/// A value read from a meter, with the limit of its error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured<Q> {
    /// What was read.
    pub value: Q,
    /// By how much it may be off either way, never negative.
    pub limit: Q,
}

/// A quantity that is read to find a place.
pub trait Read: Copy {
    /// The bare number in its base unit.
    fn number(self) -> f64;
    /// The quantity of a bare number.
    fn of(number: f64) -> Self;
}

impl Read for Volts {
    fn number(self) -> f64 {
        self.0
    }
    fn of(number: f64) -> Self {
        Self(number)
    }
}

impl Read for Ohms {
    fn number(self) -> f64 {
        self.0
    }
    fn of(number: f64) -> Self {
        Self(number)
    }
}

impl<Q: Read> Measured<Q> {
    /// A value that is taken as exact.
    #[must_use]
    pub fn exact(value: Q) -> Self {
        Self { value, limit: Q::of(0.0) }
    }

    fn number(self) -> f64 {
        self.value.number()
    }

    /// Standard uncertainty of a rectangular error.
    fn standard(self) -> f64 {
        self.limit.number() / 3.0_f64.sqrt()
    }

    fn checked(self, what: &'static str) -> Result<Self, LocateError> {
        let (value, limit) = (self.number(), self.limit.number());
        if value.is_finite() && value >= 0.0 && limit.is_finite() && limit >= 0.0 {
            Ok(self)
        } else {
            Err(LocateError::Negative { what, value })
        }
    }
}

/// A place on a wire, measured from its beginning, with the interval that holds it about 95 times of 100.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct PlaceOnWire {
    /// The likeliest distance.
    pub at: Metres,
    /// The nearest it may be.
    pub from: Metres,
    /// The farthest it may be.
    pub to: Metres,
    /// Standard uncertainty of the distance.
    pub standard: Metres,
    /// Length of the wire.
    pub whole: Metres,
}

/// What to do when the meter at hand cannot tell the place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Instead {
    /// Read volts along the wire while a known current flows through it.
    DropUnderCurrent,
    /// More current, and a finer range.
    MoreCurrent,
    /// Open the wire at a connector in the middle and see which half has it.
    HalfSplit,
}

impl Instead {
    /// What to do, as a sentence for the mechanic.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::DropUnderCurrent => {
                "Unplug both ends, send a steady current of at most 2 A through the wire by a lamp and a fuse from a \
                 battery that stands apart from the machine, and read the drop to the fault (black lead on the \
                 frame) and over the whole wire on the millivolt range."
            }
            Self::MoreCurrent => {
                "Use a larger lamp, at most 2 A behind a fuse, and the millivolt range; or open the connector \
                 nearest the middle and see which half has it."
            }
            Self::HalfSplit => "Open the connector nearest the middle and see which half has it.",
        }
    }
}

/// An interval wider than this share of the wire tells nothing worth opening the harness for: our choice.
const USEFUL_SHARE: f64 = 0.5;

impl PlaceOnWire {
    fn new(at: f64, standard: f64, whole: Metres) -> Self {
        let cut = |x: f64| Metres(x.clamp(0.0, whole.0));
        Self {
            at: cut(at),
            from: cut(at - 2.0 * standard),
            to: cut(at + 2.0 * standard),
            standard: Metres(standard),
            whole,
        }
    }

    /// Whether the interval is narrow enough to be of use: at most half of the wire.
    #[must_use]
    pub fn is_resolved(&self) -> bool {
        let reach = 4.0 * self.standard.0;
        reach <= USEFUL_SHARE * self.whole.0
    }
}

/// Why no place follows from the readings.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LocateError {
    /// A value below zero, or none at all.
    #[error("{what} is {value}, but must not be below zero")]
    Negative {
        /// Which value.
        what: &'static str,
        /// Its number.
        value: f64,
    },
    /// A value that must be above zero.
    #[error("{0} must be above zero")]
    Zero(&'static str),
    /// The readings put the fault beyond an end of the wire.
    #[error("the readings put the fault at {at:.3} {unit} of {whole:.3} {unit}: {advice}")]
    Outside {
        /// Where they put it.
        at: f64,
        /// How much wire there is.
        whole: f64,
        /// `m` or `ohm`.
        unit: &'static str,
        /// What to look at.
        advice: &'static str,
    },
}

fn above_zero(value: f64, what: &'static str) -> Result<f64, LocateError> {
    if !value.is_finite() || value < 0.0 {
        return Err(LocateError::Negative { what, value });
    }
    if value == 0.0 { Err(LocateError::Zero(what)) } else { Ok(value) }
}

/// Root of the sum of squares.
fn quadrature(parts: &[f64]) -> f64 {
    parts.iter().map(|p| p * p).sum::<f64>().sqrt()
}
