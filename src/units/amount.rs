//! So much of a measure, with the unit in which a person wrote it or wants to see it.

use std::cmp::Ordering;
use std::fmt;

use super::measure::{Measure, Unit};
use super::quantity::{Amps, Bar, Celsius, Hertz, Ohms, Percent, Rpm, Volts};
use super::show::{self, Letters};
use super::symbol::Symbol;

/// So much of a measure. Two amounts are equal if measure and value are; the unit is only how it is printed.
#[derive(Debug, Clone, Copy)]
pub struct Amount {
    unit: Unit,
    value: f64,
}

impl Amount {
    /// An amount from a value in the measure's base unit, to be printed in `unit`.
    #[must_use]
    pub const fn new(unit: Unit, value: f64) -> Self {
        Self { unit, value }
    }

    /// What it is an amount of.
    #[must_use]
    pub const fn measure(self) -> Measure {
        self.unit.measure()
    }

    /// The unit in which it is printed.
    #[must_use]
    pub const fn unit(self) -> Unit {
        self.unit
    }

    /// The value in the measure's base unit (V, Ω, A, Hz, %, bar, °C, rpm).
    #[must_use]
    pub const fn value(self) -> f64 {
        self.value
    }

    /// The same amount, to be printed in another unit of its measure; unchanged if it is a unit of another one.
    #[must_use]
    pub fn shown_in(self, unit: Unit) -> Self {
        if unit.measure() == self.measure() { Self { unit, ..self } } else { self }
    }
}

impl PartialEq for Amount {
    fn eq(&self, other: &Self) -> bool {
        self.partial_cmp(other) == Some(Ordering::Equal)
    }
}

impl PartialOrd for Amount {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        if self.measure() == other.measure() { self.value.partial_cmp(&other.value) } else { None }
    }
}

impl fmt::Display for Amount {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (symbol, letters) = (self.unit.symbol, Letters::of(f));
        let base = Symbol::base(self.measure().kind());
        let text = if symbol.row == base.row {
            show::handy(self.value, self.measure().kind(), letters)
        } else {
            show::in_symbol(self.value, symbol, letters)
        };
        f.pad(&text)
    }
}

macro_rules! amount_of {
    ($($quantity:ident is $measure:ident),+ $(,)?) => {$(
        impl From<$quantity> for Amount {
            fn from(quantity: $quantity) -> Self {
                Self::new(Measure::$measure.unit(), quantity.value())
            }
        }

        impl TryFrom<Amount> for $quantity {
            type Error = Measure;

            /// Gives back the measure if it is another one.
            fn try_from(amount: Amount) -> Result<Self, Measure> {
                match amount.measure() {
                    Measure::$measure => Ok(Self(amount.value())),
                    other => Err(other),
                }
            }
        }
    )+};
}

amount_of! {
    Volts is Volts, Ohms is Ohms, Amps is Amps, Hertz is Hertz, Percent is Percent, Bar is Pressure,
    Celsius is Temperature, Rpm is Rpm,
}
