//! Practice line by line, through a pipe: the same seed and the same typing are the same words.

use assert_cmd::Command;

fn practise(args: &[&str], typed: &str, logs: &std::path::Path) -> (Option<i32>, String, String) {
    let mut command = Command::cargo_bin("loomwalk").expect("the program is built");
    command.args(["practice", "tests/tui/trees/yard-lamp.yaml", "--plain", "--logs"]).arg(logs).args(args);
    let output = command.write_stdin(typed).output().expect("it runs");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("text");
    (output.status.code(), text(output.stdout), text(output.stderr))
}

/// On the telephone, at the first gate, measurements that are stopped or make no sense, and then "show me".
const TYPED: &str =
    "\n1\nAP\nvolts X1:1b GND1 light on\nohms X1:1b GND1\nvolts W3@hinge\nvolts X1:7b\nwhere\nshow\n";

#[test]
fn a_sitting_is_told_line_by_line_and_stops_what_is_unsafe() {
    let folder = tempfile::tempdir().expect("a folder");
    let (code, told, _) = practise(&["--seed", "7"], TYPED, folder.path());
    assert_eq!(code, Some(0));
    insta::assert_snapshot!("sitting", told);
    let kept = std::fs::read_to_string(folder.path().join("practised.jsonl")).expect("remembered");
    assert!(kept.contains("\"tree\":\"yard-lamp\"") && kept.contains("\"found\":false"), "{kept}");
    let logs = std::fs::read_dir(folder.path()).expect("a folder").count();
    assert!(logs >= 2, "the log and what was practised");
}

/// The same in Spanish, typed in Spanish, with the help and what is not taken.
const ESCRITO: &str = "\n1\nAP\nvoltios X1:1b GND1 light on\nohmios X1:1b chasis\nvoltios W3@hinge\nvoltios X1:7b\n\
    voltios X1:1b GND1 foco on\namperios alrededor W99\nvoltios\ndigo esto\nsaltar nada\nno-puedo\nayuda\ndónde\natrás\nmostrar\n";

#[test]
fn a_sitting_in_spanish_says_nothing_in_english() {
    let folder = tempfile::tempdir().expect("a folder");
    let (code, told, lies) = practise(&["--seed", "7", "--lang", "es"], ESCRITO, folder.path());
    assert_eq!(code, Some(0));
    insta::assert_snapshot!("sitting_es", told);
    assert!(lies.contains("El registro es suyo"), "{lies}");
    let english =
        ["Not taken", "Stopped", "You ", "so far", "Machine now", " there ", "Practice", "Enter to"];
    assert_eq!(english.iter().filter(|word| told.contains(**word)).collect::<Vec<_>>(), Vec::<&&str>::new());
}

#[test]
fn an_instructor_is_told_what_cannot_be_hidden() {
    let folder = tempfile::tempdir().expect("a folder");
    let (code, _, told) = practise(&["--fault", "W3 open at hing"], "", folder.path());
    assert_eq!(code, Some(2));
    assert!(told.contains("has no fault") && told.contains("W3 open at hinge"), "{told}");
    let (code, _, told) = practise(&["--fault", "W5 open"], "", folder.path());
    assert_eq!(code, Some(2));
    assert!(told.contains("does not show the symptom"), "{told}");
    assert!(std::fs::read_dir(folder.path()).expect("a folder").next().is_none(), "nothing was begun");
}
