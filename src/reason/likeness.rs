//! Bands by likeness: a reading belongs to the band whose predictions make it likeliest today.
//!
//! The likelihood of a band is that of its best prediction (normal, with the uncertainty of the meter
//! and the model); edges lie where neighbouring likelihoods cross. `rest` has the predictions that no
//! other band claims.

use crate::machine::{FaultId, Machine};
use crate::tree::{BandKind, BandStep, Like};
use crate::units::{Amount, Estimate, Meter};

/// By how much, in the logarithm of the likelihood, the rest must be likelier than any named band: our choice, no
/// source. Many faults leave a point as it is on a healthy machine.
const CLEARLY: f64 = 2.0;

/// What the meter would show for one severity of a fault, or of the healthy machine; `None` for OL.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sample {
    pub(super) fault: Option<FaultId>,
    pub(super) expected: Option<Estimate>,
}

/// The predictions of each band of one step.
#[derive(Debug, Clone)]
pub(super) struct Likeness {
    bands: Vec<Vec<Option<Estimate>>>,
    rest: Option<usize>,
}

impl Likeness {
    pub(super) fn new(machine: &Machine, bands: &[BandStep], samples: Vec<Sample>) -> Self {
        let mut own = vec![Vec::new(); bands.len()];
        let rest = bands.iter().position(|band| band.kind == BandKind::Like(Like::Rest));
        let claims = |band: &BandStep, sample: &Sample| match (&band.kind, sample.fault) {
            (BandKind::Like(Like::Healthy), fault) => fault.is_none(),
            (BandKind::Like(Like::Faults(names)), Some(fault)) => {
                names.iter().any(|name| machine.fault_named(name) == Some(fault))
            }
            _ => false,
        };
        for sample in samples {
            let band = bands.iter().position(|band| claims(band, &sample)).or(rest);
            if let Some(band) = band {
                own[band].push(sample.expected);
            }
        }
        Self { bands: own, rest }
    }

    /// The bands that a value goes to; several where it is too close to call.
    pub(super) fn ways(&self, meter: Meter, value: Option<Amount>) -> Vec<usize> {
        let Some(amount) = value else { return self.best(None).into_iter().collect() };
        let reach = 2.0 * meter.expected(amount).standard_uncertainty();
        let shifted = [-reach, 0.0, reach].map(|by| Amount::new(amount.unit(), amount.value() + by));
        let mut ways: Vec<usize> = shifted.iter().filter_map(|at| self.best(Some(*at))).collect();
        ways.sort_unstable();
        ways.dedup();
        ways
    }

    pub(super) fn best(&self, value: Option<Amount>) -> Option<usize> {
        let score = |band: &Vec<Option<Estimate>>| {
            band.iter().map(|expected| log_density(*expected, value)).fold(f64::NEG_INFINITY, f64::max)
        };
        let scores: Vec<f64> = self.bands.iter().map(score).collect();
        let is_rest = |at: &usize| self.rest == Some(*at);
        // The first of equals, so that what is written first counts; the rest is what is clearly like none of them.
        let own = (0..scores.len())
            .filter(|at| !is_rest(at))
            .rev()
            .max_by(|a, b| scores[*a].total_cmp(&scores[*b]));
        match (own, self.rest) {
            (Some(own), Some(rest)) if scores[rest] > scores[own] + CLEARLY => Some(rest),
            (Some(own), _) if scores[own] > f64::NEG_INFINITY => Some(own),
            (_, rest) => rest,
        }
    }
}

fn log_density(expected: Option<Estimate>, value: Option<Amount>) -> f64 {
    match (expected, value) {
        (None, None) => 0.0,
        (Some(expected), Some(value)) => {
            let u = expected.standard_uncertainty().max(1e-9);
            let z = (value.value() - expected.value().value()) / u;
            -0.5 * z * z - u.ln()
        }
        _ => f64::NEG_INFINITY,
    }
}
