//! What is only looked at: a title over lines that scroll. Help, report and archive are such.

use super::{Effect, Shown, scrolled};
use crate::tui::frame::Framed;
use crate::tui::keys::Place;
use crate::tui::message::Message;
use crate::tui::session::Session;
use crate::tui::sheet::Sheet;
use crate::tui::theme::Role;

/// Its title, and what lays its lines out to a width.
pub(in crate::tui) struct Leaf {
    scroll: usize,
    title: String,
    body: Box<dyn Fn(&mut Sheet)>,
}

impl Leaf {
    pub(super) fn new(title: &str, body: impl Fn(&mut Sheet) + 'static) -> Self {
        Self { scroll: 0, title: title.to_owned(), body: Box::new(body) }
    }

    /// Lines of text; which of them are headings is told by their look.
    pub(super) fn of_lines(title: &str, lines: Vec<String>, is_heading: fn(&str) -> bool) -> Self {
        Self::new(title, move |sheet| {
            for line in &lines {
                let role = if is_heading(line) { Role::Strong } else { Role::Plain };
                sheet.text(role, 1, line);
            }
        })
    }
}

impl Shown for Leaf {
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
        framed.head.text(Role::Strong, 1, &self.title);
        (self.body)(&mut framed.body);
        framed
    }
}
