//! How long a very large tree takes to be loaded and checked, beside a bare parse of the same text by the same parser;
//! ratios in one run.
//!
//! Aims: 10,000 steps in twice the bare parse and 100 MB; 100,000 steps in eleven times as long as 10,000. It fails where
//! one is missed.
//!
//! Both sizes are taken by turns, and the median of each counts: what was freed by the larger one is given back to the
//! system, so that either finds its memory as a program finds it that has just been started. Measured is the processor
//! time of the thread, where the system tells it, because others may be at work beside it.
//!
//! Run with `cargo bench --bench size`.

use std::fmt::Write as _;
use std::io::Write as _;
use std::time::{Duration, Instant};

use loomwalk::author::check;
use loomwalk::diag::{FileId, Limits, Problems, Source, Weight, parse_yaml};
use loomwalk::tree::{examine, load};

const ROUNDS: usize = 7;
const SIZES: [usize; 2] = [10_000, 100_000];

fn main() {
    let small = Source::new("large.yaml", generated(SIZES[0]));
    checked(&small);
    let memory = peak_kilobytes();
    let sources = [small, Source::new("large.yaml", generated(SIZES[1]))];
    let mut times: [[Vec<f64>; 2]; 2] = Default::default();
    for _ in 0..ROUNDS {
        for (source, [bare, whole]) in sources.iter().zip(&mut times) {
            bare.push(timed(|| granit_parser::Parser::new_from_str(&source.text).flatten().count()));
            whole.push(timed(|| checked(source)));
        }
    }
    let [[bare, whole], [bare_large, whole_large]] = times.map(|of_size| of_size.map(median));
    let mut out = std::io::stdout();
    for (steps, bare, whole) in [(SIZES[0], bare, whole), (SIZES[1], bare_large, whole_large)] {
        let _ = writeln!(
            out,
            "{steps} steps: bare parse {:.0} ms, loaded and checked {:.0} ms, {:.2} times",
            bare * 1e3,
            whole * 1e3,
            whole / bare
        );
    }
    stages(&sources, &mut out);
    let (by_bare, by_tenth) = (whole / bare, whole_large / whole);
    let _ = writeln!(
        out,
        "{} steps in {by_tenth:.1} times as long as {} (bare parses: {:.1})",
        SIZES[1],
        SIZES[0],
        bare_large / bare
    );
    let megabytes = |kilobytes: u32| f64::from(kilobytes) * 1024.0 / 1e6;
    let _ = writeln!(
        out,
        "peak memory {} for {}, {} for {}",
        memory.map_or("not told".to_owned(), |kb| format!("{:.0} MB", megabytes(kb))),
        SIZES[0],
        peak_kilobytes().map_or("not told".to_owned(), |kb| format!("{:.0} MB", megabytes(kb))),
        SIZES[1]
    );
    assert!(by_bare <= 2.0, "{by_bare:.2} times the bare parse");
    assert!(by_tenth <= 11.0, "{by_tenth:.1} times as long as a tenth of it");
    assert!(memory.is_none_or(|kb| megabytes(kb) <= 100.0), "{memory:?} kB");
}

/// A part of the work, by what has been done at its end.
type Stage = (&'static str, fn(&Source) -> usize);

const STAGES: [Stage; 3] = [
    ("nodes with their places", |source| {
        let mut problems = Problems::default();
        usize::from(parse_yaml(&source.text, FileId(0), Limits::default(), &mut problems).is_some())
    }),
    ("and steps", |source| usize::from(load(source, &()).tree.is_some())),
    ("and what they do and need, and every check", |source| {
        usize::from(examine(source, &()).course.is_some())
    }),
];

/// What each part takes at either size, and how it grows.
fn stages(sources: &[Source; 2], out: &mut dyn std::io::Write) {
    for (name, stage) in STAGES {
        let mut times: [Vec<f64>; 2] = Default::default();
        for _ in 0..3 {
            for (source, times) in sources.iter().zip(&mut times) {
                times.push(timed(|| stage(source)));
            }
        }
        let [small, large] = times.map(median);
        let _ = writeln!(
            out,
            "  {name}: {:.0} ms, {:.0} ms, {:.1} times",
            small * 1e3,
            large * 1e3,
            large / small
        );
    }
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
