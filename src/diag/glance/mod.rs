//! A glance over a YAML text before it is taken apart: whether it is over a limit, in a small part of the time that
//! taking it apart needs.
//!
//! Sound: a text that the parser takes is never called over a limit that it is within. What the glance is not sure of
//! (complex keys, directives, tabs before a key, a second document) ends it, and the parser counts for itself.
//! Nothing is judged here: a text that is no YAML at all may be glanced over as if it were.

use memchr::{memchr, memchr_iter, memchr2};

mod count;
mod flow;
mod rows;

use super::yaml::Limits;
use rows::Tally;
pub use rows::{Row, Rows};

/// Which limit was passed, and at which byte.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Over {
    /// Lists and maps in one another.
    Depth(usize),
    /// Keys and values.
    Nodes(usize),
    /// Entries as [`Limits::rows`] names them.
    Entries(usize),
    /// The same, once they are written out; the byte is that where their map begins.
    WrittenOut(usize),
}

/// Where a text passes a limit, if that can be seen without taking it apart.
pub(super) fn glance(text: &str, limits: &Limits) -> Option<Over> {
    let bytes = text.as_bytes();
    // A lone carriage return is a line's end too; nobody writes such files any more.
    if memchr_iter(b'\r', bytes).any(|at| bytes.get(at + 1) != Some(&b'\n')) {
        return None;
    }
    let at = if bytes.starts_with(b"\xef\xbb\xbf") { 3 } else { 0 };
    let tally = limits.rows.map(Tally::of);
    let mut eye = Eye { bytes, at, limits, levels: Vec::new(), nodes: 0, tally };
    match eye.lines() {
        Err(Stop::Over(over)) => Some(over),
        Err(Stop::Unsure) => None,
        Ok(()) => eye.tally.and_then(|mut tally| tally.too_many()).map(Over::WrittenOut),
    }
}

/// Why the glance ends before the text does.
enum Stop {
    Over(Over),
    Unsure,
}

type Glanced<T = ()> = Result<T, Stop>;

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
    bytes: &'t [u8],
    at: usize,
    limits: &'t Limits,
    levels: Vec<Level>,
    nodes: usize,
    tally: Option<Tally<'t>>,
}

/// Bytes that end something.
type Ends = [bool; 256];

const fn ends(bytes: &[u8]) -> Ends {
    let mut ends = [false; 256];
    let mut at = 0;
    while at < bytes.len() {
        ends[bytes[at] as usize] = true;
        at += 1;
    }
    ends
}

/// Where a text without quotes may end on its line.
static OF_PLAIN: Ends = ends(b":#\n");

