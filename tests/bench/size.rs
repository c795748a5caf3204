//! How long a very large tree takes to be loaded and checked, beside a bare parse of the same text by the same parser;
//! ratios in one run.
//!
//! Aims: 10,000 steps in twice the bare parse and 100 MB; 100,000 steps in eleven times as long as 10,000.
//!
//! Run with `cargo bench --bench size`.

use std::fmt::Write as _;
use std::io::Write as _;
use std::time::{Duration, Instant};

use loomwalk::author::check;
use loomwalk::diag::{Source, Weight};

fn main() {
    let mut before: Option<Duration> = None;
    let mut out = std::io::stdout();
    for steps in [10_000, 100_000] {
        let text = generated(steps);
        let megabytes = f64::from(u32::try_from(text.len()).expect("it is below 4 GB")) / 1e6;
        let bare = best(|| granit_parser::Parser::new_from_str(&text).flatten().count());
        let source = Source::new("large.yaml", text);
        let whole = best(|| {
            let report = check(&source, &());
            assert_eq!(report.count(Weight::Refused), 0, "{:?}", report.problems.first().map(|p| &p.wrong));
            report.problems.len()
        });
        let times = whole.as_secs_f64() / bare.as_secs_f64();
        let _ = writeln!(
            out,
            "{steps} steps, {megabytes:.1} MB: bare parse {bare:.0?}, loaded and checked {whole:.0?}, {times:.1} times; \
             peak {}",
            peak()
        );
        if let Some(before) = before.replace(whole) {
            let times = whole.as_secs_f64() / before.as_secs_f64();
            let _ = writeln!(out, "{times:.1} times as long as a tenth of it");
        }
    }
}

fn best(mut run: impl FnMut() -> usize) -> Duration {
    let timed = |run: &mut dyn FnMut() -> usize| {
        let begun = Instant::now();
        divan::black_box(run());
        begun.elapsed()
    };
    (0..3).map(|_| timed(&mut run)).min().unwrap_or_default()
}

/// The most memory that this process ever had, where the system tells.
fn peak() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.map_or_else(|| "not told".to_owned(), |line| line.trim().to_owned())
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
