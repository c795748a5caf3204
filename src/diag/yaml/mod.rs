//! YAML 1.2 events into one span tree; the only folder that knows the parser.
//!
//! Refused: anchors, aliases, tags, `<<`, a second document, a key twice, keys that are not single values.
//! Depth is bounded here, before anything recurses over the tree.

use std::borrow::Cow;
use std::hash::{BuildHasher as _, RandomState};

use bumpalo::Bump;
use granit_parser::{ErrorKind, Event, Parser, Placement, ScalarStyle, ScanError, Span as YamlSpan};
use hashbrown::HashTable;

mod seek;

use super::glance::{blocks_of, glance};
use super::limits::{Limit, Limits};
use super::node::{Entry, Node, Style, Value};
use super::place::{Place, Span};
use super::problem::Problems;
use super::source::FileId;
use super::syntax::in_words;
pub(super) use seek::seek;

/// From this size a text is worth a glance for its limits before it is taken apart, bytes; below, the parser is there as
/// soon.
pub const LARGE: usize = 256 << 10;

/// What an alias is called, and what to write instead of one.
const ALIAS: (&str, &str) = (
    "an alias (`*…`)",
    "the text in full, or a shared group of steps; a text that begins with `*` stands in quotes",
);

/// A map or list being filled.
enum Open<'a> {
    List(Vec<Node<'a>>),
    Map { entries: Vec<Entry<'a>>, key: Option<(&'a str, Span)>, seen: Seen },
}

/// Maps up to this many keys look for a double by going through them; larger ones keep what was seen.
const FEW: usize = 24;

/// The keys of a large map: a short hash of each, and the number of its entry. Small, so that it stays near the processor;
/// and to grow it no text has to be read again.
type Seen = HashTable<(u32, u32)>;

/// What holds the nodes of texts. They are many and small, and are given back all at once.
#[derive(Default)]
pub struct Nodes(Bump);

struct Builder<'a, 'p> {
    nodes_in: &'a Bump,
    text: &'a str,
    file: FileId,
    limits: Limits,
    problems: &'p mut Problems,
    open: Vec<(Open<'a>, u32)>,
    /// Room in which lists grow, and maps.
    spare_items: Vec<Vec<Node<'a>>>,
    spare_entries: Vec<Vec<Entry<'a>>>,
    hashed: RandomState,
    root: Option<Node<'a>>,
    nodes: usize,
    last_plain: Span,
    stop: bool,
}

impl Nodes {
    /// Takes a text apart into nodes. Every problem is told; `None` if nothing usable is left.
    pub fn parse_yaml<'a>(
        &'a self,
        text: &'a str,
        file: FileId,
        limits: Limits,
        problems: &mut Problems,
    ) -> Option<Node<'a>> {
        if (LARGE..=limits.bytes).contains(&text.len())
            && let Err(over) = glance(&mut blocks_of(text), &limits)
        {
            over.limit.refuse(place_at(file, over.at), problems);
            return None;
        }
        self.parse_glanced(text, file, limits, problems)
    }

    /// The same for a text that was glanced over already.
    pub fn parse_glanced<'a>(
        &'a self,
        text: &'a str,
        file: FileId,
        limits: Limits,
        problems: &mut Problems,
    ) -> Option<Node<'a>> {
        if text.len() > limits.bytes {
            problems.refuse("too-large", Place::file(file)).says(
                format!("the file has {} bytes; {} MiB are allowed", text.len(), limits.bytes >> 20),
                "A file of this size is no tree; reading it would hold the laptop up.",
                "several smaller files",
            );
            return None;
        }
        let mut builder = Builder {
            nodes_in: &self.0,
            text,
            file,
            limits,
            problems,
            open: Vec::new(),
            spare_items: Vec::new(),
            spare_entries: Vec::new(),
            hashed: RandomState::new(),
            root: None,
            nodes: 0,
            last_plain: Span::default(),
            stop: false,
        };
        for next in events(text) {
            match next {
                Ok((event, span)) => builder.take(event, &span),
                Err(error) => {
                    builder.syntax(&error);
                    return None;
                }
            }
            if builder.stop {
                return None;
            }
        }
        builder.finish()
    }
}

/// What the parser says of a text, one after the other.
fn events(text: &str) -> impl Iterator<Item = Result<(Event<'_>, YamlSpan), ScanError>> {
    let options = granit_parser::options! {
        flow_nesting_limit: 250, block_nesting_limit: 250, max_buffered_comment_events: 1_000_000,
    };
    Parser::new_from_str_with_options(text, options)
}

