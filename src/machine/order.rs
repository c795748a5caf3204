//! The order of elimination: one per network, chosen on the full pattern.
//!
//! Minimum degree, ties to the lowest level and then number: a harness is nearly a tree, so that
//! almost no pair is new. A node's level is one above those of the eliminated nodes it hangs on, so
//! that a chain is taken apart from many places at once. The pattern holds every branch, also those that
//! are absent for now (g = 0); what each elimination touches is written down once, as flat lists.

use std::collections::{BTreeMap, BTreeSet};

/// Where there is no step or slot.
pub(super) const NONE: u32 = u32::MAX;

/// One elimination: a node, its spokes, and the pairs between them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Step {
    pub(super) node: u32,
    /// Its spokes: they are slots, and their neighbours stand in [`Order::far`].
    pub(super) spokes: (u32, u32),
    /// The first of its pairs: (0,1), (0,2), …, (1,2), …
    pub(super) pairs: u32,
    /// The first later step that this one has a say in: whatever changes here changes there.
    pub(super) next: u32,
}

/// Where a pair of neighbours of an eliminated node goes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pair {
    pub(super) slot: u32,
    /// 1 if the slot belongs to the first of the pair, else −1.
    pub(super) sign: f64,
}

/// Every elimination of a network, in order.
///
/// A slot is a pair of nodes that are or become neighbours; it is numbered as a spoke of the one that is
/// eliminated first, and its drive points into that one.
#[derive(Debug, Clone, Default)]
pub(super) struct Order {
    pub(super) steps: Vec<Step>,
    /// Per slot: the neighbour that is eliminated later.
    pub(super) far: Vec<u32>,
    pub(super) pairs: Vec<Pair>,
    /// The pairs that go into a slot: those of slot `s` stand from `came[s]` to `came[s + 1]` in `from`.
    pub(super) came: Vec<u32>,
    pub(super) from: Vec<u32>,
    /// Per slot: the step that it is a spoke of.
    pub(super) owner: Vec<u32>,
    /// The most spokes that any step has.
    pub(super) widest: usize,
    slot_of: BTreeMap<(u32, u32), u32>,
}

impl Order {
    /// Chooses the order for `nodes` nodes of which `kept` stays to the end.
    pub(super) fn new(nodes: usize, edges: impl Iterator<Item = (u32, u32)>, kept: u32) -> Self {
        let mut near: Vec<BTreeSet<u32>> = vec![BTreeSet::new(); nodes];
        for (a, b) in edges.filter(|(a, b)| a != b) {
            near[a as usize].insert(b);
            near[b as usize].insert(a);
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
        Self::of(nodes, &chosen)
    }

    /// The slot between two nodes, in either order, and 1 if it belongs to the first, else −1.
    pub(super) fn slot_between(&self, a: u32, b: u32) -> Option<(u32, f64)> {
        let slot = *self.slot_of.get(&(a.min(b), a.max(b)))?;
        Some((slot, if self.far[slot as usize] == b { 1.0 } else { -1.0 }))
    }

    fn of(nodes: usize, chosen: &[(usize, u32, BTreeSet<u32>)]) -> Self {
        let mut order = Self::default();
        let mut place = vec![NONE; nodes];
        for (at, (_, node, spokes)) in (0u32..).zip(chosen) {
            place[*node as usize] = at;
            for far in spokes {
                order.slot_of.insert((*node.min(far), *node.max(far)), count(order.far.len()));
                order.far.push(*far);
                order.owner.push(at);
            }
        }
        let mut first = 0;
        for (_, node, spokes) in chosen {
            let pairs = count(order.pairs.len());
            let ends: Vec<u32> = spokes.iter().copied().collect();
            for (i, &a) in ends.iter().enumerate() {
                for &b in &ends[i + 1..] {
                    let (slot, sign) = order.slot_between(a, b).expect("what one node joins is joined");
                    order.pairs.push(Pair { slot, sign });
                }
            }
            let next = ends.iter().map(|far| place[*far as usize]).min().unwrap_or(NONE);
            let spokes = (first, first + count(ends.len()));
            order.steps.push(Step { node: *node, spokes, pairs, next });
            order.widest = order.widest.max(ends.len());
            first = spokes.1;
        }
        (order.came, order.from) = gathered(order.far.len(), order.pairs.iter().map(|pair| pair.slot));
        order
    }
}

/// Who goes where, turned round: for each of `slots` who goes there, as one list and where each part of
/// it begins.
pub(super) fn gathered(slots: usize, goes: impl Iterator<Item = u32>) -> (Vec<u32>, Vec<u32>) {
    let mut by_slot: Vec<Vec<u32>> = vec![Vec::new(); slots];
    for (who, slot) in (0u32..).zip(goes).filter(|(_, slot)| *slot != NONE) {
        by_slot[slot as usize].push(who);
    }
    let mut begins = vec![0];
    for part in &by_slot {
        begins.push(begins[begins.len() - 1] + count(part.len()));
    }
    (begins, by_slot.concat())
}

fn count(n: usize) -> u32 {
    u32::try_from(n).expect("fewer entries than u32 counts")
}
