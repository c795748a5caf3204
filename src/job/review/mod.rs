//! A path reviewed: event by event, what it ruled out, what it took by the clock and by the tree, who was suspect
//! before and after, and what would have been quicker then; gates, conditions, close calls, parts fitted in vain.
//!
//! Everything is a fold over the events and the tree that the job carries inside. There are no grades in it: minutes,
//! and what was ruled out.

mod conditions;
mod gates;
mod json;
mod minutes;
mod passes;
mod words;

pub use conditions::InForce;
pub use gates::GateReview;
pub use json::review_json;
pub use minutes::{by_tree, item_minutes, own_minutes, step_minutes_here};
pub use passes::{Pass, Quicker, RuledOutBy, SuspectAt};
pub use words::review_lines;

use std::sync::Arc;

use crate::reason::Suspicion;
use crate::tree::{Course, Kind};
use crate::units::Minutes;
use crate::walk::{Event, Moment, Outcome, Walk, repair_word};

/// Names in a review: whether who confirmed what and who did the job is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Names {
    /// Told.
    Told,
    /// Left out.
    LeftOut,
}

/// A reading that was too close to call and decided by hand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CloseCall {
    /// The step.
    pub step: String,
    /// What was read.
    pub reading: String,
    /// Why it was decided so.
    pub why: String,
}

/// Parts put in by a repair after which the proof failed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InVain {
    /// The round.
    pub round: u32,
    /// The find that asked for it.
    pub find: String,
    /// What was done.
    pub repair: String,
}

/// A job reviewed.
#[derive(Debug, Clone, PartialEq)]
pub struct Review {
    /// The tree's id.
    pub tree: String,
    /// Its revision.
    pub revision: u32,
    /// Who did the job; empty if nobody said.
    pub mechanic: String,
    /// Every event, in order.
    pub passes: Vec<Pass>,
    /// Minutes worked, by the clock, waits left out.
    pub worked: Minutes,
    /// Minutes waited.
    pub waited: Minutes,
    /// Minutes by the tree of everything that was done.
    pub by_tree: Minutes,
    /// Gates, in order.
    pub gates: Vec<GateReview>,
    /// How long each condition was in force.
    pub in_force: Vec<InForce>,
    /// Readings too close to call.
    pub close_calls: Vec<CloseCall>,
    /// What was put in, in vain.
    pub in_vain: Vec<InVain>,
    /// How often the mechanic left the tree's order.
    pub jumps: usize,
    /// Readings off the tree.
    pub own_readings: usize,
    /// Finds come to, in order: the step, and the faults it names.
    pub finds: Vec<(String, Vec<String>)>,
    /// The number of the event after which only one find was left for every suspect; none if that never was.
    pub determined: Option<usize>,
}

impl Review {
    /// Reviews the events of a job on the tree that it carries. Events after one that could not have happened are left
    /// out.
    #[must_use]
    pub fn of<'e>(course: &Arc<Course>, events: impl IntoIterator<Item = (Moment, &'e Event)>) -> Self {
        let events: Vec<(Moment, &Event)> = events.into_iter().collect();
        let ended = fold(course, &events);
        let observed = ended.observed();
        let day = course.tree().model.as_deref().map(|machine| machine.day(observed.today));
        let suspicion = Suspicion::new(course, day.as_ref(), observed.meter);
        Self::weighed_by(course, &events, &ended, Some(&suspicion))
    }

    /// As [`Review::of`], with suspects that were prepared for the job's day already.
    #[must_use]
    pub fn by(course: &Arc<Course>, events: &[(Moment, &Event)], suspicion: &Suspicion<'_, '_>) -> Self {
        Self::weighed_by(course, events, &fold(course, events), Some(suspicion))
    }

    /// As [`Review::of`], without weighing suspects: minutes, gates, conditions and the rest.
    #[must_use]
    pub fn brief<'e>(course: &Arc<Course>, events: impl IntoIterator<Item = (Moment, &'e Event)>) -> Self {
        let events: Vec<(Moment, &Event)> = events.into_iter().collect();
        Self::weighed_by(course, &events, &fold(course, &events), None)
    }

    fn weighed_by(
        course: &Arc<Course>,
        events: &[(Moment, &Event)],
        ended: &Walk,
        suspicion: Option<&Suspicion<'_, '_>>,
    ) -> Self {
        let mut passes = passes::Passes::new(course, suspicion);
        for (at, event) in events {
            if !passes.take(*at, event) {
                break;
            }
        }
        let (passes, in_force, determined) = passes.done();
        let sum = |of: fn(&Pass) -> f64| Minutes(passes.iter().map(of).sum());
        Self {
            tree: course.tree().id.clone(),
            revision: course.tree().revision,
            mechanic: ended.details().mechanic.clone().unwrap_or_default(),
            worked: sum(|pass| pass.clock.value()),
            waited: Minutes(ended.minutes_waited()),
            by_tree: sum(|pass| pass.by_tree.value()),
            gates: gates::gates(ended),
            in_force,
            close_calls: close_calls(ended),
            in_vain: in_vain(ended),
            jumps: passes.iter().filter(|pass| pass.is_jump).count(),
            own_readings: ended.own_readings().len(),
            finds: finds(ended),
            determined,
            passes,
        }
    }
}

fn fold(course: &Arc<Course>, events: &[(Moment, &Event)]) -> Walk {
    let mut walk = Walk::for_viewing(Arc::clone(course));
    for (at, event) in events {
        if walk.apply(event, *at).is_err() {
            break;
        }
    }
    walk
}

fn close_calls(walk: &Walk) -> Vec<CloseCall> {
    let call = |visit: &crate::walk::Visit| match &visit.outcome {
        Outcome::Read { reading, decided: Some(why), .. } => Some(CloseCall {
            step: walk.course().tree().step(visit.step).id.clone(),
            reading: reading.to_string(),
            why: why.clone(),
        }),
        _ => None,
    };
    walk.visits().iter().filter_map(call).collect()
}

/// Repairs done in a round after which another round began: what they put in was good before.
fn in_vain(walk: &Walk) -> Vec<InVain> {
    let tree = walk.course().tree();
    let mut vain = Vec::new();
    for (find, round) in walk.findings().into_iter().filter(|(_, round)| *round < walk.round()) {
        let is_repair = |v: &&crate::walk::Visit| {
            let repairs = matches!(&tree.step(v.step).kind, Kind::Do(action) if action.action.is_none());
            v.round == round && repairs && v.outcome == Outcome::Done
        };
        let Kind::Find(found) = &tree.step(find).kind else { continue };
        let Some(repair) = found.repair.as_ref().filter(|_| walk.visits().iter().any(|v| is_repair(&v)))
        else {
            continue;
        };
        let lang = walk.lang();
        let jobs = repair.jobs.iter().map(|(job, what)| format!("{} {what}", repair_word(*job, &lang)));
        vain.push(InVain {
            round,
            find: tree.step(find).id.clone(),
            repair: jobs.collect::<Vec<_>>().join("; "),
        });
    }
    vain
}

fn finds(walk: &Walk) -> Vec<(String, Vec<String>)> {
    let tree = walk.course().tree();
    let named = |ix| match &tree.step(ix).kind {
        Kind::Find(find) => find.faults.clone(),
        _ => Vec::new(),
    };
    walk.findings().into_iter().map(|(ix, _)| (tree.step(ix).id.clone(), named(ix))).collect()
}
