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

use super::network::{Branch, Ideal, Network, NetworkError, Place, conductance};
use super::order::{NONE, Order, Step, gathered};
use crate::units::{Amps, Ohms, Volts};
use std::sync::Arc;

/// A network with its order of elimination.
#[derive(Debug, Clone)]
pub struct Circuit {
    pattern: Arc<Pattern>,
}

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
    /// The branches of a slot: those of slot `s` stand from `fed[s]` to `fed[s + 1]` in `feeders`.
    fed: Vec<u32>,
    feeders: Vec<u32>,
    ends: Vec<(Place, Place)>,
    reference: Place,
    /// True if ideal sources hold places apart.
    offsets: bool,
}

#[derive(Debug, Clone, Copy)]
struct Link {
    place: u32,
    up: u32,
    source: u32,
    sign: f64,
}

const NO_SOURCE: u32 = u32::MAX;

/// What the branches and sources of a circuit are worth now.
#[derive(Debug, Default, PartialEq)]
pub struct Values {
    siemens: Vec<f64>,
    drive: Vec<f64>,
    ideals: Vec<f64>,
}

impl Clone for Values {
    fn clone(&self) -> Self {
        Self { siemens: self.siemens.clone(), drive: self.drive.clone(), ideals: self.ideals.clone() }
    }

    /// Without new memory.
    fn clone_from(&mut self, other: &Self) {
        self.siemens.clone_from(&other.siemens);
        self.drive.clone_from(&other.drive);
        self.ideals.clone_from(&other.ideals);
    }
}

/// The volts of every place, and which places float.
#[derive(Debug, Clone, Default)]
pub struct Solution {
    pattern: Option<Arc<Pattern>>,
    /// Per place: its volts above its node's; empty without ideal sources.
    offset: Vec<f64>,
    pub(super) work: Work,
}

#[derive(Debug, Clone, Default)]
pub(super) struct Work {
    /// Per branch: conductance and drive, as last solved.
    siemens: Vec<f64>,
    drive: Vec<f64>,
    /// Per step: it is to be eliminated anew.
    stale: Vec<bool>,
    /// Per slot of an eliminated node: its share of the node's d.
    share: Vec<f64>,
    /// Per pair: the conductance and drive left behind.
    mesh_g: Vec<f64>,
    mesh_q: Vec<f64>,
    /// Per node: 1/d, zero where the node is the last of its part, and its drive over d.
    pub(super) inverse: Vec<f64>,
    own_volts: Vec<f64>,
    node_volts: Vec<f64>,
    node_part: Vec<u32>,
    /// Conductances and drives of the node at hand.
    star_g: Vec<f64>,
    star_q: Vec<f64>,
}

impl Work {
    /// The share of d that a spoke of an eliminated node has.
    pub(super) fn share(&self, slot: usize) -> f64 {
        self.share[slot]
    }

    /// Makes room for a pattern; everything is to be eliminated anew.
    fn reset(&mut self, pattern: &Pattern) {
        let order = &pattern.order;
        let sized = |list: &mut Vec<f64>, size: usize| {
            list.clear();
            list.resize(size, 0.0);
        };
        sized(&mut self.siemens, pattern.ends.len());
        sized(&mut self.drive, pattern.ends.len());
        sized(&mut self.share, order.far.len());
        sized(&mut self.mesh_g, order.pairs.len());
        sized(&mut self.mesh_q, order.pairs.len());
        for list in [&mut self.inverse, &mut self.own_volts, &mut self.node_volts] {
            sized(list, pattern.nodes);
        }
        sized(&mut self.star_g, order.widest);
        sized(&mut self.star_q, order.widest);
        self.node_part.clear();
        self.node_part.resize(pattern.nodes, pattern.home());
        self.stale.clear();
        self.stale.resize(order.steps.len(), true);
    }
}

