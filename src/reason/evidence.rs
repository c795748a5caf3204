//! What was seen at the machine, in one currency: how probable it is under each listed fault.
//!
//! *Not in this tree* stands beside the listed faults: its likelihood of an outcome is half the
//! share-weighted mean over the steady listed faults, half even over what could be seen at all.
//! With the mean alone it could never lead.
//!
//! Tests count as independent also under a fault that can be slight or grave. Held against all evidence at one severity
//! at a time, P(e1…en | fault) as the mean of products, the true fault led as often (93.8 in a hundred of 2,400 walks
//! either way), so the plainer sum of logarithms stays.
//!
//! An intermittent fault reads good at rest nearly always, so a good reading never speaks against it, and for it as far as
//! it speaks against others. Set aside instead, as what does not bear on it at all, such readings left three faults that
//! had read alike apart by thirty to one, by what steady faults said of the points that each had been tried at.

use super::belief::BeliefError;
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
    for seen in evidence {
        let chances = with_not_listed(listed, seen)?;
        logs.iter_mut().zip(chances).for_each(|(log, chance)| *log += chance.ln());
    }
    Ok(logs)
}

/// The chances of an outcome by hypothesis, *not in this tree* last.
fn with_not_listed(listed: &[Listed], seen: &Evidence) -> Result<Vec<f64>, BeliefError> {
    if seen.chances.len() != listed.len() {
        return Err(BeliefError::Count { given: seen.chances.len(), hypotheses: listed.len() });
    }
    let mut chances: Vec<f64> = seen.chances.iter().map(|chance| chance.value()).collect();
    if let Some(hypothesis) = chances.iter().position(|chance| !(0.0..=1.0).contains(chance)) {
        return Err(BeliefError::BadLikelihood { hypothesis, likelihood: chances[hypothesis] });
    }
    let even = seen.even.value();
    chances.push(EVEN * even + (1.0 - EVEN) * mean(listed, &chances).unwrap_or(even));
    Ok(chances)
}

/// The share-weighted mean over the faults that do not come and go; over all, where none is steady.
fn mean(listed: &[Listed], chances: &[f64]) -> Option<f64> {
    let over = |counts: &dyn Fn(&Listed) -> bool| {
        let borne = listed.iter().zip(chances).filter(|(fault, _)| counts(fault));
        let (sum, total) = borne
            .map(|(fault, chance)| (fault.share.value(), *chance))
            .fold((0.0, 0.0), |(s, t), (share, chance)| (s + share * chance, t + share));
        (total > 0.0).then(|| sum / total)
    };
    over(&|fault| !fault.intermittent).or_else(|| over(&|_| true))
}
