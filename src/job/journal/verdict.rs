//! The verdict on a journal: is it whole and unaltered, and is it the same to its last event.
//!
//! A cut at the end of a line leaves a journal that chains. It is seen only against the number of
//! events and the head that a report has printed; so is a journal that was chained again.

use super::line::{CHAIN_START, ChainHash, Head};
use super::recover::{Damage, Torn};

/// What verifying a journal says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verdict {
    /// Every line that does not chain.
    pub damage: Vec<Damage>,
    /// What was being written when the power went.
    pub torn: Option<Torn>,
    /// How many lines after the first damage chain among themselves.
    pub stranded: u64,
    hashes: Vec<ChainHash>,
}

/// How a journal stands to the head that a report has printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Comparison {
    /// The same to its last event.
    Same,
    /// It holds what the report was made from, and more events after it.
    GoesOn {
        /// How many more.
        more: u64,
    },
    /// Events are missing at its end.
    Cut {
        /// How many.
        missing: u64,
    },
    /// It is not the journal that the report was made from.
    Differs,
    /// The printed head is nowhere in it: cut at its end, or altered and chained again. The number of
    /// events would tell which.
    Absent,
}

impl Verdict {
    pub(super) fn new(
        hashes: Vec<ChainHash>,
        damage: Vec<Damage>,
        torn: Option<Torn>,
        stranded: u64,
    ) -> Self {
        Self { damage, torn, stranded, hashes }
    }

    /// Whether every byte belongs to an event that chains.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        self.damage.is_empty() && self.torn.is_none() && !self.hashes.is_empty()
    }

    /// The number of readable events, and the hash of the last.
    #[must_use]
    pub fn head(&self) -> Head {
        let events = self.hashes.len() as u64;
        self.hashes.last().map_or(CHAIN_START, |hash| Head { events, hash: *hash })
    }

    /// Compares with what a report has printed: the head, and the number of events if it is known.
    #[must_use]
    pub fn compare(&self, printed: ChainHash, events: Option<u64>) -> Comparison {
        let here = self.hashes.len() as u64;
        let place = self.hashes.iter().position(|hash| *hash == printed).map(|at| at as u64 + 1);
        match (place, events) {
            (Some(at), Some(said)) if at != said => Comparison::Differs,
            (Some(at), _) if at == here => Comparison::Same,
            (Some(at), _) => Comparison::GoesOn { more: here - at },
            (None, Some(said)) if said > here => Comparison::Cut { missing: said - here },
            (None, Some(_)) => Comparison::Differs,
            (None, None) => Comparison::Absent,
        }
    }
}
