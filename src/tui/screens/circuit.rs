//! The whole circuit of the function that fails, line by line in the order of the current, with should-read beside
//! you-read, and where the suspects sit. One row is marked: the point in question first, then wherever one goes; under
//! the lines stands what can be said of it, its connector as one looks at it, and where it goes on.

use super::circuit_row::{Row, Spot, heading, show};
use super::{Effect, Shown, scrolled};
use crate::diag::Lang;
use crate::draw::{Line, Seat, face_of, lines_at, lines_of};
use crate::machine::{FunctionId, Machine, PointId, Today};
use crate::safety::Words;
use crate::tree::Shows;
use crate::tui::frame::Framed;
use crate::tui::keys::Place;
use crate::tui::message::Message;
use crate::tui::session::Session;
use crate::tui::sheet::Sheet;
use crate::tui::theme::Role;
use crate::tui::words::say;
use crate::walk::{Walk, should_words};

/// The lines, laid out when it was opened, and the row that is marked.
#[derive(Debug)]
pub(in crate::tui) struct Circuit {
    scroll: usize,
    at: usize,
    /// What the circuit is of.
    title: String,
    rows: Vec<Row>,
}

const TITLE: Words = say("CIRCUIT", "CIRCUITO");
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
const GOES_ON: Words = say("Goes on in", "Sigue en");
const OTHERS: Words = say("Here too, not on this way:", "También aquí, no en este camino:");
const ENTER: Words = say("Enter goes there", "Enter va ahí");
/// On fewer columns the connector is not drawn.
const WIDE: usize = 60;

/// Where a thing is suspected, its probability, and whether the leader sits there.
pub(in crate::tui) type BySeat = Vec<(Seat, f64, bool)>;

impl Circuit {
    /// The circuit of what fails, and of the point in question, which is marked.
    pub(in crate::tui) fn of(session: &Session) -> Result<Self, String> {
        let none = |words: Words| session.word(words).to_owned();
        let walk = session.walk().ok_or_else(|| none(NO_MACHINE))?;
        let machine = walk.course().tree().model.as_deref().ok_or_else(|| none(NO_MACHINE))?;
        let point = walk.point_in_question();
        let failing = failing(walk, machine);
        let lines = lines_to_show(machine, &failing, point);
        if lines.is_empty() {
            return Err(none(NO_POINT));
        }
        let rows = rows(walk, machine, &lines);
        let at = rows.iter().position(|row| row.is_at(point)).unwrap_or(0);
        let title = |id: &FunctionId| {
            let function = &machine.parts().functions[id.at()];
            let title = function.title.as_ref().map(|title| title.in_lang(&walk.lang()));
            title.unwrap_or(&function.name).to_owned()
        };
        let title = failing.iter().map(title).collect::<Vec<_>>().join(", ");
        Ok(Self { scroll: 0, at, title, rows })
    }

    /// On to where the marked row goes on in another line.
    fn go_over(&mut self) {
        self.at = self.rows.get(self.at).and_then(|row| row.over).unwrap_or(self.at);
    }

    /// On to the next line, or round to the first.
    fn next_line(&mut self) {
        let Some(here) = self.rows.get(self.at) else { return };
        let next = self.rows.iter().skip(self.at).position(|row| row.line != here.line);
        self.at = next.map_or(0, |further| self.at + further);
    }

    /// What stands under the lines about the marked row.
    fn beside(&self, sheet: &mut Sheet, session: &Session) {
        let Some(row) = self.rows.get(self.at) else { return };
        let machine = session.walk().and_then(|walk| walk.course().tree().model.as_deref());
        if sheet.width() >= WIDE
            && let Some(machine) = machine
        {
            face(sheet, (machine, row.points.as_slice()), &session.lang());
        }
        let is_shown = |name: &&String| self.rows.iter().any(|row| row.circuit == **name);
        let (shown, others): (Vec<&String>, Vec<&String>) = row.meets.iter().partition(is_shown);
        let named = |all: &[&String]| all.iter().map(|name| name.as_str()).collect::<Vec<_>>().join(", ");
        if !shown.is_empty() {
            let (goes_on, enter) = (session.word(GOES_ON), session.word(ENTER));
            sheet.text(Role::Strong, 1, &format!("{goes_on} {}   {enter}", named(&shown)));
        }
        if !others.is_empty() {
            sheet.text(Role::Plain, 1, &format!("{} {}", session.word(OTHERS), named(&others)));
        }
    }
}

/// The functions that the symptom says do not do what they should.
fn failing(walk: &Walk, machine: &Machine) -> Vec<FunctionId> {
    let symptom = walk.course().tree().symptom.iter();
    symptom
        .filter(|(_, shows)| *shows != Shows::Works)
        .filter_map(|(name, _)| machine.function(name))
        .collect()
}

