//! The screens, one file each: what each keeps, how it takes a message and shows itself.
//!
//! A new screen is a file with a struct that is [`Shown`], a variant of [`Screen`], and an effect that opens it.

mod along;
mod archive;
mod circuit;
mod circuit_row;
mod form;
mod gate;
mod help;
mod leaf;
mod lines;
mod list;
mod note;
mod practice;
mod repair;
mod report;
mod review;
mod start;
mod step;
mod sums;

pub(super) use archive::ArchiveScreen;
pub(super) use circuit::{BySeat, Circuit};
pub(super) use form::{Chosen, Form, Purpose};
pub(super) use gate::GateScreen;
pub(super) use help::help;
pub(super) use leaf::Leaf;
pub(super) use list::{Asks, Entry, List};
pub(super) use note::Note;
pub(super) use practice::PracticeScreen;
pub(super) use repair::Repair;
pub(super) use review::ReviewScreen;
pub(super) use start::Start;
pub(super) use step::StepScreen;
pub(super) use sums::Sums;

use super::frame::Framed;
use super::keys::Place;
use super::message::Message;
use super::session::Session;
use crate::walk::{Details, Input, PageKind};

/// Makes a screen to open; the error is one line to show instead.
pub(super) type Opens = fn(&Session) -> Result<Screen, String>;

/// What a screen wants done.
#[derive(Debug, Clone)]
pub(super) enum Effect {
    /// Said to the walk.
    Say(Input),
    /// Closes the screen on top.
    Close,
    /// Opens a screen on top.
    Open(Opens),
    /// Asks what goes by number: a title, and the entries.
    Offer(String, Vec<Entry>),
    /// Opens a numbered list of what else can be done: a title, and the entries.
    Also(String, Vec<Entry>),
    /// Opens the help of the screen under the others.
    Help,
    /// Opens lines to fill in.
    Fill(Purpose),
    /// Goes on with a job of the folder.
    GoOn(String),
    /// Begins practice on this tree of the shelf.
    Practise(String),
    /// Begins a job of this tree.
    Begin(Chosen, Box<Details>),
    /// These initials confirm from now on.
    Initials(String),
    /// One line is said on the screen.
    Tell(String),
    /// Shows the suspects, or hides them.
    HideSuspects,
    /// What was in force is no longer taken for granted.
    Lapse,
    /// The other palette.
    Turn,
    /// Back to the start screen.
    ToStart,
    /// Leaves the program.
    Leave,
}

impl Effect {
    /// Opens the numbered list.
    pub(super) fn more() -> Self {
        Self::Open(|session| Ok(Screen::List(List::more(session))))
    }
}

/// What every screen can do.
pub(super) trait Shown {
    /// Where keys go while it is on top.
    fn place(&self, session: &Session) -> Place;
    /// Takes a message.
    fn update(&mut self, message: Message, session: &Session) -> Vec<Effect>;
    /// Lays itself out to a width.
    fn view(&self, session: &Session, width: u16) -> Framed;
    /// Its scroll, in rows.
    fn scroll(&mut self) -> &mut usize;
    /// Whether a worker of its own is still at something.
    fn thinks(&self) -> bool {
        false
    }
    /// Takes in what its worker has found; true if that changes the screen.
    fn hear_thoughts(&mut self) -> bool {
        false
    }
    /// Waits for what its worker finds.
    fn think_through(&mut self) {}
    /// Takes a pasted text.
    fn paste(&mut self, text: &str, session: &Session) -> Vec<Effect> {
        let typed = text.chars().filter(|c| !c.is_control()).take(LONGEST_LINE);
        typed.flat_map(|c| self.update(Message::Type(c), session)).collect()
    }
}

/// Longest typed line, in characters.
pub(super) const LONGEST_LINE: usize = 400;

/// A screen.
pub(super) enum Screen {
    Start(Start),
    Step(StepScreen),
    Gate(GateScreen),
    List(List),
    Form(Form),
    Note(Box<Note>),
    Repair(Box<Repair>),
    Leaf(Leaf),
    Archive(ArchiveScreen),
    Sums(Sums),
    Circuit(Circuit),
    Review(ReviewScreen),
    Practice(Box<PracticeScreen>),
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

    /// What it can do.
    pub(super) fn shown(&self) -> &dyn Shown {
        match self {
            Self::Start(screen) => screen,
            Self::Step(screen) => screen,
            Self::Gate(screen) => screen,
            Self::List(screen) => screen,
            Self::Form(screen) => screen,
            Self::Note(screen) => screen.as_ref(),
            Self::Repair(screen) => screen.as_ref(),
            Self::Leaf(screen) => screen,
            Self::Archive(screen) => screen,
            Self::Sums(screen) => screen,
            Self::Circuit(screen) => screen,
            Self::Review(screen) => screen,
            Self::Practice(screen) => screen.as_ref(),
        }
    }

    /// What it can do to itself.
    pub(super) fn shown_mut(&mut self) -> &mut dyn Shown {
        match self {
            Self::Start(screen) => screen,
            Self::Step(screen) => screen,
            Self::Gate(screen) => screen,
            Self::List(screen) => screen,
            Self::Form(screen) => screen,
            Self::Note(screen) => screen.as_mut(),
            Self::Repair(screen) => screen.as_mut(),
            Self::Leaf(screen) => screen,
            Self::Archive(screen) => screen,
            Self::Sums(screen) => screen,
            Self::Circuit(screen) => screen,
            Self::Review(screen) => screen,
            Self::Practice(screen) => screen.as_mut(),
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
