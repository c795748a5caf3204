//! What no gate restores is done again: after a pause nobody knows whether the bar is still tied or the plug still apart,
//! and a step that needs it is led to through the step that did it. What a jump has passed by is done in the same way,
//! by the tree's own step for it. Then the walk goes on where it was.

use crate::safety::{State, Way, changes, way_to};
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
    /// Goes to a thing to do that makes more of what this one needs hold, one that was done before if there is such;
    /// false if there is none.
    ///
    /// It is come to as any step is, through the gates that it needs itself. Each is done again once after a pause, so
    /// that two that undo each other's work end at the guard and not in a circle.
    pub(super) fn do_again_for(&mut self, ix: StepIx, at: Moment) -> bool {
        let Some(step) = self.doing_for(ix) else { return false };
        self.redone.push(step);
        self.redo.push(Redo { step, needed_for: ix });
        self.arrive(step, at);
        true
    }

    fn doing_for(&self, ix: StepIx) -> Option<StepIx> {
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
        let is_free = |step: &StepIx| *step != ix && !self.redone.contains(step);
        let is_to_do = |step: &StepIx| matches!(&course.tree().step(*step).kind, Kind::Do(_));
        let done = self.done_steps().filter(is_to_do).filter(is_free).find(|step| helps(*step));
        let by_tree = || {
            // A repair belongs to its find.
            let is_own = |step: &StepIx| matches!(&course.tree().step(*step).kind, Kind::Do(own) if own.action.is_some());
            let leads = |step: &StepIx| way_to(&self.state, course.demands(*step), vocabulary) != Way::None;
            let all = course.tree().iter().map(|(step, _)| step).filter(is_own).filter(is_free);
            all.filter(|step| helps(*step)).find(leads)
        };
        // Without a jump nothing was passed by.
        done.or_else(|| if self.has_jumped() { by_tree() } else { None })
    }

    fn has_jumped(&self) -> bool {
        self.jumped || self.visits.iter().any(|visit| visit.by_jump)
    }

    /// The steps that were done, the last first.
    fn done_steps(&self) -> impl Iterator<Item = StepIx> + '_ {
        self.visits.iter().rev().filter(|visit| visit.outcome == Outcome::Done).map(|visit| visit.step)
    }

    /// Whether a step was done before.
    pub(super) fn was_done(&self, step: StepIx) -> bool {
        self.done_steps().any(|done| done == step)
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
