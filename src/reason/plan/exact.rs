//! The best order, exactly: memoised dynamic programming over suspect sets × condition states.
//!
//! With w(S) the share of a set, m the test's minutes, g the gates' minutes from state s to e:
//! V(S, s) = min over e of g(s, e)·w(S) + U(S, e), and
//! U(S, e) = min over tests that can be done in e of m·w(S) + Σ V(S ∩ branch, state it leaves);
//! V of a leaf is 0. Values are share × minutes, so that integers stay exact.
//! (Problem and recursion: Pattipati & Alexandridis 1990; Garey, SIAM J. Appl. Math. 23:173–186,
//! 1972; both from memory.)

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

use super::groups::{Grouped, Split};
use super::order::Order;
use super::set::Set;

/// The largest table of values kept by direct index; sparser problems are hashed.
const DENSE_VALUES: usize = 1 << 22;

/// The search: values by set, one a condition state.
pub(super) struct Exact<'a, const W: usize> {
    grouped: &'a Grouped<'a, W>,
    memo: Memo<W>,
    values: Vec<f64>,
    rows: Vec<usize>,
    scratch: Vec<f64>,
    work_left: u64,
}

/// Where the values of a set are: the place is the set itself, or found by hash.
enum Memo<const W: usize> {
    Dense,
    Sparse(HashMap<Set<W>, usize, BuildHasherDefault<Mix>>),
}

impl<'a, const W: usize> Exact<'a, W> {
    /// `work` bounds the number of (set, test, state) combinations looked at.
    pub(super) fn new(grouped: &'a Grouped<'a, W>, work: u64) -> Self {
        let dense = u32::try_from(grouped.members.len())
            .ok()
            .and_then(|groups| 1_usize.checked_shl(groups))
            .and_then(|sets| sets.checked_mul(grouped.states))
            .filter(|values| W == 1 && *values <= DENSE_VALUES);
        let memo = dense.map_or_else(|| Memo::Sparse(HashMap::default()), |_| Memo::Dense);
        let values = vec![f64::NAN; dense.unwrap_or(0)];
        Self { grouped, memo, values, rows: Vec::new(), scratch: Vec::new(), work_left: work }
    }

    /// Share × minutes from this set and state to the finds; `None` when the work ran out.
    pub(super) fn value(&mut self, set: Set<W>, state: usize) -> Option<f64> {
        self.row(set).map(|row| self.values[row + state])
    }

    #[inline]
    fn row(&mut self, set: Set<W>) -> Option<usize> {
        match &self.memo {
            Memo::Dense => {
                let row = set.index() * self.grouped.states;
                if !self.values[row].is_nan() {
                    return Some(row);
                }
            }
            Memo::Sparse(rows) => {
                if let Some(row) = rows.get(&set) {
                    return Some(*row);
                }
            }
        }
        self.solve(set)
    }

    fn place(&mut self, set: Set<W>, value: f64) -> usize {
        let states = self.grouped.states;
        match &mut self.memo {
            Memo::Dense => {
                let row = set.index() * states;
                self.values[row..row + states].fill(value);
                row
            }
            Memo::Sparse(rows) => {
                let row = self.values.len();
                rows.insert(set, row);
                self.values.resize(row + states, value);
                row
            }
        }
    }

    fn solve(&mut self, set: Set<W>) -> Option<usize> {
        let grouped = self.grouped;
        if grouped.is_leaf(set) {
            return Some(self.place(set, 0.0));
        }
        let cost = grouped.splits.len().max(1) * grouped.states;
        self.work_left = self.work_left.checked_sub(cost as u64)?;
        let row = self.place(set, f64::INFINITY);
        let weight = grouped.weight(set);
        for split in &grouped.splits {
            self.improve(row, set, weight, split)?;
        }
        if grouped.states > 1 {
            self.add_gates(row, weight);
        }
        Some(row)
    }

    /// U(S, e) for one test, in every state it can be done in.
    #[inline]
    fn improve(&mut self, row: usize, set: Set<W>, weight: f64, split: &Split<W>) -> Option<()> {
        let base = self.rows.len();
        for (_, branch) in &split.branches {
            let part = set.and(*branch);
            if part == set {
                return Some(());
            }
            if !part.is_empty() {
                let child = self.row(part)?;
                self.rows.push(child);
            }
        }
        let own = weight * split.minutes;
        for stand in &split.stands {
            let rest: f64 = self.rows[base..].iter().map(|child| self.values[child + stand.leaves]).sum();
            let value = &mut self.values[row + stand.state];
            *value = value.min(own + rest);
        }
        self.rows.truncate(base);
        Some(())
    }

    /// V(S, s) from U(S, e): the gates that lead from where one is to where the test is done.
    fn add_gates(&mut self, row: usize, weight: f64) {
        let states = self.grouped.states;
        self.scratch.clear();
        self.scratch.extend_from_slice(&self.values[row..row + states]);
        for from in 0..states {
            let reach = |(to, u): (usize, &f64)| over_gates(self.grouped.travel(from, to), weight, *u);
            let best = self.scratch.iter().enumerate().map(reach).fold(f64::INFINITY, f64::min);
            self.values[row + from] = best;
        }
    }

    /// The order that has the value: at each set the first test among equals.
    pub(super) fn order(&mut self, set: Set<W>, state: usize) -> Option<Order> {
        let grouped = self.grouped;
        if grouped.is_leaf(set) {
            return Some(Order::Stop(grouped.suspects(set)));
        }
        let (split, stand) = self.choice(set, state)?;
        split.then(set, stand, |part, state| self.order(part, state))
    }

    fn choice(&mut self, set: Set<W>, state: usize) -> Option<(&'a Split<W>, super::Stand)> {
        let grouped = self.grouped;
        let weight = grouped.weight(set);
        let mut best = None;
        let mut least = f64::INFINITY;
        for split in &grouped.splits {
            if split.branches.iter().any(|(_, branch)| set.within(*branch)) {
                continue;
            }
            for stand in &split.stands {
                let mut rest = 0.0;
                for part in split.branches.iter().map(|(_, branch)| set.and(*branch)) {
                    if !part.is_empty() {
                        rest += self.value(part, stand.leaves)?;
                    }
                }
                let own = weight * split.minutes + rest;
                let value = over_gates(grouped.travel(state, stand.state), weight, own);
                if value < least {
                    (best, least) = (Some((split, *stand)), value);
                }
            }
        }
        best
    }
}

/// A set without share costs nothing, but what no gate reaches stays out of reach.
fn over_gates(minutes: f64, weight: f64, value: f64) -> f64 {
    if minutes.is_infinite() { f64::INFINITY } else { minutes * weight + value }
}

/// Fibonacci hashing of the set's words (Knuth, TAOCP vol. 3, 6.4): sets are dense small numbers.
#[derive(Default)]
pub(super) struct Mix(u64);

impl Hasher for Mix {
    fn finish(&self) -> u64 {
        self.0 ^ (self.0 >> 32)
    }

    fn write(&mut self, bytes: &[u8]) {
        for chunk in bytes.chunks(8) {
            let mut word = [0; 8];
            word[..chunk.len()].copy_from_slice(chunk);
            self.write_u64(u64::from_le_bytes(word));
        }
    }

    fn write_u64(&mut self, word: u64) {
        self.0 = (self.0.rotate_left(23) ^ word).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    }

    fn write_usize(&mut self, word: usize) {
        self.write_u64(word as u64);
    }
}
