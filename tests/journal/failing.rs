//! Each call to the disk fails in turn, and the power goes at each call.

use std::io::ErrorKind;
use std::path::Path;

use loomwalk::job::{Held, JobPlace, JournalError, recover};

use super::{Event, at, begun, events, holder, journal, place, said, walk_on};
use crate::support::failing_disk::{FailingDisk, Failure, Kept};

/// Walks, goes away, comes back and walks on; what was acknowledged is pushed to `safe`.
fn session(disk: &FailingDisk, safe: &mut Vec<Event>) -> Result<(), JournalError> {
    let place = place(Path::new("/home/jobs"));
    let held = Held::new_job(disk, &place, &holder(1))?;
    let journal = held.begin(at(0), &begun())?;
    safe.push(begun());
    walk_on(journal, safe, 3)?;
    go_on(disk, &place, safe)
}

fn go_on(disk: &FailingDisk, place: &JobPlace, safe: &mut Vec<Event>) -> Result<(), JournalError> {
    let held = Held::open_job(disk, place, &holder(2))?;
    let found = held.recover::<Event>()?;
    let event = Event::WentOn { cut: found.torn.map_or(0, |torn| torn.bytes) };
    let journal = held.go_on(&found, at(safe.len()), &event)?;
    *safe = events(&found);
    safe.push(event);
    walk_on(journal, safe, 2)
}

/// Whatever failed before: what was acknowledged is there, at most one event more, and the job opens.
fn opens_with(disk: &FailingDisk, safe: &[Event], what: &str) {
    let place = place(Path::new("/home/jobs"));
    let found = match disk.bytes("/home/jobs/0318.job.jsonl") {
        None => {
            assert!(safe.is_empty(), "{what}: the job is gone");
            session(disk, &mut Vec::new()).expect("the name is free");
            return;
        }
        Some(bytes) => recover::<Event>(&bytes),
    };
    assert!(found.damage.is_empty(), "{what}: {:?}", found.damage);
    let there = events(&found);
    assert!(there.starts_with(safe), "{what}: lost {:?} of {safe:?}", &there);
    assert!(there.len() <= safe.len() + 1, "{what}: {there:?}");
    let mut more = there.clone();
    go_on(disk, &place, &mut more).unwrap_or_else(|error| panic!("{what}: {error}"));
    let after = recover::<Event>(&disk.bytes("/home/jobs/0318.job.jsonl").expect("there"));
    assert!(after.verdict().is_whole(), "{what}");
    assert_eq!(events(&after), more, "{what}");
    assert!(more.starts_with(&there) && more.len() == there.len() + 3, "{what}");
}

fn new_disk() -> FailingDisk {
    FailingDisk::with_folders(&["/", "/home"])
}

/// Disks with a job whose last line is torn, and the events before it.
fn torn_disk() -> (FailingDisk, Vec<Event>) {
    let disk = FailingDisk::with_folders(&["/", "/home", "/home/jobs"]);
    let (bytes, all) = journal(3);
    disk.put("/home/jobs/0318.job.jsonl", &bytes[..bytes.len() - 7]);
    (disk, all[..2].to_vec())
}

#[test]
fn each_call_made_to_fail_loses_nothing_that_was_acknowledged() {
    let sound = new_disk();
    session(&sound, &mut Vec::new()).expect("nothing fails");
    let failures = [
        Failure::Refused(ErrorKind::StorageFull),
        Failure::Refused(ErrorKind::PermissionDenied),
        Failure::Full,
        Failure::Late,
    ];
    for call in 0..sound.calls() {
        for failure in failures {
            let (disk, mut safe) = (new_disk(), Vec::new());
            disk.fail(call, failure);
            let outcome = session(&disk, &mut safe);
            disk.mend();
            let what = format!("call {call}, {failure:?}");
            if let Err(error) = outcome {
                let text = error.to_string();
                let JournalError::File { cause, .. } = error else { panic!("{what}: {text}") };
                assert!(text.starts_with("/home") && text.contains(&cause.to_string()), "{what}: {text}");
            } else {
                let is_harmless = !matches!(failure, Failure::Late | Failure::Refused(_));
                assert!(is_harmless, "{what}: a failed call was not told");
            }
            opens_with(&disk, &safe, &what);
        }
    }
}