impl<'a> Builder<'a, '_> {
    fn take(&mut self, event: Event<'a>, at: &YamlSpan) {
        let span = bytes(at);
        if event.tag().is_some() {
            self.refused_yaml(span, "a tag (`!…`)", "the value without the tag");
        }
        if event.anchor_id().is_some() {
            self.refused_yaml(span, "an anchor (`&…`)", "the text in full, or a shared group of steps");
        }
        match event {
            Event::Scalar(text, style, ..) => self.scalar(text, style, span),
            Event::SequenceStart(..) => {
                let items = self.spare_items.pop().unwrap_or_default();
                self.begin(Open::List(items), span);
            }
            Event::MappingStart(..) => {
                let entries = self.spare_entries.pop().unwrap_or_default();
                self.begin(Open::Map { entries, key: None, seen: Seen::new() }, span);
            }
            Event::SequenceEnd | Event::MappingEnd => self.end(span),
            Event::Alias(_) | Event::UnresolvedAlias(_) => {
                self.refused_yaml(span, ALIAS.0, ALIAS.1);
                self.place(Node { value: Value::Scalar("", Style::Quoted), span });
            }
            Event::DocumentStart(..) if self.root.is_some() => {
                self.refused_yaml(span, "a second document (`---`)", "one file for each");
                self.stop = true;
            }
            Event::Comment(text, Placement::Right) => self.hash_cut(&text, span),
            _ => {}
        }
    }

    fn scalar(&mut self, text: Cow<'a, str>, style: ScalarStyle, span: Span) {
        let style = match style {
            ScalarStyle::Plain => Style::Plain,
            ScalarStyle::SingleQuoted | ScalarStyle::DoubleQuoted => Style::Quoted,
            ScalarStyle::Literal | ScalarStyle::Folded => Style::Block,
        };
        if style == Style::Plain {
            self.last_plain = span;
            if matches!(
                &*text,
                "on" | "off" | "yes" | "no" | "On" | "Off" | "Yes" | "No" | "ON" | "OFF" | "YES" | "NO"
            ) {
                self.problems.warn("bare-switch-word", Place::Bytes(self.file, span)).says(
                    format!("`{text}` stands without quotes"),
                    "It is read here as the word it is, but other tools read it as true or false.",
                    format!("`\"{text}\"`"),
                );
            }
        }
        let text = match text {
            Cow::Borrowed(text) => text,
            Cow::Owned(text) => self.nodes_in.alloc_str(&text),
        };
        self.place(Node { value: Value::Scalar(text, style), span });
    }

    fn begin(&mut self, open: Open<'a>, span: Span) {
        if self.open.len() >= self.limits.depth {
            self.passed(Limit::Depth(self.limits.depth), span.start);
        }
        self.open.push((open, span.start));
    }

    fn end(&mut self, span: Span) {
        let Some((open, start)) = self.open.pop() else { return };
        let value = match open {
            Open::List(mut items) => {
                let list = self.nodes_in.alloc_slice_copy(&items);
                items.clear();
                self.spare_items.push(items);
                Value::List(list)
            }
            Open::Map { mut entries, .. } => {
                let map = self.nodes_in.alloc_slice_copy(&entries);
                entries.clear();
                self.spare_entries.push(entries);
                Value::Map(map)
            }
        };
        let end = trimmed_end(self.text, start, span.end.max(start));
        self.place(Node { value, span: Span { start, end } });
    }

    fn place(&mut self, node: Node<'a>) {
        self.nodes += 1;
        if self.nodes > self.limits.nodes {
            self.passed(Limit::Nodes(self.limits.nodes), node.span.start);
            return;
        }
        match self.open.last_mut() {
            None => self.root = Some(node),
            Some((Open::List(items), _)) => items.push(node),
            Some((Open::Map { key: key @ None, .. }, _)) => {
                let span = node.span;
                if let Value::Scalar(text, _) = node.value {
                    *key = Some((text, span));
                } else {
                    *key = Some(("", span));
                    self.refused_yaml(
                        span,
                        "a key that is a list or a map",
                        "a single word before the colon",
                    );
                }
            }
            Some((Open::Map { entries, key, seen }, _)) => {
                let Some((key, key_span)) = key.take() else { return };
                if key == "<<" {
                    self.refused_yaml(
                        key_span,
                        "a merge (`<<`)",
                        "the keys in full, or a shared group of steps",
                    );
                } else if is_double(key, entries, seen, &self.hashed) {
                    self.problems.refuse("double-key", Place::Bytes(self.file, key_span)).says(
                        format!("`{key}` stands twice in one map"),
                        "Only one of the two could count, and nobody could tell which at the machine.",
                        "one of the two, or another name",
                    );
                } else {
                    entries.push(Entry { key, key_span, value: node });
                }
            }
        }
    }

    /// A limit was passed; what follows is not read.
    fn passed(&mut self, limit: Limit, at: u32) {
        limit.refuse(place_at(self.file, at as usize), self.problems);
        self.stop = true;
    }

    fn refused_yaml(&mut self, span: Span, what: &str, write: &str) {
        self.problems.refuse("yaml-feature", Place::Bytes(self.file, span)).says(
            format!("{what} is not taken here"),
            "What stands on the page is what is walked; nothing is to be filled in from elsewhere.",
            write,
        );
    }

    /// A comment that begins right behind a plain text, with no space after the hash, was probably meant as text.
    fn hash_cut(&mut self, comment: &str, span: Span) {
        let gap = (self.last_plain.end as usize, span.start as usize);
        let meant = comment.chars().next().is_some_and(|c| !c.is_whitespace() && c != '#');
        if meant && gap.0 > 0 && self.text.get(gap.0..gap.1) == Some(" ") {
            self.problems.warn("cut-by-hash", Place::Bytes(self.file, span)).says(
                format!("the text ends before `#{}`: from there on it is a comment", comment.trim_end()),
                "The mechanic would see only half of the sentence.",
                "the whole text in quotes",
            );
        }
    }

    fn syntax(&mut self, error: &ScanError) {
        let byte = error.marker().byte_offset().unwrap_or(0);
        let at = u32::try_from(super::place::floor_char(self.text, byte)).unwrap_or(0);
        let span = Span { start: at, end: at };
        // A name that no anchor has: the parser stops at it, though any alias is refused.
        if matches!(error.kind(), ErrorKind::UnknownAnchor) {
            self.refused_yaml(span, ALIAS.0, ALIAS.1);
            return;
        }
        let (wrong, write) = in_words(&error.info(), self.line_before(at));
        self.problems.refuse("yaml-syntax", Place::Bytes(self.file, span)).says(
            wrong,
            "Nothing after this point can be read.",
            write,
        );
    }

    /// The line that a byte stands in, up to it.
    fn line_before(&self, at: u32) -> &'a str {
        let before = &self.text[..at as usize];
        &before[before.rfind('\n').map_or(0, |end| end + 1)..]
    }

    fn finish(self) -> Option<Node<'a>> {
        if self.root.is_none() {
            self.problems.refuse("empty-file", Place::file(self.file)).says(
                "there is nothing in this file",
                "There is nothing to walk.",
                "`loomwalk: 1` as the first line, then `tree:` or `machine:`",
            );
        }
        self.root
    }
}

