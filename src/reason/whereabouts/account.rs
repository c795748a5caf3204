//! How suspicion moved, step by step: for who reads the job afterwards.

use super::{Observed, Suspicion};
use crate::reason::chance::Probability;
use crate::reason::evidence::Evidence;
use crate::reason::ranking::{RuledOut, Who, explain, rank, ruled_out};

/// What one thing seen did.
#[derive(Debug, Clone, PartialEq)]
pub struct Moved {
    /// The step at which it was seen.
    pub step: String,
    /// What was seen.
    pub outcome: String,
    /// What it ruled out.
    pub ruled_out: RuledOut,
    /// The likeliest afterwards; none for something that is not in this tree.
    pub leader: Option<String>,
    /// How probable the leader was then.
    pub probability: Probability,
    /// Is it among what suffices for the last of these leaders to lead?
    pub suffices: bool,
}

impl Suspicion<'_, '_> {
    /// How suspicion moved in a round, in the order in which things were seen.
    #[must_use]
    pub fn account(&self, observed: &Observed) -> Vec<Moved> {
        let evidence = self.evidence(observed);
        let given: Vec<&Evidence> = evidence.iter().collect();
        let listed = self.lineup().listed();
        let head = rank(listed, &given).ok().and_then(|ranking| ranking.head().map(|head| head.who));
        let cited: Vec<usize> = head
            .and_then(|who| explain(listed, &given, who).ok())
            .map_or_else(Vec::new, |why| why.cited.iter().map(|because| because.evidence).collect());
        let moved = |(at, seen): (usize, &Evidence)| {
            let ranking = rank(listed, &given[..=at]).ok()?;
            let head = ranking.head()?;
            Some(Moved {
                step: seen.step.clone(),
                outcome: seen.outcome.clone(),
                ruled_out: ruled_out(listed, &given[..=at]).ok()?,
                leader: match head.who {
                    Who::Listed(at) => Some(listed[at].fault.clone()),
                    Who::NotListed => None,
                },
                probability: head.probability,
                suffices: cited.contains(&at),
            })
        };
        evidence.iter().enumerate().filter_map(moved).collect()
    }
}

impl Observed {
    /// How suspicion moved in this round.
    #[must_use]
    pub fn account(&self) -> Vec<Moved> {
        let day = self.day();
        Suspicion::new(&self.course, day.as_ref(), self.meter).account(self)
    }
}
