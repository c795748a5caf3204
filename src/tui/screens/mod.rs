//! The screens: each owns its cursor and scroll, takes a message and shows itself.

mod form;
mod gate;
mod help;
mod list;
mod note;
mod report;
mod start;
mod step;

pub(super) use form::{Form, Purpose};
pub(super) use gate::GateScreen;
pub(super) use help::Help;
pub(super) use list::List;
pub(super) use note::Note;
pub(super) use report::ReportScreen;
pub(super) use start::Start;
pub(super) use step::StepScreen;

use super::frame::Framed;
use super::keys::Place;
use super::message::Message;
use super::session::Session;
use crate::walk::{Details, Input, PageKind};

/// What a screen wants done.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Effect {
    /// Said to the walk.
    Say(Input),
    /// Closes the screen on top.
    Close,
    /// Opens the numbered list.
    More,
    /// Opens lines to fill in.
    Fill(Purpose),
    /// Opens the note.
    WriteNote,
    /// Opens the help of a place.
    ShowHelp,
    /// Opens the report.
    ShowReport,
    /// Goes on with a job of the folder.
    GoOn(String),
    /// Asks for the details of a new job of this tree.
    Choose(String),
    /// Begins a job of this tree.
    Begin(String, Box<Details>),
    /// These initials confirm from now on.
    Initials(String),
    /// One line is said on the screen.
    Tell(String),
    /// What was in force is no longer taken for granted.
    Lapse,
    /// The other palette.
    Turn,
    /// Back to the start screen.
    ToStart,
    /// Leaves the program.
    Leave,
}

/// A screen.
#[derive(Debug)]
pub(super) enum Screen {
    Start(Start),
    Step(StepScreen),
    Gate(GateScreen),
    List(List),
    Form(Form),
    Note(Box<Note>),
    Help(Help),
    Report(ReportScreen),
}

impl Screen {
    /// The screen for where the walk is; the start screen without one.
    pub(super) fn of(session: &Session) -> Self {
        match session.page().map(|page| page.kind) {
            None => Self::Start(Start::default()),
            Some(PageKind::Gate) => Self::Gate(GateScreen::default()),
            Some(_) => Self::Step(StepScreen::default()),
        }
    }

    pub(super) fn place(&self, session: &Session) -> Place {
        match self {
            Self::Start(_) => Place::Start,
            Self::Step(_) => StepScreen::place(session),
            Self::Gate(_) => GateScreen::place(session),
            Self::List(_) => Place::List,
            Self::Form(_) => Place::Form,
            Self::Note(_) => Place::Note,
            Self::Help(_) => Place::Help,
            Self::Report(_) => Place::Report,
        }
    }

    pub(super) fn update(&mut self, message: Message, session: &Session) -> Vec<Effect> {
        match self {
            Self::Start(screen) => screen.update(message, session),
            Self::Step(screen) => screen.update(message, session),
            Self::Gate(screen) => screen.update(message, session),
            Self::List(screen) => screen.update(message),
            Self::Form(screen) => screen.update(message),
            Self::Note(screen) => screen.update(message),
            Self::Help(screen) => scrolled(&mut screen.scroll, message),
            Self::Report(screen) => scrolled(&mut screen.scroll, message),
        }
    }

    pub(super) fn view(&self, session: &Session, width: u16) -> Framed {
        match self {
            Self::Start(screen) => screen.view(session, width),
            Self::Step(screen) => screen.view(session, width),
            Self::Gate(screen) => screen.view(session, width),
            Self::List(screen) => screen.view(session, width),
            Self::Form(screen) => screen.view(session, width),
            Self::Note(screen) => screen.view(session, width),
            Self::Help(screen) => screen.view(session, width),
            Self::Report(screen) => screen.view(session, width),
        }
    }

    /// Its scroll.
    pub(super) fn scroll(&mut self) -> &mut usize {
        match self {
            Self::Start(screen) => &mut screen.scroll,
            Self::Step(screen) => &mut screen.scroll,
            Self::Gate(screen) => &mut screen.scroll,
            Self::List(screen) => &mut screen.scroll,
            Self::Form(screen) => &mut screen.scroll,
            Self::Note(screen) => &mut screen.scroll,
            Self::Help(screen) => &mut screen.scroll,
            Self::Report(screen) => &mut screen.scroll,
        }
    }
}

/// Moves a scroll by a message; `Close` closes.
pub(super) fn scrolled(scroll: &mut usize, message: Message) -> Vec<Effect> {
    match message {
        Message::Up => *scroll = scroll.saturating_sub(1),
        Message::Down => *scroll += 1,
        Message::PageUp => *scroll = scroll.saturating_sub(10),
        Message::PageDown => *scroll += 10,
        Message::Close => return vec![Effect::Close],
        _ => {}
    }
    Vec::new()
}
