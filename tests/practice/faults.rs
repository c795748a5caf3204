//! Practice when something goes wrong: killed at any moment, a full disk, a folder that cannot be written. What was
//! answered is in the log.

use std::io::{BufRead, BufReader, Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use loomwalk::job::{Disk, FileLayer, JobPlace, Kept, read_journal};

/// How often practice is killed.
const KILLS: u32 = 60;

/// On the telephone, then three gates item by item, with notes and measurements between them, stopped or not.
fn lines() -> Vec<String> {
    let mut lines = vec![String::new(), "1".to_owned(), "AP".to_owned()];
    for gate in [2..=7, 1..=6, 1..=5] {
        lines.extend(gate.map(|item| item.to_string()));
        lines.push("note the horn sounds".to_owned());
        lines.push("ohms X1:1b GND1".to_owned());
    }
    lines
}

fn practice(logs: &Path) -> Child {
    let mut command = Command::new(env!("CARGO_BIN_EXE_loomwalk"));
    command
        .args(["practice", "tests/tui/trees/yard-lamp.yaml", "--seed", "7", "--plain", "--logs"])
        .arg(logs);
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null());
    command.spawn().expect("it starts")
}

/// Ends of lines after which the program waits for a line.
fn is_question(line: &str) -> bool {
    ["Enter to ask.", "once for this practice:", "Seen?", "Said?", "Enter to read the meter.", "Done?"]
        .iter()
        .any(|end| line.trim_end().ends_with(end))
}

/// The log in a folder.
fn log(logs: &Path) -> Option<JobPlace> {
    let names = Disk.list(logs).ok()?;
    let name = names.into_iter().find(|name| name.to_string_lossy().ends_with(".job.jsonl"))?;
    Some(JobPlace::at(&logs.join(name)))
}

fn events(logs: &Path) -> usize {
    log(logs)
        .and_then(|place| read_journal::<Kept>(&Disk, &place).ok())
        .map_or(0, |found| found.records.len())
}

/// How many events are on the disk when each question stands there.
fn answered() -> Vec<usize> {
    let folder = tempfile::tempdir().expect("a folder");
    let mut child = practice(folder.path());
    let mut typed = child.stdin.take().expect("piped");
    let mut said = BufReader::new(child.stdout.take().expect("piped"));
    let mut safe = Vec::new();
    for line in std::iter::once(None).chain(lines().into_iter().map(Some)) {
        if let Some(line) = line {
            writeln!(typed, "{line}").expect("it listens");
        }
        let mut heard = String::new();
        while !is_question(&heard) {
            heard.clear();
            assert!(said.read_line(&mut heard).expect("text") > 0, "it ended before the last question");
        }
        safe.push(events(folder.path()));
    }
    child.kill().expect("it runs");
    child.wait().expect("it ends");
    safe
}

// On Unix killing is SIGKILL: the program gets no chance to tidy up.
#[test]
fn practice_killed_at_any_moment_has_in_its_log_what_was_answered() {
    let safe = answered();
    assert!(safe.windows(2).all(|pair| pair[0] <= pair[1]) && safe.last() > Some(&20), "{safe:?}");
    let (in_its_middle, answers, torn) = (AtomicUsize::new(0), AtomicUsize::new(0), AtomicUsize::new(0));
    let one = |nth: &u32| {
        let folder = tempfile::tempdir().expect("a folder");
        let mut child = practice(folder.path());
        let mut typed = child.stdin.take().expect("piped");
        typed.write_all((lines().join("\n") + "\n").as_bytes()).expect("it listens");
        // One after the other of its questions is waited for, and then some hundreds of microseconds.
        let (mut heard, mut said) = (BufReader::new(child.stdout.take().expect("piped")), String::new());
        let wanted = usize::try_from(*nth).expect("small") * (safe.len() - 1) / KILLS as usize;
        while said.lines().filter(|line| is_question(line)).count() <= wanted {
            assert!(heard.read_line(&mut said).expect("text") > 0, "it ended before");
        }
        std::thread::sleep(Duration::from_micros(u64::from(nth * 97 % 800)));
        child.kill().expect("killed, or ended before");
        child.wait().expect("it ended");
        drop(typed);
        heard.read_to_string(&mut said).expect("text");
        // What was said up to the kill; a question that was cut off is none.
        let whole = said.rfind('\n').map_or("", |at| &said[..=at]);
        let questions = whole.lines().filter(|line| is_question(line)).count();
        let acknowledged = questions.checked_sub(1).map_or(0, |at| safe[at]);
        let found = log(folder.path()).map(|place| read_journal::<Kept>(&Disk, &place).expect("readable"));
        let (records, damage) =
            found.as_ref().map_or((0, 0), |found| (found.records.len(), found.damage.len()));
        assert_eq!(damage, 0, "kill {nth}");
        assert!(records >= acknowledged, "kill {nth}: {acknowledged} answered, {records} in the log");
        answers.fetch_add(acknowledged, Ordering::Relaxed);
        torn.fetch_add(usize::from(found.is_some_and(|found| found.torn.is_some())), Ordering::Relaxed);
        in_its_middle
            .fetch_add(usize::from((1..*safe.last().unwrap_or(&0)).contains(&records)), Ordering::Relaxed);
    };
    let kills: Vec<u32> = (1..=KILLS).collect();
    crate::support::parallel::of_each(&kills, one);
    let (middle, answers) = (in_its_middle.into_inner(), answers.into_inner());
    let _ = writeln!(
        std::io::stderr(),
        "{KILLS} kills, {middle} in the middle of a sitting: {answers} events answered, none lost, {} torn",
        torn.into_inner()
    );
    assert!(middle > 30, "hardly any sitting was killed in its middle");
}

