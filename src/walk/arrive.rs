//! Coming to a step: through the gates that are missing, or to the guard if there is no way.

use crate::safety::{
    Change, Confirm, Deed, Fact, Gate, GateId, Item, Moves, NamedKind, STUCK, TRAVEL_CHECK, Way, changes,
    changes_on_cannot, changes_on_undo, way_to,
};
use crate::tree::{Kind, StepIx, Target};

use super::moment::Moment;
use super::state::{AtGate, GateLog, Now, Outcome, Visit, Walk, WhyGate};

/// One thing to confirm at a gate, as it stands on screen.
#[derive(Debug, Clone, PartialEq)]
pub struct GateItem {
    /// Its words.
    pub text: crate::diag::Text,
    /// How it is confirmed.
    pub confirm: Confirm,
}

impl Walk {
    /// Comes to a step: shows it if its demands hold, else begins the cheapest gate that leads there.
    pub(super) fn arrive(&mut self, ix: StepIx, at: Moment) {
        let course = self.course.clone();
        let cab_first = self.cab_as_said();
        let demands = if cab_first.is_empty() { course.demands(ix) } else { &cab_first };
        // A jump finds what the tree's own way would have put in force, where gates lead there.
        let with_prepared = || [demands, &course.prepared(ix).by_gates].concat();
        let by_jump = self.jumped.then(|| way_to(&self.state, &with_prepared(), course.vocabulary()));
        let way = by_jump.filter(|way| *way != Way::None);
        match way.unwrap_or_else(|| way_to(&self.state, demands, course.vocabulary())) {
            Way::InForce => self.enter(ix, at),
            Way::Gates { gates, .. } => match gates.first() {
                Some(gate) => self.begin_gate(*gate, ix, WhyGate::Missing, at),
                None => self.enter(ix, at),
            },
            Way::None if self.do_again_for(ix, at) => {}
            Way::None => self.guard(ix, at),
        }
    }

    fn enter(&mut self, ix: StepIx, at: Moment) {
        let course = self.course.clone();
        if let Kind::Gate(gate) = &course.tree().step(ix).kind {
            self.visit(ix, at);
            match course.vocabulary().gate(&gate.gate) {
                Some(id) if gate.items.is_empty() && self.has_just_passed(id, ix) => {
                    self.leave(ix, 0, Outcome::Done, at);
                }
                Some(id) => self.begin_gate(id, ix, WhyGate::Own, at),
                None => self.guard(ix, at),
            }
            return;
        }
        if self.checked != Some(ix) && course.deeds(ix).iter().any(drives) {
            self.now = Now::Check(ix, 0);
            return;
        }
        self.checked = None;
        self.visit(ix, at);
        self.now = Now::Step(ix);
    }

    /// Whether the gates that led to this step, the lockout, have passed through it: on the way to a cab that was said to be
    /// up the power is locked out, and the step asks for nothing more while that is in force.
    fn has_just_passed(&self, gate: GateId, step: StepIx) -> bool {
        if gate != GateId::BuiltIn(Gate::Lockout) {
            return false;
        }
        let vocabulary = self.course.vocabulary();
        let led_here = self
            .gates
            .iter()
            .rev()
            .take_while(|log| log.step == step && log.why == WhyGate::Missing && log.passed.is_some());
        let holds = |change: &Change| match change {
            Change::Set(facet, values) => self.state.is_within(*facet, *values, vocabulary),
            _ => false,
        };
        led_here.into_iter().any(|log| log.gate == gate)
            && changes(&Deed::Gate(gate), vocabulary).iter().all(holds)
    }

    fn visit(&mut self, ix: StepIx, at: Moment) {
        let by_jump = std::mem::take(&mut self.jumped);
        let open = self.visits.last().is_some_and(|v| v.step == ix && v.outcome == Outcome::Open);
        if !open {
            let visit = Visit {
                step: ix,
                round: self.round,
                entered: at,
                left: None,
                outcome: Outcome::Open,
                by_jump,
                situation: self.situation(),
            };
            self.visits.push(visit);
        }
    }

    fn begin_gate(&mut self, gate: GateId, step: StepIx, why: WhyGate, at: Moment) {
        self.now = Now::Gate(AtGate { gate, item: 0, step, why });
        self.gates.push(GateLog {
            gate,
            step,
            why,
            round: self.round,
            begun: at,
            confirmed: Vec::new(),
            passed: None,
            cannot: None,
            visits_before: self.visits.len(),
        });
        if self.gate_items(gate, step, why).is_empty() {
            self.pass_gate(at);
        }
    }

    /// There is no way to what a step needs: everybody is kept away, and the job is handed over.
    pub(super) fn guard(&mut self, step: StepIx, at: Moment) {
        let course = self.course.clone();
        self.state.apply(STUCK, course.vocabulary());
        self.begin_gate(GateId::BuiltIn(Gate::KeepAway), step, WhyGate::NoWay, at);
    }

