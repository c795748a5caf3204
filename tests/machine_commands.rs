//! `loomwalk predict` and `loomwalk faults`, as another program uses them.

use assert_cmd::Command;
use serde_json::{Value, json};

const EXAMPLE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/machines/example.yaml");

fn run(args: &[&str]) -> (i32, String, String) {
    let mut command = Command::cargo_bin("loomwalk").expect("the program");
    let output = command.args(args).output().expect("it runs");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("UTF-8");
    (output.status.code().expect("an exit code"), text(output.stdout), text(output.stderr))
}

fn predicted(args: &[&str]) -> Value {
    let (code, out, err) = run(&[&["predict", EXAMPLE, "--format", "json"], args].concat());
    assert_eq!((code, err.as_str()), (0, ""), "{args:?}");
    serde_json::from_str(&out).expect("JSON")
}

fn refused(args: &[&str], said: &str) {
    let (code, out, err) = run(&[&["predict", EXAMPLE], args].concat());
    assert_eq!((code, out.as_str()), (2, ""), "{args:?}: {err}");
    assert!(err.contains(said), "{args:?}: {err}");
}

const LIFTING: [&str; 4] = ["--with", "key=on,bar=down,door=shut", "--power", "live"];

#[test]
fn a_prediction_has_the_documented_form() {
    let shown = predicted(&LIFTING);
    let keys: Vec<&str> = shown.as_object().expect("an object").keys().map(String::as_str).collect();
    assert_eq!(
        keys,
        [
            "format",
            "machine",
            "fault",
            "setup",
            "points",
            "inputs",
            "outputs",
            "loads",
            "fuses_blown",
            "fuses_hot",
            "outputs_tripped",
            "chatter",
            "functions",
            "codes"
        ]
    );
    assert_eq!(
        (&shown["format"], &shown["machine"], &shown["fault"]),
        (&json!(1), &json!("tern"), &Value::Null)
    );
    assert_eq!(shown["inputs"], json!({"bar": "low", "door": "high"}));
    assert_eq!(shown["outputs"], json!({"lift-enable": true}));
    assert_eq!(shown["loads"], json!({"Y1": true}));
    assert_eq!(shown["functions"], json!({"lift": false, "display": true}));
    assert_eq!((&shown["chatter"], &shown["codes"]), (&json!(false), &json!([])));
    assert_eq!(shown["setup"]["with"]["key"], "on");
    let points = shown["points"].as_object().expect("points");
    assert!(points.len() >= 50, "all points without --red: {}", points.len());
    let bar = &points["A1:7"];
    assert!(bar["volts"].as_f64().expect("volts") < 0.01 && bar["floating"] == json!(false));
    assert!(bar.get("volts_range").is_none(), "only where it chatters");
    assert_eq!(points["A1:8"]["ohms"], Value::Null, "OL");
    let running = predicted(&["--with", "key=on,bar=down,door=shut", "--power", "running"]);
    assert_eq!(running["functions"]["lift"], true);
}

#[test]
fn setups_faults_and_today_are_taken_from_the_options() {
    let volts =
        |args: &[&str], point: &str| predicted(args)["points"][point]["volts"].as_f64().expect("volts");
    let at = |more: &[&'static str]| -> Vec<&'static str> { [&LIFTING[..], more].concat() };
    assert!(volts(&at(&["--red", "A1:7", "--fault", "W31 open"]), "A1:7") > 4.9);
    assert!(volts(&at(&["--red", "A1:7", "--unplugged", "X14"]), "A1:7") > 4.9);
    let drop = volts(&at(&["--red", "Y1:1", "--black", "Y1:2"]), "Y1:1");
    assert!((12.0..12.6).contains(&drop), "{drop}");
    let weak = volts(&at(&["--red", "B+", "--black", "B-", "--volts", "11.8"]), "B+");
    assert!((11.7..11.8).contains(&weak), "{weak}");
    let spread = at(&["--red", "A1:7", "--fault", "X14:3 resistive", "--ohms", "4k7"]);
    // 5 V over 2.2 kΩ and 4.7 kΩ.
    assert!((volts(&spread, "A1:7") - 5.0 * 4.7 / 6.9).abs() < 0.01);
    let cold = at(&["--red", "W40:1", "--black", "W40:2", "--celsius", "-10"]);
    assert!(volts(&cold, "W40:1") < volts(&at(&["--red", "W40:1", "--black", "W40:2"]), "W40:1"));
    let ohms = predicted(&[
        "--power",
        "isolated",
        "--unplugged",
        "X20",
        "--red",
        "Y1:1",
        "--black",
        "Y1:2",
        "--read",
        "ohms",
    ]);
    assert!((ohms["points"]["Y1:1"]["ohms"].as_f64().expect("ohms") - 8.2).abs() < 1e-6);
    let amps = predicted(&at(&["--red", "X20:1a", "--black", "X20:1b", "--read", "amps"]));
    assert!((1.3..1.6).contains(&amps["points"]["X20:1a"]["amps"].as_f64().expect("amps")));
    let resting = predicted(&["--red", "A1:1"]);
    assert_eq!(
        (&resting["setup"]["power"], &resting["points"]["A1:1"]["floating"]),
        (&json!("off"), &json!(false))
    );
    let isolated = predicted(&["--red", "S1:1", "--power", "isolated"]);
    assert_eq!(isolated["points"]["S1:1"]["floating"], json!(true));
    assert_eq!(isolated["points"]["S1:1"]["volts"], json!(0.0));
    assert_eq!(resting["inputs"], json!({"bar": null, "door": null}));
}

#[test]
fn chattering_blowing_and_codes_are_told() {
    let earth =
        predicted(&[&LIFTING[..], &["--fault", "GND0 resistive", "--ohms", "10", "--red", "A1:12"]].concat());
    assert_eq!(earth["chatter"], true);
    let range = earth["points"]["A1:12"]["volts_range"].as_array().expect("a range");
    assert!(range[0].as_f64().expect("least") < 0.1 && range[1].as_f64().expect("most") > 4.0);
    assert_eq!(earth["functions"]["display"], false);
    let blown =
        predicted(&[&LIFTING[..], &["--fault", "W40 grounded at arm-pivot", "--red", "A1:1"]].concat());
    assert_eq!(blown["fuses_blown"], json!(["F7"]));
    let code =
        predicted(&[&LIFTING[..], &["--fault", "W35 grounded at pivot-clamp", "--red", "A1:8"]].concat());
    assert_eq!(code["codes"][0]["spn"], 520_301);
    assert_eq!(code["codes"][0]["fmi"], 4);
}

#[test]
fn what_cannot_be_is_said_in_one_line_with_exit_2() {
    refused(&["--red", "A1:77"], "`A1:77`");
    refused(&["--fault", "W31 opne"], "`W31 open`");
    refused(&["--with", "key=off", "--power", "live"], "does not go with power `live`");
    refused(&["--with", "kye=on"], "`key` was probably meant");
    refused(&["--power", "on"], "off, isolated, live or running");
    refused(&["--unplugged", "X99"], "X99");
    refused(&["--fault", "F7 blown", "--ohms", "3"], "not told in ohms");
    refused(&["--fault", "X14:3 resistive", "--ohms", "0"], "--ohms");
    refused(&["--volts", "much"], "--volts");
    let (code, out, _) = run(&["predict", "no-such-machine"]);
    assert_eq!((code, out.as_str()), (2, ""));
}

#[test]
fn a_machine_file_that_is_refused_is_told_with_exit_1() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("machine.yaml");
    let text = std::fs::read_to_string(EXAMPLE).expect("the example").replace("- pin: A1:7", "- pin: A1:70");
    std::fs::write(&path, text).expect("written");
    for command in ["predict", "faults"] {
        let (code, out, err) = run(&[command, path.to_str().expect("UTF-8")]);
        assert_eq!((code, out.as_str()), (1, ""), "{err}");
        assert!(err.contains("A1:70") && err.contains("Wrong:"), "{err}");
    }
}

