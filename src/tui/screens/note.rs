//! A note, in as many lines as it takes; "photo 3 on my phone" is one.

use tui_textarea::{CursorMove, TextArea};

use super::{Effect, Shown, scrolled};
use crate::safety::Words;
use crate::tui::frame::Framed;
use crate::tui::keys::Place;
use crate::tui::message::Message;
use crate::tui::session::Session;
use crate::tui::theme::Role;
use crate::tui::words::say;
use crate::walk::Input;

/// Longest note, in characters: some ten pages. What is longer belongs into a file that the note names.
const LONGEST: usize = 20_000;

const TITLE: Words = say(
    "NOTE   goes into the job with the step and the time",
    "NOTA   queda en el trabajo con el paso y la hora",
);
const TOO_LONG: Words = say(
    "Too long for a note: at most 20,000 characters. Nothing of it was taken; keep it in a file and name the file here.",
    "Demasiado largo para una nota: 20.000 caracteres como máximo. No se tomó nada; guárdelo en un archivo y nómbrelo aquí.",
);

/// The text so far.
#[derive(Debug, Default)]
pub(in crate::tui) struct Note {
    scroll: usize,
    text: TextArea<'static>,
    length: usize,
    said: Option<Words>,
}

impl Note {
    /// Takes characters in, all or none.
    fn take(&mut self, text: &str) {
        let length = text.chars().count();
        if self.length + length > LONGEST {
            self.said = Some(TOO_LONG);
            return;
        }
        self.length += length;
        self.text.insert_str(text);
    }

    fn done(&self) -> Vec<Effect> {
        let text = self.text.lines().join("\n").trim().to_owned();
        if text.is_empty() {
            vec![Effect::Close]
        } else {
            vec![Effect::Close, Effect::Say(Input::Note(text))]
        }
    }
}

impl Shown for Note {
    fn place(&self, _: &Session) -> Place {
        Place::Note
    }

    fn scroll(&mut self) -> &mut usize {
        &mut self.scroll
    }

    fn update(&mut self, message: Message, _: &Session) -> Vec<Effect> {
        self.said = None;
        match message {
            Message::Type(c) => self.take(c.encode_utf8(&mut [0; 4])),
            Message::Enter => self.take("\n"),
            Message::Erase => {
                let taken = self.text.delete_char();
                self.length = self.length.saturating_sub(usize::from(taken));
            }
            Message::Up => self.text.move_cursor(CursorMove::Up),
            Message::Down => self.text.move_cursor(CursorMove::Down),
            Message::Next => return self.done(),
            other => return scrolled(&mut self.scroll, other),
        }
        Vec::new()
    }

    fn paste(&mut self, text: &str, _: &Session) -> Vec<Effect> {
        let lines = text.replace("\r\n", "\n").replace('\r', "\n");
        let text: String = lines.chars().filter(|c| *c == '\n' || !c.is_control()).collect();
        self.said = None;
        self.take(&text);
        Vec::new()
    }

    fn view(&self, session: &Session, width: u16) -> Framed {
        let mut framed = Framed::new(session, width, Place::Note, "");
        framed.head.text(Role::Strong, 1, session.word(TITLE));
        let cursor = self.text.cursor();
        for (nth, line) in self.text.lines().iter().enumerate() {
            let from = framed.body.len();
            if nth == cursor.0 {
                let (before, after) = split_at_char(line, cursor.1);
                framed.body.text(Role::Field, 1, &format!("{before}_{after}"));
                framed.keep = Some(from..framed.body.len());
            } else {
                framed.body.text(Role::Plain, 1, line);
            }
        }
        if let Some(said) = self.said {
            framed.pinned.text(Role::Live, 3, session.word(said));
        }
        framed
    }
}

fn split_at_char(line: &str, at: usize) -> (&str, &str) {
    let byte = line.char_indices().nth(at).map_or(line.len(), |(byte, _)| byte);
    line.split_at(byte)
}
