//! Resistances between places, all sources dead, from an elimination that is already done.
//!
//! To the reference they go back by the same shares as the volts, sums of positive terms only (the
//! selected inverse, Erisman & Tinney 1975). Between any two places one ampere is pushed through.

use super::circuit::{Circuit, Solution};
use super::network::Place;
use super::order::Order;
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
        let (order, work) = (&self.pattern().order, &solution.work);
        let nodes = self.pattern().nodes;
        let mut z = Resistances { own: vec![0.0; nodes], between: vec![0.0; order.far.len()] };
        for step in order.steps.iter().rev() {
            let (from, to) = (step.spokes.0 as usize, step.spokes.1 as usize);
            let mut own = work.inverse[step.node as usize];
            for slot in from..to {
                let mut sum = 0.0;
                for via in from..to {
                    let share = work.share(via);
                    if share > 0.0 {
                        let ends = (slot - from, via - from);
                        sum += share * z.pair_ohms(order, (to - from, step.pairs), ends, order.far[slot]);
                    }
                }
                z.between[slot] = sum;
                own += work.share(slot) * sum;
            }
            z.own[step.node as usize] = own;
        }
        z
    }

    /// The ohms between a place and the reference with every source dead; none without a path.
    #[must_use]
    pub fn ohms(&self, solution: &Solution, resistances: &Resistances, place: Place) -> Option<Ohms> {
        (!solution.floats(place)).then(|| Ohms(resistances.own[self.pattern().node[place.at()] as usize]))
    }

    /// The ohms between two places with every source dead; none without a path. One ampere is pushed
    /// in at one and taken out at the other, through the elimination that is already done.
    #[must_use]
    pub fn ohms_between(&self, solution: &Solution, a: Place, b: Place) -> Option<Ohms> {
        if solution.part(a) != solution.part(b) {
            return None;
        }
        let (pattern, work) = (self.pattern(), &solution.work);
        let (order, mut push) = (&pattern.order, vec![0.0_f64; pattern.nodes]);
        let (from, to) = (pattern.node[a.at()] as usize, pattern.node[b.at()] as usize);
        if from == to {
            return Some(Ohms(0.0));
        }
        push[from] = 1.0;
        push[to] = -1.0;
        for step in &order.steps {
            let amps = push[step.node as usize];
            if amps.abs() > 0.0 {
                for slot in step.spokes.0 as usize..step.spokes.1 as usize {
                    push[order.far[slot] as usize] += work.share(slot) * amps;
                }
            }
        }
        let mut volts = vec![0.0; pattern.nodes];
        for step in order.steps.iter().rev() {
            let node = step.node as usize;
            volts[node] = push[node] * work.inverse[node];
            for slot in step.spokes.0 as usize..step.spokes.1 as usize {
                volts[node] += work.share(slot) * volts[order.far[slot] as usize];
            }
        }
        Some(Ohms((volts[from] - volts[to]).max(0.0)))
    }
}

impl Resistances {
    fn pair_ohms(&self, order: &Order, (n, first): (usize, u32), (i, j): (usize, usize), far: u32) -> f64 {
        if i == j {
            return self.own[far as usize];
        }
        let (i, j) = (i.min(j), i.max(j));
        let at = first as usize + i * n - i * (i + 1) / 2 + (j - i - 1);
        self.between[order.pairs[at].slot as usize]
    }
}
