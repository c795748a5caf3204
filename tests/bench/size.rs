//! How long a very large tree takes to be loaded and checked, beside a bare parse of the same text by the same parser;
//! ratios in one run.
//!
//! Aims: 10,000 steps in twice the bare parse and 100 MB; 100,000 steps in eleven times as long as 10,000. It fails where
//! one is missed.
//!
//! Each is measured in a process of its own that does nothing else, by turns: what an earlier one left behind, room that is
//! still there or a table that was grown, is no help then, as it is none to who checks a file. The median of each counts.
//! Measured is the processor time of the thread, where the system tells it, because others may be at work beside it.
//!
//! Run with `cargo bench --bench size`.

use std::fmt::Write as _;
use std::io::Write as _;
use std::process::Command;
use std::time::{Duration, Instant};

use loomwalk::author::check;
use loomwalk::diag::{FileId, Limits, Nodes, Problems, Source, Weight};
use loomwalk::tree::{examine, load};

const ROUNDS: usize = 9;
const SIZES: [usize; 2] = [10_000, 100_000];

/// A part of the work, by what has been done at its end.
type Stage = (&'static str, fn(&Source) -> usize);

/// What is measured: a bare parse, the parts of our own work, the whole.
const STAGES: [Stage; 5] = [
    ("bare parse", |source| granit_parser::Parser::new_from_str(&source.text).flatten().count()),
    ("nodes with their places", |source| {
        let mut problems = Problems::default();
        usize::from(
            Nodes::default().parse_yaml(&source.text, FileId(0), Limits::default(), &mut problems).is_some(),
        )
    }),
    ("and steps", |source| usize::from(load(source, &()).tree.is_some())),
    ("and what they do and need, and every check", |source| {
        usize::from(examine(source, &()).course.is_some())
    }),
    ("loaded and checked", checked),
];

fn main() {
    let asked: Vec<usize> = std::env::args().skip(1).filter_map(|word| word.parse().ok()).collect();
    if let [stage, steps] = asked.as_slice() {
        return measure(*stage, *steps);
    }
    let mut times: Vec<[Vec<f64>; 2]> = vec![<[Vec<f64>; 2]>::default(); STAGES.len()];
    let mut memory = [None; 2];
    for _ in 0..ROUNDS {
        for (stage, times) in times.iter_mut().enumerate() {
            for (size, steps) in SIZES.iter().enumerate() {
                let (seconds, kilobytes) = in_a_process(stage, *steps);
                times[size].push(seconds);
                memory[size] = memory[size].max(kilobytes);
            }
        }
    }
    let medians: Vec<[f64; 2]> = times.into_iter().map(|of_stage| of_stage.map(median)).collect();
    let mut out = std::io::stdout();
    for ((name, _), [small, large]) in STAGES.iter().zip(&medians) {
        let (small_ms, large_ms) = (small * 1e3, large * 1e3);
        let _ =
            writeln!(out, "{name:<44} {small_ms:>5.0} ms {large_ms:>6.0} ms {:>6.1} times", large / small);
    }
    let ([bare, bare_large], [whole, whole_large]) = (medians[0], medians[STAGES.len() - 1]);
    let (by_bare, by_tenth) = (whole / bare, whole_large / whole);
    let _ = writeln!(
        out,
        "{} steps in {by_bare:.2} times the bare parse, {} in {:.2} times, and in {by_tenth:.1} times as long as the fewer",
        SIZES[0],
        SIZES[1],
        whole_large / bare_large
    );
    let megabytes = |kilobytes: u32| f64::from(kilobytes) * 1024.0 / 1e6;
    let shown = memory.map(|kb| kb.map_or("not told".to_owned(), |kb| format!("{:.0} MB", megabytes(kb))));
    let _ = writeln!(out, "peak memory {} and {}", shown[0], shown[1]);
    assert!(by_bare <= 2.0, "{by_bare:.2} times the bare parse");
    assert!(by_tenth <= 11.0, "{by_tenth:.1} times as long as a tenth of it");
    assert!(memory[0].is_none_or(|kb| megabytes(kb) <= 100.0), "{memory:?} kB");
}

/// What one of the stages takes at one size, in this process: seconds, and the most kilobytes it ever had.
fn measure(stage: usize, steps: usize) {
    let source = Source::new("large.yaml", generated(steps));
    let seconds = timed(|| STAGES[stage].1(&source));
    let _ = writeln!(std::io::stdout(), "{seconds} {}", peak_kilobytes().unwrap_or(0));
}

/// The same in a new process.
fn in_a_process(stage: usize, steps: usize) -> (f64, Option<u32>) {
    let this = std::env::current_exe().expect("the bench itself");
    let done = Command::new(this).arg(stage.to_string()).arg(steps.to_string()).output().expect("it runs");
    let said = String::from_utf8_lossy(&done.stdout);
    let (seconds, kilobytes) = said.trim().split_once(' ').expect("two numbers");
    let kilobytes = kilobytes.parse().expect("kilobytes");
    (seconds.parse().expect("seconds"), (kilobytes > 0).then_some(kilobytes))
}

fn checked(source: &Source) -> usize {
    let report = check(source, &());
    assert_eq!(report.count(Weight::Refused), 0, "{:?}", report.problems.first().map(|p| &p.wrong));
    report.problems.len()
}

/// Seconds that something takes of the processor.
fn timed(run: impl FnOnce() -> usize) -> f64 {
    let (begun, clock) = (on_processor(), Instant::now());
    divan::black_box(run());
    let spent = on_processor().zip(begun).map(|(now, begun)| now.saturating_sub(begun));
    spent.unwrap_or_else(|| clock.elapsed()).as_secs_f64()
}

/// How long this thread has been on a processor, where the system tells: the first number of its `schedstat`, in
/// nanoseconds (Linux, Documentation/scheduler/sched-stats.rst).
fn on_processor() -> Option<Duration> {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    told.split_whitespace().next()?.parse().ok().map(Duration::from_nanos)
}

fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

/// The most memory that this process ever had, where the system tells.
fn peak_kilobytes() -> Option<u32> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.trim().trim_end_matches(" kB").trim().parse().ok()
}

/// A tree of so many steps, each leading to the next and to one further on: 340 bytes a step.
fn generated(steps: usize) -> String {
    let mut text = "loomwalk: 1\ntree: large\ntitle: A large tree\nstart: s0\nsteps:\n".to_owned();
    let words = [
        "What did the lamp do while the harness was moved by hand along its way to the next clamp",
        "When you followed the harness: rubs, heat, green copper, water in plugs, or nothing of that",
    ];
    for at in 0..steps - 1 {
        let (near, far) = (at + 1, (at + 7).min(steps - 1));
        let said = words[at % words.len()];
        let _ = writeln!(
            text,
            "  s{at}:\n    ask: \"{said}, number {at}?\"\n    answers:\n      \
             same: {{text: Nothing changed and nothing is to be seen, means: steady, go: s{near}}}\n      \
             other: {{text: It blinked or is rubbed through, means: loose or damaged, go: s{far}}}\n    \
             text: Wipe it first, and hold it by hand only."
        );
    }
    let _ = writeln!(
        text,
        "  s{}: {{gates: [park, lower-arms, lower-cab, lockout, leave], go: end}}\n  end: {{refer: Somebody else goes on}}",
        steps - 1
    );
    text
}
