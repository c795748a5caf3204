//! Answers as evidence: tied to the model by what it says, untied by the shape of the tree.
//!
//! Untied: B distinct next steps; S(f) those from which a finding that names f can be reached.
//! P(b | f) = (1 − ε)/|S(f)| + ε/|B| for b in S(f), ε/|B| otherwise, and 1/|B| where S(f) is empty:
//! they sum to one over B.

use super::chance::Probability;
use super::constants::CONTRADICTS;

/// What the model says about an answer that is tied to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Model {
    /// With this fault the answer is so.
    Agrees,
    /// With this fault it is not.
    Contradicts,
    /// The model cannot tell: it chatters, or both may be.
    Open,
}

/// How probable a tied answer is under a fault.
#[must_use]
pub fn tied_chance(model: Model) -> Probability {
    Probability(match model {
        Model::Agrees => 1.0 - CONTRADICTS,
        Model::Contradicts => CONTRADICTS,
        Model::Open => 0.5,
    })
}

/// How probable an untied answer is under a fault. `branches` are the distinct next steps,
/// `towards` says of each whether a finding that names the fault can be reached from it.
#[must_use]
pub fn untied_chance(towards: &[bool], taken: usize) -> Probability {
    let branches = small(towards.len().max(1));
    let reaching = towards.iter().filter(|t| **t).count();
    if reaching == 0 {
        return Probability(1.0 / branches);
    }
    let even = CONTRADICTS / branches;
    let led = if towards.get(taken).copied().unwrap_or(false) {
        (1.0 - CONTRADICTS) / small(reaching)
    } else {
        0.0
    };
    Probability(led + even)
}

/// Counts of answers, faults and severities are small; beyond 2^32 the last bits do not matter.
pub(super) fn small(count: usize) -> f64 {
    f64::from(u32::try_from(count).unwrap_or(u32::MAX))
}

/// The mean of chances; nothing of none.
pub(super) fn mean(chances: &[Probability]) -> Probability {
    Probability(chances.iter().map(|chance| chance.value()).sum::<f64>() / small(chances.len().max(1)))
}