#[test]
fn faults_lists_what_defeats_an_interlock_first() {
    let (code, out, err) = run(&["faults", EXAMPLE]);
    assert_eq!((code, err.as_str()), (0, ""));
    let at = |text: &str| out.find(text).unwrap_or_else(|| panic!("`{text}` in {out}"));
    assert!(
        at("W31 grounded at pivot-clamp              lift, with bar up") < at("carries more than its rating")
    );
    assert!(at("carries more than its rating") < at("tells these apart"));
    let (code, out, _) = run(&["faults", EXAMPLE, "--format", "json"]);
    assert_eq!(code, 0);
    let listed: Value = serde_json::from_str(&out).expect("JSON");
    let names = |key: &str| {
        let list = listed[key].as_array().expect("a list");
        list.iter().map(|f| f["fault"].as_str().expect("a name").to_owned()).collect::<Vec<_>>()
    };
    let defeats = names("defeats_interlock");
    for name in ["W31 grounded at pivot-clamp", "S4 stuck closed", "W35 open", "S5 stuck open"] {
        assert!(defeats.iter().any(|n| n == name), "{name} in {defeats:?}");
    }
    assert!(!defeats.iter().any(|n| n == "W31 open"), "it holds the arms");
    let alike = listed["alike"].as_array().expect("groups");
    assert!(
        alike.contains(&json!(["W31 open", "W31 open at pivot-clamp", "W31 open at hose-crossing"])),
        "{alike:?}"
    );
    let find = |name: &str| {
        let all = listed["faults"].as_array().expect("faults");
        all.iter().find(|f| f["fault"] == name).unwrap_or_else(|| panic!("{name}")).clone()
    };
    assert_eq!(find("W31 open")["stops"], json!(["lift"]));
    assert_eq!(find("W35 grounded at pivot-clamp")["codes"], json!([{"spn": 520_301, "fmi": 4}]));
    assert_eq!(find("GND2 resistive")["severities"], json!([0.1, 1.0, 10.0, 100.0]));
    let hidden = listed["hidden"].as_array().expect("a list");
    assert!(hidden.contains(&json!({"fault": "X14:3 intermittent", "seen_only": "moved"})));
    assert!(hidden.contains(&json!({"fault": "X20:1 resistive", "seen_only": "loaded"})));
}

/// Faults in which a wire burns: the feed before any fuse, on the loader that the program brings along.
#[test]
fn a_feed_that_no_fuse_protects_is_named() {
    let text = std::fs::read_to_string(EXAMPLE).expect("the example").replace(
        "{wire: W2, size: 6 mm2, length: 1.4 m, zone: engine-bay}",
        "{wire: W2, size: 6 mm2, length: 1.4 m, zone: engine-bay, rubs: {bracket: 0.4 m}}",
    );
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("machine.yaml");
    std::fs::write(&path, text).expect("written");
    let (_, out, _) = run(&["faults", path.to_str().expect("UTF-8"), "--format", "json"]);
    let listed: Value = serde_json::from_str(&out).expect("JSON");
    let over = listed["overloads_wire"].as_array().expect("a list");
    let burns = over.iter().find(|o| o["fault"] == "W2 grounded at bracket").expect("the feed is named");
    assert_eq!(burns["wire"], "W2");
    assert!(burns["amps"].as_f64().expect("amps") > burns["rating"].as_f64().expect("a rating"));
    assert!(!over.iter().any(|o| o["fault"] == "W40 grounded at arm-pivot"), "its fuse blows");
}
