//! A walk as far as it has come: computed from its events and from nothing else.
//!
//! Invariant: the text of a hazardous step is current ([`Now::Step`]) only while all its demands hold in `state`; the
//! only way there is [`Walk::arrive`](super::arrive), which leads through the gates that are missing.

use std::collections::HashMap;
use std::sync::{Arc, Mutex};

use crate::reason::{Likeness, Situation};
use crate::safety::{GateId, State, Values};
use crate::tree::{Course, StepIx, Walkable};
use crate::units::Reading;

use super::event::{Code, Details, EndedAs, OwnReading, Walker};
use super::moment::Moment;
use super::redo::Redo;

/// Where a walk is.
#[derive(Debug, Clone, PartialEq)]
pub enum Now {
    /// Nothing has happened yet.
    NotBegun,
    /// At a step, whose conditions are in force.
    Step(StepIx),
    /// At an item of a gate.
    Gate(AtGate),
    /// The job was taken up again with the cab possibly up: how it stands is asked first, then the walk comes to this step.
    Stands(StepIx),
    /// Just before something is driven: at this item of what is confirmed then, and for this step.
    Check(StepIx, usize),
    /// Waiting; goes on where it was.
    Waiting(Box<Now>),
    /// At its end.
    Ended(EndedAs),
}

/// At which item of which gate, and for what.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AtGate {
    /// The gate.
    pub gate: GateId,
    /// The item that is live, from 0.
    pub item: usize,
    /// The step: the gate's own, or the one that the gate is missing for.
    pub step: StepIx,
    /// Why the walk is at it.
    pub why: WhyGate,
}

/// Why a walk is at a gate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WhyGate {
    /// It is the step.
    Own,
    /// The step needs it, and it is not in force.
    Missing,
    /// There is no way on: the machine is guarded and handed over.
    NoWay,
}

/// How a step was left.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    /// It has not been left.
    Open,
    /// Answered, by the answer's number.
    Answer(usize),
    /// Read.
    Read {
        /// The reading.
        reading: Reading,
        /// The band it fell in.
        band: usize,
        /// Edges of the day, where they were computed.
        edges: Vec<f64>,
        /// Why it was decided so.
        decided: Option<String>,
    },
    /// Done, passed, taken note of.
    Done,
    /// It could not be done; why.
    Cannot(String),
    /// Left by going back or jumping.
    Left,
}

/// One visit to a step.
#[derive(Debug, Clone, PartialEq)]
pub struct Visit {
    /// The step.
    pub step: StepIx,
    /// The round, from 1.
    pub round: u32,
    /// When it was shown.
    pub entered: Moment,
    /// When it was left.
    pub left: Option<Moment>,
    /// How it was left.
    pub outcome: Outcome,
    /// It was come to by a jump.
    pub by_jump: bool,
    /// Power, plugs apart and wires cut as it was come to.
    pub situation: Situation,
}

/// One confirmed item.
#[derive(Debug, Clone, PartialEq)]
pub struct Confirmed {
    /// Which item, from 0.
    pub item: usize,
    /// When.
    pub at: Moment,
    /// By whom.
    pub by: String,
    /// What was typed.
    pub reading: Option<Reading>,
}

/// A gate begun.
#[derive(Debug, Clone, PartialEq)]
pub struct GateLog {
    /// The gate.
    pub gate: GateId,
    /// The step it was its own, or missing for.
    pub step: StepIx,
    /// Why.
    pub why: WhyGate,
    /// The round, from 1.
    pub round: u32,
    /// When its first item was shown.
    pub begun: Moment,
    /// What was confirmed.
    pub confirmed: Vec<Confirmed>,
    /// When its last item was confirmed.
    pub passed: Option<Moment>,
    /// Why it could not be done.
    pub cannot: Option<String>,
    /// How many visits there had been when it began.
    pub(super) visits_before: usize,
}

/// A note with its step and time.
#[derive(Debug, Clone, PartialEq)]
pub struct NoteMade {
    /// The step at which it was made.
    pub step: String,
    /// When.
    pub at: Moment,
    /// Its words.
    pub text: String,
}

/// A repair as it was done, or is being done.
#[derive(Debug, Clone, PartialEq)]
pub struct Mend {
    /// The repair step.
    pub step: String,
    /// The round, from 1.
    pub round: u32,
    /// What the mechanic said of it: keys of the repair sheet, and words of their own.
    pub said: Vec<(String, String)>,
    /// The sheet by which it was done, label and value; empty until then, and where no wire was mended.
    pub sheet: Vec<(String, String)>,
}

