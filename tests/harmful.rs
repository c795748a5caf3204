//! Eleven ways to hurt someone, as tree files: each refused for its own reason, with the path that shows it.
//!
//! The ways are the project's own list, after accidents that are common knowledge in the trade; no outside source. The
//! fourth also with everything put back, through every gate that an author might take for one that takes the lock off.

use std::path::Path;

use loomwalk::diag::{Locator, Paint, Problem, Source, SourceError, Sources, Weight, problem_text};
use loomwalk::tree::{Examined, examine};

/// A tree that needs no other file.
struct Alone;

impl Sources for Alone {
    fn fetch(&self, _from: &str, wanted: &str) -> Result<Source, SourceError> {
        Err(SourceError::Missing { name: wanted.to_owned() })
    }
}

fn read(name: &str) -> Examined {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad_trees/harmful").join(name);
    let text = std::fs::read_to_string(path).expect("a tree file");
    examine(&Source::new(name, text), &Alone)
}

fn told(examined: &Examined) -> String {
    let mut locator = Locator::new(&examined.files);
    let texts = examined.problems.list().iter();
    texts.map(|p| problem_text(p, &examined.files, &mut locator, Paint::Plain) + "\n").collect()
}

/// The refusal by this rule at this step.
fn refusal<'e>(examined: &'e Examined, rule: &str, step: &str) -> &'e Problem {
    let fits = |p: &&Problem| p.rule == rule && p.path.last().is_some_and(|(last, _)| last == step);
    examined
        .problems
        .list()
        .iter()
        .find(fits)
        .unwrap_or_else(|| panic!("no {rule} at {step}: {}", told(examined)))
}

/// Each way: the file, the rule and the step that refuse it, and the step at which what is missing was lost.
const WAYS: [(&str, &str, &str, &str); 15] = [
    ("01-second-round-under-the-cab", "gate-arms-raised", "lift-cab/lockout", "in-service/run-up"),
    ("02-pressure-back", "hydraulics-pressurised", "open", "start/run-up"),
    ("03-crank-under-the-cab", "setup-contradicts", "while-cranking", "while-cranking"),
    ("04-cut-then-started", "start-locked-out", "start/run-up", "make-safe/lockout"),
    ("04-cut-then-started-put-back-live-test", "start-locked-out", "start/run-up", "make-safe/lockout"),
    ("04-cut-then-started-put-back-park", "start-locked-out", "start/run-up", "make-safe/lockout"),
    ("04-cut-then-started-put-back-lower-arms", "start-locked-out", "start/run-up", "make-safe/lockout"),
    ("04-cut-then-started-put-back-support-arms", "start-locked-out", "start/run-up", "make-safe/lockout"),
    ("05-drive-test-still-parked", "gate-not-parked", "stop/lower-arms", "drive"),
    ("06-first-question-moves-the-arms", "watch-not-parked", "try", "try"),
    ("07-no-zone", "no-zone", "bar-volts", "bar-volts"),
    ("08-referred-cab-up-key-on", "refer-not-left", "handed", "handed"),
    ("09-bridged-and-started", "start-not-whole", "start/run-up", "bridge"),
    ("10-closed-locked", "close-locked", "not-reproduced", "make-safe/lockout"),
    ("11-heat-before-hot-work", "heat-early", "repair", "repair"),
];

#[test]
fn each_is_refused_for_its_own_reason_with_the_path_shown() {
    let mut others = Vec::new();
    for (name, rule, step, lost) in WAYS {
        let examined = read(&format!("{name}.yaml"));
        let problem = refusal(&examined, rule, step);
        assert_eq!(problem.weight, Weight::Refused, "{name}");
        let noted = problem.path.iter().any(|(at, note)| at == lost && !note.is_empty());
        if !noted && rule != "no-zone" {
            others.push(format!("{name}: {:?}", problem.path));
        }
        insta::with_settings!({omit_expression => true}, {
            insta::assert_snapshot!(format!("harmful_{name}"), told(&examined));
        });
        assert!(examined.walkable().is_none(), "{name} could be walked");
    }
    assert!(others.is_empty(), "lost elsewhere: {others:#?}");
}

#[test]
fn no_way_is_forgotten() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad_trees/harmful");
    let mut files: Vec<String> = std::fs::read_dir(folder)
        .expect("the folder")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().replace(".yaml", ""))
        .collect();
    files.sort();
    let mut ways: Vec<&str> = WAYS.iter().map(|(name, ..)| *name).collect();
    ways.sort_unstable();
    assert_eq!(files, ways);
}

/// What refuses a tree must be its danger and nothing beside it: with the one thing put right it is walked.
#[test]
fn with_the_one_thing_put_right_each_may_be_walked() {
    let mended = [
        (
            "01-second-round-under-the-cab",
            "[park, lockout, raise-cab",
            "[park, lower-arms, lockout, raise-cab",
        ),
        (
            "02-pressure-back",
            "stop: {gates: [park, lower-arms]",
            "stop: {gates: [park, lower-arms, live-test, release-pressure]",
        ),
        ("03-crank-under-the-cab", "{key: crank}", "{key: \"on\"}"),
        ("04-cut-then-started", "[live-test, run-up]", "[put-back, release-lockout, run-up]"),
        (
            "04-cut-then-started-put-back-park",
            "[put-back, park, run-up]",
            "[put-back, park, release-lockout, run-up]",
        ),
        ("05-drive-test-still-parked", "stop: {gates: [", "stop: {gates: [park, "),
        ("07-no-zone", "    red: A1:7\n", "    red: A1:7\n    zone: under-cab\n"),
        ("09-bridged-and-started", "start: {gates: [run-up]", "start: {gates: [lockout]"),
        ("10-closed-locked", "[put-back, leave]", "[put-back, release-lockout, leave]"),
        ("11-heat-before-hot-work", "lower-cab, lockout]", "lower-cab, lockout, hot-work]"),
    ];
    for (name, wrong, right) in mended {
        let file = format!("{name}.yaml");
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad_trees/harmful").join(&file);
        let mut text = std::fs::read_to_string(path).expect("a tree file");
        assert!(text.contains(wrong), "{name}");
        text = text.replace(wrong, right);
        if name.starts_with("09") {
            // Nothing is started any more: what was bridged is read with the power out.
            text = text.replace("go: try}", "go: bridge-off}");
            let from = text.find("  try:").expect("the question");
            let to = text.find("  bridge-off:").expect("the end");
            text.replace_range(from..to, "");
        }
        let examined = examine(&Source::new(file, text), &Alone);
        assert!(!examined.problems.refused(), "{name}: {}", told(&examined));
    }
}
