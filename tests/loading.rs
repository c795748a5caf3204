//! Tree files: what loads, and what is told about what does not.

use loomwalk::diag::Source;
use loomwalk::tree::{Kind, Target, load};

const SMALL: &str = r#"
loomwalk: 1
tree: small
title: {en: Small, es: Chico}
use: [../common/safe.yaml]
start: first
steps:
  first:
    ask: {en: "Does it lift?", es: "¿Sube?"}
    phone: true
    answers:
      lifted: {text: {en: It does, es: Sí}, go: safe}
      still: {text: {en: It does not, es: "No"}, go: safe}
    cannot: safe
  safe: {run: make-safe, for: {plug: X14}, exits: {hurt: away}, go: volts}
  volts:
    read: volts
    red: A1:7
    zone: seat
    bands:
      - {below: 1.5 V, means: low, go: done}
      - {from: 1.5 V, go: away}
  done: {close: not-reproduced}
  away: {refer: Somebody else}
"#;

const SAFE: &str = r#"
loomwalk: 1
groups:
  make-safe:
    start: gates
    steps:
      gates: {gates: [park, lower-arms], go: apart, cannot: hurt}
      apart: {do: "Unplug {plug}.", unplugs: "{plug}", zone: outside, go: back}
"#;

#[test]
fn groups_and_gate_lists_are_written_out() {
    let sources = vec![Source::new("trees/common/safe.yaml", SAFE)];
    let loaded = load(&Source::new("trees/tern/small.yaml", SMALL), &sources);
    assert!(loaded.problems.is_empty(), "{:#?}", loaded.problems.list());
    let tree = loaded.tree.expect("a tree");
    let ids: Vec<&str> = tree.steps.iter().map(|s| s.id.as_str()).collect();
    assert_eq!(
        ids,
        ["first", "safe/gates/park", "safe/gates/lower-arms", "safe/apart", "volts", "done", "away"]
    );
    assert_eq!(tree.find("safe"), tree.find("safe/gates/park"));
    let apart = tree.step(tree.find("safe/apart").expect("a copy"));
    let Kind::Do(action) = &apart.kind else { panic!("an action") };
    assert_eq!(action.action.as_ref().map(loomwalk::diag::Text::en), Some("Unplug X14."));
    assert_eq!(action.go, Target::Step(tree.find("volts").expect("a step")));
    let park = tree.step(tree.find("safe/gates/park").expect("a gate"));
    assert_eq!(park.cannot, tree.find("away").map(Target::Step));
}

#[test]
fn everything_wrong_is_told_at_once() {
    let text = SMALL
        .replace("go: done}", "go: dnoe}")
        .replace("read: volts", "raed: volts")
        .replace("start: first", "start: frist");
    let sources = vec![Source::new("trees/common/safe.yaml", SAFE)];
    let loaded = load(&Source::new("trees/tern/small.yaml", text), &sources);
    let told: Vec<_> = loaded.problems.list().iter().map(|p| (p.rule, p.write.as_str())).collect();
    assert!(told.iter().any(|(rule, write)| *rule == "step-kind" && write.contains("`read:`")), "{told:?}");
    assert!(
        told.iter().any(|(rule, write)| *rule == "dangling-name" && write.contains("`first`")),
        "{told:?}"
    );
}
