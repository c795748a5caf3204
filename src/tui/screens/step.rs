//! The walk at a step: one thing to do now, as a job card in one column.

use super::report::report;
use super::{Effect, Purpose, Screen, Shown, scrolled};
use crate::safety::Words;
use crate::tree::Kind;
use crate::tui::frame::Framed;
use crate::tui::keys::Place;
use crate::tui::message::Message;
use crate::tui::session::Session;
use crate::tui::sheet::Sheet;
use crate::tui::theme::Role;
use crate::tui::words::say;
use crate::units::Reading;
use crate::walk::{Input, Now, Page, PageKind, Visit, Walk};

/// Its scroll, and what is typed in a reading's field.
#[derive(Debug, Default)]
pub(in crate::tui) struct StepScreen {
    scroll: usize,
    typed: String,
}

/// Column at which what a label says begins.
const BESIDE: usize = 16;
/// Pages at which suspects are worth looking at.
const SEARCHING: [PageKind; 5] =
    [PageKind::Ask, PageKind::Look, PageKind::Read, PageKind::Do, PageKind::Find];
/// On fewer columns the tree is not named.
const NARROW: usize = 60;
/// Longest reading.
const LONGEST: usize = 40;

const TYPE_IT: Words = say("Type what the meter shows.", "Escriba lo que marca el medidor.");
const OR: Words = say("or", "o");
const LOOK_AT_RANGE: Words = say("Look at the range of the meter.", "Mire la escala del medidor.");
const AGAIN: Words = say("Neither: type it again", "Ninguna: escribirla otra vez");
const YOU_READ: Words = say("You read", "Leyó");
const JOB: Words = say("Job", "Trabajo");
const STEP: Words = say("step", "paso");
pub(super) const MACHINE_NOW: Words = say("Machine now", "Máquina ahora");
const AT_REST: Words = say("at rest", "en reposo");
const HEAD: Words = say(
    "The report prints this head; with it anybody can see that nothing was altered:",
    "El informe lleva esta cabeza; con ella se ve que nada se cambió:",
);
const KEPT: Words = say("The job is kept.", "El trabajo está guardado.");
const DONE: Words = say("Done", "Hecho");
const TO_REPAIR: Words = say("On to the repair", "A la reparación");
const CLOSE_JOB: Words = say("Close the job", "Cerrar el trabajo");
const PUT_RIGHT: Words = say("Put a line of the sheet right", "Corregir una línea de la hoja");
const NO_CODE: Words = say("No code is there any more", "Ya no hay códigos");
const CODE_THERE: Words = say("A code is still there", "Un código sigue ahí");
const NOT_LOOKED: Words =
    say("Close the job; nobody looked for codes", "Cerrar el trabajo; nadie miró los códigos");
const HAND_OVER: Words = say("Hand the job over", "Entregar el trabajo");
const STAYED: Words = say("Back, and I stayed with the machine", "De vuelta, y me quedé con la máquina");
const LEFT_IT: Words = say("Back, and I left it", "De vuelta, y la dejé sola");
const HOW_LEFT: Words =
    say("How the machine stands, and who was told", "Cómo queda la máquina, y a quién se avisó");
const THE_REPORT: Words = say("The report", "El informe");
const TO_START: Words = say("Start screen", "Pantalla de inicio");
const LEAVE: Words = say("Leave", "Salir");

impl Shown for StepScreen {
    fn place(&self, session: &Session) -> Place {
        match session.page().map(|page| page.kind) {
            Some(PageKind::Ask | PageKind::Look) => Place::Choose,
            Some(PageKind::Read) => Place::Reading,
            _ => Place::Act,
        }
    }

    fn scroll(&mut self) -> &mut usize {
        &mut self.scroll
    }

    fn update(&mut self, message: Message, session: &Session) -> Vec<Effect> {
        match message {
            Message::Next | Message::Close => vec![Effect::more()],
            Message::Type(c) => {
                if self.typed.len() < LONGEST {
                    self.typed.push(c);
                }
                Vec::new()
            }
            Message::Erase => {
                self.typed.pop();
                Vec::new()
            }
            Message::Enter if self.typed.trim().is_empty() => {
                vec![Effect::Tell(session.word(TYPE_IT).to_owned())]
            }
            Message::Enter => self.recorded(session),
            Message::Pick(c) => lines_to_pick(session)
                .into_iter()
                .find_map(|(digit, _, effect)| (digit == c).then_some(vec![effect]))
                .unwrap_or_default(),
            other => scrolled(&mut self.scroll, other),
        }
    }

