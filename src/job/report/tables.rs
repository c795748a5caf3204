//! The tables of a report: readings with their bands, readings off the tree, gate items, and the path step by step.

use crate::diag::Lang;
use crate::tree::{BandKind, Kind, Leads, Like, Read, Step};
use crate::walk::{Moment, Outcome, Visit};

use super::safety_part::gate_title;
use super::words::w;
use super::{Block, Reader, Report, Section};

/// Every reading with where it was taken, its band and what that means.
pub(super) fn readings(report: &Report<'_>) -> Section {
    let lang = report.lang();
    let tree = report.walk.course().tree();
    let mut rows: Vec<(u64, Vec<String>)> = Vec::new();
    let since_start = |at: Moment| at.since(report.walk.started());
    for visit in report.walk.visits() {
        let Some(row) = reading_row(report, tree.step(visit.step), visit) else { continue };
        rows.push((since_start(visit.left.unwrap_or(visit.entered)), row));
    }
    for log in report.walk.gates() {
        for done in log.confirmed.iter().filter(|c| c.reading.is_some()) {
            let items = report.walk.gate_items(log.gate, log.step, log.why);
            let what = items.get(done.item).map_or("", |i| i.text.in_lang(&lang)).to_owned();
            let read = done.reading.as_ref().map_or_else(String::new, ToString::to_string);
            let row = vec![report.when(done.at), gate_title(report, log.gate), what, read, String::new()];
            rows.push((since_start(done.at), row));
        }
    }
    rows.sort_by_key(|(at, _)| *at);
    let rows: Vec<Vec<String>> = rows.into_iter().map(|(_, row)| row).collect();
    let heads = vec![
        w(&lang, "Time", "Hora"),
        w(&lang, "Step", "Paso"),
        w(&lang, "Where", "Dónde"),
        w(&lang, "Read", "Leído"),
        w(&lang, "Band", "Franja"),
    ];
    let blocks = if rows.is_empty() { Vec::new() } else { vec![Block::Table(heads, rows)] };
    Section { title: w(&lang, "Readings", "Lecturas"), blocks }
}

fn reading_row(report: &Report<'_>, step: &Step, visit: &Visit) -> Option<Vec<String>> {
    let lang = report.lang();
    let (Kind::Read(read), Outcome::Read { reading, band, decided, .. }) = (&step.kind, &visit.outcome)
    else {
        return None;
    };
    let mut told = band_words(read, *band, &lang);
    if let Some(means) = read.bands.get(*band).and_then(|b| b.means.as_ref()) {
        told = format!("{told}: {}", means.in_lang(&lang));
    }
    if let Some(why) = decided {
        told = format!("{told} ({} {why})", w(&lang, "decided:", "decidido:"));
    }
    let at = report.when(visit.left.unwrap_or(visit.entered));
    let shown = match report.reader {
        Reader::Shop => reading.echo(read.measure.unit()).to_string(),
        _ => reading.to_string(),
    };
    Some(vec![at, step.id.clone(), leads_words(read, &lang), shown, told])
}

/// A band as a reader of a report understands it.
pub(super) fn band_words(read: &Read, band: usize, lang: &Lang) -> String {
    match read.bands.get(band).map(|b| &b.kind) {
        Some(BandKind::Range(range)) => range.to_string(),
        Some(BandKind::Like(Like::Healthy)) => w(lang, "like healthy", "como sana"),
        Some(BandKind::Like(Like::Rest)) => w(lang, "like none of the others", "como ninguna de las otras"),
        Some(BandKind::Like(Like::Faults(faults))) => {
            format!("{} {}", w(lang, "like", "como"), faults.join(", "))
        }
        None => String::new(),
    }
}

/// Where the leads were.
pub(super) fn leads_words(read: &Read, lang: &Lang) -> String {
    match &read.leads {
        Leads::RedBlack { red, black } => {
            format!("{red} – {}", black.clone().unwrap_or_else(|| w(lang, "frame", "chasis")))
        }
        Leads::Across(a, b) => format!("{a} – {b}"),
        Leads::Around(wire) => format!("{} {wire}", w(lang, "clamp around", "pinza en")),
        Leads::At(place) => place.clone(),
    }
}

