//! Orders for problems too large to solve: information gained per minute, and rollouts of it.
//!
//! The greedy rule takes the test with the most bits a minute, a set-up's minutes shared by the
//! tests it opens. A rollout tries each test once, follows the greedy rule from there, and takes the
//! best: never worse than greedy (Bertsekas, Tsitsiklis & Wu, J. Heuristics 3:245–262, 1997, from
//! memory), and both never better than the exact order.

use std::collections::HashMap;

use super::groups::{Grouped, Split};
use super::order::Order;
use super::problem::Stand;
use super::set::Set;

/// Scores within this of each other are equal, and the first test stands.
const TIE: f64 = 1e-12;
/// A test without minutes is taken as this short, so that more bits still win.
const LEAST_MINUTES: f64 = 1e-9;

/// Which rule chooses the next test.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rule {
    /// The most bits a minute.
    Greedy,
    /// The test that is best if the greedy rule follows it.
    Rollout,
}

/// Choices and the greedy rule's values, kept by set and state.
pub(super) struct Rollout<'a, const W: usize> {
    grouped: &'a Grouped<'a, W>,
    values: HashMap<(Set<W>, usize), f64>,
}

impl<'a, const W: usize> Rollout<'a, W> {
    pub(super) fn new(grouped: &'a Grouped<'a, W>) -> Self {
        Self { grouped, values: HashMap::new() }
    }

    /// The order this rule gives; `None` when the tests needed are out of reach.
    pub(super) fn order(&mut self, rule: Rule, set: Set<W>, state: usize) -> Option<Order> {
        if self.grouped.is_leaf(set) {
            return Some(Order::Stop(self.grouped.suspects(set)));
        }
        let (split, stand) = match rule {
            Rule::Greedy => self.greedy_choice(set, state)?,
            Rule::Rollout => self.rollout_choice(set, state)?,
        };
        split.then(set, stand, |part, state| self.order(rule, part, state))
    }

    fn rollout_choice(&mut self, set: Set<W>, state: usize) -> Option<(&'a Split<W>, Stand)> {
        let weight = self.grouped.weight(set);
        let mut best = None;
        let mut least = f64::INFINITY;
        for (split, stand) in moves(self.grouped, set, state) {
            let minutes = split.minutes + self.grouped.travel(state, stand.state);
            let value = weight * minutes + self.rest(set, split, stand);
            if value < least {
                (best, least) = (Some((split, stand)), value);
            }
        }
        best
    }

    /// Share × minutes of the greedy rule after a test.
    fn rest(&mut self, set: Set<W>, split: &Split<W>, stand: Stand) -> f64 {
        split
            .branches
            .iter()
            .map(|(_, branch)| set.and(*branch))
            .filter(|part| !part.is_empty())
            .map(|part| self.greedy_value(part, stand.leaves))
            .sum()
    }

    fn greedy_value(&mut self, set: Set<W>, state: usize) -> f64 {
        if self.grouped.is_leaf(set) {
            return 0.0;
        }
        if let Some(value) = self.values.get(&(set, state)) {
            return *value;
        }
        let value = self.greedy_choice(set, state).map_or(f64::INFINITY, |(split, stand)| {
            let minutes = split.minutes + self.grouped.travel(state, stand.state);
            self.grouped.weight(set) * minutes + self.rest(set, split, stand)
        });
        self.values.insert((set, state), value);
        value
    }

    /// The most bits a minute; where no test gains a bit about the finds, about the groups.
    fn greedy_choice(&self, set: Set<W>, state: usize) -> Option<(&'a Split<W>, Stand)> {
        self.most_bits(set, state, &self.grouped.classes)
            .or_else(|| self.most_bits(set, state, &[]))
            .or_else(|| self.cheapest(set, state))
    }

    fn most_bits(&self, set: Set<W>, state: usize, classes: &[Set<W>]) -> Option<(&'a Split<W>, Stand)> {
        let opened = opened(self.grouped, set);
        let mut best = None;
        let mut most = TIE;
        for (split, stand) in moves(self.grouped, set, state) {
            let gates = self.grouped.travel(state, stand.state) / f64::from(opened[stand.state].max(1));
            let minutes = (split.minutes + gates).max(LEAST_MINUTES);
            let bits = gain(self.grouped, set, split, classes);
            let score = bits / minutes;
            if bits > TIE && score > most * (1.0 + TIE) {
                (best, most) = (Some((split, stand)), score);
            }
        }
        best
    }

