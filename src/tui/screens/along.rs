//! Where the trouble can still be, under the step: suspects in the order in which the current flows, the share of each
//! beside it, and what would be quicker now. From the fullest to the shortest, so that the step never has to go.

use crate::reason::{Suggestion, Whereabouts, WireLine};
use crate::safety::Words;
use crate::tui::session::Session;
use crate::tui::sheet::{Sheet, fitted};
use crate::tui::theme::Role;
use crate::tui::words::{of_100, say};
use crate::walk::Walk;

const ALONG: Words = say("Along the wire", "A lo largo del cable");
const OF_100: Words = say("of 100", "de 100");
const LIKELIEST: Words = say("likeliest", "el más probable");
const ELSEWHERE: Words = say("elsewhere", "en otra parte");
const NOT_HERE: Words = say("not in this tree", "no está en este árbol");
const FITS_NONE: Words = say(
    "What you saw fits none of the faults that this tree knows.",
    "Lo que vio no cuadra con ninguna falla que este árbol conozca.",
);
const TAKE: Words = say("Tab 0 takes it.", "Tab 0 la toma.");

/// The most lines of suspects, and the fewest that still say where.
const MOST: usize = 8;
const FEWEST: usize = 3;
/// On fewer columns the suspects go first.
const WIDE: usize = 80;
/// Columns of the place.
const SPOT: usize = 15;
/// Columns at the right of the suspects: their share, and a word.
const RIGHT: usize = 24;

/// What may follow the step, the fullest first.
pub(super) fn tails(session: &Session, like: &Sheet) -> Vec<Sheet> {
    let Some(found) = session.whereabouts().filter(|_| !session.hides_suspects) else { return Vec::new() };
    let suggestion = found.suggestion.as_ref().map(|suggestion| suggested(session, like, suggestion));
    let with_suggestion = |mut sheet: Sheet| {
        if let Some(more) = &suggestion {
            sheet.append(more.clone());
        }
        sheet
    };
    let mut tails = Vec::new();
    if like.width() >= WIDE {
        let lines = |most, names| with_suggestion(suspects(session, like, (found, most, names)));
        tails.extend((FEWEST..=MOST).rev().map(|most| lines(most, Names::Shown)));
        tails.extend((FEWEST..=FEWEST + 1).rev().map(|most| lines(most, Names::LeftOut)));
        tails.push(with_suggestion(leader(session, like, found)));
    }
    tails.extend(suggestion.clone());
    tails
}

/// What would be quicker now, alone: at a gate nobody looks for suspects.
pub(super) fn suggestion_alone(session: &Session, like: &Sheet) -> Vec<Sheet> {
    let found = session.whereabouts().filter(|_| session.walk().is_some_and(Walk::takes_suggestions));
    let suggestion = found.and_then(|found| found.suggestion.as_ref());
    suggestion.map(|suggestion| suggested(session, like, suggestion)).into_iter().collect()
}

fn suggested(session: &Session, like: &Sheet, suggestion: &Suggestion) -> Sheet {
    let mut sheet = like.emptied();
    let Some(walk) = session.walk() else { return sheet };
    let lang = walk.lang();
    let said = suggestion.said(walk.course(), &lang);
    let text = format!("{}: {said} {}", Suggestion::label(&lang), TAKE.in_lang(&lang));
    sheet.text(Role::Strong, 3, &text);
    sheet
}

/// Whether circuits are named.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Names {
    /// Each on a row of its own.
    Shown,
    /// There is no room.
    LeftOut,
}

fn suspects(session: &Session, like: &Sheet, (found, most, names): (&Whereabouts, usize, Names)) -> Sheet {
    let lang = session.lang();
    let mut sheet = like.emptied();
    heading(&mut sheet, session, found);
    let lines = found.lines(most.saturating_sub(1), &lang);
    let several = names == Names::Shown && lines.iter().any(|line| line.circuit != lines[0].circuit);
    let mut circuit = "";
    for line in &lines {
        if several && line.circuit != circuit {
            circuit = &line.circuit;
            sheet.text(Role::Plain, 5, circuit);
        }
        suspect(&mut sheet, session, line);
    }
    let rest = format!("{:<SPOT$} {}", "-", NOT_HERE.in_lang(&lang));
    row(&mut sheet, (&rest, found.not_listed.value()), "");
    if found.fits_none {
        sheet.text(Role::Strong, 5, FITS_NONE.in_lang(&lang));
    }
    sheet
}

/// The heading and the line in which the leader is.
fn leader(session: &Session, like: &Sheet, found: &Whereabouts) -> Sheet {
    let mut sheet = like.emptied();
    let lines = found.lines(usize::MAX, &session.lang());
    let most = lines.iter().max_by(|a, b| a.probability.value().total_cmp(&b.probability.value()));
    if let Some(line) = most {
        heading(&mut sheet, session, found);
        suspect(&mut sheet, session, line);
    }
    sheet
}

fn heading(sheet: &mut Sheet, session: &Session, found: &Whereabouts) {
    let lang = session.lang();
    let by_last = found.by_last.filter(|by_last| by_last.faults > 0);
    let ruled_out = by_last.map_or_else(String::new, |by_last| format!("   {}", by_last.said(&lang)));
    let left = fitted(&format!("   {}{ruled_out}", ALONG.in_lang(&lang)), sheet.width() - RIGHT);
    sheet.pieces(&[(Role::Strong, &left), (Role::Plain, OF_100.in_lang(&lang))]);
}

fn suspect(sheet: &mut Sheet, session: &Session, line: &WireLine) {
    let word = if line.likeliest { session.word(LIKELIEST) } else { "" };
    // What sits on no wire has no place along it.
    let spot = if line.spot == "-" { session.word(ELSEWHERE) } else { &line.spot };
    let named = format!("{spot:<SPOT$} {}", line.words);
    row(sheet, (&named, line.probability.value()), word);
}

fn row(sheet: &mut Sheet, (named, probability): (&str, f64), word: &str) {
    let left = fitted(&format!("     {named}"), sheet.width() - RIGHT);
    let role = if word.is_empty() { Role::Plain } else { Role::Strong };
    sheet.pieces(&[(role, &left), (role, &format!("{:>4}   {word}", of_100(probability)))]);
}
