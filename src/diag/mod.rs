//! Source text, a route to a place in YAML, a problem as plain data, its rendering.
//!
//! Knows text, places and words about them. Must not know what a machine or a tree is.
//! The author's mistakes are data here, not errors: a loader returns what it could make of a file
//! together with every [`Problem`] in it.

mod form;
mod glance;
mod limits;
mod near;
mod node;
mod place;
mod problem;
mod render;
mod source;
mod syntax;
mod text;
mod yaml;

pub use form::{Entries, Field, Form, Shape};
pub use glance::{Blocks, Glanced, Named, Over, Row, RowGroups, Rows, blocks_of, glance};
pub use limits::{Limit, Limits};
pub use near::nearest;
pub use node::{Entry, Node, Style, Value};
pub use place::{Leg, Locator, Place, Position, Side, Span};
pub use problem::{Pending, Problem, Problems, Weight};
pub use render::{Paint, problem_json, problem_text};
pub use source::{FileId, Files, Source, SourceError, Sources};
pub use text::{Lang, Text, visible, visible_json, visible_line};
pub use yaml::{LARGE, Nodes};
