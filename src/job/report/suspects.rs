//! How suspicion moved, step by step, for the shop: what each thing seen ruled out, who was likeliest then, and which
//! of it was enough.

use crate::diag::Lang;
use crate::reason::Moved;
use crate::tree::Kind;
use crate::units::Reading;

use super::words::w;
use super::{Block, Report, Section};

/// The section; empty where the tree names no fault or nothing was seen.
pub(super) fn suspects_section(report: &Report<'_>) -> Section {
    let lang = report.lang();
    let mut blocks = Vec::new();
    for round in 1..=report.walk.round() {
        let moved = report.walk.observed_in(round).account();
        if moved.is_empty() {
            continue;
        }
        blocks.push(Block::Table(heads(&lang), moved.iter().map(|one| row(report, one)).collect()));
        blocks.extend(enough(&moved, &lang).map(|line| Block::Lines(vec![line])));
    }
    Section { title: w(&lang, "How suspicion moved", "Cómo se movió la sospecha"), blocks }
}

fn heads(lang: &Lang) -> Vec<String> {
    vec![
        w(lang, "Step", "Paso"),
        w(lang, "Seen", "Visto"),
        w(lang, "What it did", "Qué hizo"),
        w(lang, "Likeliest then", "Lo más probable entonces"),
    ]
}

fn row(report: &Report<'_>, moved: &Moved) -> Vec<String> {
    let lang = &report.lang();
    let leader = moved.leader.clone().unwrap_or_else(|| w(lang, "not in this tree", "no está en este árbol"));
    let percent = 100.0 * moved.probability.value();
    vec![
        moved.step.clone(),
        seen(report, moved),
        moved.ruled_out.said(lang),
        format!("{leader} ({percent:.0} {})", w(lang, "of 100", "de 100")),
    ]
}

/// What was seen; a reading with its unit, also where the unit was not typed.
fn seen(report: &Report<'_>, moved: &Moved) -> String {
    let tree = report.walk.course().tree();
    let typed = &moved.outcome;
    if let Some(Kind::Read(read)) = tree.find(&moved.step).map(|ix| &tree.step(ix).kind) {
        return Reading::parse(typed, read.measure.unit()).map_or_else(|_| typed.clone(), |r| r.to_string());
    }
    let own = report.walk.own_readings().iter().find(|(_, _, _, own)| own.reading.text() == typed);
    own.map_or_else(|| typed.clone(), |(_, _, _, own)| own.reading.to_string())
}

/// What sufficed for the last leader.
fn enough(moved: &[Moved], lang: &Lang) -> Option<String> {
    let leader = moved.last()?.leader.as_ref()?;
    let steps: Vec<&str> = moved.iter().filter(|one| one.suffices).map(|one| one.step.as_str()).collect();
    if steps.is_empty() {
        return None;
    }
    let words = w(lang, "Enough for it to lead:", "Basta para que encabece:");
    Some(format!("{leader}. {words} {}.", steps.join(", ")))
}
