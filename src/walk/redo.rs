//! What no gate restores is done again: after a pause nobody knows whether the bar is still tied or the plug still apart,
//! and a step that needs it is led to through the step that did it. Then the walk goes on where it was.

use crate::safety::{State, changes};
use crate::tree::{Kind, StepIx};

use super::moment::Moment;
use super::state::{Outcome, Walk};

/// A step that is done again, and the step for which it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Redo {
    pub(super) step: StepIx,
    pub(super) needed_for: StepIx,
}

impl Walk {
    /// Goes to a step that was done before and makes more of what this one needs hold; false if there is none.
    ///
    /// It is come to as any step is, through the gates that it needs itself. Each is done again once after a pause, so
    /// that two that undo each other's work end at the guard and not in a circle.
    pub(super) fn do_again_for(&mut self, ix: StepIx, at: Moment) -> bool {
        let Some(step) = self.done_before(ix) else { return false };
        self.redone.push(step);
        self.redo.push(Redo { step, needed_for: ix });
        self.arrive(step, at);
        true
    }

    fn done_before(&self, ix: StepIx) -> Option<StepIx> {
        let course = &self.course;
        let vocabulary = course.vocabulary();
        let unmet = |state: &State| {
            course.demands(ix).iter().filter(|demand| !demand.holds(state, vocabulary)).count()
        };
        let now = unmet(&self.state);
        let helps = |step: StepIx| {
            let mut state = self.state.clone();
            for deed in course.deeds(step) {
                state.apply_all(&changes(deed, vocabulary), vocabulary);
            }
            unmet(&state) < now
        };
        let done =
            self.visits.iter().rev().filter(|visit| visit.outcome == Outcome::Done).map(|visit| visit.step);
        let is_free = |step: &StepIx| *step != ix && !self.redone.contains(step);
        done.filter(|step| matches!(course.tree().step(*step).kind, Kind::Do(_)))
            .filter(is_free)
            .find(|step| helps(*step))
    }

    /// Where the walk goes on after this step, if it was done again for another.
    pub(super) fn done_again(&mut self, step: StepIx) -> Option<StepIx> {
        self.redo.pop_if(|redo| redo.step == step).map(|redo| redo.needed_for)
    }

    /// The walk goes another way.
    pub(super) fn forget_redo(&mut self) {
        self.redo.clear();
        self.redone.clear();
    }

    /// For which step the walk is led through this one, if it was done before.
    pub(super) fn again_for(&self, step: StepIx) -> Option<StepIx> {
        self.redo.last().filter(|redo| redo.step == step).map(|redo| redo.needed_for)
    }
}
