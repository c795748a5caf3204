//! A row of the circuit screen: a thing or a rub with its sign, its words, and three columns beside it.

use unicode_width::UnicodeWidthStr;

use super::BySeat;
use crate::diag::Lang;
use crate::draw::{RubAlong, Seat, Shape, Stand};
use crate::machine::PointId;
use crate::safety::Words;
use crate::tui::session::Session;
use crate::tui::sheet::{Sheet, fitted, wrap};
use crate::tui::theme::{Letters, Role};
use crate::tui::words::{of_100, say};

const SHOULD: Words = say("should read", "debe leer");
const READ: Words = say("you read", "leyó");
const OF_100: Words = say("of 100", "de 100");
const THIS_STEP: Words = say("this step", "este paso");
const TO_FRAME: Words = say("to the frame", "al chasis");

/// What stands at one place of a line, said in one language.
#[derive(Debug)]
pub(super) struct Spot {
    mark: &'static str,
    name: String,
    words: Vec<String>,
    seat: Seat,
    pub(super) points: Vec<PointId>,
    meets: Vec<String>,
    /// Volts are told of it; a wire's stand at what it joins.
    is_told: bool,
    joins: bool,
}

impl Spot {
    /// A thing, and every rub along it.
    pub(super) fn of(stand: &Stand, lang: &Lang) -> Vec<Self> {
        let shape = stand.shape;
        let mut words: Vec<String> = match (&stand.title, shape) {
            (_, Shape::Ground) => vec![TO_FRAME.in_lang(lang).to_owned()],
            (Some(title), Shape::Pin) => vec![title.in_lang(lang).to_owned(), word(shape, lang)],
            (Some(title), _) => vec![title.in_lang(lang).to_owned()],
            (None, Shape::Pin | Shape::Switch) => vec![word(shape, lang)],
            (None, _) => Vec::new(),
        };
        words.extend((!stand.detail.is_empty() && shape != Shape::Load).then(|| stand.detail.clone()));
        let own = Self {
            mark: mark(shape),
            name: stand.name.clone(),
            words,
            seat: Seat { thing: stand.name.clone(), rub: None },
            points: stand.points.clone(),
            meets: stand.meets.clone(),
            is_told: shape != Shape::Wire,
            joins: stand.element.is_none(),
        };
        let rubs = stand.rubs.iter().map(|rub| Self::of_rub(stand, rub, lang));
        std::iter::once(own).chain(rubs).collect()
    }

    fn of_rub(stand: &Stand, rub: &RubAlong, lang: &Lang) -> Self {
        let name = rub.name.replace('-', " ");
        let against = rub.against.as_ref().map(|text| text.in_lang(lang).to_owned());
        let against = against.filter(|against| *against != name);
        Self {
            mark: "x",
            name,
            words: std::iter::once(rub.along.to_string()).chain(against).collect(),
            seat: Seat { thing: stand.name.clone(), rub: Some(rub.name.clone()) },
            points: vec![rub.point],
            meets: Vec::new(),
            is_told: true,
            joins: false,
        }
    }
}

fn word(shape: Shape, lang: &Lang) -> String {
    shape.word().in_lang(lang).to_owned()
}

/// The sign of each shape: shape tells it and not colour.
const fn mark(shape: Shape) -> &'static str {
    match shape {
        Shape::Place | Shape::Pin | Shape::Joint => "o",
        Shape::Ground => "=",
        Shape::Wire => "|",
        Shape::Contact => "<>",
        Shape::Switch => "/",
        Shape::Fuse => "[]",
        Shape::Load | Shape::Resistor => "()",
        Shape::Diode => ">|",
        Shape::Source => "-+",
    }
}

/// A row as it is shown.
#[derive(Debug)]
pub(super) struct Row {
    /// The number of its line, and what the line is called.
    pub(super) line: usize,
    pub(super) circuit: String,
    /// Where a probe can go.
    pub(super) points: Vec<PointId>,
    /// Lines meet in it.
    pub(super) joins: bool,
    /// The other lines that meet here, and the next row that is in the same place.
    pub(super) meets: Vec<String>,
    pub(super) over: Option<usize>,
    mark: &'static str,
    name: String,
    words: Vec<String>,
    should: String,
    read: String,
    seat: Seat,
    in_question: bool,
}

