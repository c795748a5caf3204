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
use super::screens::{Effect, Form, Help, List, Purpose, ReportScreen, Screen};
use super::session::{Session, Surroundings, shipped};
use super::settings;
use super::theme::{Palette, Role};
use crate::job::{JobName, JobPlace};
use crate::tree::Walkable;
use crate::walk::{Declined, Details, Event, Input, Lapse, Moment, Now};

/// Nobody sees an item and answers it faster than this, in milliseconds.
const SEEN_MS: u64 = 250;
/// The same key again within this time is its repeat, in milliseconds.
const REPEAT_MS: u64 = 1_000;
/// Fewest columns and lines.
const LEAST: (u16, u16) = (40, 10);

/// The program behind the screen.
#[derive(Debug)]
pub struct App {
    session: Session,
    base: Screen,
    over: Vec<Screen>,
    drawn: Drawn,
    /// When what stands on the screen now was first drawn; nothing if it has not been.
    shown: Option<Moment>,
    last_key: Option<(KeyEvent, Moment)>,
    left: bool,
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
        let recorded = self.session.recorded.as_ref()?;
        (!matches!(recorded.walk().now(), Now::Ended(_))).then(|| recorded.place().name())
    }

    /// The minutes shown, so that the caller draws again when they change.
    #[must_use]
    pub fn minutes(&self) -> u64 {
        self.session.minutes()
    }

    /// Where keys go now.
    #[must_use]
    pub fn place(&self) -> Place {
        self.over.last().unwrap_or(&self.base).place(&self.session)
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
            self.session.said = Some("Too early, not taken: look first, then press the key.".to_owned());
            return;
        }
        self.hear(message, at);
    }

    /// At a gate, what was typed before the live item was shown does not count.
    fn is_early(&self, message: Message, at: Moment) -> bool {
        let says = matches!(message, Message::Pick(_) | Message::Type(_) | Message::Enter);
        let at_gate = self.over.is_empty() && matches!(self.base, Screen::Gate(_));
        says && at_gate && self.shown.is_none_or(|shown| at.since(shown) < SEEN_MS)
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
        if matches!(self.place(), Place::Form | Place::Note) {
            for c in text.chars().filter(|c| !c.is_control()) {
                self.hear(Message::Type(c), at);
            }
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
            self.left = true;
            return;
        }
        if self.lapsed(at) {
            return;
        }
        self.session.said = None;
        let screen = self.over.last_mut().unwrap_or(&mut self.base);
        *screen.scroll() = self.drawn.scroll;
        for effect in screen.update(message, &self.session) {
            self.take(effect, at);
        }
    }

    /// True if conditions lapsed or it has just been asked whether they hold; the key that showed it is dropped.
    fn lapsed(&mut self, at: Moment) -> bool {
        let due = self.session.recorded.as_ref().and_then(|r| r.walk().due(at));
        match due {
            None => false,
            Some(Lapse::Idle) if matches!(self.over.last(), Some(Screen::List(list)) if list.asks()) => false,
            Some(Lapse::Idle) => {
                self.open(Screen::List(List::still_so()));
                true
            }
            Some(cause) => {
                self.lapse(cause, at);
                true
            }
        }
    }

    fn lapse(&mut self, cause: Lapse, at: Moment) {
        let Some(recorded) = self.session.recorded.as_mut() else { return };
        let done = recorded.record(&Event::Lapsed { cause }, at);
        self.refresh();
        self.session.said = Some(match done {
            Ok(()) => {
                "What was in force is not taken for granted any more; the gates are asked again.".to_owned()
            }
            Err(fault) => format!("Not recorded: {fault}."),
        });
    }

    fn open(&mut self, screen: Screen) {
        self.drawn.scroll = 0;
        self.over.push(screen);
    }

    /// The base screen anew; nothing of it has been shown yet.
    fn refresh(&mut self) {
        self.over.clear();
        self.base = Screen::of(&self.session);
        self.drawn = Drawn::default();
        self.shown = None;
    }

    fn take(&mut self, effect: Effect, at: Moment) {
        match effect {
            Effect::Say(input) => self.say(input, at),
            Effect::Close => {
                self.over.pop();
                self.shown = None;
            }
            Effect::More => {
                let list = List::more(&self.session);
                self.open(Screen::List(list));
            }
            Effect::Fill(purpose) => self.open(Screen::Form(Form::new(purpose))),
            Effect::WriteNote => self.open(Screen::Note(Box::default())),
            Effect::ShowHelp => {
                let of = self.base.place(&self.session);
                self.open(Screen::Help(Help::new(of)));
            }
            Effect::ShowReport => match ReportScreen::of(&self.session) {
                Ok(report) => self.open(Screen::Report(report)),
                Err(why) => self.session.said = Some(why),
            },
            Effect::GoOn(name) => {
                let place =
                    name.parse().map(|name: JobName| JobPlace::named(&self.session.around.jobs, &name));
                let done = match place {
                    Ok(place) => self.session.go_on(&place),
                    Err(error) => Err(error.to_string()),
                };
                self.opened(done);
            }
            Effect::Choose(tree) => self.open(Screen::Form(Form::new(Purpose::Job(tree)))),
            Effect::Begin(tree, details) => {
                let done = shipped(&tree).and_then(|course| self.session.begin(&course, None, *details));
                self.opened(done);
            }
            Effect::Initials(by) => {
                self.session.initials = (!by.is_empty()).then_some(by);
                self.refresh();
            }
            Effect::Tell(said) => self.session.said = Some(said),
            Effect::Lapse => self.lapse(Lapse::Idle, at),
            Effect::Turn => self.turn(),
            Effect::ToStart => {
                self.session.recorded = None;
                self.session.look_around();
                self.refresh();
            }
            Effect::Leave => self.left = true,
        }
    }

    fn opened(&mut self, done: Result<(), String>) {
        self.refresh();
        self.session.said = done.err();
    }

    fn turn(&mut self) {
        let around = &mut self.session.around;
        around.palette = match around.palette {
            Palette::Dark => Palette::Light,
            Palette::Light => Palette::Dark,
            Palette::None => Palette::None,
        };
        if let Some(file) = &around.settings
            && let Err(error) = settings::keep(file, around.palette)
        {
            self.session.said = Some(format!("Not kept for next time: {error}"));
        }
    }

    fn say(&mut self, input: Input, at: Moment) {
        let typed = match &input {
            Input::Reading(typed) => Some(typed.clone()),
            _ => None,
        };
        let is_reading = matches!(input, Input::Reading(_) | Input::Decide { .. });
        let is_kept = matches!(input, Input::Note(_) | Input::Own(_));
        let is_still_so = matches!(input, Input::StillSo);
        let Some(recorded) = self.session.recorded.as_mut() else { return };
        match recorded.say(input, at) {
            Ok(Ok(())) if is_still_so => {}
            Ok(Ok(())) if is_kept => self.session.said = Some("Recorded.".to_owned()),
            Ok(Ok(())) => {
                self.refresh();
                self.session.said = if is_reading { self.session.band_told() } else { None };
            }
            Ok(Err(declined @ Declined::TooClose(_))) => {
                let list = List::too_close(&self.session, &typed.unwrap_or_default(), &declined);
                self.open(Screen::List(list));
            }
            Ok(Err(Declined::Lapsed(_))) => {
                self.refresh();
                self.session.said = Some("The gates are asked again.".to_owned());
            }
            Ok(Err(declined)) => self.session.said = Some(format!("Not taken: {declined}.")),
            Err(fault) => self.session.said = Some(format!("Not recorded: {fault}.")),
        }
    }

    /// Draws what is to be seen.
    pub fn draw(&mut self, area: Rect, buffer: &mut Buffer) {
        let palette = self.session.around.palette;
        self.fits = area.width >= LEAST.0 && area.height >= LEAST.1;
        if !self.fits {
            buffer.set_style(area, palette.style(Role::Plain));
            let said = ["Too small.", "40 columns and", "10 lines are", "needed.", "Nothing is lost."];
            for (line, y) in said.iter().zip(area.top()..area.bottom()) {
                buffer.set_stringn(area.x, y, line, usize::from(area.width), palette.style(Role::Strong));
            }
            self.drawn.clicks.clear();
            return;
        }
        let framed = self.over.last().unwrap_or(&self.base).view(&self.session, area.width);
        self.drawn = framed.draw(area, buffer, palette);
    }

    /// What was drawn stands on the screen since this moment.
    pub fn is_shown(&mut self, at: Moment) {
        if self.fits && self.over.is_empty() && self.shown.is_none() {
            self.shown = Some(at);
        }
    }
}
