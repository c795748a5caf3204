//! Belief in the log domain: share × likelihoods, one addition a suspect and observation.
//!
//! ln P(h | e1…en) = ln share(h) + Σ ln P(ei | h) − ln Σ (the same over all h), the sum taken relative to
//! its largest term, so that nothing underflows (Bayes; log-sum-exp is common practice). A zero is
//! minus infinity and stays; evidence that no hypothesis allows is told as a contradiction.

use super::chance::{LogChance, Probability, Share};

/// Why belief cannot be computed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BeliefError {
    /// A share is negative or not a number.
    #[error("hypothesis {hypothesis}: a share of {share}; it must be 0 or more")]
    BadShare {
        /// Which hypothesis.
        hypothesis: usize,
        /// The share as given.
        share: f64,
    },
    /// There are no hypotheses, or none with a share.
    #[error("no hypothesis has a share above 0")]
    NoShare,
    /// A likelihood is not between 0 and 1.
    #[error("hypothesis {hypothesis}: a likelihood of {likelihood}; it must lie between 0 and 1")]
    BadLikelihood {
        /// Which hypothesis.
        hypothesis: usize,
        /// The likelihood as given.
        likelihood: f64,
    },
    /// A likelihood for more or fewer hypotheses than there are.
    #[error("likelihoods for {given} of {hypotheses} hypotheses")]
    Count {
        /// How many were given.
        given: usize,
        /// How many hypotheses there are.
        hypotheses: usize,
    },
    /// No hypothesis allows what was observed.
    #[error("no hypothesis allows what was observed")]
    Contradiction,
}

/// How probable one outcome is under each hypothesis, as logarithms.
#[derive(Debug, Clone, PartialEq)]
pub struct Likelihood(Vec<LogChance>);

impl Likelihood {
    /// From probabilities, one a hypothesis.
    ///
    /// # Errors
    /// [`BeliefError::BadLikelihood`] for a number that is no probability.
    pub fn new(chances: &[Probability]) -> Result<Self, BeliefError> {
        if let Some(hypothesis) = chances.iter().position(|p| !(0.0..=1.0).contains(&p.value())) {
            let likelihood = chances[hypothesis].value();
            return Err(BeliefError::BadLikelihood { hypothesis, likelihood });
        }
        Ok(Self(chances.iter().map(|p| p.ln()).collect()))
    }

    /// How many hypotheses it speaks of.
    #[must_use]
    pub fn hypotheses(&self) -> usize {
        self.0.len()
    }
}

/// Weights over hypotheses after what was observed.
#[derive(Debug, Clone, PartialEq)]
pub struct Belief {
    /// ln of share × likelihoods, with shares that sum to one.
    logs: Vec<f64>,
}

/// Probabilities after the evidence.
#[derive(Debug, Clone, PartialEq)]
pub struct Posterior {
    /// ln P(h | evidence), by hypothesis.
    pub logs: Vec<LogChance>,
    /// ln P(evidence).
    pub log_evidence: LogChance,
}

impl Belief {
    /// Before any evidence: by share, on any scale; a share of 0 stays 0.
    ///
    /// # Errors
    /// A share below 0, or none above.
    pub fn new(shares: &[Share]) -> Result<Self, BeliefError> {
        if let Some(hypothesis) = shares.iter().position(|s| !s.value().is_finite() || s.value() < 0.0) {
            return Err(BeliefError::BadShare { hypothesis, share: shares[hypothesis].value() });
        }
        // Relative to the largest, so that the sum of huge shares stays finite.
        let most = shares.iter().map(|s| s.value()).fold(0.0, f64::max);
        if most <= 0.0 {
            return Err(BeliefError::NoShare);
        }
        let total = shares.iter().map(|s| s.value() / most).sum::<f64>().ln();
        Ok(Self { logs: shares.iter().map(|s| s.value().ln() - most.ln() - total).collect() })
    }

    /// Takes in one observation; repeats of one test count as independent.
    ///
    /// # Errors
    /// [`BeliefError::Count`] unless there is a likelihood for every hypothesis.
    pub fn observe(&mut self, likelihood: &Likelihood) -> Result<(), BeliefError> {
        if likelihood.0.len() != self.logs.len() {
            let (given, hypotheses) = (likelihood.0.len(), self.logs.len());
            return Err(BeliefError::Count { given, hypotheses });
        }
        for (log, chance) in self.logs.iter_mut().zip(&likelihood.0) {
            *log += chance.value();
        }
        Ok(())
    }

    /// Probabilities as they stand.
    ///
    /// # Errors
    /// [`BeliefError::Contradiction`] when no hypothesis allows what was observed.
    pub fn posterior(&self) -> Result<Posterior, BeliefError> {
        let log_evidence = log_sum(&self.logs);
        if log_evidence == f64::NEG_INFINITY {
            return Err(BeliefError::Contradiction);
        }
        let logs = self.logs.iter().map(|log| LogChance(log - log_evidence)).collect();
        Ok(Posterior { logs, log_evidence: LogChance(log_evidence) })
    }
}

impl Posterior {
    /// The probability of one hypothesis.
    #[must_use]
    pub fn probability(&self, hypothesis: usize) -> Probability {
        self.logs[hypothesis].exp()
    }

    /// The probabilities of all hypotheses.
    #[must_use]
    pub fn probabilities(&self) -> Vec<Probability> {
        self.logs.iter().map(|log| log.exp()).collect()
    }
}

/// ln Σ exp(log), without underflow; minus infinity when all are.
pub(super) fn log_sum(logs: &[f64]) -> f64 {
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if most == f64::NEG_INFINITY {
        return most;
    }
    most + logs.iter().map(|log| (log - most).exp()).sum::<f64>().ln()
}
