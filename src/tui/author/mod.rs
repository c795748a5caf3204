//! The author screen: the file with its problems in place as it is typed, the steps around the cursor beside it.
//!
//! Two workers look beside the keys: one at what is wrong, one at every fault of the machine. A result that was
//! superseded while it was made is dropped, and no key waits for either.

mod file;
mod keys;
mod open;
mod page;
mod text;
mod view;
mod worker;

use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use crossterm::event::{KeyEvent, KeyEventKind, MouseEvent, MouseEventKind};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::terminal::OnTerminal;
use super::theme::{Letters, Palette};
use crate::author::{FaultsTold, Noticed, Overview, check_faults, overview};
use crate::diag::{Source, Sources};
use crate::tree::Course;
use crate::walk::Moment;
use file::{OnDisk, TreeFile};
use keys::message_of;
pub use keys::{AUTHOR_KEYS, AuthorKey, AuthorMessage, AuthorPlace, AuthorPress, author_keys_at};
use open::Open;
use text::Written;
use worker::Worker;

/// Files that a tree may name, looked at beside the screen.
pub type SharedSources = Arc<dyn Sources + Send + Sync>;

/// What the fault check has come to.
enum FaultsState {
    /// The file is no tree with a machine, or may not be walked.
    NotNow,
    /// It is being worked out.
    Working,
    /// The figures, in words.
    Told(String),
}

/// The author screen.
pub struct Author {
    file: TreeFile,
    text: Written,
    /// The text as it was read or saved last.
    saved: String,
    palette: Palette,
    letters: Letters,
    seen: Overview,
    faults_noticed: Vec<Noticed>,
    faults: FaultsState,
    checker: Worker<String, Overview>,
    faulter: Worker<Course, Option<FaultsTold>>,
    open: Open,
    /// Where jumps began.
    trail: Vec<(usize, usize)>,
    /// Said once, in the line under the problem.
    note: Option<String>,
    page_rows: usize,
    left: bool,
}

impl Author {
    /// Opens a file, or a name that is not taken yet.
    ///
    /// # Errors
    /// When the file cannot be read, or is not text.
    pub fn new(
        path: &Path,
        sources: SharedSources,
        (palette, letters): (Palette, Letters),
    ) -> std::io::Result<Self> {
        let (file, text) = TreeFile::open(path)?;
        let name = path.to_string_lossy().into_owned();
        let checker =
            Worker::new(move |text: String| overview(&Source::new(name.clone(), text), sources.as_ref()));
        let faulter = Worker::new(|course: Course| check_faults(&course));
        let note = file.is_new().then(|| format!("{} is new: it is written when you save", path.display()));
        let mut author = Self {
            file,
            text: Written::new(&text),
            saved: text,
            palette,
            letters,
            seen: Overview::default(),
            faults_noticed: Vec::new(),
            faults: FaultsState::NotNow,
            checker,
            faulter,
            open: Open::Nothing,
            trail: Vec::new(),
            note,
            page_rows: 10,
            left: false,
        };
        author.look_over();
        Ok(author)
    }

    /// True if something is written that the disk does not hold.
    #[must_use]
    pub fn is_unsaved(&self) -> bool {
        self.text.is_other_than(&self.saved)
    }

    /// True while the problems shown are those of an older text.
    #[must_use]
    pub fn is_looking(&self) -> bool {
        self.checker.is_busy()
    }

    /// True while the fault check is at work.
    #[must_use]
    pub fn is_checking_faults(&self) -> bool {
        self.faulter.is_busy()
    }

    /// What is wrong, the fault check's word included, in the order of places.
    fn problems(&self) -> Vec<&Noticed> {
        let mut all: Vec<&Noticed> = self.seen.noticed.iter().chain(&self.faults_noticed).collect();
        all.sort_by_key(|noticed| noticed.from);
        all
    }

    fn look_over(&mut self) {
        self.faulter.forget();
        self.faults = FaultsState::NotNow;
        self.faults_noticed.clear();
        self.checker.ask(self.text.whole());
    }

