//! What a walk hands to who weighs suspects: the evidence of its round, and where it stands.

use std::collections::BTreeSet;

use crate::machine::Today;
use crate::reason::{Observed, Said, SeenAt, Situation};
use crate::tree::{Act, Kind};

use super::state::{Now, Outcome, Visit, Walk};

impl Walk {
    /// What was seen in this round, and where the walk stands.
    #[must_use]
    pub fn observed(&self) -> Observed {
        Observed {
            course: self.course.clone(),
            today: self.today(),
            meter: self.meter(),
            seen: self.seen_in(self.round),
            at: if self.is_searching() { self.step_ix() } else { None },
            state: self.state.clone(),
            situation: self.situation(),
            zone: self.visits.last().and_then(|visit| self.course.tree().step(visit.step).zone.clone()),
        }
    }

    /// Battery and temperature of the day.
    pub(super) fn today(&self) -> Today {
        let celsius = self.details.celsius.unwrap_or(Today::default().celsius);
        Today { volts: self.details.volts, celsius, ..Today::default() }
    }

    /// Power, plugs apart and wires cut as they stand now.
    #[must_use]
    pub fn situation(&self) -> Situation {
        let cut: BTreeSet<String> = self
            .visits
            .iter()
            .filter(|visit| visit.outcome == Outcome::Done)
            .flat_map(|visit| self.course.tree().step(visit.step).done_to(Act::Cuts))
            .map(str::to_owned)
            .collect();
        Situation::of(&self.state, self.course.vocabulary()).with_cut(cut)
    }

    /// Nothing was found in this round yet, and the walk goes on.
    fn is_searching(&self) -> bool {
        let is_find = |v: &Visit| matches!(self.course.tree().step(v.step).kind, Kind::Find(_));
        let found = self.visits.iter().any(|v| v.round == self.round && is_find(v));
        !found && matches!(self.now, Now::Step(_) | Now::Gate(_) | Now::Check(..))
    }

    /// The evidence of a round: what was answered and read before anything was repaired, each step once.
    #[must_use]
    pub fn seen_in(&self, round: u32) -> Vec<SeenAt> {
        let tree = self.course.tree();
        let is_repair = |v: &Visit| match &tree.step(v.step).kind {
            Kind::Do(action) => action.action.is_none() && v.outcome == Outcome::Done,
            _ => false,
        };
        let repaired = self.visits.iter().find(|v| v.round == round && is_repair(v)).map(|v| v.entered);
        let before = |v: &&Visit| repaired.is_none_or(|at| v.entered.mono_ms < at.mono_ms);
        self.evidence_of(round).into_iter().filter(before).filter_map(seen_at).collect()
    }
}

fn seen_at(visit: &Visit) -> Option<SeenAt> {
    let said = match &visit.outcome {
        Outcome::Answer(way) => Said::Way(*way),
        Outcome::Read { reading, band, .. } => Said::Reading(reading.clone(), *band),
        _ => return None,
    };
    Some(SeenAt { step: visit.step, situation: visit.situation.clone(), said })
}
