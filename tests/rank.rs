//! `loomwalk rank`: suspects after what was seen, with a machine and by the shape of the tree alone.

use assert_cmd::Command;
use serde_json::Value;

const TREE: &str = r#"
loomwalk: 1
tree: no-lift
title: No lift
MACHINE
symptom: {lift: fails, display: works}
setup: {key: "on", bar: down, door: shut}
start: bar-volts
steps:
  bar-volts:
    read: volts
    red: A1:7
    black: GND1
    power: live
    bands:
      - {below: 1.5 V, go: door-volts}
      - {from: 1.5 V, go: unplug}
  door-volts:
    read: volts
    red: A1:8
    black: GND1
    power: live
    bands:
      - {below: 3.5 V, go: door-low}
      - {above: 3.5 V, go: smell}
  smell:
    ask: Is there a burnt smell at the valve?
    answers:
      burnt: {text: "There is", go: coil}
      none: {text: "There is none", go: valve-side}
  unplug: {do: Unplug X14., unplugs: X14, go: wire-ohms}
  wire-ohms:
    read: ohms
    red: A1:7
    black: X14:3a
    power: isolated
    bands:
      - {below: 5 ohm, go: beyond}
      - {above: 5 ohm, go: wire-open}
  door-low: {find: [W35 grounded at pivot-clamp, S5 stuck closed], go: away}
  wire-open: {find: [W31 open, W31 open at pivot-clamp, W31 open at hose-crossing], go: away}
  beyond: {find: [W32 open, S4 stuck open], go: away}
  coil: {find: [Y1 shorted], go: away}
  valve-side: {find: [W40 open, X20:1 open], go: away}
  away: {refer: Somebody else}
"#;

struct Folder(tempfile::TempDir);

impl Folder {
    fn new(with_machine: bool) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let line = if with_machine { "machine: machine.yaml" } else { "revision: 1" };
        let write = |name, text: &str| std::fs::write(folder.path().join(name), text).expect("written");
        write("tree.yaml", &TREE.replace("MACHINE", line));
        write("machine.yaml", include_str!("machines/example.yaml"));
        Self(folder)
    }

    fn run(&self, answers: &str, more: &[&str]) -> (i32, String, String) {
        std::fs::write(self.0.path().join("seen.yaml"), answers).expect("written");
        let output = Command::cargo_bin("loomwalk")
            .expect("the program")
            .current_dir(&self.0)
            .args(["rank", "tree.yaml", "--answers", "seen.yaml"])
            .args(more)
            .output()
            .expect("it runs");
        let text = |bytes| String::from_utf8(bytes).expect("UTF-8");
        (output.status.code().expect("a code"), text(output.stdout), text(output.stderr))
    }

    fn ranked(&self, answers: &str) -> Value {
        let (code, out, err) = self.run(answers, &["--format", "json"]);
        assert_eq!((code, err.as_str()), (0, ""));
        serde_json::from_str(&out).expect("JSON")
    }
}

fn chance(ranked: &Value, fault: &str) -> f64 {
    let suspects = ranked["suspects"].as_array().expect("suspects");
    let line = suspects.iter().find(|line| line["fault"] == fault).expect("a suspect");
    line["probability"].as_f64().expect("a number")
}

fn total(ranked: &Value) -> f64 {
    let suspects = ranked["suspects"].as_array().expect("suspects");
    suspects.iter().map(|line| line["probability"].as_f64().expect("a number")).sum::<f64>()
        + ranked["not_listed"].as_f64().expect("a number")
}

#[test]
fn readings_bring_the_suspects_together() {
    let folder = Folder::new(true);
    let before = folder.ranked("[]");
    assert!((total(&before) - 1.0).abs() < 1e-12);
    assert!((before["not_listed"].as_f64().expect("a number") - 0.05).abs() < 1e-12);
    assert_eq!(before["evidence"], serde_json::json!([]));

    // 5 V at the bar's input: its circuit is open somewhere. Unplugged, OL to the plug: the wire.
    let after = folder.ranked("- {step: bar-volts, reading: 5.0 V}\n- {step: wire-ohms, reading: OL}\n");
    assert!((total(&after) - 1.0).abs() < 1e-12);
    let wire = ["W31 open", "W31 open at pivot-clamp", "W31 open at hose-crossing"];
    assert!(wire.iter().map(|fault| chance(&after, fault)).sum::<f64>() > 0.9, "{after}");
    assert!(chance(&after, "W35 grounded at pivot-clamp") < 0.01);
    let evidence = after["evidence"].as_array().expect("evidence");
    assert_eq!((&evidence[1]["step"], &evidence[1]["outcome"]), (&"wire-ohms".into(), &"OL".into()));
    assert!(evidence.iter().all(|seen| seen["bits"].as_f64().expect("bits") > 1.0));
    // The first of the list is the most probable.
    assert!(wire.contains(&after["suspects"][0]["fault"].as_str().expect("a name")));
}

#[test]
fn the_order_of_readings_does_not_matter_and_of_two_at_one_step_the_last_counts() {
    let folder = Folder::new(true);
    let one = folder.ranked("- {step: bar-volts, reading: 0.02 V}\n- {step: door-volts, reading: 0.05 V}\n");
    let other =
        folder.ranked("- {step: door-volts, reading: 0.05 V}\n- {step: bar-volts, reading: 0.02 V}\n");
    let again = folder.ranked(
        "- {step: bar-volts, reading: 5.0 V}\n- {step: door-volts, reading: 0.05 V}\n- {step: bar-volts, reading: 0.02 V}\n",
    );
    let fault = "W35 grounded at pivot-clamp";
    assert!(chance(&one, fault) > 0.2);
    assert!((chance(&one, fault) - chance(&other, fault)).abs() < 1e-12);
    assert!((chance(&one, fault) - chance(&again, fault)).abs() < 1e-12);
}

#[test]
fn readings_like_nothing_listed_fit_none() {
    let folder = Folder::new(true);
    let (code, out, _) =
        folder.run("- {step: bar-volts, reading: 9.0 V}\n- {step: door-volts, reading: 9.0 V}\n", &[]);
    assert_eq!(code, 0);
    assert!(out.starts_with("What you saw fits none of the faults this tree knows.\n"), "{out}");
}

#[test]
fn without_a_machine_the_shape_of_the_tree_speaks() {
    let folder = Folder::new(false);
    let ranked = folder.ranked(
        "- {step: bar-volts, reading: 0.1 V}\n- {step: door-volts, reading: 5 V}\n- {step: smell, answer: none}\n",
    );
    assert!((total(&ranked) - 1.0).abs() < 1e-12);
    assert!(chance(&ranked, "W40 open") > 0.3 && chance(&ranked, "X20:1 open") > 0.3);
    assert!(chance(&ranked, "Y1 shorted") < 0.05);
    assert!(chance(&ranked, "W31 open") < 0.01);
}

#[test]
fn what_cannot_be_used_is_told() {
    let folder = Folder::new(true);
    let refused = |answers: &str| {
        let (code, out, err) = folder.run(answers, &[]);
        assert_eq!((code, out.as_str()), (2, ""), "{err}");
        err
    };
    assert!(refused("- {step: nowhere, answer: x}\n").contains("`nowhere`"));
    assert!(refused("- {step: smell, answer: sweet}\n").contains("there is no answer `sweet`"));
    assert!(refused("- {step: bar-volts, reading: a lot}\n").contains("step `bar-volts`"));
    assert!(refused("- {step: bar-volts, answer: yes}\n").contains("an answer to a `read`"));
    assert!(refused("{").contains("answers file"));
}
