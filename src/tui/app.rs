//! The screens on top of one another, the session under them, and what their effects do.
//!
//! No clock, no terminal: keys and moments come in, cells go out. At a gate a key counts only if it was pressed after the
//! live item had been shown, and the same key again within a second is the keyboard repeating itself.

use crossterm::event::{KeyEvent, KeyEventKind, MouseButton, MouseEvent, MouseEventKind};
use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::frame::Drawn;
use super::keys::{Place, message_of};
use super::message::Message;
use super::screens::{Asks, Chosen, Form, List, PracticeScreen, Purpose, ReviewScreen, Screen};
use super::session::{Session, Surroundings};
use super::theme::Role;
use super::words::{TOO_EARLY, TOO_SMALL};
use crate::job::{JobName, JobPlace, Names, Review, Shelf};
use crate::practice::Sitting;
use crate::tree::Walkable;
use crate::walk::{Details, Lapse, Moment, Now};

/// Nobody sees an item and answers it faster than this, in milliseconds.
const SEEN_MS: u64 = 250;
/// The same key again within this time is its repeat, in milliseconds.
const REPEAT_MS: u64 = 1_000;
/// Fewest columns and lines.
const LEAST: (u16, u16) = (40, 10);

/// The program behind the screen.
pub struct App {
    pub(super) session: Session,
    base: Screen,
    pub(super) over: Vec<Screen>,
    drawn: Drawn,
    /// When what stands on the screen now was first drawn; nothing if it has not been.
    pub(super) shown: Option<Moment>,
    last_key: Option<(KeyEvent, Moment)>,
    pub(super) left: bool,
    fits: bool,
}

impl App {
    /// At the start screen.
    #[must_use]
    pub fn new(around: Surroundings, at: Moment) -> Self {
        let mut session = Session::new(around, at);
        session.look_around();
        Self::over(session)
    }

    /// At the first step of a new job.
    ///
    /// # Errors
    /// In one line, when the job cannot be begun.
    pub fn begun(
        around: Surroundings,
        course: &Walkable,
        name: Option<&JobName>,
        at: Moment,
    ) -> Result<Self, String> {
        let mut session = Session::new(around, at);
        session.begin(course, name, Details::default())?;
        Ok(Self::over(session))
    }

    /// Asking for what is known of a new job of this tree.
    #[must_use]
    pub fn asking(around: Surroundings, course: Walkable, at: Moment) -> Self {
        let mut session = Session::new(around, at);
        session.look_around();
        session.given = Some(course);
        let mut app = Self::over(session);
        app.open(Screen::Form(Form::new(Purpose::Job(Chosen::Given))));
        app
    }

    /// At the machine in the yard.
    #[must_use]
    pub fn practising(around: Surroundings, sitting: Sitting, shelf: Shelf, at: Moment) -> Self {
        let mut session = Session::new(around, at);
        session.look_around();
        let mut app = Self::over(session);
        app.open(Screen::Practice(Box::new(PracticeScreen::new(sitting, shelf))));
        app
    }

    /// Looking at reviewed jobs, each with its name.
    #[must_use]
    pub fn reviewing(around: Surroundings, jobs: Vec<(String, Review)>, names: Names, at: Moment) -> Self {
        let mut session = Session::new(around, at);
        session.look_around();
        let mut app = Self::over(session);
        app.open(Screen::Review(ReviewScreen::new(jobs, names)));
        app
    }

    /// Where a job was left.
    ///
    /// # Errors
    /// In one line, when the job cannot be gone on with.
    pub fn gone_on(around: Surroundings, place: &JobPlace, at: Moment) -> Result<Self, String> {
        let mut session = Session::new(around, at);
        session.go_on(place)?;
        Ok(Self::over(session))
    }

    fn over(session: Session) -> Self {
        let base = Screen::of(&session);
        let (over, drawn) = (Vec::new(), Drawn::default());
        Self { session, base, over, drawn, shown: None, last_key: None, left: false, fits: true }
    }

    /// Whether it is to be left.
    #[must_use]
    pub const fn is_left(&self) -> bool {
        self.left
    }

    /// The name of the job under way, if it is not over.
    #[must_use]
    pub fn open_job(&self) -> Option<String> {
        let job = self.session.job()?;
        (!matches!(job.walk().now(), Now::Ended(_))).then(|| job.place().name())
    }

    /// Whether a worker is still at suspects that are wanted, looks for open jobs, or reads for the screen on top.
    #[must_use]
    pub fn thinks(&mut self) -> bool {
        self.session.suspects().waits() || self.session.jobs.looks() || self.top().shown().thinks()
    }

    /// Takes in what the workers have found; true if that changes the screen.
    pub fn hear_thoughts(&mut self) -> bool {
        let screen = self.over.last_mut().unwrap_or(&mut self.base).shown_mut();
        screen.hear_thoughts() | self.session.suspects().hear() | self.session.jobs.hear()
    }

    /// Waits for what the workers find.
    pub fn think_through(&mut self) {
        self.session.think();
        self.session.suspects().settle();
        self.session.jobs.settle();
        self.over.last_mut().unwrap_or(&mut self.base).shown_mut().think_through();
    }

    /// The minutes shown, so that the caller draws again when they change.
    #[must_use]
    pub fn minutes(&self) -> u64 {
        self.session.minutes()
    }

    /// Where keys go now.
    #[must_use]
    pub fn place(&self) -> Place {
        self.top().shown().place(&self.session)
    }

