//! What `job verify` says: as text for people, as JSON for programs.
//!
//! Three questions, in this order: does every line follow from the line before it; could the events
//! have happened on the tree inside; and is the journal the one whose head was printed. A chain that
//! was made again over altered events passes the first and fails the second or the third.
//!
//! The JSON, format 1:
//! `{"format":1,"job","events","head","whole":bool,"damage":[{"line","offset","bytes","kind",
//! "message"}],"stranded","torn":{"offset","bytes"}|null,"possible":bool,"refused":bool,"why",
//! "against":"same"|"goes-on"|"cut"|"differs"|"absent"|null}`; kinds `not-a-line`, `no-newline`, `altered`,
//! `does-not-follow`, `unknown`; `head` is null when there is no event, `why`
//! when the events are possible; `refused` says that the tree inside would not be walked today.

use std::io::{self, Write};

use serde_json::{Value, json};

use super::{Format, ending};
use crate::cli::Outcome;
use crate::diag::visible_line;
use crate::job::{
    Comparison, Damage, DamageKind, Kept, PrintedHead, Recovered, ReplayFault, Verdict, replay,
};

/// Damaged lines told as text; the rest is counted.
const MOST_LINES: usize = 20;

/// Says whether the journal is whole, possible and the one that was printed.
pub(super) fn run(
    (job, found): (String, &Recovered<Kept>),
    printed: Option<&PrintedHead>,
    format: Format,
    out: &mut dyn Write,
) -> Outcome {
    let verdict = found.verdict();
    let replayed = replay(&found.records);
    let told = Told {
        job,
        against: printed.map(|head| verdict.compare(head)),
        verdict,
        is_refused: replayed.as_ref().is_ok_and(|replayed| replayed.problems.refused()),
        fault: replayed.map_or_else(Some, |replayed| replayed.impossible.map(ReplayFault::from)),
    };
    match format {
        Format::Text => told.as_text(out)?,
        Format::Json => told.as_json(out)?,
    }
    Ok(ending(told.is_fine()))
}

/// A verdict, what keeps the events from having happened, and how the journal stands to a printed head.
struct Told {
    job: String,
    verdict: Verdict,
    is_refused: bool,
    fault: Option<ReplayFault>,
    against: Option<Comparison>,
}

impl Told {
    /// Whether nothing is wrong.
    fn is_fine(&self) -> bool {
        let is_the_same = self.against.is_none_or(|against| against == Comparison::Same);
        self.verdict.is_whole() && self.fault.is_none() && !self.is_refused && is_the_same
    }

    fn as_text(&self, out: &mut dyn Write) -> io::Result<()> {
        let verdict = &self.verdict;
        let job = visible_line(&self.job);
        match verdict.head() {
            head if head.events == 0 => writeln!(out, "Job {job}: no event can be read.")?,
            head => writeln!(out, "Job {job}: {head}")?,
        }
        self.damage_as_text(out)?;
        if verdict.is_whole() {
            writeln!(out, "Whole: every line follows from the line before it.")?;
        }
        match &self.fault {
            None => writeln!(out, "Possible: a walk of the tree inside leads through these events.")?,
            Some(ReplayFault::Empty) => {}
            Some(fault) => writeln!(out, "Not possible: {}.", visible_line(&fault.to_string()))?,
        }
        if self.is_refused {
            writeln!(out, "Refused: {}.", ReplayFault::Refused)?;
        }
        match self.against {
            Some(against) => writeln!(out, "Against the printed head: {against}."),
            None => Ok(()),
        }
    }

    fn damage_as_text(&self, out: &mut dyn Write) -> io::Result<()> {
        let verdict = &self.verdict;
        for damage in verdict.damage.iter().take(MOST_LINES) {
            writeln!(out, "Damaged: {}.", visible_line(&damage.to_string()))?;
        }
        if verdict.damage.len() > MOST_LINES {
            writeln!(out, "Damaged: {} more lines.", verdict.damage.len() - MOST_LINES)?;
        }
        if verdict.stranded > 0 {
            writeln!(out, "After the damage, {} lines are whole, but cannot be used.", verdict.stranded)?;
        }
        let Some(torn) = verdict.torn else { return Ok(()) };
        writeln!(out, "Torn: {torn}: what was being written when the program was stopped.")?;
        if verdict.damage.is_empty() && verdict.head().events > 0 {
            writeln!(out, "Going on with --resume cuts it, and records that it did.")?;
        }
        Ok(())
    }

    fn as_json(&self, out: &mut dyn Write) -> io::Result<()> {
        let verdict = &self.verdict;
        let head = verdict.head();
        let told = json!({
            "format": 1,
            "job": self.job,
            "events": head.events,
            "head": (head.events > 0).then(|| head.hash.to_string()),
            "whole": verdict.is_whole(),
            "damage": verdict.damage.iter().map(damage_json).collect::<Vec<_>>(),
            "stranded": verdict.stranded,
            "torn": verdict.torn.map(|torn| json!({"offset": torn.offset, "bytes": torn.bytes})),
            "possible": self.fault.is_none(),
            "refused": self.is_refused,
            "why": self.fault.as_ref().map(ToString::to_string),
            "against": self.against.map(comparison_word),
        });
        crate::cli::answer::json_line(&told, out)
    }
}

fn damage_json(damage: &Damage) -> Value {
    let kind = match damage.kind {
        DamageKind::NotALine => "not-a-line",
        DamageKind::NoNewline => "no-newline",
        DamageKind::Altered => "altered",
        DamageKind::DoesNotFollow { .. } => "does-not-follow",
        DamageKind::Unknown { .. } => "unknown",
    };
    json!({
        "line": damage.line,
        "offset": damage.offset,
        "bytes": damage.bytes,
        "kind": kind,
        "message": damage.kind.to_string(),
    })
}

fn comparison_word(comparison: Comparison) -> &'static str {
    match comparison {
        Comparison::Same => "same",
        Comparison::GoesOn { .. } => "goes-on",
        Comparison::Cut { .. } => "cut",
        Comparison::Differs => "differs",
        Comparison::Absent => "absent",
    }
}
