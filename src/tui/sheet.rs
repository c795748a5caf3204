//! Rows of styled text, wrapped to a width: what every screen is made of.
//!
//! Widths are those of the terminal's cells (Unicode Standard Annex 11, by `unicode-width`); a word that is longer than
//! the line is broken. Nothing that could drive the terminal gets through.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use super::message::Message;
use super::theme::{Letters, Palette, Role};
use crate::diag::visible;

/// One row: pieces of text, and what a click on it says.
#[derive(Debug, Clone, Default)]
pub(super) struct Row {
    pieces: Vec<(Role, String)>,
    click: Option<Message>,
}

/// Rows to a width.
#[derive(Debug, Clone)]
pub(super) struct Sheet {
    width: usize,
    /// Columns that stay free at the right of a text.
    margin: usize,
    letters: Letters,
    rows: Vec<Row>,
}

impl Sheet {
    pub(super) const fn new(width: u16, letters: Letters) -> Self {
        Self { width: width as usize, margin: 1, letters, rows: Vec::new() }
    }

    /// The same with texts that go up to the right edge.
    pub(super) fn edge_to_edge(self) -> Self {
        Self { margin: 0, ..self }
    }

    /// A sheet like this one, without its rows.
    pub(super) const fn emptied(&self) -> Self {
        Self { width: self.width, margin: self.margin, letters: self.letters, rows: Vec::new() }
    }

    /// Keeps at most so many rows.
    pub(super) fn cut(&mut self, rows: usize) {
        self.rows.truncate(rows);
    }

    pub(super) const fn len(&self) -> usize {
        self.rows.len()
    }

    pub(super) const fn width(&self) -> usize {
        self.width
    }

    pub(super) fn blank(&mut self) {
        self.rows.push(Row::default());
    }

    /// A paragraph, every row of it indented.
    pub(super) fn text(&mut self, role: Role, indent: usize, text: &str) {
        self.hanging((Role::Plain, ""), indent, (role, text));
    }

    /// A lead-in and a text that hangs beside it; `beside` is the column where the text begins.
    pub(super) fn hanging(&mut self, lead: (Role, &str), beside: usize, text: (Role, &str)) {
        let beside = beside.min(self.width / 2);
        let lead_text = clean(lead.1, self.letters);
        let mut first = vec![(lead.0, lead_text.clone())];
        let used = lead_text.width();
        if used > beside {
            self.rows.push(Row { pieces: first, click: None });
            first = vec![(Role::Plain, " ".repeat(beside))];
        } else {
            first.push((Role::Plain, " ".repeat(beside - used)));
        }
        let room = self.width.saturating_sub(beside + self.margin).max(1);
        for (nth, line) in wrap(&clean(text.1, self.letters), room).into_iter().enumerate() {
            let mut pieces = if nth == 0 { first.clone() } else { vec![(Role::Plain, " ".repeat(beside))] };
            pieces.push((text.0, line));
            self.rows.push(Row { pieces, click: None });
        }
    }

    /// A label and the line that is typed beside it; marked where it is being written.
    pub(super) fn line_to_fill(&mut self, (label, typed): (&str, &str), here: bool) {
        let (mark, role) = if here { (" > ", Role::Field) } else { ("   ", Role::Plain) };
        let shown = match (here, typed.is_empty()) {
            (true, _) => format!("{typed}_"),
            (false, true) => "..".to_owned(),
            (false, false) => typed.to_owned(),
        };
        self.hanging((Role::Strong, &format!("{mark}{label}")), 24, (role, &shown));
    }

    /// A text at the left and one at the right edge; on two rows if they do not fit on one.
    pub(super) fn both_ends(&mut self, left: (Role, &str), right: (Role, &str)) {
        let (l, r) = (clean(left.1, self.letters), clean(right.1, self.letters));
        let gap = self.width.saturating_sub(l.width() + r.width() + 2);
        if gap == 0 {
            self.text(left.0, 1, left.1);
            self.text(right.0, 1, right.1);
            return;
        }
        let pieces =
            vec![(Role::Plain, " ".to_owned()), (left.0, l), (Role::Plain, " ".repeat(gap)), (right.0, r)];
        self.rows.push(Row { pieces, click: None });
    }

    /// A row of pieces as they are; what does not fit is cut at the right.
    pub(super) fn pieces(&mut self, pieces: &[(Role, &str)]) {
        let pieces = pieces.iter().map(|(role, text)| (*role, clean(text, self.letters))).collect();
        self.rows.push(Row { pieces, click: None });
    }

    /// Makes the rows from this one on answer to a click.
    pub(super) fn click_from(&mut self, row: usize, message: Message) {
        for row in self.rows.iter_mut().skip(row) {
            row.click = Some(message);
        }
    }

