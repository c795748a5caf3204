//! The answer of a command that works something out: lines for a person, or fields for another program.
//!
//! The JSON form begins with `"format":1`, has plain numbers and one line; a person's form begins with the caution,
//! where there is one, and then the result.

use std::io::Write;

use clap::ValueEnum;
use serde_json::{Map, Value};

use crate::diag::{visible_json, visible_line};
use crate::safety::DEFER;

use super::{Ending, Outcome};

/// For whom an answer is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub(super) enum Format {
    /// For a person.
    #[default]
    Text,
    /// For another program.
    Json,
}

/// Writes JSON, of which nothing can drive a terminal.
pub(super) fn json_line(json: &impl std::fmt::Display, out: &mut dyn Write) -> std::io::Result<()> {
    writeln!(out, "{}", visible_json(&json.to_string()))
}

/// An answer, gathered in both forms.
#[derive(Debug)]
pub(super) struct Answer {
    fields: Map<String, Value>,
    lines: Vec<String>,
}

impl Answer {
    pub(super) fn new() -> Self {
        Self { fields: Map::from_iter([("format".to_owned(), Value::from(1))]), lines: Vec::new() }
    }

    /// Adds a field for programs.
    pub(super) fn field(mut self, name: &str, value: impl Into<Value>) -> Self {
        self.fields.insert(name.to_owned(), value.into());
        self
    }

    /// Adds a line for people.
    pub(super) fn line(mut self, line: impl Into<String>) -> Self {
        self.lines.push(line.into());
        self
    }

    /// Adds a caution for people, and what comes before anything said here.
    pub(super) fn caution(self, hazard: &str) -> Self {
        self.line(hazard).line(DEFER.en)
    }

    /// Writes it and ends well.
    pub(super) fn write(self, format: Format, out: &mut dyn Write) -> Outcome {
        match format {
            Format::Text => {
                for line in &self.lines {
                    writeln!(out, "{}", visible_line(line))?;
                }
            }
            Format::Json => json_line(&Value::Object(self.fields), out)?,
        }
        Ok(Ending::Fine)
    }
}
