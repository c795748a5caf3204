//! A gate: its caution, then item by item, each confirmed by its own digit; only the next one is live.

use super::{Effect, Shown, scrolled};
use crate::safety::{Confirm, Words};
use crate::tui::frame::Framed;
use crate::tui::keys::Place;
use crate::tui::message::Message;
use crate::tui::session::Session;
use crate::tui::sheet::Sheet;
use crate::tui::theme::Role;
use crate::tui::words::{INITIALS_FIRST, NOT_TAKEN, say};
use crate::units::{Measure, Reading};
use crate::walk::{Input, ItemState, Page, Walk};

/// Its scroll, and what is typed in its field.
#[derive(Debug, Default)]
pub(in crate::tui) struct GateScreen {
    scroll: usize,
    typed: String,
}

/// On fewer columns what was understood stands on a row of its own.
const NARROW: usize = 50;
/// Longest initials.
const LONGEST: usize = 12;
/// Longest reading.
const LONGEST_READING: usize = 40;

const IS_NEXT: Words = say("is next", "es el siguiente");
const WHO: Words = say("Who confirms? Initials", "¿Quién confirma? Iniciales");
const YOU_READ: Words = say("You read", "Leyó");
const CONFIRMED: Words = say("confirmed", "confirmado");
const CONFIRMED_ALL: Words = say("confirmed", "confirmados");
const LOOK_NOW: Words = say("look now", "mire ahora");
const SAY_NOW: Words = say("say it now", "dígalo ahora");
const MEASURE_NOW: Words = say("measure now", "mida ahora");
const HOW_LEFT: Words = say(
    "Tab, then l, writes down how it stands and who was told.",
    "Tab y luego l anota cómo queda y a quién se avisó.",
);
const OF: Words = say("of", "de");
const PRESS: Words = say("Press", "Pulse");
const WHEN_SEEN: Words = say("when you have seen it.", "cuando lo haya visto.");
const WHEN_SAID: Words = say("when you have said it.", "cuando lo haya dicho.");

fn live(page: &Page) -> Option<usize> {
    page.items.iter().position(|item| item.state == ItemState::Live)
}

fn wants_reading(page: &Page) -> bool {
    live(page).is_some_and(|at| matches!(page.items[at].confirm, Confirm::Typed(_)))
}

impl Shown for GateScreen {
    fn place(&self, session: &Session) -> Place {
        let typed = session.initials.is_none() || session.page().is_some_and(wants_reading);
        if typed { Place::GateText } else { Place::Gate }
    }

    fn scroll(&mut self) -> &mut usize {
        &mut self.scroll
    }

