//! Quantities as a mechanic writes them, with resolution; meter accuracy; bands.
//!
//! Knows numbers, units and text. Must not know circuits, trees or people.

mod quantity;

pub use quantity::{
    Amps, Bar, Celsius, Hertz, Metres, Minutes, Ohms, Percent, Rpm, SquareMillimetres, Volts, Watts,
};
