//! What a walk hands to who weighs suspects: the evidence of its round, and where it stands.

use std::collections::BTreeSet;

use crate::machine::Today;
use crate::reason::{Observed, RoundBefore, Said, SeenAt, Situation};
use crate::tree::{Act, Kind, Leads, OffTree};

use super::moment::Moment;
use super::state::{Now, Outcome, Visit, Walk, WhyGate};

impl Walk {
    /// What was seen in this round, and where the walk stands.
    #[must_use]
    pub fn observed(&self) -> Observed {
        Observed {
            course: self.course.clone(),
            today: self.today(),
            meter: self.meter(),
            seen: self.seen_in(self.round),
            before: (1..self.round).filter_map(|round| self.round_before(round)).collect(),
            at: if self.is_searching() { self.step_ix() } else { None },
            state: self.state.clone(),
            situation: self.situation(),
            zone: self.visits.last().and_then(|visit| self.course.tree().step(visit.step).zone.clone()),
        }
    }

    /// Whether a suggestion is to be told here: at a step, and at a gate of which nothing is confirmed yet. Who has begun to
    /// make the machine safe goes on with that.
    #[must_use]
    pub fn takes_suggestions(&self) -> bool {
        match &self.now {
            Now::Step(_) => true,
            Now::Gate(at) => at.item == 0 && at.why != WhyGate::NoWay,
            _ => false,
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

    /// A round of which the repair was written down: what was repaired was surely there.
    fn round_before(&self, round: u32) -> Option<RoundBefore> {
        let tree = self.course.tree();
        let of_round = || self.visits.iter().filter(move |v| v.round == round);
        let written = |v: &&Visit| self.repairs.iter().any(|mend| mend.step == tree.step(v.step).id);
        of_round().find(written)?;
        let mut repaired = of_round().filter_map(|v| match &tree.step(v.step).kind {
            Kind::Find(find) => Some(find.faults.clone()),
            _ => None,
        });
        Some(RoundBefore { seen: self.seen_in(round), repaired: repaired.next_back()? })
    }

    /// The same as it was in an earlier round, for who reads the job afterwards.
    #[must_use]
    pub fn observed_in(&self, round: u32) -> Observed {
        let before = (1..round).filter_map(|earlier| self.round_before(earlier)).collect();
        Observed { seen: self.seen_in(round), before, at: None, ..self.observed() }
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
        let mut seen: Vec<(Moment, SeenAt)> = self
            .evidence_of(round)
            .into_iter()
            .filter(before)
            .filter_map(|visit| Some((visit.left.unwrap_or(visit.entered), seen_at(visit)?)))
            .collect();
        let own = self.own.iter().zip(&self.own_situations).filter(|((_, at, of, _), _)| {
            *of == round && repaired.is_none_or(|repaired| at.mono_ms < repaired.mono_ms)
        });
        seen.extend(own.filter_map(|((step, at, _, own), situation)| {
            let step = tree.find(step)?;
            let off = OffTree {
                measure: own.reading.measure(),
                leads: Leads::RedBlack { red: own.red.clone(), black: own.black.clone() },
                with: own.with.clone(),
                moving: Vec::new(),
            };
            let said = Said::Own(Box::new(off), own.reading.clone());
            Some((*at, SeenAt { step, situation: situation.clone(), said }))
        }));
        seen.sort_by_key(|(at, _)| at.mono_ms);
        seen.into_iter().map(|(_, seen)| seen).collect()
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