impl Row {
    pub(super) fn new(
        (line, circuit): (usize, String),
        place: Spot,
        (should, read): (String, String),
        question: Option<PointId>,
    ) -> Self {
        let told = |text: String| if place.is_told { text } else { String::new() };
        Self {
            line,
            circuit,
            in_question: place.is_told && question.is_some_and(|point| place.points.contains(&point)),
            joins: place.joins,
            meets: place.meets,
            over: None,
            mark: place.mark,
            name: place.name,
            words: place.words,
            should: told(should),
            read: told(read),
            seat: place.seat,
            points: place.points,
        }
    }

    /// Whether this point is one of its own that it is told of.
    pub(super) fn is_at(&self, point: Option<PointId>) -> bool {
        self.in_question && point.is_some_and(|point| self.points.contains(&point))
    }
}

/// Columns at the right: should read, you read, of 100.
const COLUMNS: [usize; 3] = [16, 12, 8];
/// Where the words of a row begin.
const BESIDE: usize = 15;

/// The name of a line, over its columns.
pub(super) fn heading(sheet: &mut Sheet, session: &Session, name: &str) {
    let titles = [SHOULD, READ, OF_100].map(|words| session.word(words));
    let columns = in_columns(&titles, sheet.width());
    sheet.pieces(&[(Role::Strong, &left(&format!(" {name}"), sheet.width())), (Role::Plain, &columns)]);
}

/// The text at the left of the columns.
fn left(text: &str, width: usize) -> String {
    fitted(text, width.saturating_sub(room(width)))
}

/// The room that the columns take: on a narrow screen the last two only.
fn room(width: usize) -> usize {
    COLUMNS[skipped(width)..].iter().sum()
}

const fn skipped(width: usize) -> usize {
    if width < 60 { 1 } else { 0 }
}

fn in_columns(texts: &[&str; 3], width: usize) -> String {
    let cells = texts.iter().zip(COLUMNS).skip(skipped(width));
    cells.map(|(text, columns)| fitted(text, columns)).collect()
}

/// A row; marked or not.
pub(super) fn show(sheet: &mut Sheet, session: &Session, (row, here): (&Row, bool), suspects: &BySeat) {
    let mark = if row.mark == "|" && session.around.letters == Letters::All { "│" } else { row.mark };
    let pointer = if here { ">" } else { " " };
    let named = format!(" {pointer}{mark:<2} {:<9} ", row.name);
    let width = sheet.width();
    let percent = suspect_at(&row.seat, suspects).map_or_else(String::new, |(probability, leads)| {
        format!("{:>3}{}", of_100(probability), if leads { " <" } else { "" })
    });
    let columns = in_columns(&[&row.should, &row.read, &percent], width);
    let role = match (here, row.in_question) {
        (true, _) => Role::Live,
        (false, true) => Role::Strong,
        _ => Role::Plain,
    };
    let this_step = row.in_question.then(|| session.word(THIS_STEP).to_owned());
    let words = row.words.iter().chain(&this_step).cloned().collect::<Vec<_>>().join(", ");
    let words = wrap(&words, width.saturating_sub(room(width) + BESIDE + 1).max(8));
    for (nth, words) in words.iter().enumerate() {
        let lead = if nth == 0 { named.as_str() } else { "" };
        let text = left(&format!("{}{words}", fitted(lead, BESIDE.max(lead.width()))), width);
        let beside = if nth == 0 { columns.as_str() } else { "" };
        sheet.pieces(&[(role, &text), (Role::Strong, beside)]);
    }
}

fn suspect_at(seat: &Seat, suspects: &BySeat) -> Option<(f64, bool)> {
    let here = suspects.iter().filter(|(own, _, _)| own == seat);
    here.fold(None, |sum, (_, probability, leads)| {
        let (so_far, led) = sum.unwrap_or((0.0, false));
        Some((so_far + probability, led || *leads))
    })
}