impl Values {
    /// Sets a branch's resistance; infinite ohms open it. Its source, if any, is dropped.
    ///
    /// # Errors
    /// [`NetworkError::Resistance`].
    pub fn set_ohms(&mut self, branch: Branch, ohms: Ohms) -> Result<(), NetworkError> {
        self.siemens[branch.at()] = conductance(ohms)?;
        self.drive[branch.at()] = 0.0;
        Ok(())
    }

    /// Sets a branch to a source of `volts` behind `ohms`, its plus at the branch's first end.
    ///
    /// # Errors
    /// [`NetworkError::Resistance`].
    pub fn set_source(&mut self, branch: Branch, (volts, ohms): (Volts, Ohms)) -> Result<(), NetworkError> {
        let siemens = conductance(ohms)?;
        self.siemens[branch.at()] = siemens;
        self.drive[branch.at()] = siemens * volts.value();
        Ok(())
    }

    /// Opens a branch: no conductance and no source.
    pub fn open(&mut self, branch: Branch) {
        self.siemens[branch.at()] = 0.0;
        self.drive[branch.at()] = 0.0;
    }

    /// Sets the volts of an ideal source.
    pub fn set_ideal(&mut self, source: Ideal, volts: Volts) {
        self.ideals[source.0 as usize] = volts.value();
    }

    /// Kills every source: voltage sources are shorts, current sources are open.
    pub fn kill_sources(&mut self) {
        self.drive.fill(0.0);
        self.ideals.fill(0.0);
    }

    /// Sets a branch that is known to be sound: conductance, and the current driven into its first end.
    pub(super) fn put(&mut self, branch: Branch, siemens: f64, drive: f64) {
        self.siemens[branch.at()] = siemens;
        self.drive[branch.at()] = drive;
    }

    pub(super) fn siemens(&self, branch: Branch) -> f64 {
        self.siemens[branch.at()]
    }

    /// True if the branch conducts.
    #[must_use]
    pub fn conducts(&self, branch: Branch) -> bool {
        self.siemens[branch.at()] > 0.0
    }

    /// True if the branch has a source in it.
    #[must_use]
    pub fn drives(&self, branch: Branch) -> bool {
        self.drive[branch.at()] != 0.0
    }
}

impl Circuit {
    /// Chooses the order of elimination of a network; volts are told against `reference`.
    #[must_use]
    pub fn new(network: &Network, reference: Place) -> Self {
        let (node, nodes) = numbered(network);
        let ends: Vec<(Place, Place)> = network.stretches.iter().map(|s| (s.a, s.b)).collect();
        let edge = |(a, b): &(Place, Place)| (node[a.at()], node[b.at()]);
        let order = Order::new(nodes, ends.iter().map(edge), node[reference.at()]);
        let slot = |(a, b)| order.slot_between(a, b).unwrap_or((NONE, 1.0));
        let slots: Vec<(u32, f64)> = ends.iter().map(edge).map(slot).collect();
        let (fed, feeders) = gathered(order.far.len(), slots.iter().map(|(slot, _)| *slot));
        let (links, offsets) = (links(network), !network.ideals.is_empty());
        let pattern = Pattern { order, node, nodes, links, slots, fed, feeders, ends, reference, offsets };
        Self { pattern: Arc::new(pattern) }
    }

    /// The values as the network was written.
    #[must_use]
    pub fn values(&self, network: &Network) -> Values {
        Values {
            siemens: network.stretches.iter().map(|s| s.siemens).collect(),
            drive: network.stretches.iter().map(|s| s.drive).collect(),
            ideals: network.ideals.clone(),
        }
    }

    /// Solves for the volts of every place.
    #[must_use]
    pub fn solve(&self, values: &Values) -> Solution {
        let mut solution = Solution::default();
        self.solve_into(values, &mut solution);
        solution
    }

    /// Solves into a solution that was used before, without new memory; what the changes since do not
    /// reach is not eliminated again.
    pub fn solve_into(&self, values: &Values, solution: &mut Solution) {
        let known = solution.pattern.as_ref().is_some_and(|known| Arc::ptr_eq(known, &self.pattern));
        if !known {
            solution.pattern = Some(Arc::clone(&self.pattern));
            solution.work.reset(&self.pattern);
        }
        let pattern = &*self.pattern;
        pattern.set_offsets(values, &mut solution.offset);
        pattern.note_changes(values, &solution.offset, &mut solution.work);
        pattern.eliminate(&mut solution.work);
        pattern.substitute(&mut solution.work);
    }

