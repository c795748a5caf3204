//! The text as it is written: the text-area widget's model, with a place to look at it from.

use crossterm::event::KeyEvent;
use tui_textarea::{CursorMove, TextArea};

/// Spaces of one indent: as the format's own files have them.
const INDENT: &str = "  ";

/// After a jump out of the window, or to its last lines, so many lines stand above the cursor; and so many count as last.
const ABOVE: usize = 2;
const BELOW: usize = 4;

/// The text and where the window on it stands.
pub(super) struct Written {
    area: TextArea<'static>,
    /// It ends with a line break.
    ends: bool,
    pub(super) top: usize,
    pub(super) left: usize,
    /// The window stays where it was put until the cursor moves.
    is_put: bool,
    /// The cursor jumped: what follows the line is to be seen as well.
    is_jumped: bool,
}

fn lines_of(text: &str) -> Vec<String> {
    text.strip_suffix('\n').unwrap_or(text).split('\n').map(str::to_owned).collect()
}

impl Written {
    pub(super) fn new(text: &str) -> Self {
        let mut area = TextArea::new(lines_of(text));
        area.set_max_histories(10_000);
        Self {
            area,
            ends: text.is_empty() || text.ends_with('\n'),
            top: 0,
            left: 0,
            is_put: false,
            is_jumped: false,
        }
    }

    /// The whole text.
    pub(super) fn whole(&self) -> String {
        let mut text = self.area.lines().join("\n");
        if self.ends && !text.is_empty() {
            text.push('\n');
        }
        text
    }

    pub(super) fn is_other_than(&self, text: &str) -> bool {
        self.whole() != text
    }

    pub(super) fn lines(&self) -> &[String] {
        self.area.lines()
    }

    /// Line and column of the cursor, from 0.
    pub(super) fn cursor(&self) -> (usize, usize) {
        let cursor = self.area.cursor();
        (cursor.0, cursor.1)
    }

    /// Takes a key; true if the text changed.
    pub(super) fn input(&mut self, key: &KeyEvent) -> bool {
        use crossterm::event::{KeyCode, KeyModifiers};
        self.is_put = false;
        let ctrl = key.modifiers.intersects(KeyModifiers::CONTROL | KeyModifiers::ALT);
        let moved = match key.code {
            KeyCode::Up => CursorMove::Up,
            KeyCode::Down => CursorMove::Down,
            KeyCode::Left if ctrl => CursorMove::WordBack,
            KeyCode::Right if ctrl => CursorMove::WordForward,
            KeyCode::Left => CursorMove::Back,
            KeyCode::Right => CursorMove::Forward,
            KeyCode::Home if ctrl => CursorMove::Top,
            KeyCode::End if ctrl => CursorMove::Bottom,
            KeyCode::Home => CursorMove::Head,
            KeyCode::End => CursorMove::End,
            KeyCode::PageUp => return self.by_lines(-12),
            KeyCode::PageDown => return self.by_lines(12),
            KeyCode::Enter => {
                self.new_line();
                return true;
            }
            // Where the backspace key sends Ctrl-H, and a line break Ctrl-J.
            KeyCode::Char('h') if ctrl => return self.area.delete_char(),
            KeyCode::Char('j') if ctrl => {
                self.new_line();
                return true;
            }
            KeyCode::Char(_) if ctrl => return false,
            _ => return self.area.input_without_shortcuts(*key),
        };
        self.area.move_cursor(moved);
        false
    }

    /// A new line that begins under the one before; one deeper after a key that opens a map.
    fn new_line(&mut self) {
        let (line, column) = self.cursor();
        let before: String = self.lines().get(line).map_or("", String::as_str).chars().take(column).collect();
        let blank: String = before.chars().take_while(|c| *c == ' ').collect();
        let deeper = if before.trim_end().ends_with(':') && !before.trim_start().starts_with('#') {
            INDENT
        } else {
            ""
        };
        self.area.insert_newline();
        self.area.insert_str(format!("{blank}{deeper}"));
    }

    fn by_lines(&mut self, by: isize) -> bool {
        let (line, column) = self.cursor();
        self.go_to((line.saturating_add_signed(by).min(self.lines().len().saturating_sub(1)), column));
        false
    }

    pub(super) fn insert(&mut self, text: &str) -> bool {
        self.is_put = false;
        self.area.insert_str(text.replace("\r\n", "\n").replace('\r', "\n"))
    }

    pub(super) fn indent(&mut self) {
        self.is_put = false;
        self.area.insert_str(INDENT);
    }

    pub(super) fn undo(&mut self) -> bool {
        self.is_put = false;
        self.area.undo()
    }

    pub(super) fn redo(&mut self) -> bool {
        self.is_put = false;
        self.area.redo()
    }

    /// Another text in its place; undo brings this one back.
    pub(super) fn replace(&mut self, text: &str) {
        self.area.select_all();
        self.area.cut();
        self.area.insert_str(lines_of(text).join("\n"));
        self.ends = text.is_empty() || text.ends_with('\n');
        self.go_to((0, 0));
    }

    pub(super) fn go_to(&mut self, (line, column): (usize, usize)) {
        self.is_put = false;
        self.is_jumped = true;
        let small = |n: usize| u16::try_from(n).unwrap_or(u16::MAX);
        self.area.move_cursor(CursorMove::Jump(small(line), small(column)));
        // The widget counts lines in 16 bits; the rest of the way is walked.
        while self.cursor().0 < line && self.cursor().0 + 1 < self.lines().len() {
            self.area.move_cursor(CursorMove::Down);
        }
    }

    /// Moves the window, not the cursor.
    pub(super) fn scroll(&mut self, by: isize) {
        self.top = self.top.saturating_add_signed(by).min(self.lines().len().saturating_sub(1));
        self.is_put = true;
    }

    /// The word under the cursor, as names of steps are written.
    pub(super) fn word_here(&self) -> String {
        let (line, column) = self.cursor();
        let chars: Vec<char> = self.lines().get(line).map_or("", String::as_str).chars().collect();
        let is_part = |c: char| c.is_alphanumeric() || "-_/@".contains(c);
        let mut from = column.min(chars.len());
        while from > 0 && is_part(chars[from - 1]) {
            from -= 1;
        }
        let word: String = chars[from..].iter().copied().take_while(|c| is_part(*c)).collect();
        // At `go:` itself, the step that it leads to.
        match (word.as_str(), chars.get(from + word.chars().count())) {
            ("go" | "cannot", Some(':')) => {
                let rest: String = chars[from + word.chars().count() + 1..].iter().collect();
                rest.trim_start().chars().take_while(|c| is_part(*c)).collect()
            }
            _ => word,
        }
    }

    /// Moves the window so that the cursor is in it.
    pub(super) fn show_cursor(&mut self, rows: usize, columns: usize) {
        let (line, column) = self.cursor();
        let is_low = line < self.top || line + BELOW >= self.top + rows;
        if std::mem::take(&mut self.is_jumped) && is_low && rows > BELOW {
            self.top = line.saturating_sub(ABOVE);
        }
        if !self.is_put {
            self.top = self.top.clamp((line + 1).saturating_sub(rows.max(1)), line);
        }
        self.left = self.left.clamp((column + 1).saturating_sub(columns.max(1)), column);
    }
}
