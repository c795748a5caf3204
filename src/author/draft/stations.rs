//! The states of the machine in which tests are done, and the minutes between them.
//!
//! A station is where the cheapest way from a parked machine to some test ends; a test may be done at every station
//! where all that it needs is in force. The first station is the telephone, to which no way leads back.

use crate::reason::{Conditions, ProblemError, Stand};
use crate::safety::{Deed, Gate, GateId, NamedKind, Power, State, changes};
use crate::units::Minutes;

use super::trial::{Trial, What};
use super::ways::{Needs, Ways};

/// All stations.
pub(super) struct Stations {
    pub(super) states: Vec<State>,
    needs: Vec<Needs>,
}

/// The number of the telephone among the stations.
pub(super) const TELEPHONE: usize = 0;

impl Stations {
    /// The stations of these trials, and where each may be done; a trial that no gates lead to stands nowhere.
    pub(super) fn of(ways: &Ways<'_>, trials: &[(usize, &Trial)]) -> (Self, Vec<Vec<Stand>>) {
        let vocabulary = ways.rehearsal.vocabulary();
        let start = State::at_start(vocabulary);
        let mut parked = start.clone();
        let pass = |state: &mut State, gate| {
            state.apply_all(&changes(&Deed::Gate(GateId::BuiltIn(gate)), vocabulary), vocabulary);
        };
        pass(&mut parked, Gate::Park);
        let mut lowered = parked.clone();
        pass(&mut lowered, Gate::LowerArms);
        let mut stations = Self { states: vec![start], needs: vec![Needs::default()] };
        for (at, trial) in trials.iter().filter(|(_, trial)| !trial.is_phone()) {
            // What is only looked at may need no more than a parked machine.
            let from = [trial.power.is_none().then_some(&parked), Some(&lowered)];
            for from in from.into_iter().flatten() {
                if let Some(path) = ways.to(from, &needs_of(ways, *at, trial)) {
                    stations.add(ways, path.state);
                }
            }
        }
        let stands = trials.iter().map(|(at, trial)| stations.stands(ways, *at, trial)).collect();
        (stations, stands)
    }

    fn add(&mut self, ways: &Ways<'_>, state: State) {
        let needs = ways.like(&state);
        let same = |own: &Needs| {
            own.demands == needs.demands
                && own.apart == needs.apart
                && own.tied == needs.tied
                && own.leads == needs.leads
        };
        if !self.needs.iter().any(same) {
            self.states.push(state);
            self.needs.push(needs);
        }
    }

    fn stands(&self, ways: &Ways<'_>, at: usize, trial: &Trial) -> Vec<Stand> {
        if trial.is_phone() {
            return vec![Stand { state: TELEPHONE, leaves: TELEPHONE }];
        }
        let needs = needs_of(ways, at, trial);
        let vocabulary = ways.rehearsal.vocabulary();
        let fits = |state: &State| {
            let apart =
                needs.apart.as_ref().is_none_or(|wanted| *wanted == ways.named(state, NamedKind::Apart));
            let power = trial
                .power
                .is_none_or(|power| state.is_within(crate::safety::Facet::POWER, power.only(), vocabulary));
            apart && power && needs.demands.iter().all(|demand| demand.holds(state, vocabulary))
        };
        let at = (TELEPHONE + 1..self.states.len()).filter(|at| fits(&self.states[*at]));
        at.map(|state| Stand { state, leaves: state }).collect()
    }

    /// What a station needs.
    pub(super) fn needs(&self, at: usize) -> &Needs {
        &self.needs[at]
    }

    /// The minutes between stations; none where no gates lead.
    pub(super) fn conditions(&self, ways: &Ways<'_>) -> Result<Conditions, ProblemError> {
        let way = |from: usize, to: usize| {
            if to == TELEPHONE || from == to {
                return (from == to).then_some(Minutes(0.0));
            }
            ways.to(&self.states[from], &self.needs[to]).map(|path| Minutes(path.minutes))
        };
        let count = self.states.len();
        let table: Vec<Vec<Option<Minutes>>> =
            (0..count).map(|from| (0..count).map(|to| way(from, to)).collect()).collect();
        Conditions::new(&table, TELEPHONE)
    }
}

/// What a trial needs of the machine.
pub(super) fn needs_of(ways: &Ways<'_>, at: usize, trial: &Trial) -> Needs {
    let mut demands = ways.rehearsal.trial(at).map_or_else(Vec::new, |ix| ways.rehearsal.demands(ix));
    if let Some(power) = trial.power {
        demands.push(power_is(power));
    }
    let is_free = matches!(trial.what, What::Look(_) | What::Sight(_)) && trial.apart.is_none();
    let apart = (!trial.is_phone() && !is_free).then(|| trial.apart.iter().cloned().collect());
    let tieable = trial.with.iter().map(|(control, _)| control.clone()).collect();
    Needs { demands, apart, tieable, tied: Vec::new(), leads: trial.leads.clone() }
}

fn power_is(power: Power) -> crate::safety::Demand {
    use crate::safety::{Atom, Demand, Facet, SafetyRule};
    Demand::one(SafetyRule::GatePower, Atom::Within(Facet::POWER, power.only()))
}
