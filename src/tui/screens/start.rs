//! The start screen: go on with the last job, or take a tree by machine and symptom.

use super::{Chosen, Effect, LONGEST_LINE, List, Purpose, Shown, scrolled};
use crate::safety::Words;
use crate::tui::frame::Framed;
use crate::tui::keys::Place;
use crate::tui::message::Message;
use crate::tui::session::Session;
use crate::tui::theme::Role;
use crate::tui::words::say;

/// Its filter and which line is marked.
#[derive(Debug, Default)]
pub(in crate::tui) struct Start {
    scroll: usize,
    filter: String,
    cursor: usize,
}

/// A line that can be opened.
struct Line {
    heading: Words,
    text: String,
    effect: Effect,
}

const LAST: Words = say("Go on with the last job", "Seguir con el último trabajo");
const TREES: Words = say("Trees", "Árboles");
const OPEN: Words = say("Open jobs", "Trabajos abiertos");
const LOOKING: Words = say("The folder of jobs is being read", "Se está leyendo la carpeta de trabajos");
const NONE_OPEN: Words = say("No job is open", "No hay trabajos abiertos");
const FILTER: Words = say("filter", "filtro");
const MORE_HERE: Words = say("More", "Más");
const NOTHING: Words = say(
    "Nothing here is called so. Backspace takes back a letter.",
    "Nada aquí se llama así. Retroceso borra una letra.",
);

impl Shown for Start {
    fn place(&self, _: &Session) -> Place {
        Place::Start
    }

    fn scroll(&mut self) -> &mut usize {
        &mut self.scroll
    }

    fn update(&mut self, message: Message, session: &Session) -> Vec<Effect> {
        let opens = self.effects(session);
        match message {
            Message::Type(c) if self.filter.len() < LONGEST_LINE => self.refilter(|filter| filter.push(c)),
            Message::Type(_) => {}
            Message::Erase => self.refilter(|filter| {
                filter.pop();
            }),
            Message::Up => self.cursor = self.cursor.saturating_sub(1),
            Message::Down => self.cursor = (self.cursor + 1).min(opens.len().saturating_sub(1)),
            Message::Enter => return opens.get(self.cursor).cloned().into_iter().collect(),
            Message::Pick(c) => {
                let nth = c.to_digit(10).and_then(|d| usize::try_from(d).ok()?.checked_sub(1));
                return nth.and_then(|nth| opens.get(nth).cloned()).into_iter().collect();
            }
            Message::Next | Message::Close => return vec![self.more(session)],
            other => return scrolled(&mut self.scroll, other),
        }
        Vec::new()
    }

    fn view(&self, session: &Session, width: u16) -> Framed {
        let mut framed = Framed::new(session, width, Place::Start, "");
        framed.scroll = self.scroll;
        let filter = format!("{} [{}_] ", session.word(FILTER), self.filter);
        framed.head.both_ends((Role::Strong, "Loomwalk"), (Role::Plain, &filter));
        let lines = self.lines(session);
        let mut heading = None;
        let mut nth = 0;
        for line in &lines {
            if heading != Some(line.heading) {
                heading = Some(line.heading);
                framed.body.text(Role::Strong, 1, session.word(line.heading));
            }
            let from = framed.body.len();
            let here = nth == self.cursor;
            nth += 1;
            let digit = if nth <= 9 { char::from_digit(u32::try_from(nth).unwrap_or(0), 10) } else { None };
            let mark = if here { ">" } else { " " };
            let lead = format!(" {mark} {}", digit.unwrap_or(' '));
            let (lead_role, role) =
                if here { (Role::Live, Role::Strong) } else { (Role::Strong, Role::Plain) };
            framed.body.hanging((lead_role, &lead), 6, (role, &line.text));
            if let Some(digit) = digit {
                framed.body.click_from(from, Message::Pick(digit));
            }
            if here {
                framed.keep = Some(from..framed.body.len());
            }
        }
        if lines.is_empty() {
            framed.body.text(Role::Plain, 1, session.word(NOTHING));
        }
        if let Some(said) = &session.said {
            framed.pinned.text(Role::Live, 1, said);
        }
        framed
    }
}

/// The place of the last job while the folder is being read, and afterwards where there was none.
fn kept_free(session: &Session) -> Line {
    let text = session.word(if session.jobs.looks() { LOOKING } else { NONE_OPEN }).to_owned();
    Line { heading: LAST, effect: Effect::Tell(text.clone()), text }
}

impl Start {
    fn refilter(&mut self, change: impl Fn(&mut String)) {
        change(&mut self.filter);
        self.cursor = 0;
    }

    /// The numbered list, with practice on the tree that is marked.
    fn more(&self, session: &Session) -> Effect {
        let marked = match self.effects(session).into_iter().nth(self.cursor) {
            Some(Effect::Fill(Purpose::Job(Chosen::Shelf(name)))) => Some(name),
            _ => None,
        };
        let tree = marked.and_then(|name| session.shelf.iter().find(|tree| tree.name == name));
        let entries = List::more_with(session, tree.map(|tree| (tree.name.as_str(), tree.title.as_str())));
        Effect::Also(session.word(MORE_HERE).to_owned(), entries)
    }

    fn effects(&self, session: &Session) -> Vec<Effect> {
        self.lines(session).into_iter().map(|line| line.effect).collect()
    }

    /// The last job, the trees that the filter lets through, the other open jobs.
    fn lines(&self, session: &Session) -> Vec<Line> {
        let wanted = self.filter.to_lowercase();
        let fits = |text: &str| wanted.split_whitespace().all(|word| text.to_lowercase().contains(word));
        let job = |heading, job: &crate::job::Summary| {
            let begun = job.begun.as_ref();
            let tree = begun.map_or("", |b| b.tree.as_str());
            let serial = begun.and_then(|b| b.details.serial.clone()).unwrap_or_default();
            let last = begun.map_or_else(String::new, |b| b.last.to_string());
            let text = format!("{}  {serial}  {tree}  {last}  {}", job.name, job.stands());
            let text = text.split_whitespace().collect::<Vec<_>>().join("  ");
            Line { heading, text, effect: Effect::GoOn(job.name.clone()) }
        };
        let mut lines: Vec<Line> = match session.jobs.found().first() {
            Some(last) => vec![job(LAST, last)],
            None if session.jobs.is_late() => vec![kept_free(session)],
            None => Vec::new(),
        };
        lines.extend(session.shelf.iter().map(|tree| {
            let purpose = Purpose::Job(Chosen::Shelf(tree.name.clone()));
            let text = format!("{}  {}", tree.machine, tree.title);
            Line { heading: TREES, text, effect: Effect::Fill(purpose) }
        }));
        lines.extend(session.jobs.found().iter().skip(1).map(|one| job(OPEN, one)));
        lines.retain(|line| fits(&line.text));
        lines
    }
}
