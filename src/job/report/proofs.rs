//! Proofs: that the function is back, and that its interlock holds it; what was tried, and what was not shown.

use crate::safety::Deed;
use crate::tree::{Kind, Proof};
use crate::walk::{Outcome, Visit};

use super::tables::outcome_words;
use super::words::w;
use super::{Block, Report, Section};

/// One attempt at a proof.
pub(super) struct Tried<'j> {
    pub(super) visit: &'j Visit,
    pub(super) proof: Proof,
    pub(super) is_shown: bool,
}

impl Report<'_> {
    /// Every attempt at a proof, in order.
    pub(super) fn proofs_tried(&self) -> Vec<Tried<'_>> {
        let course = self.walk.course();
        let mut all = Vec::new();
        for visit in self.walk.visits() {
            let Some(proof) = proof_of(&course.tree().step(visit.step).kind) else { continue };
            let (Outcome::Answer(way) | Outcome::Read { band: way, .. }) = &visit.outcome else { continue };
            let shown = course.shown_on(visit.step, *way);
            let is_shown = shown.iter().any(|deed| matches!(deed, Deed::Shown { .. }));
            all.push(Tried { visit, proof, is_shown });
        }
        all
    }

    /// What a repaired machine should have been shown to do, and was not, one sentence each.
    pub(super) fn not_proved(&self) -> Vec<String> {
        let lang = self.lang();
        let tree = self.walk.course().tree();
        let tried = self.proofs_tried();
        let last_round: Vec<&Tried<'_>> =
            tried.iter().filter(|t| t.visit.round == self.walk.round()).collect();
        let mut lines = Vec::new();
        for (at, one) in last_round.iter().enumerate() {
            let again = last_round[at + 1..].iter().any(|later| later.visit.step == one.visit.step);
            if !one.is_shown && !again {
                let step = tree.step(one.visit.step);
                lines.push(format!("{} {}", w(&lang, "Not proved:", "No comprobado:"), step.id));
            }
        }
        let is_shown = |proof| last_round.iter().any(|t| t.proof == proof && t.is_shown);
        let is_asked = |proof| tree.steps.iter().any(|step| proof_of(&step.kind) == Some(proof));
        let missing = |proof| self.repaired() && is_asked(proof) && !is_shown(proof);
        if missing(Proof::Works) {
            lines.push(w(
                &lang,
                "It was not shown that the function is back.",
                "No se mostró que la función volvió.",
            ));
        }
        if missing(Proof::Held) {
            lines.push(w(
                &lang,
                "It was not shown that the interlock holds it.",
                "No se mostró que el enclavamiento la retiene.",
            ));
        }
        lines
    }
}

const fn proof_of(kind: &Kind) -> Option<Proof> {
    match kind {
        Kind::Ask(ask) => ask.proof,
        Kind::Read(read) => read.proof,
        _ => None,
    }
}

/// What was proved, and what the interlock did.
pub(super) fn proofs_section(report: &Report<'_>) -> Section {
    let lang = report.lang();
    let tree = report.walk.course().tree();
    let row = |tried: &Tried<'_>| {
        let (visit, step) = (tried.visit, tree.step(tried.visit.step));
        let asked = match &step.kind {
            Kind::Ask(ask) => ask.question.in_lang(&lang).to_owned(),
            _ => step.id.clone(),
        };
        let result = if tried.is_shown {
            w(&lang, "proved", "comprobado")
        } else {
            w(&lang, "NOT proved", "NO comprobado")
        };
        let at = report.when(visit.left.unwrap_or(visit.entered));
        vec![at, asked, outcome_words(report, step, visit), result]
    };
    let rows: Vec<Vec<String>> = report.proofs_tried().iter().map(row).collect();
    let heads = vec![
        w(&lang, "Time", "Hora"),
        w(&lang, "Tried", "Se probó"),
        w(&lang, "Seen", "Se vio"),
        w(&lang, "Result", "Resultado"),
    ];
    let blocks = if rows.is_empty() { Vec::new() } else { vec![Block::Table(heads, rows)] };
    Section { title: w(&lang, "Proof", "Comprobación"), blocks }
}
