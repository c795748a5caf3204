//! How much one test tells about which find is the right one, in bits.
//!
//! I(find; outcome) = H(find) + H(outcome) − H(find, outcome), by share (Shannon 1948).

use std::collections::HashMap;
use std::hash::Hash;

use super::problem::Problem;
use crate::reason::Bits;

/// The bits that a test gives before anything is known; 0 for a test that does not exist.
#[must_use]
pub fn gain(problem: &Problem, test: usize) -> Bits {
    let Some(test) = problem.tests().get(test) else { return Bits(0.0) };
    let cases = || problem.shares().iter().zip(problem.finds()).zip(&test.outcomes);
    let finds = entropy(cases().map(|((share, find), _)| (find, *share)));
    let outcomes = entropy(cases().map(|((share, _), outcome)| (outcome, *share)));
    let both = entropy(cases().map(|((share, find), outcome)| ((find, outcome), *share)));
    Bits((finds + outcomes - both).max(0.0))
}

fn entropy<K: Eq + Hash>(weighed: impl Iterator<Item = (K, f64)>) -> f64 {
    let mut sums: HashMap<K, f64> = HashMap::new();
    for (key, share) in weighed {
        *sums.entry(key).or_insert(0.0) += share;
    }
    let total: f64 = sums.values().sum();
    let terms = sums.values().filter(|sum| **sum > 0.0).map(|sum| sum / total);
    terms.map(|chance| -chance * chance.log2()).sum()
}
