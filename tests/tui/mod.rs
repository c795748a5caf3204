//! The screens: without a terminal as text and style, and through a pseudo-terminal as a person sees them.

mod gates;
mod keys;
mod seen;
#[cfg(unix)]
mod terminal;

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use loomwalk::diag::Source;
use loomwalk::job::JobName;
use loomwalk::tree::{Walkable, examine};
use loomwalk::tui::{App, Surroundings};
use loomwalk::walk::Moment;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

pub(crate) fn small_tree() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/tui/trees/small.yaml")
}

fn course() -> Walkable {
    let text = std::fs::read_to_string(small_tree()).expect("the small tree");
    let examined = examine(&Source::new("small.yaml", text), &());
    assert!(!examined.problems.refused(), "{:?}", examined.problems.list());
    examined.walkable().expect("the small tree may be walked")
}

/// A person at the screen, with a watch of their own.
pub(crate) struct Person {
    pub(crate) app: App,
    pub(crate) at: Moment,
    size: Rect,
    _jobs: tempfile::TempDir,
}

impl Person {
    pub(crate) fn at_small_tree(around: Surroundings, width: u16, height: u16) -> Self {
        let jobs = tempfile::tempdir().expect("a folder");
        // 2026-03-02T07:40Z, by the calendar.
        let at = Moment { wall_ms: 1_772_437_200_000, offset_min: 0, mono_ms: 5_000 };
        let around = Surroundings { jobs: jobs.path().to_owned(), lang: "en".to_owned(), ..around };
        let name: JobName = "0318".parse().expect("a name");
        let app = App::begun(around, &course(), Some(&name), at).expect("the job begins");
        let mut person = Self { app, at, size: Rect::new(0, 0, width, height), _jobs: jobs };
        person.look();
        person
    }

    /// Looks at the screen, and a moment passes.
    pub(crate) fn look(&mut self) -> Buffer {
        let mut buffer = Buffer::empty(self.size);
        self.app.draw(self.size, &mut buffer);
        self.app.is_shown(self.at);
        self.at = self.at.later(1_500);
        buffer
    }

    pub(crate) fn text(&mut self) -> String {
        text_of(&self.look())
    }

    /// Presses a key without looking.
    pub(crate) fn press(&mut self, code: KeyCode) {
        self.app.key(&KeyEvent::new(code, KeyModifiers::NONE), self.at);
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
