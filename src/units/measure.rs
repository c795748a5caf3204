//! What a meter or a gauge reads, and the units it reads in.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::amount::Amount;
use super::error::QuantityError;
use super::kind::Kind;
use super::symbol::{Spelling, Symbol};
use super::written;

/// What a meter or a gauge reads. Values of a measure are in its base unit: V, Ω, A, Hz, %, bar, °C, rpm.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Measure {
    /// Electric potential difference.
    Volts,
    /// Resistance; `OL` where it is more than the meter can show.
    Ohms,
    /// Current.
    Amps,
    /// Frequency.
    Hertz,
    /// Duty cycle, or any share of a hundred.
    Percent,
    /// Pressure above that of the air, in bar.
    Pressure,
    /// Temperature, in degrees Celsius.
    Temperature,
    /// Revolutions a minute.
    Rpm,
}

impl Measure {
    /// Every measure, in the order in which they are listed.
    pub const ALL: [Self; 8] = [
        Self::Volts,
        Self::Ohms,
        Self::Amps,
        Self::Hertz,
        Self::Percent,
        Self::Pressure,
        Self::Temperature,
        Self::Rpm,
    ];

    /// The word for it in a tree file.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Volts => "volts",
            Self::Ohms => "ohms",
            Self::Amps => "amps",
            Self::Hertz => "hertz",
            Self::Percent => "percent",
            Self::Pressure => "pressure",
            Self::Temperature => "temperature",
            Self::Rpm => "rpm",
        }
    }

    /// The measure that a word in a tree file names.
    #[must_use]
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|measure| measure.name() == word)
    }

    /// The base unit.
    #[must_use]
    pub fn unit(self) -> Unit {
        Unit { measure: self, symbol: Symbol::base(self.kind()) }
    }

    /// Reads an amount of this measure from a file.
    ///
    /// # Errors
    ///
    /// As [`Written::parse`](super::Written::parse).
    pub fn parse(self, text: &str) -> Result<Amount, QuantityError> {
        let (value, symbol) = written::quantity(text, self.kind())?;
        Ok(Amount::new(Unit { measure: self, symbol }, value))
    }

    /// The least that this measure can be, if there is one: no meter shows less than no resistance.
    #[must_use]
    pub fn floor(self) -> Option<Amount> {
        self.kind().floor().map(|floor| Amount::new(self.unit(), floor))
    }

    pub(super) const fn kind(self) -> Kind {
        match self {
            Self::Volts => Kind::Volts,
            Self::Ohms => Kind::Ohms,
            Self::Amps => Kind::Amps,
            Self::Hertz => Kind::Hertz,
            Self::Percent => Kind::Percent,
            Self::Pressure => Kind::Pressure,
            Self::Temperature => Kind::Temperature,
            Self::Rpm => Kind::Rpm,
        }
    }
}

impl fmt::Display for Measure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

/// A unit of a measure: V, mV, kΩ, psi.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    pub(super) measure: Measure,
    pub(super) symbol: Symbol,
}

impl Unit {
    /// The unit that a symbol names, if it is one of this measure.
    #[must_use]
    pub fn named(measure: Measure, symbol: &str) -> Option<Self> {
        let symbol = Symbol::find(symbol.trim(), Spelling::Exact)?;
        (symbol.row.kind == measure.kind()).then_some(Self { measure, symbol })
    }

    /// What it is a unit of.
    #[must_use]
    pub const fn measure(self) -> Measure {
        self.measure
    }

    /// The symbol in ASCII, as [`Unit::named`] takes it.
    #[must_use]
    pub fn ascii(self) -> String {
        self.symbol.ascii()
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&if f.alternate() { self.symbol.ascii() } else { self.symbol.text() })
    }
}
