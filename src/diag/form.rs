//! The form of a map: which keys it has, what each holds and what for.
//!
//! One table serves the loader (unknown and missing keys), the schema for editors and the author's guide, so
//! that they cannot disagree.

use super::near::{nearest, nearest_of_few};
use super::node::{Entry, Node, Value};
use super::place::{Place, Span};
use super::problem::Problems;
use super::source::FileId;

/// What a field holds, as an editor's schema can say it.
#[derive(Debug, Clone, Copy)]
pub enum Shape {
    /// Words for people: a single value, or `{en: …, es: …}`.
    Text,
    /// A name or a word.
    Word,
    /// One of these words.
    OneOf(&'static [&'static str]),
    /// `true` or `false`.
    Flag,
    /// A whole number.
    Whole,
    /// A number without unit.
    Number,
    /// A quantity with its unit; the example shows how.
    Quantity(&'static str),
    /// A list of these.
    List(&'static Shape),
    /// One of these, or a list of them.
    OneOrMany(&'static Shape),
    /// A map from names of the author's choosing to these.
    Named(&'static Shape),
    /// A map of this form.
    Form(&'static Form),
    /// A map of one of these forms, told apart by their first key.
    AnyForm(&'static [&'static Form]),
    /// Any of these shapes.
    Any(&'static [Shape]),
}

impl Shape {
    /// True if the value could be meant for such a field, by its kind alone.
    fn may_be(&self, node: &Node<'_>) -> bool {
        let scalar = node.scalar();
        let is_flag = matches!(scalar, Some("true" | "false"));
        match self {
            Self::Text => node.map().is_some() || scalar.is_some() && !is_flag,
            Self::Word | Self::OneOf(_) => scalar.is_some() && !is_flag,
            Self::Flag => is_flag,
            Self::Whole | Self::Number | Self::Quantity(_) => {
                scalar.is_some_and(|text| text.contains(|c: char| c.is_ascii_digit()))
            }
            Self::List(of) => node.list().is_some_and(|items| items.iter().all(|item| of.may_be(item))),
            Self::OneOrMany(of) => node.one_or_many().iter().all(|item| of.may_be(item)),
            Self::Named(_) | Self::Form(_) | Self::AnyForm(_) => node.map().is_some(),
            Self::Any(shapes) => shapes.iter().any(|shape| shape.may_be(node)),
        }
    }
}

/// One key of a form.
#[derive(Debug, Clone, Copy)]
pub struct Field {
    /// The key.
    pub name: &'static str,
    /// True if the map makes no sense without it.
    pub needed: bool,
    /// What it holds.
    pub shape: Shape,
    /// What it is for, one sentence.
    pub about: &'static str,
}

impl Field {
    /// A field that may be left out.
    #[must_use]
    pub const fn may(name: &'static str, shape: Shape, about: &'static str) -> Self {
        Self { name, needed: false, shape, about }
    }

    /// A field that must be there.
    #[must_use]
    pub const fn must(name: &'static str, shape: Shape, about: &'static str) -> Self {
        Self { name, needed: true, shape, about }
    }
}

/// The form of one kind of map.
#[derive(Debug)]
pub struct Form {
    /// What such a map is called in messages, as "a `read` step".
    pub name: &'static str,
    /// Its keys.
    pub fields: &'static [Field],
}

/// A map opened against its form: unknown, missing and misplaced keys are already told. A key that was misspelt is read
/// as the one that was meant: the file is refused for it, and nothing else is told for the same slip.
#[derive(Clone, Copy)]
pub struct Entries<'n, 'a> {
    node: &'n Node<'a>,
    /// The form, where some key is not of it.
    slips: Option<&'static Form>,
    /// The file the map stands in.
    pub file: FileId,
}

impl<'n, 'a> Entries<'n, 'a> {
    /// Opens a map against a form. `None` if the node is no map; that is told too.
    pub fn open(
        node: &'n Node<'a>,
        file: FileId,
        form: &'static Form,
        problems: &mut Problems,
    ) -> Option<Self> {
        let Value::Map(entries) = &node.value else {
            problems.refuse("wrong-kind", Place::Bytes(file, node.span)).says(
                format!("{} is a map of keys; this is {}", form.name, node.kind()),
                "Nothing can be read from it, so nothing of it is shown at the machine.",
                format!("`key: value` lines; the keys are {}", keys_of(form)),
            );
            return None;
        };
        let mut meant = Vec::new();
        let guesses = problems.can_guess();
        let strangers: Vec<_> = entries.iter().filter(|entry| !has(form, entry.key)).collect();
        let slips = (guesses && !strangers.is_empty()).then_some(form);
        for (nth, entry) in strangers.into_iter().enumerate() {
            let guess = if guesses && nth < MOST_SLIPS { meant_by(entry, form) } else { None };
            unknown_key(entry, Place::Bytes(file, entry.key_span), form, guess, problems);
            meant.extend(guess);
        }
        for field in form.fields.iter().filter(|f| f.needed) {
            // A needed key that was only misspelt is told once, where it stands.
            if !meant.contains(&field.name) && !entries.iter().any(|e| e.key == field.name) {
                problems.refuse("missing-key", Place::Bytes(file, first_line(node))).says(
                    format!("{} has no `{}`", form.name, field.name),
                    format!("Without it this is not known: {}", lowered(field.about)),
                    format!("`{}: …`", field.name),
                );
            }
        }
        Some(Self { node, slips, file })
    }

    /// The value under a key, or under one that was meant for it.
    #[must_use]
    pub fn get(&self, key: &str) -> Option<&'n Node<'a>> {
        let entries = self.node.map()?;
        let exact = entries.iter().find(|e| e.key == key);
        let meant = || {
            let form = self.slips?;
            let mut strangers = entries.iter().filter(|e| !has(form, e.key)).take(MOST_SLIPS);
            strangers.find(|e| meant_by(e, form) == Some(key))
        };
        exact.or_else(meant).map(|e| &e.value)
    }

    /// Where the key itself stands; the map if it is not there.
    #[must_use]
    pub fn key_place(&self, key: &str) -> Place {
        let span = self.node.map().and_then(|m| m.iter().find(|e| e.key == key)).map(|e| e.key_span);
        Place::Bytes(self.file, span.unwrap_or_else(|| first_line(self.node)))
    }

    /// Where the map stands (its first key).
    #[must_use]
    pub fn place(&self) -> Place {
        Place::Bytes(self.file, first_line(self.node))
    }

    /// The word under a key; anything but a single non-empty value is told.
    pub fn word(&self, key: &str, problems: &mut Problems) -> Option<&'n str> {
        word(self.get(key)?, self.file, problems)
    }

    /// The words under a key: one, or a list of them.
    pub fn words(&self, key: &str, problems: &mut Problems) -> Vec<(&'n str, Place)> {
        let Some(node) = self.get(key) else { return Vec::new() };
        node.one_or_many()
            .iter()
            .filter_map(|item| Some((word(item, self.file, problems)?, Place::Bytes(self.file, item.span))))
            .collect()
    }

    /// `true` or `false` under a key; what is neither is told, and read as meant to be switched on.
    pub fn flag(&self, key: &str, problems: &mut Problems) -> Option<bool> {
        let node = self.get(key)?;
        match node.scalar() {
            Some("true") => Some(true),
            Some("false") => Some(false),
            _ => {
                let place = Place::Bytes(self.file, node.span);
                problems.take_back("bare-switch-word", &place);
                problems.refuse("wrong-kind", place).says(
                    format!("`{key}` is either `true` or `false`"),
                    "A switch that is neither leaves open what was meant.",
                    format!("`{key}: true`, or leave the line out"),
                );
                Some(true)
            }
        }
    }

    /// The value under a key as one of some words; a stranger is told, and read as what was probably meant.
    pub fn one_of<T: Copy>(&self, key: &str, words: &[(&str, T)], problems: &mut Problems) -> Option<T> {
        let written = self.word(key, problems)?;
        if let Some((_, value)) = words.iter().find(|(w, _)| *w == written) {
            return Some(*value);
        }
        let place = Place::Bytes(self.file, self.get(key)?.span);
        let known: Vec<&str> = words.iter().map(|(w, _)| *w).collect();
        unknown_word(written, place, &format!("`{key}`"), &known, problems);
        let meant = nearest(written, known)?;
        words.iter().find(|(w, _)| *w == meant).map(|(_, value)| *value)
    }
}

/// A node's word; anything but a single non-empty value is told.
fn word<'n>(node: &'n Node<'_>, file: FileId, problems: &mut Problems) -> Option<&'n str> {
    match node.scalar().map(str::trim) {
        Some(text) if !text.is_empty() => Some(text),
        _ => {
            problems.refuse("wrong-kind", Place::Bytes(file, node.span)).says(
                format!("a single word is wanted here, this is {}", node.kind()),
                "Names tie a tree to the machine; one that cannot be read ties to nothing.",
                "one name or word",
            );
            None
        }
    }
}

/// Tells a word that is none of the known ones, with what was probably meant.
pub(super) fn unknown_word(written: &str, place: Place, what: &str, known: &[&str], problems: &mut Problems) {
    let meant = nearest(written, known.iter().copied());
    let listed = known.iter().map(|w| format!("`{w}`")).collect::<Vec<_>>().join(", ");
    problems.refuse("unknown-word", place).says(
        format!("{what} does not know `{written}`"),
        "A word nobody knows does nothing, and nobody at the machine would notice.",
        meant.map_or_else(|| format!("one of {listed}"), |w| format!("`{w}`; known are {listed}")),
    );
}

/// Most unknown keys of one map that are taken for a slip of one that is known.
const MOST_SLIPS: usize = 24;

fn has(form: &Form, key: &str) -> bool {
    form.fields.iter().any(|field| field.name == key)
}

/// Tells a key that the form does not have, and which was probably meant.
fn unknown_key(entry: &Entry<'_>, place: Place, form: &Form, meant: Option<&str>, problems: &mut Problems) {
    problems.refuse("unknown-key", place).says(
        format!("{} has no key `{}`", form.name, entry.key),
        "A key nobody reads does nothing, and nobody at the machine would notice.",
        meant.map_or_else(|| format!("one of {}", keys_of(form)), |w| format!("`{w}`, if that is meant")),
    );
}

/// The key of the form that was probably meant: the nearest that such a value could be meant for, else the nearest of
/// all. Few keys are switches, so that `true` says more than a letter does.
fn meant_by(entry: &Entry<'_>, form: &Form) -> Option<&'static str> {
    let names = |fits: &dyn Fn(&Shape) -> bool| {
        let fitting: Vec<&'static str> =
            form.fields.iter().filter(|f| fits(&f.shape)).map(|f| f.name).collect();
        fitting
    };
    let switches = names(&|shape| matches!(shape, Shape::Flag) && shape.may_be(&entry.value));
    nearest_of_few(entry.key, switches)
        .or_else(|| nearest(entry.key, names(&|shape| shape.may_be(&entry.value))))
        .or_else(|| nearest(entry.key, names(&|_| true)))
}

fn keys_of(form: &Form) -> String {
    form.fields.iter().map(|f| format!("`{}`", f.name)).collect::<Vec<_>>().join(", ")
}

/// A span for "this map": its first key, so that a mark stays on one line.
fn first_line(node: &Node<'_>) -> Span {
    match &node.value {
        Value::Map(entries) => entries.first().map_or(node.span, |e| e.key_span),
        _ => node.span,
    }
}

/// A sentence as the second half of another: its first letter is small, unless it begins with a name.
fn lowered(sentence: &str) -> String {
    let mut chars = sentence.chars();
    let (first, second) = (chars.next(), sentence.chars().nth(1));
    match first {
        Some(first) if second.is_some_and(|c| c.is_lowercase() || c == ' ') => {
            first.to_lowercase().chain(chars).collect()
        }
        _ => sentence.to_owned(),
    }
}
