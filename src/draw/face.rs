//! A connector as one looks at it, with the pin in question.

use crate::diag::{Lang, Text};
use crate::machine::{Kind, Machine, Owner, PointId};

/// A connector as one looks at it.
#[derive(Debug, Clone, PartialEq)]
pub struct Face {
    /// Its designation.
    pub name: String,
    /// Where it sits, and from which side the rows are seen.
    pub words: Text,
    /// The pins, row by row; true for the one in question.
    pub rows: Vec<Vec<(String, bool)>>,
}

/// The face of the connector that a point belongs to, where the file shows it.
#[must_use]
pub fn face_of(machine: &Machine, point: PointId) -> Option<Face> {
    let parts = machine.parts();
    let (Owner::Side(id, _) | Owner::End(id, _)) = parts.points.get(point.at())?.owner else { return None };
    let Kind::Contact { connector, pin } = &parts.elements[id.at()].kind else { return None };
    let body = parts.connectors.get(connector.at())?;
    if body.rows.is_empty() {
        return None;
    }
    let rows = body.rows.iter().map(|row| row.iter().map(|own| (own.clone(), own == pin)).collect());
    let words = join(&[body.title.as_ref(), body.location.as_ref(), body.view.as_ref()]);
    Some(Face { name: body.name.clone(), words, rows: rows.collect() })
}

/// What there is of these, with commas between, in both languages.
fn join(texts: &[Option<&Text>]) -> Text {
    let in_lang = |code: &str| {
        let lang = Lang::new(code);
        let words: Vec<&str> =
            texts.iter().flatten().map(|text| text.in_lang(&lang)).filter(|text| !text.is_empty()).collect();
        words.join(", ")
    };
    Text::both(&in_lang("en"), &in_lang("es"))
}
