//! Star–mesh elimination: from branches to node voltages, without a subtraction among conductances.
//!
//! Node k with branches to its neighbours i leaves a branch between each pair of them; going back,
//! its volts follow from theirs:
//!
//! ```text
//! d = Σ g_i     g_ij = g_i·g_j/d     q_ij = (g_i·q_j − g_j·q_i)/d     v_k = Σ(g_i·v_i + q_i)/d
//! ```
//!
//! (Rosen 1924; the subtraction-free form of Gaussian elimination, Grassmann, Taksar & Heyman 1985).
//! Solving again after a change eliminates anew only what the change reaches: each slot is summed from its
//! branches and pairs in one order, so that the result is the same to the last bit as from the beginning.
//! What is absent has g = 0. A node that finds d = 0 is the last of a part without a path to the
//! reference: that part floats, and its volts are told from that node.
//! A term is what one branch or one earlier elimination adds to a slot: a conductance, and the drive into the
//! slot's first node.

use super::circuit::Values;
use super::network::{Network, Place};
use super::order::{NONE, Order, gathered};

/// What does not change with the values.
#[derive(Debug)]
pub(super) struct Pattern {
    pub(super) order: Order,
    /// Per place: its node, those that are one counted once.
    pub(super) node: Vec<u32>,
    pub(super) nodes: usize,
    /// Places with the link that gives their offset, roots before what hangs on them.
    links: Vec<Link>,
    /// Per branch: the slot that it adds to, if it joins two nodes, and 1 if its drive points as the
    /// slot's does, else −1.
    slots: Vec<(u32, f64)>,
    /// The terms of a slot: those of slot `s` stand from `begins[s]` to `begins[s + 1]` in `adds`. Branches
    /// are numbered first, then pairs.
    begins: Vec<u32>,
    adds: Vec<u32>,
    pub(super) ends: Vec<(Place, Place)>,
    pub(super) reference: Place,
    /// The branches that change with an ideal source.
    held: Vec<u32>,
}

#[derive(Debug, Clone, Copy)]
struct Link {
    place: u32,
    up: u32,
    source: u32,
    sign: f64,
}

const NO_SOURCE: u32 = u32::MAX;

/// What branches and earlier eliminations add to their slots: conductances, and the drives beside them.
#[derive(Debug, Clone, Default)]
struct Terms {
    siemens: Vec<f64>,
    drive: Vec<f64>,
}

impl Terms {
    fn none(count: usize) -> Self {
        Self { siemens: vec![0.0; count], drive: vec![0.0; count] }
    }

    fn put(&mut self, at: usize, siemens: f64, drive: f64) {
        self.siemens[at] = siemens;
        self.drive[at] = drive;
    }
}

/// What a solution knows of a node.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Solved {
    /// Its drive over d.
    own: f64,
    pub(super) volts: f64,
    /// The last node of the part that it is in.
    pub(super) part: u32,
}

/// An elimination as far as it was done.
#[derive(Debug, Clone, Default)]
pub(super) struct Work {
    /// The values as last solved.
    seen: Values,
    /// Per branch, then per pair: what it adds to its slot.
    terms: Terms,
    /// Per step: it is to be eliminated anew.
    stale: Vec<bool>,
    /// Per slot of an eliminated node: its share of the node's d.
    share: Vec<f64>,
    /// Per node: 1/d, zero where the node is the last of its part.
    pub(super) inverse: Vec<f64>,
    pub(super) solved: Vec<Solved>,
    /// Conductances and drives of the node at hand.
    star: Terms,
}

impl Work {
    /// The share of d that a spoke of an eliminated node has.
    pub(super) fn share(&self, slot: usize) -> f64 {
        self.share[slot]
    }

    /// Makes room for a pattern; everything is to be eliminated anew.
    pub(super) fn reset(&mut self, pattern: &Pattern) {
        let (order, branches) = (&pattern.order, pattern.ends.len());
        // No value is "not a number": every branch differs from that.
        self.seen.siemens = vec![f64::NAN; branches];
        self.seen.drive = vec![f64::NAN; branches];
        self.seen.ideals = vec![f64::NAN; pattern.sources()];
        self.terms = Terms::none(branches + order.pairs.len());
        self.stale = vec![true; order.steps.len()];
        self.share = vec![0.0; order.far.len()];
        self.inverse = vec![0.0; pattern.nodes];
        self.solved = vec![Solved { part: pattern.home(), ..Solved::default() }; pattern.nodes];
        self.star = Terms::none(order.widest);
    }
}

