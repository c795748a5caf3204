//! A glance over a YAML text before it is taken apart: whether it is over a limit, in a small part of the time that
//! taking it apart needs.
//!
//! Sound: a text that the parser takes is never called over a limit that it is within. What the glance is not sure of
//! (complex keys, directives, tabs before a key, a second document) ends it, and the parser counts for itself.
//! Nothing is judged here: a text that is no YAML at all may be glanced over as if it were.

mod count;
mod flow;
mod rows;
#[cfg(test)]
mod tests;
mod window;

use super::limits::{Limit, Limits};
use super::place::Position;
use rows::Tally;
pub use rows::{Named, Row, RowGroups, Rows};
pub use window::Blocks;
use window::{Ends, Name, Window, ends};

/// A limit that was passed, and where.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Over {
    /// Which one.
    pub limit: Limit,
    /// At which byte; of what is written out, where its map begins.
    pub at: usize,
    /// The same as line and column.
    pub position: Position,
}

/// What a text within its limits brings to the count of entries written out.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Glanced {
    /// Its keys and values.
    pub nodes: usize,
    /// Its own entries.
    pub own: Row,
    /// Where their map begins.
    pub begins: Option<(usize, Position)>,
    /// Its groups.
    pub groups: RowGroups,
    /// The files that it names.
    pub others: Vec<Named>,
}

/// Goes over a text for its limits. What it brings is as little as it may be: nothing, where the glance is not sure.
///
/// # Errors
/// Where the text passes a limit, if that can be seen without taking it apart.
pub fn glance(text: &mut Blocks<'_>, limits: &Limits) -> Result<Glanced, Over> {
    let tally = limits.rows.map(Tally::of);
    let heard = tally.as_ref().map_or(0, Tally::heard);
    let (text, levels) = (Window::on(text), Vec::new());
    let mut eye = Eye { text, limits, levels, nodes: 0, heard, listens: false, indented: None, tally };
    match eye.lines() {
        Err(Stop::Over(over)) => Err(*over),
        Err(Stop::Unsure) => Ok(Glanced::default()),
        Ok(()) if eye.text.is_cut() => Ok(Glanced::default()),
        Ok(()) => Ok(Glanced { nodes: eye.nodes, ..eye.tally.map(Tally::brought).unwrap_or_default() }),
    }
}

/// A text in memory as blocks.
pub fn blocks_of(text: &str) -> impl FnMut(&mut [u8]) -> usize + '_ {
    let mut rest = text.as_bytes();
    move |room| {
        let long = rest.len().min(room.len());
        let (block, behind) = rest.split_at(long);
        room[..long].copy_from_slice(block);
        rest = behind;
        long
    }
}

/// Why the glance ends before the text does; small, as each step of it may come back with one.
enum Stop {
    Over(Box<Over>),
    Unsure,
}

type Seen<T = ()> = Result<T, Stop>;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    List,
    Map,
    FlowList,
    FlowMap,
}

/// A list or map that is open here. Flow ones have no column of their own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Level {
    column: usize,
    kind: Kind,
}

struct Eye<'t> {
    text: Window<'t>,
    limits: &'t Limits,
    levels: Vec<Level>,
    nodes: usize,
    /// Keys that lie so deep matter to the tally, and whether the next value does.
    heard: usize,
    listens: bool,
    /// The blanks at the begin of the line, where they were gone through already.
    indented: Option<usize>,
    tally: Option<Tally>,
}

/// Where a text without quotes may end on its line.
static OF_PLAIN: Ends = ends(b":#\n");

/// Where a line is, or may be, something else than a text without quotes that begins there.
static MARKS: Ends = ends(b" \t\r\n#-.%?:&*!@`|>{[\"'");

#[inline]
fn begins_plain(first: u8) -> bool {
    !MARKS[usize::from(first)]
}