    fn place(&self) -> AuthorPlace {
        self.open.place()
    }

    fn press(&mut self, key: &KeyEvent) {
        let Some(message) = message_of(self.place(), key) else {
            if self.place() == AuthorPlace::Text && self.text.input(key) {
                self.look_over();
            }
            return;
        };
        self.note = None;
        self.hear(message);
    }

    fn hear(&mut self, message: AuthorMessage) {
        use AuthorMessage as Say;
        match message {
            Say::Save => self.save(),
            Say::Undo | Say::Redo => {
                let changed = if message == Say::Undo { self.text.undo() } else { self.text.redo() };
                if changed {
                    self.look_over();
                } else {
                    self.note = Some("Nothing more to take back or do again.".to_owned());
                }
            }
            Say::NextProblem => self.jump_to_problem(true),
            Say::ProblemBefore => self.jump_to_problem(false),
            Say::Problems => self.open = Open::problems(self),
            Say::Steps => self.open = Open::steps(self),
            Say::Follow => self.follow(),
            Say::Back => match self.trail.pop() {
                Some(at) => self.text.go_to(at),
                None => self.note = Some("No jump to come back from.".to_owned()),
            },
            Say::Numbers => self.open = Open::Numbers,
            Say::Help => self.open = Open::Help(0),
            Say::Leave => self.leave(),
            Say::Close => self.open = Open::Nothing,
            Say::Indent => {
                self.text.indent();
                self.look_over();
            }
            Say::Pick(c) => self.pick(c),
            Say::Up | Say::Down | Say::PageUp | Say::PageDown | Say::Enter | Say::Type(_) | Say::Erase => {
                if let Some(at) = self.open.hear(message, self.page_rows) {
                    self.jump(at);
                    self.open = Open::Nothing;
                }
            }
        }
    }

    fn pick(&mut self, c: char) {
        let row = AUTHOR_KEYS.iter().find(|row| row.number == Some(c));
        match std::mem::replace(&mut self.open, Open::Nothing) {
            Open::Numbers => match row {
                Some(row) => self.hear((row.message)(c)),
                None => self.open = Open::Numbers,
            },
            Open::Leaving => match c {
                '1' => {
                    self.save();
                    self.left = !self.is_unsaved();
                }
                '2' => self.left = true,
                '3' => {}
                _ => self.open = Open::Leaving,
            },
            Open::Elsewhere(is_gone) => self.settle(c, is_gone),
            other => self.open = other,
        }
    }

    /// The answer to a file that somebody else changed.
    fn settle(&mut self, c: char, is_gone: bool) {
        let done = match c {
            '1' => self
                .file
                .save_beside(&self.text.whole())
                .map(|path| format!("Yours is in {}; the file itself is as it was changed.", path.display())),
            '2' if is_gone => {
                let text = self.text.whole();
                self.file.take_from_disk().and_then(|_| self.file.save(&text)).map(|()| {
                    self.saved = text;
                    "Saved again.".to_owned()
                })
            }
            '2' => self.file.take_from_disk().map(|text| {
                self.text.replace(&text);
                self.saved = text;
                "Taken from the disk; undo brings yours back.".to_owned()
            }),
            '3' => Ok("Not saved: the file on the disk is another one.".to_owned()),
            _ => {
                self.open = Open::Elsewhere(is_gone);
                return;
            }
        };
        self.note = Some(done.unwrap_or_else(|why| format!("It could not be done: {why}")));
        self.look_over();
    }

    fn save(&mut self) {
        match self.file.on_disk() {
            OnDisk::AsKnown => {}
            OnDisk::Changed => return self.open = Open::Elsewhere(false),
            OnDisk::Gone => return self.open = Open::Elsewhere(true),
        }
        let text = self.text.whole();
        match self.file.save(&text) {
            Ok(()) => {
                self.saved = text;
                self.note = Some("Saved.".to_owned());
            }
            Err(why) => self.note = Some(format!("Not saved: {why}. The text is still here.")),
        }
    }

