//! The screens: without a terminal as text and style, and through a pseudo-terminal as a person sees them.

mod author;
mod gates;
mod keys;
mod mended;
#[cfg(unix)]
mod rough;
#[cfg(unix)]
mod newcomer;
#[cfg(unix)]
mod seat;
mod practice;
mod resumed;
pub(crate) mod seen;
#[cfg(unix)]
mod suggested;
#[cfg(unix)]
mod terminal;

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use loomwalk::diag::{Source, SourceError, Sources};
use loomwalk::job::{JobName, JobPlace};
use loomwalk::tree::{Shipped, Walkable, examine};
use loomwalk::tui::{App, Surroundings};
use loomwalk::walk::Moment;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

pub(crate) fn small_tree() -> PathBuf {
    trees().join("small.yaml")
}

/// Files beside the trees of these tests.
struct Beside;

impl Sources for Beside {
    fn fetch(&self, _: &str, wanted: &str) -> Result<Source, SourceError> {
        let missing = |_| SourceError::Missing { name: wanted.to_owned() };
        Ok(Source::new(wanted, std::fs::read_to_string(trees().join(wanted)).map_err(missing)?))
    }
}

fn trees() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/tui/trees")
}

fn course(file: &str) -> Walkable {
    let text = std::fs::read_to_string(trees().join(file)).expect("a tree");
    let examined = examine(&Source::new(file, text), &Beside);
    assert!(!examined.problems.refused(), "{:?}", examined.problems.list());
    examined.walkable().expect("the tree may be walked")
}

/// A person at the screen, with a watch of their own.
pub(crate) struct Person {
    pub(crate) app: App,
    pub(crate) at: Moment,
    size: Rect,
    jobs: tempfile::TempDir,
}

impl Person {
    pub(crate) fn at_small_tree(around: Surroundings, width: u16, height: u16) -> Self {
        Self::at_tree("small.yaml", around, (width, height))
    }

    /// At the tree on a machine: one lamp.
    pub(crate) fn at_lamp(around: Surroundings, width: u16, height: u16) -> Self {
        Self::at_tree("yard-lamp.yaml", around, (width, height))
    }

    /// At the tree whose end is a repair.
    pub(crate) fn at_wire(around: Surroundings, size: (u16, u16)) -> Self {
        Self::at_tree("yard-wire.yaml", around, size)
    }

    /// The program is left, and the job gone on with after an hour.
    pub(crate) fn comes_again(self, around: Surroundings) -> Self {
        let Self { app, at, size, jobs } = self;
        drop(app);
        let at = at.later(60 * 60_000);
        let name: JobName = "0318".parse().expect("a name");
        let place = JobPlace::named(jobs.path(), &name);
        let around = Surroundings { jobs: jobs.path().to_owned(), lang: "en".to_owned(), ..around };
        let app = App::gone_on(around, &place, at).expect("it goes on");
        let mut person = Self { app, at, size, jobs };
        person.look();
        person
    }

    /// Where the job of a tree in a file is asked about.
    pub(crate) fn asked_of(file: &str, around: Surroundings, size: (u16, u16)) -> Self {
        let course = course(file);
        Self::with(around, size, |around, at| App::asking(around, course, at))
    }

    /// At a tree in a file, by its path from the folder of these tests' trees.
    pub(crate) fn at_tree(file: &str, around: Surroundings, size: (u16, u16)) -> Self {
        let name: JobName = "0318".parse().expect("a name");
        Self::with(around, size, |around, at| {
            App::begun(around, &course(file), Some(&name), at).expect("the job begins")
        })
    }

    /// At a tree inside the program.
    pub(crate) fn at_shipped(tree: &str, around: Surroundings, size: (u16, u16)) -> Self {
        let source = Shipped::named(tree).expect("a shipped tree");
        let walkable = examine(&source, &Shipped).walkable().expect("it may be walked");
        let name: JobName = "0318".parse().expect("a name");
        Self::with(around, size, |around, at| {
            App::begun(around, &walkable, Some(&name), at).expect("the job begins")
        })
    }

    /// At the start screen.
    pub(crate) fn at_start(around: Surroundings, size: (u16, u16)) -> Self {
        Self::with(around, size, App::new)
    }

