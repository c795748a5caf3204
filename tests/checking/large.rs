//! Large and hostile trees: no recursion over steps, and time that grows with the size only.

use std::fmt::Write as _;
use std::time::{Duration, Instant};

use loomwalk::author;

use super::source;

/// A tree whose steps form one long row, each with a way out at the side.
fn row_of(steps: usize) -> String {
    let mut text = String::from("loomwalk: 1\ntree: row\ntitle: A long row\nstart: s0\nsteps:\n");
    for at in 0..steps {
        let next = if at + 1 == steps { "done".to_owned() } else { format!("s{}", at + 1) };
        let _ = writeln!(
            text,
            "  s{at}:\n    read: volts\n    red: A1:7\n    zone: seat\n    text: Back-probe at {at}. Do not pierce.\n    \
             minutes: 4\n    bands:\n      - {{below: 1.5 V, means: low, go: {next}}}\n      \
             - {{from: 1.5 V, to: 3.5 V, go: done}}\n      - {{above: 3.5 V, go: {next}}}\n    cannot: done"
        );
    }
    text.push_str("  done: {close: not-reproduced}\n");
    text
}

fn told(text: String) -> (Vec<&'static str>, Duration) {
    let source = source(text);
    let began = Instant::now();
    let report = author::check(&source, &Vec::new());
    (report.problems.iter().map(|p| p.rule).collect(), began.elapsed())
}

/// Rules without a machine and without the safety check, which finds much in a row of readings without gates.
fn of_shape(rules: &[&str]) -> Vec<String> {
    let safety = |rule: &str| loomwalk::safety::SafetyRule::named(rule).is_some();
    rules.iter().filter(|rule| !safety(rule)).map(|rule| (*rule).to_owned()).collect()
}

#[test]
fn ten_thousand_steps_in_a_row() {
    let (rules, took) = told(row_of(10_000));
    assert_eq!(of_shape(&rules), Vec::<String>::new());
    assert!(took < Duration::from_secs(30), "{took:?} in a debug build");
}

#[test]
fn a_round_of_ten_thousand_steps_is_one_cycle() {
    let (rules, took) = told(row_of(10_000).replace(
        "bands:\n      - {below: 1.5 V, means: low, go: done}",
        "bands:\n      - {below: 1.5 V, means: low, go: s0}",
    ));
    assert_eq!(of_shape(&rules), ["cycle"]);
    assert!(took < Duration::from_secs(30), "{took:?} in a debug build");
}

#[test]
fn a_file_of_dangling_names_is_told_in_time() {
    let mut text = String::from("loomwalk: 1\ntree: row\ntitle: Names\nstart: s0\nsteps:\n");
    for at in 0..5_000 {
        let _ = writeln!(text, "  s{at}: {{do: Wipe the plug., zone: outside, go: nowhere-at-all-{at}}}");
    }
    let (rules, took) = told(text);
    assert!(rules.iter().all(|rule| *rule == "dangling-name"));
    assert!(took < Duration::from_secs(30), "{took:?} in a debug build");
}
