//! A problem made ready for the search: suspects that no test separates are one group, tests that
//! separate nothing are gone, sets are bits.
//!
//! Two suspects with the same outcome in every test that can be reached can never be parted, so
//! they share every leaf; two different groups are parted by at least one test.

use std::collections::{BTreeMap, HashMap};

use super::order::Order;
use super::problem::{Problem, Stand, Test};
use super::set::Set;

/// A test over groups: only outcomes that some group gives, at least two of them.
#[derive(Debug)]
pub(super) struct Split<const W: usize> {
    /// Its place in the problem.
    pub(super) test: usize,
    pub(super) minutes: f64,
    /// The outcome as the problem numbers it, and the groups that give it.
    pub(super) branches: Vec<(usize, Set<W>)>,
    pub(super) stands: Vec<Stand>,
}

impl<const W: usize> Split<W> {
    /// The order that begins with this test in a set, `on` giving what follows for the part that each outcome leaves.
    pub(super) fn then(
        &self,
        set: Set<W>,
        stand: Stand,
        mut on: impl FnMut(Set<W>, usize) -> Option<Order>,
    ) -> Option<Order> {
        let left = self.branches.iter().map(|(outcome, branch)| (*outcome, set.and(*branch)));
        let left = left.filter(|(_, part)| !part.is_empty());
        let branches = left.map(|(outcome, part)| Some((outcome, on(part, stand.leaves)?)));
        Some(Order::Test { test: self.test, stand, branches: branches.collect::<Option<_>>()? })
    }
}

/// The problem over groups.
#[derive(Debug)]
pub(super) struct Grouped<'a, const W: usize> {
    pub(super) problem: &'a Problem,
    pub(super) members: Vec<Vec<usize>>,
    pub(super) splits: Vec<Split<W>>,
    /// For each group the finds that name all its members, as sets of groups.
    finds: Vec<Vec<Set<W>>>,
    /// Groups that may stand in one leaf for the sake of their finds, as disjoint sets.
    pub(super) classes: Vec<Set<W>>,
    weights: Vec<[f64; 256]>,
    pub(super) states: usize,
}

/// The suspects by groups that no reachable test separates, in order of their first member.
pub(super) fn inseparable(problem: &Problem) -> Vec<Vec<usize>> {
    let useful = useful_tests(problem);
    let mut groups: Vec<Vec<usize>> = Vec::new();
    let mut known: HashMap<Vec<usize>, usize> = HashMap::new();
    for suspect in 0..problem.shares().len() {
        let row: Vec<usize> = useful.iter().map(|(_, test)| test.outcomes[suspect]).collect();
        let group = *known.entry(row).or_insert(groups.len());
        if group == groups.len() {
            groups.push(Vec::new());
        }
        groups[group].push(suspect);
    }
    groups
}

/// Tests with two outcomes or more whose conditions can be reached from the start.
pub(super) fn useful_tests(problem: &Problem) -> Vec<(usize, &Test)> {
    let conditions = problem.conditions();
    let reached = |stand: &Stand| conditions.travel(conditions.start(), stand.state).is_finite();
    let useful = |test: &Test| {
        let parts = test.outcomes.iter().any(|o| *o != test.outcomes[0]);
        parts && (test.stands.is_empty() || test.stands.iter().any(reached))
    };
    problem.tests().iter().enumerate().filter(|(_, test)| useful(test)).collect()
}

impl<'a, const W: usize> Grouped<'a, W> {
    /// The most groups that fit.
    pub(super) const MOST: usize = 64 * W;

    pub(super) fn new(problem: &'a Problem, members: Vec<Vec<usize>>) -> Self {
        let splits =
            useful_tests(problem).into_iter().map(|(at, test)| split(problem, at, test, &members)).collect();
        let finds = finds_by_group(problem, &members);
        let classes = classes(&finds);
        let share = |group: &Vec<usize>| group.iter().map(|s| problem.shares()[*s]).sum();
        let shares: Vec<f64> = members.iter().map(share).collect();
        let weights = weight_tables(&shares);
        let states = problem.conditions().states();
        Self { problem, members, splits, finds, classes, weights, states }
    }

    pub(super) fn all(&self) -> Set<W> {
        Set::first(self.members.len())
    }

    /// The share of a set: one table look-up per eight groups.
    pub(super) fn weight(&self, set: Set<W>) -> f64 {
        // Most sets are small: words without a bit are passed over.
        let words = self.weights.chunks(8).zip(set.words()).filter(|(_, word)| *word != 0);
        words
            .flat_map(|(tables, word)| tables.iter().zip(word.to_le_bytes()))
            .map(|(t, b)| t[usize::from(b)])
            .sum()
    }

