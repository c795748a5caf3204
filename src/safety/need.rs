//! What must surely be in force for something to be done, and what is missing when it is not.
//!
//! A need is a conjunction over single facets; where a rule says "or" it has alternatives, and one of
//! them must hold on all paths by itself: then the joined values of each facet decide exactly.

use super::conditions::{Facet, Fact, NamedKind, Values};
use super::rules::SafetyRule;
use super::state::State;
use super::vocabulary::Vocabulary;

/// The smallest thing that can be asked of a state.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Atom {
    /// The facet surely has one of these values.
    Within(Facet, Values),
    /// Of all things of this kind surely none is so: nothing apart, tied, bridged, fitted.
    None(NamedKind),
}

impl Atom {
    /// True if it surely holds.
    #[must_use]
    pub fn holds(self, state: &State, vocabulary: &Vocabulary) -> bool {
        match self {
            Self::Within(facet, allowed) => state.is_within(facet, allowed, vocabulary),
            Self::None(kind) => !state.has_any(vocabulary.open_masks(kind)),
        }
    }

    /// The facets for which it does not surely hold, each with the values that are allowed.
    #[must_use]
    pub fn missing(self, state: &State, vocabulary: &Vocabulary) -> Vec<(Facet, Values)> {
        let fails = |(facet, allowed): &(Facet, Values)| !state.is_within(*facet, *allowed, vocabulary);
        match self {
            Self::Within(facet, allowed) => vec![(facet, allowed)].into_iter().filter(fails).collect(),
            Self::None(kind) => {
                let none = vocabulary.named(kind).into_iter().map(|(_, facet)| (facet, Fact::No.only()));
                none.filter(fails).collect()
            }
        }
    }
}

/// Alternatives, each a conjunction; without any it can never be met.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Need {
    alternatives: Vec<Vec<Atom>>,
}

impl Need {
    /// A need that nothing can meet.
    #[must_use]
    pub const fn never() -> Self {
        Self { alternatives: Vec::new() }
    }

    /// A need for one thing.
    #[must_use]
    pub fn one(atom: Atom) -> Self {
        Self { alternatives: vec![vec![atom]] }
    }

    /// A need that any one of these conjunctions meets.
    #[must_use]
    pub fn any_of(alternatives: Vec<Vec<Atom>>) -> Self {
        Self { alternatives }
    }

    /// The alternatives, each a conjunction.
    #[must_use]
    pub fn alternatives(&self) -> &[Vec<Atom>] {
        &self.alternatives
    }

    /// True if one alternative surely holds.
    #[must_use]
    pub fn holds(&self, state: &State, vocabulary: &Vocabulary) -> bool {
        self.alternatives.iter().any(|all| all.iter().all(|atom| atom.holds(state, vocabulary)))
    }
}

/// A need with the rule that makes it.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Demand {
    /// The rule that no author can switch off.
    pub rule: SafetyRule,
    /// What it needs.
    pub need: Need,
}

/// A facet that stands in the way of a demand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Missing {
    /// The facet.
    pub facet: Facet,
    /// The values it must have.
    pub allowed: Values,
    /// The values it can have.
    pub can_be: Values,
}

impl Demand {
    /// A demand for one thing.
    #[must_use]
    pub fn one(rule: SafetyRule, atom: Atom) -> Self {
        Self { rule, need: Need::one(atom) }
    }

    /// A demand that nothing can meet: what the rule forbids outright.
    #[must_use]
    pub const fn never(rule: SafetyRule) -> Self {
        Self { rule, need: Need::never() }
    }

    /// True if it is surely met.
    #[must_use]
    pub fn holds(&self, state: &State, vocabulary: &Vocabulary) -> bool {
        self.need.holds(state, vocabulary)
    }

    /// What is missing, by alternative; empty if the demand is met or can never be.
    #[must_use]
    pub fn missing(&self, state: &State, vocabulary: &Vocabulary) -> Vec<Vec<Missing>> {
        if self.holds(state, vocabulary) {
            return Vec::new();
        }
        let missing = |(facet, allowed)| Missing { facet, allowed, can_be: state.values(facet, vocabulary) };
        let of = |all: &Vec<Atom>| {
            all.iter().flat_map(|atom| atom.missing(state, vocabulary)).map(missing).collect()
        };
        self.need.alternatives.iter().map(of).collect()
    }
}