#[test]
fn the_power_may_go_at_each_call() {
    let sound = new_disk();
    session(&sound, &mut Vec::new()).expect("nothing fails");
    for call in 0..sound.calls() {
        for failure in [Failure::PowerBefore, Failure::PowerAfter] {
            for (names, halves) in [(false, 0), (false, 1), (false, 2), (true, 0), (true, 1), (true, 2)] {
                let (disk, mut safe) = (new_disk(), Vec::new());
                disk.fail(call, failure);
                session(&disk, &mut safe).expect_err("the power is gone");
                let what = format!("call {call}, {failure:?}, names {names}, halves {halves}");
                opens_with(&disk.after_power_cut(Kept { names, halves }), &safe, &what);
            }
        }
    }
}

#[test]
fn a_torn_tail_is_cut_in_one_step_or_not_at_all() {
    let (sound, mut safe) = torn_disk();
    let place = place(Path::new("/home/jobs"));
    go_on(&sound, &place, &mut safe).expect("nothing fails");
    assert!(matches!(safe[2], Event::WentOn { cut } if cut > 0), "the cut is recorded: {safe:?}");
    for call in 0..sound.calls() {
        for (names, halves) in [(false, 0), (false, 1), (true, 0), (true, 2)] {
            let (disk, before) = torn_disk();
            disk.fail(call, Failure::PowerAfter);
            let mut safe = before.clone();
            go_on(&disk, &place, &mut safe).expect_err("the power is gone");
            let found = disk.after_power_cut(Kept { names, halves });
            let there = recover::<Event>(&found.bytes("/home/jobs/0318.job.jsonl").expect("there"));
            let is_old = there.records.len() == 2 && there.torn.is_some();
            let is_new = there.records.len() > 2 && matches!(there.records[2].event, Event::WentOn { .. });
            assert!(is_old || is_new, "call {call}: cut without a record of it");
            opens_with(&found, &safe, &format!("call {call}"));
        }
    }
}

#[test]
fn only_going_on_cuts_a_torn_tail() {
    let (disk, _) = torn_disk();
    let before = disk.bytes("/home/jobs/0318.job.jsonl");
    let held = Held::open_job(&disk, &place(Path::new("/home/jobs")), &holder(1)).expect("there");
    let found = held.recover::<Event>().expect("readable");
    assert!(!found.verdict().is_whole());
    drop(held);
    assert_eq!(disk.bytes("/home/jobs/0318.job.jsonl"), before);
}

#[test]
fn a_damaged_job_is_not_gone_on_with() {
    let (mut bytes, _) = journal(3);
    bytes[20] ^= 1;
    let disk = FailingDisk::with_folders(&["/jobs"]);
    disk.put("/jobs/0318.job.jsonl", &bytes);
    let held = Held::open_job(&disk, &place(Path::new("/jobs")), &holder(1)).expect("there");
    let found = held.recover::<Event>().expect("readable");
    let error = held.go_on(&found, at(9), &said(9)).err().expect("damaged");
    assert!(error.to_string().contains("line 1"), "{error}");
    assert_eq!(disk.bytes("/jobs/0318.job.jsonl"), Some(bytes));
}

#[test]
fn a_file_that_another_program_changed_is_left_alone() {
    let disk = FailingDisk::with_folders(&["/jobs"]);
    let held = Held::new_job(&disk, &place(Path::new("/jobs")), &holder(1)).expect("room");
    let mut journal = held.begin(at(0), &begun()).expect("room");
    disk.put("/jobs/0318.job.jsonl", b"something else\n");
    let error = journal.append(at(1), &said(1)).expect_err("changed");
    assert!(matches!(error, JournalError::Changed { found: 15, .. }), "{error}");
    assert_eq!(disk.bytes("/jobs/0318.job.jsonl").as_deref(), Some(&b"something else\n"[..]));
}
