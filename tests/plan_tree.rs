//! `plan TREE`: a tree's own tests in a better order, held against what is written, against the bound, and against
//! what `check --faults` says of the same tree.

use assert_cmd::Command;
use loomwalk::reason::{Effort, followed, plan_tree};
use loomwalk::tree::{Course, examine};
use serde_json::Value;

use super::suggestion::Machines;

/// Faults by how long they take to look for, told apart by untied answers: 10 min first, then 1 min, then 1 min.
const SHAPE: &str = r#"
loomwalk: 1
tree: three
title: Three
symptom: {}
start: a
steps:
  a: {ask: "A?", minutes: 10, answers: {y: {text: Y, go: f1}, n: {text: N, go: b}}}
  b: {ask: "B?", minutes: 1, answers: {y: {text: Y, go: f2}, n: {text: N, go: c}}}
  c: {ask: "C?", minutes: 1, answers: {y: {text: Y, go: f3}, n: {text: N, go: f4}}}
  f1: {find: [one], cause: c, repair: {clean: p}, go: away}
  f2: {find: [two], cause: c, repair: {clean: p}, go: away}
  f3: {find: [three], cause: c, repair: {clean: p}, go: away}
  f4: {find: [four], cause: c, repair: {clean: p}, go: away}
  away: {refer: Away}
"#;

fn course(text: &str) -> Course {
    examine(&loomwalk::diag::Source::new("tree.yaml", text), &Machines).course.expect("a course")
}

/// As written: one 10, two 11, three 12, four 12, so 11.25 in the mean. From the shape, what an answer that leads
/// nowhere near a fault would be goes both ways: `one` at b and c; so the orders are counted by hand here.
#[test]
fn minutes_as_written_are_those_counted_by_hand() {
    let plan = plan_tree(&course(SHAPE), Effort::Check).expect("a plan");
    assert!((plan.as_written.value() - (10.0 + 11.0 + 12.0 + 12.0) / 4.0).abs() < 1e-9);
    assert!(plan.best_found.value() <= plan.as_written.value());
    let bound = plan.lower_bound.expect("a bound").value();
    // Four finds of equal share, three outcomes at most counting "none takes it": Huffman with three letters has a
    // mean length of 1.5 (padded to five), and no test takes less than 1 min. By hand.
    assert!((bound - 1.5).abs() < 1e-9, "{bound}");
}

#[test]
fn following_suggestions_never_takes_more_than_the_written_order() {
    for text in [SHAPE.to_owned(), super::suggestion::TREE.replace("MACHINE", "machine: example.yaml")] {
        let course = course(&text);
        let followed = followed(&course).expect("it finds something");
        assert!(followed.following.value() <= followed.as_written.value() + 1e-9, "{followed:?}");
    }
    // The tree with a test of 30 min before one of 3 that parts the same.
    let slow = course(&super::suggestion::TREE.replace("MACHINE", "machine: example.yaml"));
    let followed = followed(&slow).expect("it finds something");
    assert!(followed.following.value() < 0.9 * followed.as_written.value(), "{followed:?}");
    let plan = plan_tree(&slow, Effort::Check).expect("a plan");
    assert!(plan.best_found.value() < 0.9 * plan.as_written.value(), "{plan:?}");
}

fn told(arguments: &[&str]) -> Value {
    let output = Command::new(env!("CARGO_BIN_EXE_loomwalk")).args(arguments).output().expect("it runs");
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).expect("JSON")
}

#[test]
fn plan_and_check_say_the_same_of_one_tree() {
    let folder = tempfile::tempdir().expect("a folder");
    let machine = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/machines/example.yaml");
    std::fs::copy(machine, folder.path().join("example.yaml")).expect("copied");
    let tree = folder.path().join("tree.yaml");
    std::fs::write(&tree, super::suggestion::TREE.replace("MACHINE", "machine: example.yaml"))
        .expect("written");
    let tree = tree.to_str().expect("a name");
    let plan = told(&["plan", tree, "--format", "json"]);
    let minutes = &told(&["check", tree, "--faults", "--format", "json"])["files"][0]["minutes"];
    let number = |value: &Value| value.as_f64().expect("a number");
    assert!((number(&plan["as_written"]) - number(&minutes["as_written"])).abs() < 1e-6, "{plan} {minutes}");
    assert!(number(&minutes["best_found"]) <= number(&minutes["as_written"]));
    assert!(number(&minutes["lower_bound"]) <= number(&minutes["best_found"]));
    assert!(minutes["exact"].is_boolean());
    assert_eq!(plan["order"]["step"], "bar-volts");
    let text = Command::new(env!("CARGO_BIN_EXE_loomwalk"))
        .args(["plan", tree, "--order"])
        .output()
        .expect("it runs");
    insta::assert_snapshot!(String::from_utf8(text.stdout).expect("text"));
}
