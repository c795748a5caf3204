//! The gates of a job: how long they took, and whether they were ticked faster than anybody looks.

use crate::safety::GateId;
use crate::units::Minutes;
use crate::walk::{GateLog, Moment, Walk, Walker, WhyGate};

/// Faster than this for each item, nobody looked (our choice, no source).
const LOOK_MS: u64 = 2_000;

/// One gate, reviewed.
#[derive(Debug, Clone, PartialEq)]
pub struct GateReview {
    /// Its name in files.
    pub gate: String,
    /// Its title.
    pub title: String,
    /// The step it belongs to, or was missing for.
    pub step: String,
    /// It was no step of the tree: a step needed it.
    pub was_missing: bool,
    /// When its first item was shown.
    pub begun: Moment,
    /// Minutes to its last confirmed item.
    pub clock: Minutes,
    /// Minutes by the machine file.
    pub by_tree: Minutes,
    /// Items confirmed.
    pub confirmed: usize,
    /// Items it has.
    pub items: usize,
    /// Who confirmed, each once.
    pub by: Vec<String>,
    /// It was ticked within two seconds an item; never said of an answers file.
    pub ticked: bool,
    /// Why it could not be done; also when nobody said.
    pub cannot: Option<String>,
}

/// Every gate of a walk, in order.
pub(super) fn gates(walk: &Walk) -> Vec<GateReview> {
    walk.gates().iter().map(|log| review(walk, log)).collect()
}

#[allow(clippy::cast_precision_loss)] // milliseconds of a gate
fn review(walk: &Walk, log: &GateLog) -> GateReview {
    let course = walk.course();
    let vocabulary = course.vocabulary();
    let title = match log.gate {
        GateId::BuiltIn(gate) => gate.title().in_lang(&walk.lang()).to_owned(),
        GateId::Own(_) => log.gate.name(vocabulary).to_owned(),
    };
    let took = log.confirmed.last().map_or(0, |last| last.at.since(log.begun));
    let mut by: Vec<String> = Vec::new();
    for confirmed in &log.confirmed {
        if !by.contains(&confirmed.by) {
            by.push(confirmed.by.clone());
        }
    }
    let count = u64::try_from(log.confirmed.len()).unwrap_or(u64::MAX);
    let by_person = walk.walker() == Walker::Person;
    GateReview {
        gate: log.gate.name(vocabulary).to_owned(),
        title,
        step: course.tree().step(log.step).id.clone(),
        was_missing: log.why != WhyGate::Own,
        begun: log.begun,
        clock: Minutes(took as f64 / 60_000.0),
        by_tree: log.gate.minutes(vocabulary),
        confirmed: log.confirmed.len(),
        items: walk.gate_items(log.gate, log.step, log.why).len(),
        by,
        ticked: by_person && log.passed.is_some() && count > 0 && took <= LOOK_MS.saturating_mul(count),
        cannot: log.cannot.clone(),
    }
}
