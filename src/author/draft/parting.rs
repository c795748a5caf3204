//! How a reading parts the suspects: which of them it can tell apart for certain, and by what edges.
//!
//! Two suspects are told apart only if their readings stay clear of each other whatever the severity and the battery.
//! By likeness the edges follow the battery, and a fault is on one side with all its severities; in numbers the edges
//! stand still, and severities may be on both sides. Whichever tells more is taken, likeness where both tell as much.

use super::shown::{Shown, Stretch};
use super::suspects::Suspects;

/// How a reading's bands are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Edges {
    /// By likeness.
    Like,
    /// In numbers.
    Numbers,
}

/// A reading's classes of suspects.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Parting {
    pub(super) edges: Edges,
    /// By suspect; the healthy machine last.
    pub(super) class: Vec<usize>,
    /// The stretch that each suspect's readings cover over all batteries; the healthy machine last.
    pub(super) cover: Vec<Stretch>,
}

/// How a reading parts the suspects; none if it does not.
pub(super) fn parting(shown: &Shown, suspects: &Suspects) -> Option<Parting> {
    let faults: Vec<usize> = suspects.list.iter().map(|s| s.fault.at()).chain([usize::MAX]).collect();
    let like = by_likeness(shown, &faults);
    let numbers = in_numbers(shown);
    let shares: Vec<f64> = suspects.list.iter().map(|s| s.share / suspects.total).collect();
    let (as_like, as_numbers) = (bits(&like, &shares), bits(&numbers, &shares));
    if as_like.max(as_numbers) <= 1e-9 {
        return None;
    }
    let (edges, class) =
        if as_like >= as_numbers - 1e-9 { (Edges::Like, like) } else { (Edges::Numbers, numbers) };
    Some(Parting { edges, class, cover: covers(shown) })
}

/// Entropy of the classes, in bits.
fn bits(class: &[usize], shares: &[f64]) -> f64 {
    let mut sums = std::collections::BTreeMap::new();
    for (class, share) in class.iter().zip(shares) {
        *sums.entry(*class).or_insert(0.0) += share;
    }
    sums.values().filter(|p| **p > 0.0).map(|p: &f64| -p * p.log2()).sum()
}

fn by_likeness(shown: &Shown, faults: &[usize]) -> Vec<usize> {
    let mut one = Union::new(faults.len());
    for (at, fault) in faults.iter().enumerate() {
        if let Some(first) = faults.iter().position(|other| other == fault) {
            one.join(first, at);
        }
    }
    for row in shown {
        one.join_overlapping(row);
    }
    one.classes()
}

fn in_numbers(shown: &Shown) -> Vec<usize> {
    let suspects = shown.first().map_or(0, Vec::len);
    let mut one = Union::new(suspects);
    let merged: Vec<Vec<Stretch>> =
        (0..suspects).map(|at| shown.iter().flat_map(|row| row[at].iter().copied()).collect()).collect();
    // What jumps covers all that lies between its ends.
    let whole: Vec<Vec<Stretch>> = merged
        .into_iter()
        .zip(&shown[0])
        .map(|(all, nominal)| if nominal.len() > 1 { vec![cover(&all)] } else { all })
        .collect();
    one.join_overlapping(&whole);
    // A fixed edge has one side: what any battery brings into another class's stretch joins it.
    let mut covers: Vec<Vec<Stretch>> = Vec::new();
    let classes = one.classes();
    for class in 0..classes.iter().max().map_or(0, |most| most + 1) {
        let own: Vec<Stretch> = (0..suspects)
            .filter(|at| classes[*at] == class)
            .flat_map(|at| whole[at].iter().copied())
            .collect();
        covers.push(vec![cover(&own)]);
    }
    let mut over = Union::new(covers.len());
    over.join_overlapping(&covers);
    let joined = over.classes();
    classes.into_iter().map(|class| joined[class]).collect()
}

fn covers(shown: &Shown) -> Vec<Stretch> {
    let suspects = shown.first().map_or(0, Vec::len);
    (0..suspects)
        .map(|at| {
            let mut all = cover(&shown.iter().flat_map(|row| row[at].iter().copied()).collect::<Vec<_>>());
            all.value = shown[0][at].first().map_or(all.value, |s| s.value);
            all
        })
        .collect()
}

pub(super) fn cover(all: &[Stretch]) -> Stretch {
    let low = all.iter().map(|s| s.low).fold(f64::INFINITY, f64::min);
    let high = all.iter().map(|s| s.high).fold(f64::NEG_INFINITY, f64::max);
    Stretch { low, high, value: all.first().map_or(0.0, |s| s.value) }
}

/// Sets that are joined, never parted.
struct Union(Vec<usize>);

impl Union {
    fn new(count: usize) -> Self {
        Self((0..count).collect())
    }

    fn root(&self, mut at: usize) -> usize {
        while self.0[at] != at {
            at = self.0[at];
        }
        at
    }

    fn join(&mut self, one: usize, other: usize) {
        let (one, other) = (self.root(one), self.root(other));
        self.0[one.max(other)] = one.min(other);
    }

    /// Joins whatever has stretches that reach into one another.
    fn join_overlapping(&mut self, row: &[Vec<Stretch>]) {
        let mut all: Vec<(usize, Stretch)> =
            row.iter().enumerate().flat_map(|(at, own)| own.iter().map(move |s| (at, *s))).collect();
        all.sort_by(|a, b| a.1.low.total_cmp(&b.1.low));
        let mut reach = f64::NEG_INFINITY;
        let mut last = None;
        for (at, stretch) in all {
            if let Some(last) = last
                && stretch.low <= reach
            {
                self.join(last, at);
            }
            reach = reach.max(stretch.high);
            last = Some(at);
        }
    }

    /// The sets, numbered from 0 by their first members.
    fn classes(&self) -> Vec<usize> {
        let mut names: Vec<usize> = Vec::new();
        (0..self.0.len())
            .map(|at| {
                let root = self.root(at);
                names.iter().position(|own| *own == root).unwrap_or_else(|| {
                    names.push(root);
                    names.len() - 1
                })
            })
            .collect()
    }
}
