//! What happened beside the straight way: back, jumps, waits, lapses, the job taken up again, a torn tail cut.

use crate::diag::Lang;
use crate::walk::{Event, Moment};

use super::words::{lapse, w};
use super::{Block, Report, Section};

/// Whether an event is told as a detour.
pub(super) const fn is_one(event: &Event) -> bool {
    matches!(
        event,
        Event::Back { .. }
            | Event::Jump { .. }
            | Event::Waits { .. }
            | Event::Stayed
            | Event::StillSo
            | Event::Lapsed { .. }
            | Event::Resumed { .. }
            | Event::Stands { .. }
            | Event::Cannot { .. }
            | Event::Details { .. }
    )
}

/// The detours, each with its time; of a walk without its journal, what lapsed.
pub(super) fn detours_section(report: &Report<'_>) -> Section {
    let lang = report.lang();
    let mut rows: Vec<Vec<String>> = Vec::new();
    for (at, event) in &report.journal.detours {
        rows.push(row(report, *at, told(event, &lang)));
    }
    if rows.is_empty() {
        for (at, cause) in report.walk.lapses() {
            rows.push(row(report, *at, told(&Event::Lapsed { cause: *cause }, &lang)));
        }
    }
    let heads = vec![w(&lang, "Time", "Hora"), w(&lang, "What", "Qué")];
    let blocks = if rows.is_empty() { Vec::new() } else { vec![Block::Table(heads, rows)] };
    Section { title: w(&lang, "Beside the straight way", "Fuera del camino directo"), blocks }
}

fn row(report: &Report<'_>, at: Moment, what: String) -> Vec<String> {
    vec![report.when(at), what]
}

fn told(event: &Event, lang: &Lang) -> String {
    match event {
        Event::Back { step } => format!("{} {step}", w(lang, "back to", "atrás hasta")),
        Event::Jump { step } => format!("{} {step}", w(lang, "jump to", "salto a")),
        Event::Waits { why } => format!("{} {why}", w(lang, "waits:", "espera:")),
        Event::Stayed => {
            w(lang, "the wait is over; stayed at the machine", "fin de la espera, junto a la máquina")
        }
        Event::StillSo => {
            w(lang, "asked: nothing at the machine has changed", "preguntado: nada cambió en la máquina")
        }
        Event::Lapsed { cause } => {
            format!(
                "{} {}",
                w(lang, "what was in force lapsed:", "lo vigente dejó de contar:"),
                lapse(*cause, lang)
            )
        }
        Event::Resumed { cut: Some(bytes) } => format!(
            "{} {bytes}",
            w(
                lang,
                "taken up again; bytes of a torn tail cut off the journal:",
                "retomado; bytes rotos quitados del final del registro:"
            )
        ),
        Event::Resumed { cut: None } => w(lang, "taken up again", "retomado"),
        Event::Stands { cab, .. } => {
            let words = w(lang, "asked how the cab stands:", "se preguntó cómo está la cabina:");
            format!("{words} {}", crate::walk::cab_words(*cab, lang))
        }
        Event::Cannot { step, why } => format!("{} {step}: {why}", w(lang, "cannot", "no se puede")),
        Event::Details { .. } => {
            w(lang, "what is known of the job was changed", "se cambiaron los datos del trabajo")
        }
        _ => String::new(),
    }
}
