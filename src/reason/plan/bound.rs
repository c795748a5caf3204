//! What no order can beat: r-ary Huffman over the finds × the cheapest test's own minutes.
//!
//! Each leaf of an order lies within one class of finds, and a test has at most r outcomes, so the
//! mean number of tests is at least that of the best r-ary code over the classes (Huffman, Proc.
//! IRE 40:1098–1101, 1952), and each costs at least the cheapest test's minutes. Classes are finds
//! joined where they share a suspect or an inseparable pair; the code is padded with empty classes
//! to n ≡ 1 (mod r − 1). Without each of these the figure would not be a bound.

use std::cmp::Ordering;
use std::collections::{BinaryHeap, HashMap};
use std::hash::BuildHasherDefault;

use super::exact::Mix;
use super::groups::{Grouped, Split, joined};
use super::rollout::parts;
use super::set::Set;
use crate::reason::Share;
use crate::units::Minutes;

/// The mean length of the best code with `letters` letters over these shares, in letters.
/// 0 for one share or none; `letters` below 2 counts as 2.
#[must_use]
pub fn huffman_mean_length(shares: &[Share], letters: usize) -> f64 {
    let letters = letters.max(2);
    let total: f64 = shares.iter().map(|s| s.value()).sum();
    let mut heap: BinaryHeap<Least> = shares.iter().map(|s| Least(s.value())).collect();
    while heap.len() > 1 && !(heap.len() - 1).is_multiple_of(letters - 1) {
        heap.push(Least(0.0));
    }
    let mut length = 0.0;
    while heap.len() > 1 {
        let joined: f64 = (0..letters).filter_map(|_| heap.pop()).map(|least| least.0).sum();
        length += joined;
        heap.push(Least(joined));
    }
    if total > 0.0 { length / total } else { 0.0 }
}

/// The bound for a grouped problem; 0 where there is nothing to tell apart.
pub(super) fn lower_bound<const W: usize>(grouped: &Grouped<'_, W>) -> Minutes {
    let letters = grouped.splits.iter().map(|split| split.branches.len()).max().unwrap_or(2);
    let cheapest = grouped.splits.iter().map(|split| split.minutes).fold(f64::INFINITY, f64::min);
    over_classes(grouped, &grouped.classes, letters, cheapest)
}

/// The bound where more tests exist than the problem has: what only those part stays joined, with all that a part of it
/// may end with, so that each class holds whole classes of the larger question; the most outcomes and the fewest minutes
/// are those of all tests.
pub(super) fn bound_with<const W: usize>(grouped: &Grouped<'_, W>, letters: usize, cheapest: f64) -> Minutes {
    over_classes(grouped, &joined(&grouped.loosest_ends()), letters, cheapest)
}

fn over_classes<const W: usize>(
    grouped: &Grouped<'_, W>,
    classes: &[Set<W>],
    letters: usize,
    cheapest: f64,
) -> Minutes {
    let shares: Vec<Share> = classes.iter().map(|class| Share(grouped.weight(*class))).collect();
    if shares.len() < 2 || !cheapest.is_finite() {
        return Minutes(0.0);
    }
    Minutes(huffman_mean_length(&shares, letters) * cheapest)
}

/// With more tests and states to try than these only one is looked ahead.
const MOST_AHEAD: usize = 2_000;

/// For any set what no order of the tests that part it can beat, gates left out; kept by set.
pub(super) struct Floors<'a, const W: usize> {
    grouped: &'a Grouped<'a, W>,
    known: HashMap<Set<W>, f64, BuildHasherDefault<Mix>>,
}

impl<'a, const W: usize> Floors<'a, W> {
    pub(super) fn over(grouped: &'a Grouped<'a, W>) -> Self {
        Self { grouped, known: HashMap::default() }
    }

    /// Share × minutes that a set takes at least: Huffman over its classes × the cheapest test that parts it, and one
    /// test where it is no leaf.
    pub(super) fn under(&mut self, set: Set<W>) -> f64 {
        if let Some(known) = self.known.get(&set) {
            return *known;
        }
        let floor = if self.grouped.is_leaf(set) { 0.0 } else { self.worked_out(set) };
        self.known.insert(set, floor);
        floor
    }

    fn worked_out(&self, set: Set<W>) -> f64 {
        let grouped = self.grouped;
        let (mut letters, mut cheapest) = (2, f64::INFINITY);
        for split in grouped.splits.iter().filter(|split| parts(set, split)) {
            letters = letters.max(split.branches.iter().filter(|(_, b)| !set.and(*b).is_empty()).count());
            cheapest = cheapest.min(split.minutes);
        }
        if cheapest.is_infinite() {
            return f64::INFINITY;
        }
        let live = grouped.classes.iter().map(|class| set.and(*class)).filter(|part| !part.is_empty());
        let shares: Vec<Share> = live.map(|part| Share(grouped.weight(part))).collect();
        grouped.weight(set) * huffman_mean_length(&shares, letters).max(1.0) * cheapest
    }

    /// What all that follows a test takes at least.
    pub(super) fn after(&mut self, set: Set<W>, split: &Split<W>) -> f64 {
        let mut sum = 0.0;
        for (_, branch) in &split.branches {
            let part = set.and(*branch);
            if !part.is_empty() {
                sum += self.under(part);
            }
        }
        sum
    }

    /// The same with the gates before so many tests counted: the least over the first test, and so on.
    pub(super) fn ahead(&mut self, set: Set<W>, state: usize, tests: usize) -> f64 {
        let grouped = self.grouped;
        if tests == 0 || grouped.is_leaf(set) {
            return self.under(set);
        }
        let weight = grouped.weight(set);
        let mut candidates: Vec<(f64, f64, &Split<W>, usize)> = Vec::new();
        for split in grouped.splits.iter().filter(|split| parts(set, split)) {
            for stand in &split.stands {
                let own = weight * (split.minutes + grouped.travel(state, stand.state));
                if own.is_finite() {
                    candidates.push((own + self.after(set, split), own, split, stand.leaves));
                }
            }
        }
        candidates.sort_by(|a, b| a.0.total_cmp(&b.0));
        if tests == 1 || candidates.len() > MOST_AHEAD {
            return candidates.first().map_or(f64::INFINITY, |first| first.0).max(self.under(set));
        }
        let mut best = f64::INFINITY;
        for (least, own, split, leaves) in candidates {
            if least >= best {
                break;
            }
            let mut sum = own;
            for (_, branch) in &split.branches {
                let part = set.and(*branch);
                if !part.is_empty() {
                    sum += self.ahead(part, leaves, tests - 1);
                }
            }
            best = best.min(sum);
        }
        best.max(self.under(set))
    }
}

/// A weight that a max-heap gives back smallest first.
#[derive(PartialEq)]
struct Least(f64);

impl Eq for Least {}

impl Ord for Least {
    fn cmp(&self, other: &Self) -> Ordering {
        other.0.total_cmp(&self.0)
    }
}

impl PartialOrd for Least {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
