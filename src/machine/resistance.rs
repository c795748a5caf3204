//! Resistances between places, all sources dead, from an elimination that is already done.
//!
//! To the reference they go back by the same shares as the volts, sums of positive terms only (the
//! selected inverse, Erisman & Tinney 1975). Between any two places one ampere is pushed through.

use super::circuit::{Circuit, Solution};
use super::network::Place;
use crate::units::Ohms;

/// Resistances of nodes to the reference, all sources dead.
#[derive(Debug, Clone, PartialEq)]
pub struct Resistances {
    own: Vec<f64>,
    between: Vec<f64>,
}

impl Circuit {
    /// Resistances of every node to the reference, all sources dead, from a solved elimination.
    #[must_use]
    pub fn resistances(&self, solution: &Solution) -> Resistances {
        let (nodes, work) = (self.nodes, &solution.work);
        let mut z = Resistances { own: vec![0.0; nodes], between: vec![0.0; self.order.slots] };
        for step in self.order.steps.iter().rev() {
            let spokes = self.spokes(step);
            let mut own = work.inverse[step.node as usize];
            for (i, to) in spokes.iter().enumerate() {
                let mut sum = 0.0;
                for (j, via) in spokes.iter().enumerate() {
                    let share = work.share(via.slot);
                    if share > 0.0 {
                        sum += share * self.pair_ohms(&z, (spokes.len(), step.pairs), (i, j), to.far);
                    }
                }
                z.between[to.slot as usize] = sum;
                own += work.share(to.slot) * sum;
            }
            z.own[step.node as usize] = own;
        }
        z
    }

    /// The ohms between a place and the reference with every source dead; none without a path.
    #[must_use]
    pub fn ohms(&self, solution: &Solution, resistances: &Resistances, place: Place) -> Option<Ohms> {
        let grounded = solution.part[place.at()] == solution.home;
        grounded.then(|| Ohms(resistances.own[self.node[place.at()] as usize]))
    }

    /// The ohms between two places with every source dead; none without a path. One ampere is pushed
    /// in at one and taken out at the other, through the elimination that is already done.
    #[must_use]
    pub fn ohms_between(&self, solution: &Solution, a: Place, b: Place) -> Option<Ohms> {
        if solution.part[a.at()] != solution.part[b.at()] {
            return None;
        }
        let (from, to) = (self.node[a.at()] as usize, self.node[b.at()] as usize);
        let (work, mut push) = (&solution.work, vec![0.0; self.nodes]);
        if from == to {
            return Some(Ohms(0.0));
        }
        push[from] = 1.0;
        push[to] = -1.0;
        for step in &self.order.steps {
            let amps = push[step.node as usize];
            for spoke in self.spokes(step) {
                push[spoke.far as usize] += work.share(spoke.slot) * amps;
            }
        }
        let mut volts = vec![0.0; self.nodes];
        for step in self.order.steps.iter().rev() {
            let node = step.node as usize;
            volts[node] = push[node] * work.inverse[node];
            for spoke in self.spokes(step) {
                volts[node] += work.share(spoke.slot) * volts[spoke.far as usize];
            }
        }
        Some(Ohms((volts[from] - volts[to]).max(0.0)))
    }

    fn pair_ohms(&self, z: &Resistances, (n, first): (usize, u32), (i, j): (usize, usize), far: u32) -> f64 {
        if i == j {
            return z.own[far as usize];
        }
        let (i, j) = (i.min(j), i.max(j));
        let at = first as usize + i * n - i * (i + 1) / 2 + (j - i - 1);
        z.between[self.order.pairs[at] as usize]
    }
}
