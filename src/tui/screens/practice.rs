//! Practice: the walk on the simulated machine, with one typed line for everything, and the debrief.
//!
//! ```text
//!  Practice  No lift and no tilt, machine drives                       14 min
//!  Machine now: parked, arms down, cab supported, POWER LIVE
//! ----------------------------------------------------------------------------
//!  READ VOLTS
//!     Red lead     A1:8
//!  You read 4.97 V. 2 min; 14 so far.
//!  Enter to read the meter.
//!  > [volts A1:7 GND1 key on, bar down_]
//! ```

use super::step::MACHINE_NOW;
use super::{Effect, LONGEST_LINE, Shown, scrolled};
use crate::job::Shelf;
use crate::practice::{Dialogue, Sitting, WORKED_OUT, line_of, log_words};
use crate::safety::{Confirm, Words};
use crate::tui::frame::Framed;
use crate::tui::keys::Place;
use crate::tui::message::Message;
use crate::tui::session::Session;
use crate::tui::sheet::Sheet;
use crate::tui::theme::Role;
use crate::tui::words::{NOT_RECORDED, say};
use crate::walk::{ItemState, Page, PageKind};

const TITLE: Words = say("Practice", "Práctica");
const TYPE_HELP: Words =
    say("Type help for what can be typed.", "Escriba ayuda para ver lo que se puede escribir.");
const NO_DEBRIEF: Words = say("No debrief", "Sin repaso");
const NOT_KEPT: Words = say("Not kept", "No se guardó");

/// Column at which what a label says begins.
const BESIDE: usize = 16;
/// Lines of what was said last that stay in view.
const MOST_SAID: usize = 6;

/// The dialogue, what is typed, and what was said last.
pub(in crate::tui) struct PracticeScreen {
    scroll: usize,
    typed: String,
    said: Vec<String>,
    page: Page,
    dialogue: Dialogue,
    shelf: Shelf,
    debrief: Stage,
}

/// How far the practice has come.
enum Stage {
    Going,
    /// It is over; that its debrief is worked out is said before that begins, as it takes a while.
    Over,
    /// The lines of its debrief.
    Told(Vec<String>),
}

impl PracticeScreen {
    /// Begins where the sitting is.
    pub(in crate::tui) fn new(sitting: Sitting, shelf: Shelf) -> Self {
        let page = sitting.walk().page();
        let said = vec![sitting.known(), TYPE_HELP.in_lang(&sitting.walk().lang()).to_owned()];
        let dialogue = Dialogue::new(sitting);
        Self { scroll: 0, typed: String::new(), said, page, dialogue, shelf, debrief: Stage::Going }
    }

    /// Words in the language that is practised in.
    fn word(&self, words: Words) -> &'static str {
        words.in_lang(&self.dialogue.sitting().walk().lang())
    }

    fn entered(&mut self) {
        let typed = std::mem::take(&mut self.typed);
        let reply = match self.dialogue.hear(&typed) {
            Ok(reply) => reply,
            Err(fault) => {
                self.said = vec![format!("{}: {}.", self.word(NOT_RECORDED), log_words(&fault))];
                return;
            }
        };
        self.said = reply.lines;
        if reply.moved {
            self.scroll = 0;
        }
        self.page = self.dialogue.sitting().walk().page();
        if self.dialogue.sitting().is_over() {
            self.scroll = 0;
            self.debrief = Stage::Over;
        }
    }

    fn debriefed(&mut self) {
        let told = match self.dialogue.debrief() {
            Ok((debrief, sat)) => {
                let mut lines = debrief.lines();
                if let Err(error) = self.shelf.append(&line_of(&sat)) {
                    lines.push(format!("{}: {error}.", self.word(NOT_KEPT)));
                }
                lines
            }
            Err(fault) => vec![format!("{}: {fault}.", self.word(NO_DEBRIEF))],
        };
        self.debrief = Stage::Told(told);
    }

    /// At a gate the live item is confirmed by its own digit alone.
    fn is_confirmed_by(&self, c: char) -> bool {
        let live = self.page.items.iter().position(|item| item.state == ItemState::Live);
        let seen = live.filter(|at| !matches!(self.page.items[*at].confirm, Confirm::Typed(_)));
        let asks_more = self.dialogue.question(&self.page).len() < 2;
        self.typed.is_empty()
            && self.page.kind == PageKind::Gate
            && !asks_more
            && seen.is_some_and(|at| c.to_string() == (at + 1).to_string())
    }
}

