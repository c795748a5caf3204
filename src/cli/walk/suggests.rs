//! Suspects and the suggestion, line by line: what the last answer ruled out, what would be quicker now, and where
//! the trouble can still be.

use crate::reason::{RuledOut, Suggester, Suggestion, Whereabouts};
use crate::safety::Words;
use crate::tree::StepIx;
use crate::walk::Walk;

/// The most lines that suspects take.
const MOST_LINES: usize = 8;

/// Keeps what was worked out between two prompts.
#[derive(Default)]
pub(super) struct Suggests {
    worker: Suggester,
    /// The number of events for which it was worked out, and what came of it.
    known: Option<(usize, Option<Whereabouts>)>,
    /// What was said of the evidence already.
    told: Option<RuledOut>,
    /// Somebody who should not hear of suspects listens.
    hidden: bool,
}

const FITS_NONE: Words = Words {
    en: "What you saw fits none of the faults this tree knows.",
    es: "Lo que vio no encaja con ninguna falla que este árbol conozca.",
};
const SAY_TAKE: Words = Words { en: "Say take.", es: "Diga take." };
const HIDDEN: Words = Words {
    en: "Suspects are hidden; `hide` says them again.",
    es: "Los sospechosos están ocultos; `hide` los dice otra vez.",
};
const ALONG: Words =
    Words { en: "Suspects along the wire, of 100:", es: "Sospechosos a lo largo del cable, de 100:" };
const LIKELIEST: Words = Words { en: ", likeliest", es: ", el más probable" };
const NOT_LISTED: Words = Words { en: "not in this tree", es: "fuera de este árbol" };

impl Suggests {
    /// What is said after an answer: what it ruled out, and what would be quicker now.
    pub(super) fn after(&mut self, walk: &Walk) -> Vec<String> {
        if self.hidden || !walk.takes_suggestions() {
            return Vec::new();
        }
        let lang = walk.lang();
        let told = self.told;
        let Some(whereabouts) = self.whereabouts(walk) else { return Vec::new() };
        let mut lines = Vec::new();
        let by_last = whereabouts.by_last;
        if let Some(ruled_out) = by_last.filter(|now| now.faults > 0 && Some(*now) != told) {
            lines.push(format!("{}.", capital(&ruled_out.said(&lang))));
        }
        if whereabouts.fits_none {
            lines.push(FITS_NONE.in_lang(&lang).to_owned());
        }
        if let Some(suggestion) = &whereabouts.suggestion {
            let said = suggestion.said(walk.course(), &lang);
            lines.push(format!("{}: {said} {}", Suggestion::label(&lang), SAY_TAKE.in_lang(&lang)));
        }
        self.told = by_last;
        lines
    }

    /// Keeps suspects and the suggestion unsaid, or says them again; true if they are hidden now.
    pub(super) const fn hide(&mut self) -> bool {
        self.hidden = !self.hidden;
        self.hidden
    }

    /// Where the trouble can still be.
    pub(super) fn suspects(&mut self, walk: &Walk) -> Vec<String> {
        if self.hidden {
            return vec![HIDDEN.in_lang(&walk.lang()).to_owned()];
        }
        let lang = walk.lang();
        let Some(whereabouts) = self.whereabouts(walk) else { return Vec::new() };
        let mut lines = vec![ALONG.in_lang(&lang).to_owned()];
        for line in whereabouts.lines(MOST_LINES, &lang) {
            let likeliest = if line.likeliest { LIKELIEST.in_lang(&lang) } else { "" };
            let circuit =
                if line.circuit.is_empty() { String::new() } else { format!(" ({})", line.circuit) };
            let percent = 100.0 * line.probability.value();
            // What sits on no circuit has no spot.
            let spot = if line.spot == "-" { String::new() } else { format!("{} ", line.spot) };
            lines.push(format!("  {percent:.0}  {spot}{}{likeliest}{circuit}", line.words));
        }
        let not_listed = 100.0 * whereabouts.not_listed.value();
        lines.push(format!("  {not_listed:.0}  {}", NOT_LISTED.in_lang(&lang)));
        lines
    }

    /// The step that is suggested now.
    pub(super) fn step(&mut self, walk: &Walk) -> Option<StepIx> {
        let is_told = !self.hidden && walk.takes_suggestions();
        let whereabouts = self.whereabouts(walk).filter(|_| is_told)?;
        whereabouts.suggestion.as_ref().map(|suggestion| suggestion.step)
    }

    fn whereabouts(&mut self, walk: &Walk) -> Option<&Whereabouts> {
        if self.known.as_ref().is_none_or(|(events, _)| *events != walk.events()) {
            self.worker.ask(walk.observed());
            self.known = Some((walk.events(), self.worker.wait()));
        }
        self.known.as_ref()?.1.as_ref()
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}