/// The clocks of a job.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Clocks {
    pub(super) started: Moment,
    pub(super) last: Moment,
    pub(super) worked_ms: u64,
    pub(super) waited_ms: u64,
    pub(super) must_lapse: bool,
}

/// A walk.
#[derive(Debug, Clone)]
pub struct Walk {
    pub(super) course: Arc<Course>,
    pub(super) goes_on: bool,
    pub(super) state: State,
    pub(super) now: Now,
    pub(super) round: u32,
    pub(super) visits: Vec<Visit>,
    pub(super) gates: Vec<GateLog>,
    pub(super) clocks: Clocks,
    pub(super) details: Details,
    pub(super) lang: String,
    pub(super) walker: Walker,
    pub(super) notes: Vec<NoteMade>,
    pub(super) own: Vec<(String, Moment, u32, OwnReading)>,
    /// How the machine stood at each reading off the tree.
    pub(super) own_situations: Vec<Situation>,
    pub(super) codes: Vec<Code>,
    pub(super) no_codes: bool,
    pub(super) repairs: Vec<Mend>,
    pub(super) left: Vec<(Moment, String)>,
    pub(super) waits: Vec<(Moment, String)>,
    pub(super) lapses: Vec<(Moment, super::event::Lapse)>,
    pub(super) checked: Option<StepIx>,
    /// How the cab was said to stand when the job was taken up again: to be put in force before anything else.
    pub(super) cab: Option<Values>,
    /// Steps that are done again on the way to others, the last first.
    pub(super) redo: Vec<Redo>,
    /// Those that were since the last pause.
    pub(super) redone: Vec<StepIx>,
    pub(super) jumped: bool,
    pub(super) events: usize,
    /// Bands by likeness worked out so far; they are asked for again when an event is tried and when it is taken in.
    pub(super) likes: Likes,
}

/// What bands by likeness depend on: the step, its situation, the day and the meter.
pub(super) type LikeKey = (StepIx, Situation, [u64; 2], String);

/// What bands by likeness are made of, shared by the copies of a walk.
pub(super) type Likes = Arc<Mutex<HashMap<LikeKey, Option<Arc<Likeness>>>>>;

impl Walk {
    /// A walk of a tree that may be walked, before its first event.
    #[must_use]
    pub fn new(course: &Walkable) -> Self {
        Self { goes_on: true, ..Self::for_viewing(course.course()) }
    }

    /// A walk that can be folded for viewing and reporting; it declines whatever is said to it.
    #[must_use]
    pub fn for_viewing(course: Arc<Course>) -> Self {
        let state = State::at_start(course.vocabulary());
        Self {
            course,
            goes_on: false,
            state,
            now: Now::NotBegun,
            round: 1,
            visits: Vec::new(),
            gates: Vec::new(),
            clocks: Clocks::default(),
            details: Details::default(),
            lang: "en".to_owned(),
            walker: Walker::Person,
            notes: Vec::new(),
            own: Vec::new(),
            own_situations: Vec::new(),
            codes: Vec::new(),
            no_codes: false,
            repairs: Vec::new(),
            left: Vec::new(),
            waits: Vec::new(),
            lapses: Vec::new(),
            checked: None,
            cab: None,
            redo: Vec::new(),
            redone: Vec::new(),
            jumped: false,
            events: 0,
            likes: Likes::default(),
        }
    }

    /// Where it is.
    #[must_use]
    pub const fn now(&self) -> &Now {
        &self.now
    }

    /// Whether it may be gone on with.
    #[must_use]
    pub const fn may_walk(&self) -> bool {
        self.goes_on
    }

    /// The tree and what its steps need.
    #[must_use]
    pub fn course(&self) -> &Course {
        &self.course
    }

    /// What is known of the machine.
    #[must_use]
    pub const fn machine(&self) -> &State {
        &self.state
    }

    /// The round, from 1.
    #[must_use]
    pub const fn round(&self) -> u32 {
        self.round
    }

    /// Every visit to a step, in order.
    #[must_use]
    pub fn visits(&self) -> &[Visit] {
        &self.visits
    }

    /// Every gate begun, in order.
    #[must_use]
    pub fn gates(&self) -> &[GateLog] {
        &self.gates
    }