    /// Takes a key.
    pub fn key(&mut self, key: &KeyEvent, at: Moment) {
        if key.kind == KeyEventKind::Release {
            return;
        }
        let before = self.last_key.replace((*key, at));
        let place = self.place();
        let Some(message) = message_of(place, key) else { return };
        if !self.fits && message != Message::Leave {
            return;
        }
        let held = before.is_some_and(|(last, when)| last.code == key.code && at.since(when) < REPEAT_MS);
        let counts = matches!(message, Message::Pick(_)) && matches!(place, Place::Gate | Place::Act);
        if counts && held || self.is_early(message, at) {
            self.session.said = Some(self.session.word(TOO_EARLY).to_owned());
            return;
        }
        self.hear(message, at);
    }

    /// At a gate, and where a reading is asked about, what was typed before it was shown does not count.
    fn is_early(&self, message: Message, at: Moment) -> bool {
        let says = matches!(message, Message::Pick(_) | Message::Type(_) | Message::Enter);
        let asks = match self.top() {
            Screen::Gate(_) => true,
            Screen::List(list) => list.asks() != Asks::Nothing,
            _ => false,
        };
        says && asks && self.shown.is_none_or(|shown| at.since(shown) < SEEN_MS)
    }

    /// Takes a click or the wheel.
    pub fn mouse(&mut self, mouse: MouseEvent, at: Moment) {
        let message = match mouse.kind {
            MouseEventKind::ScrollUp => Some(Message::Up),
            MouseEventKind::ScrollDown => Some(Message::Down),
            MouseEventKind::Down(MouseButton::Left) => {
                let here = Position::new(mouse.column, mouse.row);
                self.drawn.clicks.iter().find(|(area, _)| area.contains(here)).map(|(_, m)| *m)
            }
            _ => None,
        };
        match message {
            Some(message) if self.fits && !self.is_early(message, at) => self.hear(message, at),
            _ => {}
        }
    }

    /// Takes a pasted text, in fields only.
    pub fn paste(&mut self, text: &str, at: Moment) {
        if !self.fits || !matches!(self.place(), Place::Form | Place::Note) {
            return;
        }
        self.session.at = at;
        if self.lapsed(at) {
            return;
        }
        let screen = self.over.last_mut().unwrap_or(&mut self.base);
        for effect in screen.shown_mut().paste(text, &self.session) {
            self.take(effect);
        }
    }

    /// Time has passed: after half an hour, or a sleep, what was in force is asked about; true if so.
    pub fn tick(&mut self, at: Moment) -> bool {
        self.session.at = at;
        self.lapsed(at)
    }

    fn hear(&mut self, message: Message, at: Moment) {
        self.session.at = at;
        if message == Message::Leave {
            // What a screen still has to keep is kept.
            for screen in &mut self.over {
                screen.shown_mut().hear_thoughts();
            }
            self.left = true;
            return;
        }
        if self.lapsed(at) {
            return;
        }
        self.session.said = None;
        let screen = self.over.last_mut().unwrap_or(&mut self.base).shown_mut();
        *screen.scroll() = self.drawn.scroll;
        for effect in screen.update(message, &self.session) {
            self.take(effect);
        }
    }

    /// True if conditions lapsed or it has just been asked whether they hold; the key that showed it is dropped.
    fn lapsed(&mut self, at: Moment) -> bool {
        let due = self.session.walk().and_then(|walk| walk.due(at));
        match due {
            None => false,
            Some(Lapse::Idle) if matches!(self.over.last(), Some(Screen::List(list)) if list.asks() == Asks::StillSo) => {
                false
            }
            Some(Lapse::Idle) => {
                self.open(Screen::List(List::still_so(&self.session)));
                true
            }
            Some(cause) => {
                self.lapse(cause);
                true
            }
        }
    }

    pub(super) fn open(&mut self, screen: Screen) {
        self.drawn.scroll = 0;
        self.shown = None;
        self.over.push(screen);
    }

    /// The base screen anew; nothing of it has been shown yet.
    pub(super) fn refresh(&mut self) {
        self.over.clear();
        self.base = Screen::of(&self.session);
        self.drawn = Drawn::default();
        self.shown = None;
    }

    /// What is on top.
    fn top(&self) -> &Screen {
        self.over.last().unwrap_or(&self.base)
    }

    /// Where keys go on the screen under all others.
    pub(super) fn base_place(&self) -> Place {
        self.base.shown().place(&self.session)
    }

    /// Draws what is to be seen.
    pub fn draw(&mut self, area: Rect, buffer: &mut Buffer) {
        let palette = self.session.around.palette;
        self.fits = area.width >= LEAST.0 && area.height >= LEAST.1;
        if !self.fits {
            buffer.set_style(area, palette.style(Role::Plain));
            for (words, y) in TOO_SMALL.iter().zip(area.top()..area.bottom()) {
                let line = self.session.word(*words);
                buffer.set_stringn(area.x, y, line, usize::from(area.width), palette.style(Role::Strong));
            }
            self.drawn.clicks.clear();
            return;
        }
        let framed = self.top().shown().view(&self.session, area.width);
        self.drawn = framed.draw(area, buffer, palette);
    }

    /// What was drawn stands on the screen since this moment. Only now is it thought about: the screen comes first.
    pub fn is_shown(&mut self, at: Moment) {
        self.session.think();
        if self.fits && self.shown.is_none() {
            self.shown = Some(at);
        }
    }
}
