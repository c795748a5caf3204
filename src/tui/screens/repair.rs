//! The lines of the repair sheet, to be put right: what is left blank stays as it is.

use super::lines::{Heard, Lines, Wrong};
use super::{Effect, Shown, scrolled};
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

/// The lines of the sheet.
#[derive(Debug)]
pub(in crate::tui) struct Repair {
    scroll: usize,
    lines: Lines,
}

impl Default for Repair {
    fn default() -> Self {
        Self { scroll: 0, lines: Lines::blank(LINES.len()) }
    }
}

impl Repair {
    fn done(&mut self, session: &Session) -> Vec<Effect> {
        let written = (0..LINES.len()).filter_map(|nth| Some((nth, self.lines.text(nth)?.to_owned())));
        let said: Vec<(usize, String)> = written.collect();
        if said.is_empty() {
            return vec![Effect::Close];
        }
        if let Some(wrong) = first_wrong(&said, session, session.at) {
            self.lines.refuse(wrong);
            return Vec::new();
        }
        vec![Effect::Close, Effect::Say(Input::Repaired(by_key(&said)))]
    }
}

fn by_key(said: &[(usize, String)]) -> Vec<(String, String)> {
    said.iter().map(|(nth, text)| (LINES[*nth].0.to_owned(), text.clone())).collect()
}

/// The first line that would be declined, and why: each is tried with those before it.
fn first_wrong(said: &[(usize, String)], session: &Session, at: Moment) -> Option<Wrong> {
    let walk = session.walk()?;
    (1..=said.len()).find_map(|count| {
        let tried = walk.accept(Input::Repaired(by_key(&said[..count])), at);
        tried.err().map(|declined| (said[count - 1].0, declined.to_string()))
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
        match self.lines.hear(message) {
            Heard::Taken => Vec::new(),
            Heard::Done => self.done(session),
            Heard::Other => scrolled(&mut self.scroll, message),
        }
    }

    fn view(&self, session: &Session, width: u16) -> Framed {
        let mut framed = Framed::new(session, width, Place::Form, "");
        framed.scroll = self.scroll;
        framed.head.text(Role::Strong, 1, session.word(TITLE));
        self.lines.view(&mut framed, session, LINES.iter().map(|(_, label)| *label));
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
