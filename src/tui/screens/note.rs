//! A note, in as many lines as it takes; "photo 3 on my phone" is one.

use tui_textarea::{CursorMove, TextArea};

use super::{Effect, scrolled};
use crate::tui::frame::Framed;
use crate::tui::keys::Place;
use crate::tui::message::Message;
use crate::tui::session::Session;
use crate::tui::theme::Role;
use crate::walk::Input;

/// The text so far.
#[derive(Debug, Default)]
pub(in crate::tui) struct Note {
    pub(in crate::tui) scroll: usize,
    text: TextArea<'static>,
}

impl Note {
    pub(super) fn update(&mut self, message: Message) -> Vec<Effect> {
        match message {
            Message::Type(c) => self.text.insert_char(c),
            Message::Enter => self.text.insert_newline(),
            Message::Erase => {
                self.text.delete_char();
            }
            Message::Up => self.text.move_cursor(CursorMove::Up),
            Message::Down => self.text.move_cursor(CursorMove::Down),
            Message::Next => {
                let text = self.text.lines().join("\n").trim().to_owned();
                return if text.is_empty() {
                    vec![Effect::Close]
                } else {
                    vec![Effect::Close, Effect::Say(Input::Note(text))]
                };
            }
            other => return scrolled(&mut self.scroll, other),
        }
        Vec::new()
    }

    pub(super) fn view(&self, session: &Session, width: u16) -> Framed {
        let mut framed = Framed::new(width, session.around.letters, Place::Note, "");
        framed.head.text(Role::Strong, 1, "NOTE   goes into the job with the step and the time");
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
        framed
    }
}

fn split_at_char(line: &str, at: usize) -> (&str, &str) {
    let byte = line.char_indices().nth(at).map_or(line.len(), |(byte, _)| byte);
    line.split_at(byte)
}
