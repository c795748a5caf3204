//! The circuit in question as a line from its beginning to its end, with should-read beside you-read, and where the
//! suspects sit; under it the connector in question as one looks at it.

use unicode_width::UnicodeWidthStr;

use super::{Effect, Shown, scrolled};
use crate::diag::Lang;
use crate::draw::{CircuitLine, CircuitRow, RowKind, circuit_line, circuits_of, face_of};
use crate::machine::{Machine, PointId};
use crate::safety::Words;
use crate::tui::frame::Framed;
use crate::tui::keys::Place;
use crate::tui::message::Message;
use crate::tui::session::Session;
use crate::tui::sheet::{Sheet, fitted, wrap};
use crate::tui::theme::{Letters, Role};
use crate::tui::words::{of_100, say};
use crate::walk::{Walk, should_words};

/// A row as it is shown: its mark, name and words, and three columns beside it.
#[derive(Debug)]
struct Line {
    mark: &'static str,
    name: String,
    words: String,
    should: String,
    read: String,
    /// The thing it is, or that the rub is on; and the rub.
    seat: (String, Option<String>),
    in_question: bool,
}

/// What is drawn, laid out when it was opened.
#[derive(Debug)]
pub(in crate::tui) struct Circuit {
    scroll: usize,
    circuits: Vec<(String, Vec<Line>)>,
    face: Vec<String>,
}

const TITLE: Words = say("CIRCUIT", "CIRCUITO");
const SHOULD: Words = say("should read", "debe leer");
const READ: Words = say("you read", "leyó");
const OF_100: Words = say("of 100", "de 100");
const AGAINST: Words = say(
    "Volts against the frame, as this step sets the machine.",
    "Voltios contra el chasis, como este paso pone la máquina.",
);
const NO_MACHINE: Words = say(
    "This tree has no machine file, so there is no circuit to draw.",
    "Este árbol no tiene archivo de máquina; no hay circuito que dibujar.",
);
const NO_POINT: Words = say(
    "No point is in question yet; the circuit is drawn from the first reading or look on.",
    "Todavía no hay un punto en cuestión; el circuito se dibuja desde la primera lectura.",
);

impl Circuit {
    /// The circuits of the point in question.
    pub(in crate::tui) fn of(session: &Session) -> Result<Self, String> {
        let none = |words: Words| session.word(words).to_owned();
        let walk = session.walk().ok_or_else(|| none(NO_MACHINE))?;
        let machine = walk.course().tree().model.as_deref().ok_or_else(|| none(NO_MACHINE))?;
        let point = walk.point_in_question().ok_or_else(|| none(NO_POINT))?;
        let circuits = circuits_of(machine, point)
            .into_iter()
            .filter_map(|at| circuit_line(machine, at))
            .map(|circuit| (circuit.name.clone(), lines(walk, machine, &circuit, point)))
            .collect();
        Ok(Self { scroll: 0, circuits, face: face(machine, point, &session.lang()) })
    }
}

/// A thing or a rub on it, its probability, and whether the leader sits there.
pub(in crate::tui) type BySeat = Vec<((String, Option<String>), f64, bool)>;

fn lines(walk: &Walk, machine: &Machine, circuit: &CircuitLine, point: PointId) -> Vec<Line> {
    let points: Vec<PointId> = circuit.rows.iter().flat_map(|row| row.points.iter().copied()).collect();
    let should = walk.volts_along(&points).unwrap_or_default();
    let read = walk.read_at();
    let name_of = |point: &PointId| machine.parts().points[point.at()].name.as_str();
    let mut at = 0;
    let line = |row: &CircuitRow| {
        let own = should.get(at..at + row.points.len()).unwrap_or_default();
        at += row.points.len();
        let mut volts: Vec<String> = own.iter().map(|one| should_words(*one)).collect();
        volts.dedup();
        let is_here = |name: &str| row.points.iter().any(|point| name_of(point) == name);
        let seen = read.iter().rev().find(|(name, _)| is_here(name)).map(|(_, reading)| reading.clone());
        Line {
            mark: mark(row.kind),
            name: row.name.clone(),
            words: row.words.in_lang(&walk.lang()).to_owned(),
            should: if row.kind == RowKind::Wire { String::new() } else { volts.join(", ") },
            read: seen.filter(|_| row.kind != RowKind::Wire).unwrap_or_default(),
            seat: (row.of.clone(), (row.kind == RowKind::Rub).then(|| row.name.clone())),
            in_question: row.kind != RowKind::Wire && row.points.contains(&point),
        }
    };
    circuit.rows.iter().map(line).collect()
}

