//! A folder of ten thousand jobs listed, beside jq reading the same files: `cargo bench --bench jobs`, with a number of
//! jobs (10,000 if none is given). Each is the demo job begun on another day at another machine, its chain made anew.
//! Prints wall time and CPU of each, best of three, and the ratio; it fails where a listing takes more CPU than two
//! cores have in three seconds, or does not notice one altered byte.

#![allow(clippy::print_stdout)]

#[path = "../support/failing_disk.rs"]
#[allow(dead_code)]
mod failing_disk;

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use failing_disk::FailingDisk;
use loomwalk::job::{Held, Holder, JobName, JobPlace, Kept, Recovered, recover};
use loomwalk::walk::{Details, Event, Moment};

const DEMO: &str = include_str!("../../demo/no-lift.job.jsonl");
const DAY_MS: i64 = 24 * 60 * 60 * 1000;
/// Ticks of the clock by which Linux counts a process's time: `getconf CLK_TCK` (proc(5), from memory).
const TICK: Duration = Duration::from_millis(10);

fn main() {
    let words = || std::env::args().skip(1);
    let count = words().find_map(|word| word.parse::<usize>().ok()).unwrap_or(10_000);
    let folder = tempfile::tempdir().expect("a folder");
    let bytes = make(folder.path(), count);
    println!("{count} jobs, {} MB", bytes / 1_000_000);

    let list = |format: &str| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_loomwalk"));
        command.args(["job", "list", "--format", format, "--jobs"]).arg(folder.path());
        command
    };
    let ours = best(|| list("text"));
    println!("job list           {:>6.2} s wall, {:>6.2} s CPU", ours.0.as_secs_f64(), ours.1.as_secs_f64());
    let mut sums = Command::new(env!("CARGO_BIN_EXE_loomwalk"));
    sums.args(["job", "archive", "--jobs"]).arg(folder.path());
    let (wall, cpu) = timed(&mut sums);
    println!("job archive        {:>6.2} s wall, {:>6.2} s CPU", wall.as_secs_f64(), cpu.as_secs_f64());
    // jq reads every line and keeps what a listing needs; `find` hands it the names in as few runs as there can be.
    let jq = || {
        let mut command = Command::new("find");
        command.arg(folder.path()).args([
            "-name",
            "*.jsonl",
            "-exec",
            "jq",
            "-c",
            "[.seq, .at, (.event | keys?)]",
            "{}",
            "+",
        ]);
        command
    };
    if Command::new("jq").arg("--version").stdout(Stdio::null()).status().is_ok() {
        let theirs = timed(&mut jq());
        let ratio = theirs.1.as_secs_f64() / ours.1.as_secs_f64();
        println!(
            "jq, the same files {:>6.2} s wall, {:>6.2} s CPU: {ratio:.1} times ours",
            theirs.0.as_secs_f64(),
            theirs.1.as_secs_f64()
        );
    }

    let altered = folder.path().join("j00007.job.jsonl");
    let mut bytes = std::fs::read(&altered).expect("there");
    let at = bytes.len() / 2;
    bytes[at] ^= 1;
    std::fs::write(&altered, bytes).expect("written");
    let said = list("csv").output().expect("it runs");
    let said = String::from_utf8_lossy(&said.stdout).into_owned();
    assert_eq!(said.matches(",damaged,").count(), 1, "one byte in {count} jobs is noticed");
    assert!(ours.1 < Duration::from_secs(6), "more than two cores have in three seconds");
}

/// Writes the jobs; how many bytes they have.
fn make(folder: &Path, count: usize) -> u64 {
    let found: Recovered<Kept> = recover(DEMO.as_bytes());
    let mut bytes = 0;
    for nth in 0..count {
        let name = format!("j{nth:05}");
        let disk = FailingDisk::with_folders(&["/jobs"]);
        let place = JobPlace::named(Path::new("/jobs"), &JobName::new(&name).expect("a plain name"));
        let shift =
            |at: Moment| Moment { wall_ms: at.wall_ms + i64::try_from(nth / 20).unwrap_or(0) * DAY_MS, ..at };
        let mut records = found.records.iter();
        let first = records.next().expect("an opening");
        let mut opening = first.event.clone();
        if let Kept::Opened(opened) = &mut opening
            && let Event::Begun { details, .. } = &mut opened.event
        {
            *details = Details { serial: Some(format!("{}", 4000 + nth)), ..details.clone() };
        }
        let holder = Holder { process: 1, host: None, since: shift(first.at) };
        let held = Held::new_job(&disk, &place, &holder).expect("room");
        let mut journal = held.begin(shift(first.at), &opening).expect("room");
        for record in records {
            journal.append(shift(record.at), &record.event).expect("room");
        }
        let file = format!("{name}.job.jsonl");
        let text = disk.bytes(&format!("/jobs/{file}")).expect("written");
        bytes += text.len() as u64;
        std::fs::write(folder.join(file), text).expect("written");
    }
    bytes
}

fn best(mut command: impl FnMut() -> Command) -> (Duration, Duration) {
    (0..3).map(|_| timed(&mut command())).min_by_key(|(wall, _)| *wall).expect("three")
}

/// Wall time and CPU time of a command, its children's included.
fn timed(command: &mut Command) -> (Duration, Duration) {
    let (began, before) = (Instant::now(), of_children());
    let status = command.stdout(Stdio::null()).status().expect("it runs");
    assert!(status.success(), "{status}");
    (began.elapsed(), of_children().saturating_sub(before))
}

/// CPU time of children that have ended, by Linux (`/proc/self/stat`, fields 16 and 17 of proc(5)); nothing elsewhere.
fn of_children() -> Duration {
    let text = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let after = text.rsplit_once(") ").map_or("", |(_, after)| after);
    // The third field comes first after the name.
    after
        .split(' ')
        .skip(13)
        .take(2)
        .filter_map(|ticks| ticks.parse::<u32>().ok())
        .map(|ticks| TICK * ticks)
        .sum()
}
