//! What was made safe, who confirmed it, and how the machine was left.

use crate::safety::{DEFER, Gate, GateId};
use crate::walk::{GateLog, Walker};

use super::words::w;
use super::{Block, Report, Section};

/// The gates passed, each with its time and who confirmed it.
pub(super) fn safety_section(report: &Report<'_>) -> Section {
    let lang = report.lang();
    let rows: Vec<Vec<String>> = report.walk.gates().iter().map(|log| gate_row(report, log)).collect();
    let heads = vec![
        w(&lang, "Time", "Hora"),
        w(&lang, "Gate", "Control"),
        w(&lang, "Confirmed", "Confirmado"),
        w(&lang, "By", "Por"),
    ];
    let blocks = if rows.is_empty() {
        Vec::new()
    } else {
        let mut before = vec![DEFER.in_lang(&lang).to_owned()];
        if report.walk.walker() == Walker::Script {
            before.push(w(
                &lang,
                "Every item below is scripted, not confirmed by a person.",
                "Cada punto es automático, no confirmado por una persona.",
            ));
        }
        vec![Block::Lines(before), Block::Table(heads, rows)]
    };
    Section { title: w(&lang, "Made safe", "Asegurado"), blocks }
}

fn gate_row(report: &Report<'_>, log: &GateLog) -> Vec<String> {
    let lang = report.lang();
    let time = report.when(log.passed.unwrap_or(log.begun));
    let all = report.walk.gate_items(log.gate, log.step, log.why).len();
    let state = match (&log.cannot, log.passed) {
        (Some(why), _) => format!("{} {why}", w(&lang, "COULD NOT BE DONE:", "NO SE PUDO:")),
        (None, Some(_)) => format!("{all} {} {all}", w(&lang, "of", "de")),
        (None, None) => format!("{} {} {all}", log.confirmed.len(), w(&lang, "of", "de")),
    };
    let mut by: Vec<&str> = log.confirmed.iter().map(|c| c.by.as_str()).collect();
    by.dedup();
    vec![time, gate_title(report, log.gate), state, by.join(", ")]
}

/// A gate's title in the language of the report.
pub(super) fn gate_title(report: &Report<'_>, gate: GateId) -> String {
    match gate {
        GateId::BuiltIn(gate) => gate.title().in_lang(&report.lang()).to_owned(),
        own @ GateId::Own(_) => own.name(report.walk.course().vocabulary()).to_owned(),
    }
}

impl Report<'_> {
    /// What is in force, in one line.
    pub(super) fn machine_now(&self) -> String {
        let parts = crate::safety::machine_now(self.walk.machine(), self.walk.course().vocabulary());
        crate::safety::machine_now_line(&parts).in_lang(&self.lang()).to_owned()
    }
}

/// How the machine was left, and who was told.
pub(super) fn left_section(report: &Report<'_>) -> Section {
    let lang = report.lang();
    let mut lines: Vec<String> =
        report.walk.left_words().iter().map(|(at, text)| format!("{} {text}", report.when(*at))).collect();
    let leaving = [GateId::BuiltIn(Gate::Leave), GateId::BuiltIn(Gate::KeepAway)];
    let last =
        report.walk.gates().iter().rev().find(|log| leaving.contains(&log.gate) && log.passed.is_some());
    if let Some(log) = last {
        let items = report.walk.gate_items(log.gate, log.step, log.why);
        for done in &log.confirmed {
            if let Some(item) = items.get(done.item) {
                lines.push(format!("{} {} ({})", report.when(done.at), item.text.in_lang(&lang), done.by));
            }
        }
    }
    if !report.walk.gates().is_empty() {
        lines.push(format!(
            "{} {}",
            w(&lang, "In force at the last entry:", "Vigente en la última entrada:"),
            report.machine_now()
        ));
    }
    let blocks = if lines.is_empty() { Vec::new() } else { vec![Block::Lines(lines)] };
    Section {
        title: w(
            &lang,
            "How the machine was left, and who was told",
            "Cómo quedó la máquina y a quién se avisó",
        ),
        blocks,
    }
}