    fn cheapest(&self, set: Set<W>, state: usize) -> Option<(&'a Split<W>, Stand)> {
        let minutes =
            |(split, stand): &(&Split<W>, Stand)| split.minutes + self.grouped.travel(state, stand.state);
        moves(self.grouped, set, state).min_by(|a, b| minutes(a).total_cmp(&minutes(b)))
    }
}

/// Does a test part a set?
pub(super) fn parts<const W: usize>(set: Set<W>, split: &Split<W>) -> bool {
    !split.branches.iter().any(|(_, branch)| set.within(*branch))
}

/// Every test that parts the set, in the state that is nearest for it.
fn moves<'a, const W: usize>(
    grouped: &'a Grouped<'a, W>,
    set: Set<W>,
    state: usize,
) -> impl Iterator<Item = (&'a Split<W>, Stand)> {
    grouped.splits.iter().filter(move |split| parts(set, split)).filter_map(move |split| {
        let minutes = |stand: &&Stand| grouped.travel(state, stand.state);
        let nearest = split.stands.iter().min_by(|a, b| minutes(a).total_cmp(&minutes(b)))?;
        minutes(&nearest).is_finite().then_some((split, *nearest))
    })
}

/// The tests with the most bits a minute, gates shared as the greedy rule shares them.
pub(super) fn moves_by_promise<'a, const W: usize>(
    grouped: &'a Grouped<'a, W>,
    set: Set<W>,
    state: usize,
    most: usize,
) -> Vec<(&'a Split<W>, Stand)> {
    let opened = opened(grouped, set);
    let promise = |(split, stand): (&'a Split<W>, Stand)| {
        let travel = grouped.travel(state, stand.state);
        let shared = travel / f64::from(opened[stand.state].max(1));
        let bits = |classes: &[Set<W>]| gain(grouped, set, split, classes).max(0.0);
        // What tells groups apart tells something too, where nothing is gained about the finds.
        let bits = bits(&grouped.classes) + 0.01 * bits(&[]);
        let score = bits / (split.minutes + shared).max(LEAST_MINUTES);
        (score.max(bits / (split.minutes + travel).max(LEAST_MINUTES)), split, stand)
    };
    let mut ranked: Vec<_> = moves(grouped, set, state).map(promise).collect();
    ranked.sort_by(|a, b| b.0.total_cmp(&a.0));
    ranked.truncate(most);
    ranked.into_iter().map(|(_, split, stand)| (split, stand)).collect()
}

/// How many tests that part a set can be done in each state.
fn opened<const W: usize>(grouped: &Grouped<'_, W>, set: Set<W>) -> Vec<u32> {
    let mut opened = vec![0; grouped.states];
    for split in grouped.splits.iter().filter(|split| parts(set, split)) {
        split.stands.iter().for_each(|stand| opened[stand.state] += 1);
    }
    opened
}

/// Bits a test gives about which class the fault is in; without classes, about which group.
fn gain<const W: usize>(grouped: &Grouped<'_, W>, set: Set<W>, split: &Split<W>, classes: &[Set<W>]) -> f64 {
    let total = grouped.weight(set);
    let term = |part: Set<W>| {
        let chance = grouped.weight(part) / total;
        if chance > 0.0 { -chance * chance.log2() } else { 0.0 }
    };
    let spread: f64 = split.branches.iter().map(|(_, branch)| term(set.and(*branch))).sum();
    if classes.is_empty() || classes.len() == grouped.members.len() {
        return spread;
    }
    let live = || classes.iter().map(|class| set.and(*class)).filter(|part| !part.is_empty());
    let before: f64 = live().map(term).sum();
    let joint: f64 = live()
        .flat_map(|part| split.branches.iter().map(move |(_, branch)| part.and(*branch)))
        .map(term)
        .sum();
    before + spread - joint
}
