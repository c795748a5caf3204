//! What was seen at the machine, in one currency: how probable it is under each listed fault.
//!
//! *Not in this tree* stands beside the listed faults: its likelihood of an outcome is in part the
//! share-weighted mean over the steady listed faults, in part even over what could be seen at all.
//! With the mean alone it could never lead. How odd it is, is not known: it is held against all evidence at one of the
//! parts [`EVEN`] at a time, as a fault is at its severities. At a half alone, each reading that is like those of listed
//! faults halved it, and one misread made it lead too soon.
//!
//! A fault that can be slight or grave is held against all evidence at one severity at a time: P(e1…en | fault) is the
//! mean, over its spans of severity, of the product. With the product of means a slight fault that had read slight
//! everywhere was stated far too low.
//!
//! An intermittent fault reads good at rest nearly always, so a good reading never speaks against it, and for it as far as
//! it speaks against others. Set aside instead, as what does not bear on it at all, such readings left three faults that
//! had read alike apart by thirty to one, by what steady faults said of the points that each had been tried at.

use super::answers::small;
use super::belief::{BeliefError, log_sum};
use super::chance::{Probability, Share};
use super::constants::{EVEN, NOT_LISTED, Odd, SHOWS_AT_REST, SHOWS_WHILE_MOVED};

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
    /// How probable that is, by listed fault in each of its spans of severity, which are alike likely before anything is
    /// seen; one alone stands for all.
    pub chances: Vec<Vec<Probability>>,
    /// Was it read off a meter or a gauge?
    pub is_reading: bool,
    /// How probable it is if everything that could be seen is equally so.
    pub even: Probability,
}

impl Evidence {
    /// How probable it is under a listed fault before anything else is seen.
    #[must_use]
    pub fn under(&self, fault: usize) -> Probability {
        super::answers::mean(&self.chances[fault])
    }
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
        check(listed, seen)?;
    }
    logs[listed.len()] += not_listed(listed, evidence);
    for (fault, log) in logs.iter_mut().enumerate().take(listed.len()) {
        *log += together(fault, evidence);
    }
    Ok(logs)
}

/// ln P(e1…en | fault): the mean over its spans of severity.
fn together(fault: usize, evidence: &[&Evidence]) -> f64 {
    let spans = evidence.iter().map(|seen| seen.chances[fault].len()).max().unwrap_or(1);
    let at = |span: usize| -> f64 {
        let one = |seen: &&Evidence| {
            let chances = &seen.chances[fault];
            chances[span.min(chances.len() - 1)].value().ln()
        };
        evidence.iter().map(one).sum()
    };
    match spans {
        1 => at(0),
        _ => log_sum(&(0..spans).map(at).collect::<Vec<f64>>()) - small(spans).ln(),
    }
}

fn check(listed: &[Listed], seen: &Evidence) -> Result<(), BeliefError> {
    let count = seen.chances.len();
    if count != listed.len() || seen.chances.iter().any(Vec::is_empty) {
        return Err(BeliefError::Count { given: count, hypotheses: listed.len() });
    }
    let bad = |chance: &&Probability| !(0.0..=1.0).contains(&chance.value());
    for (hypothesis, chances) in seen.chances.iter().enumerate() {
        if let Some(chance) = chances.iter().find(bad) {
            return Err(BeliefError::BadLikelihood { hypothesis, likelihood: chance.value() });
        }
    }
    Ok(())
}

/// ln P(e1…en | *not in this tree*): the mean over how odd it is.
fn not_listed(listed: &[Listed], evidence: &[&Evidence]) -> f64 {
    let usual = |seen: &&Evidence| mean(listed, seen).unwrap_or(seen.even.value());
    let usual: Vec<f64> = evidence.iter().map(usual).collect();
    let at = |odd: Odd| -> f64 {
        let one = |(seen, usual): (&&Evidence, &f64)| {
            let part = if seen.is_reading { odd.readings } else { odd.answers };
            (part * seen.even.value() + (1.0 - part) * usual).ln()
        };
        evidence.iter().zip(&usual).map(one).sum()
    };
    log_sum(&EVEN.map(at)) - small(EVEN.len()).ln()
}

/// The share-weighted mean over the faults that do not come and go; over all, where none is steady.
fn mean(listed: &[Listed], seen: &Evidence) -> Option<f64> {
    let over = |counts: &dyn Fn(&Listed) -> bool| {
        let borne = listed.iter().enumerate().filter(|(_, fault)| counts(fault));
        let (sum, total) = borne
            .map(|(at, fault)| (fault.share.value(), seen.under(at).value()))
            .fold((0.0, 0.0), |(s, t), (share, chance)| (s + share * chance, t + share));
        (total > 0.0).then(|| sum / total)
    };
    over(&|fault| !fault.intermittent).or_else(|| over(&|_| true))
}
