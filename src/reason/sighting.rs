//! A reading as it was typed, against the cells: a reading with fewer digits than the meter shows may
//! have come from several cells.
//!
//! With w(c) the normal probability that it came from cell c, blurred by what the missing digits add,
//! P(reading | fault) ∝ Σ w(c) · P(c | fault) / width(c). A reading with all its digits came from one
//! cell, and this is the cell's own probability.

use super::cells::{Cell, CellChances, Cells, Shows};
use super::chance::Probability;
use crate::units::{Estimate, Meter, Reading, Seen};

/// The cells a reading may have come from, each with its factor.
#[derive(Debug, Clone, PartialEq)]
pub struct Sighting {
    factors: Vec<(Cell, f64)>,
    even: f64,
    /// The cell of the value as it was typed.
    pub cell: Cell,
}

impl Sighting {
    /// Holds a reading against the cells of its point.
    #[must_use]
    pub fn new(cells: &Cells, meter: Meter, reading: &Reading) -> Self {
        let cell = match (reading.seen(), meter.estimate(reading)) {
            (Seen::Steady(_), Some(estimate)) => cells.place_of(Shows::Steady(estimate)),
            _ => cells.place(reading),
        };
        let spread = missing_digits(meter, reading).map(|typed| cells.normal(typed));
        let weights = spread.unwrap_or_else(|| vec![(cell, 1.0)]);
        let density = |(cell, weight): &(Cell, f64)| weight / cells.even(*cell).value();
        let most = weights.iter().map(density).fold(0.0, f64::max);
        let factors = weights.iter().map(|weighed| (weighed.0, density(weighed) / most)).collect();
        Self { factors, even: 1.0 / most, cell }
    }

    /// How probable the reading is under a fault with these chances.
    #[must_use]
    pub fn chance(&self, chances: &CellChances) -> Probability {
        self.chance_by(|cell| chances.of(cell).value())
    }

    /// The same under what gives each cell its chance.
    pub(super) fn chance_by(&self, of: impl Fn(Cell) -> f64) -> Probability {
        Probability(self.factors.iter().map(|(cell, factor)| factor * of(*cell)).sum::<f64>().min(1.0))
    }

    /// A reading that falls in a cell, whatever it is.
    pub(super) fn of_cell(cells: &Cells, cell: Cell) -> Self {
        Self { factors: vec![(cell, 1.0)], even: cells.even(cell).value(), cell }
    }

    /// How probable it is if everything that could be seen is equally so.
    #[must_use]
    pub const fn even(&self) -> Probability {
        Probability(self.even)
    }
}

/// The value with what the digits left out add to its uncertainty; `None` where none are left out.
fn missing_digits(meter: Meter, reading: &Reading) -> Option<Estimate> {
    let estimate = meter.estimate(reading)?;
    let typed = meter.limit_of_error(reading)?.value();
    let shown = meter.shown(estimate.value()).and_then(|shown| meter.limit_of_error(&shown))?.value();
    (typed > 1.5 * shown).then(|| Estimate::rectangular(estimate.value(), typed - shown))
}
