//! `loomwalk plan --matrix`, as another program uses it: exit codes, JSON, errors in one line.

use assert_cmd::Command;
use serde_json::{Value, json};

fn given(input: &str, format: &[&str]) -> (i32, String, String) {
    let output = Command::cargo_bin("loomwalk")
        .expect("the program")
        .args(["plan", "--matrix", "-"])
        .args(format)
        .write_stdin(input)
        .output()
        .expect("it runs");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("UTF-8");
    (output.status.code().expect("an exit code"), text(output.stdout), text(output.stderr))
}

fn planned(input: &Value) -> Value {
    let (code, out, err) = given(&input.to_string(), &[]);
    assert_eq!((code, err.as_str()), (0, ""));
    serde_json::from_str(&out).expect("JSON")
}

fn refused(input: &str) -> String {
    let (code, out, err) = given(input, &[]);
    assert_eq!((code, out.as_str()), (2, ""), "{err}");
    assert_eq!(err.lines().count(), 1, "{err}");
    err.trim_end().to_owned()
}

#[test]
fn a_plan_has_minutes_a_bound_and_the_order() {
    let plan = planned(&json!({
        "faults": {"wire": 3, "contact": 2, "switch": 1, "coil": 1},
        "tests": {
            "look": {"minutes": 2.0, "outcomes": {"wire": "rubbed", "contact": "well", "switch": "well", "coil": "well"}},
            "volts": {"minutes": 4, "outcomes": {"wire": "low", "contact": "low", "switch": "high", "coil": "high"}},
            "both": {"minutes": 0, "outcomes": {"wire": "same", "contact": "same", "switch": "same", "coil": "same"}},
        },
    }));
    // Look first: 7·2 + (2+1+1)·4 = 30 of 7; volts first: 7·4 + 5·2 = 38.
    assert_eq!(plan["format"], 1);
    assert_eq!(plan["expected"], 30.0 / 7.0);
    assert_eq!(plan["exact"], true);
    let expected = json!({"test": "look", "minutes": 2.0, "outcomes": {
        "rubbed": ["wire"],
        "well": {"test": "volts", "minutes": 4.0, "outcomes": {
            "low": ["contact"],
            "high": ["switch", "coil"],
        }},
    }});
    assert_eq!(plan["order"], expected);
    // Three leaves of 3, 2, 2 of 7 in a binary code: (4 + 7) / 7 tests of 2 min.
    let bound = plan["lower_bound"].as_f64().expect("a number");
    assert!((bound - 22.0 / 7.0).abs() < 1e-12);
}

#[test]
fn one_fault_or_no_test_is_a_plan_without_minutes() {
    let one = planned(&json!({"faults": {"f": 0.2}, "tests": {"t": {"minutes": 3, "outcomes": {"f": "a"}}}}));
    assert_eq!((&one["expected"], &one["order"]), (&json!(0.0), &json!(["f"])));
    let none = planned(&json!({"faults": {"f": 0.2, "g": 7}, "tests": {}}));
    assert_eq!((&none["expected"], &none["lower_bound"]), (&json!(0.0), &json!(0.0)));
    assert_eq!((&none["exact"], &none["order"]), (&json!(true), &json!(["f", "g"])));
}

#[test]
fn twenty_faults_by_twenty_tests_are_planned_exactly() {
    // Recorded optimum of an independent program (exact dynamic programming over integers).
    let case: Value = serde_json::from_str(include_str!("vectors/sequencing/scale-f20.json")).expect("JSON");
    let list = |value: &Value| value.as_array().expect("a list").clone();
    let faults: Vec<String> =
        list(&case["faults"]).iter().map(|f| f.as_str().expect("a name").to_owned()).collect();
    let shares: Value = faults.iter().cloned().zip(list(&case["weights"])).collect();
    let tests: Value = list(&case["tests"])
        .iter()
        .map(|test| {
            let labels = list(&test["result"]).into_iter().map(|r| json!(r.to_string()));
            let outcomes: Value = faults.iter().cloned().zip(labels).collect();
            let name = test["id"].as_str().expect("a name").to_owned();
            (name, json!({"minutes": test["cost"], "outcomes": outcomes}))
        })
        .collect();
    let plan = planned(&json!({"faults": shares, "tests": tests}));
    assert_eq!(plan["exact"], true);
    assert_eq!(plan["expected"], case["optimal_expected_cost"]);
}

#[test]
fn the_readable_form_says_the_same() {
    let input = json!({
        "faults": {"a": 1, "b": 1, "c": 2},
        "tests": {"t": {"minutes": 5, "outcomes": {"a": "lit", "b": "lit", "c": "dark"}}},
    });
    let (code, out, _) = given(&input.to_string(), &["--format", "text"]);
    assert_eq!(code, 0);
    insta::assert_snapshot!(out, @r"
    5.00 min expected, the best order there is; nothing can do better than 5.00
    t, 5 min
      lit: a, b (no test tells them apart)
      dark: c
    ");
}

#[test]
fn what_is_wrong_is_told_in_one_line_with_its_names() {
    let with_test = |test: &str| format!(r#"{{"faults":{{"f1":1,"f2":2}},"tests":{{"t1":{test}}}}}"#);
    let missing = refused(&with_test(r#"{"minutes":1,"outcomes":{"f1":"a"}}"#));
    assert_eq!(missing, r#"loomwalk: test "t1": no outcome for fault "f2""#);
    let stranger = refused(&with_test(r#"{"minutes":1,"outcomes":{"f1":"a","f2":"b","f3":"c"}}"#));
    assert_eq!(stranger, r#"loomwalk: test "t1": an outcome for "f3", which is not among the faults"#);
    let minutes = refused(&with_test(r#"{"minutes":-1,"outcomes":{"f1":"a","f2":"b"}}"#));
    assert_eq!(minutes, r#"loomwalk: test "t1": -1 minutes; it must be 0 or more"#);
    let share = refused(r#"{"faults":{"f1":-0.5},"tests":{}}"#);
    assert_eq!(share, r#"loomwalk: fault "f1": a share of -0.5; it must be 0 or more"#);
    assert_eq!(refused(r#"{"faults":{"f1":0},"tests":{}}"#), "loomwalk: all shares are 0");
    assert_eq!(refused(r#"{"faults":{},"tests":{}}"#), "loomwalk: no faults: there is nothing to tell apart");
    assert!(refused(r#"{"faults":{"f1":1,"f1":2},"tests":{}}"#).contains(r#""f1" stands twice"#));
    assert!(refused(r#"{"faults":{"f1":1}}"#).contains("missing field `tests`"));
    assert!(refused("{").contains("line 1"));
    assert!(refused("").contains("line 1"));
    assert!(refused(r#"{"faults":{"f1":1e999},"tests":{}}"#).contains("out of range"));
}

#[test]
fn a_file_that_is_not_there_is_told_by_name() {
    let output = Command::cargo_bin("loomwalk")
        .expect("the program")
        .args(["plan", "--matrix", "no-such-file.json"])
        .output()
        .expect("it runs");
    assert_eq!(output.status.code(), Some(2));
    let err = String::from_utf8(output.stderr).expect("UTF-8");
    assert!(err.starts_with("loomwalk: no-such-file.json: ") && err.lines().count() == 1, "{err}");
}
