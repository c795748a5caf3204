//! Who is suspect: probabilities after the evidence, in the words of the screens, and what each
//! piece of evidence ruled out.

use super::belief::{BeliefError, log_sum};
use super::chance::{Bits, Probability};
use super::constants::{LIKELIEST, POSSIBLE, RULED_OUT, SUFFICES};
use super::evidence::{Evidence, Listed, priors, weigh};

/// The word for a suspect's probability; the number always stands beside it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Likely {
    /// The leader, if above 30 %.
    Likeliest,
    /// 5 % and more.
    Possible,
    /// Less.
    Unlikely,
}

/// Who a suspect is: a listed fault by its index, or something else.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Who {
    /// A fault of the list.
    Listed(usize),
    /// Something that is not in this tree.
    NotListed,
}

/// One line of a ranking.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Suspect {
    /// Which fault.
    pub who: Who,
    /// How probable it is now.
    pub probability: Probability,
    /// In words.
    pub likely: Likely,
    /// Has evidence brought it below a tenth of its prior?
    pub ruled_out: bool,
}

/// Suspects, the most probable first; equals stay in the order of the list.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranking {
    /// The listed faults and *not in this tree*.
    pub suspects: Vec<Suspect>,
    /// ln P(evidence), for comparing models.
    pub log_evidence: super::chance::LogChance,
}

/// What one piece of evidence did: "ruled out 7 of 12 (41 of 100)".
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RuledOut {
    /// Listed faults ruled out by it.
    pub faults: usize,
    /// Of how many that were still suspects.
    pub of: usize,
    /// The probability that those had had.
    pub share: Probability,
}

impl Ranking {
    /// The most probable of all.
    #[must_use]
    pub fn head(&self) -> Option<&Suspect> {
        self.suspects.first()
    }

    /// The line of one suspect.
    #[must_use]
    pub fn of(&self, who: Who) -> Option<&Suspect> {
        self.suspects.iter().find(|suspect| suspect.who == who)
    }

    /// Does what was seen fit none of the listed faults better than something else?
    #[must_use]
    pub fn fits_none(&self) -> bool {
        self.head().is_some_and(|head| head.who == Who::NotListed)
    }
}

/// Ranks the listed faults and *not in this tree* by this evidence.
///
/// # Errors
/// Shares or chances that are none, lists of unequal length, or evidence that nothing allows
/// (which the floors of [`super::Cells`] and of answers rule out).
pub fn rank(listed: &[Listed], evidence: &[&Evidence]) -> Result<Ranking, BeliefError> {
    let priors = priors(listed)?;
    let logs = weigh(listed, evidence)?;
    let log_evidence = log_sum(&logs);
    if log_evidence == f64::NEG_INFINITY {
        return Err(BeliefError::Contradiction);
    }
    let mut order: Vec<usize> = (0..logs.len()).collect();
    order.sort_by(|a, b| logs[*b].total_cmp(&logs[*a]));
    let suspect = |(place, at): (usize, &usize)| {
        let log = logs[*at] - log_evidence;
        let probability = Probability(log.exp());
        let who = if *at < listed.len() { Who::Listed(*at) } else { Who::NotListed };
        let ruled_out = log < priors[*at] + RULED_OUT.ln();
        Suspect { who, probability, likely: word(place, probability), ruled_out }
    };
    let suspects = order.iter().enumerate().map(suspect).collect();
    Ok(Ranking { suspects, log_evidence: super::chance::LogChance(log_evidence) })
}

fn word(place: usize, probability: Probability) -> Likely {
    match probability.value() {
        p if place == 0 && p > LIKELIEST => Likely::Likeliest,
        p if p >= POSSIBLE => Likely::Possible,
        _ => Likely::Unlikely,
    }
}

/// What the last piece of evidence ruled out, against the ranking before it.
///
/// # Errors
/// As [`rank`].
pub fn ruled_out(listed: &[Listed], evidence: &[&Evidence]) -> Result<RuledOut, BeliefError> {
    let before = rank(listed, &evidence[..evidence.len().saturating_sub(1)])?;
    let after = rank(listed, evidence)?;
    let live = |s: &&Suspect| !s.ruled_out && s.who != Who::NotListed && s.probability.value() > 0.0;
    let gone = |s: &&Suspect| after.of(s.who).is_some_and(|now| now.ruled_out);
    let of = before.suspects.iter().filter(live).count();
    let (faults, share) = before
        .suspects
        .iter()
        .filter(live)
        .filter(gone)
        .fold((0, 0.0), |(count, share), s| (count + 1, share + s.probability.value()));
    Ok(RuledOut { faults, of, share: Probability(share) })
}

/// One piece of evidence in an explanation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Because {
    /// Which evidence, by its place in the list.
    pub evidence: usize,
    /// By how many bits it moved the suspect, taken in the order in which it was seen.
    pub bits: Bits,
}

/// Why a suspect stands where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation {
    /// Whom it explains.
    pub who: Who,
    /// How far each piece of evidence moved it; they sum to log2(now / before any evidence).
    pub moved: Vec<Because>,
    /// Those that suffice: with these alone the same suspect leads, under the same word, with at
    /// least nine tenths of its probability.
    pub cited: Vec<Because>,
}

/// Explains where a suspect stands.
///
/// # Errors
/// As [`rank`].
pub fn explain(listed: &[Listed], evidence: &[&Evidence], who: Who) -> Result<Explanation, BeliefError> {
    let log_of = |given: &[&Evidence]| -> Result<f64, BeliefError> {
        let logs = weigh(listed, given)?;
        let at = if let Who::Listed(at) = who { at } else { listed.len() };
        Ok((logs[at] - log_sum(&logs)) / std::f64::consts::LN_2)
    };
    let mut moved = Vec::new();
    let mut before = log_of(&[])?;
    for seen in 1..=evidence.len() {
        let now = log_of(&evidence[..seen])?;
        moved.push(Because { evidence: seen - 1, bits: Bits(now - before) });
        before = now;
    }
    let cited = sufficient(listed, evidence, &moved)?;
    Ok(Explanation { who, moved, cited })
}

/// Leaves out the weakest evidence as long as the head, its word and most of its probability stay.
fn sufficient(
    listed: &[Listed],
    evidence: &[&Evidence],
    moved: &[Because],
) -> Result<Vec<Because>, BeliefError> {
    let head = |kept: &[Because]| -> Result<Option<Suspect>, BeliefError> {
        let mut in_order: Vec<usize> = kept.iter().map(|because| because.evidence).collect();
        in_order.sort_unstable();
        let given: Vec<&Evidence> = in_order.iter().map(|at| evidence[*at]).collect();
        Ok(rank(listed, &given)?.head().copied())
    };
    let Some(stands) = head(moved)? else { return Ok(Vec::new()) };
    let suffices = |now: Suspect| {
        let least = SUFFICES * stands.probability.value();
        now.who == stands.who && now.likely == stands.likely && now.probability.value() >= least
    };
    let mut kept = moved.to_vec();
    kept.sort_by(|a, b| b.bits.value().abs().total_cmp(&a.bits.value().abs()));
    for at in (0..kept.len()).rev() {
        let left_out = kept.remove(at);
        if !head(&kept)?.is_some_and(suffices) {
            kept.insert(at, left_out);
        }
    }
    Ok(kept)
}
