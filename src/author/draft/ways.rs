//! The way from one state of the machine to what a step needs: plugs put together or parted, controls tied, gates.
//!
//! Every step of a way is itself held against what it needs, so that a draft has gates where safety demands them and
//! nowhere else.

use std::cell::RefCell;
use std::collections::HashMap;

use crate::machine::{Machine, Reach};
use crate::reason::step_minutes;
use crate::safety::{
    Atom, Deed, Demand, Facet, FacetKind, Fact, GateId, NamedKind, SafetyRule, State, Way, changes, way_to,
};
use crate::tree::StepIx;

use super::rehearsal::Rehearsal;
use super::yaml;

/// What the action is about that puts all leads on, or takes all off.
pub(super) const LEADS: &str = "leads";

/// One thing on a way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Move {
    /// Gates, in this order.
    Gates(Vec<GateId>),
    /// A rehearsed action.
    Act(StepIx),
}

/// A way: what to do, what it takes, and what is known afterwards.
#[derive(Debug, Clone)]
pub(super) struct Path {
    pub(super) moves: Vec<Move>,
    pub(super) minutes: f64,
    pub(super) state: State,
}

/// What a step needs of the machine.
#[derive(Debug, Clone, Default)]
pub(super) struct Needs {
    pub(super) demands: Vec<Demand>,
    /// Some: exactly these plugs are apart.
    pub(super) apart: Option<Vec<String>>,
    /// Controls that may be tied for it.
    pub(super) tieable: Vec<String>,
    /// Controls that are tied for it.
    pub(super) tied: Vec<String>,
    /// What leads or the clamp have to be on.
    pub(super) leads: Vec<String>,
}

/// Gates and their minutes; none where none lead there.
type Gates = Option<(Vec<GateId>, f64)>;

/// Finds ways, and remembers the gates of each.
pub(super) struct Ways<'r> {
    pub(super) rehearsal: &'r Rehearsal,
    pub(super) machine: &'r Machine,
    known: RefCell<HashMap<(State, Vec<Demand>), Gates>>,
}

impl<'r> Ways<'r> {
    pub(super) fn new(rehearsal: &'r Rehearsal, machine: &'r Machine) -> Self {
        Self { rehearsal, machine, known: RefCell::default() }
    }

    /// The way to what a step needs; none if no gates lead there.
    pub(super) fn to(&self, from: &State, needs: &Needs) -> Option<Path> {
        let mut path = Path { moves: Vec::new(), minutes: 0.0, state: from.clone() };
        if let Some(wanted) = &needs.apart {
            for plug in self.named(&path.state, NamedKind::Apart) {
                if !wanted.contains(&plug) {
                    self.act(&mut path, "plug", &plug)?;
                }
            }
            let apart = self.named(&path.state, NamedKind::Apart);
            for plug in wanted.iter().filter(|plug| !apart.contains(plug)) {
                self.act(&mut path, "unplug", plug)?;
            }
        }
        let fitted = self.named(&path.state, NamedKind::Fitted);
        if !needs.leads.iter().all(|point| fitted.contains(point)) {
            self.act(&mut path, "fit", LEADS)?;
        }
        let tied = self.named(&path.state, NamedKind::Tied);
        for control in needs.tied.iter().filter(|c| !tied.contains(c)) {
            self.act(&mut path, "tie", control)?;
        }
        if self.gates(&mut path, &needs.demands).is_none() {
            for control in &needs.tieable {
                let tied = self.named(&path.state, NamedKind::Tied);
                if !tied.contains(control)
                    && self
                        .machine
                        .control(control)
                        .is_some_and(|c| self.machine.reach(c) == Reach::SeatOrTied)
                {
                    self.act(&mut path, "tie", control)?;
                }
            }
            self.gates(&mut path, &needs.demands)?;
        }
        Some(path)
    }

