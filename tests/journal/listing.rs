//! `job list` and `job show` as they are typed.

use std::path::Path;

use assert_cmd::Command;
use loomwalk::diag::{Files, Source};
use loomwalk::job::{Disk, Held, JobName, JobPlace, Kept};
use loomwalk::walk::{Details, Event, Walker};
use serde_json::Value;

use super::{at, holder};

/// A job of this name with an opening and these events, half a minute apart.
fn keep(folder: &Path, name: &str, details: Details, events: &[Event]) -> JobPlace {
    let place = JobPlace::named(folder, &JobName::new(name).expect("a plain name"));
    let mut files = Files::default();
    files.add(Source::new("no-lift.yaml", "tree: no-lift\n"));
    let (tree, lang, walker) = ("no-lift".to_owned(), "en".to_owned(), Walker::Script);
    let begun = Event::Begun { tree, revision: 3, lang, walker, details };
    let held = Held::new_job(&Disk, &place, &holder(1)).expect("room");
    let mut journal = held.begin(at(0), &Kept::opening(&files, begun)).expect("room");
    for (count, event) in events.iter().enumerate() {
        journal.append(at(30 * (count + 1)), &Kept::from(event.clone())).expect("room");
    }
    place
}

fn said(answer: &str) -> Event {
    Event::Answered { step: "last-tried".to_owned(), answer: answer.to_owned() }
}

fn three_jobs() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let complaint = Some("bucket \"dead\", again".to_owned());
    let details = Details { serial: Some("4417".to_owned()), complaint, ..Details::default() };
    keep(folder.path(), "0318", details, &[said("still"), said("works")]);
    let waits = Event::Waits { why: "part".to_owned() };
    // Another job began in the same second: another machine.
    let of = |hours| Details { hours: Some(hours), ..Details::default() };
    keep(folder.path(), "0319", of(1.0), &[said("still"), waits]);
    let torn = keep(folder.path(), "0320", of(2.0), &[said("\u{1b}[2J"), said("works")]);
    let bytes = std::fs::read(torn.file()).expect("there");
    std::fs::write(torn.file(), &bytes[..bytes.len() - 3]).expect("torn");
    folder
}

fn job(folder: &Path, args: &[&str]) -> (Option<i32>, String) {
    let mut command = Command::cargo_bin("loomwalk").expect("the program is built");
    let output = command.arg("job").args(args).arg("--jobs").arg(folder).output().expect("it runs");
    (output.status.code(), String::from_utf8(output.stdout).expect("text"))
}

#[test]
fn the_table_has_a_line_for_each_job_and_says_what_is_torn() {
    let folder = three_jobs();
    let (code, text) = job(folder.path(), &["list"]);
    assert_eq!(code, Some(1), "a torn journal is something wrong");
    assert_eq!(
        text,
        "Job   Begun             Tree     Serial  Stands         Minutes  Journal\n\
         0318  2026-03-02 07:40  no-lift  4417    open           1        whole\n\
         0319  2026-03-02 07:40  no-lift          waiting: part  1        whole\n\
         0320  2026-03-02 07:40  no-lift          open           0        torn\n\
         See `loomwalk job verify 0320`.\n"
    );
    std::fs::remove_file(folder.path().join("0320.job.jsonl")).expect("there");
    assert_eq!(job(folder.path(), &["list"]).0, Some(0));
    let (code, text) = job(&folder.path().join("none"), &["list"]);
    assert!(code == Some(0) && text.starts_with("No jobs in "), "{text}");
}

#[test]
fn csv_and_json_say_the_same() {
    let folder = three_jobs();
    let (_, csv) = job(folder.path(), &["list", "--format", "csv"]);
    let lines: Vec<&str> = csv.split_terminator("\r\n").collect();
    assert_eq!(lines.len(), 4);
    assert_eq!(
        lines[1],
        "0318,2026-03-02T07:40:00.000+01:00,2026-03-02T07:40:00.000+01:00,no-lift,3,open,1,3,whole,,4417,,,,\
         \"bucket \"\"dead\"\", again\",,"
    );
    let (_, json) = job(folder.path(), &["list", "--format", "json"]);
    let told: Value = serde_json::from_str(&json).expect("one JSON value");
    assert_eq!(told["format"], 1);
    let jobs = told["jobs"].as_array().expect("a list");
    let stands: Vec<&Value> = jobs.iter().map(|job| &job["stands"]).collect();
    assert_eq!(stands, ["open", "waiting", "open"]);
    assert_eq!(jobs[0]["begun"]["details"]["serial"], "4417");
    assert_eq!((&jobs[2]["journal"], &jobs[2]["events"]), (&"torn".into(), &2.into()));
}

#[test]
fn a_job_is_shown_with_every_event_and_nothing_a_terminal_obeys() {
    let folder = three_jobs();
    let (code, text) = job(folder.path(), &["show", "0318"]);
    assert_eq!(code, Some(0));
    assert!(text.contains("Tree        no-lift, revision 3\n"), "{text}");
    assert!(text.contains("Complaint   bucket \"dead\", again\n"), "{text}");
    assert!(text.ends_with("    3  2026-03-02 07:40  last-tried: works\n"), "{text}");
    let (code, text) = job(folder.path(), &["show", "0320"]);
    assert_eq!(code, Some(1));
    assert!(!text.contains('\u{1b}') && text.contains("verify 0320"), "{text}");
    let (_, json) = job(folder.path(), &["show", "0318", "--format", "json"]);
    let told: Value = serde_json::from_str(&json).expect("one JSON value");
    assert_eq!(told["texts"], serde_json::json!(["no-lift.yaml"]));
    assert_eq!(told["events"][1]["event"]["answered"]["answer"], "still");
    assert_eq!(told["events"][1]["ms"], 30_000);
}

#[test]
fn a_file_that_is_no_job_is_listed_beside_the_others() {
    let folder = three_jobs();
    std::fs::write(folder.path().join("letter.job.jsonl"), "Dear customer,\n").expect("a file");
    std::fs::create_dir(folder.path().join("old.job.jsonl")).expect("a folder");
    let (code, json) = job(folder.path(), &["list", "--format", "json"]);
    let told: Value = serde_json::from_str(&json).expect("one JSON value");
    assert_eq!(code, Some(1));
    assert_eq!((&told["jobs"][3]["journal"], &told["jobs"][3]["begun"]), (&"damaged".into(), &Value::Null));
    assert_eq!(told["jobs"][4]["journal"], "unreadable");
    assert_eq!(job(folder.path(), &["show", "letter"]).0, Some(1));
}
