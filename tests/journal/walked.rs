//! Jobs that were really walked: a forged one, one taken up again, one killed at any moment.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use loomwalk::job::{Disk, Held, JobName, JobPlace, Kept, Record, Recovered, read_journal, recover};
use loomwalk::walk::Event;
use serde_json::Value;

use super::holder;

/// How many events the walk of `walks/parked.answers.yaml` has.
pub(crate) const EVENTS: usize = 37;

fn file(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/journal/walks").join(name)
}

pub(crate) fn program() -> Command {
    Command::new(env!("CARGO_BIN_EXE_loomwalk"))
}

/// The command that walks the tree by its answers.
fn walk(folder: &Path, more: &[&str]) -> Command {
    let mut command = program();
    command.arg("walk").arg(file("parked.yaml")).arg("--answers").arg(file("parked.answers.yaml"));
    command.args(["--job", "0318"]).args(more).arg("--jobs").arg(folder);
    command
}

pub(crate) fn place(folder: &Path) -> JobPlace {
    JobPlace::named(folder, &JobName::new("0318").expect("a plain name"))
}

/// The bytes of the walked job.
pub(crate) fn walked() -> Vec<u8> {
    let folder = tempfile::tempdir().expect("a folder");
    let output = walk(folder.path(), &[]).output().expect("it runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    std::fs::read(place(folder.path()).file()).expect("a journal")
}

/// Chains these records again, as somebody would who wants the journal to hold.
pub(crate) fn chained_again(records: &[Record<Kept>]) -> Vec<u8> {
    let folder = tempfile::tempdir().expect("a folder");
    let place = place(folder.path());
    let (first, rest) = records.split_first().expect("an opening");
    let held = Held::new_job(&Disk, &place, &holder(1)).expect("room");
    let mut journal = held.begin(first.at, &first.event).expect("room");
    for record in rest {
        journal.append(record.at, &record.event).expect("room");
    }
    drop(journal);
    std::fs::read(place.file()).expect("a journal")
}

fn verified(bytes: &[u8], more: &[&str]) -> (Option<i32>, Value) {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(place(folder.path()).file(), bytes).expect("a file");
    let mut command = program();
    command.args(["job", "verify", "0318", "--format", "json"]).args(more).arg("--jobs").arg(folder.path());
    let output = command.output().expect("it runs");
    (output.status.code(), serde_json::from_slice(&output.stdout).expect("one JSON value"))
}

fn kept(bytes: &[u8]) -> Vec<Record<Kept>> {
    let found: Recovered<Kept> = recover(bytes);
    assert!(found.verdict().is_whole());
    found.records
}

fn is_of_gate(record: &Record<Kept>, name: &str) -> bool {
    matches!(record.event.event(), Event::Item { gate, .. } if gate == name)
}

#[test]
fn the_same_answers_make_the_same_bytes() {
    let bytes = walked();
    assert_eq!(walked(), bytes);
    assert_eq!(kept(&bytes).len(), EVENTS);
    assert_eq!(chained_again(&kept(&bytes)), bytes, "chaining again is what a forger can do");
}

#[test]
fn a_chain_made_again_without_a_gate_could_not_have_happened() {
    let bytes = walked();
    let head = recover::<Kept>(&bytes).head().printed();
    assert_eq!(verified(&bytes, &["--head", &head]).0, Some(0));
    for gate in ["park", "lower-arms", "lower-cab", "lockout", "leave"] {
        let without: Vec<_> = kept(&bytes).into_iter().filter(|record| !is_of_gate(record, gate)).collect();
        let forged = chained_again(&without);
        let (code, told) = verified(&forged, &[]);
        assert_eq!(
            (code, &told["whole"], &told["possible"]),
            (Some(1), &true.into(), &false.into()),
            "{gate}"
        );
        let why = told["why"].as_str().expect("a reason");
        let from = kept(&bytes).iter().position(|record| is_of_gate(record, gate)).expect("the gate");
        let first = from + 1;
        assert!(why.contains(&format!("event {first} ")), "{gate}: {why}");
        assert_eq!(verified(&forged, &["--head", &head]).1["against"], "cut");
    }
}

#[test]
fn the_demo_job_cut_or_made_again_is_told() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/no-lift.job.jsonl");
    let bytes = std::fs::read(path).expect("the demo job");
    let head = recover::<Kept>(&bytes).head().printed();
    let (code, told) = verified(&bytes, &["--head", &head]);
    assert_eq!((code, &told["against"]), (Some(0), &"same".into()), "{told}");

    let cut = &bytes[..=bytes[..bytes.len() - 1].iter().rposition(|b| *b == b'\n').expect("lines")];
    assert_eq!(verified(cut, &[]).0, Some(0), "by itself a cut between events cannot be seen");
    let (code, told) = verified(cut, &["--head", &head]);
    assert_eq!((code, &told["against"]), (Some(1), &"cut".into()), "{told}");

    let without: Vec<_> = kept(&bytes).into_iter().filter(|record| !is_of_gate(record, "lockout")).collect();
    let (code, told) = verified(&chained_again(&without), &[]);
    assert_eq!((code, &told["whole"], &told["possible"]), (Some(1), &true.into(), &false.into()), "{told}");
}

