//! How long each condition was in force, by the clock, waits left out.

use crate::diag::Text;
use crate::safety::{Facet, FacetKind, stands_in_words};
use crate::units::Minutes;
use crate::walk::Walk;

/// A condition and one of its values, and how long it surely had it.
#[derive(Debug, Clone, PartialEq)]
pub struct InForce {
    /// The condition.
    pub condition: String,
    /// The value.
    pub value: String,
    /// The two in words, as they stand in the line of what is in force.
    pub words: Text,
    /// How long.
    pub minutes: Minutes,
}

/// Sums that grow as a walk goes on.
#[derive(Debug, Default)]
pub(super) struct Sums(Vec<InForce>);

impl Sums {
    /// So many minutes passed with the machine as this walk knows it.
    pub(super) fn pass(&mut self, walk: &Walk, minutes: f64) {
        if minutes <= 0.0 {
            return;
        }
        let vocabulary = walk.course().vocabulary();
        let is_told =
            |facet: &Facet| matches!(vocabulary.kind(*facet), FacetKind::Condition | FacetKind::Own);
        for facet in vocabulary.facets().filter(is_told) {
            let values = walk.machine().values(facet, vocabulary);
            if !values.is_one() {
                continue;
            }
            let (condition, value) = (vocabulary.name(facet), vocabulary.value_names(facet, values).concat());
            let known = self.0.iter_mut().find(|sum| sum.condition == condition && sum.value == value);
            if let Some(sum) = known {
                sum.minutes = Minutes(sum.minutes.value() + minutes);
            } else {
                let condition = condition.to_owned();
                let words = stands_in_words(facet, values, vocabulary);
                self.0.push(InForce { condition, value, words, minutes: Minutes(minutes) });
            }
        }
    }

    /// The sums, in the order in which the values were first in force.
    pub(super) fn done(self) -> Vec<InForce> {
        self.0
    }
}
