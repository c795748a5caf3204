//! A reading off the tree: what it does, in the terms of safety, as if the author had written it as a step.
//!
//! It goes through the very code that makes the deeds of a written step, so that nothing is allowed off the tree which
//! would be refused on it. Names that the tree never speaks of were never tied, fitted or taken apart: what would need
//! that needs the other alternative of its rule.

use crate::diag::{FileId, Place};
use crate::safety::{Deed, Facet, NamedKind, Place as Where, Reach, State, Zone};
use crate::units::Measure;

use super::course::{Course, watch_of};
use super::deeds::deeds_of_one;
use super::ground::{Ground, POWERS};
use super::model::{Kind, Leads, Read, Setup, Step};

/// A reading off the tree, as somebody wants to take it.
#[derive(Debug, Clone, PartialEq)]
pub struct OffTree {
    /// What is read.
    pub measure: Measure,
    /// Where.
    pub leads: Leads,
    /// Controls to be set.
    pub with: Setup,
    /// What is moved meanwhile.
    pub moving: Vec<String>,
}

impl OffTree {
    /// The reading as a step that stands in no tree and leads nowhere.
    #[must_use]
    pub fn step(&self) -> Step {
        let read = Read {
            measure: self.measure,
            leads: self.leads.clone(),
            while_moves: self.moving.clone(),
            loaded: None,
            wait: None,
            repeat: None,
            compare: None,
            in_line: false,
            fed: false,
            bus: false,
            apart: Vec::new(),
            tells: Vec::new(),
            bands: Vec::new(),
            proof: None,
        };
        Step {
            id: String::new(),
            kind: Kind::Read(Box::new(read)),
            text: None,
            caution: None,
            zone: None,
            with: self.with.clone(),
            power: None,
            moves: Vec::new(),
            minutes: None,
            cannot: None,
            place: Place::file(FileId(0)),
            flawed: false,
        }
    }
}

impl Course {
    /// What a reading off the tree does, with the machine in this state: where the body is, what is set, what is read,
    /// and what would move meanwhile.
    #[must_use]
    pub fn deeds_off_tree(&self, reading: &OffTree, state: &State) -> Vec<Deed> {
        let (tree, vocabulary) = (self.tree(), self.vocabulary());
        let ground = Ground::new(tree.model.as_deref(), vocabulary);
        let step = reading.step();
        let mut deeds = deeds_of_one(tree, &ground, &step);
        let powers = state.values(Facet::POWER, vocabulary);
        let can_be = |power: &crate::safety::Power| !powers.and(power.only()).is_empty();
        let moving =
            POWERS.into_iter().filter(can_be).find_map(|power| watch_of(&ground.moving(tree, &step, power)));
        if let Some(mut watch) = moving {
            watch.from = zone_of(&deeds).or(Some(Zone::Seat));
            deeds.push(Deed::Watch(watch));
        }
        deeds.into_iter().map(|deed| self.known(deed)).collect()
    }

    /// The deed with what the tree never names left out: a control that was never tied is set from the seat, a point
    /// on which no lead was ever fitted is reached by hand.
    fn known(&self, deed: Deed) -> Deed {
        let is_known = |(kind, name): (NamedKind, &str)| self.vocabulary().find(kind, name).is_some();
        if deed.names().into_iter().all(is_known) {
            return deed;
        }
        match deed {
            Deed::SetControl { reach: Reach::Anywhere, .. } => Deed::Step(crate::safety::StepKind::Read),
            Deed::SetControl { .. } => Deed::BeIn(Where::In(Zone::Seat)),
            Deed::ReadByLeads { from, .. } => Deed::ReadByLeads { points: Vec::new(), from },
            other => other,
        }
    }
}

fn zone_of(deeds: &[Deed]) -> Option<Zone> {
    deeds.iter().find_map(|deed| match deed {
        Deed::BeIn(Where::In(zone)) => Some(*zone),
        _ => None,
    })
}
