//! Next test and plan: which order of tests parts the suspects in the fewest expected minutes.
//!
//! Exact within a stated amount of work, rollouts beyond; a bound for the same problem beside it.
//! Optimal binary decision trees are NP-complete (Hyafil & Rivest, IPL 5(1):15–17, 1976).

mod bound;
mod exact;
mod gain;
mod groups;
mod inspect;
mod limited;
mod order;
mod problem;
mod rollout;
mod set;
mod ways;

pub use bound::huffman_mean_length;
pub use gain::gain;
pub use inspect::{Place, inspection_minutes, inspection_order};
pub use order::Order;
pub use problem::{Conditions, Problem, ProblemError, Stand, Test};

use crate::units::Minutes;
use bound::Floors;
use exact::Exact;
use groups::Grouped;
use limited::Limited;
use rollout::{Rollout, Rule};
pub(super) use ways::{Beyond, Lacks};

/// How much work the exact search may take before rollouts answer instead, counted in
/// (suspect set, test, condition state) combinations, so that the answer is the same everywhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Effort {
    /// A suggestion beside a walk: 1.5 million combinations.
    Suggestion,
    /// A plan beside the fault check: 50 million combinations.
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
            Self::Check => 50_000_000,
            Self::Plan => 200_000_000,
            Self::Greedy => 0,
        }
    }
}

/// With more condition states than these only those that are reached are looked at.
const FEW_STATES: usize = 16;
/// Combinations that looking at one test costs where sets and states are looked up by hash.
const WORK_OF_A_TEST: u64 = 10;
/// The most tests tried at a set, in searches one after the other.
const BREADTHS: [usize; 4] = [2, 3, 5, 8];
/// The tests whose gates a floor counts.
const AHEAD: usize = 2;

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

/// What no order can beat, gates counted: of a problem's tests, or of those and all that it lacks. `None` where there are
/// too many suspects to say.
pub(super) fn floor(problem: &Problem, lacks: Option<&Lacks>) -> Option<Minutes> {
    fn least<const W: usize>(grouped: &Grouped<'_, W>, lacks: Option<&Lacks>) -> f64 {
        if let Some(lacks) = lacks {
            let own = bound::bound_with(grouped, lacks.letters, lacks.cheapest.value()).value();
            return ways::least(grouped, Some(lacks), own);
        }
        let (all, start) = (grouped.all(), grouped.problem.conditions().start());
        let mut floors = Floors::over(grouped);
        let mean = |minutes: f64| minutes / grouped.weight(all);
        let ahead = mean(floors.ahead(all, start, AHEAD));
        ways::least(grouped, None, mean(floors.under(all))).max(ahead)
    }
    let members = groups::inseparable(problem);
    let least = match members.len() {
        0..=64 => least(&Grouped::<1>::new(problem, members), lacks),
        65..=128 => least(&Grouped::<2>::new(problem, members), lacks),
        129..=256 => least(&Grouped::<4>::new(problem, members), lacks),
        257..=Grouped::<16>::MOST => least(&Grouped::<16>::new(problem, members), lacks),
        _ => return None,
    };
    least.is_finite().then_some(Minutes(least))
}

fn search<const W: usize>(grouped: &Grouped<'_, W>, effort: Effort) -> Result<Plan, ProblemError> {
    let start = grouped.problem.conditions().start();
    let all = grouped.all();
    if effort != Effort::Greedy && grouped.states <= FEW_STATES {
        let mut exact = Exact::new(grouped, effort.work());
        if let Some(value) = exact.value(all, start) {
            let order = exact.order(all, start).filter(|_| value.is_finite());
            return order.map(|order| finish(grouped, order, true)).ok_or(ProblemError::OutOfReach);
        }
    }
    if let Some(order) = best_of(grouped, effort) {
        return Ok(order);
    }
    let order = Rollout::new(grouped).order(Rule::Greedy, all, start).ok_or(ProblemError::OutOfReach)?;
    Ok(finish(grouped, order, false))
}

/// The best of what searches of different breadth and rollouts find.
fn best_of<const W: usize>(grouped: &Grouped<'_, W>, effort: Effort) -> Option<Plan> {
    let (start, all) = (grouped.problem.conditions().start(), grouped.all());
    let work = effort.work() / WORK_OF_A_TEST;
    let limited = |breadth: Option<usize>| {
        let mut search = Limited::new(grouped, breadth, work);
        let value = search.value(all, start)?;
        search.order(all, start).filter(|_| value.is_finite())
    };
    if effort == Effort::Greedy {
        return None;
    }
    if let Some(order) = limited(None) {
        return Some(finish(grouped, order, true));
    }
    let found = BREADTHS.into_iter().map_while(|breadth| limited(Some(breadth)));
    let plans = found.map(|order| finish(grouped, order, false));
    let best = plans.min_by(|a, b| a.expected.value().total_cmp(&b.expected.value()));
    best.or_else(|| Some(finish(grouped, Rollout::new(grouped).order(Rule::Rollout, all, start)?, false)))
}

fn finish<const W: usize>(grouped: &Grouped<'_, W>, order: Order, exact: bool) -> Plan {
    let expected = order.expected(grouped.problem);
    let bound = ways::least(grouped, None, bound::lower_bound(grouped).value());
    // Rounding may put the product of two exact figures an ulp above their sum.
    let bound = bound.min(expected.value());
    Plan { expected, lower_bound: Some(Minutes(bound)), exact, order }
}
