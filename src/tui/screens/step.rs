//! The walk at a step: one thing to do now, as a job card in one column.

use super::{Effect, scrolled};
use crate::tui::frame::Framed;
use crate::tui::keys::Place;
use crate::tui::message::Message;
use crate::tui::session::Session;
use crate::tui::sheet::Sheet;
use crate::tui::theme::Role;
use crate::units::Reading;
use crate::walk::{Input, Now, Page, PageKind};

/// Its scroll, and what is typed in a reading's field.
#[derive(Debug, Default)]
pub(in crate::tui) struct StepScreen {
    pub(in crate::tui) scroll: usize,
    typed: String,
}

/// Column at which what a label says begins.
const BESIDE: usize = 16;

impl StepScreen {
    pub(super) fn place(session: &Session) -> Place {
        match session.page().map(|page| page.kind) {
            Some(PageKind::Ask | PageKind::Look) => Place::Choose,
            Some(PageKind::Read) => Place::Reading,
            _ => Place::Act,
        }
    }

    pub(super) fn update(&mut self, message: Message, session: &Session) -> Vec<Effect> {
        match message {
            Message::Next | Message::Close => vec![Effect::More],
            Message::Type(c) => {
                self.typed.push(c);
                Vec::new()
            }
            Message::Erase => {
                self.typed.pop();
                Vec::new()
            }
            Message::Enter if self.typed.trim().is_empty() => {
                vec![Effect::Tell("Type what the meter shows.".to_owned())]
            }
            Message::Enter => vec![Effect::Say(Input::Reading(self.typed.clone()))],
            Message::Pick(c) => lines_to_pick(session)
                .into_iter()
                .find_map(|(digit, _, effect)| (digit == c).then_some(vec![effect]))
                .unwrap_or_default(),
            other => scrolled(&mut self.scroll, other),
        }
    }

    pub(super) fn view(&self, session: &Session, width: u16) -> Framed {
        let more = super::list::named(session);
        let mut framed = Framed::new(width, session.around.letters, Self::place(session), &more);
        framed.scroll = self.scroll;
        let Some(page) = session.page() else { return framed };
        head(&mut framed.head, session, &page);
        body(&mut framed.body, session, &page);
        if page.kind == PageKind::Read {
            self.field(&mut framed.pinned, session);
        }
        if let Some(said) = &session.said {
            framed.pinned.text(Role::Live, 3, said);
        }
        framed
    }

    fn field(&self, sheet: &mut Sheet, session: &Session) {
        let Some(read) = session.recorded.as_ref().and_then(|r| r.walk().reading_here()) else { return };
        let unit = read.measure.unit();
        let echo = Reading::parse(&self.typed, unit).map(|r| r.echo(unit).to_string()).unwrap_or_default();
        let shown = format!(" {:8}", format!("{}_", self.typed));
        let beside = BESIDE.min(sheet.width() / 2);
        let label = format!("{:beside$}", "   You read");
        let unit = format!(" {unit}   ");
        if sheet.width() < 50 {
            sheet.pieces(&[
                (Role::Strong, &label),
                (Role::Plain, "["),
                (Role::Field, &shown),
                (Role::Plain, "]"),
                (Role::Plain, &unit),
            ]);
            sheet.text(Role::Plain, 3, &echo);
        } else {
            let row = [
                (Role::Strong, label.as_str()),
                (Role::Plain, "["),
                (Role::Field, &shown),
                (Role::Plain, "]"),
                (Role::Plain, &unit),
                (Role::Strong, &echo),
            ];
            sheet.pieces(&row);
        }
    }
}

