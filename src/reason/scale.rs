//! The range a meter could show, as a line on which widths are compared: volts as they are, ohms by
//! logarithm, and beside the line `OL` and a reading that jumps.
//!
//! x = v for volts and amps; x = lg(1 + v / 0.1 Ω) for ohms, which is a logarithm above a few tenths
//! of an ohm and stays finite at nothing.

use super::constants::{CONTACT_AMPS, CONTACT_OHMS, CONTACT_VOLTS, STRAY_VOLTS};
use crate::units::{Amps, Estimate, Measure, Volts};

/// Where the logarithm of ohms sets in: a common meter's last digit. Our choice, no source.
const LEAST_OHMS: f64 = 0.1;
/// The most ohms on the line; above is `OL`. Common practice, no source.
const MOST_OHMS: f64 = 6e7;
/// Below this a meter on a machine shows nothing. Our choice, no source.
const LEAST_VOLTS: f64 = -1.0;
/// Above this part of the supply it shows nothing either. Our choice, no source.
const MOST_SUPPLY: f64 = 1.2;
/// The width of `OL` and of a reading that jumps, as parts of the line. Our choice, no source.
const OVER_PART: f64 = 0.2;
const JUMPS_PART: f64 = 0.05;
/// No reading is surer than this part of the line.
const LEAST_SPREAD: f64 = 1e-6;

/// What a meter could show at a point, whatever is wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    measure: Measure,
    least: f64,
    most: f64,
}

/// A point on the line with its spread, and the wider one of a reading that strays.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct At {
    pub(super) x: f64,
    pub(super) spread: f64,
    pub(super) stray: f64,
}

impl Scale {
    /// Volts on a machine with this supply.
    #[must_use]
    pub fn volts(supply: Volts) -> Self {
        let most = (MOST_SUPPLY * supply.value()).max(1.0);
        Self { measure: Measure::Volts, least: LEAST_VOLTS, most }
    }

    /// Ohms.
    #[must_use]
    pub fn ohms() -> Self {
        Self { measure: Measure::Ohms, least: 0.0, most: MOST_OHMS }
    }

    /// Amps up to what the circuit could draw.
    #[must_use]
    pub fn amps(most: Amps) -> Self {
        Self { measure: Measure::Amps, least: 0.0, most: most.value().max(0.1) }
    }

    /// What is measured.
    #[must_use]
    pub const fn measure(self) -> Measure {
        self.measure
    }

    pub(super) fn x(self, value: f64) -> f64 {
        if self.measure == Measure::Ohms { (1.0 + value.max(0.0) / LEAST_OHMS).log10() } else { value }
    }

    /// Back from the line to a value.
    pub(super) fn value(self, x: f64) -> f64 {
        if self.measure == Measure::Ohms { LEAST_OHMS * (10_f64.powf(x) - 1.0) } else { x }
    }

    pub(super) fn at(self, estimate: Estimate) -> At {
        let value = estimate.value().value();
        let slope = if self.measure == Measure::Ohms {
            1.0 / ((LEAST_OHMS + value.max(0.0)) * std::f64::consts::LN_10)
        } else {
            1.0
        };
        let on_line = |uncertainty: f64| (uncertainty * slope).max(LEAST_SPREAD * self.width());
        let stray = estimate.with_spread(estimate.value()).standard_uncertainty();
        At {
            x: self.x(value),
            spread: on_line(estimate.standard_uncertainty().hypot(self.contacts(CONTACT_VOLTS))),
            stray: on_line(stray.hypot(self.contacts(STRAY_VOLTS))),
        }
    }

    /// What contacts add, in the base unit; to volts this.
    const fn contacts(self, volts: f64) -> f64 {
        match self.measure {
            Measure::Volts => volts,
            Measure::Ohms => CONTACT_OHMS,
            Measure::Amps => CONTACT_AMPS,
            _ => 0.0,
        }
    }

    pub(super) fn ends(self) -> (f64, f64) {
        (self.x(self.least), self.x(self.most))
    }

    fn width(self) -> f64 {
        let (low, high) = self.ends();
        high - low
    }

    pub(super) fn over_width(self) -> f64 {
        if self.measure == Measure::Ohms { OVER_PART * self.width() } else { 0.0 }
    }

    pub(super) fn jumps_width(self) -> f64 {
        JUMPS_PART * self.width()
    }
}