/// The lines that they hang on, and those of the point in question, in file order.
fn lines_to_show(machine: &Machine, functions: &[FunctionId], point: Option<PointId>) -> Vec<Line> {
    let day = machine.day(Today::default());
    let mut lines = lines_of(&day, functions);
    let all = crate::draw::lines(&day);
    if let Some(point) = point {
        let own = lines_at(machine, &all, point);
        let missing = own.into_iter().filter(|at| !lines.iter().any(|line| line.chain == *at));
        let missing: Vec<Line> = missing.map(|at| all[at].clone()).collect();
        lines.extend(missing);
        lines.sort_by_key(|line| line.chain);
    }
    lines
}

/// Every thing and every rub of the lines, with what it should read and what was read there.
fn rows(walk: &Walk, machine: &Machine, lines: &[Line]) -> Vec<Row> {
    let mut places = Vec::new();
    for (at, line) in lines.iter().enumerate() {
        for place in line.stands.iter().flat_map(|stand| Spot::of(stand, &walk.lang())) {
            places.push(((at, line.name.clone()), place));
        }
    }
    let points: Vec<PointId> = places.iter().flat_map(|(_, place)| place.points.iter().copied()).collect();
    let should = walk.volts_along(&points).unwrap_or_default();
    let mut should = should.into_iter().map(should_words);
    let (read, question) = (walk.read_at(), walk.point_in_question());
    let name_of = |point: &PointId| machine.parts().points[point.at()].name.as_str();
    let mut rows = Vec::new();
    for (line, place) in places {
        let mut volts: Vec<String> = should.by_ref().take(place.points.len()).collect();
        volts.dedup();
        let is_here = |name: &str| place.points.iter().any(|point| name_of(point) == name);
        let seen = read.iter().rev().find(|(name, _)| is_here(name)).map(|(_, reading)| reading.clone());
        rows.push(Row::new(line, place, (volts.join(", "), seen.unwrap_or_default()), question));
    }
    go_overs(machine, &mut rows);
    rows
}

/// Finds for each place the next row, all round, at which another line stands in the same place.
fn go_overs(machine: &Machine, rows: &mut [Row]) {
    let of = |row: &Row| row.joins.then(|| row.points.first().copied()).flatten();
    let points: Vec<Option<PointId>> = rows.iter().map(of).collect();
    let count = rows.len();
    for at in 0..count {
        let Some(own) = points[at] else { continue };
        let same = |other: &usize| {
            rows[*other].line != rows[at].line
                && points[*other].is_some_and(|point| machine.is_one_place(point, own))
        };
        rows[at].over = (1..count).map(|further| (at + further) % count).find(same);
    }
}

/// The connector of these points as one looks at it, the pin in brackets.
fn face(sheet: &mut Sheet, (machine, points): (&Machine, &[PointId]), lang: &Lang) {
    let Some(face) = points.iter().find_map(|point| face_of(machine, *point)) else { return };
    sheet.blank();
    sheet.text(Role::Strong, 1, &format!("{}  {}", face.name, face.words.in_lang(lang)));
    for row in &face.rows {
        let pins =
            row.iter().map(|(pin, here)| if *here { format!("[{pin:>2}]") } else { format!(" {pin:>2} ") });
        sheet.pieces(&[(Role::Plain, &format!("    {}", pins.collect::<Vec<_>>().join(" ")))]);
    }
}

impl Shown for Circuit {
    fn place(&self, _: &Session) -> Place {
        Place::Circuit
    }

    fn update(&mut self, message: Message, _: &Session) -> Vec<Effect> {
        let last = self.rows.len().saturating_sub(1);
        match message {
            Message::Up => self.at = self.at.saturating_sub(1),
            Message::Down => self.at = (self.at + 1).min(last),
            Message::PageUp => self.at = self.at.saturating_sub(10),
            Message::PageDown => self.at = (self.at + 10).min(last),
            Message::Enter => self.go_over(),
            Message::Next => self.next_line(),
            other => return scrolled(&mut self.scroll, other),
        }
        Vec::new()
    }

    fn scroll(&mut self) -> &mut usize {
        &mut self.scroll
    }

    fn view(&self, session: &Session, width: u16) -> Framed {
        let mut framed = Framed::new(session, width, Place::Circuit, "");
        framed.scroll = self.scroll;
        framed.head.text(Role::Strong, 1, &format!("{}   {}", session.word(TITLE), self.title));
        framed.head.text(Role::Plain, 1, session.word(AGAINST));
        // Asked for each time it is drawn: they may come in after it was opened.
        let suspects = session.by_seat();
        let marked = self.rows.get(self.at).map(|row| row.line);
        let mut at = 0;
        for line in self.rows.chunk_by(|a, b| a.line == b.line) {
            if at > 0 {
                framed.body.blank();
            }
            let top = framed.body.len();
            heading(&mut framed.body, session, &line[0].circuit);
            for row in line {
                let from = framed.body.len();
                show(&mut framed.body, session, (row, at == self.at), &suspects);
                if at == self.at {
                    framed.keep = Some(from..framed.body.len());
                }
                at += 1;
            }
            if marked == Some(line[0].line) {
                framed.rather = Some(top..framed.body.len());
            }
        }
        self.beside(&mut framed.pinned, session);
        framed
    }
}