impl Shown for PracticeScreen {
    fn place(&self, _: &Session) -> Place {
        if matches!(self.debrief, Stage::Going) { Place::Practice } else { Place::Leaf }
    }

    fn scroll(&mut self) -> &mut usize {
        &mut self.scroll
    }

    fn thinks(&self) -> bool {
        matches!(self.debrief, Stage::Over)
    }

    fn hear_thoughts(&mut self) -> bool {
        let is_wanted = self.thinks();
        if is_wanted {
            self.debriefed();
        }
        is_wanted
    }

    fn think_through(&mut self) {
        self.hear_thoughts();
    }

    fn update(&mut self, message: Message, _: &Session) -> Vec<Effect> {
        match message {
            Message::Close => {
                // Whoever does not wait for it has practised all the same.
                self.hear_thoughts();
                return vec![Effect::ToStart];
            }
            Message::Enter => self.entered(),
            Message::Erase => {
                self.typed.pop();
            }
            Message::Type(c) if self.is_confirmed_by(c) => {
                self.typed.push(c);
                self.entered();
            }
            Message::Type(c) if self.typed.len() < LONGEST_LINE => self.typed.push(c),
            other => return scrolled(&mut self.scroll, other),
        }
        Vec::new()
    }

    fn view(&self, session: &Session, width: u16) -> Framed {
        let mut framed = Framed::new(session, width, self.place(session), "");
        framed.scroll = self.scroll;
        let walk = self.dialogue.sitting().walk();
        let title = walk.course().tree().title.in_lang(&walk.lang());
        let minutes = format!("{:.0} min ", walk.minutes_worked());
        framed
            .head
            .both_ends((Role::Strong, &format!("{}  {title}", self.word(TITLE))), (Role::Plain, &minutes));
        match &self.debrief {
            Stage::Going => {}
            Stage::Over => {
                framed.body.text(Role::Strong, 1, self.word(WORKED_OUT));
                return framed;
            }
            Stage::Told(debrief) => {
                for line in debrief {
                    let role = if line.starts_with(' ') { Role::Plain } else { Role::Strong };
                    framed.body.text(role, 1, line);
                }
                return framed;
            }
        }
        framed.head.text(Role::Plain, 1, &format!("{}: {}", self.word(MACHINE_NOW), self.page.machine_now));
        framed.keep = body(&mut framed.body, &self.page);
        self.asked(&mut framed.pinned);
        framed
    }
}

impl PracticeScreen {
    fn asked(&self, sheet: &mut Sheet) {
        // The first says what could happen; of the rest the last stay.
        let left_out = self.said.len().saturating_sub(MOST_SAID);
        for (nth, line) in self.said.iter().enumerate() {
            if nth == 0 || nth > left_out {
                sheet.text(Role::Live, 1, line);
            }
        }
        // The item itself stands in the body already.
        if let Some(question) = self.dialogue.question(&self.page).last() {
            sheet.text(Role::Strong, 1, question);
        }
        let typed = format!("{}_", self.typed);
        sheet.pieces(&[(Role::Plain, " > ["), (Role::Field, &typed), (Role::Plain, "]")]);
    }
}

/// The page; the rows of the live item, which must stay in view.
fn body(sheet: &mut Sheet, page: &Page) -> Option<std::ops::Range<usize>> {
    for (signal, hazard) in &page.cautions {
        sheet.caution(signal, hazard);
    }
    if let Some(defer) = &page.defer {
        sheet.text(Role::Plain, 1, defer);
    }
    sheet.text(Role::Strong, 1, &page.title);
    if let Some(why) = &page.needed_for {
        sheet.text(Role::Plain, 1, why);
    }
    for line in &page.lines {
        if line.label.is_empty() {
            sheet.text(Role::Plain, 3, &line.text);
        } else {
            sheet.hanging((Role::Plain, &format!("   {}", line.label)), BESIDE, (Role::Strong, &line.text));
        }
    }
    let mut keep = None;
    for (nth, item) in page.items.iter().enumerate() {
        let from = sheet.len();
        let (mark, role) = match item.state {
            ItemState::Live => (">", Role::Live),
            ItemState::Confirmed { .. } => ("x", Role::Plain),
            ItemState::Later => (" ", Role::Plain),
        };
        sheet.hanging((role, &format!(" {mark} {}", nth + 1)), 6, (role, &item.text));
        if item.state == ItemState::Live {
            keep = Some(from..sheet.len());
        }
    }
    keep
}