    fn view(&self, session: &Session, width: u16) -> Framed {
        let more = super::list::named(session);
        let mut framed = Framed::new(session, width, self.place(session), &more);
        framed.scroll = self.scroll;
        let Some(page) = session.page() else { return framed };
        head(&mut framed.head, session, page);
        body(&mut framed.body, page);
        // A repair sheet is longer than a screen; what can be done with it stands under it all the same.
        let under = if is_sheet(session, page) { &mut framed.pinned } else { &mut framed.body };
        picks(under, session);
        ended(&mut framed.body, session, page);
        if page.kind == PageKind::Read {
            framed.gap = usize::from(page.lines.last().is_none_or(|line| line.label.is_empty()));
            self.field(&mut framed.pinned, session);
        }
        if let Some(said) = &session.said {
            framed.pinned.text(Role::Live, 3, said);
        }
        if SEARCHING.contains(&page.kind) && !is_mended(session) {
            framed.tails = super::along::tails(session, &framed.body);
        }
        framed
    }
}

impl StepScreen {
    /// The reading as typed; asked about first where this machine cannot show it.
    fn recorded(&self, session: &Session) -> Vec<Effect> {
        let say = |typed: &str| Effect::Say(Input::Reading(typed.to_owned()));
        let meant = session.walk().and_then(|walk| walk.probably_meant(&self.typed));
        let Some(meant) = meant else { return vec![say(&self.typed)] };
        let typed = self.typed.trim().trim_end_matches(['V', 'v']).trim_end();
        let title = format!("{typed} V {} {meant}?  {}", session.word(OR), session.word(LOOK_AT_RANGE));
        let entry = |key, text: &str, said: &str| (key, text.to_owned(), vec![Effect::Close, say(said)]);
        let entries = vec![
            entry('1', &meant, &meant),
            entry('2', &format!("{typed} V"), &self.typed),
            ('3', session.word(AGAIN).to_owned(), vec![Effect::Close]),
        ];
        vec![Effect::Offer(title, entries)]
    }

    fn field(&self, sheet: &mut Sheet, session: &Session) {
        let Some(read) = session.walk().and_then(Walk::reading_here) else { return };
        let unit = read.measure.unit();
        let echo = Reading::parse(&self.typed, unit).map(|r| r.echo(unit).to_string()).unwrap_or_default();
        let shown = format!(" {:8}", format!("{}_", self.typed));
        let beside = BESIDE.min(sheet.width() / 2);
        let label = format!("{:beside$}", format!("   {}", session.word(YOU_READ)));
        let unit = format!(" {unit}   ");
        let mut row = vec![
            (Role::Strong, label.as_str()),
            (Role::Plain, "["),
            (Role::Field, &shown),
            (Role::Plain, "]"),
            (Role::Plain, &unit),
        ];
        if sheet.width() < 50 {
            sheet.pieces(&row);
            sheet.text(Role::Plain, 3, &echo);
        } else {
            row.push((Role::Strong, &echo));
            sheet.pieces(&row);
        }
    }
}

/// Job, machine, tree, step and minutes; what is in force.
pub(super) fn head(sheet: &mut Sheet, session: &Session, page: &Page) {
    let Some(job) = session.job() else { return };
    let walk = job.walk();
    let details = walk.details();
    let serial = details.serial.as_ref().map_or_else(String::new, |s| format!("  {s}"));
    let title = walk.course().tree().title.in_lang(&walk.lang());
    let right = format!("{} {}   {} min ", session.word(STEP), page.step_number, session.minutes());
    // A name made up of the day and the tree says the tree twice here.
    let made_up = || job.place().name().replace(&format!("-{}", walk.course().tree().id), "");
    let number = details.number.clone().unwrap_or_else(made_up);
    let title = if sheet.width() < NARROW { "" } else { title };
    let left = format!("{} {number}{serial}  {title}", session.word(JOB));
    sheet.both_ends((Role::Strong, &left), (Role::Plain, &right));
    if !matches!(page.kind, PageKind::Ended) {
        let now = machine_now(walk, page, sheet.width());
        sheet.text(Role::Plain, 1, &format!("{}: {now}", session.word(MACHINE_NOW)));
    }
}

