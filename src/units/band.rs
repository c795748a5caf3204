//! A band: a range of readings that leads to the same next step.
//!
//! A band is [from, to): `from` and `above` include their edge, `to` and `below` do not, so that two bands which share
//! an edge neither overlap nor leave anything out.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::amount::Amount;
use super::measure::{Measure, Unit};

/// A range of readings, or readings that will not stand still.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Recorded", into = "Recorded")]
pub struct Band {
    unit: Unit,
    extent: Extent,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Extent {
    Span { from: Option<f64>, to: Option<f64> },
    Jumps,
}

/// Why two edges do not make a band.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BandError {
    /// The two edges are of different measures, or of another one than the band.
    #[error("an edge in {edge} cannot bound a band of {band}")]
    OtherMeasure {
        /// The measure of the band.
        band: Measure,
        /// The measure of the edge.
        edge: Measure,
    },
    /// Nothing lies between the edges.
    #[error("nothing lies from {from} to {to}")]
    Empty {
        /// The lower edge.
        from: Amount,
        /// The upper edge.
        to: Amount,
    },
    /// An edge is not a number.
    #[error("an edge of a band has to be a number")]
    NotANumber,
}

impl Band {
    /// The band of a measure from one edge (included) up to another (not included); open where there is none.
    ///
    /// # Errors
    ///
    /// An edge of another measure, or nothing between the two.
    pub fn new(measure: Measure, from: Option<Amount>, to: Option<Amount>) -> Result<Self, BandError> {
        for edge in [from, to].into_iter().flatten() {
            if edge.measure() != measure {
                return Err(BandError::OtherMeasure { band: measure, edge: edge.measure() });
            }
            if !edge.value().is_finite() {
                return Err(BandError::NotANumber);
            }
        }
        if let (Some(from), Some(to)) = (from, to)
            && from >= to
        {
            return Err(BandError::Empty { from, to });
        }
        let unit = from.or(to).map_or(measure.unit(), Amount::unit);
        let extent = Extent::Span { from: from.map(Amount::value), to: to.map(Amount::value) };
        Ok(Self { unit, extent })
    }

    /// The band for readings that will not stand still.
    #[must_use]
    pub fn jumping(measure: Measure) -> Self {
        Self { unit: measure.unit(), extent: Extent::Jumps }
    }

    /// What it is a range of.
    #[must_use]
    pub const fn measure(self) -> Measure {
        self.unit.measure()
    }

    /// The unit in which its edges were written.
    #[must_use]
    pub const fn unit(self) -> Unit {
        self.unit
    }

    /// The lower edge, which is included.
    #[must_use]
    pub fn from(self) -> Option<Amount> {
        match self.extent {
            Extent::Span { from, .. } => from.map(|edge| Amount::new(self.unit, edge)),
            Extent::Jumps => None,
        }
    }

    /// The upper edge, which is not included.
    #[must_use]
    pub fn to(self) -> Option<Amount> {
        match self.extent {
            Extent::Span { to, .. } => to.map(|edge| Amount::new(self.unit, edge)),
            Extent::Jumps => None,
        }
    }

    /// Whether it is for readings that will not stand still.
    #[must_use]
    pub const fn jumps(self) -> bool {
        matches!(self.extent, Extent::Jumps)
    }

    /// Whether an amount lies in it.
    #[must_use]
    pub fn holds(self, amount: Amount) -> bool {
        let value = amount.value();
        amount.measure() == self.measure()
            && self.span().is_some_and(|(low, high)| low <= value && (value < high || high == f64::INFINITY))
    }

    /// The edges in the base unit, infinite where it is open; none for readings that jump.
    pub(super) fn span(self) -> Option<(f64, f64)> {
        match self.extent {
            Extent::Span { from, to } => {
                Some((from.unwrap_or(f64::NEG_INFINITY), to.unwrap_or(f64::INFINITY)))
            }
            Extent::Jumps => None,
        }
    }

    /// A band between two base values, which may be infinite.
    pub(super) fn between(unit: Unit, low: f64, high: f64) -> Self {
        let edge = |edge: f64| edge.is_finite().then_some(edge);
        Self { unit, extent: Extent::Span { from: edge(low), to: edge(high) } }
    }
}

impl fmt::Display for Band {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let edge = |edge: Amount| if f.alternate() { format!("{edge:#}") } else { edge.to_string() };
        let text = match (self.from().map(edge), self.to().map(edge)) {
            (Some(from), Some(to)) => format!("{from} to {to}"),
            (Some(from), None) => format!("{from} and above"),
            (None, Some(to)) => format!("below {to}"),
            (None, None) if self.jumps() => "jumps".to_owned(),
            (None, None) => "any reading".to_owned(),
        };
        f.pad(&text)
    }
}

/// A band in a journal: edges in the base unit, and the unit in which they are shown.
#[derive(Debug, Clone, Serialize, Deserialize)]
struct Recorded {
    measure: Measure,
    unit: String,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    from: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    to: Option<f64>,
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    jumps: bool,
}

impl From<Band> for Recorded {
    fn from(band: Band) -> Self {
        Self {
            measure: band.measure(),
            unit: band.unit.ascii(),
            from: band.from().map(Amount::value),
            to: band.to().map(Amount::value),
            jumps: band.jumps(),
        }
    }
}

impl TryFrom<Recorded> for Band {
    type Error = String;

    fn try_from(recorded: Recorded) -> Result<Self, String> {
        let measure = recorded.measure;
        if recorded.jumps {
            return Ok(Self::jumping(measure));
        }
        let unit = Unit::named(measure, &recorded.unit)
            .ok_or_else(|| format!("`{}` is no unit of {measure}", super::error::quoted(&recorded.unit)))?;
        let edge = |edge: f64| Amount::new(unit, edge);
        let band = Self::new(measure, recorded.from.map(edge), recorded.to.map(edge));
        band.map(|band| Self { unit, ..band }).map_err(|error| error.to_string())
    }
}
