//! What was seen at the machine, in one currency: how probable it is under each listed fault.
//!
//! *Not in this tree* stands beside the listed faults: its likelihood of an outcome is half the
//! share-weighted mean over the steady listed faults, half even over what could be seen at all.
//! With the mean alone it could never lead.
//!
//! An intermittent fault is not moved by a good reading at rest. Its likelihood of all such readings
//! together is what the other hypotheses give them together, so that its probability stays as it was
//! and the order of evidence does not matter.

use super::belief::{BeliefError, log_sum};
use super::chance::{Probability, Share};
use super::constants::{EVEN, NOT_LISTED, SHOWS_AT_REST, SHOWS_WHILE_MOVED};

/// A fault that the tree or the machine lists.
#[derive(Debug, Clone, PartialEq)]
pub struct Listed {
    /// Its name.
    pub fault: String,
    /// How often it is the cause, relative to the others.
    pub share: Share,
    /// Does it come and go?
    pub intermittent: bool,
}

/// Whom a piece of evidence bears on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bearing {
    /// All faults.
    All,
    /// All but intermittent ones: a good reading at rest.
    Steady,
}

/// One thing seen.
#[derive(Debug, Clone, PartialEq)]
pub struct Evidence {
    /// The step at which it was seen.
    pub step: String,
    /// What was seen, as a journal carries it.
    pub outcome: String,
    /// How probable that is, by listed fault.
    pub chances: Vec<Probability>,
    /// How probable it is if everything that could be seen is equally so.
    pub even: Probability,
    /// Whom it bears on.
    pub bearing: Bearing,
}

/// How the harness was while a reading was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Harness {
    /// Nobody touched it.
    AtRest,
    /// It was moved, or was hot or wet.
    Moved,
}

/// What an intermittent fault shows, from what its steady form and the healthy machine show.
#[must_use]
pub fn intermittent_chance(steady: Probability, healthy: Probability, harness: Harness) -> Probability {
    let shows = match harness {
        Harness::AtRest => SHOWS_AT_REST,
        Harness::Moved => SHOWS_WHILE_MOVED,
    };
    Probability(shows * steady.value() + (1.0 - shows) * healthy.value())
}

/// The faults with *not in this tree* after them, before any evidence: logs of priors that sum to 1.
pub(super) fn priors(listed: &[Listed]) -> Result<Vec<f64>, BeliefError> {
    if let Some(hypothesis) =
        listed.iter().position(|l| !l.share.value().is_finite() || l.share.value() < 0.0)
    {
        return Err(BeliefError::BadShare { hypothesis, share: listed[hypothesis].share.value() });
    }
    let total: f64 = listed.iter().map(|l| l.share.value()).sum();
    if total <= 0.0 || !total.is_finite() {
        return Err(BeliefError::NoShare);
    }
    let known = (1.0 - NOT_LISTED) / total;
    let mut logs: Vec<f64> = listed.iter().map(|l| (l.share.value() * known).ln()).collect();
    logs.push(NOT_LISTED.ln());
    Ok(logs)
}

/// Logs of prior × likelihoods, *not in this tree* last.
pub(super) fn weigh(listed: &[Listed], evidence: &[&Evidence]) -> Result<Vec<f64>, BeliefError> {
    let mut logs = priors(listed)?;
    let mut at_rest = logs.clone();
    for seen in evidence {
        let chances = with_not_listed(listed, seen)?;
        for (at, chance) in chances.iter().enumerate() {
            let comes_and_goes = listed.get(at).is_some_and(|l| l.intermittent);
            match seen.bearing {
                Bearing::Steady if comes_and_goes => {}
                Bearing::Steady => {
                    logs[at] += chance.ln();
                    at_rest[at] += chance.ln();
                }
                Bearing::All => logs[at] += chance.ln(),
            }
        }
    }
    let together = steady_evidence(listed, &at_rest)?;
    for (log, fault) in logs.iter_mut().zip(listed) {
        if fault.intermittent {
            *log += together;
        }
    }
    Ok(logs)
}

/// ln P(all good readings at rest), over the hypotheses that they bear on.
fn steady_evidence(listed: &[Listed], at_rest: &[f64]) -> Result<f64, BeliefError> {
    let steady = |logs: &[f64]| -> Vec<f64> {
        let counts = |at: usize| listed.get(at).is_none_or(|l| !l.intermittent);
        logs.iter().enumerate().filter(|(at, _)| counts(*at)).map(|(_, log)| *log).collect()
    };
    Ok(log_sum(&steady(at_rest)) - log_sum(&steady(&priors(listed)?)))
}

/// The chances of an outcome by hypothesis, *not in this tree* last.
fn with_not_listed(listed: &[Listed], seen: &Evidence) -> Result<Vec<f64>, BeliefError> {
    if seen.chances.len() != listed.len() {
        return Err(BeliefError::Count { given: seen.chances.len(), hypotheses: listed.len() });
    }
    let mut chances: Vec<f64> = seen.chances.iter().map(|p| p.value()).collect();
    if let Some(hypothesis) = chances.iter().position(|p| !(0.0..=1.0).contains(p)) {
        return Err(BeliefError::BadLikelihood { hypothesis, likelihood: chances[hypothesis] });
    }
    let mean = steady_mean(listed, &chances);
    chances.push(EVEN * seen.even.value() + (1.0 - EVEN) * mean);
    Ok(chances)
}

/// The share-weighted mean over the steady faults; over all, where none is steady.
fn steady_mean(listed: &[Listed], chances: &[f64]) -> f64 {
    let none_is = listed.iter().all(|l| l.intermittent || l.share.value() <= 0.0);
    let (mut sum, mut total) = (0.0, 0.0);
    for (fault, chance) in listed.iter().zip(chances).filter(|(l, _)| none_is || !l.intermittent) {
        sum += fault.share.value() * chance;
        total += fault.share.value();
    }
    sum / total
}
