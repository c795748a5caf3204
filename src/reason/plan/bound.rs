//! What no order can beat: r-ary Huffman over the finds × the cheapest test's own minutes.
//!
//! Each leaf of an order lies within one class of finds, and a test has at most r outcomes, so the
//! mean number of tests is at least that of the best r-ary code over the classes (Huffman, Proc.
//! IRE 40:1098–1101, 1952), and each costs at least the cheapest test's minutes. Classes are finds
//! joined where they share a suspect or an inseparable pair; the code is padded with empty classes
//! to n ≡ 1 (mod r − 1). Without each of these the figure would not be a bound.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use super::groups::Grouped;
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
    bound_with(grouped, letters, cheapest)
}

/// The bound where more tests exist than the problem has: classes that only those part stay joined, which lowers it;
/// the most outcomes and the fewest minutes are those of all tests.
pub(super) fn bound_with<const W: usize>(grouped: &Grouped<'_, W>, letters: usize, cheapest: f64) -> Minutes {
    let shares: Vec<Share> = grouped.classes.iter().map(|class| Share(grouped.weight(*class))).collect();
    if shares.len() < 2 || !cheapest.is_finite() {
        return Minutes(0.0);
    }
    Minutes(huffman_mean_length(&shares, letters) * cheapest)
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