impl Eye<'_> {
    #[inline]
    fn peek(&self, ahead: usize) -> Option<u8> {
        self.bytes.get(self.at + ahead).copied()
    }

    /// True at a blank, a line's end or the text's.
    fn blank(&self, ahead: usize) -> bool {
        matches!(self.peek(ahead), None | Some(b' ' | b'\n' | b'\t' | b'\r'))
    }

    fn skip_blanks(&mut self) {
        while matches!(self.peek(0), Some(b' ' | b'\t' | b'\r')) {
            self.at += 1;
        }
    }

    /// Goes to the next of these bytes, or to the end.
    #[inline]
    fn skip_to(&mut self, ends: &Ends) -> Option<u8> {
        let rest = &self.bytes[self.at..];
        let far = rest.iter().position(|byte| ends[usize::from(*byte)]);
        self.at += far.unwrap_or(rest.len());
        far.map(|far| rest[far])
    }

    fn skip_line(&mut self) {
        self.at = memchr(b'\n', &self.bytes[self.at..]).map_or(self.bytes.len(), |far| self.at + far + 1);
    }

    /// The blanks at the begin of a line; the line itself is then looked at.
    fn indent(&mut self) -> usize {
        let from = self.at;
        while self.peek(0) == Some(b' ') {
            self.at += 1;
        }
        self.at - from
    }

    fn lines(&mut self) -> Glanced {
        while self.at < self.bytes.len() {
            let column = self.indent();
            match self.peek(0) {
                None => {}
                Some(b'\n' | b'#') => self.skip_line(),
                Some(b'\t' | b'\r') => {
                    self.skip_blanks();
                    self.line_ends()?;
                }
                Some(b'-' | b'.' | b'%') if column == 0 && self.marks_document() => {
                    if self.nodes > 0 || !self.bytes[self.at..].starts_with(b"---") {
                        return Err(Stop::Unsure);
                    }
                    self.at += 3;
                    self.line_ends()?;
                }
                Some(_) => self.block(column)?,
            }
        }
        Ok(())
    }

    fn marks_document(&self) -> bool {
        matches!(&self.bytes[self.at..], [b'%', ..] | [b'-', b'-', b'-', ..] | [b'.', b'.', b'.', ..])
    }

    /// Goes behind the blanks, and behind the line if only a comment is left on it; is it over?
    fn line_is_over(&mut self) -> bool {
        let from = self.at;
        self.skip_blanks();
        match self.peek(0) {
            None => {}
            Some(b'\n') => self.at += 1,
            Some(b'#') if self.at > from => self.skip_line(),
            Some(_) => return false,
        }
        true
    }

    /// Only blanks or a comment are left on the line.
    fn line_ends(&mut self) -> Glanced {
        if self.line_is_over() { Ok(()) } else { Err(Stop::Unsure) }
    }

    /// What stands at this column of a line, outside of brackets, to the end of the line or of the value.
    fn block(&mut self, mut column: usize) -> Glanced {
        loop {
            match self.peek(0) {
                Some(b'-') if self.blank(1) => {
                    self.opened(column, Kind::List)?;
                    let from = self.at;
                    self.at += 1;
                    self.skip_blanks();
                    if matches!(self.peek(0), None | Some(b'\n' | b'#')) {
                        self.skip_line();
                        return Ok(());
                    }
                    if self.bytes[from..self.at].contains(&b'\t') {
                        return Err(Stop::Unsure);
                    }
                    column += self.at - from;
                }
                Some(b'?' | b':') if self.blank(1) => return Err(Stop::Unsure),
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

    fn quoted_line(&mut self, column: usize) -> Glanced {
        let from = self.at;
        self.quoted()?;
        let to = self.at;
        self.skip_blanks();
        if self.peek(0) == Some(b':') && self.blank(1) {
            self.at += 1;
            self.key(column, from + 1..to - 1)?;
            return self.value();
        }
        self.at = to;
        self.scalar(Some(from + 1..to - 1))?;
        self.line_ends()
    }

    /// A line that begins without quotes: a key and what follows, or a text to its end.
    fn plain_line(&mut self, column: usize) -> Glanced {
        let from = self.at;
        match self.plain_end() {
            Some(b':') => {
                let to = self.at;
                self.at += 1;
                self.key(column, from..to)?;
                self.value()
            }
            ended => self.plain_goes_on(from, ended),
        }
    }

    /// Goes to where a text without quotes ends on its line: at a colon and a blank, a comment, or the line's end.
    fn plain_end(&mut self) -> Option<u8> {
        loop {
            match self.skip_to(&OF_PLAIN)? {
                b':' if self.blank(1) => return Some(b':'),
                b'#' if self.at > 0 && matches!(self.bytes[self.at - 1], b' ' | b'\t') => return Some(b'#'),
                b'\n' => return Some(b'\n'),
                _ => self.at += 1,
            }
        }
    }

    /// What comes after a key and its colon.
    fn value(&mut self) -> Glanced {
        loop {
            if self.line_is_over() {
                return Ok(());
            }
            return match self.peek(0) {
                None => Ok(()),
                Some(b'&' | b'!') => {
                    self.word();
                    continue;
                }
                Some(b'*') => {
                    self.word();
                    self.line_ends()
                }
                Some(b'-' | b'?') if self.blank(1) => Err(Stop::Unsure),
                Some(b'@' | b'`' | b'%') => Err(Stop::Unsure),
                Some(b'|' | b'>') => self.block_text(),
                Some(b'{' | b'[') => {
                    self.flow()?;
                    self.line_ends()
                }
                Some(b'"' | b'\'') => {
                    let from = self.at;
                    self.quoted()?;
                    self.scalar(Some(from + 1..self.at - 1))?;
                    self.line_ends()
                }
                Some(_) => {
                    let from = self.at;
                    match self.plain_end() {
                        Some(b':') => Err(Stop::Unsure),
                        ended => self.plain_goes_on(from, ended),
                    }
                }
            };
        }
    }

    fn word(&mut self) {
        while !self.blank(0) && !matches!(self.peek(0), Some(b',' | b'[' | b']' | b'{' | b'}')) {
            self.at += 1;
        }
    }

    /// The further lines of a text without quotes: those that are indented deeper than what it stands in.
    fn plain_goes_on(&mut self, from: usize, ended: Option<u8>) -> Glanced {
        self.counted()?;
        let to = self.at;
        if ended != Some(b'\n') {
            self.skip_line();
            self.says(Some(from..to));
            return Ok(());
        }
        self.at += 1;
        let behind = self.at;
        self.deeper_lines(b'#')?;
        self.says((self.at == behind).then_some(from..to));
        Ok(())
    }

    /// A text after `|` or `>`: its lines are indented deeper than what it stands in.
    fn block_text(&mut self) -> Glanced {
        self.scalar(None)?;
        self.skip_line();
        self.deeper_lines(b'\n')
    }

    /// Skips blank lines and lines indented deeper than the innermost list or map, up to one that begins with `end`.
    fn deeper_lines(&mut self, end: u8) -> Glanced {
        let column = self.levels.last().ok_or(Stop::Unsure)?.column;
        while self.at < self.bytes.len() {
            let from = self.at;
            let indent = self.indent();
            match self.peek(0) {
                None => {}
                Some(b'\n') => self.at += 1,
                Some(b'\r') => self.skip_line(),
                Some(first) if indent > column && first != end => self.skip_line(),
                Some(_) => {
                    self.at = from;
                    return Ok(());
                }
            }
        }
        Ok(())
    }

    /// Goes behind a text in quotes.
    fn quoted(&mut self) -> Glanced {
        let quote = self.bytes[self.at];
        self.at += 1;
        loop {
            let far = memchr2(quote, b'\\', &self.bytes[self.at..]).ok_or(Stop::Unsure)?;
            self.at += far;
            let escapes = match quote {
                b'"' => self.peek(0) == Some(b'\\'),
                _ => self.peek(0) == Some(quote) && self.peek(1) == Some(quote),
            };
            let ends = self.peek(0) == Some(quote);
            self.at += if escapes { 2 } else { 1 };
            if self.at > self.bytes.len() {
                return Err(Stop::Unsure);
            }
            if ends && !escapes {
                return Ok(());
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Entry, FileId, Node, Problems, Value, parse_yaml};
    use super::*;

    const ROWS: Rows = Rows { under: "steps", most: 150_000, groups: "groups", group: "run", list: "gates" };
    const WIDE: Limits = Limits { bytes: 64 << 20, depth: 64, nodes: 5_000_000, rows: Some(ROWS) };

    const fn at_most(steps: usize) -> Limits {
        Limits { rows: Some(Rows { most: steps, ..ROWS }), ..WIDE }
    }

    /// The entries of a map of steps, those of the groups they name written out.
    fn written_out(steps: Option<&Node<'_>>, groups: Option<&Node<'_>>, deep: usize) -> usize {
        let entries = steps.and_then(Node::map).unwrap_or_default();
        let each = entries.iter().map(|Entry { value, .. }| match (value.get("gates"), value.get("run")) {
            (Some(gates), _) => gates.one_or_many().len().max(1),
            (None, Some(Node { value: Value::Scalar(name, _), .. })) if deep < 3 => {
                let inner = groups.and_then(|groups| groups.get(name.trim())?.get("steps"));
                inner.map_or(1, |inner| written_out(Some(inner), groups, deep + 1))
            }
            _ => 1,
        });
        each.sum::<usize>().max(if deep == 0 { entries.len() } else { 0 })
    }

    /// Depth, values, and entries under `steps` with the groups written out, as the parser has them.
    fn counted(root: &Node<'_>) -> (usize, usize, usize) {
        fn inner(node: &Node<'_>) -> (usize, usize) {
            let of = |parts: Vec<(usize, usize)>| {
                let depth = parts.iter().map(|part| part.0).max().unwrap_or(0);
                (depth + 1, parts.iter().map(|part| part.1).sum::<usize>() + 1)
            };
            match &node.value {
                Value::Scalar(..) => (0, 1),
                Value::List(items) => of(items.iter().map(inner).collect()),
                Value::Map(entries) => {
                    let (depth, values) = of(entries.iter().map(|entry| inner(&entry.value)).collect());
                    (depth, values + entries.len())
                }
            }
        }
        let (depth, values) = inner(root);
        (depth, values, written_out(root.get("steps"), root.get("groups"), 0))
    }

    /// Holds a text's glance against the parser: never over a limit that it is within. True if the glance also sees
    /// that it is over the next smaller one.
    fn held_against_the_parser(text: &str) -> Option<bool> {
        let mut problems = Problems::default();
        let root = parse_yaml(text, FileId(0), WIDE, &mut problems)?;
        if problems.refused() {
            return None;
        }
        let (depth, nodes, steps) = counted(&root);
        let limits = Limits { depth, nodes, ..at_most(steps) };
        assert_eq!(glance(text, &limits), None, "{limits:?} of\n{text}");
        let over = |limits| glance(text, &limits).is_some();
        Some(
            over(Limits { depth: depth.saturating_sub(1), ..WIDE })
                && (steps == 0 || over(at_most(steps - 1))),
        )
    }

    fn yaml_files(folder: &std::path::Path, found: &mut Vec<String>) {
        for entry in std::fs::read_dir(folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                yaml_files(&path, found);
            } else if path.extension().is_some_and(|end| end == "yaml") {
                found.extend(std::fs::read_to_string(path));
            }
        }
    }

    fn texts() -> Vec<String> {
        let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
        let mut found = Vec::new();
        for folder in
            ["trees", "tests/good_trees", "tests/bad_trees", "tests/machines", "tests/fuzz/corpus/tree"]
        {
            yaml_files(&root.join(folder), &mut found);
        }
        found
    }

    #[test]
    fn every_file_of_ours_is_counted_as_the_parser_counts() {
        let seen: Vec<bool> = texts().iter().filter_map(|text| held_against_the_parser(text)).collect();
        assert!(seen.len() > 40, "{}", seen.len());
        let sure = seen.iter().filter(|sure| **sure).count();
        assert!(sure * 100 >= seen.len() * 98, "{sure} of {}", seen.len());
    }

    /// Each is what could be mistaken for structure, and is none.
    #[test]
    fn what_only_looks_like_structure_is_not_counted() {
        for text in [
            "steps:\n  a: \"b\n  c: d\n\n  e: f\"\n",
            "steps:\n  a: 'it''s\n  c: d'\n",
            "steps:\n  a: |\n    b: {[{[\n    c: - -\n  d: x\n",
            "steps:\n  a: plain\n    \"with a quote\n    - and a dash {\n  b: x\n",
            "steps:\n  # a: b\n  a: it's # 'b: [\n  b: \"x\" # [[[\n",
            "steps: {a: it's, b: 'c, d: e', \"f\": {g: a b\n  c}, h: [x, y#z, http://i]}\n",
            "a:\n- b\n- - c\n  - d\nsteps:\n- a: b\n  c: d\n- e: f\n",
            "{\"steps\": {\"a\": {\"b\": [1, 2]}, \"c\": \"d: e, f\"}}\n",
            "\u{feff}steps:\r\n  a:\r\n    - b\r\n\r\n  c: >-\r\n    d: e\r\n",
            "a: \"\\\"b: {\"\nsteps: {a: \"\\\\\", b: c}\n",
            "---\nsteps:\n  a: b\n",
            "groups:\n  g:\n    steps: {a: {do: x}, b: {do: y}}\n  h:\n    steps:\n      a: {run: g}\nsteps:\n  \
             a: {run: \"h\", go: b}\n  b:\n    run: g # twice\n  c:\n    gates:\n    - a\n    - b: c\n  d: {gates: [a, b]}\n",
            "groups: {g: {steps: {a: 1, b: 2}, start: {run: g}}}\nsteps:\n  a:\n    run: g\n      h\n  b: {x: {run: g}}\n  c: {run: 'g'''}\n",
            "steps:\n  a: {run: g}\n  b: {gates: {x: y, z: [a, b]}}\ngroups:\n  g: {start: a}\n",
            "steps: [{run: g}, {gates: [a, b]}]\ngroups: {g: {steps: [{run: g}]}}\n",
            "steps:\n  a:\n  b: ''\n  c: -1\n",
        ] {
            assert!(held_against_the_parser(text).is_some(), "no YAML: {text}");
        }
    }

    /// A small generator of numbers; the same each time.
    fn next(state: &mut u64) -> usize {
        *state ^= *state << 13;
        *state ^= *state >> 7;
        *state ^= *state << 17;
        usize::try_from(*state >> 33).unwrap_or(0)
    }

    #[test]
    fn no_mutation_that_parses_is_called_over_a_limit_that_it_is_within() {
        let pieces = [
            "\"", "'", "{", "}", "[", "]", ": ", "- ", "\n", "\n  ", "\n    ", " #", "|\n", ">\n", ",", "a",
            "steps:", "\\",
        ];
        let texts: Vec<String> =
            texts().into_iter().filter(|text| text.len() < 3_000 && text.is_ascii()).collect();
        let rounds = std::env::var("LOOMWALK_ROUNDS").ok().and_then(|r| r.parse().ok()).unwrap_or(3_000);
        let (mut state, mut taken) = (20_261_126, 0);
        for _ in 0..rounds {
            let text = &texts[next(&mut state) % texts.len()];
            let from = next(&mut state) % text.len();
            let mut piece = text[from..(from + 400).min(text.len())].to_owned();
            for _ in 0..=next(&mut state) % 4 {
                let at = next(&mut state) % (piece.len() + 1);
                if next(&mut state).is_multiple_of(3) && at < piece.len() {
                    piece.remove(at);
                } else {
                    piece.insert_str(at, pieces[next(&mut state) % pieces.len()]);
                }
            }
            taken += usize::from(held_against_the_parser(&piece).is_some());
        }
        assert!(taken * 20 > rounds, "{taken} of {rounds} were taken by the parser");
    }
}
