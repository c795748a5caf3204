//! Hand-over: a job's file is copied to another laptop, goes on there and comes back; a job that went on in two places
//! is told wherever somebody could take the one for the other, and nothing is merged.

use std::path::Path;

use assert_cmd::Command;
use serde_json::Value;

/// What the telephone said; the rest of the demo's answers; the rest with another reading and nothing after it.
struct Answers {
    folder: tempfile::TempDir,
}

impl Answers {
    fn new() -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let all = std::fs::read_to_string("demo/no-lift.answers.yaml").expect("there");
        let (telephone, machine) = all.split_once("# At the machine.").expect("two parts");
        let other = machine.split_once("- {step: tie-bar").expect("a middle").0;
        for (name, text) in [
            ("telephone", telephone.to_owned()),
            ("whole", all.clone()),
            ("other", format!("{telephone}{}", other.replace("initials: KM", "initials: AB"))),
        ] {
            std::fs::write(folder.path().join(name), text).expect("written");
        }
        Self { folder }
    }

    /// Walks by these answers; the exit code and everything that was said.
    fn walk(&self, answers: &str, jobs: &Path, name: &str, more: &[&str]) -> (Option<i32>, String) {
        let file = self.folder.path().join(answers).to_string_lossy().into_owned();
        let args = ["walk", "tern/no-lift-no-tilt", "--job", name, "--answers", &file];
        said(&[&args[..], more].concat(), jobs)
    }
}

fn said(args: &[&str], jobs: &Path) -> (Option<i32>, String) {
    let mut command = Command::cargo_bin("loomwalk").expect("the program is built");
    let output = command.args(args).arg("--jobs").arg(jobs).output().expect("it runs");
    let both = [output.stdout, output.stderr].concat();
    (output.status.code(), String::from_utf8(both).expect("text"))
}

fn copied(from: &Path, name: &str, to: &Path, new: &str) {
    let file = |folder: &Path, name: &str| folder.join(format!("{name}.job.jsonl"));
    std::fs::copy(file(from, name), file(to, new)).expect("copied");
}

#[test]
fn a_job_goes_on_at_another_laptop_and_comes_back() {
    let answers = Answers::new();
    let (ours, theirs) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    let (ours, theirs) = (ours.path(), theirs.path());
    assert_eq!(answers.walk("telephone", ours, "0318", &[]).0, Some(0));
    copied(ours, "0318", theirs, "0318");
    // There it opens: the tree and its machine are inside the file.
    let (code, shown) = said(&["job", "show", "0318"], theirs);
    assert!(code == Some(0) && shown.contains("last-tried: still"), "{shown}");
    let (code, ended) = answers.walk("whole", theirs, "0318", &["--resume"]);
    assert!(code == Some(0) && ended.contains("Closed: repaired and proved"), "{ended}");
    // It comes back beside the one that stayed: that one is older, and is not gone on with.
    copied(theirs, "0318", ours, "0318-back");
    let (code, listed) = said(&["job", "list"], ours);
    assert_eq!(code, Some(0), "an older copy is nothing wrong: {listed}");
    assert!(listed.contains("0318 is an older copy of 0318-back, "), "{listed}");
    assert!(listed.contains("events short. Go on with 0318-back."), "{listed}");
    let (code, refused) = answers.walk("whole", ours, "0318", &["--resume"]);
    assert!(code == Some(1) && refused.contains("Go on with 0318-back."), "{refused}");
    assert!(refused.contains("Nothing was recorded. `--even-so` goes on"), "{refused}");
    let (code, beside) = said(&["job", "verify", "0318-back", "0318"], ours);
    assert!(code == Some(0) && beside.contains("0318 is an older copy of 0318-back"), "{beside}");
    // In the sums it is one job.
    let (_, sums) = said(&["job", "archive", "--format", "json"], ours);
    let sums: Value = serde_json::from_str(&sums).expect("JSON");
    assert_eq!((&sums["jobs"], &sums["findings"][0]["jobs"]), (&1.into(), &1.into()));
    assert_eq!(sums["copies"], serde_json::json!([{"files": ["0318-back", "0318"], "parted": false}]));
    // It takes the place of the one that stayed: whole, and by itself.
    copied(theirs, "0318", ours, "0318");
    std::fs::remove_file(ours.join("0318-back.job.jsonl")).expect("there");
    assert_eq!(said(&["job", "verify", "0318"], ours).0, Some(0));
    assert!(!said(&["job", "list"], ours).1.contains("copy"));
}

