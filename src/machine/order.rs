//! The order of elimination: one per network, chosen on the full pattern.
//!
//! Minimum degree, ties to the lowest level and then number: a harness is nearly a tree, so that
//! almost no pair is new. A node's level is one above those of the eliminated nodes it hangs on, so
//! that a chain is taken apart from many places at once. The pattern holds every branch, also those that are absent for now (g = 0); what each
//! elimination touches is written down once, as flat lists of slots.

use std::collections::{BTreeMap, BTreeSet};

/// A neighbour of the node being eliminated.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spoke {
    /// The slot of the branch to the neighbour.
    pub(super) slot: u32,
    /// The neighbour.
    pub(super) far: u32,
    /// 1 if the slot's drive points into the node, −1 if into the neighbour.
    pub(super) sign: f64,
}

/// One elimination: a node, its spokes, and the slots between each pair of them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Step {
    pub(super) node: u32,
    pub(super) spokes: (u32, u32),
    /// The first of the pair slots: (0,1), (0,2), …, (1,2), …
    pub(super) pairs: u32,
}

/// Every elimination of a network, in order.
#[derive(Debug, Clone, Default)]
pub(super) struct Order {
    pub(super) steps: Vec<Step>,
    pub(super) spokes: Vec<Spoke>,
    pub(super) pairs: Vec<u32>,
    /// How many slots there are: pairs of nodes that are or become neighbours.
    pub(super) slots: usize,
    /// The most spokes that any step has.
    pub(super) widest: usize,
    slot_of: BTreeMap<(u32, u32), u32>,
}

impl Order {
    /// Chooses the order for `nodes` nodes of which `kept` stays to the end.
    pub(super) fn new(nodes: usize, edges: impl Iterator<Item = (u32, u32)>, kept: u32) -> Self {
        let mut order = Self::default();
        let mut near: Vec<BTreeSet<u32>> = vec![BTreeSet::new(); nodes];
        for (a, b) in edges.filter(|(a, b)| a != b) {
            near[a as usize].insert(b);
            near[b as usize].insert(a);
            order.slot(a, b);
        }
        let mut level = vec![0_usize; nodes];
        let rank =
            |near: &[BTreeSet<u32>], level: &[usize], n: u32| (near[n as usize].len(), level[n as usize], n);
        let others = (0u32..).take(nodes).filter(|n| *n != kept);
        let mut left: BTreeSet<(usize, usize, u32)> = others.map(|n| rank(&near, &level, n)).collect();
        let mut chosen: Vec<(usize, u32, BTreeSet<u32>)> = Vec::with_capacity(nodes);
        while let Some((_, own, node)) = left.pop_first() {
            let spokes = std::mem::take(&mut near[node as usize]);
            for &far in spokes.iter().filter(|far| **far != kept) {
                left.remove(&rank(&near, &level, far));
            }
            for &far in &spokes {
                let at = far as usize;
                near[at].remove(&node);
                near[at].extend(spokes.iter().filter(|s| **s != far));
                level[at] = level[at].max(own + 1);
            }
            for &far in spokes.iter().filter(|far| **far != kept) {
                left.insert(rank(&near, &level, far));
            }
            chosen.push((own, node, spokes));
        }
        // By levels: steps of one level do not wait for each other.
        chosen.sort_by_key(|(level, ..)| *level);
        for (_, node, spokes) in &chosen {
            order.push(*node, spokes);
        }
        order
    }

    /// The slot between two nodes, `low < high` or not.
    pub(super) fn slot_between(&self, a: u32, b: u32) -> Option<usize> {
        self.slot_of.get(&(a.min(b), a.max(b))).map(|s| *s as usize)
    }

    fn slot(&mut self, a: u32, b: u32) -> u32 {
        let next = u32::try_from(self.slots).expect("fewer slots than u32 counts");
        let slot = *self.slot_of.entry((a.min(b), a.max(b))).or_insert(next);
        self.slots = self.slot_of.len();
        slot
    }

    fn push(&mut self, node: u32, spokes: &BTreeSet<u32>) {
        let count = |n: usize| u32::try_from(n).expect("fewer entries than u32 counts");
        let (first, pairs) = (count(self.spokes.len()), count(self.pairs.len()));
        for &far in spokes {
            let slot = self.slot(node, far);
            let sign = if node < far { 1.0 } else { -1.0 };
            self.spokes.push(Spoke { slot, far, sign });
        }
        let ends: Vec<u32> = spokes.iter().copied().collect();
        for (i, &a) in ends.iter().enumerate() {
            for &b in &ends[i + 1..] {
                let slot = self.slot(a, b);
                self.pairs.push(slot);
            }
        }
        self.widest = self.widest.max(ends.len());
        self.steps.push(Step { node, spokes: (first, count(self.spokes.len())), pairs });
    }
}
