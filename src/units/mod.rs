//! Quantities as a mechanic writes them, with resolution; meter accuracy; bands.
//!
//! Knows numbers, units and text. Must not know circuits, trees or people.
//!
//! Two ways in: what stands in a file ([`Written::parse`], [`Measure::parse`]: the unit is obligatory, a decimal
//! point only) and what a person types at a prompt ([`Reading::parse`]: the unit may be left out, a decimal comma
//! is understood, `OL` and `jumps` are readings). Every `Display` here prints in a handy unit; the alternate form
//! (`{:#}`) keeps to ASCII (`4.7 kohm`, `0.75 mm2`).

mod amount;
mod band;
mod coverage;
mod decimal;
mod error;
mod error_es;
mod judge;
mod kind;
mod measure;
mod meter;
mod normal;
mod quantity;
mod reading;
mod show;
mod size;
mod symbol;
mod written;

pub use amount::Amount;
pub use band::{Band, BandError};
pub use coverage::{BandFlaw, coverage};
pub use error::{QuantityError, QuantityFault};
pub use judge::{BandChance, Estimate, SPREAD, Verdict, place, thousandfold};
pub use measure::{Measure, Unit};
pub use meter::{Meter, MeterClass};
pub use normal::{erfc, normal_between, normal_cdf};
pub use quantity::{
    Amps, Bar, Celsius, Hertz, Metres, Minutes, Ohms, Percent, Rpm, SquareMillimetres, Volts, Watts,
};
pub use reading::{Echo, Reading, Seen};
pub use size::{Awg, WireSize};
pub use written::Written;
