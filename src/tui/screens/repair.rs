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
use crate::walk::{Input, Moment, Walk};

const TITLE: Words = say(
    "THE REPAIR SHEET   what stays blank is as the sheet says",
    "LA HOJA DE REPARACIÓN   lo que queda en blanco es como dice la hoja",
);

/// A key of the sheet, what to call it, and how it is written.
type Line = (&'static str, Words, Words);

const LINES: [Line; 14] = [
    (
        "flex",
        say("Harness there", "El arnés ahí"),
        say("still or flexes", "still (quieto) o flexes (se mueve)"),
    ),
    ("flexing", say("How much flexes", "Cuánto se mueve"), say("200 mm", "200 mm")),
    ("missing", say("Missing between ends", "Falta entre puntas"), say("25 mm", "25 mm")),
    ("slack", say("Harness gives", "El arnés cede"), say("10 mm", "10 mm")),
    (
        "injury",
        say("Damage", "Daño"),
        say(
            "rubbed-through, cut, green-inside or unseen",
            "rubbed-through (rozado), cut (cortado), green-inside (verde) o unseen (no se ve)",
        ),
    ),
    ("rubbed-on", say("It rubbed on", "Rozó con"), say("edge of the clamp", "borde de la abrazadera")),
    ("at", say("From the first end", "Desde la 1.ª punta"), say("1.2 m, or 1.1 m to 1.4 m", "1.2 m")),
    (
        "near",
        say("Near it", "Cerca"),
        say(
            "hose, edge, fuel, battery, hot; or none",
            "hose (manguera), edge (borde), fuel (combustible), battery (batería), hot (calor); o none (nada)",
        ),
    ),
    ("size", say("Size", "Calibre"), say("0.75 mm2, or 18AWG", "0.75 mm2, o 18AWG")),
    ("colour", say("Colour", "Color"), say("green/grey", "verde/gris")),
    ("splices", say("Splices it has", "Uniones que ya tiene"), say("1", "1")),
    ("bundle", say("Bundle", "Mazo"), say("12 mm", "12 mm")),
    ("parts", say("Parts besides", "Piezas además"), say("clamp with liner", "abrazadera con forro")),
    (
        "as-done",
        say("As it was done", "Como se hizo"),
        say("two splices, 0.2 m and 0.3 m from the clamp", "dos uniones, a 0.2 m y 0.3 m de la abrazadera"),
    ),
];
const WRITE: Words = say("Write", "Escriba");
const KEEPS: Words = say("blank keeps", "en blanco queda");

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
        if let Some((line, wrong)) = first_wrong(&said, session, session.at) {
            let (key, label, _) = LINES[line];
            let why = wrong.strip_prefix(&format!("{key}: ")).unwrap_or(&wrong);
            self.lines.refuse((line, format!("{}: {why}.", session.word(label))));
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
        tried.err().map(|declined| (said[count - 1].0, declined.in_lang(&session.lang())))
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
        match self.lines.hear_warning(message, session) {
            Heard::Taken => Vec::new(),
            Heard::Done => self.done(session),
            Heard::Other => scrolled(&mut self.scroll, message),
        }
    }

    fn view(&self, session: &Session, width: u16) -> Framed {
        let mut framed = Framed::new(session, width, Place::Form, "");
        framed.scroll = self.scroll;
        framed.head.text(Role::Strong, 1, session.word(TITLE));
        let damage = session.walk().and_then(Walk::damage).unwrap_or_default();
        let (key, _, example) = LINES[self.lines.at()];
        let keeps =
            damage.written(key).map_or_else(String::new, |w| format!("; {} {w}", session.word(KEEPS)));
        let write = format!("{}: {}{keeps}", session.word(WRITE), session.word(example));
        framed.pinned.text(Role::Plain, 3, &write);
        let labels = LINES.iter().map(|(key, label, _)| (*label, damage.written(key)));
        self.lines.view(&mut framed, session, labels);
        framed
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::repair::Damage;

    #[test]
    fn every_line_is_of_the_sheet() {
        for (key, ..) in LINES {
            assert!(Damage::KEYS.contains(&key) || matches!(key, "parts" | "as-done"), "{key}");
        }
    }
}
