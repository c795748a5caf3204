//! The bands of a `read` step: numbers or likenesses, never both.

use crate::diag::{Entries, Place, Problems, Text};
use crate::units::{Band, Measure};

use super::forms;
use super::load::wrong_kind;
use super::model::{BandKind, BandStep, Like};
use super::steps::{Reader, quantity_problem};

/// Reads the bands of the step being read.
pub(super) fn read_bands(reader: &mut Reader<'_, '_, '_>, measure: Measure) -> Vec<BandStep> {
    let e = reader.draft.entries;
    let Some(node) = e.get("bands") else { return Vec::new() };
    let Some(items) = node.list() else {
        wrong_kind(Place::Bytes(e.file, node.span), "a list of bands, each with its `go`", reader.problems);
        return Vec::new();
    };
    if items.is_empty() {
        reader.problems.refuse("empty-list", Place::Bytes(e.file, node.span)).says(
            "there is no band for a reading to fall in",
            "The mechanic could not go on.",
            "bands that cover the whole range, each with its `go`",
        );
    }
    let mut bands = Vec::new();
    for item in items {
        let Some(b) = Entries::open(item, e.file, &forms::BAND, reader.problems) else { continue };
        let Some(kind) = band_kind(&b, measure, reader) else { continue };
        let means = b.get("means").and_then(|n| Text::read(n, b.file, reader.problems));
        let go = reader.target_in(&b, "go");
        bands.push(BandStep { kind, means: means.map(|t| reader.fill_text(t)), go });
    }
    bands
}

fn band_kind(b: &Entries<'_, '_>, measure: Measure, reader: &mut Reader<'_, '_, '_>) -> Option<BandKind> {
    if b.get("like").is_some() {
        if let Some(key) = ["below", "from", "to", "above", "jumps"].into_iter().find(|k| b.get(k).is_some())
        {
            mixed(b.key_place(key), reader.problems);
            return None;
        }
        return like(b, reader);
    }
    if b.flag("jumps", reader.problems) == Some(true) {
        return Some(BandKind::Range(Band::jumping(measure)));
    }
    range(b, measure, reader.problems)
}

fn like(b: &Entries<'_, '_>, reader: &mut Reader<'_, '_, '_>) -> Option<BandKind> {
    let words = b.words("like", reader.problems);
    let like = match words.as_slice() {
        [] => return None,
        [("healthy", _)] => Like::Healthy,
        [("rest", _)] => Like::Rest,
        faults => Like::Faults(faults.iter().map(|(w, _)| reader.fill(w).into_owned()).collect()),
    };
    Some(BandKind::Like(like))
}

/// A range by its edges: `from` and `above` include theirs, `to` and `below` do not.
fn range(b: &Entries<'_, '_>, measure: Measure, problems: &mut Problems) -> Option<BandKind> {
    let mut edges = [None, None];
    for (key, side) in [("from", 0), ("above", 0), ("to", 1), ("below", 1)] {
        let Some(node) = b.get(key) else { continue };
        let place = Place::Bytes(b.file, node.span);
        if edges[side].is_some() {
            let (first, wanted) = if side == 0 { ("from", "lower") } else { ("to", "upper") };
            problems.refuse("band-edges", place).says(
                format!("this band has its {wanted} edge twice: `{first}` and `{key}`"),
                "A reading near the edge would go two ways.",
                format!("one of the two, `{first}` or `{key}`"),
            );
            return None;
        }
        match measure.parse(node.scalar().unwrap_or_default()) {
            Ok(amount) => edges[side] = Some(amount),
            Err(error) => {
                quantity_problem(place, &error, problems);
                return None;
            }
        }
    }
    if edges == [None, None] {
        problems.refuse("band-edges", b.place()).says(
            "this band has neither an edge nor a likeness",
            "No reading would ever be taken by it, or every one.",
            "`below:`, `from:` and `to:`, `above:`, `jumps: true`, or `like:`",
        );
        return None;
    }
    match Band::new(measure, edges[0], edges[1]) {
        Ok(band) => Some(BandKind::Range(band)),
        Err(error) => {
            problems.refuse("band-edges", b.place()).says(
                format!("this is no band: {error}"),
                "No reading would ever be taken by it.",
                "the lower edge first, then a higher one",
            );
            None
        }
    }
}

fn mixed(place: Place, problems: &mut Problems) {
    problems.refuse("band-mixed", place).says(
        "a band has a likeness or edges in numbers, not both",
        "The two would disagree on another day, with another battery.",
        "`like: …` alone, or the edges alone",
    );
}
