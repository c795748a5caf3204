//! The archive: every job in a folder, each folded to what a listing needs of it.
//!
//! Jobs are read and folded on all cores, one job in memory per core at a time.

mod brief;
mod facts;
mod html;
mod leader;
mod lines;
mod sums;

pub use brief::{Brief, Trace};
pub use facts::{Facts, TreeFacts};
pub use html::archive_html;
pub use leader::leader_was_found;
pub use lines::archive_lines;
pub use sums::{Archive, ArchiveJob, Repeat, copies_of};

use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};

use serde::de::DeserializeOwned;

use super::journal::{FileLayer, JournalError, Recovered, read_journal_by};
use super::place::{JobPlace, jobs_in};

/// One job of a folder, and what was made of it.
#[derive(Debug)]
pub struct Survey<S> {
    /// Where it lies.
    pub place: JobPlace,
    /// What the fold made of it, or why it cannot be read.
    pub outcome: Result<S, JournalError>,
}

/// Folds every job of a folder, in the order of their names.
///
/// The fold gets what was recovered: damage and torn tails are for it to tell. What it reads as an
/// event may be less than the whole event. A folder that is not there holds no jobs.
///
/// # Errors
/// When the folder cannot be listed.
pub fn survey<E, S>(
    layer: &dyn FileLayer,
    folder: &Path,
    fold: impl Fn(&JobPlace, Recovered<E>) -> S + Sync,
) -> Result<Vec<Survey<S>>, JournalError>
where
    E: DeserializeOwned,
    S: Send,
{
    let read = |text: &str| serde_json::from_str::<E>(text).map_err(|error| error.to_string());
    survey_by(layer, folder, &read, &|_, _| {}, fold)
}

/// Folds every job of a folder by what a listing needs of it: the texts inside a job are hashed and not read.
/// `progress` hears how many are done, and of how many.
///
/// # Errors
/// When the folder cannot be listed.
pub fn survey_briefly<S: Send>(
    layer: &dyn FileLayer,
    folder: &Path,
    progress: &(dyn Fn(usize, usize) + Sync),
    fold: impl Fn(&JobPlace, Recovered<Brief>) -> S + Sync,
) -> Result<Vec<Survey<S>>, JournalError> {
    survey_by(layer, folder, &brief::brief, progress, fold)
}

fn survey_by<E, S: Send>(
    layer: &dyn FileLayer,
    folder: &Path,
    read: &(dyn Fn(&str) -> Result<E, String> + Sync),
    progress: &(dyn Fn(usize, usize) + Sync),
    fold: impl Fn(&JobPlace, Recovered<E>) -> S + Sync,
) -> Result<Vec<Survey<S>>, JournalError> {
    let places = jobs_in(layer, folder)?;
    let (next, finished) = (AtomicUsize::new(0), AtomicUsize::new(0));
    let work = || {
        let mut done = Vec::new();
        while let Some(place) = places.get(next.fetch_add(1, Ordering::Relaxed)) {
            let outcome = read_journal_by(layer, place, read).map(|found| fold(place, found));
            done.push(Survey { place: place.clone(), outcome });
            progress(finished.fetch_add(1, Ordering::Relaxed) + 1, places.len());
        }
        done
    };
    let cores = match places.len() {
        // Asking the system costs more than reading one.
        few @ 0..=1 => few,
        many => std::thread::available_parallelism().map_or(1, usize::from).min(many),
    };
    let mut all: Vec<Survey<S>> = std::thread::scope(|scope| {
        let others: Vec<_> = (1..cores).map(|_| scope.spawn(work)).collect();
        let own = work();
        let theirs = others.into_iter().flat_map(|other| match other.join() {
            Ok(done) => done,
            Err(panic) => std::panic::resume_unwind(panic),
        });
        own.into_iter().chain(theirs).collect()
    });
    all.sort_by(|one, other| one.place.file().cmp(other.place.file()));
    Ok(all)
}
