//! The best order among those that try only the most promising tests at each set: exact when it tries them all.
//!
//! Depth first over (suspect set, condition state), only those that are reached, each solved once; a test is left out
//! when what it costs with a floor under all that follows is no better than what is known already (branch and bound;
//! Land & Doig, Econometrica 28:497–520, 1960, from memory).

use std::collections::HashMap;
use std::hash::BuildHasherDefault;

use super::bound::Floors;
use super::exact::Mix;
use super::groups::{Grouped, Split};
use super::order::Order;
use super::problem::Stand;
use super::rollout::{moves_by_promise, parts};
use super::set::Set;

type Known<'a, const W: usize> =
    HashMap<(Set<W>, usize), (f64, Option<(&'a Split<W>, Stand)>), BuildHasherDefault<Mix>>;

/// The search with at most so many tests a set.
pub(super) struct Limited<'a, const W: usize> {
    grouped: &'a Grouped<'a, W>,
    /// The most tests tried at a set; `None` for all of them, in every state they can be done in.
    breadth: Option<usize>,
    known: Known<'a, W>,
    floors: Floors<'a, W>,
    work_left: u64,
}

/// A test with the share × minutes until it is done, and with a floor under what follows.
struct Candidate<'a, const W: usize> {
    split: &'a Split<W>,
    stand: Stand,
    own: f64,
    least: f64,
}

impl<'a, const W: usize> Limited<'a, W> {
    /// `work` bounds the tests looked at, by the words of a set.
    pub(super) fn new(grouped: &'a Grouped<'a, W>, breadth: Option<usize>, work: u64) -> Self {
        Self { grouped, breadth, known: HashMap::default(), floors: Floors::over(grouped), work_left: work }
    }

    /// Share × minutes from this set and state; `None` when the work ran out.
    pub(super) fn value(&mut self, set: Set<W>, state: usize) -> Option<f64> {
        if self.grouped.is_leaf(set) {
            return Some(0.0);
        }
        if let Some((value, _)) = self.known.get(&(set, state)) {
            return Some(*value);
        }
        let mut best = (f64::INFINITY, None);
        for candidate in self.candidates(set, state)? {
            if candidate.least >= best.0 {
                break;
            }
            let value = self.tried(set, &candidate, best.0)?;
            if value < best.0 {
                best = (value, Some((candidate.split, candidate.stand)));
            }
        }
        self.known.insert((set, state), best);
        Some(best.0)
    }

    /// What a test comes to; given up, as infinite, once it is no better than the best.
    fn tried(&mut self, set: Set<W>, candidate: &Candidate<'a, W>, best: f64) -> Option<f64> {
        let mut parts: Vec<(f64, Set<W>)> = candidate
            .split
            .branches
            .iter()
            .map(|(_, branch)| set.and(*branch))
            .filter(|part| !part.is_empty())
            .map(|part| (self.floors.under(part), part))
            .collect();
        parts.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut sum = candidate.least;
        for (floor, part) in parts {
            sum += self.value(part, candidate.stand.leaves)? - floor;
            if sum >= best {
                return Some(f64::INFINITY);
            }
        }
        Some(sum)
    }

    /// The tests worth trying, the least first.
    fn candidates(&mut self, set: Set<W>, state: usize) -> Option<Vec<Candidate<'a, W>>> {
        let grouped = self.grouped;
        let moves: Vec<(&'a Split<W>, Stand)> = if let Some(most) = self.breadth {
            moves_by_promise(grouped, set, state, most)
        } else {
            let splits = grouped.splits.iter().filter(|split| parts(set, split));
            splits.flat_map(|split| split.stands.iter().map(move |stand| (split, *stand))).collect()
        };
        let looked_at = (grouped.splits.len() + 8 * moves.len()) * W;
        self.work_left = self.work_left.checked_sub(looked_at as u64)?;
        let weight = grouped.weight(set);
        let mut candidates: Vec<Candidate<'a, W>> = Vec::with_capacity(moves.len());
        for (split, stand) in moves {
            let travel = grouped.travel(state, stand.state);
            if travel.is_finite() {
                let own = weight * (split.minutes + travel);
                candidates.push(Candidate { split, stand, own, least: own + self.floors.after(set, split) });
            }
        }
        candidates.sort_by(|a, b| a.least.total_cmp(&b.least).then(a.own.total_cmp(&b.own)));
        Some(candidates)
    }

    /// The order that has the value; none where no test leads on.
    pub(super) fn order(&mut self, set: Set<W>, state: usize) -> Option<Order> {
        if self.grouped.is_leaf(set) {
            return Some(Order::Stop(self.grouped.suspects(set)));
        }
        self.value(set, state)?;
        let (split, stand) = self.known.get(&(set, state))?.1?;
        split.then(set, stand, |part, state| self.order(part, state))
    }
}