/// Whether a map has this key already; if not, it is the key of the next entry.
fn is_double(key: &str, entries: &[Entry<'_>], seen: &mut Seen, hashed: &RandomState) -> bool {
    if entries.len() < FEW {
        return entries.iter().any(|entry| entry.key == key);
    }
    let short = |key: &str| u32::try_from(hashed.hash_one(key) >> 32).unwrap_or(0);
    let place = |one: &(u32, u32)| spread(one.0);
    let number = |nth: usize| u32::try_from(nth).unwrap_or(u32::MAX);
    if seen.is_empty() {
        for (nth, entry) in entries.iter().enumerate() {
            let one = (short(entry.key), number(nth));
            seen.insert_unique(spread(one.0), one, place);
        }
    }
    let next = (short(key), number(entries.len()));
    let is_same = |(hash, nth): &(u32, u32)| *hash == next.0 && entries[*nth as usize].key == key;
    if seen.find(spread(next.0), is_same).is_some() {
        return true;
    }
    seen.insert_unique(spread(next.0), next, place);
    false
}

/// The place in the table by a short hash: it is found by the one end of it and told apart by the other.
fn spread(hash: u32) -> u64 {
    u64::from(hash) << 32 | u64::from(hash)
}

fn place_at(file: FileId, at: usize) -> Place {
    let at = u32::try_from(at).unwrap_or(u32::MAX);
    Place::Bytes(file, Span { start: at, end: at })
}

fn bytes(span: &YamlSpan) -> Span {
    let range = span.byte_range().unwrap_or(0..0);
    Span {
        start: u32::try_from(range.start).unwrap_or(u32::MAX),
        end: u32::try_from(range.end).unwrap_or(u32::MAX),
    }
}

/// Block maps end where the next token begins: step back over the blank space between.
fn trimmed_end(text: &str, start: u32, end: u32) -> u32 {
    let inner = text.get(start as usize..end as usize).unwrap_or("").trim_end();
    start + u32::try_from(inner.len()).unwrap_or(0)
}
