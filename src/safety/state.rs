//! What is known of the machine at one moment: for each facet the values it can have.
//!
//! The check joins states over paths, the walk keeps one: the same type, the same changes. All facets
//! are packed side by side into words, a bit a value, so that joining two states is `or`.

use super::conditions::{Facet, FacetKind, Fact, NamedKind, Values};
use super::vocabulary::Vocabulary;

/// For each facet of a [`Vocabulary`] the values it can have.
///
/// A state belongs to the vocabulary it was made with, complete with all names; of a facet it does
/// not hold nothing is ever surely in force.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct State {
    words: Box<[u64]>,
}

/// What becomes of one facet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Change {
    /// It has one of these values, whatever it had before.
    Set(Facet, Values),
    /// It is not known any more.
    Unknown(Facet),
    /// Of all things of this kind none is so any more.
    NoneOf(NamedKind),
}

impl Change {
    /// The facet it is about, if it is one.
    #[must_use]
    pub const fn facet(self) -> Option<Facet> {
        match self {
            Self::Set(facet, _) | Self::Unknown(facet) => Some(facet),
            Self::NoneOf(_) => None,
        }
    }

    /// The values the facet has afterwards, if this change is about it.
    #[must_use]
    pub fn outcome(self, facet: Facet, vocabulary: &Vocabulary) -> Option<Values> {
        match self {
            Self::Set(about, values) if about == facet => Some(values),
            Self::Unknown(about) if about == facet => Some(vocabulary.all(facet)),
            Self::NoneOf(kind) if vocabulary.kind(facet) == FacetKind::Named(kind) => Some(Fact::No.only()),
            _ => None,
        }
    }
}

impl State {
    /// What is known when a job begins: hardly anything.
    #[must_use]
    pub fn at_start(vocabulary: &Vocabulary) -> Self {
        let mut state = Self { words: vec![0; vocabulary.word_count()].into() };
        for facet in vocabulary.facets() {
            state.set(facet, vocabulary.at_start(facet), vocabulary);
        }
        state
    }

    /// The values that the facet can have; the empty set if this state does not hold it.
    #[must_use]
    pub fn values(&self, facet: Facet, vocabulary: &Vocabulary) -> Values {
        let Some(slot) = vocabulary.slot(facet) else { return Values(0) };
        let word = self.words.get(slot.word).copied().unwrap_or(0);
        Values(u32::try_from(word >> slot.shift & slot.mask()).unwrap_or(0))
    }

    /// True if the facet surely has one of the allowed values.
    #[must_use]
    pub fn is_within(&self, facet: Facet, allowed: Values, vocabulary: &Vocabulary) -> bool {
        self.values(facet, vocabulary).is_within(allowed)
    }

    /// Takes in what can be on another path too; true if that is anything new.
    pub fn join(&mut self, other: &Self) -> bool {
        let mut grew = false;
        for (mine, theirs) in self.words.iter_mut().zip(&other.words) {
            grew |= *theirs & !*mine != 0;
            *mine |= theirs;
        }
        grew
    }

    /// Makes one change.
    pub fn apply(&mut self, change: Change, vocabulary: &Vocabulary) {
        match change {
            Change::Set(facet, values) => self.set(facet, values, vocabulary),
            Change::Unknown(facet) => self.set(facet, vocabulary.all(facet), vocabulary),
            Change::NoneOf(kind) => self.clear(vocabulary.open_masks(kind)),
        }
    }

    /// Makes the changes in their order.
    pub fn apply_all(&mut self, changes: &[Change], vocabulary: &Vocabulary) {
        for change in changes {
            self.apply(*change, vocabulary);
        }
    }

    /// Forgets what can have changed while nobody looked: the program was left, the laptop slept, the
    /// mechanic was away for 30 minutes or a job is resumed.
    ///
    /// Every condition, built in or own, becomes not known, and so do `left` and `hot`. What a step
    /// left apart or tied may have been undone by somebody; that nothing was left so stays known.
    /// Bridges and fitted leads stay as recorded: both must be taken off by a step.
    pub fn lapse(&mut self, vocabulary: &Vocabulary) {
        for facet in vocabulary.facets() {
            let forgets = match vocabulary.kind(facet) {
                FacetKind::Condition | FacetKind::Own => true,
                FacetKind::Tracked => facet == Facet::LEFT || facet == Facet::HOT,
                FacetKind::Named(NamedKind::Apart | NamedKind::Tied) => {
                    !self.is_within(facet, Fact::No.only(), vocabulary)
                }
                FacetKind::Named(NamedKind::Bridged | NamedKind::Fitted | NamedKind::Shown) => false,
            };
            if forgets {
                self.apply(Change::Unknown(facet), vocabulary);
            }
        }
    }

    /// True if any facet under these masks can be other than "no".
    pub(super) fn has_any(&self, masks: &[(usize, u64)]) -> bool {
        masks.iter().any(|(word, mask)| self.words.get(*word).is_none_or(|held| held & mask != 0))
    }

    /// Of every fact under these masks ("yes" bits, each with its "no" bit just below) takes "no".
    fn clear(&mut self, masks: &[(usize, u64)]) {
        for (at, yes) in masks {
            if let Some(word) = self.words.get_mut(*at) {
                *word = *word & !yes | yes >> 1;
            }
        }
    }

    fn set(&mut self, facet: Facet, values: Values, vocabulary: &Vocabulary) {
        let Some(slot) = vocabulary.slot(facet) else { return };
        if let Some(word) = self.words.get_mut(slot.word) {
            let mask = slot.mask();
            *word = *word & !(mask << slot.shift) | (u64::from(values.0) & mask) << slot.shift;
        }
    }
}