    /// Is the search over, because one find names all that are left, or nothing parts them?
    pub(super) fn is_leaf(&self, set: Set<W>) -> bool {
        set.is_single()
            || set.lowest().is_none_or(|group| self.finds[group].iter().any(|find| set.within(*find)))
    }

    /// Those that may end in one leaf with a group: some find names both.
    pub(super) fn ends_with(&self, group: usize) -> Set<W> {
        let mut itself = Set::EMPTY;
        itself.insert(group);
        self.finds[group].iter().fold(itself, |all, find| all.or(*find))
    }

    /// By group, those that some of its members may end in one leaf with, should tests beyond the problem's part what it
    /// holds together: some find names a member of either.
    pub(super) fn loosest_ends(&self) -> Vec<Set<W>> {
        let mut named: BTreeMap<usize, Set<W>> = BTreeMap::new();
        let finds = |group: usize| self.members[group].iter().flat_map(|s| &self.problem.finds()[*s]);
        for group in 0..self.members.len() {
            finds(group).for_each(|find| named.entry(*find).or_insert(Set::EMPTY).insert(group));
        }
        let ends = |group: usize| {
            let mut itself = Set::EMPTY;
            itself.insert(group);
            finds(group).fold(itself, |all, find| all.or(named[find]))
        };
        (0..self.members.len()).map(ends).collect()
    }

    /// The suspects in a set, in the problem's order.
    pub(super) fn suspects(&self, set: Set<W>) -> Vec<usize> {
        let mut suspects: Vec<usize> =
            set.groups().flat_map(|group| self.members[group].iter().copied()).collect();
        suspects.sort_unstable();
        suspects
    }

    pub(super) fn travel(&self, from: usize, to: usize) -> f64 {
        self.problem.conditions().travel(from, to)
    }
}

fn split<const W: usize>(problem: &Problem, at: usize, test: &Test, members: &[Vec<usize>]) -> Split<W> {
    let mut branches: BTreeMap<usize, Set<W>> = BTreeMap::new();
    for (group, suspects) in members.iter().enumerate() {
        branches.entry(test.outcomes[suspects[0]]).or_insert(Set::EMPTY).insert(group);
    }
    let anywhere =
        || (0..problem.conditions().states()).map(|state| Stand { state, leaves: state }).collect();
    let stands = if test.stands.is_empty() { anywhere() } else { test.stands.clone() };
    Split { test: at, minutes: test.minutes.value(), branches: branches.into_iter().collect(), stands }
}

fn finds_by_group<const W: usize>(problem: &Problem, members: &[Vec<usize>]) -> Vec<Vec<Set<W>>> {
    let mut named: BTreeMap<usize, Set<W>> = BTreeMap::new();
    let mut of_group: Vec<Vec<usize>> = Vec::new();
    for (group, suspects) in members.iter().enumerate() {
        let mut finds = problem.finds()[suspects[0]].clone();
        finds.retain(|find| suspects.iter().all(|s| problem.finds()[*s].contains(find)));
        for find in &finds {
            named.entry(*find).or_insert(Set::EMPTY).insert(group);
        }
        of_group.push(finds);
    }
    of_group.into_iter().map(|finds| finds.iter().map(|find| named[find]).collect()).collect()
}

/// Joins finds that share a group, and leaves a group without a find alone.
fn classes<const W: usize>(finds: &[Vec<Set<W>>]) -> Vec<Set<W>> {
    let mut ends = Vec::new();
    for (group, sets) in finds.iter().enumerate() {
        let mut itself = Set::EMPTY;
        itself.insert(group);
        ends.push(sets.iter().fold(itself, |all, set| all.or(*set)));
    }
    joined(&ends)
}

/// Joins sets that touch.
pub(super) fn joined<const W: usize>(sets: &[Set<W>]) -> Vec<Set<W>> {
    let mut classes: Vec<Set<W>> = Vec::new();
    for joined in sets.iter().copied() {
        let (touching, apart): (Vec<_>, Vec<_>) =
            classes.into_iter().partition(|class| !class.and(joined).is_empty());
        classes = apart;
        classes.push(touching.into_iter().fold(joined, Set::or));
    }
    classes
}

fn weight_tables(shares: &[f64]) -> Vec<[f64; 256]> {
    let table = |eight: &[f64]| {
        let mut table = [0.0; 256];
        for (byte, sum) in table.iter_mut().enumerate() {
            *sum = (0..eight.len()).filter(|bit| byte >> bit & 1 == 1).map(|bit| eight[bit]).sum();
        }
        table
    };
    shares.chunks(8).map(table).collect()
}
