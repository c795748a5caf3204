//! What `job verify` says: as text for people, as JSON for programs.
//!
//! The JSON, format 1:
//! `{"format":1,"job","events","head","whole":bool,"damage":[{"line","offset","bytes","kind",
//! "message"}],"stranded","torn":{"offset","bytes"}|null,"against":"same"|"goes-on"|"cut"|"differs"|
//! "absent"|null}`; kinds `not-a-line`, `no-newline`, `altered`, `does-not-follow`,
//! `unknown`; `head` is null when
//! there is no event.

use std::io::{self, Write};

use serde_json::{Value, json};

use crate::job::{Comparison, Damage, DamageKind, PrintedHead, Verdict};

/// Damaged lines told as text; the rest is counted.
const MOST_LINES: usize = 20;

/// A verdict, and how the journal stands to a printed head.
pub(super) struct Told {
    job: String,
    verdict: Verdict,
    against: Option<Comparison>,
}

impl Told {
    pub(super) fn new(job: String, verdict: Verdict, printed: Option<&PrintedHead>) -> Self {
        let against = printed.map(|head| verdict.compare(head));
        Self { job, verdict, against }
    }

    /// Whether nothing is wrong.
    pub(super) fn is_fine(&self) -> bool {
        self.verdict.is_whole() && self.against.is_none_or(|against| against == Comparison::Same)
    }

    pub(super) fn as_text(&self, out: &mut dyn Write) -> io::Result<()> {
        let verdict = &self.verdict;
        match verdict.head() {
            head if head.events == 0 => writeln!(out, "Job {}: no event can be read.", self.job)?,
            head => writeln!(out, "Job {}: {head}", self.job)?,
        }
        for damage in verdict.damage.iter().take(MOST_LINES) {
            writeln!(out, "Damaged: {damage}.")?;
        }
        if verdict.damage.len() > MOST_LINES {
            writeln!(out, "Damaged: {} more lines.", verdict.damage.len() - MOST_LINES)?;
        }
        if verdict.stranded > 0 {
            writeln!(out, "After the damage, {} lines are whole, but cannot be used.", verdict.stranded)?;
        }
        if let Some(torn) = verdict.torn {
            writeln!(out, "Torn: {torn}: what was being written when the program was stopped.")?;
            if verdict.damage.is_empty() && verdict.head().events > 0 {
                writeln!(out, "Going on with --resume cuts it, and records that it did.")?;
            }
        }
        if verdict.is_whole() {
            writeln!(out, "Whole: every line follows from the line before it.")?;
        }
        match self.against {
            Some(against) => writeln!(out, "Against the printed head: {against}."),
            None => Ok(()),
        }
    }

    pub(super) fn as_json(&self, out: &mut dyn Write) -> io::Result<()> {
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
            "against": self.against.map(comparison_word),
        });
        writeln!(out, "{told}")
    }
}

fn damage_json(damage: &Damage) -> Value {
    let kind = match damage.kind {
        DamageKind::NoNewline => "no-newline",
        DamageKind::NotALine => "not-a-line",
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