    pub(super) fn pattern(&self) -> &Pattern {
        &self.pattern
    }

    /// The current through a branch, from its first end to its second.
    #[must_use]
    pub fn amps(&self, values: &Values, solution: &Solution, branch: Branch) -> Amps {
        let (a, b) = self.pattern.ends[branch.at()];
        let apart = solution.raw_volts(a) - solution.raw_volts(b);
        Amps(values.siemens[branch.at()] * apart - values.drive[branch.at()])
    }

    /// The two ends of a branch.
    #[must_use]
    pub fn ends(&self, branch: Branch) -> (Place, Place) {
        self.pattern.ends[branch.at()]
    }

    /// True if the two places are one node: joined, or held apart by an ideal source only.
    #[must_use]
    pub fn one_node(&self, a: Place, b: Place) -> bool {
        self.pattern.node[a.at()] == self.pattern.node[b.at()]
    }

    /// True if an ideal source holds the place against another of its node.
    pub(super) fn is_held(&self, place: Place) -> bool {
        let links = &self.pattern.links;
        links.iter().any(|link| link.source != NO_SOURCE && self.one_node(Place(link.place), place))
    }
}

impl Pattern {
    fn home(&self) -> u32 {
        self.node[self.reference.at()]
    }

    fn set_offsets(&self, values: &Values, offset: &mut Vec<f64>) {
        offset.clear();
        if !self.offsets {
            return;
        }
        offset.resize(self.node.len(), 0.0);
        for link in &self.links {
            let step =
                if link.source == NO_SOURCE { 0.0 } else { link.sign * values.ideals[link.source as usize] };
            offset[link.place as usize] = offset[link.up as usize] + step;
        }
    }

    /// Takes over the values; marks every step that a changed branch has a say in.
    fn note_changes(&self, values: &Values, offset: &[f64], work: &mut Work) {
        for branch in 0..self.ends.len() {
            let (siemens, mut drive) = (values.siemens[branch], values.drive[branch]);
            if self.offsets {
                let (a, b) = self.ends[branch];
                drive -= siemens * (offset[a.at()] - offset[b.at()]);
            }
            let same = work.siemens[branch].to_bits() == siemens.to_bits()
                && work.drive[branch].to_bits() == drive.to_bits();
            if same {
                continue;
            }
            work.siemens[branch] = siemens;
            work.drive[branch] = drive;
            let slot = self.slots[branch].0;
            let mut at = if slot == NONE { NONE } else { self.order.owner[slot as usize] };
            while at != NONE && !work.stale[at as usize] {
                work.stale[at as usize] = true;
                at = self.order.steps[at as usize].next;
            }
        }
    }

    /// Forward, for what is stale: afterwards each spoke has its share of d, each pair what is left
    /// behind for it, and each node its drive over d.
    fn eliminate(&self, work: &mut Work) {
        for (at, step) in self.order.steps.iter().enumerate() {
            if !work.stale[at] {
                continue;
            }
            work.stale[at] = false;
            let (mut d, mut drive) = (0.0, 0.0);
            let (from, to) = (step.spokes.0 as usize, step.spokes.1 as usize);
            for slot in from..to {
                let (g, q) = self.gathered(slot, work);
                work.star_g[slot - from] = g;
                work.star_q[slot - from] = q;
                d += g;
                drive += q;
            }
            let share = if d > 0.0 { 1.0 / d } else { 0.0 };
            work.inverse[step.node as usize] = share;
            work.own_volts[step.node as usize] = drive * share;
            self.spread(step, share, work);
        }
    }