/// Practises on a small disk in a mount namespace of its own; what was said, and what is left on the disk. None where
/// no disk can be mounted.
fn on_small_disk(options: &str, typed: &str) -> Option<(Option<i32>, String, PathBuf, tempfile::TempDir)> {
    let folder = tempfile::tempdir().expect("a folder");
    let script = "mkdir \"$1/disk\" \"$1/after\" && mount -t tmpfs -o \"$2\" tmpfs \"$1/disk\" && touch \"$1/ready\" || exit 99\n\
                  \"$0\" practice tests/tui/trees/yard-lamp.yaml --seed 7 --plain --logs \"$1/disk/logs\"\n\
                  code=$?; cp -r \"$1/disk/.\" \"$1/after\"; exit $code";
    let mut child = Command::new("unshare")
        .args(["--user", "--map-root-user", "--mount", "sh", "-c", script, env!("CARGO_BIN_EXE_loomwalk")])
        .arg(folder.path())
        .arg(options)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .ok()?;
    let mut stdin = child.stdin.take().expect("piped");
    let text = typed.to_owned();
    // It stops listening when the disk is full.
    let typing = std::thread::spawn(move || stdin.write_all(text.as_bytes()));
    let output = child.wait_with_output().expect("it ends");
    let _ = typing.join();
    if !folder.path().join("ready").exists() {
        let _ = writeln!(std::io::stderr(), "skipped: no small disk can be mounted here");
        return None;
    }
    let said = String::from_utf8_lossy(&[output.stdout, output.stderr].concat()).into_owned();
    Some((output.status.code(), said, folder.path().join("after/logs"), folder))
}

#[test]
fn a_full_disk_is_told_and_everything_before_it_is_kept() {
    let notes = format!("note {}\n", "x".repeat(4000)).repeat(200);
    let Some((code, said, logs, _folder)) = on_small_disk("size=400k", &notes) else { return };
    assert_eq!(code, Some(2), "{said}");
    let told = said.lines().find(|line| line.starts_with("loomwalk: ")).expect("a message");
    assert!(told.contains("every step before this one is safe: make room on the disk"), "{told}");
    assert!(!told.contains("--resume") && !told.contains("--jobs"), "{told}");
    // Each note that was taken was followed by the question again; the first stood there before any.
    let taken = said.lines().filter(|line| line.ends_with("Enter to ask.")).count() - 1;
    let found = read_journal::<Kept>(&Disk, &log(&logs).expect("a log")).expect("readable");
    assert!(taken > 10 && found.damage.is_empty(), "{taken} {:?}", found.damage);
    assert_eq!(found.records.len(), taken + 1, "the opening and every note that was taken");
}

#[test]
fn a_folder_that_cannot_be_written_is_told_before_anything_begins() {
    let Some((code, said, logs, _folder)) = on_small_disk("ro", "") else { return };
    assert_eq!(code, Some(2), "{said}");
    assert!(said.contains("with --logs DIR") && !said.contains("--jobs"), "{said}");
    assert!(!logs.exists());
}
