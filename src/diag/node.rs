//! A YAML text as a tree of nodes, each with its span in bytes. They lie in [`super::Nodes`] and are given back with it.
//!
//! A scalar is its source text; the field that holds it decides what it is.

use super::place::Span;

/// How a scalar was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Style {
    /// Without quotes.
    Plain,
    /// In single or double quotes.
    Quoted,
    /// As a block, after `|` or `>`.
    Block,
}

/// One entry of a map: the key with its span, and the value.
#[derive(Debug, Clone, Copy)]
pub struct Entry<'a> {
    /// The key's text.
    pub key: &'a str,
    /// Where the key stands.
    pub key_span: Span,
    /// What it leads to.
    pub value: Node<'a>,
}

/// What a node is.
#[derive(Debug, Clone, Copy)]
pub enum Value<'a> {
    /// A scalar: its text after YAML's own escapes.
    Scalar(&'a str, Style),
    /// A list.
    List(&'a [Node<'a>]),
    /// A map, in file order, keys unique.
    Map(&'a [Entry<'a>]),
}

/// A value with its place in the text.
#[derive(Debug, Clone, Copy)]
pub struct Node<'a> {
    /// What it is.
    pub value: Value<'a>,
    /// Where it stands, in bytes.
    pub span: Span,
}

impl<'a> Node<'a> {
    /// The scalar's text, if it is one.
    #[must_use]
    pub fn scalar(&self) -> Option<&str> {
        match &self.value {
            Value::Scalar(text, _) => Some(text),
            _ => None,
        }
    }

    /// The items, if it is a list.
    #[must_use]
    pub fn list(&self) -> Option<&[Node<'a>]> {
        match &self.value {
            Value::List(items) => Some(items),
            _ => None,
        }
    }

    /// The entries, if it is a map.
    #[must_use]
    pub fn map(&self) -> Option<&[Entry<'a>]> {
        match &self.value {
            Value::Map(entries) => Some(entries),
            _ => None,
        }
    }

    /// The value under a key, if this is a map that has it.
    #[must_use]
    pub fn get(&self, key: &str) -> Option<&Node<'a>> {
        self.map()?.iter().find(|e| e.key == key).map(|e| &e.value)
    }

    /// A list's items, or the node itself as the only item: "a list means any of these".
    #[must_use]
    pub fn one_or_many(&self) -> &[Node<'a>] {
        match &self.value {
            Value::List(items) => items,
            _ => std::slice::from_ref(self),
        }
    }

    /// Keys and values in it, itself among them.
    #[must_use]
    pub fn values(&self) -> usize {
        let within = match &self.value {
            Value::Scalar(..) => 0,
            Value::List(items) => items.iter().map(Self::values).sum(),
            Value::Map(entries) => entries.iter().map(|entry| entry.value.values() + 1).sum(),
        };
        within + 1
    }

    /// What it is, in a word for messages.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match &self.value {
            Value::Scalar("", Style::Plain) => "nothing",
            Value::Scalar(..) => "a single value",
            Value::List(_) => "a list",
            Value::Map(_) => "a map of keys",
        }
    }
}
