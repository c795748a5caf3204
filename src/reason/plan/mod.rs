//! Next test and plan: which order of tests parts the suspects in the fewest expected minutes.
//!
//! Exact within a stated amount of work, rollouts beyond; a bound for the same problem beside it.
//! Optimal binary decision trees are NP-complete (Hyafil & Rivest, IPL 5(1):15–17, 1976).

mod bound;
mod exact;
mod gain;
mod groups;
mod inspect;
mod order;
mod problem;
mod rollout;
mod set;

pub use bound::huffman_mean_length;
pub use gain::gain;
pub use inspect::{Place, inspection_minutes, inspection_order};
pub use order::Order;
pub use problem::{Conditions, Problem, ProblemError, Stand, Test};

use crate::units::Minutes;
use exact::Exact;
use groups::Grouped;
use rollout::{Rollout, Rule};

/// How much work the exact search may take before rollouts answer instead, counted in
/// (suspect set, test, condition state) combinations, so that the answer is the same everywhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Effort {
    /// A suggestion beside a walk: 1.5 million combinations.
    Suggestion,
    /// A plan beside the fault check: 10 million combinations.
    Check,
    /// A whole plan: 200 million combinations.
    Plan,
    /// No exact search: the test with the most information a minute, at every set.
    Greedy,
}

impl Effort {
    const fn work(self) -> u64 {
        match self {
            Self::Suggestion => 1_500_000,
            Self::Check => 10_000_000,
            Self::Plan => 200_000_000,
            Self::Greedy => 0,
        }
    }
}

/// An order of tests with its expected minutes, and what no order can beat.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Expected minutes of the order.
    pub expected: Minutes,
    /// No order takes fewer; `None` where no valid bound is known.
    pub lower_bound: Option<Minutes>,
    /// Is this the best order there is, or the best that was found?
    pub exact: bool,
    /// The order.
    pub order: Order,
}

/// The best order of tests within this effort.
///
/// # Errors
/// [`ProblemError::TooMany`] beyond 1024 groups of suspects that tests tell apart;
/// [`ProblemError::OutOfReach`] when no gates lead to the tests that are needed.
pub fn plan(problem: &Problem, effort: Effort) -> Result<Plan, ProblemError> {
    let members = groups::inseparable(problem);
    let groups = members.len();
    match groups {
        0..=64 => search(&Grouped::<1>::new(problem, members), effort),
        65..=128 => search(&Grouped::<2>::new(problem, members), effort),
        129..=256 => search(&Grouped::<4>::new(problem, members), effort),
        257..=Grouped::<16>::MOST => search(&Grouped::<16>::new(problem, members), effort),
        _ => Err(ProblemError::TooMany { groups, most: Grouped::<16>::MOST }),
    }
}

/// What no order can beat where there are more tests than the problem has: at most `letters` outcomes, at least
/// `cheapest` minutes.
pub(super) fn bound_of(problem: &Problem, letters: usize, cheapest: Minutes) -> Option<Minutes> {
    let members = groups::inseparable(problem);
    let fits = members.len() <= Grouped::<16>::MOST;
    fits.then(|| bound::bound_with(&Grouped::<16>::new(problem, members), letters, cheapest.value()))
}

fn search<const W: usize>(grouped: &Grouped<'_, W>, effort: Effort) -> Result<Plan, ProblemError> {
    let start = grouped.problem.conditions().start();
    let all = grouped.all();
    if effort != Effort::Greedy {
        let mut exact = Exact::new(grouped, effort.work());
        if let Some(value) = exact.value(all, start) {
            let order = exact.order(all, start).filter(|_| value.is_finite());
            return order.map(|order| finish(grouped, order, true)).ok_or(ProblemError::OutOfReach);
        }
    }
    let rule = if effort == Effort::Greedy { Rule::Greedy } else { Rule::Rollout };
    let order = Rollout::new(grouped).order(rule, all, start).ok_or(ProblemError::OutOfReach)?;
    Ok(finish(grouped, order, false))
}

fn finish<const W: usize>(grouped: &Grouped<'_, W>, order: Order, exact: bool) -> Plan {
    let expected = order.expected(grouped.problem);
    // Rounding may put the product of two exact figures an ulp above their sum.
    let bound = bound::lower_bound(grouped).value().min(expected.value());
    Plan { expected, lower_bound: Some(Minutes(bound)), exact, order }
}
