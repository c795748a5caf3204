//! A recovered journal folded through the stepper, against the tree that it carries inside.
//!
//! A chain that was made anew over altered events still has to be a walk that could have happened.

use std::sync::Arc;

use crate::diag::Problems;
use crate::tree::examine;
use crate::walk::{Impossible, Walk};

use super::journal::Record;
use super::kept::Kept;

/// Why nothing can be made of a journal's events.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ReplayFault {
    /// It holds no event.
    #[error("the journal holds no event")]
    Empty,
    /// Its first event is not the beginning of a walk.
    #[error("the journal does not begin with a tree")]
    NoTree,
    /// The tree inside cannot be read any more.
    #[error("the tree inside this job cannot be read")]
    Unread,
    /// The tree inside would be refused today.
    #[error("the tree inside this job would be refused today; the job opens for viewing and reporting only")]
    Refused,
    /// An event could not have happened.
    #[error("this journal cannot be what happened: {0}")]
    Impossible(#[from] Impossible),
}

/// A job's events as a walk.
#[derive(Debug)]
pub struct Replayed {
    /// The walk as its events leave it, up to the first that could not have happened.
    pub walk: Walk,
    /// What keeps the tree inside from being walked today, and other problems.
    pub problems: Problems,
    /// The first event that could not have happened, if there is one.
    pub impossible: Option<Impossible>,
    /// The version of the program that began the job.
    pub version: String,
}

impl Replayed {
    /// The walk, if it may be gone on with.
    ///
    /// # Errors
    /// When its tree would be refused today, or an event could not have happened.
    pub fn walk_on(self) -> Result<Walk, ReplayFault> {
        if let Some(impossible) = self.impossible {
            return Err(impossible.into());
        }
        if self.walk.may_walk() { Ok(self.walk) } else { Err(ReplayFault::Refused) }
    }
}

/// Folds a journal's events.
///
/// # Errors
/// When there is no tree in them that could be read; everything else is data.
pub fn replay(records: &[Record<Kept>]) -> Result<Replayed, ReplayFault> {
    let first = records.first().ok_or(ReplayFault::Empty)?;
    let Kept::Opened(opening) = &first.event else { return Err(ReplayFault::NoTree) };
    let sources = opening.sources();
    let source = sources.first().cloned().ok_or(ReplayFault::NoTree)?;
    let mut examined = examine(&source, &sources);
    let problems = std::mem::take(&mut examined.problems);
    let mut walk = if problems.refused() {
        Walk::for_viewing(Arc::new(examined.course.ok_or(ReplayFault::Unread)?))
    } else {
        Walk::new(&examined.walkable().ok_or(ReplayFault::Unread)?)
    };
    let mut impossible = None;
    for record in records {
        if let Err(found) = walk.apply(record.event.event(), record.at) {
            impossible = Some(found);
            break;
        }
    }
    Ok(Replayed { walk, problems, impossible, version: opening.version.clone() })
}
