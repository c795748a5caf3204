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
//! What is absent has g = 0. A node that finds d = 0 is the last of a part without a path to the
//! reference: that part floats, and its volts are told from that node.

use super::network::{Branch, Ideal, Network, NetworkError, Place, Stretch, conductance};
use super::order::{Order, Spoke, Step};
use crate::units::{Amps, Ohms, Volts};

/// A network with its order of elimination.
#[derive(Debug, Clone)]
pub struct Circuit {
    pub(super) order: Order,
    /// Per place: its node, those that are one counted once.
    pub(super) node: Vec<u32>,
    pub(super) nodes: usize,
    /// Places with the link that gives their offset, roots before what hangs on them.
    links: Vec<Link>,
    /// Branches between two nodes.
    feeders: Vec<Feeder>,
    /// Those of them that an ideal source may hold apart at an end.
    shifted: Vec<Feeder>,
    ends: Vec<(Place, Place)>,
    reference: Place,
}

/// A branch, and the slot that it adds to.
#[derive(Debug, Clone, Copy)]
struct Feeder {
    branch: u32,
    slot: u32,
    /// 1 if its drive points as the slot's does, else −1.
    sign: f64,
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
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Values {
    siemens: Vec<f64>,
    drive: Vec<f64>,
    ideals: Vec<f64>,
}

/// The volts of every place, and which places float.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Solution {
    volts: Vec<f64>,
    pub(super) part: Vec<u32>,
    offset: Vec<f64>,
    pub(super) home: u32,
    pub(super) work: Work,
}

#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Work {
    /// Per slot: conductance; once a node is eliminated, the share of its d instead.
    g: Vec<f64>,
    /// Per slot: drive.
    q: Vec<f64>,
    /// Per node: 1/d, zero where the node is the last of its part.
    pub(super) inverse: Vec<f64>,
    node_volts: Vec<f64>,
    node_part: Vec<u32>,
    /// Conductances and drives of the node at hand.
    star_g: Vec<f64>,
    star_q: Vec<f64>,
}

