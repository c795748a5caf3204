//! What one job says of shares: the faults that its proved finding names, and which of them was seen.

use std::collections::BTreeSet;

use crate::job::journal::Recovered;
use crate::job::kept::Kept;
use crate::job::replay::replay;
use crate::tree::{CloseAs, Kind};
use crate::walk::{EndedAs, Now, Walk, Walker};

/// A job that counts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Counted {
    /// The machine.
    pub machine: String,
    /// The faults that its finding names.
    pub faults: Vec<String>,
    /// The one that was seen, if the repair sheet says so.
    pub seen: Option<String>,
    /// For each find of its tree the faults that it names: what this job could have told.
    pub could_tell: Vec<Vec<String>>,
}

/// Why a job does not count.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotCounted {
    /// It cannot be read or replayed.
    #[error("it cannot be read: {0}")]
    Unread(String),
    /// It was practice.
    #[error("practice on a simulated machine")]
    Practice,
    /// It is not closed as repaired.
    #[error("not closed as repaired")]
    NotRepaired,
    /// It has no finding, or its tree no machine.
    #[error("no finding on a modelled machine")]
    NoFinding,
}

/// What a job says, if it was closed as repaired.
///
/// # Errors
/// Why it does not count.
pub fn counted(found: &Recovered<Kept>) -> Result<Counted, NotCounted> {
    let replayed = replay(&found.records).map_err(|fault| NotCounted::Unread(fault.to_string()))?;
    if let Some(impossible) = replayed.impossible {
        return Err(NotCounted::Unread(impossible.to_string()));
    }
    let walk = replayed.walk;
    if walk.walker() == Walker::Practice {
        return Err(NotCounted::Practice);
    }
    if *walk.now() != Now::Ended(EndedAs::Closed(CloseAs::Repaired)) {
        return Err(NotCounted::NotRepaired);
    }
    let tree = walk.course().tree();
    let machine = tree.model.as_ref().ok_or(NotCounted::NoFinding)?.name.clone();
    let (find, _) = *walk.findings().last().ok_or(NotCounted::NoFinding)?;
    let named = |step: &crate::tree::Step| match &step.kind {
        Kind::Find(find) => Some(find.faults.clone()),
        _ => None,
    };
    let faults = named(tree.step(find)).unwrap_or_default();
    let could_tell: BTreeSet<Vec<String>> = tree.steps.iter().filter_map(named).collect();
    let seen = seen(&walk, &faults);
    Ok(Counted { machine, faults, seen, could_tell: could_tell.into_iter().collect() })
}

/// The one fault of the finding that the last repair sheet names in full.
fn seen(walk: &Walk, faults: &[String]) -> Option<String> {
    let said = &walk.repairs().last()?.said;
    let is_named = |fault: &&String| said.iter().any(|(_, value)| value.contains(fault.as_str()));
    let mut named = faults.iter().filter(is_named);
    let first = named.next()?;
    // A name may stand inside a longer one: the longest of several counts, if it holds them all.
    let longest = named.chain([first]).max_by_key(|fault| fault.len())?;
    let others = faults.iter().filter(is_named).all(|fault| longest.contains(fault.as_str()));
    others.then(|| longest.clone())
}
