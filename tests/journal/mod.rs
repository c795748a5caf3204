//! The journal against everything that can happen to the file behind a job.
//!
//! The form of a line is the project's own; its hash is BLAKE3. The disk that fails is in
//! `support/failing_disk.rs`; a small real one is mounted where the system lets us.

mod archive;
mod clock;
mod command;
mod copies;
mod ends;
mod disk;
mod failing;
mod listing;
mod recovery;
mod walked;

use std::path::Path;

use loomwalk::job::{Held, Holder, JobName, JobPlace, Journal, JournalError, Recovered};
use loomwalk::walk::Moment;
use serde::{Deserialize, Serialize};

use crate::support::failing_disk::FailingDisk;

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) enum Event {
    Begun { version: String, tree: String },
    Said { step: String, answer: String },
    WentOn { cut: u64 },
}

pub(crate) fn begun() -> Event {
    Event::Begun { version: "0.1.0".to_owned(), tree: "steps:\n  ask: «¿qué?»\n".to_owned() }
}

pub(crate) fn said(count: usize) -> Event {
    Event::Said { step: format!("s{count}"), answer: "läuft\n\"hash\":\"".to_owned() }
}

pub(crate) fn at(count: usize) -> Moment {
    // 2026-03-02T07:40+01:00
    Moment { wall_ms: 1_772_433_600_000, offset_min: 60, mono_ms: count as u64 * 1000 }
}

pub(crate) fn holder(process: u32) -> Holder {
    Holder { process, host: Some("van-3".to_owned()), since: at(0) }
}

pub(crate) fn place(folder: &Path) -> JobPlace {
    JobPlace::named(folder, &JobName::new("0318").expect("a plain name"))
}

/// A journal of this many events, and the events.
pub(crate) fn journal(events: usize) -> (Vec<u8>, Vec<Event>) {
    let disk = FailingDisk::with_folders(&["/jobs"]);
    let all: Vec<Event> = std::iter::once(begun()).chain((1..events).map(said)).collect();
    let held = Held::new_job(&disk, &place(Path::new("/jobs")), &holder(1)).expect("room");
    let mut journal = held.begin(at(0), &all[0]).expect("room");
    for (count, event) in all.iter().enumerate().skip(1) {
        journal.append(at(count), event).expect("room");
    }
    (disk.bytes("/jobs/0318.job.jsonl").expect("written"), all)
}

pub(crate) fn events(found: &Recovered<Event>) -> Vec<Event> {
    found.records.iter().map(|record| record.event.clone()).collect()
}

/// Walks on by this many steps; what was acknowledged is pushed to `safe`.
pub(crate) fn walk_on(
    mut journal: Journal<Event>,
    safe: &mut Vec<Event>,
    steps: usize,
) -> Result<(), JournalError> {
    for _ in 0..steps {
        let event = said(safe.len());
        let outcome = journal.append(at(safe.len()), &event);
        if outcome.is_err() {
            let again = journal.append(at(0), &event).expect_err("closed after a failed write");
            assert!(matches!(again, JournalError::Stopped { .. }), "{again}");
        }
        outcome?;
        safe.push(event);
    }
    Ok(())
}
