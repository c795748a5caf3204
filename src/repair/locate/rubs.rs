//! From an interval on the wire to the rubs that lie in it.
//!
//! Each rub's share is weighed with the normal density of its distance from the measured place; both the reading and
//! the machine file's distances are uncertain, and their variances add.

use crate::units::Metres;

use super::{PlaceOnWire, quadrature};

/// A named place where a wire can be rubbed through.
#[derive(Debug, Clone, PartialEq)]
pub struct Rub {
    /// Its name.
    pub name: String,
    /// How far along the wire.
    pub at: Metres,
    /// How often it is the place, relative to the others.
    pub share: f64,
}

/// How likely a rub is the place.
#[derive(Debug, Clone, PartialEq)]
pub struct RubRank {
    /// Its name.
    pub name: String,
    /// How far along the wire.
    pub at: Metres,
    /// Probability among the rubs of this wire.
    pub probability: f64,
    /// Whether it lies in the interval.
    pub inside: bool,
}

/// Standard uncertainty of a distance in a machine file, measured along a harness by tape: our choice.
const TAPE: f64 = 0.03;

impl PlaceOnWire {
    /// A place as a tape measured it along the harness, with twice its standard uncertainty either way.
    #[must_use]
    pub fn by_tape(at: Metres, whole: Metres) -> Self {
        let (from, to) = (Metres((at.0 - 2.0 * TAPE).max(0.0)), Metres((at.0 + 2.0 * TAPE).min(whole.0)));
        Self { at, from, to, standard: Metres(TAPE), whole }
    }
}

/// Ranks the rubs of a wire by where the fault was measured, the likeliest first; ties stand in wire order.
#[must_use]
pub fn rank_rubs(place: &PlaceOnWire, rubs: &[Rub]) -> Vec<RubRank> {
    let spread = quadrature(&[place.standard.0, TAPE]);
    let off = |rub: &Rub| (rub.at.0 - place.at.0) / spread;
    // The nearest one is taken as reference, so that far rubs do not all vanish together.
    let nearest = rubs.iter().map(|r| off(r).powi(2)).fold(f64::INFINITY, f64::min);
    let weight = |rub: &Rub| rub.share.max(0.0) * (-(off(rub).powi(2) - nearest) / 2.0).exp();
    let all: f64 = rubs.iter().map(weight).sum();
    let mut ranked: Vec<RubRank> = rubs
        .iter()
        .map(|rub| RubRank {
            name: rub.name.clone(),
            at: rub.at,
            probability: if all > 0.0 { weight(rub) / all } else { 0.0 },
            inside: (place.from.0 - TAPE..=place.to.0 + TAPE).contains(&rub.at.0),
        })
        .collect();
    ranked.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    ranked
}
