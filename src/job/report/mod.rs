//! The report of a job: what was found, done, made safe and proved, for three readers.
//!
//! Everything is computed from the replayed walk and the state of its journal. The contents are sections of facts,
//! tables and sentences ([`Section`]); Markdown and HTML print the same sections, JSON has its own fields.

mod detours;
mod html;
mod json;
mod markdown;
mod mends;
mod path;
mod proofs;
mod remnant;
mod review_part;
mod safety_part;
mod sections;
mod suspects;
mod tables;
mod words;

pub use html::html;
pub use json::{json, json_text};
pub use markdown::markdown;
pub use remnant::Remnant;

use crate::diag::Lang;
use crate::walk::{Event, Moment, Walk};

use super::journal::{Record, Verdict};
use super::kept::Kept;
use super::replay::Replayed;
use super::review::Review;

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
#[derive(Debug, Clone, PartialEq)]
pub struct JournalState {
    /// Events and head, as `job verify --head` takes them.
    pub head: String,
    /// Nothing is wrong with it.
    pub whole: bool,
    /// What is wrong, in words.
    pub wrong: Vec<String>,
    /// What happened beside the straight way, if it is to be told: back, jumps, waits, and taking up again.
    pub detours: Vec<(Moment, Event)>,
    /// How the job went, if it is to be told.
    pub review: Option<Review>,
}

impl JournalState {
    /// What a verdict says to a reader of a report.
    #[must_use]
    pub fn of(verdict: &Verdict, replayed: &Replayed) -> Self {
        let mut state = Self::alone(verdict);
        if let Some(impossible) = &replayed.impossible {
            state.wrong.push(format!("What the journal says cannot be what happened: {impossible}."));
        }
        if replayed.problems.refused() {
            state.wrong.push("The tree inside this job would be refused today.".to_owned());
        }
        state
    }

    /// What a verdict says, whatever the events are.
    fn alone(verdict: &Verdict) -> Self {
        let mut wrong: Vec<String> =
            verdict.damage.iter().take(5).map(|d| format!("Damaged: {d}.")).collect();
        if verdict.damage.len() > 5 {
            wrong.push(format!("Damaged: {} more lines.", verdict.damage.len() - 5));
        }
        if let Some(torn) = verdict.torn {
            wrong.push(format!("Torn: {torn}."));
        }
        let head = verdict.head().printed();
        Self { head, whole: verdict.is_whole(), wrong, detours: Vec::new(), review: None }
    }

    /// Takes up what the events tell beside the straight way.
    #[must_use]
    pub fn telling(mut self, records: &[Record<Kept>]) -> Self {
        let events = records.iter().map(|record| (record.at, record.event.event()));
        self.detours = events.filter(|(_, e)| detours::is_one(e)).map(|(at, e)| (at, e.clone())).collect();
        self
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
    /// A moment as this report says it: the time of day, with the day if the job went over several.
    fn when(&self, at: Moment) -> String {
        if self.walk.started().date() == self.walk.last().date() { at.clock() } else { at.to_string() }
    }

    /// The language of the walk.
    #[must_use]
    pub fn lang(&self) -> Lang {
        self.walk.lang()
    }
}

/// What is printed: a title and sections.
pub(super) struct Sheet {
    pub(super) title: String,
    pub(super) lang: Lang,
    pub(super) sections: Vec<Section>,
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
