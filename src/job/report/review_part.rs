//! How the job went, for the shop: minutes by the clock and by the tree, gates, how long each condition was in force.

use super::words::w;
use super::{Block, Report, Section};
use crate::job::review::Review;

/// The page; nothing where the job was not reviewed.
pub(super) fn review_section(report: &Report<'_>) -> Section {
    let lang = report.lang();
    let title = w(&lang, "How it went", "Cómo fue");
    let Some(review) = &report.journal.review else { return Section { title, blocks: Vec::new() } };
    let minutes = |value: f64| format!("{value:.0} min");
    let count = |of: usize| if of == 0 { String::new() } else { of.to_string() };
    let ticked = review.gates.iter().filter(|gate| gate.ticked).count();
    let in_vain: Vec<&str> = review.in_vain.iter().map(|vain| vain.repair.as_str()).collect();
    let all = vec![
        (w(&lang, "Worked, waits left out", "Trabajado, sin esperas"), minutes(review.worked.value())),
        (w(&lang, "Waited", "Esperado"), minutes(review.waited.value())),
        (w(&lang, "By the tree", "Según el árbol"), minutes(review.by_tree.value())),
        (
            w(
                &lang,
                "Gates ticked within two seconds an item",
                "Controles marcados en menos de dos segundos por punto",
            ),
            count(ticked),
        ),
        (w(&lang, "Readings too close to call", "Lecturas en el límite"), count(review.close_calls.len())),
        (w(&lang, "Own readings", "Lecturas propias"), count(review.own_readings)),
        (w(&lang, "Jumps", "Saltos"), count(review.jumps)),
        (w(&lang, "Good parts fitted", "Piezas buenas cambiadas"), in_vain.join("; ")),
    ];
    let facts = all.into_iter().filter(|(_, value)| !value.is_empty()).collect();
    let heads = vec![
        w(&lang, "In force", "Vigente"),
        w(&lang, "Value", "Valor"),
        w(&lang, "Minutes worked", "Minutos trabajados"),
    ];
    let rows = review
        .in_force
        .iter()
        .map(|held| vec![held.condition.clone(), held.value.clone(), format!("{:.0}", held.minutes.value())])
        .collect();
    Section { title, blocks: vec![Block::Facts(facts), Block::Table(heads, rows)] }
}

impl super::JournalState {
    /// Takes up how the job went, to be told to the shop.
    #[must_use]
    pub fn reviewed(self, review: Review) -> Self {
        Self { review: Some(review), ..self }
    }
}
