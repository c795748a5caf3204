//! The report of a job: what was found, done, made safe and proved, for three readers.
//!
//! Everything is computed from the replayed walk and the state of its journal. The contents are sections of facts,
//! tables and sentences ([`Section`]); Markdown and HTML print the same sections, JSON has its own fields.

mod html;
mod json;
mod markdown;
mod path;
mod safety_part;
mod sections;
mod tables;
mod words;

pub use html::html;
pub use json::json;
pub use markdown::markdown;

use crate::diag::Lang;
use crate::walk::Walk;

use super::journal::Verdict;
use super::replay::Replayed;

/// Whom a report is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reader {
    /// What was found, done, made safe, and what remains.
    Customer,
    /// Also serial, hours, times, parts, codes, and the tree's revision.
    Office,
    /// Everything.
    Shop,
}

impl Reader {
    /// The word on the command line and in JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Customer => "customer",
            Self::Office => "office",
            Self::Shop => "shop",
        }
    }
}

/// How the journal is, as far as a report says it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JournalState {
    /// Events and head, as `job verify --head` takes them.
    pub head: String,
    /// Nothing is wrong with it.
    pub whole: bool,
    /// What is wrong, in words.
    pub wrong: Vec<String>,
}

impl JournalState {
    /// What a verdict says to a reader of a report.
    #[must_use]
    pub fn of(verdict: &Verdict, replayed: &Replayed) -> Self {
        let mut wrong: Vec<String> =
            verdict.damage.iter().take(5).map(|d| format!("Damaged: {d}.")).collect();
        if let Some(torn) = verdict.torn {
            wrong.push(format!("Torn: {torn}."));
        }
        if let Some(impossible) = &replayed.impossible {
            wrong.push(format!("What the journal says cannot be what happened: {impossible}."));
        }
        Self { head: verdict.head().printed(), whole: verdict.is_whole(), wrong }
    }
}

/// A job ready to be reported.
pub struct Report<'j> {
    /// The job's name.
    pub name: &'j str,
    /// The walk as its events leave it.
    pub walk: &'j Walk,
    /// The version of the program that began it.
    pub version: &'j str,
    /// How its journal is.
    pub journal: JournalState,
    /// Whom it is for.
    pub reader: Reader,
}

impl Report<'_> {
    /// The language of the walk.
    #[must_use]
    pub fn lang(&self) -> Lang {
        self.walk.lang()
    }
}

/// A part of a report under one heading.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Section {
    pub(super) title: String,
    pub(super) blocks: Vec<Block>,
}

/// What stands in a section.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Block {
    /// Labels with values; an empty value is shown as a blank.
    Facts(Vec<(String, String)>),
    /// A table with its heads.
    Table(Vec<String>, Vec<Vec<String>>),
    /// Sentences, one a line.
    Lines(Vec<String>),
    /// The walked path, drawn where the format can.
    Path(Vec<path::Stop>),
    /// Lines for signatures, each with its label.
    Signatures(Vec<String>),
}