#[test]
fn a_chain_made_again_over_a_tree_without_its_gate_is_refused() {
    let bytes = walked();
    let mut records: Vec<_> =
        kept(&bytes).into_iter().filter(|record| !is_of_gate(record, "leave")).collect();
    let Kept::Opened(opening) = &mut records[0].event else { panic!("an opening") };
    let text = opening.texts[0].text.replace("go: leave}", "go: handed-over}");
    opening.texts[0].text = text.replace("  leave: {gate: leave, go: handed-over}\n", "");
    let (code, told) = verified(&chained_again(&records), &[]);
    assert_eq!((code, &told["whole"], &told["refused"]), (Some(1), &true.into(), &true.into()), "{told}");
}

#[test]
fn an_event_left_out_or_moved_could_not_have_happened() {
    let bytes = walked();
    let records = kept(&bytes);
    for left_out in 1..EVENTS - 1 {
        if matches!(records[left_out].event.event(), Event::Note { .. }) {
            continue;
        }
        let mut without = records.clone();
        without.remove(left_out);
        assert_eq!(verified(&chained_again(&without), &[]).1["possible"], false, "event {}", left_out + 1);
    }
    let mut twice = records.clone();
    twice.insert(2, records[1].clone());
    assert_eq!(verified(&chained_again(&twice), &[]).1["possible"], false);
}

#[test]
fn a_torn_job_goes_on_and_records_the_cut() {
    let folder = tempfile::tempdir().expect("a folder");
    let place = place(folder.path());
    let bytes = walked();
    let line =
        |nth: usize| bytes.split_inclusive(|byte| *byte == b'\n').take(nth).map(<[u8]>::len).sum::<usize>();
    std::fs::write(place.file(), &bytes[..line(12) + 9]).expect("torn");
    let output = walk(folder.path(), &["--resume"]).output().expect("it runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let found = read_journal::<Kept>(&Disk, &place).expect("readable");
    assert_eq!(found.records[12].event.event(), &Event::Resumed { cut: Some(9) });
    let (code, told) = verified(&std::fs::read(place.file()).expect("there"), &[]);
    assert_eq!((code, &told["possible"]), (Some(0), &true.into()));
}

/// Kills a walk after so long, and says how many events can be read then.
fn killed(folder: &Path, more: &[&str], after: Duration) -> usize {
    let mut child =
        walk(folder, more).stdout(Stdio::null()).stderr(Stdio::null()).spawn().expect("it starts");
    std::thread::sleep(after);
    child.kill().expect("killed, or ended before");
    child.wait().expect("it ended");
    read_journal::<Kept>(&Disk, &place(folder)).map_or(0, |found| found.records.len())
}

/// How often a walk is killed.
const KILLS: u64 = 200;

// On Unix killing is SIGKILL: the program gets no chance to tidy up.
#[test]
fn a_walk_killed_at_any_moment_goes_on_and_loses_nothing() {
    let interrupted = std::sync::atomic::AtomicUsize::new(0);
    std::thread::scope(|threads| {
        for first in 0..4 {
            let interrupted = &interrupted;
            threads.spawn(move || {
                for round in (first..KILLS).step_by(4) {
                    let before = killed_and_gone_on(Duration::from_micros(2_000 + round * 400));
                    let in_its_middle = usize::from((1..EVENTS).contains(&before));
                    interrupted.fetch_add(in_its_middle, std::sync::atomic::Ordering::Relaxed);
                }
            });
        }
    });
    assert!(interrupted.into_inner() > 10, "hardly any walk was killed in its middle");
}

/// Kills a walk after so long, goes on with it, and holds what is there then against what was safe. Says how many
/// events were safe.
fn killed_and_gone_on(after: Duration) -> usize {
    let folder = tempfile::tempdir().expect("a folder");
    let before = killed(folder.path(), &[], after);
    let then = if before == 0 { vec![] } else { vec!["--resume"] };
    let safe = read_journal::<Kept>(&Disk, &place(folder.path())).map(|found| found.records);
    let output = walk(folder.path(), &then).output().expect("it runs");
    assert!(output.status.success(), "{after:?}: {}", String::from_utf8_lossy(&output.stderr));
    let found = read_journal::<Kept>(&Disk, &place(folder.path())).expect("readable");
    assert!(found.verdict().is_whole(), "{after:?}");
    assert!(found.records.starts_with(&safe.unwrap_or_default()), "{after:?}: an event was lost");
    let bytes = std::fs::read(place(folder.path()).file()).expect("there");
    let (code, told) = verified(&bytes, &[]);
    assert_eq!((code, &told["possible"]), (Some(0), &true.into()), "{after:?}: {told}");
    let notes = found.records.iter().filter(|one| matches!(one.event.event(), Event::Note { .. }));
    assert_eq!(notes.count(), 1, "{after:?}: an entry was taken twice, or left out");
    before
}