/// On a narrow screen only what is not at rest.
fn machine_now(walk: &Walk, page: &Page, width: usize) -> String {
    if width >= 80 {
        return page.machine_now.clone();
    }
    let parts = crate::safety::machine_now(walk.machine(), walk.course().vocabulary());
    let folded: Vec<&str> =
        parts.iter().filter(|p| !p.is_at_rest).map(|p| p.text.in_lang(&walk.lang())).collect();
    if folded.is_empty() { AT_REST.in_lang(&walk.lang()).to_owned() } else { folded.join(", ") }
}

fn body(sheet: &mut Sheet, page: &Page) {
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
}

fn is_sheet(session: &Session, page: &Page) -> bool {
    page.kind == PageKind::Do && session.walk().is_some_and(|walk| walk.damage().is_some())
}

/// What a digit does here.
fn picks(sheet: &mut Sheet, session: &Session) {
    let choices = lines_to_pick(session);
    if !choices.is_empty() && sheet.len() > 0 {
        sheet.blank();
    }
    for (digit, text, _) in &choices {
        let from = sheet.len();
        sheet.hanging((Role::Strong, &format!("   {digit}")), 6, (Role::Plain, text));
        sheet.click_from(from, Message::Pick(*digit));
    }
}

/// What is to be known of a job that is over.
fn ended(sheet: &mut Sheet, session: &Session, page: &Page) {
    if page.kind == PageKind::Ended
        && let Some(job) = session.job()
    {
        sheet.blank();
        sheet.text(Role::Plain, 1, &format!("{} {}", session.word(KEPT), session.word(HEAD)));
        sheet.text(Role::Plain, 3, &job.head().printed());
    }
}

/// True from the repair of what was found on: nothing is looked for any more, until something is measured again.
fn is_mended(session: &Session) -> bool {
    let Some(walk) = session.walk() else { return false };
    let kind = |at: &Visit| &walk.course().tree().step(at.step).kind;
    let mut of_round = walk.visits().iter().filter(|visit| visit.round == walk.round());
    let tells = |at: &&Visit| matches!(kind(at), Kind::Find(_) | Kind::Read(_) | Kind::Look(_));
    let last = of_round.rfind(tells);
    last.is_some_and(|at| matches!(kind(at), Kind::Find(_)) && at.left.is_some())
}

/// Every line that a digit picks at this step.
fn lines_to_pick(session: &Session) -> Vec<(char, String, Effect)> {
    let (Some(walk), Some(page)) = (session.walk(), session.page()) else { return Vec::new() };
    let line = |digit, words: Words, effect| (digit, session.word(words).to_owned(), effect);
    match page.kind {
        PageKind::Ask | PageKind::Look => page
            .choices
            .iter()
            .zip('1'..='9')
            .map(|(choice, digit)| {
                (digit, choice.text.clone(), Effect::Say(Input::Answer(choice.id.clone())))
            })
            .collect(),
        PageKind::Do if walk.damage().is_some() => vec![
            line('1', DONE, Effect::Say(Input::Done)),
            line('2', PUT_RIGHT, Effect::Open(|_| Ok(Screen::Repair(Box::default())))),
        ],
        PageKind::Do => vec![line('1', DONE, Effect::Say(Input::Done))],
        PageKind::Find => vec![line('1', TO_REPAIR, Effect::Say(Input::Done))],
        PageKind::Close if walk.codes_to_ask() => vec![
            line('1', NO_CODE, Effect::Say(Input::NoCodeLeft)),
            line('2', CODE_THERE, Effect::Fill(Purpose::Code)),
            line('3', NOT_LOOKED, Effect::Say(Input::Done)),
        ],
        PageKind::Close if !walk.codes_left().is_empty() => vec![
            line('1', CLOSE_JOB, Effect::Say(Input::Done)),
            line('2', CODE_THERE, Effect::Fill(Purpose::Code)),
        ],
        PageKind::Close => vec![line('1', CLOSE_JOB, Effect::Say(Input::Done))],
        PageKind::Refer => vec![line('1', HAND_OVER, Effect::Say(Input::Done))],
        PageKind::Waiting if matches!(walk.now(), Now::Waiting(_)) => vec![
            line('1', STAYED, Effect::Say(Input::Stayed)),
            line('2', LEFT_IT, Effect::Say(Input::LeftIt)),
            line('3', HOW_LEFT, Effect::Fill(Purpose::Left)),
        ],
        PageKind::Ended => vec![
            line('1', THE_REPORT, Effect::Open(|session| report(session).map(Screen::Leaf))),
            line('2', TO_START, Effect::ToStart),
            line('3', LEAVE, Effect::Leave),
        ],
        _ => Vec::new(),
    }
}