impl Eye<'_> {
    /// The blanks at the begin of a line; the line itself is then looked at.
    #[inline]
    fn indent(&mut self) -> usize {
        if let Some(known) = self.indented.take() {
            return known;
        }
        if self.text.peek(0) == Some(b' ') { self.text.skip_spaces() } else { 0 }
    }

    fn lines(&mut self) -> Seen {
        if [0, 1, 2].map(|ahead| self.text.peek(ahead)) == [Some(0xef), Some(0xbb), Some(0xbf)] {
            self.text.step(3);
        }
        loop {
            let column = self.indent();
            match self.text.peek(0) {
                None => return Ok(()),
                Some(first) if begins_plain(first) => self.plain_line(column)?,
                Some(b'-') if self.is_near_item() => {
                    self.opened(column, Kind::List)?;
                    self.text.step(2);
                    match self.text.next() {
                        Some([first]) if begins_plain(*first) => self.plain_line(column + 2)?,
                        _ => self.block(column + 2)?,
                    }
                }
                Some(b'\n' | b'#') => self.text.skip_line(),
                Some(b'\t' | b'\r') => {
                    self.text.skip_blanks();
                    self.line_ends()?;
                }
                Some(first @ (b'-' | b'.' | b'%')) if column == 0 && self.marks_document(first) => {
                    if self.nodes > 0 || first != b'-' {
                        return Err(Stop::Unsure);
                    }
                    self.text.step(3);
                    self.line_ends()?;
                }
                Some(_) => self.block(column)?,
            }
        }
    }

    fn marks_document(&mut self, first: u8) -> bool {
        first == b'%' || (self.text.peek(1) == Some(first) && self.text.peek(2) == Some(first))
    }

    /// Goes behind the blanks, and behind the line if only a comment is left on it; is it over?
    #[inline]
    fn line_is_over(&mut self) -> bool {
        self.text.skip_blanks();
        match self.text.peek(0) {
            None => {}
            Some(b'\n') => self.text.step(1),
            Some(b'#') if matches!(self.text.before(), Some(b' ' | b'\t' | b'\r')) => self.text.skip_line(),
            Some(_) => return false,
        }
        true
    }

    /// Only blanks or a comment are left on the line.
    fn line_ends(&mut self) -> Seen {
        if self.line_is_over() { Ok(()) } else { Err(Stop::Unsure) }
    }

    /// What stands at this column of a line, outside of brackets, to the end of the line or of the value.
    #[inline]
    fn block(&mut self, mut column: usize) -> Seen {
        loop {
            match self.text.peek(0) {
                Some(first) if begins_plain(first) => return self.plain_line(column),
                Some(b'-') if self.text.blank(1) => {
                    self.opened(column, Kind::List)?;
                    self.text.step(1);
                    column += 1;
                    match self.blanks_of_an_item()? {
                        Some(blanks) => column += blanks,
                        None => return Ok(()),
                    }
                }
                Some(b'?' | b':') if self.text.blank(1) => return Err(Stop::Unsure),
                Some(b'&' | b'*' | b'!' | b'@' | b'`' | b'%') => return Err(Stop::Unsure),
                Some(b'|' | b'>') => return self.block_text(),
                Some(b'{' | b'[') => {
                    self.flow()?;
                    return self.line_ends();
                }
                Some(b'"' | b'\'') => return self.quoted_line(column),
                _ => return self.plain_line(column),
            }
        }
    }

    /// Whether this is an item of a list that stands one blank behind its dash, as most do.
    #[inline]
    fn is_near_item(&self) -> bool {
        matches!(self.text.next(), Some([b'-', b' ', first]) if !matches!(first, b' ' | b'\t' | b'\r' | b'\n' | b'#'))
    }

    /// The blanks before what stands behind a dash; `None` if nothing does, and the line is over.
    fn blanks_of_an_item(&mut self) -> Seen<Option<usize>> {
        let mut blanks = 0;
        let mut is_tabbed = false;
        while let Some(byte @ (b' ' | b'\t' | b'\r')) = self.text.peek(0) {
            self.text.step(1);
            blanks += 1;
            is_tabbed |= byte == b'\t';
        }
        match self.text.peek(0) {
            None | Some(b'\n' | b'#') => {
                self.text.skip_line();
                Ok(None)
            }
            Some(_) if is_tabbed => Err(Stop::Unsure),
            Some(_) => Ok(Some(blanks)),
        }
    }

    fn quoted_line(&mut self, column: usize) -> Seen {
        let name = self.quoted()?;
        self.text.skip_blanks();
        if self.text.peek(0) == Some(b':') && self.text.blank(1) {
            self.text.step(1);
            self.key(column, name)?;
            return self.value();
        }
        self.scalar(name)?;
        self.line_ends()
    }

    /// A line that begins without quotes: a key and what follows, or a text to its end.
    #[inline]
    fn plain_line(&mut self, column: usize) -> Seen {
        self.text.begin_name();
        match self.plain_end() {
            Some(b':') => {
                let name = self.text.name(0, false);
                self.text.step(1);
                self.key(column, name)?;
                self.value()
            }
            ended => self.plain_goes_on(ended),
        }
    }

    /// Goes to where a text without quotes ends on its line: at a colon and a blank, a comment, or the line's end.
    #[inline]
    fn plain_end(&mut self) -> Option<u8> {
        loop {
            match self.text.skip_to(&OF_PLAIN)? {
                b':' if self.text.blank(1) => return Some(b':'),
                b'#' if matches!(self.text.before(), Some(b' ' | b'\t')) => return Some(b'#'),
                b'\n' => return Some(b'\n'),
                _ => self.text.step(1),
            }
        }
    }

    /// What comes after a key and its colon.
    #[inline]
    fn value(&mut self) -> Seen {
        match self.text.next() {
            Some([b' ', first]) if begins_plain(*first) => {
                self.text.step(1);
                self.plain_value()
            }
            _ => self.any_value(),
        }
    }

    fn any_value(&mut self) -> Seen {
        loop {
            if self.line_is_over() {
                return Ok(());
            }
            return match self.text.peek(0) {
                None => Ok(()),
                Some(b'&' | b'!') => {
                    self.word();
                    continue;
                }
                Some(b'*') => {
                    self.word();
                    self.line_ends()
                }
                Some(b'-' | b'?') if self.text.blank(1) => Err(Stop::Unsure),
                Some(b'@' | b'`' | b'%') => Err(Stop::Unsure),
                Some(b'|' | b'>') => self.block_text(),
                Some(b'{' | b'[') => {
                    self.flow()?;
                    self.line_ends()
                }
                Some(b'"' | b'\'') => {
                    let name = self.quoted()?;
                    self.scalar(name)?;
                    self.line_ends()
                }
                Some(_) => self.plain_value(),
            };
        }
    }

    #[inline]
    fn plain_value(&mut self) -> Seen {
        self.text.begin_name();
        match self.plain_end() {
            Some(b':') => Err(Stop::Unsure),
            ended => self.plain_goes_on(ended),
        }
    }

    fn word(&mut self) {
        while !self.text.blank(0) && !matches!(self.text.peek(0), Some(b',' | b'[' | b']' | b'{' | b'}')) {
            self.text.step(1);
        }
    }

    /// The further lines of a text without quotes: those that are indented deeper than what it stands in.
    #[inline]
    fn plain_goes_on(&mut self, ended: Option<u8>) -> Seen {
        self.counted()?;
        let name = self.text.name(0, false);
        if ended != Some(b'\n') {
            self.text.skip_line();
            self.says(name);
            return Ok(());
        }
        self.text.step(1);
        // Whatever it stands in, a line that begins without blanks stands no deeper.
        let may_go_on =
            self.levels.is_empty() || matches!(self.text.peek(0), Some(b' ' | b'\t' | b'\r' | b'\n'));
        let goes_on = may_go_on && self.deeper_lines(b'#')?;
        self.says(name.filter(|_| !goes_on));
        Ok(())
    }

    /// A text after `|` or `>`: its lines are indented deeper than what it stands in.
    fn block_text(&mut self) -> Seen {
        self.scalar(None)?;
        self.text.skip_line();
        self.deeper_lines(b'\n')?;
        Ok(())
    }

    /// Skips blank lines and lines indented deeper than the innermost list or map, up to one that begins with `end`.
    /// True if there were any.
    fn deeper_lines(&mut self, end: u8) -> Seen<bool> {
        let column = self.levels.last().ok_or(Stop::Unsure)?.column;
        let mut any = false;
        loop {
            let indent = self.indent();
            match self.text.peek(0) {
                None => return Ok(any),
                Some(b'\n') => self.text.step(1),
                Some(b'\r') => self.text.skip_line(),
                Some(first) if indent > column && first != end => self.text.skip_line(),
                Some(_) => {
                    self.indented = Some(indent);
                    return Ok(any);
                }
            }
            any = true;
        }
    }

    /// Goes behind a text in quotes.
    fn quoted(&mut self) -> Seen<Option<Name>> {
        let Some(quote) = self.text.peek(0) else { return Err(Stop::Unsure) };
        self.text.step(1);
        self.text.begin_name();
        let escape = if quote == b'"' { b'\\' } else { quote };
        loop {
            let found = self.text.skip_to_either(quote, escape).ok_or(Stop::Unsure)?;
            let escapes = found == escape && (quote == b'"' || self.text.peek(1) == Some(quote));
            if escapes && self.text.peek(1).is_none() {
                return Err(Stop::Unsure);
            }
            self.text.step(if escapes { 2 } else { 1 });
            if !escapes {
                return Ok(self.text.name(1, true));
            }
        }
    }
}