impl Pattern {
    /// Chooses the order of elimination of a network.
    pub(super) fn new(network: &Network, reference: Place) -> Self {
        let (node, nodes) = numbered(network);
        let ends: Vec<(Place, Place)> = network.stretches.iter().map(|s| (s.a, s.b)).collect();
        let edge = |(a, b): &(Place, Place)| (node[a.at()], node[b.at()]);
        let order = Order::new(nodes, ends.iter().map(edge), node[reference.at()]);
        let slot = |(a, b)| order.slot_between(a, b).unwrap_or((NONE, 1.0));
        let slots: Vec<(u32, f64)> = ends.iter().map(edge).map(slot).collect();
        let goes = slots.iter().map(|(slot, _)| *slot).chain(order.pairs.iter().map(|pair| pair.slot));
        let (begins, adds) = gathered(order.far.len(), goes);
        let links = links(network);
        let mut moved = vec![false; node.len()];
        for link in &links {
            moved[link.place as usize] = link.source != NO_SOURCE || moved[link.up as usize];
        }
        let on_held = |(_, (a, b)): &(u32, &(Place, Place))| moved[a.at()] || moved[b.at()];
        let held = (0u32..).zip(&ends).filter(on_held).map(|(branch, _)| branch).collect();
        Self { order, node, nodes, links, slots, begins, adds, ends, reference, held }
    }

    /// The node that everything is told against.
    pub(super) fn home(&self) -> u32 {
        self.node[self.reference.at()]
    }

    /// The places that an ideal source holds above another of their node.
    pub(super) fn held_places(&self) -> impl Iterator<Item = Place> {
        self.links.iter().filter(|link| link.source != NO_SOURCE).map(|link| Place(link.place))
    }

    fn sources(&self) -> usize {
        let named = self.links.iter().filter(|link| link.source != NO_SOURCE);
        named.map(|link| link.source as usize + 1).max().unwrap_or(0)
    }

    /// Takes over the values; marks every step that a changed branch has a say in.
    pub(super) fn note_changes(&self, values: &Values, offset: &mut Vec<f64>, work: &mut Work) {
        let Work { seen, terms, stale, .. } = work;
        let sources = seen.ideals.len();
        let held = !same(&values.ideals[..sources], &seen.ideals);
        if held {
            seen.ideals.copy_from_slice(&values.ideals[..sources]);
            self.set_offsets(values, offset);
        }
        let count = self.ends.len();
        let (siemens, drive) = (&values.siemens[..count], &values.drive[..count]);
        let (known_siemens, known_drive) = (&mut seen.siemens[..count], &mut seen.drive[..count]);
        for branch in 0..count {
            let apart = (siemens[branch].to_bits() ^ known_siemens[branch].to_bits())
                | (drive[branch].to_bits() ^ known_drive[branch].to_bits());
            if apart != 0 {
                (known_siemens[branch], known_drive[branch]) = (siemens[branch], drive[branch]);
                self.note(branch, values, offset, (&mut *terms, &mut *stale));
            }
        }
        if held {
            for branch in &self.held {
                self.note(*branch as usize, values, offset, (&mut *terms, &mut *stale));
            }
        }
    }

    /// What a branch adds now, and the steps that hear of it.
    fn note(
        &self,
        branch: usize,
        values: &Values,
        offset: &[f64],
        (terms, stale): (&mut Terms, &mut [bool]),
    ) {
        let (slot, sign) = self.slots[branch];
        if slot == NONE {
            return;
        }
        let (siemens, mut drive) = (values.siemens[branch], values.drive[branch]);
        if !offset.is_empty() {
            let (a, b) = self.ends[branch];
            drive -= siemens * (offset[a.at()] - offset[b.at()]);
        }
        terms.put(branch, siemens, sign * drive);
        let mut at = self.order.owner[slot as usize];
        while at != NONE && !stale[at as usize] {
            stale[at as usize] = true;
            at = self.order.steps[at as usize].next;
        }
    }

    fn set_offsets(&self, values: &Values, offset: &mut Vec<f64>) {
        offset.clear();
        offset.resize(self.node.len(), 0.0);
        for link in &self.links {
            let step =
                if link.source == NO_SOURCE { 0.0 } else { link.sign * values.ideals[link.source as usize] };
            offset[link.place as usize] = offset[link.up as usize] + step;
        }
    }

