//! Half-split: which connector to open next, so that what is left is halved for the fewest minutes.
//!
//! Opening a connector that leaves the probability p on one side tells H(p) = −p·log2 p − (1−p)·log2(1−p) bits (Shannon
//! 1948); the best one tells most a minute.

use crate::units::Minutes;

use super::{LocateError, above_zero};

/// A connector that can be opened between two stretches of the circuit.
#[derive(Debug, Clone, PartialEq)]
pub struct Opening {
    /// Its name.
    pub name: String,
    /// How many stretches lie before it.
    pub after: usize,
    /// Minutes to reach and open it.
    pub minutes: Minutes,
}

/// What opening a connector would tell.
#[derive(Debug, Clone, PartialEq)]
pub struct Split {
    /// Its name.
    pub name: String,
    /// Probability that the fault lies before it.
    pub before: f64,
    /// What it tells, in bits.
    pub bits: f64,
    /// Minutes to reach and open it.
    pub minutes: Minutes,
}

/// Ranks the openings, the one that tells most a minute first; those that tell nothing are left out.
///
/// `shares` says how often a fault lies in each stretch, in order along the circuit.
///
/// # Errors
/// [`LocateError`] where a share or the minutes are below zero, or all shares are nothing.
pub fn half_split(shares: &[f64], openings: &[Opening]) -> Result<Vec<Split>, LocateError> {
    if let Some(wrong) = shares.iter().find(|s| !s.is_finite() || **s < 0.0) {
        return Err(LocateError::Negative { what: "a share", value: *wrong });
    }
    let all = above_zero(shares.iter().sum(), "the sum of the shares")?;
    let mut splits = Vec::with_capacity(openings.len());
    for opening in openings {
        above_zero(opening.minutes.0, "the minutes of an opening")?;
        let before = shares.iter().take(opening.after).sum::<f64>() / all;
        let bits = entropy(before);
        if bits > 0.0 {
            let (name, minutes) = (opening.name.clone(), opening.minutes);
            splits.push(Split { name, before, bits, minutes });
        }
    }
    splits.sort_by(|a, b| (b.bits / b.minutes.0).total_cmp(&(a.bits / a.minutes.0)));
    Ok(splits)
}

fn entropy(p: f64) -> f64 {
    [p, 1.0 - p].into_iter().filter(|p| *p > 0.0).map(|p| -p * p.log2()).sum()
}