    pub(crate) fn with(
        around: Surroundings,
        (width, height): (u16, u16),
        app: impl FnOnce(Surroundings, Moment) -> App,
    ) -> Self {
        let jobs = tempfile::tempdir().expect("a folder");
        // 2026-03-02T07:40Z, by the calendar.
        let at = Moment { wall_ms: 1_772_437_200_000, offset_min: 0, mono_ms: 5_000 };
        let lang = if around.lang.is_empty() { "en".to_owned() } else { around.lang };
        let app = app(Surroundings { jobs: jobs.path().to_owned(), lang, ..around }, at);
        let mut person = Self { app, at, size: Rect::new(0, 0, width, height), jobs };
        person.look();
        person
    }

    /// The journals in the folder of the jobs.
    pub(crate) fn journals(&self) -> Vec<String> {
        let files =
            std::fs::read_dir(self.jobs.path()).expect("a folder").map(|file| file.expect("a file").path());
        files
            .filter(|file| file.extension().is_some_and(|end| end == "jsonl"))
            .map(|file| std::fs::read_to_string(file).expect("text"))
            .collect()
    }

    /// Looks at the screen, and a moment passes.
    pub(crate) fn look(&mut self) -> Buffer {
        self.app.think_through();
        let mut buffer = Buffer::empty(self.size);
        self.app.draw(self.size, &mut buffer);
        self.app.is_shown(self.at);
        self.at = self.at.later(1_500);
        buffer
    }

    /// What stands there before any worker is done.
    pub(crate) fn glimpse(&mut self) -> String {
        let mut buffer = Buffer::empty(self.size);
        self.app.draw(self.size, &mut buffer);
        text_of(&buffer)
    }

    pub(crate) fn text(&mut self) -> String {
        text_of(&self.look())
    }

    /// Presses a key without looking.
    pub(crate) fn press(&mut self, code: KeyCode) {
        self.app.key(&KeyEvent::new(code, KeyModifiers::NONE), self.at);
    }

    /// Answers the first question with this digit, gives initials, and confirms gate after gate.
    pub(crate) fn goes_through_gates(&mut self, answer: &str) {
        self.types(answer);
        self.enters("KM");
        self.confirms_all();
    }

    /// Confirms every item of the gates that come.
    pub(crate) fn confirms_all(&mut self) {
        for _ in 0..80 {
            if !self.confirms_one() {
                return;
            }
        }
    }

    /// Confirms the live item of a gate, if there is one.
    pub(crate) fn confirms_one(&mut self) -> bool {
        let text = self.text();
        let Some(live) = text.lines().find_map(|line| line.trim_start().strip_prefix("> ")) else {
            return false;
        };
        let digit = live.chars().next().expect("a live item");
        if text.contains("You read") {
            self.enters(if live.contains("going to work") { "0.0" } else { "12.6" });
        } else {
            self.types(&digit.to_string());
        }
        true
    }

    /// Presses each character, looking after each.
    pub(crate) fn types(&mut self, text: &str) {
        for c in text.chars() {
            self.press(KeyCode::Char(c));
            self.look();
        }
    }

    pub(crate) fn enters(&mut self, text: &str) {
        self.types(text);
        self.press(KeyCode::Enter);
        self.look();
    }

    pub(crate) fn resized(&mut self, width: u16, height: u16) {
        self.size = Rect::new(0, 0, width, height);
    }
}

pub(crate) fn text_of(buffer: &Buffer) -> String {
    let area = buffer.area;
    let rows = (0..area.height).map(|y| {
        let row: String = (0..area.width).map(|x| buffer[(x, y)].symbol()).collect();
        row.trim_end().to_owned()
    });
    rows.collect::<Vec<_>>().join("\n").trim_end().to_owned()
}

/// The text, then every run of cells that does not look like the screen's first plain cell.
pub(crate) fn text_and_style(buffer: &Buffer) -> String {
    let mut out = text_of(buffer);
    out.push_str("\n\nstyle\n");
    let area = buffer.area;
    let plain = buffer[(0, area.height - 1)].style();
    for y in 0..area.height {
        let mut x = 0;
        while x < area.width {
            let style = buffer[(x, y)].style();
            let from = x;
            while x < area.width && buffer[(x, y)].style() == style {
                x += 1;
            }
            if style != plain {
                let said = (style.fg, style.bg, style.add_modifier);
                writeln!(out, "{y:2}: {from}..{x} {said:?}").expect("a string takes it");
            }
        }
    }
    out
}
