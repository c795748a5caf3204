//! From branches to node voltages: a network with an order of elimination, its values and what solves them.
//!
//! A circuit is a network with its order; its values change, and a solution is solved again from them.

use super::elimination::{Pattern, Solved, Work};
use super::network::{Branch, Ideal, Network, NetworkError, Place, conductance};
use super::order::NONE;
use crate::units::{Amps, Ohms, Volts};
use std::sync::Arc;

/// A network with its order of elimination.
#[derive(Debug, Clone)]
pub struct Circuit {
    pattern: Arc<Pattern>,
}

/// What the branches and sources of a circuit are worth now.
#[derive(Debug, Default, PartialEq)]
pub struct Values {
    pub(super) siemens: Vec<f64>,
    pub(super) drive: Vec<f64>,
    pub(super) ideals: Vec<f64>,
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

    pub(super) fn drive(&self, branch: Branch) -> f64 {
        self.drive[branch.at()]
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
        Self { pattern: Arc::new(Pattern::new(network, reference)) }
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
            solution.offset.clear();
            solution.work.reset(&self.pattern);
        }
        self.pattern.note_changes(values, &mut solution.offset, &mut solution.work);
        self.pattern.eliminate(&mut solution.work);
        self.pattern.substitute(&mut solution.work);
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
        self.pattern.held_places().any(|held| self.one_node(held, place))
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
        self.pattern.as_ref().map_or(NONE, |pattern| self.work.solved[pattern.node[place.at()] as usize].part)
    }

    /// Volts against the reference in its part, elsewhere against the part's last node.
    fn raw_volts(&self, place: Place) -> f64 {
        let Some(pattern) = self.pattern.as_deref() else { return 0.0 };
        let node = pattern.node[place.at()] as usize;
        let Solved { volts, part, .. } = self.work.solved[node];
        if self.offset.is_empty() {
            return volts;
        }
        let home = part == pattern.home();
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
