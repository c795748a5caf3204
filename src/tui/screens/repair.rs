//! The lines of the repair sheet, to be put right: what is left blank stays as it is.

use super::{Effect, LONGEST_LINE, Shown, scrolled};
use crate::safety::Words;
use crate::tui::frame::Framed;
use crate::tui::keys::Place;
use crate::tui::message::Message;
use crate::tui::session::Session;
use crate::tui::theme::Role;
use crate::tui::words::say;
use crate::walk::{Input, Moment};

const TITLE: Words = say(
    "THE REPAIR SHEET   what stays blank is as the sheet says",
    "LA HOJA DE REPARACIÓN   lo que queda en blanco es como dice la hoja",
);

/// A key of the sheet, what to call it, and how it is written.
type Line = (&'static str, Words);

const LINES: [Line; 14] = [
    ("flex", say("Harness there: still, flexes", "El arnés ahí: still, flexes")),
    ("flexing", say("How much of it moves, 200 mm", "Cuánto se mueve, 200 mm")),
    ("missing", say("Missing between the ends, 25 mm", "Falta entre puntas, 25 mm")),
    ("slack", say("The harness gives, 10 mm", "El arnés cede, 10 mm")),
    ("injury", say("Damage: rubbed-through, cut, green-inside", "Daño: rubbed-through, cut, green-inside")),
    ("rubbed-on", say("It rubbed on", "Rozó con")),
    ("at", say("Along the wire, 1.2 m", "A lo largo, 1.2 m")),
    ("near", say("Near: hose, edge, fuel, battery, hot", "Cerca: hose, edge, fuel, battery, hot")),
    ("size", say("Size, 0.75 mm2", "Calibre, 0.75 mm2")),
    ("colour", say("Colour", "Color")),
    ("splices", say("Splices it has already", "Uniones que ya tiene")),
    ("bundle", say("Bundle, 12 mm", "Mazo, 12 mm")),
    ("parts", say("Parts fitted besides", "Piezas puestas además")),
    ("as-done", say("As it was done", "Como se hizo")),
];

/// The lines, which of them is being written, and what was wrong.
#[derive(Debug, Default)]
pub(in crate::tui) struct Repair {
    scroll: usize,
    lines: [String; LINES.len()],
    cursor: usize,
    wrong: Option<String>,
}

impl Repair {
    fn done(&mut self, session: &Session) -> Vec<Effect> {
        let written = LINES.iter().zip(&self.lines).filter(|(_, line)| !line.trim().is_empty());
        let said: Vec<(String, String)> =
            written.map(|((key, _), line)| ((*key).to_owned(), line.trim().to_owned())).collect();
        if said.is_empty() {
            return vec![Effect::Close];
        }
        if let Some((line, wrong)) = first_wrong(&said, session, session.at) {
            self.cursor = LINES.iter().position(|(key, _)| *key == line).unwrap_or(0);
            self.wrong = Some(wrong);
            return Vec::new();
        }
        vec![Effect::Close, Effect::Say(Input::Repaired(said))]
    }
}

/// The first line that would be declined, and why: each is tried with those before it.
fn first_wrong(said: &[(String, String)], session: &Session, at: Moment) -> Option<(String, String)> {
    let walk = session.walk()?;
    (1..=said.len()).find_map(|count| {
        let tried = walk.accept(Input::Repaired(said[..count].to_vec()), at);
        tried.err().map(|declined| (said[count - 1].0.clone(), declined.to_string()))
    })
}

impl Shown for Repair {
    fn place(&self, _: &Session) -> Place {
        Place::Form
    }

    fn scroll(&mut self) -> &mut usize {
        &mut self.scroll
    }

    fn update(&mut self, message: Message, session: &Session) -> Vec<Effect> {
        let last = LINES.len() - 1;
        match message {
            Message::Type(c) if self.lines[self.cursor].chars().count() < LONGEST_LINE => {
                self.lines[self.cursor].push(c);
            }
            Message::Type(_) => {}
            Message::Erase => {
                self.lines[self.cursor].pop();
            }
            Message::Up => self.cursor = self.cursor.saturating_sub(1),
            Message::Down => self.cursor = (self.cursor + 1).min(last),
            Message::Enter if self.cursor < last => self.cursor += 1,
            Message::Enter | Message::Next => return self.done(session),
            other => return scrolled(&mut self.scroll, other),
        }
        self.wrong = None;
        Vec::new()
    }

    fn view(&self, session: &Session, width: u16) -> Framed {
        let mut framed = Framed::new(session, width, Place::Form, "");
        framed.scroll = self.scroll;
        framed.head.text(Role::Strong, 1, session.word(TITLE));
        for (nth, ((_, label), line)) in LINES.iter().zip(&self.lines).enumerate() {
            let here = (nth == self.cursor).then(|| framed.body.len());
            framed.body.line_to_fill((session.word(*label), line), here.is_some());
            framed.keep = here.map(|from| from..framed.body.len()).or(framed.keep);
        }
        if let Some(wrong) = &self.wrong {
            framed.pinned.text(Role::Live, 3, wrong);
        }
        framed
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::repair::Damage;

    #[test]
    fn every_line_is_of_the_sheet() {
        for (key, _) in LINES {
            assert!(Damage::KEYS.contains(&key) || matches!(key, "parts" | "as-done"), "{key}");
        }
    }
}
