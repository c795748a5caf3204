//! The repair by its sheet: what was mended, with what, and which codes were there afterwards.

use crate::diag::Lang;
use crate::repair::Damage;
use crate::walk::{EndedAs, Mend, Now};

use super::sections::capital;
use super::words::w;
use super::{Block, Report, Section};

impl Report<'_> {
    /// That no code was there at the end, or that nobody said; nothing while the job is open, and where the machine
    /// sets none.
    pub(super) fn about_codes(&self) -> Option<String> {
        let lang = self.lang();
        if self.walk.no_codes_left() {
            return Some(w(&lang, "No code was there at the end.", "Al final no había códigos."));
        }
        let machine = self.walk.course().tree().model.as_ref();
        let sets_codes = machine.is_some_and(|m| m.parts().controllers.iter().any(|c| !c.codes.is_empty()));
        let is_closed = matches!(self.walk.now(), Now::Ended(EndedAs::Closed(_)));
        (sets_codes && is_closed && self.repaired()).then(|| {
            w(
                &lang,
                "Nobody said which codes were there at the end: to be looked at.",
                "Nadie dijo qué códigos había al final: por revisar.",
            )
        })
    }
}

/// The sheet of each repair, and what the mechanic said of it.
pub(super) fn mend_section(report: &Report<'_>) -> Section {
    let lang = report.lang();
    let mut blocks = Vec::new();
    for mend in report.walk.repairs() {
        let facts = facts(mend, &lang);
        if !facts.is_empty() {
            blocks.push(Block::Facts(facts));
        }
    }
    Section { title: w(&lang, "The repair, by its sheet", "La reparación, según su hoja"), blocks }
}

/// The lines of the sheet as it was done; without one, what was said.
fn facts(mend: &Mend, lang: &Lang) -> Vec<(String, String)> {
    let own = mend
        .said
        .iter()
        .filter(|(key, _)| mend.sheet.is_empty() || !Damage::KEYS.contains(&key.as_str()) && key != "parts");
    let own = own.map(|(key, value)| match key.as_str() {
        "as-done" => (w(lang, "as done", "como se hizo"), value.clone()),
        _ => (key.clone(), value.clone()),
    });
    let all = mend.sheet.iter().cloned().chain(own);
    all.map(|(label, value)| (capital(&label), value)).collect()
}

/// What the mechanic said of a repair in words of their own; all of it, where there is no sheet.
pub(super) fn own_words(mend: &Mend) -> Vec<String> {
    let is_own = |key: &str| mend.sheet.is_empty() || !Damage::KEYS.contains(&key);
    let own = mend.said.iter().filter(|(key, _)| is_own(key) && key != "parts");
    own.map(|(key, value)| if key == "as-done" { value.clone() } else { format!("{key}: {value}") }).collect()
}
