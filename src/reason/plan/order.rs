//! An order of tests as data, and what it costs: counted from the order itself, so that a plan's
//! minutes can be held against the order it prints.

use super::problem::{Problem, Stand};
use crate::units::Minutes;

/// What to do next, for every outcome.
#[derive(Debug, Clone, PartialEq)]
pub enum Order {
    /// Nothing more to tell apart: one find names these suspects, or no test separates them.
    Stop(Vec<usize>),
    /// Do this test, and go on by its outcome.
    Test {
        /// The test, as the problem numbers it.
        test: usize,
        /// The condition state it is done in, and what it leaves.
        stand: Stand,
        /// Each outcome that a suspect can give, and what follows.
        branches: Vec<(usize, Order)>,
    },
}

impl Order {
    /// Expected minutes of this order: each suspect's minutes, gates included, weighed by share.
    #[must_use]
    pub fn expected(&self, problem: &Problem) -> Minutes {
        let total: f64 = problem.shares().iter().sum();
        Minutes(self.share_minutes(problem, problem.conditions().start(), 0.0) / total)
    }

    fn share_minutes(&self, problem: &Problem, state: usize, so_far: f64) -> f64 {
        match self {
            Self::Stop(suspects) => {
                suspects.iter().map(|suspect| problem.shares()[*suspect]).sum::<f64>() * so_far
            }
            Self::Test { test, stand, branches } => {
                let gates = problem.conditions().travel(state, stand.state);
                let after = so_far + gates + problem.tests()[*test].minutes.value();
                branches.iter().map(|(_, next)| next.share_minutes(problem, stand.leaves, after)).sum()
            }
        }
    }

    /// All suspects that it orders.
    #[must_use]
    pub fn suspects(&self) -> Vec<usize> {
        match self {
            Self::Stop(suspects) => suspects.clone(),
            Self::Test { branches, .. } => branches.iter().flat_map(|(_, next)| next.suspects()).collect(),
        }
    }

    /// The most tests that any suspect needs.
    #[must_use]
    pub fn depth(&self) -> usize {
        match self {
            Self::Stop(_) => 0,
            Self::Test { branches, .. } => {
                1 + branches.iter().map(|(_, next)| next.depth()).max().unwrap_or(0)
            }
        }
    }
}