fn suspect_at((thing, rub): &(String, Option<String>), suspects: &BySeat) -> Option<(f64, bool)> {
    let spelt = |rub: &Option<String>| rub.as_ref().map(|rub| rub.replace('-', " "));
    let here = suspects.iter().filter(|((own, at), _, _)| own == thing && spelt(at) == *rub);
    here.fold(None, |sum, (_, probability, leads)| {
        let (so_far, led) = sum.unwrap_or((0.0, false));
        Some((so_far + probability, led || *leads))
    })
}

const fn mark(kind: RowKind) -> &'static str {
    match kind {
        RowKind::Place => "o",
        RowKind::Ground => "=",
        RowKind::Wire => "|",
        RowKind::Rub => "x",
        RowKind::Contact => "<>",
        RowKind::Switch => "/",
        RowKind::Fuse => "[]",
        RowKind::Load => "()",
    }
}

/// The connector in question as one looks at it, the pin in question in brackets.
fn face(machine: &Machine, point: PointId, lang: &Lang) -> Vec<String> {
    let Some(face) = face_of(machine, point) else { return Vec::new() };
    let mut rows = vec![format!("{}  {}", face.name, face.words.in_lang(lang))];
    rows.extend(face.rows.iter().map(|row| {
        let pins =
            row.iter().map(|(pin, here)| if *here { format!("[{pin:>2}]") } else { format!(" {pin:>2} ") });
        format!("   {}", pins.collect::<Vec<_>>().join(" "))
    }));
    rows
}

impl Shown for Circuit {
    fn place(&self, _: &Session) -> Place {
        Place::Leaf
    }

    fn update(&mut self, message: Message, _: &Session) -> Vec<Effect> {
        scrolled(&mut self.scroll, message)
    }

    fn scroll(&mut self) -> &mut usize {
        &mut self.scroll
    }

    fn view(&self, session: &Session, width: u16) -> Framed {
        let mut framed = Framed::new(session, width, Place::Leaf, "");
        framed.scroll = self.scroll;
        framed.head.text(Role::Strong, 1, &format!("{}   {}", session.word(TITLE), session.word(AGAINST)));
        // Asked for each time it is drawn: they may come in after it was opened.
        let suspects = session.by_seat();
        for (nth, (name, lines)) in self.circuits.iter().enumerate() {
            if nth > 0 {
                framed.body.blank();
            }
            heading(&mut framed.body, session, name);
            for line in lines {
                row(&mut framed.body, line, (session.around.letters, &suspects));
            }
        }
        if !self.face.is_empty() {
            framed.body.blank();
            for line in &self.face {
                framed.body.pieces(&[(Role::Plain, " "), (Role::Plain, line)]);
            }
        }
        framed
    }
}

/// Columns at the right: should read, you read, of 100.
const COLUMNS: [usize; 3] = [16, 12, 8];

fn heading(sheet: &mut Sheet, session: &Session, name: &str) {
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

/// Where the words of a row begin.
const BESIDE: usize = 15;

fn row(sheet: &mut Sheet, line: &Line, (letters, suspects): (Letters, &BySeat)) {
    let mark = if line.mark == "|" && letters == Letters::All { "│" } else { line.mark };
    let pointer = if line.in_question { ">" } else { " " };
    let named = format!(" {pointer}{mark:<2} {:<9} ", line.name);
    let width = sheet.width();
    let percent = suspect_at(&line.seat, suspects).map_or_else(String::new, |(probability, leads)| {
        format!("{:>3}{}", of_100(probability), if leads { " <" } else { "" })
    });
    let columns = in_columns(&[&line.should, &line.read, &percent], width);
    let role = if line.in_question { Role::Strong } else { Role::Plain };
    let words = wrap(&line.words, width.saturating_sub(room(width) + BESIDE + 1).max(8));
    for (nth, words) in words.iter().enumerate() {
        let lead = if nth == 0 { named.as_str() } else { "" };
        let text = left(&format!("{}{words}", fitted(lead, BESIDE.max(lead.width()))), width);
        let beside = if nth == 0 { columns.as_str() } else { "" };
        sheet.pieces(&[(role, &text), (Role::Strong, beside)]);
    }
}
