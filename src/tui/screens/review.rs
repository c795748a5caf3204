//! A review, event by event, forward and back; of two jobs, one after the other.

use super::{Effect, Shown, scrolled};
use crate::diag::visible_line;
use crate::job::{Names, Review};
use crate::safety::Words;
use crate::tui::frame::Framed;
use crate::tui::keys::Place;
use crate::tui::message::Message;
use crate::tui::session::Session;
use crate::tui::theme::Role;
use crate::tui::words::say;

const TITLE: Words = say("Review", "Revisión");
const WORKED: Words = say("min worked", "min trabajados");
const BY_TREE: Words = say("by the tree", "por el árbol");
const BY_CLOCK: Words = say("min by the clock", "min por el reloj");

/// Jobs reviewed, which one is shown, and which event is marked.
pub(in crate::tui) struct ReviewScreen {
    scroll: usize,
    jobs: Vec<(String, Review)>,
    which: usize,
    cursor: usize,
    names: Names,
    /// Everything else of the job instead of its path.
    sums: bool,
}

impl ReviewScreen {
    /// Of these jobs; there is at least one.
    pub(in crate::tui) const fn new(jobs: Vec<(String, Review)>, names: Names) -> Self {
        Self { scroll: 0, jobs, which: 0, cursor: 0, names, sums: false }
    }

    fn review(&self) -> Option<&(String, Review)> {
        self.jobs.get(self.which)
    }

    fn next(&mut self) {
        self.scroll = 0;
        if self.sums {
            self.which = (self.which + 1) % self.jobs.len().max(1);
            self.cursor = 0;
        }
        self.sums = !self.sums;
    }
}

impl Shown for ReviewScreen {
    fn place(&self, _: &Session) -> Place {
        Place::Review
    }

    fn scroll(&mut self) -> &mut usize {
        &mut self.scroll
    }

    fn update(&mut self, message: Message, _: &Session) -> Vec<Effect> {
        let last = self.review().map_or(0, |(_, review)| review.passes.len().saturating_sub(1));
        match message {
            Message::Close => return vec![Effect::Close],
            Message::Next => self.next(),
            Message::Up if !self.sums => self.cursor = self.cursor.saturating_sub(1),
            Message::Down if !self.sums => self.cursor = (self.cursor + 1).min(last),
            Message::PageUp if !self.sums => self.cursor = self.cursor.saturating_sub(10),
            Message::PageDown if !self.sums => self.cursor = (self.cursor + 10).min(last),
            other => return scrolled(&mut self.scroll, other),
        }
        Vec::new()
    }

    fn view(&self, session: &Session, width: u16) -> Framed {
        let mut framed = Framed::new(session, width, Place::Review, "");
        framed.scroll = self.scroll;
        let Some((name, review)) = self.review() else { return framed };
        let who = if self.names == Names::Told && !review.mechanic.is_empty() {
            format!("  {}", review.mechanic)
        } else {
            String::new()
        };
        let [worked, by_tree, by_clock] = [WORKED, BY_TREE, BY_CLOCK].map(|words| session.word(words));
        let minutes =
            format!("{:.0} {worked}, {:.0} {by_tree} ", review.worked.value(), review.by_tree.value());
        let title = format!("{}  {}{who}", session.word(TITLE), visible_line(name));
        framed.head.both_ends((Role::Strong, &title), (Role::Plain, &minutes));
        if self.sums {
            for line in review.lines_beside(self.names, &session.lang()) {
                let role = if line.starts_with(' ') { Role::Plain } else { Role::Strong };
                framed.body.text(role, 1, &line);
            }
            return framed;
        }
        for (at, pass) in review.passes.iter().enumerate() {
            let from = framed.body.len();
            let here = at == self.cursor;
            let (mark, role) = if here { (">", Role::Live) } else { (" ", Role::Plain) };
            let lead = format!(" {mark} {:>3} {} {:>5.1}", pass.number, pass.at.clock(), pass.clock.value());
            framed.body.hanging((role, &lead), 20, (role, &format!("{}: {}", pass.step, pass.what)));
            if here {
                framed.keep = Some(from..framed.body.len());
            }
        }
        if let Some(pass) = review.passes.get(self.cursor) {
            let minutes =
                format!("{:.1} {by_clock}, {:.1} {by_tree}", pass.clock.value(), pass.by_tree.value());
            framed.pinned.text(Role::Strong, 1, &minutes);
            for line in pass.lines(&session.lang()) {
                framed.pinned.text(Role::Plain, 1, &line);
            }
        }
        framed
    }
}