    fn update(&mut self, message: Message, session: &Session) -> Vec<Effect> {
        match message {
            Message::Next | Message::Close => vec![Effect::more()],
            // A digit pressed to confirm is no initials.
            Message::Type(c) if session.initials.is_none() && !c.is_alphabetic() => {
                vec![Effect::Tell(session.word(INITIALS_FIRST).to_owned())]
            }
            Message::Type(c) => {
                if self.typed.len() < LONGEST_READING {
                    self.typed.push(c);
                }
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

    fn view(&self, session: &Session, width: u16) -> Framed {
        let more = super::list::named(session);
        let mut framed = Framed::new(session, width, self.place(session), &more);
        framed.scroll = self.scroll;
        let Some(page) = session.page() else { return framed };
        head(&mut framed.head, session, page);
        for (nth, item) in page.items.iter().enumerate() {
            let from = framed.body.len();
            item_rows(&mut framed.body, session, (nth + 1, item));
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
        framed.tails = super::along::suggestion_alone(session, &framed.body);
        self.asks(&mut framed.pinned, session, page);
        framed
    }
}

impl GateScreen {
    fn enter(&mut self, session: &Session) -> Vec<Effect> {
        let typed = self.typed.trim();
        if typed.is_empty() {
            return Vec::new();
        }
        let Some(by) = &session.initials else {
            return vec![Effect::Initials(typed.chars().take(LONGEST).collect())];
        };
        let Some(item) = session.page().and_then(live) else { return Vec::new() };
        let input = Input::Confirm { item, by: by.clone(), typed: Some(typed.to_owned()) };
        // What is not taken is measured and typed anew.
        if session.walk().is_some_and(|walk| walk.accept(input.clone(), session.at).is_err()) {
            self.typed.clear();
        }
        vec![Effect::Say(input)]
    }

    fn pick(digit: char, session: &Session) -> Vec<Effect> {
        let Some(item) = session.page().and_then(live) else { return Vec::new() };
        let own = char::from_digit(u32::try_from(item + 1).unwrap_or(10) % 10, 10);
        let Some(by) = session.initials.as_ref().filter(|_| own == Some(digit)) else {
            return vec![Effect::Tell(format!(
                "{}: {} {}.",
                session.word(NOT_TAKEN),
                item + 1,
                session.word(IS_NEXT)
            ))];
        };
        vec![Effect::Say(Input::Confirm { item, by: by.clone(), typed: None })]
    }

    fn asks(&self, sheet: &mut Sheet, session: &Session, page: &Page) {
        let Some(at) = live(page) else { return };
        let field = |sheet: &mut Sheet, label: &str, after: &str| {
            let shown = format!(" {:8}", format!("{}_", self.typed));
            let narrow = sheet.width() < NARROW;
            let beside = if narrow { "" } else { after };
            let row = [
                (Role::Strong, label),
                (Role::Plain, " ["),
                (Role::Field, &shown),
                (Role::Plain, "] "),
                (Role::Strong, beside),
            ];
            sheet.pieces(&row);
            if narrow && session.initials.is_some() {
                sheet.text(Role::Strong, 3, after);
            }
        };
        if session.initials.is_none() {
            field(sheet, &format!("   {}", session.word(WHO)), "Enter");
        } else if wants_reading(page) {
            let unit = Measure::Volts.unit();
            let echo = Reading::parse(&self.typed, unit).map(|r| r.echo(unit).to_string());
            field(
                sheet,
                &format!("   {}", session.word(YOU_READ)),
                &format!("V   {}", echo.unwrap_or_default()),
            );
        } else {
            let when = match page.items[at].confirm {
                Confirm::SaidToOthers => WHEN_SAID,
                _ => WHEN_SEEN,
            };
            let said = format!("{} {} {}", session.word(PRESS), at + 1, session.word(when));
            sheet.text(Role::Strong, 3, &said);
        }
        if session.walk().is_some_and(Walk::is_left_here) {
            sheet.text(Role::Plain, 3, session.word(HOW_LEFT));
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
    let count = format!(
        "{done} {} {} {}   {by} ",
        session.word(OF),
        page.items.len(),
        session.word(if page.items.len() == 1 { CONFIRMED } else { CONFIRMED_ALL })
    );
    sheet.both_ends((Role::Strong, &page.title.to_uppercase()), (Role::Plain, &count));
    if let Some(why) = &page.needed_for {
        sheet.text(Role::Plain, 1, why);
    }
}

fn item_rows(sheet: &mut Sheet, session: &Session, (number, item): (usize, &crate::walk::ItemLine)) {
    let wide = sheet.width() >= 60;
    let beside = if wide { 24 } else { 6 };
    let (mark, state, role) = match &item.state {
        ItemState::Confirmed { clock, typed, .. } => {
            let typed = typed.as_ref().map_or_else(String::new, |t| format!(" {t}"));
            ("  ", format!("{} {clock}{typed}", session.word(CONFIRMED)), Role::Plain)
        }
        // First who confirms: until then one thing is asked, and that is no item.
        ItemState::Live if session.initials.is_none() => ("  ", String::new(), Role::Plain),
        ItemState::Live => {
            let now = match item.confirm {
                Confirm::SaidToOthers => SAY_NOW,
                Confirm::Typed(_) => MEASURE_NOW,
                Confirm::Seen => LOOK_NOW,
            };
            (" >", session.word(now).to_owned(), Role::Live)
        }
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
