//! What a step says in a drawing, and the words on its ways out.

use crate::diag::Lang;
use crate::tree::{Answer, BandKind, CloseAs, Kind, Leads, Like, Read, Step, Target};

/// The step in one sentence, in the tree's words.
pub(super) fn says(step: &Step, lang: &Lang) -> String {
    let text = |text: &crate::diag::Text| text.in_lang(lang).to_owned();
    match &step.kind {
        Kind::Ask(ask) => text(&ask.question),
        Kind::Look(look) => text(&look.what),
        Kind::Read(read) => reads(read),
        Kind::Do(action) => {
            action.action.as_ref().map_or_else(|| said(lang, "the repair", "la reparación"), text)
        }
        Kind::Gate(gate) => gate.gate.clone(),
        Kind::Find(find) => find.faults.join(", "),
        Kind::Close(close) => match close.how {
            CloseAs::Repaired => said(lang, "repaired", "reparado"),
            CloseAs::NotReproduced => said(lang, "not reproduced", "no reproducido"),
            CloseAs::Temporary => said(lang, "works for now", "funciona por ahora"),
        },
        Kind::Refer(refer) => text(&refer.why),
    }
}

/// The ways out with their words, in the order of answers or bands; `cannot` last.
pub(super) fn exits(step: &Step, lang: &Lang) -> Vec<(String, Target)> {
    let answers = |answers: &[Answer]| -> Vec<(String, Target)> {
        answers.iter().map(|answer| (answer.text.in_lang(lang).to_owned(), answer.go)).collect()
    };
    let mut exits = match &step.kind {
        Kind::Ask(ask) => answers(&ask.answers),
        Kind::Look(look) => answers(&look.answers),
        Kind::Read(read) => bands(read, lang),
        Kind::Do(action) => vec![(String::new(), action.go)],
        Kind::Gate(gate) => vec![(String::new(), gate.go)],
        Kind::Find(find) => vec![(String::new(), find.go)],
        Kind::Close(_) | Kind::Refer(_) => Vec::new(),
    };
    exits.extend(step.cannot.map(|target| (said(lang, "cannot", "no se puede"), target)));
    for (words, target) in &mut exits {
        if *target == Target::Again {
            let again = said(lang, "another round", "otra vuelta");
            *words = if words.is_empty() { again } else { format!("{words}: {again}") };
        }
    }
    exits
}

fn bands(read: &Read, lang: &Lang) -> Vec<(String, Target)> {
    let words = |kind: &BandKind| match kind {
        BandKind::Range(band) => band.to_string(),
        BandKind::Like(Like::Healthy) => said(lang, "like a good machine", "como una máquina sana"),
        BandKind::Like(Like::Faults(names)) => format!("{} {}", said(lang, "like", "como"), names.join(", ")),
        BandKind::Like(Like::Rest) => said(lang, "like nothing else here", "como nada de esto"),
    };
    let band = |band: &crate::tree::BandStep| {
        let means = band.means.as_ref().map_or_else(String::new, |text| format!(": {}", text.in_lang(lang)));
        (format!("{}{means}", words(&band.kind)), band.go)
    };
    read.bands.iter().map(band).collect()
}

fn reads(read: &Read) -> String {
    let at = match &read.leads {
        Leads::RedBlack { red, black } => match black.as_deref().filter(|name| !name.is_empty()) {
            Some(black) => format!("{red} – {black}"),
            None => red.clone(),
        },
        Leads::Across(a, b) => format!("{a} – {b}"),
        Leads::Around(name) | Leads::At(name) => name.clone(),
    };
    format!("{}: {at}", read.measure)
}

fn said(lang: &Lang, en: &str, es: &str) -> String {
    if lang.code() == "es" { es } else { en }.to_owned()
}
