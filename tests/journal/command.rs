//! `job verify` as it is typed: what it says, and how it exits.

use std::path::{Path, PathBuf};

use assert_cmd::Command;
use loomwalk::job::{Kept, recover};
use serde_json::Value;

use super::walked::{EVENTS, chained_again, walked};

struct Verified {
    code: Option<i32>,
    told: Value,
}

fn folder_with(bytes: &[u8]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("0318.job.jsonl"), bytes).expect("a file");
    folder
}

fn program(args: &[&str]) -> Command {
    let mut command = Command::cargo_bin("loomwalk").expect("the program is built");
    command.args(["job", "verify"]).args(args);
    command
}

fn verified(bytes: &[u8], args: &[&str]) -> Verified {
    let folder = folder_with(bytes);
    let jobs = folder.path().to_string_lossy().into_owned();
    let output =
        program(&["0318", "--format", "json", "--jobs", &jobs]).args(args).output().expect("it runs");
    let told = serde_json::from_slice(&output.stdout).expect("one JSON value");
    Verified { code: output.status.code(), told }
}

#[test]
fn a_whole_job_is_fine() {
    let bytes = walked();
    let Verified { code, told } = verified(&bytes, &[]);
    assert_eq!(code, Some(0));
    assert_eq!((&told["events"], &told["whole"]), (&EVENTS.into(), &true.into()));
    assert_eq!(told["head"], recover::<Kept>(&bytes).head().hash.to_string());
}

#[test]
fn damage_and_a_torn_tail_are_told_and_left_as_they_are() {
    let bytes = walked();
    let torn = &bytes[..bytes.len() - 10];
    let Verified { code, told } = verified(torn, &[]);
    let last_begins = bytes[..bytes.len() - 1].iter().rposition(|byte| *byte == b'\n').expect("lines") + 1;
    assert_eq!(code, Some(1));
    assert_eq!(told["torn"]["offset"], last_begins);
    assert_eq!(told["torn"]["bytes"], bytes.len() - 10 - last_begins);
    assert_eq!(told["events"], EVENTS - 1);
    let mut flipped = bytes.clone();
    flipped[last_begins + 20] ^= 1;
    let Verified { code, told } = verified(&flipped, &[]);
    assert_eq!((code, &told["damage"][0]["kind"]), (Some(1), &"altered".into()));
    assert_eq!(
        (&told["damage"][0]["line"], &told["damage"][0]["offset"]),
        (&EVENTS.into(), &last_begins.into())
    );
    let folder = folder_with(torn);
    let file = folder.path().join("0318.job.jsonl");
    program(&[&file.to_string_lossy()]).assert().code(1);
    assert_eq!(std::fs::read(&file).expect("there"), torn);
}

#[test]
fn a_cut_between_events_is_seen_by_the_printed_head() {
    let bytes = walked();
    let cut = chained_again(&recover::<Kept>(&bytes).records[..EVENTS - 1]);
    let head = recover::<Kept>(&bytes).head();
    let (hash, printed) = (head.hash.to_string(), head.printed());
    for (bytes, given, code, against) in [
        (&bytes, &hash, 0, "same"),
        (&bytes, &printed, 0, "same"),
        (&cut, &printed, 1, "cut"),
        (&cut, &hash, 1, "absent"),
        (&bytes, &recover::<Kept>(&cut).head().printed(), 1, "goes-on"),
    ] {
        let verified = verified(bytes, &["--head", given]);
        assert_eq!((verified.code, &verified.told["against"]), (Some(code), &against.into()), "{given}");
    }
}

#[test]
fn what_cannot_be_looked_at_exits_2_with_one_line() {
    let folder = folder_with(b"");
    let jobs = folder.path().to_string_lossy().into_owned();
    for args in [
        vec!["0319", "--jobs", &jobs],
        vec!["..", "--jobs", &jobs],
        vec![&jobs],
        vec!["0318", "--jobs", &jobs, "--head", "xyz"],
    ] {
        let output = program(&args).output().expect("it runs");
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        assert!(output.stdout.is_empty() && !output.stderr.is_empty(), "{args:?}");
    }
    program(&["0318", "--jobs", &jobs]).assert().code(1);
}

#[test]
fn a_job_comes_by_path_or_by_standard_input() {
    let bytes = walked();
    let folder = folder_with(&bytes);
    let copy: PathBuf = folder.path().join("handed over.jsonl");
    std::fs::copy(folder.path().join("0318.job.jsonl"), &copy).expect("copied");
    program(&[&copy.to_string_lossy()]).assert().code(0);
    program(&["-"]).write_stdin(bytes).assert().code(0);
    assert!(!Path::new(&copy).with_extension("lock").exists(), "looking takes no lock");
}