    /// Does a rehearsed action, through the gates that it needs.
    pub(super) fn act(&self, path: &mut Path, what: &str, name: &str) -> Option<()> {
        let ix = self.rehearsal.step(&format!("{what}-{}", yaml::slug(name)))?;
        self.gates(path, &self.rehearsal.demands(ix))?;
        path.moves.push(Move::Act(ix));
        let step = self.rehearsal.course.tree().step(ix);
        path.minutes += step_minutes(step, self.rehearsal.vocabulary(), Some(self.machine)).value();
        path.state = self.rehearsal.after(&path.state, ix);
        Some(())
    }

    /// Passes the gates that put these demands in force.
    pub(super) fn gates(&self, path: &mut Path, demands: &[Demand]) -> Option<()> {
        let (gates, minutes) = self.gates_to(&path.state, demands)?;
        if gates.is_empty() {
            return Some(());
        }
        for gate in &gates {
            let vocabulary = self.rehearsal.vocabulary();
            path.state.apply_all(&changes(&Deed::Gate(*gate), vocabulary), vocabulary);
        }
        path.minutes += minutes;
        match path.moves.last_mut() {
            Some(Move::Gates(own)) => own.extend(gates),
            _ => path.moves.push(Move::Gates(gates)),
        }
        Some(())
    }

    fn gates_to(&self, state: &State, demands: &[Demand]) -> Option<(Vec<GateId>, f64)> {
        let key = (state.clone(), demands.to_vec());
        if let Some(known) = self.known.borrow().get(&key) {
            return known.clone();
        }
        let found = match way_to(state, demands, self.rehearsal.vocabulary()) {
            Way::InForce => Some((Vec::new(), 0.0)),
            Way::Gates { gates, minutes } => Some((gates, minutes.value())),
            Way::None => None,
        };
        self.known.borrow_mut().insert(key, found.clone());
        found
    }

    /// The names of what may be apart, tied or fitted.
    pub(super) fn named(&self, state: &State, kind: NamedKind) -> Vec<String> {
        let vocabulary = self.rehearsal.vocabulary();
        let all = vocabulary.named(kind).into_iter();
        let may = all.filter(|(_, facet)| !state.is_within(*facet, Fact::No.only(), vocabulary));
        may.map(|(name, _)| name.to_owned()).collect()
    }

    /// What the machine must be like for all that holds in this state to hold again.
    pub(super) fn exactly(&self, state: &State) -> Needs {
        let vocabulary = self.rehearsal.vocabulary();
        let facets = vocabulary
            .facets()
            .filter(|facet| matches!(vocabulary.kind(*facet), FacetKind::Condition | FacetKind::Own));
        let demand = |facet: Facet| {
            Demand::one(SafetyRule::GatePower, Atom::Within(facet, state.values(facet, vocabulary)))
        };
        Needs { demands: facets.map(demand).collect(), ..self.like(state) }
    }

    /// What the machine must be like to be in this state again, as far as a test can ask: the conditions that it has
    /// surely, what is apart, what is tied.
    pub(super) fn like(&self, state: &State) -> Needs {
        let vocabulary = self.rehearsal.vocabulary();
        let facets = vocabulary.facets().filter(|facet| match vocabulary.kind(*facet) {
            FacetKind::Condition => ![Facet::LOCK, Facet::WHOLE, Facet::PARKED].contains(facet),
            FacetKind::Own => true,
            _ => false,
        });
        let sure = |facet: &Facet| state.values(*facet, vocabulary).is_one();
        let demand = |facet: Facet| {
            Demand::one(SafetyRule::GatePower, Atom::Within(facet, state.values(facet, vocabulary)))
        };
        Needs {
            demands: facets.filter(sure).map(demand).collect(),
            apart: Some(self.named(state, NamedKind::Apart)),
            tieable: Vec::new(),
            tied: self.named(state, NamedKind::Tied),
            leads: self.named(state, NamedKind::Fitted),
        }
    }
}