    /// A hazard behind its signal word.
    pub(super) fn caution(&mut self, signal: &str, hazard: &str) {
        let beside = if self.width < 60 { signal.width() + 3 } else { 13 };
        self.hanging((Role::of_signal(signal), &format!(" {signal} ")), beside, (Role::Strong, hazard));
    }

    pub(super) fn rule(&mut self, said: &str) {
        let line = if self.letters == Letters::Ascii { "-" } else { "─" };
        let said = clean(said, self.letters);
        let rest = self.width.saturating_sub(said.width());
        self.rows.push(Row { pieces: vec![(Role::Rule, line.repeat(rest) + &said)], click: None });
    }

    pub(super) fn append(&mut self, other: Self) {
        self.rows.extend(other.rows);
    }

    /// Paints as many rows as fit from `skip` on; gives where a click says what.
    pub(super) fn paint(
        &self,
        (area, skip): (Rect, usize),
        buffer: &mut Buffer,
        palette: Palette,
    ) -> Vec<(Rect, Message)> {
        let mut clicks = Vec::new();
        for (row, y) in self.rows.iter().skip(skip).zip(area.top()..area.bottom()) {
            let mut x = area.left();
            for (role, text) in &row.pieces {
                let room = usize::from(area.right().saturating_sub(x));
                (x, _) = buffer.set_stringn(x, y, text, room, palette.style(*role));
            }
            if let Some(message) = row.click {
                clicks.push((Rect::new(area.x, y, area.width, 1), message));
            }
        }
        clicks
    }
}

/// The text as it may be shown.
fn clean(text: &str, letters: Letters) -> String {
    let shown = visible(text);
    if letters == Letters::All || shown.is_ascii() {
        return shown.into_owned();
    }
    shown.chars().fold(String::new(), |mut out, c| {
        match in_ascii(c) {
            Some(text) => out.push_str(text),
            None => out.push(if c.is_ascii() { c } else { '?' }),
        }
        out
    })
}

fn in_ascii(c: char) -> Option<&'static str> {
    Some(match c {
        '\u{3a9}' | '\u{2126}' => "ohm",
        '°' => "deg ",
        '²' => "2",
        '–' | '—' | '−' => "-",
        '“' | '”' => "\"",
        '‘' | '’' => "'",
        '…' => "...",
        '×' => "x",
        '±' => "+-",
        'á' | 'à' | 'â' | 'ä' => "a",
        'é' | 'è' | 'ê' => "e",
        'í' => "i",
        'ó' | 'ö' => "o",
        'ú' | 'ü' | '\u{b5}' | '\u{3bc}' => "u",
        'ñ' => "n",
        'Á' => "A",
        'É' => "E",
        'Í' => "I",
        'Ó' => "O",
        'Ú' => "U",
        'Ñ' => "N",
        '¿' | '¡' => "",
        _ => return None,
    })
}

/// A text cut or filled up with blanks to so many cells.
pub(super) fn fitted(text: &str, width: usize) -> String {
    let mut fitted = String::new();
    let mut used = 0;
    for c in text.chars() {
        let cells = c.width().unwrap_or(0);
        if used + cells > width {
            break;
        }
        used += cells;
        fitted.push(c);
    }
    fitted.push_str(&" ".repeat(width - used));
    fitted
}

/// Breaks a text into lines of at most so many cells, between words where that is possible.
pub(super) fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    for part in text.split('\n') {
        let mut line = String::new();
        for word in part.split(' ') {
            let gap = usize::from(!line.is_empty());
            if line.width() + gap + word.width() <= width {
                if gap == 1 {
                    line.push(' ');
                }
                line.push_str(word);
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            for c in word.chars() {
                if line.width() + c.width().unwrap_or(0) > width && !line.is_empty() {
                    lines.push(std::mem::take(&mut line));
                }
                line.push(c);
            }
        }
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    // Unicode Standard Annex 11: ideographs are two cells wide.
    #[test]
    fn wide_characters_and_long_words_wrap() {
        assert_eq!(wrap("油圧 ポンプ", 6), ["油圧", "ポンプ"]);
        assert_eq!(wrap("a abcdefgh b", 4), ["a", "abcd", "efgh", "b"]);
        assert_eq!(wrap("one\ntwo three", 9), ["one", "two three"]);
    }

    #[test]
    fn ascii_says_the_unit() {
        assert_eq!(clean("4.7 kΩ – señal", Letters::Ascii), "4.7 kohm - senal");
        assert_eq!(clean("\u{1b}[2J", Letters::All), "<1B>[2J");
    }
}
