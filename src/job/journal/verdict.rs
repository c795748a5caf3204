//! The verdict on a journal: is it whole and unaltered, and is it the same to its last event.
//!
//! A cut at the end of a line leaves a journal that chains. It is seen only against the number of
//! events and the head that a report has printed; so is a journal that was chained again.

use std::fmt;
use std::str::FromStr;

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

/// A head as a report prints it and a person gives it back: `37:9f3a…` or only the digits, of which
/// sixteen are enough to be typed from paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PrintedHead {
    events: Option<u64>,
    digits: String,
}

/// A text is no printed head.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "{given:?} is no head: give it as the report prints it, such as 37:9f3a…, with at least {FEWEST_DIGITS} \
     of its 64 digits 0-9 a-f"
)]
pub struct NotAHead {
    given: String,
}

const FEWEST_DIGITS: usize = 16;

impl FromStr for PrintedHead {
    type Err = NotAHead;

    fn from_str(text: &str) -> Result<Self, NotAHead> {
        let wrong = || NotAHead { given: text.chars().take(80).collect() };
        let (events, digits) = match text.split_once(':') {
            Some((events, digits)) => (Some(events.parse().map_err(|_| wrong())?), digits),
            None => (None, text),
        };
        let digits = digits.to_ascii_lowercase();
        let is_hex = digits.bytes().all(|byte| byte.is_ascii_hexdigit());
        if !is_hex || !(FEWEST_DIGITS..=64).contains(&digits.len()) {
            return Err(wrong());
        }
        Ok(Self { events, digits })
    }
}

impl PrintedHead {
    fn is(&self, hash: ChainHash) -> bool {
        hash.to_string().starts_with(&self.digits)
    }
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

    /// Compares with the head that a report has printed.
    #[must_use]
    pub fn compare(&self, printed: &PrintedHead) -> Comparison {
        let here = self.hashes.len() as u64;
        let place = self.hashes.iter().position(|hash| printed.is(*hash)).map(|at| at as u64 + 1);
        match (place, printed.events) {
            (Some(at), Some(said)) if at != said => Comparison::Differs,
            (Some(at), _) if at == here => Comparison::Same,
            (Some(at), _) => Comparison::GoesOn { more: here - at },
            (None, Some(said)) if said > here => Comparison::Cut { missing: said - here },
            (None, Some(_)) => Comparison::Differs,
            (None, None) => Comparison::Absent,
        }
    }
}

impl fmt::Display for Comparison {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Same => out.write_str("the same to its last event"),
            Self::GoesOn { more } => {
                write!(out, "not the same: it holds that head, and {more} more after it")
            }
            Self::Cut { missing } => write!(out, "cut: {missing} of its events are missing at the end"),
            Self::Differs => out.write_str("not the same: altered, and chained again"),
            Self::Absent => out.write_str(
                "not the same: that head is nowhere in it; it was cut at its end, or altered and chained again",
            ),
        }
    }
}
