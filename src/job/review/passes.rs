//! The path event by event: each with its minutes, and where the trouble could be before and after it.

use std::sync::Arc;

use crate::diag::{Lang, Text};
use crate::reason::{Observed, RuledOut, Suspicion, Whereabouts};
use crate::tree::{Course, Kind, StepIx};
use crate::units::Minutes;
use crate::walk::{Event, Lapse, Moment, Now, Walk};

use super::conditions::{InForce, Sums};
use super::minutes::by_tree;
use super::words::said;

/// Suspects told by name before and after.
const TOLD: usize = 3;

/// A suspect, and how probable it is.
#[derive(Debug, Clone, PartialEq)]
pub struct SuspectAt {
    /// The fault.
    pub fault: String,
    /// Its probability, from 0 to 1.
    pub probability: f64,
}

/// What an event ruled out: "7 of 12 (41 of 100)".
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RuledOutBy {
    /// Faults ruled out.
    pub faults: usize,
    /// Of how many.
    pub of: usize,
    /// The probability that those had had, from 0 to 1.
    pub share: f64,
}

/// What would have been quicker than the step that was taken.
#[derive(Debug, Clone, PartialEq)]
pub struct Quicker {
    /// The step to jump to: the test, or what has to be done first for it.
    pub step: String,
    /// The test.
    pub test: String,
    /// The reason, in words.
    pub said: Text,
    /// Expected minutes to the finding as the tree goes on, and by the test.
    pub minutes: (Minutes, Minutes),
}

/// One event of the path.
#[derive(Debug, Clone, PartialEq)]
pub struct Pass {
    /// Its number in the journal, from 1.
    pub number: usize,
    /// When.
    pub at: Moment,
    /// The step it happened at; empty where there is none.
    pub step: String,
    /// What happened, in words.
    pub what: String,
    /// Minutes by the clock since the event before; nothing while the job waited or was left.
    pub clock: Minutes,
    /// Minutes by the tree.
    pub by_tree: Minutes,
    /// What it ruled out, where it is evidence.
    pub ruled_out: Option<RuledOutBy>,
    /// The likeliest suspects before it, where it is evidence.
    pub before: Vec<SuspectAt>,
    /// The likeliest after it.
    pub after: Vec<SuspectAt>,
    /// What would have been quicker then.
    pub quicker: Option<Quicker>,
    /// It left the tree's order.
    pub is_jump: bool,
    /// It is a reading off the tree.
    pub is_own: bool,
    /// The gate, if it is an item of one.
    pub gate: Option<String>,
}

/// A path that grows event by event.
pub(super) struct Passes<'s, 'a, 'm> {
    walk: Walk,
    suspicion: Option<&'s Suspicion<'a, 'm>>,
    events: Vec<Pass>,
    sums: Sums,
    determined: Option<usize>,
}

impl<'s, 'a, 'm> Passes<'s, 'a, 'm> {
    pub(super) fn new(course: &Arc<Course>, suspicion: Option<&'s Suspicion<'a, 'm>>) -> Self {
        Self {
            walk: Walk::for_viewing(Arc::clone(course)),
            suspicion,
            events: Vec::new(),
            sums: Sums::default(),
            determined: None,
        }
    }

    /// Takes the next event in; false if it could not have happened.
    pub(super) fn take(&mut self, at: Moment, event: &Event) -> bool {
        let mut next = self.walk.clone();
        if next.apply(event, at).is_err() {
            return false;
        }
        let before = std::mem::replace(&mut self.walk, next);
        let clock = clock(&before, event, at);
        self.sums.pass(&before, clock.value());
        let mut pass = Pass {
            number: self.events.len() + 1,
            at,
            step: before.step_id().to_owned(),
            what: said(&before, event),
            clock,
            by_tree: by_tree(&before, event),
            ruled_out: None,
            before: Vec::new(),
            after: Vec::new(),
            quicker: None,
            is_jump: matches!(event, Event::Jump { .. }),
            is_own: matches!(event, Event::OwnReading { .. }),
            gate: match event {
                Event::Item { gate, .. } => Some(gate.clone()),
                _ => None,
            },
        };
        if matches!(event, Event::Answered { .. } | Event::Read { .. } | Event::OwnReading { .. })
            && is_searching(&before)
        {
            self.weigh(&before, &mut pass);
        }
        self.events.push(pass);
        true
    }

    fn weigh(&mut self, before: &Walk, pass: &mut Pass) {
        let round = before.round();
        if self.walk.seen_in(round) == before.seen_in(round) {
            return;
        }
        let Some(suspicion) = self.suspicion else { return };
        let earlier = suspicion.whereabouts(&before.observed());
        // What would be quicker is asked before a step, not after it.
        let now = Observed { at: None, seen: self.walk.seen_in(round), ..self.walk.observed() };
        let later = suspicion.whereabouts(&now);
        if let Some(earlier) = &earlier {
            pass.before = likeliest(earlier);
            pass.quicker = quicker(before, earlier);
        }
        if let Some(later) = &later {
            pass.after = likeliest(later);
            pass.ruled_out = later.by_last.map(|RuledOut { faults, of, share }| RuledOutBy {
                faults,
                of,
                share: share.value(),
            });
            if self.determined.is_none() && one_find(self.walk.course(), later) {
                self.determined = Some(pass.number);
            }
        }
    }

    pub(super) fn done(self) -> (Vec<Pass>, Vec<InForce>, Option<usize>) {
        (self.events, self.sums.done(), self.determined)
    }
}

/// By the clock since the event before; the time that a job waited, or was left, is no work.
#[allow(clippy::cast_precision_loss)] // milliseconds of a job
fn clock(before: &Walk, event: &Event, at: Moment) -> Minutes {
    let away = matches!(
        event,
        Event::Begun { .. } | Event::Resumed { .. } | Event::Stayed | Event::Lapsed { cause: Lapse::LeftIt }
    );
    let away = away || matches!(before.now(), Now::Waiting(_));
    Minutes(if away { 0.0 } else { at.since(before.last()) as f64 / 60_000.0 })
}

/// Nothing was found in this round yet.
fn is_searching(walk: &Walk) -> bool {
    walk.findings().iter().all(|(_, round)| *round != walk.round())
}

fn likeliest(whereabouts: &Whereabouts) -> Vec<SuspectAt> {
    let mut all: Vec<SuspectAt> = whereabouts
        .suspects
        .iter()
        .map(|s| SuspectAt { fault: s.fault.clone(), probability: s.probability.value() })
        .collect();
    all.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    all.truncate(TOLD);
    all
}

fn quicker(walk: &Walk, whereabouts: &Whereabouts) -> Option<Quicker> {
    let suggestion = whereabouts.suggestion.as_ref()?;
    let tree = walk.course().tree();
    let said = |lang| suggestion.said(walk.course(), &Lang::new(lang));
    Some(Quicker {
        step: tree.step(suggestion.step).id.clone(),
        test: tree.step(suggestion.test).id.clone(),
        said: Text::both(&said("en"), &said("es")),
        minutes: (suggestion.as_written, suggestion.so),
    })
}

/// True if one find names every suspect that is not ruled out.
fn one_find(course: &Course, whereabouts: &Whereabouts) -> bool {
    let live: Vec<&str> =
        whereabouts.suspects.iter().filter(|s| !s.ruled_out).map(|s| s.fault.as_str()).collect();
    let names_all = |(_, step): (StepIx, &crate::tree::Step)| match &step.kind {
        Kind::Find(find) => live.iter().all(|fault| find.faults.iter().any(|name| name == fault)),
        _ => false,
    };
    !live.is_empty() && course.tree().iter().any(names_all)
}
