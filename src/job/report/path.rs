//! The walked path as stops: what a drawing shows and a text says.

use crate::tree::Kind;
use crate::walk::Outcome;

use super::tables::outcome_words;
use super::words::w;
use super::{Report, Section};

/// One stop on the way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::job) struct Stop {
    /// The kind of step, by the lexicon's word.
    pub(super) kind: &'static str,
    /// The step.
    pub(super) step: String,
    /// How it was left.
    pub(super) outcome: String,
}

/// The stops of a walk; gates in a row are one stop.
pub(super) fn stops(report: &Report<'_>) -> Vec<Stop> {
    let tree = report.walk.course().tree();
    let mut stops: Vec<Stop> = Vec::new();
    let mut round = 1;
    for visit in report.walk.visits() {
        let step = tree.step(visit.step);
        let new_round = visit.round != round;
        round = visit.round;
        let is_gate = matches!(step.kind, Kind::Gate(_)) && visit.outcome == Outcome::Done;
        if is_gate
            && let Some(last) = stops.last_mut()
            && last.kind == "gate"
            && !new_round
        {
            let name = step.id.rsplit('/').next().unwrap_or(&step.id);
            last.step = format!("{}, {name}", last.step);
            continue;
        }
        let name =
            if is_gate { step.id.rsplit('/').next().unwrap_or(&step.id).to_owned() } else { step.id.clone() };
        stops.push(Stop {
            kind: step.kind.word(),
            step: if new_round {
                format!("{} {round}: {name}", w(&report.lang(), "round", "vuelta"))
            } else {
                name
            },
            outcome: if is_gate { String::new() } else { outcome_words(report, step, visit) },
        });
    }
    stops
}

impl Section {
    /// Whether there is anything to draw.
    pub(super) fn has_path(&self) -> bool {
        self.blocks.iter().any(|b| matches!(b, super::Block::Path(stops) if !stops.is_empty()))
    }
}
