//! Bands by likeness: a reading belongs to the band whose predictions make it likeliest today.
//!
//! The likelihood of a band is that of its best prediction (normal, with the uncertainty of the meter
//! and the model); edges lie where neighbouring likelihoods cross. `rest` has the predictions that no
//! other band claims.

use crate::machine::{FaultId, Machine};
use crate::tree::{BandKind, BandStep, Like};
use crate::units::{Amount, Estimate};

/// By how much, in the logarithm of the likelihood, the rest must be likelier than any named band: our choice, no
/// source. Many faults leave a point as it is on a healthy machine.
const CLEARLY: f64 = 2.0;

/// Two named bands whose likelihoods differ by less, in the logarithm, are too close to call: our choice, no source.
const TOO_CLOSE: f64 = 1.0;

/// What the meter would show for one severity of a fault, or of the healthy machine; `None` for OL.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sample {
    pub(super) fault: Option<FaultId>,
    pub(super) expected: Option<Estimate>,
}

/// The predictions of each band of one step.
#[derive(Debug, Clone)]
pub struct Likeness {
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

    /// The bands that a value with this uncertainty of its own goes to; several where it is too close to call.
    pub(super) fn ways(&self, value: Option<Amount>, own: f64) -> Vec<usize> {
        let scores = self.scores(value, own);
        let Some(best) = self.best_of(&scores) else { return Vec::new() };
        if self.rest == Some(best) {
            return vec![best];
        }
        let close = |at: &usize| self.rest != Some(*at) && scores[*at] > scores[best] - TOO_CLOSE;
        (0..scores.len()).filter(close).collect()
    }

    /// The band that a value with this uncertainty of its own looks most like.
    pub(super) fn best(&self, value: Option<Amount>, own: f64) -> Option<usize> {
        self.best_of(&self.scores(value, own))
    }

    fn scores(&self, value: Option<Amount>, own: f64) -> Vec<f64> {
        let score = |band: &Vec<Option<Estimate>>| {
            band.iter().map(|expected| log_density(*expected, value, own)).fold(f64::NEG_INFINITY, f64::max)
        };
        self.bands.iter().map(score).collect()
    }

    fn best_of(&self, scores: &[f64]) -> Option<usize> {
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

fn log_density(expected: Option<Estimate>, value: Option<Amount>, own: f64) -> f64 {
    match (expected, value) {
        (None, None) => 0.0,
        (Some(expected), Some(value)) => {
            let u = expected.standard_uncertainty().hypot(own).max(1e-9);
            let z = (value.value() - expected.value().value()) / u;
            -0.5 * z * z - u.ln()
        }
        _ => f64::NEG_INFINITY,
    }
}