    fn leave(&mut self) {
        if self.is_unsaved() {
            self.open = Open::Leaving;
        } else {
            self.left = true;
        }
    }

    fn jump(&mut self, to: (usize, usize)) {
        self.trail.push(self.text.cursor());
        self.text.go_to(to);
    }

    fn jump_to_problem(&mut self, onward: bool) {
        let at = self.text.cursor();
        let places: Vec<(usize, usize)> = self.problems().iter().map(|noticed| noticed.from).collect();
        let next = if onward {
            places.iter().find(|place| **place > at).or(places.first())
        } else {
            places.iter().rev().find(|place| **place < at).or(places.last())
        };
        match next.copied() {
            Some(to) => self.jump(to),
            None if self.is_looking() => self.note = Some("The text is still being looked over.".to_owned()),
            None => self.note = Some("Nothing is wrong.".to_owned()),
        }
    }

    /// To the step that is named under the cursor.
    fn follow(&mut self) {
        let word = self.text.word_here();
        let steps = self.seen.steps.as_deref().unwrap_or_default();
        // `make-safe/park` is written out from the step `make-safe`.
        let named = word.split('/').next().unwrap_or_default();
        match steps.iter().find(|step| step.id == word || step.id == named) {
            Some(step) => self.jump((step.line, 2)),
            None => self.note = Some(format!("No step is called `{word}`.")),
        }
    }

    fn take_overview(&mut self, seen: Overview) {
        // While a line is half written the YAML may not be readable: the steps stay as they were.
        let (steps, start) = (self.seen.steps.take(), self.seen.start.take());
        self.seen = seen;
        if self.seen.steps.is_none() {
            (self.seen.steps, self.seen.start) = (steps, start);
        }
        if let Some(course) = self.seen.course.take() {
            self.faults = FaultsState::Working;
            self.faulter.ask(course);
        }
    }

    fn take_faults(&mut self, told: Option<FaultsTold>) {
        let Some(told) = told else { return self.faults = FaultsState::NotNow };
        self.faults = FaultsState::Told(view::figures(&told));
        self.faults_noticed = view::noticed_of(&told);
    }
}

impl OnTerminal for Author {
    fn draw(&mut self, area: Rect, buffer: &mut Buffer) {
        self.paint(area, buffer);
    }

    fn key(&mut self, key: &KeyEvent, _: Moment) {
        if key.kind != KeyEventKind::Release {
            self.press(key);
        }
    }

    fn mouse(&mut self, mouse: MouseEvent, _: Moment) {
        match mouse.kind {
            MouseEventKind::ScrollUp => self.text.scroll(-3),
            MouseEventKind::ScrollDown => self.text.scroll(3),
            _ => {}
        }
    }

    fn paste(&mut self, text: &str, _: Moment) {
        if self.place() == AuthorPlace::Text && self.text.insert(text) {
            self.look_over();
        }
    }

    fn tick(&mut self, _: Moment) -> bool {
        let mut changed = false;
        if let Some(seen) = self.checker.take() {
            self.take_overview(seen);
            changed = true;
        }
        if let Some(told) = self.faulter.take() {
            self.take_faults(told);
            changed = true;
        }
        if changed && let Some(open) = Open::seen_again(self) {
            self.open = open;
        }
        if self.file.may_have_changed() && self.file.on_disk() != OnDisk::AsKnown {
            self.note = Some("The file on the disk was changed by somebody else.".to_owned());
            changed = true;
        }
        changed
    }

    fn patience(&mut self) -> Duration {
        match (self.checker.is_busy(), self.faulter.is_busy()) {
            (true, _) => Duration::from_millis(5),
            (false, true) => Duration::from_millis(50),
            _ => Duration::from_secs(2),
        }
    }

    fn is_left(&self) -> bool {
        self.left
    }
}
