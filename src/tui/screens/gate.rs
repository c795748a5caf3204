//! A gate: its caution, then item by item, each confirmed by its own digit; only the next one is live.

use super::{Effect, scrolled};
use crate::safety::Confirm;
use crate::tui::frame::Framed;
use crate::tui::keys::Place;
use crate::tui::message::Message;
use crate::tui::session::Session;
use crate::tui::sheet::Sheet;
use crate::tui::theme::Role;
use crate::units::{Measure, Reading};
use crate::walk::{Input, ItemState, Page};

/// Its scroll, and what is typed in its field.
#[derive(Debug, Default)]
pub(in crate::tui) struct GateScreen {
    pub(in crate::tui) scroll: usize,
    typed: String,
}

/// Longest initials.
const LONGEST: usize = 12;

fn live(page: &Page) -> Option<usize> {
    page.items.iter().position(|item| item.state == ItemState::Live)
}

fn wants_reading(page: &Page) -> bool {
    live(page).is_some_and(|at| matches!(page.items[at].confirm, Confirm::Typed(_)))
}

impl GateScreen {
    pub(super) fn place(session: &Session) -> Place {
        let typed = session.initials.is_none() || session.page().is_some_and(|page| wants_reading(&page));
        if typed { Place::GateText } else { Place::Gate }
    }

    pub(super) fn update(&mut self, message: Message, session: &Session) -> Vec<Effect> {
        match message {
            Message::Next | Message::Close => vec![Effect::More],
            // A digit pressed to confirm is no initials.
            Message::Type(c) if session.initials.is_none() && !c.is_alphabetic() => {
                vec![Effect::Tell("Your initials first, once for this job; then Enter.".to_owned())]
            }
            Message::Type(c) => {
                self.typed.push(c);
                Vec::new()
            }
            Message::Erase => {
                self.typed.pop();
                Vec::new()
            }
            Message::Enter => self.enter(session),
            Message::Pick(c) => Self::pick(c, session),
            other => scrolled(&mut self.scroll, other),
        }
    }

    fn enter(&self, session: &Session) -> Vec<Effect> {
        let typed = self.typed.trim();
        if typed.is_empty() {
            return Vec::new();
        }
        let Some(by) = &session.initials else {
            return vec![Effect::Initials(typed.chars().take(LONGEST).collect())];
        };
        let Some(item) = session.page().as_ref().and_then(live) else { return Vec::new() };
        vec![Effect::Say(Input::Confirm { item, by: by.clone(), typed: Some(typed.to_owned()) })]
    }

    fn pick(digit: char, session: &Session) -> Vec<Effect> {
        let Some(item) = session.page().as_ref().and_then(live) else { return Vec::new() };
        let own = char::from_digit(u32::try_from(item + 1).unwrap_or(10) % 10, 10);
        let Some(by) = session.initials.as_ref().filter(|_| own == Some(digit)) else {
            return vec![Effect::Tell(format!("Not taken: {} is next.", item + 1))];
        };
        vec![Effect::Say(Input::Confirm { item, by: by.clone(), typed: None })]
    }

    pub(super) fn view(&self, session: &Session, width: u16) -> Framed {
        let more = super::list::named(session);
        let mut framed = Framed::new(width, session.around.letters, Self::place(session), &more);
        framed.scroll = self.scroll;
        let Some(page) = session.page() else { return framed };
        head(&mut framed.head, session, &page);
        for (nth, item) in page.items.iter().enumerate() {
            let from = framed.body.len();
            item_rows(&mut framed.body, nth + 1, item);
            if item.state == ItemState::Live {
                framed.keep = Some(from..framed.body.len());
                if let Some(digit) = char::from_digit(u32::try_from(nth + 1).unwrap_or(10) % 10, 10) {
                    framed.body.click_from(from, Message::Pick(digit));
                }
            }
        }
        framed.body.blank();
        for line in &page.lines {
            framed.body.text(Role::Plain, 3, &line.text);
        }
        if let Some(defer) = &page.defer {
            framed.body.text(Role::Plain, 3, defer);
        }
        self.asks(&mut framed.pinned, session, &page);
        framed
    }

    fn asks(&self, sheet: &mut Sheet, session: &Session, page: &Page) {
        let Some(at) = live(page) else { return };
        let field = |sheet: &mut Sheet, label: &str, after: &str| {
            let shown = format!(" {:8}", format!("{}_", self.typed));
            let row = [
                (Role::Strong, label),
                (Role::Plain, " ["),
                (Role::Field, &shown),
                (Role::Plain, "] "),
                (Role::Strong, after),
            ];
            sheet.pieces(&row);
        };
        if session.initials.is_none() {
            field(sheet, "   Who confirms? Initials", "Enter");
        } else if wants_reading(page) {
            let unit = Measure::Volts.unit();
            let echo = Reading::parse(&self.typed, unit).map(|r| r.echo(unit).to_string());
            field(sheet, "   You read", &format!("V   {}", echo.unwrap_or_default()));
        } else {
            let did = match page.items[at].confirm {
                Confirm::SaidToOthers => "said",
                _ => "seen",
            };
            sheet.text(Role::Strong, 3, &format!("Press {} when you have {did} it.", at + 1));
        }
        if let Some(said) = &session.said {
            sheet.text(Role::Live, 3, said);
        }
    }
}

fn head(sheet: &mut Sheet, session: &Session, page: &Page) {
    for (signal, hazard) in &page.cautions {
        sheet.caution(signal, hazard);
    }
    let done = page.items.iter().filter(|i| matches!(i.state, ItemState::Confirmed { .. })).count();
    let by = session.initials.as_deref().unwrap_or("");
    let count = format!("{done} of {} confirmed   {by} ", page.items.len());
    sheet.both_ends((Role::Strong, &page.title.to_uppercase()), (Role::Plain, &count));
    if let Some(why) = &page.needed_for {
        sheet.text(Role::Plain, 1, why);
    }
}

fn item_rows(sheet: &mut Sheet, number: usize, item: &crate::walk::ItemLine) {
    let wide = sheet.width() >= 60;
    let beside = if wide { 24 } else { 6 };
    let (mark, state, role) = match &item.state {
        ItemState::Confirmed { clock, typed, .. } => {
            let typed = typed.as_ref().map_or_else(String::new, |t| format!(" {t}"));
            ("  ", format!("confirmed {clock}{typed}"), Role::Plain)
        }
        ItemState::Live => (" >", "look now".to_owned(), Role::Live),
        ItemState::Later => ("  ", String::new(), Role::Plain),
    };
    if wide {
        sheet.hanging((role, &format!("{mark} {number}  {state}")), beside, (role_of_text(role), &item.text));
    } else {
        let text = if state.is_empty() { item.text.clone() } else { format!("{state}: {}", item.text) };
        sheet.hanging((role, &format!("{mark} {number} ")), beside, (role_of_text(role), &text));
    }
}

fn role_of_text(role: Role) -> Role {
    if role == Role::Live { Role::Strong } else { role }
}
