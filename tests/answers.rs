//! Answers files as a hostile stranger writes them: what does not fit is told with its place, nothing is made up, and
//! the job is kept as far as it came. And the same walk in plain mode, through a pipe and through a terminal.

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

const TREE: &str = "live-test-under-the-cab";

fn tree() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/good_trees/{TREE}.yaml"))
}

/// The answers that stand beside the tree, up to the reading.
fn until_the_reading() -> String {
    let path = tree().with_file_name(format!("{TREE}.answers.yaml"));
    let all = std::fs::read_to_string(path).expect("answers");
    all[..all.find("- {step: bar-volts").expect("the reading")].to_owned()
}

fn walk(folder: &Path, answers: &str, more: &[&str]) -> Output {
    let file = folder.join("answers.yaml");
    std::fs::write(&file, answers).expect("written");
    let mut command = Command::new(env!("CARGO_BIN_EXE_loomwalk"));
    command.arg("walk").arg(tree()).arg("--answers").arg(file).args(["--job", "0318", "--jobs"]).arg(folder);
    command.args(more).output().expect("it runs")
}

fn journal(folder: &Path) -> String {
    std::fs::read_to_string(folder.join("0318.job.jsonl")).unwrap_or_default()
}

fn err(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn verified(folder: &Path) -> bool {
    let mut command = Command::new(env!("CARGO_BIN_EXE_loomwalk"));
    command.args(["job", "verify", "0318", "--jobs"]).arg(folder).output().expect("it runs").status.success()
}

#[test]
fn what_does_not_fit_is_told_and_the_job_kept() {
    let before = {
        let folder = tempfile::tempdir().expect("a folder");
        assert!(walk(folder.path(), &until_the_reading(), &[]).status.success());
        journal(folder.path())
    };
    // The entry, and what the message names.
    let wrong = [
        ("{step: hand-over/lockout, confirm: all, initials: KM}", vec!["hand-over/lockout", "bar-volts"]),
        ("{step: nowhere, done: true}", vec!["nowhere", "bar-volts"]),
        ("{step: bar-volts, reading: 1e400 V}", vec!["bar-volts", "1e400"]),
        ("{step: bar-volts, reading: 4.97 ohm}", vec!["bar-volts"]),
        ("{step: bar-volts, reading: plenty}", vec!["bar-volts", "plenty"]),
        ("{step: bar-volts, reading: 1.50 V}", vec!["bar-volts", "too close", "decide:"]),
        ("{step: bar-volts, answer: yes}", vec!["bar-volts"]),
        ("{step: bar-volts, done: true}", vec!["bar-volts"]),
        ("{step: bar-volts, decide: hand-over, why: near}", vec!["bar-volts"]),
    ];
    for (entry, named) in wrong {
        let folder = tempfile::tempdir().expect("a folder");
        let output = walk(folder.path(), &format!("{}- {entry}\n", until_the_reading()), &[]);
        assert_eq!(output.status.code(), Some(2), "{entry}: {}", err(&output));
        for word in named {
            assert!(err(&output).contains(word), "{entry} without {word}: {}", err(&output));
        }
        assert_eq!(journal(folder.path()), before, "{entry}: something was recorded, or lost");
        assert!(verified(folder.path()), "{entry}");
    }
}

/// What is no entry at all is told before anything is walked.
#[test]
fn a_file_with_an_entry_that_says_nothing_begins_no_job() {
    let folder = tempfile::tempdir().expect("a folder");
    let output =
        walk(folder.path(), &format!("{}- {{step: bar-volts, reading: \"\"}}\n", until_the_reading()), &[]);
    assert_eq!(output.status.code(), Some(2), "{}", err(&output));
    assert!(err(&output).contains("reading"), "{}", err(&output));
    assert_eq!(journal(folder.path()), "");
}

#[test]
fn too_close_is_decided_with_a_reason() {
    let folder = tempfile::tempdir().expect("a folder");
    let decided = "- {step: bar-volts, reading: 1.50 V}\n- {step: bar-volts, decide: hand-over/lockout, why: It sinks slowly.}\n";
    let output = walk(folder.path(), &format!("{}{decided}", until_the_reading()), &[]);
    assert!(output.status.success(), "{}", err(&output));
    assert!(journal(folder.path()).contains("It sinks slowly."), "the reason is kept");
    assert!(verified(folder.path()));
}

#[test]
fn the_end_of_the_file_leaves_the_job_open_and_the_same_file_goes_on() {
    let folder = tempfile::tempdir().expect("a folder");
    let output = walk(folder.path(), &until_the_reading(), &[]);
    assert!(
        output.status.success() && String::from_utf8_lossy(&output.stdout).contains("open, at bar-volts")
    );
    let open = journal(folder.path());
    let more = format!("{}- {{step: bar-volts, reading: 4.97 V}}\n", until_the_reading());
    let output = walk(folder.path(), &more, &["--resume"]);
    assert!(output.status.success(), "{}", err(&output));
    let after = journal(folder.path());
    assert!(after.starts_with(&open), "what was journalled stands");
    let read: Vec<&str> = after.lines().filter(|line| line.contains("{\"read\":")).collect();
    assert_eq!(read.len(), 1);
    // Every gate was confirmed again from its own entry: its initials stand there a second time.
    let parks = |text: &str| text.matches("\"gate\":\"park\"").count();
    assert_eq!(parks(&after), 2 * parks(&open));
    assert!(verified(folder.path()));
}

#[test]
fn the_same_file_with_times_makes_the_same_bytes() {
    let (a, b) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    let answers = until_the_reading();
    assert!(walk(a.path(), &answers, &[]).status.success() && walk(b.path(), &answers, &[]).status.success());
    assert_eq!(journal(a.path()), journal(b.path()));
}

/// Plain mode with these bytes on its standard input.
fn plain(folder: &Path, input: &[u8], more: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_loomwalk"));
    command.arg("walk").arg(tree()).args(["--plain", "--job", "0318", "--jobs"]).arg(folder).args(more);
    let mut child = command
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("it starts");
    // A program that ended has closed its end; what it said is looked at then.
    let _ = child.stdin.take().expect("a pipe").write_all(input);
    child.wait_with_output().expect("it ends")
}

#[test]
fn plain_mode_survives_what_is_no_text_and_lines_without_end() {
    for input in [
        &b"\xff\xfe\x00\x80\n\xc3\x28\n"[..],
        &b"7".repeat(1_000_000),
        &b"\n\n\n\n\n"[..],
        &b""[..],
        &b"back\nwhere\nrepeat\n"[..],
    ] {
        let folder = tempfile::tempdir().expect("a folder");
        let output = plain(folder.path(), input, &[]);
        assert!(!err(&output).contains("panicked"), "{}", err(&output));
        assert!(matches!(output.status.code(), Some(0..=2)), "{:?}", output.status);
        assert!(!journal(folder.path()).is_empty(), "the job is kept");
        assert!(verified(folder.path()));
    }
}
