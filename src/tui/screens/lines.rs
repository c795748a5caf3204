//! Lines that are filled in, one of them being written: the job, a reason, the repair sheet, a sum.

use super::LONGEST_LINE;
use crate::safety::Words;
use crate::tui::frame::Framed;
use crate::tui::message::Message;
use crate::tui::session::Session;
use crate::tui::theme::Role;
use crate::tui::words::say;

const LOSES: Words = say("Esc again throws away what is typed here.", "Esc otra vez borra lo escrito aquí.");

/// The lines as typed, which of them is being written, and what was wrong with it.
#[derive(Debug)]
pub(super) struct Lines {
    typed: Vec<String>,
    at: usize,
    wrong: Option<String>,
}

/// A line that cannot be used, and why.
pub(super) type Wrong = (usize, String);

/// What a message did to the lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Heard {
    /// It changed them, or where one writes.
    Taken,
    /// All that is to be said has been said.
    Done,
    /// It is not for them.
    Other,
}

impl Lines {
    /// So many blank lines, at least one; the first is written first.
    pub(super) fn blank(count: usize) -> Self {
        Self { typed: vec![String::new(); count.max(1)], at: 0, wrong: None }
    }

    /// What was typed in a line, without blanks around it; nothing if it stayed blank.
    pub(super) fn text(&self, line: usize) -> Option<&str> {
        self.typed.get(line).map(|typed| typed.trim()).filter(|typed| !typed.is_empty())
    }

    /// On with the first line.
    pub(super) const fn begin_again(&mut self) {
        self.at = 0;
    }

    /// Back to a line, and why.
    pub(super) fn refuse(&mut self, (line, wrong): Wrong) {
        self.at = line.min(self.typed.len() - 1);
        self.wrong = Some(wrong);
    }

    /// Takes a message where what is typed is worth keeping: closing is only heard when it has been said that it throws
    /// that away.
    pub(super) fn hear_warning(&mut self, message: Message, session: &Session) -> Heard {
        if self.warns(message, session) { Heard::Taken } else { self.hear(message) }
    }

    /// Takes a message.
    pub(super) fn hear(&mut self, message: Message) -> Heard {
        let last = self.typed.len() - 1;
        match message {
            Message::Type(c) if self.typed[self.at].chars().count() < LONGEST_LINE => {
                self.typed[self.at].push(c);
            }
            Message::Type(_) => {}
            Message::Erase => {
                self.typed[self.at].pop();
            }
            Message::Up => self.at = self.at.saturating_sub(1),
            Message::Down => self.at = (self.at + 1).min(last),
            Message::Enter if self.at < last => self.at += 1,
            Message::Enter | Message::Next => return Heard::Done,
            _ => return Heard::Other,
        }
        self.wrong = None;
        Heard::Taken
    }

    /// The line that is being written.
    pub(super) const fn at(&self) -> usize {
        self.at
    }

    /// True where closing would throw several lines away and that has just been said; closing again does it.
    fn warns(&mut self, message: Message, session: &Session) -> bool {
        let loses = session.word(LOSES);
        let typed = (0..self.typed.len()).filter(|line| self.text(*line).is_some()).count();
        if message != Message::Close || typed < 2 || self.wrong.as_deref() == Some(loses) {
            return false;
        }
        self.wrong = Some(loses.to_owned());
        true
    }

    /// Lays them out beside their labels; the line that is written stays in view. A line that stays blank, and is not
    /// being written, shows what it is without anything typed, where that is known.
    pub(super) fn view(
        &self,
        framed: &mut Framed,
        session: &Session,
        labels: impl IntoIterator<Item = (Words, Option<String>)>,
    ) {
        for (nth, ((label, known), line)) in labels.into_iter().zip(&self.typed).enumerate() {
            let from = framed.body.len();
            let here = nth == self.at;
            let known = known.filter(|_| line.is_empty() && !here);
            framed.body.line_to_fill((session.word(label), known.as_ref().unwrap_or(line)), here);
            if here {
                framed.keep = Some(from..framed.body.len());
            }
        }
        if let Some(wrong) = &self.wrong {
            framed.pinned.text(Role::Live, 3, wrong);
        }
    }
}
