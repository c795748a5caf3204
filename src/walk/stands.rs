//! A job taken up again with the cab up: how it stands is asked first, and put in force before anything else.
//!
//! What was recorded about the cab says only whether to ask. The answer itself puts nothing in force: it leads through
//! the gates that do, item by item.

use crate::safety::{Arms, Cab, Change, Demand, Facet, Gate, GateId, SafetyRule, Values};
use crate::tree::StepIx;

use super::declined::{Declined, no_answer};
use super::event::{CabStands, Event};
use super::moment::Moment;
use super::state::{Now, Walk};

impl Walk {
    /// True if the cab was up when it was last heard of: raising it was the last that was begun with it, or letting it
    /// down was begun and not confirmed.
    fn may_be_up(&self) -> bool {
        let is_of_cab =
            |gate: GateId| gate == GateId::BuiltIn(Gate::RaiseCab) || gate == GateId::BuiltIn(Gate::LowerCab);
        let last = self.gates.iter().rev().find(|log| is_of_cab(log.gate));
        last.is_some_and(|log| log.gate == GateId::BuiltIn(Gate::RaiseCab) || log.passed.is_none())
    }

    /// True if the cab was confirmed on its support when it was last heard of.
    pub(super) fn was_held(&self) -> bool {
        let raise = GateId::BuiltIn(Gate::RaiseCab);
        let lower = GateId::BuiltIn(Gate::LowerCab);
        let last = self.gates.iter().rev().find(|log| log.gate == raise || log.gate == lower);
        last.is_some_and(|log| log.gate == raise && log.passed.is_some())
    }

    /// Where the walk is not under guard already, how the cab stands is asked before it goes on.
    pub(super) fn ask_how_it_stands(&mut self) {
        let Some(ix) = self.step_ix().filter(|_| self.may_be_up() && !self.is_guarding()) else { return };
        self.now = Now::Stands(ix);
    }

    pub(super) fn accept_stands(&self, answer: &str) -> Result<Event, Declined> {
        let known = CabStands::ALL.iter().find(|(word, _)| *word == answer);
        let Some((_, cab)) = known else {
            let words: Vec<&str> = CabStands::ALL.iter().map(|(word, _)| *word).collect();
            return Err(Declined::Here(no_answer(answer, &words)));
        };
        Ok(Event::Stands { step: self.step_id().to_owned(), cab: *cab })
    }

    pub(super) fn stands(&mut self, step: &str, cab: CabStands, at: Moment) -> Result<(), String> {
        let Now::Stands(ix) = self.now else { return Err("nobody had asked how the cab stands".to_owned()) };
        if self.course.tree().step(ix).id != step {
            return Err(format!("the walk was at {}, not at {step}", self.step_id()));
        }
        self.cab = Some(match cab {
            CabStands::Held => Cab::Supported.only(),
            CabStands::Loose if self.wants_cab_up(ix) => Cab::Supported.only(),
            CabStands::Down | CabStands::Loose => Cab::Down.only(),
        });
        self.arrive(ix, at);
        Ok(())
    }

    /// True if more of what the step ahead needs holds with the cab on its support than with it down.
    ///
    /// A cab that nothing holds is first made what the step ahead needs, as every missing need is: moving it there and
    /// then the other way would move it once more than must be. Where the step asks nothing of it, it goes down, where
    /// nothing can fall any more ("fully lowered or blocked", 29 CFR 1926.600(a)(3)(i)).
    fn wants_cab_up(&self, ix: StepIx) -> bool {
        let unmet = |cab: Values| {
            let mut state = self.state.clone();
            let vocabulary = self.course.vocabulary();
            state.apply(Change::Set(Facet::CAB, cab), vocabulary);
            self.course.demands(ix).iter().filter(|demand| !demand.holds(&state, vocabulary)).count()
        };
        unmet(Cab::Supported.only()) < unmet(Cab::Down.only())
    }

    pub(super) fn not_asked_first(&self) -> Result<(), String> {
        match self.now {
            Now::Stands(_) => Err("how the cab stands had not been said".to_owned()),
            _ => Ok(()),
        }
    }

    /// What the cab, as it was said to stand, still needs; nothing once it is in force.
    pub(super) fn cab_as_said(&mut self) -> Vec<Demand> {
        let Some(values) = self.cab else { return Vec::new() };
        let demand = needs(Facet::CAB, values);
        if demand.holds(&self.state, self.course.vocabulary()) {
            self.cab = None;
            return Vec::new();
        }
        // With the arms over it, nobody goes near the cab.
        vec![demand, needs(Facet::ARMS, Arms::Down.only().or(Arms::Supported.only()))]
    }
}

fn needs(facet: Facet, values: Values) -> Demand {
    Demand::one(SafetyRule::GateCabNotHeld, crate::safety::Atom::Within(facet, values))
}