/// Readings taken off the tree.
pub(super) fn own_readings(report: &Report<'_>) -> Section {
    let lang = report.lang();
    let rows: Vec<Vec<String>> = report
        .walk
        .own_readings()
        .iter()
        .map(|(step, at, _, own)| {
            let set: Vec<String> = own.with.iter().map(|(c, s)| format!("{c} {s}")).collect();
            let leads =
                format!("{} – {}", own.red, own.black.clone().unwrap_or_else(|| w(&lang, "frame", "chasis")));
            vec![report.when(*at), step.clone(), leads, set.join(", "), own.reading.to_string()]
        })
        .collect();
    let heads = vec![
        w(&lang, "Time", "Hora"),
        w(&lang, "At step", "En el paso"),
        w(&lang, "Where", "Dónde"),
        w(&lang, "Set", "Puesto"),
        w(&lang, "Read", "Leído"),
    ];
    let blocks = if rows.is_empty() { Vec::new() } else { vec![Block::Table(heads, rows)] };
    Section { title: w(&lang, "Own readings", "Lecturas propias"), blocks }
}

/// Who confirmed what when.
pub(super) fn gate_items(report: &Report<'_>) -> Section {
    let lang = report.lang();
    let mut rows = Vec::new();
    for log in report.walk.gates() {
        let items = report.walk.gate_items(log.gate, log.step, log.why);
        for done in &log.confirmed {
            let what = items.get(done.item).map_or("", |i| i.text.in_lang(&lang)).to_owned();
            let read = done.reading.as_ref().map_or_else(String::new, |r| format!(" {r}"));
            rows.push(vec![
                report.when(done.at),
                gate_title(report, log.gate),
                format!("{what}{read}"),
                done.by.clone(),
            ]);
        }
    }
    let heads = vec![
        w(&lang, "Time", "Hora"),
        w(&lang, "Gate", "Control"),
        w(&lang, "Item", "Punto"),
        w(&lang, "By", "Por"),
    ];
    let blocks = if rows.is_empty() { Vec::new() } else { vec![Block::Table(heads, rows)] };
    Section { title: w(&lang, "Gates, item by item", "Controles, punto por punto"), blocks }
}

/// Every visit to a step, in order.
pub(super) fn path_table(report: &Report<'_>) -> Section {
    let lang = report.lang();
    let tree = report.walk.course().tree();
    let rows: Vec<Vec<String>> = report
        .walk
        .visits()
        .iter()
        .enumerate()
        .map(|(nth, visit)| {
            let step = tree.step(visit.step);
            vec![
                (nth + 1).to_string(),
                report.when(visit.entered),
                visit.round.to_string(),
                step.kind.word().to_owned(),
                step.id.clone(),
                outcome_words(report, step, visit),
            ]
        })
        .collect();
    let heads = vec![
        w(&lang, "No.", "N.º"),
        w(&lang, "Time", "Hora"),
        w(&lang, "Round", "Vuelta"),
        w(&lang, "Kind", "Tipo"),
        w(&lang, "Step", "Paso"),
        w(&lang, "Outcome", "Resultado"),
    ];
    let blocks = if rows.is_empty() { Vec::new() } else { vec![Block::Table(heads, rows)] };
    Section { title: w(&lang, "Step by step", "Paso a paso"), blocks }
}

/// How a visit ended, in words.
pub(super) fn outcome_words(report: &Report<'_>, step: &Step, visit: &Visit) -> String {
    let lang = report.lang();
    let mut told = match (&visit.outcome, &step.kind) {
        (Outcome::Answer(way), Kind::Ask(ask)) => {
            ask.answers.get(*way).map_or_else(String::new, |a| a.text.in_lang(&lang).to_owned())
        }
        (Outcome::Answer(way), Kind::Look(look)) => {
            look.answers.get(*way).map_or_else(String::new, |a| a.text.in_lang(&lang).to_owned())
        }
        (Outcome::Read { reading, band, .. }, Kind::Read(read)) => {
            format!("{reading}; {}", band_words(read, *band, &lang))
        }
        (Outcome::Done, Kind::Gate(_)) => w(&lang, "passed", "pasado"),
        (Outcome::Done, _) => w(&lang, "done", "hecho"),
        (Outcome::Cannot(why), _) => format!("{} {why}", w(&lang, "cannot:", "no se puede:")),
        (Outcome::Left, _) => w(&lang, "left: went back or jumped", "dejado: se volvió o se saltó"),
        (Outcome::Open, _) => w(&lang, "open", "abierto"),
        _ => String::new(),
    };
    if visit.by_jump {
        told = format!("{told} ({})", w(&lang, "come to by a jump", "por un salto"));
    }
    told
}
