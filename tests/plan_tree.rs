//! `plan TREE`: a tree's own tests in a better order, held against what is written, against the bound, and against
//! what `check --faults` says of the same tree.

use assert_cmd::Command;
use loomwalk::reason::{Effort, TreeOrder, followed, plan_tree};
use loomwalk::tree::{Act, Course, Kind, Look, Shipped, Step, Tree, examine};
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
    // c first (1 min, parts `three` from the rest; half of `one` and of `two` goes with it) leaves on either side at
    // least one more test of 1 min: two tests are a bound, and nothing valid can be above the best.
    assert!(bound >= 2.0 - 1e-9 && bound <= plan.best_found.value() + 1e-9, "{bound}");
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

/// A rub and a plug behind one reading; the tree locks out and parts the plug before it looks inside.
const PLUG: &str = r#"
loomwalk: 1
tree: plug
title: Plug
machine: example.yaml
symptom: {lift: fails, display: works}
setup: {key: "on", bar: down, door: shut}
start: safe
steps:
  safe: {gates: [park, lower-arms, lower-cab, raise-cab], go: rub}
  rub:
    look: W31 at the pivot clamp
    places: [W31@pivot-clamp]
    answers: {through: {text: Through, go: w31}, sound: {text: Sound, go: down}}
  down: {gates: [lower-cab, lockout], go: x14-apart}
  x14-apart: {do: Unplug X14., unplugs: X14, minutes: 2, go: x14-look}
  x14-look:
    look: X14, both halves
    places: [X14]
    answers: {green: {text: Green, go: x14}, good: {text: Good, go: away}}
  w31: {find: [W31 open at pivot-clamp], cause: a clamp, repair: {splice: W31}, go: away}
  x14: {find: ["X14:3 open"], cause: water, repair: {clean: X14}, go: away}
  away: {gates: [lower-cab, lockout, leave], go: gone}
  gone: {refer: Somebody else}
"#;

/// Holds an order against the tree by reading what stands in it: a look inside a plug has a step before it that parts
/// the plug, with no step since that put it together.
fn holds(order: &TreeOrder, tree: &Tree, apart: &[String]) -> usize {
    let TreeOrder::Test { step, through, ways, .. } = order else { return 0 };
    let mut apart = apart.to_vec();
    for ix in through {
        apart.extend(tree.step(*ix).done_to(Act::Unplugs).map(str::to_owned));
        let together: Vec<&str> = tree.step(*ix).done_to(Act::Plugs).collect();
        apart.retain(|plug| !together.contains(&plug.as_str()));
    }
    let look = tree.step(*step);
    let mut looked = 0;
    if let Kind::Look(Look { places, .. }) = &look.kind
        && let [place] = places.as_slice()
    {
        // Only where the tree itself parts it just before.
        let parts = |before: &Step| {
            before.done_to(Act::Unplugs).any(|plug| plug == place)
                && before.targets().first().and_then(|target| tree.land(*target)) == Some(*step)
        };
        if tree.steps.iter().any(parts) {
            assert!(apart.contains(place), "{}: {place} is still together", look.id);
            looked += 1;
        }
    }
    looked + ways.iter().map(|(_, next)| holds(next, tree, &apart)).sum::<usize>()
}

#[test]
fn a_look_inside_a_plug_asks_for_it_apart_behind_the_lock() {
    let course = course(PLUG);
    let plan = plan_tree(&course, Effort::Plan).expect("a plan");
    // Both looks cost the same in any order but for the gates: park 2, lower-arms 1, lockout 5, plug 2, look 2 for the
    // plug; raise-cab 6 in place of lockout and plug for the rub.
    assert!(plan.best_found.value() >= 2.0 + 1.0 + 5.0 + 2.0 + 2.0, "{plan:?}");
    assert!(plan.best_found.value() <= plan.as_written.value(), "{plan:?}");
    if let Some(order) = &plan.order {
        assert!(holds(order, course.tree(), &[]) > 0, "{order:?}");
    }
}

#[test]
fn an_order_of_a_shipped_tree_parts_the_plugs_it_looks_into() {
    let mut looked = 0;
    for name in ["tern/aux-drops-out", "heron/bus-down"] {
        let course =
            examine(&Shipped::named(name).expect("it is shipped"), &Shipped).course.expect("a course");
        let plan = plan_tree(&course, Effort::Suggestion).expect("a plan");
        let bound = plan.lower_bound.expect("a bound").value();
        assert!(bound <= plan.best_found.value() && plan.best_found.value() <= plan.as_written.value());
        looked += plan.order.map_or(0, |order| holds(&order, course.tree(), &[]));
    }
    assert!(looked > 0);
}