    /// The conductance of a slot and the drive into its first node: its branches', and what earlier
    /// eliminations left.
    fn gathered(&self, slot: usize, work: &Work) -> (f64, f64) {
        let (mut g, mut q) = (0.0, 0.0);
        for &branch in &self.feeders[self.fed[slot] as usize..self.fed[slot + 1] as usize] {
            g += work.siemens[branch as usize];
            q += self.slots[branch as usize].1 * work.drive[branch as usize];
        }
        for &pair in &self.order.from[self.order.came[slot] as usize..self.order.came[slot + 1] as usize] {
            g += work.mesh_g[pair as usize];
            q += work.mesh_q[pair as usize];
        }
        (g, q)
    }

    /// The mesh that a star leaves behind, and each spoke's share.
    fn spread(&self, step: &Step, share: f64, work: &mut Work) {
        let (from, to) = (step.spokes.0 as usize, step.spokes.1 as usize);
        let mut pair = step.pairs as usize;
        for i in 0..to - from {
            let (g_share, q_share) = (work.star_g[i] * share, work.star_q[i] * share);
            for j in i + 1..to - from {
                work.mesh_g[pair] = g_share * work.star_g[j];
                let drive = g_share * work.star_q[j] - q_share * work.star_g[j];
                work.mesh_q[pair] = self.order.pairs[pair].sign * drive;
                pair += 1;
            }
            work.share[from + i] = g_share;
        }
    }

    /// Back: the volts and the part of each node from those of its spokes.
    fn substitute(&self, work: &mut Work) {
        for step in self.order.steps.iter().rev() {
            let node = step.node as usize;
            let (mut volts, mut part) = (work.own_volts[node], step.node);
            for slot in step.spokes.0 as usize..step.spokes.1 as usize {
                let (share, far) = (work.share[slot], self.order.far[slot] as usize);
                volts += share * work.node_volts[far];
                if share > 0.0 {
                    part = work.node_part[far];
                }
            }
            work.node_volts[node] = volts;
            work.node_part[node] = part;
        }
    }
}

impl Solution {
    /// The open-circuit volts of a place against the reference; none if it floats.
    #[must_use]
    pub fn volts(&self, place: Place) -> Option<Volts> {
        (!self.floats(place)).then(|| Volts(self.raw_volts(place)))
    }

    /// True if nothing that conducts joins the place to the reference.
    #[must_use]
    pub fn floats(&self, place: Place) -> bool {
        self.pattern.as_ref().is_none_or(|pattern| self.part(place) != pattern.home())
    }

    /// The open-circuit volts between two places; none if nothing that conducts joins them.
    #[must_use]
    pub fn between(&self, red: Place, black: Place) -> Option<Volts> {
        let joined = self.part(red) == self.part(black);
        joined.then(|| Volts(self.raw_volts(red) - self.raw_volts(black)))
    }

    /// The last node of the part that a place is in: what conducts joins those with the same.
    pub(super) fn part(&self, place: Place) -> u32 {
        self.pattern.as_ref().map_or(NONE, |pattern| self.work.node_part[pattern.node[place.at()] as usize])
    }

    /// Volts against the reference in its part, elsewhere against the part's last node.
    fn raw_volts(&self, place: Place) -> f64 {
        let Some(pattern) = self.pattern.as_deref() else { return 0.0 };
        let node = pattern.node[place.at()] as usize;
        let volts = self.work.node_volts[node];
        if self.offset.is_empty() {
            return volts;
        }
        let home = self.work.node_part[node] == pattern.home();
        volts + self.offset[place.at()] - if home { self.offset[pattern.reference.at()] } else { 0.0 }
    }
}

/// The same volts everywhere, and the same places joined.
impl PartialEq for Solution {
    fn eq(&self, other: &Self) -> bool {
        let places = self.pattern.as_ref().map_or(0, |pattern| pattern.node.len());
        let theirs = other.pattern.as_ref().map_or(0, |pattern| pattern.node.len());
        let same = |place| {
            self.part(place) == other.part(place)
                && self.raw_volts(place).to_bits() == other.raw_volts(place).to_bits()
        };
        places == theirs && (0u32..).take(places).map(Place).all(same)
    }
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