impl Work {
    /// The share of d that a spoke of an eliminated node has.
    pub(super) fn share(&self, slot: u32) -> f64 {
        self.g[slot as usize]
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
        let edge = |s: &Stretch| (node[s.a.at()], node[s.b.at()]);
        let order = Order::new(nodes, network.stretches.iter().map(edge), node[reference.at()]);
        let mut feeders = Vec::new();
        for (branch, stretch) in (0u32..).zip(&network.stretches) {
            let (a, b) = edge(stretch);
            let slot = order.slot_between(a, b).and_then(|slot| u32::try_from(slot).ok());
            feeders.extend(slot.map(|slot| Feeder { branch, slot, sign: if a < b { 1.0 } else { -1.0 } }));
        }
        let links = links(network);
        let held = |place: Place| network.root(place).0 != place;
        let is_shifted = |f: &&Feeder| {
            let stretch = &network.stretches[f.branch as usize];
            held(stretch.a) || held(stretch.b)
        };
        let shifted = if network.ideals.is_empty() {
            Vec::new()
        } else {
            feeders.iter().filter(is_shifted).copied().collect()
        };
        let ends = network.stretches.iter().map(|s| (s.a, s.b)).collect();
        Self { order, node, nodes, links, feeders, shifted, ends, reference }
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

    /// Solves into a solution that was used before, without new memory.
    pub fn solve_into(&self, values: &Values, solution: &mut Solution) {
        self.set_offsets(values, &mut solution.offset);
        self.fill_slots(values, solution);
        self.eliminate(&mut solution.work);
        self.substitute(&mut solution.work);
        self.tell(solution);
    }

    pub(super) fn spokes(&self, step: &Step) -> &[Spoke] {
        &self.order.spokes[step.spokes.0 as usize..step.spokes.1 as usize]
    }

    /// The current through a branch, from its first end to its second.
    #[must_use]
    pub fn amps(&self, values: &Values, solution: &Solution, branch: Branch) -> Amps {
        let (a, b) = self.ends[branch.at()];
        let (va, vb) = (solution.volts[a.at()], solution.volts[b.at()]);
        Amps(values.siemens[branch.at()] * (va - vb) - values.drive[branch.at()])
    }

    /// The two ends of a branch.
    #[must_use]
    pub fn ends(&self, branch: Branch) -> (Place, Place) {
        self.ends[branch.at()]
    }

    /// True if the two places are one node: joined, or held apart by an ideal source only.
    #[must_use]
    pub fn one_node(&self, a: Place, b: Place) -> bool {
        self.node[a.at()] == self.node[b.at()]
    }

    /// True if an ideal source holds the place against another of its node.
    pub(super) fn is_held(&self, place: Place) -> bool {
        self.links.iter().any(|link| link.source != NO_SOURCE && self.one_node(Place(link.place), place))
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

    fn fill_slots(&self, values: &Values, solution: &mut Solution) {
        let Work { g, q, .. } = &mut solution.work;
        for list in [&mut *g, &mut *q] {
            list.clear();
            list.resize(self.order.slots, 0.0);
        }
        for feeder in &self.feeders {
            let (branch, slot) = (feeder.branch as usize, feeder.slot as usize);
            g[slot] += values.siemens[branch];
            q[slot] += feeder.sign * values.drive[branch];
        }
        for feeder in &self.shifted {
            let branch = feeder.branch as usize;
            let (a, b) = self.ends[branch];
            let apart = solution.offset[a.at()] - solution.offset[b.at()];
            q[feeder.slot as usize] -= feeder.sign * values.siemens[branch] * apart;
        }
    }

    /// Forward: afterwards each spoke's slot holds its share of d, and `node_volts` the drive over d.
    fn eliminate(&self, work: &mut Work) {
        work.inverse.clear();
        work.inverse.resize(self.nodes, 0.0);
        work.node_volts.clear();
        work.node_volts.resize(self.nodes, 0.0);
        work.star_g.resize(self.order.widest, 0.0);
        work.star_q.resize(self.order.widest, 0.0);
        for step in &self.order.steps {
            let (mut d, mut drive) = (0.0, 0.0);
            let star = work.star_g.iter_mut().zip(&mut work.star_q);
            for ((own_g, own_q), spoke) in star.zip(self.spokes(step)) {
                *own_g = work.g[spoke.slot as usize];
                *own_q = spoke.sign * work.q[spoke.slot as usize];
                d += *own_g;
                drive += *own_q;
            }
            if d > 0.0 {
                let share = 1.0 / d;
                work.inverse[step.node as usize] = share;
                work.node_volts[step.node as usize] = drive * share;
                self.spread(step, share, work);
            }
        }
    }

    /// The mesh that a star leaves behind, and each spoke's share.
    fn spread(&self, step: &Step, share: f64, work: &mut Work) {
        let spokes = self.spokes(step);
        let (star_g, star_q) = (&work.star_g[..spokes.len()], &work.star_q[..spokes.len()]);
        let mut pairs = &self.order.pairs[step.pairs as usize..];
        for (i, spoke) in spokes.iter().enumerate() {
            let (g_share, q_share) = (star_g[i] * share, star_q[i] * share);
            let (other_g, other_q) = (&star_g[i + 1..], &star_q[i + 1..]);
            let (own, later) = pairs.split_at(other_g.len());
            for ((g, q), slot) in other_g.iter().zip(other_q).zip(own) {
                work.g[*slot as usize] += g_share * g;
                work.q[*slot as usize] += g_share * q - q_share * g;
            }
            work.g[spoke.slot as usize] = g_share;
            pairs = later;
        }
    }

    /// Back: the volts and the part of each node from those of its spokes.
    fn substitute(&self, work: &mut Work) {
        let Work { g, inverse, node_volts, node_part, .. } = work;
        let home = self.node[self.reference.at()];
        node_part.clear();
        node_part.resize(self.nodes, home);
        for step in self.order.steps.iter().rev() {
            let node = step.node as usize;
            if inverse[node] <= 0.0 {
                node_part[node] = step.node;
                continue;
            }
            let (mut volts, mut part) = (node_volts[node], step.node);
            for spoke in self.spokes(step) {
                let share = g[spoke.slot as usize];
                volts += share * node_volts[spoke.far as usize];
                if share > 0.0 {
                    part = node_part[spoke.far as usize];
                }
            }
            node_volts[node] = volts;
            node_part[node] = part;
        }
    }

    /// From nodes to places: volts against the reference in its part, elsewhere against the part's
    /// last node.
    fn tell(&self, solution: &mut Solution) {
        let Solution { volts, part, offset, home, work } = solution;
        *home = self.node[self.reference.at()];
        let zero = offset[self.reference.at()];
        volts.clear();
        part.clear();
        for (place, &node) in self.node.iter().enumerate() {
            let own = work.node_part[node as usize];
            part.push(own);
            let base = if own == *home { zero } else { 0.0 };
            volts.push(work.node_volts[node as usize] + (offset[place] - base));
        }
    }
}

impl Solution {
    /// The open-circuit volts of a place against the reference; none if it floats.
    #[must_use]
    pub fn volts(&self, place: Place) -> Option<Volts> {
        (!self.floats(place)).then(|| Volts(self.volts[place.at()]))
    }

    /// True if nothing that conducts joins the place to the reference.
    #[must_use]
    pub fn floats(&self, place: Place) -> bool {
        self.part[place.at()] != self.home
    }

    /// The open-circuit volts between two places; none if nothing that conducts joins them.
    #[must_use]
    pub fn between(&self, red: Place, black: Place) -> Option<Volts> {
        let joined = self.part[red.at()] == self.part[black.at()];
        joined.then(|| Volts(self.volts[red.at()] - self.volts[black.at()]))
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