    /// Forward, for what is stale: afterwards each spoke has its share of d, each pair what is left
    /// behind for it, and each node its drive over d.
    #[expect(clippy::needless_range_loop, reason = "several lists are gone through side by side")]
    pub(super) fn eliminate(&self, work: &mut Work) {
        let Work { terms, stale, share, inverse, solved, star, .. } = work;
        for at in 0..self.order.steps.len() {
            if !std::mem::take(&mut stale[at]) {
                continue;
            }
            let step = self.order.steps[at];
            let (from, to) = (step.spokes.0 as usize, step.spokes.1 as usize);
            let begins = &self.begins[from..=to];
            let (star_g, star_q) = (&mut star.siemens[..to - from], &mut star.drive[..to - from]);
            let (mut d, mut drive) = (0.0, 0.0);
            for at in 0..star_g.len() {
                let (mut g, mut q) = (0.0, 0.0);
                for term in &self.adds[begins[at] as usize..begins[at + 1] as usize] {
                    g += terms.siemens[*term as usize];
                    q += terms.drive[*term as usize];
                }
                (star_g[at], star_q[at]) = (g, q);
                d += g;
                drive += q;
            }
            let over = if d > 0.0 { 1.0 / d } else { 0.0 };
            inverse[step.node as usize] = over;
            solved[step.node as usize].own = drive * over;
            let share = &mut share[from..to];
            let mut pair = step.pairs as usize;
            for i in 0..star_g.len() {
                let (g_share, q_share) = (star_g[i] * over, star_q[i] * over);
                share[i] = g_share;
                for j in i + 1..star_g.len() {
                    let drive = self.order.pairs[pair].sign * (g_share * star_q[j] - q_share * star_g[j]);
                    terms.put(self.ends.len() + pair, g_share * star_g[j], drive);
                    pair += 1;
                }
            }
        }
    }

    /// Back: the volts and the part of each node from those of its spokes.
    pub(super) fn substitute(&self, work: &mut Work) {
        let Work { share, solved, .. } = work;
        for step in self.order.steps.iter().rev() {
            let spokes = step.spokes.0 as usize..step.spokes.1 as usize;
            let (mut volts, mut part) = (solved[step.node as usize].own, step.node);
            for slot in spokes {
                let (share, far) = (share[slot], solved[self.order.far[slot] as usize]);
                volts += share * far.volts;
                part = if share > 0.0 { far.part } else { part };
            }
            let own = &mut solved[step.node as usize];
            (own.volts, own.part) = (volts, part);
        }
    }
}

/// The same to the last bit.
fn same(one: &[f64], other: &[f64]) -> bool {
    let other = &other[..one.len()];
    let mut apart = 0;
    for at in 0..one.len() {
        apart |= one[at].to_bits() ^ other[at].to_bits();
    }
    apart == 0
}

/// A number for every node, and how many there are.
fn numbered(network: &Network) -> (Vec<u32>, usize) {
    let roots: Vec<Place> = (0u32..).zip(&network.hangs).map(|(p, _)| network.root(Place(p)).0).collect();
    let mut number = vec![u32::MAX; roots.len()];
    let mut count = 0;
    for root in &roots {
        let own = &mut number[root.at()];
        if *own == u32::MAX {
            *own = count;
            count += 1;
        }
    }
    (roots.iter().map(|root| number[root.at()]).collect(), count as usize)
}

/// The links of the union–find, so ordered that a place comes after what it hangs on.
fn links(network: &Network) -> Vec<Link> {
    let mut depth: Vec<(usize, u32)> = (0u32..)
        .zip(&network.hangs)
        .filter(|(place, hang)| hang.up != *place)
        .map(|(place, _)| (height(network, place), place))
        .collect();
    depth.sort_unstable();
    let link = |place: u32| {
        let hang = network.hangs[place as usize];
        let (source, sign) = hang.source.unwrap_or((NO_SOURCE, 0.0));
        Link { place, up: hang.up, source, sign }
    };
    depth.into_iter().map(|(_, place)| link(place)).collect()
}

fn height(network: &Network, mut place: u32) -> usize {
    let mut steps = 0;
    while network.hangs[place as usize].up != place {
        place = network.hangs[place as usize].up;
        steps += 1;
    }
    steps
}