#[test]
fn a_job_that_went_on_in_two_places_is_told_and_never_merged() {
    let answers = Answers::new();
    let (ours, theirs) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    let (ours, theirs) = (ours.path(), theirs.path());
    assert_eq!(answers.walk("telephone", ours, "0318", &[]).0, Some(0));
    copied(ours, "0318", theirs, "0318");
    assert_eq!(answers.walk("whole", theirs, "0318", &["--resume"]).0, Some(0));
    assert_eq!(answers.walk("other", ours, "0318", &["--resume"]).0, Some(0));
    copied(theirs, "0318", ours, "0318-anna");
    let bytes = |name: &str| std::fs::read(ours.join(format!("{name}.job.jsonl"))).expect("there");
    let before = (bytes("0318"), bytes("0318-anna"));

    // The telephone is the opening and three answers. Who went on first says so in a line of its own.
    let told = "One job, continued in 2 places: the same to event 5, at 2026-03-02 07:43, and then each its own way.";
    let (code, listed) = said(&["job", "list"], ours);
    assert!(code == Some(1) && listed.contains(told), "{listed}");
    assert!(
        listed.contains("\n  0318-anna has ") && listed.contains(" more, the last at 2026-03-02 09:"),
        "{listed}"
    );
    assert!(
        listed.contains("\n  0318 has ") && listed.contains(" more, the last at 2026-03-02 08:"),
        "{listed}"
    );
    assert!(listed.contains("Nothing is merged. Choose the one that the machine stands by"), "{listed}");
    let (code, json) = said(&["job", "list", "--format", "json"], ours);
    let json: Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(code, Some(1));
    assert_eq!(
        json["copies"],
        serde_json::json!([{"files": ["0318-anna", "0318"], "parted": true, "shared": 5}])
    );

    // Either way round, by name or by path, and from another folder.
    for pair in [["0318", "0318-anna"], ["0318-anna", "0318"]] {
        let (code, beside) = said(&["job", "verify", pair[0], pair[1]], ours);
        assert!(code == Some(1) && beside.contains(told), "{beside}");
    }
    let there = theirs.join("0318.job.jsonl").to_string_lossy().into_owned();
    let (code, beside) = said(&["job", "verify", "0318", &there, "--format", "json"], ours);
    let beside: Value = serde_json::from_str(&beside).expect("JSON");
    assert_eq!(
        (code, &beside["beside"]["how"], &beside["beside"]["shared"]),
        (Some(1), &"parted".into(), &5.into())
    );

    // Going on with either is refused until it is said; also from the folder where only one of them lies.
    for (name, folder) in [("0318", ours), ("0318-anna", ours)] {
        let (code, refused) = answers.walk("whole", folder, name, &["--resume"]);
        assert!(code == Some(1) && refused.contains(told), "{refused}");
    }
    let mut command = Command::cargo_bin("loomwalk").expect("the program is built");
    let by_path = command.args(["walk", "tern/no-lift-no-tilt", "--resume", "--plain", "--job", &there]);
    let refused = by_path.arg("--jobs").arg(ours).output().expect("it runs");
    assert!(String::from_utf8_lossy(&refused.stderr).contains("continued in 2 places"), "{refused:?}");
    assert_eq!(before, (bytes("0318"), bytes("0318-anna")), "nothing was written");
    let (code, gone_on) = answers.walk("other", ours, "0318", &["--resume", "--even-so"]);
    assert_eq!(code, Some(0), "{gone_on}");

    // Two jobs are two jobs, and a damaged file is no end of anything.
    answers.walk("telephone", theirs, "other", &[]);
    let text = std::fs::read_to_string(theirs.join("other.job.jsonl")).expect("there");
    std::fs::write(
        theirs.join("other.job.jsonl"),
        text.replacen("{\"seq\":1,\"at\"", "{\"seq\":1,\"At\"", 1),
    )
    .expect("written");
    assert_eq!(said(&["job", "verify", "0318", "other"], theirs).0, Some(1));
    assert!(!said(&["job", "list"], theirs).1.contains("continued in"));
}
