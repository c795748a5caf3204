//! Where a number comes from, and how sure that is.

use std::fmt;

use serde::{Deserialize, Serialize};

/// How a fact was had.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mark {
    /// Read in the source named, or in a copy of it.
    Seen,
    /// Believed right, not read for this.
    Memory,
    /// Common practice of the trade, without a source.
    Practice,
    /// Our choice, without a source.
    Own,
}

/// A source and its mark.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Source {
    /// The publication and paragraph; empty for practice and our own choices.
    pub cite: String,
    /// How the fact was had.
    pub mark: Mark,
}

impl Source {
    pub(super) fn seen(cite: &str) -> Self {
        Self { cite: cite.into(), mark: Mark::Seen }
    }

    pub(super) fn memory(cite: &str) -> Self {
        Self { cite: cite.into(), mark: Mark::Memory }
    }

    pub(super) fn practice() -> Self {
        Self { cite: String::new(), mark: Mark::Practice }
    }
}

impl fmt::Display for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.mark {
            Mark::Seen => write!(f, "{}", self.cite),
            Mark::Memory => write!(f, "{}, from memory", self.cite),
            Mark::Practice => write!(f, "common practice"),
            Mark::Own => write!(f, "our choice"),
        }
    }
}