    /// What is known of the job.
    #[must_use]
    pub const fn details(&self) -> &Details {
        &self.details
    }

    /// The language it is walked in.
    #[must_use]
    pub fn lang(&self) -> crate::diag::Lang {
        crate::diag::Lang::new(&self.lang)
    }

    /// Who walks.
    #[must_use]
    pub const fn walker(&self) -> Walker {
        self.walker
    }

    /// Notes, in order.
    #[must_use]
    pub fn notes(&self) -> &[NoteMade] {
        &self.notes
    }

    /// Readings off the tree: the step, when, the round, and what was read.
    #[must_use]
    pub fn own_readings(&self) -> &[(String, Moment, u32, OwnReading)] {
        &self.own
    }

    /// Codes that are still there.
    #[must_use]
    pub fn codes_left(&self) -> &[Code] {
        &self.codes
    }

    /// Whether somebody looked at the end and saw no code.
    #[must_use]
    pub const fn no_codes_left(&self) -> bool {
        self.no_codes
    }

    /// Repairs, in order.
    #[must_use]
    pub fn repairs(&self) -> &[Mend] {
        &self.repairs
    }

    /// How the machine was left and who was told.
    #[must_use]
    pub fn left_words(&self) -> &[(Moment, String)] {
        &self.left
    }

    /// Since when the job waits and for what, as it was said; `None` where it does not wait.
    #[must_use]
    pub fn waits_for(&self) -> Option<(Moment, &str)> {
        let (since, why) = self.waits.last()?;
        matches!(self.now, Now::Waiting(_)).then_some((*since, why.as_str()))
    }

    /// When and why conditions lapsed.
    #[must_use]
    pub fn lapses(&self) -> &[(Moment, super::event::Lapse)] {
        &self.lapses
    }

    /// When it began.
    #[must_use]
    pub const fn started(&self) -> Moment {
        self.clocks.started
    }

    /// When the last thing happened.
    #[must_use]
    pub const fn last(&self) -> Moment {
        self.clocks.last
    }

    /// Minutes worked until the last event, waits left out.
    #[must_use]
    #[allow(clippy::cast_precision_loss)] // a job of 2^53 ms would be 285,000 years
    pub fn minutes_worked(&self) -> f64 {
        self.clocks.worked_ms as f64 / 60_000.0
    }

    /// Minutes waited.
    #[must_use]
    #[allow(clippy::cast_precision_loss)] // as above
    pub fn minutes_waited(&self) -> f64 {
        self.clocks.waited_ms as f64 / 60_000.0
    }

    /// How many events made it.
    #[must_use]
    pub const fn events(&self) -> usize {
        self.events
    }

    /// The step it is at, or that a gate is for.
    #[must_use]
    pub fn step_ix(&self) -> Option<StepIx> {
        let mut now = &self.now;
        loop {
            match now {
                Now::Step(ix) | Now::Check(ix, _) | Now::Stands(ix) => return Some(*ix),
                Now::Gate(gate) => return Some(gate.step),
                Now::Waiting(inner) => now = inner,
                Now::NotBegun | Now::Ended(_) => return None,
            }
        }
    }

    /// The id of that step; empty where there is none.
    #[must_use]
    pub fn step_id(&self) -> &str {
        self.step_ix().map_or("", |ix| self.course.tree().step(ix).id.as_str())
    }

    /// The last visit to each step of this round that was answered or read, in order.
    #[must_use]
    pub fn evidence_of(&self, round: u32) -> Vec<&Visit> {
        let told = |v: &&Visit| matches!(v.outcome, Outcome::Answer(_) | Outcome::Read { .. });
        let of_round: Vec<&Visit> = self.visits.iter().filter(|v| v.round == round).filter(told).collect();
        let last = |at: usize, v: &Visit| !of_round[at + 1..].iter().any(|later| later.step == v.step);
        of_round.iter().enumerate().filter(|(at, v)| last(*at, v)).map(|(_, v)| *v).collect()
    }

    /// Findings come to, in order, with their rounds.
    #[must_use]
    pub fn findings(&self) -> Vec<(StepIx, u32)> {
        let is_find = |v: &&Visit| matches!(self.course.tree().step(v.step).kind, crate::tree::Kind::Find(_));
        self.visits.iter().filter(is_find).map(|v| (v.step, v.round)).collect()
    }
}