    /// The last item of a gate is confirmed: what it sets is in force.
    pub(super) fn pass_gate(&mut self, at: Moment) {
        let Now::Gate(here) = self.now else { return };
        let course = self.course.clone();
        self.state.apply_all(&changes(&Deed::Gate(here.gate), course.vocabulary()), course.vocabulary());
        if let Some(log) = self.gates.last_mut() {
            log.passed = Some(at);
        }
        match here.why {
            WhyGate::Own => self.leave(here.step, 0, Outcome::Done, at),
            WhyGate::Missing => self.arrive(here.step, at),
            WhyGate::NoWay => self.now = Now::Ended(super::event::EndedAs::Guarded),
        }
    }

    /// Leaves a step along one of its ways: what its deeds change, then what the way shows, then on.
    pub(super) fn leave(&mut self, ix: StepIx, way: usize, outcome: Outcome, at: Moment) {
        let course = self.course.clone();
        let vocabulary = course.vocabulary();
        let is_gate = matches!(course.tree().step(ix).kind, Kind::Gate(_));
        if !is_gate {
            for deed in course.deeds(ix) {
                self.state.apply_all(&changes(deed, vocabulary), vocabulary);
            }
        }
        // A proof that was tried again and did not show is no proof any more.
        for proof in course.unshown_on(ix, way) {
            if let Some(facet) = vocabulary.find(NamedKind::Shown, &proof) {
                self.state.apply(Change::Set(facet, Fact::No.only()), vocabulary);
            }
        }
        for deed in course.shown_on(ix, way) {
            self.state.apply_all(&changes(&deed, vocabulary), vocabulary);
        }
        self.mark_left(outcome, at);
        if let Some(needed_for) = self.done_again(ix) {
            return self.arrive(needed_for, at);
        }
        self.redone.clear();
        let target = course.tree().step(ix).targets().get(way).copied();
        self.go(target, ix, at);
    }

    /// Leaves a step that could not be done.
    pub(super) fn leave_by_cannot(&mut self, ix: StepIx, why: &str, at: Moment) {
        let course = self.course.clone();
        let vocabulary = course.vocabulary();
        for deed in course.deeds(ix) {
            self.state.apply_all(&changes_on_cannot(deed, vocabulary), vocabulary);
        }
        self.forget_redo();
        let target = course.tree().step(ix).cannot;
        if target.is_some() {
            self.mark_left(Outcome::Cannot(why.to_owned()), at);
        }
        self.go(target, ix, at);
    }

    fn go(&mut self, target: Option<Target>, from: StepIx, at: Moment) {
        let course = self.course.clone();
        if target == Some(Target::Again) {
            self.round += 1;
        }
        match target.and_then(|t| course.tree().land(t)) {
            Some(next) => self.arrive(next, at),
            None => self.arrive(from, at),
        }
    }

    pub(super) fn mark_left(&mut self, outcome: Outcome, at: Moment) {
        if let Some(visit) = self.visits.last_mut().filter(|v| v.left.is_none()) {
            visit.left = Some(at);
            visit.outcome = outcome;
        }
    }

    /// Nothing is restored: whatever a gate begun since this many visits has set is not known any more.
    pub(super) fn undo_gates_since(&mut self, visits: usize) {
        let course = self.course.clone();
        let vocabulary = course.vocabulary();
        for log in self.gates.iter().filter(|log| log.visits_before >= visits) {
            self.state.apply_all(&changes_on_undo(log.gate, vocabulary), vocabulary);
        }
    }

    /// What is open is left without being done: what a gate would have set, and whatever a step may have begun to do,
    /// is not known.
    pub(super) fn undo_open(&mut self) {
        let course = self.course.clone();
        let vocabulary = course.vocabulary();
        match self.now {
            Now::Gate(here) => self.state.apply_all(&changes_on_undo(here.gate, vocabulary), vocabulary),
            Now::Step(ix) => {
                for deed in course.deeds(ix) {
                    self.state.apply_all(&changes_on_cannot(deed, vocabulary), vocabulary);
                }
            }
            _ => {}
        }
    }

    /// The items of a gate: the program's own, the machine's, then the author's.
    #[must_use]
    pub fn gate_items(&self, gate: GateId, step: StepIx, why: WhyGate) -> Vec<GateItem> {
        let ours: &[Item] = match gate {
            GateId::BuiltIn(gate) => gate.items(),
            GateId::Own(_) => &[],
        };
        let mut items: Vec<GateItem> =
            ours.iter().map(|i| GateItem { text: i.words.text(), confirm: i.confirm }).collect();
        let further = gate.machine_items(self.course.vocabulary());
        items.extend(further.iter().map(|t| GateItem { text: t.clone(), confirm: Confirm::Seen }));
        if why == WhyGate::Own
            && let Kind::Gate(own) = &self.course.tree().step(step).kind
        {
            items.extend(own.items.iter().map(|t| GateItem { text: t.clone(), confirm: Confirm::Seen }));
        }
        items
    }

    /// What is confirmed just before a step in which the machine is driven.
    #[must_use]
    pub fn drive_items() -> Vec<GateItem> {
        TRAVEL_CHECK.iter().map(|i| GateItem { text: i.words.text(), confirm: i.confirm }).collect()
    }
}

/// True if the deed drives the machine.
fn drives(deed: &Deed) -> bool {
    matches!(deed, Deed::Watch(watch) if watch.moves.contains(&Moves::Travel))
}