/// Job, machine, tree, step and minutes; what is in force.
pub(super) fn head(sheet: &mut Sheet, session: &Session, page: &Page) {
    let Some(recorded) = &session.recorded else { return };
    let walk = recorded.walk();
    let details = walk.details();
    let tree = walk.course().tree();
    let number = details.number.clone().unwrap_or_else(|| recorded.place().name());
    let serial = details.serial.as_ref().map_or_else(String::new, |s| format!("  {s}"));
    let title = tree.title.in_lang(&walk.lang());
    let left = format!("Job {number}{serial}  {title}");
    let right = format!("step {}   {} min ", page.step_number, session.minutes());
    sheet.both_ends((Role::Strong, &left), (Role::Plain, &right));
    if !matches!(page.kind, PageKind::Ended) {
        sheet.text(Role::Plain, 1, &format!("Machine now: {}", machine_now(session, page, sheet.width())));
    }
}

/// On a narrow screen only what is not at rest.
fn machine_now(session: &Session, page: &Page, width: usize) -> String {
    let Some(walk) = session.recorded.as_ref().map(crate::job::Recorded::walk) else { return String::new() };
    if width >= 80 {
        return page.machine_now.clone();
    }
    let parts = crate::safety::machine_now(walk.machine(), walk.course().vocabulary());
    let folded: Vec<&str> =
        parts.iter().filter(|p| !p.is_at_rest).map(|p| p.text.in_lang(&walk.lang())).collect();
    if folded.is_empty() { "at rest".to_owned() } else { folded.join(", ") }
}

fn body(sheet: &mut Sheet, session: &Session, page: &Page) {
    for (signal, hazard) in &page.cautions {
        sheet.caution(signal, hazard);
    }
    if let Some(defer) = &page.defer {
        sheet.text(Role::Plain, 1, defer);
    }
    if !page.cautions.is_empty() {
        sheet.blank();
    }
    sheet.text(Role::Strong, 1, &page.title);
    if let Some(why) = &page.needed_for {
        sheet.text(Role::Plain, 1, why);
    }
    if !page.lines.is_empty() {
        sheet.blank();
    }
    for line in &page.lines {
        if line.label.is_empty() {
            sheet.text(Role::Plain, 3, &line.text);
        } else {
            sheet.hanging((Role::Plain, &format!("   {}", line.label)), BESIDE, (Role::Strong, &line.text));
        }
    }
    let choices = lines_to_pick(session);
    if !choices.is_empty() {
        sheet.blank();
    }
    for (digit, text, _) in &choices {
        let from = sheet.len();
        sheet.hanging((Role::Strong, &format!("   {digit}")), 6, (Role::Plain, text));
        sheet.click_from(from, Message::Pick(*digit));
    }
    if page.kind == PageKind::Ended
        && let Some(recorded) = &session.recorded
    {
        sheet.blank();
        sheet.text(Role::Plain, 1, &format!("Head {}", recorded.head().printed()));
    }
}

/// Every line that a digit picks at this step.
fn lines_to_pick(session: &Session) -> Vec<(char, String, Effect)> {
    let Some(recorded) = &session.recorded else { return Vec::new() };
    let page = recorded.walk().page();
    let line = |digit, text: &str, effect| (digit, text.to_owned(), effect);
    match page.kind {
        PageKind::Ask | PageKind::Look => page
            .choices
            .iter()
            .zip('1'..='9')
            .map(|(choice, digit)| line(digit, &choice.text, Effect::Say(Input::Answer(choice.id.clone()))))
            .collect(),
        PageKind::Do => vec![line('1', "Done", Effect::Say(Input::Done))],
        PageKind::Find => vec![line('1', "On to the repair", Effect::Say(Input::Done))],
        PageKind::Close => vec![line('1', "Close the job", Effect::Say(Input::Done))],
        PageKind::Refer => vec![line('1', "Hand the job over", Effect::Say(Input::Done))],
        PageKind::Waiting if matches!(recorded.walk().now(), Now::Waiting(_)) => vec![
            line('1', "Back, and I stayed with the machine", Effect::Say(Input::Stayed)),
            line('2', "Back, and I left it", Effect::Say(Input::LeftIt)),
        ],
        PageKind::Ended => vec![
            line('1', "The report", Effect::ShowReport),
            line('2', "Start screen", Effect::ToStart),
            line('3', "Leave", Effect::Leave),
        ],
        _ => Vec::new(),
    }
}
