//! The journal on the real disk: locks, a full disk, a read-only one, a folder of jobs.

use std::io::Write as _;
use std::path::{Path, PathBuf};

use loomwalk::job::{
    DamageKind, Disk, FileLayer, Held, JobName, JobPlace, Recovered, find_job, read_journal, survey,
};

use super::{Event, at, begun, events, holder, journal, place, walk_on};

#[test]
fn the_second_program_is_told_who_holds_the_job() {
    let folder = tempfile::tempdir().expect("a folder");
    let place = place(folder.path());
    let first = Held::new_job(&Disk, &place, &holder(4711)).expect("free");
    for error in [Held::new_job(&Disk, &place, &holder(4712)).err().expect("held"), {
        std::fs::write(place.file(), b"").expect("a file");
        Held::open_job(&Disk, &place, &holder(4712)).err().expect("held")
    }] {
        let text = error.to_string();
        assert!(text.contains("process 4711 on van-3 since 2026-03-02 07:40"), "{text}");
    }
    drop(first);
    assert!(Held::open_job(&Disk, &place, &holder(4712)).is_ok(), "free again");
}

/// A folder that somebody hands over may hold links under the names that a job uses beside its file: none is followed,
/// whatever it leads to.
#[cfg(unix)]
#[test]
fn links_beside_a_job_lead_nowhere() {
    let folder = tempfile::tempdir().expect("a folder");
    let mine = folder.path().join("mine");
    std::fs::write(&mine, "dear to me").expect("room");
    let place = place(&folder.path().join("jobs"));
    std::fs::create_dir(folder.path().join("jobs")).expect("room");
    std::os::unix::fs::symlink(&mine, place.part()).expect("a link");
    let held = Held::new_job(&Disk, &place, &holder(1)).expect("room");
    let mut safe = vec![begun()];
    walk_on(held.begin(at(0), &begun()).expect("room"), &mut safe, 3).expect("room");
    assert_eq!(journal_of(&place).records.len(), safe.len());
    std::fs::remove_file(place.lock()).expect("there");
    std::os::unix::fs::symlink(&mine, place.lock()).expect("a link");
    let error = Held::open_job(&Disk, &place, &holder(1)).err().expect("refused").to_string();
    assert!(error.contains("0318.lock") && error.contains("it is a link"), "{error}");
    assert_eq!(std::fs::read_to_string(&mine).expect("there"), "dear to me");
}

#[cfg(unix)]
fn journal_of(place: &JobPlace) -> Recovered<Event> {
    read_journal(&Disk, place).expect("it can be read")
}

/// A pipe or a device under the name of a job would be waited for without end.
#[cfg(unix)]
#[test]
fn a_pipe_in_the_folder_of_jobs_holds_nothing_up() {
    let folder = tempfile::tempdir().expect("a folder");
    let place = place(folder.path());
    let made = std::process::Command::new("mkfifo").arg(place.file()).status().expect("mkfifo");
    assert!(made.success());
    std::os::unix::fs::symlink("/dev/zero", folder.path().join("zero.job.jsonl")).expect("a link");
    let found =
        survey(&Disk, folder.path(), |_, found: Recovered<Event>| found.records.len()).expect("listed");
    assert_eq!(found.len(), 2);
    for one in found {
        let error = one.outcome.expect_err("no job").to_string();
        assert!(error.contains("no ordinary file") && error.contains("take it away"), "{error}");
    }
}

#[test]
fn the_real_disk_keeps_a_job() {
    let folder = tempfile::tempdir().expect("a folder");
    let place = place(&folder.path().join("made/on/the/way"));
    let journal = Held::new_job(&Disk, &place, &holder(1)).expect("room").begin(at(0), &begun());
    let mut safe = vec![begun()];
    walk_on(journal.expect("room"), &mut safe, 3).expect("room");
    let again = Held::new_job(&Disk, &place, &holder(1)).err().expect("taken");
    assert!(again.to_string().contains("--resume"), "{again}");
    let torn = [std::fs::read(place.file()).expect("there"), b"{\"seq\":5".to_vec()].concat();
    std::fs::write(place.file(), torn).expect("torn");
    let held = Held::open_job(&Disk, &place, &holder(2)).expect("there");
    let found = held.recover::<Event>().expect("readable");
    assert_eq!(found.torn.map(|torn| torn.bytes), Some(8));
    held.go_on(&found, at(4), &Event::WentOn { cut: 8 }).expect("room");
    let found = read_journal::<Event>(&Disk, &place).expect("readable");
    assert!(found.verdict().is_whole());
    assert_eq!(events(&found)[..4], safe);
    let left: Vec<String> = names_in(place.folder());
    assert_eq!(left, ["0318.job.jsonl", "0318.lock"]);
}

fn names_in(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        Disk.list(folder).expect("a folder").iter().map(|name| name.to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

#[test]
fn what_is_no_job_is_said_plainly() {
    let folder = tempfile::tempdir().expect("a folder");
    let missing = Held::open_job(&Disk, &place(folder.path()), &holder(1)).err().expect("missing");
    assert!(missing.to_string().contains("no such job"), "{missing}");
    let error = read_journal::<Event>(&Disk, &JobPlace::at(folder.path())).expect_err("a folder");
    assert!(error.to_string().contains("not a folder"), "{error}");
    let file = folder.path().join("letter.jsonl");
    std::fs::write(&file, "Dear customer,\n").expect("a file");
    let found = read_journal::<Event>(&Disk, &JobPlace::at(&file)).expect("readable");
    assert_eq!(found.damage[0].kind, DamageKind::NotALine);
    let below = place(&file.join("jobs"));
    let error = Held::new_job(&Disk, &below, &holder(1)).err().expect("below a file");
    assert!(error.to_string().contains("letter.jsonl"), "{error}");
}

#[test]
fn a_job_is_found_by_name_or_path() {
    let folder = tempfile::tempdir().expect("a folder");
    let named = place(folder.path());
    std::fs::write(named.file(), "").expect("a file");
    let found = |given: &str| find_job(&Disk, Path::new(given), folder.path());
    assert_eq!(found("0318"), Ok(named.clone()));
    let path = named.file().to_string_lossy().into_owned();
    assert_eq!(found(&path), Ok(named));
    assert_eq!(found("elsewhere/x.job.jsonl"), Ok(JobPlace::at(Path::new("elsewhere/x.job.jsonl"))));
    assert!(found("a b").is_err());
}

#[test]
fn a_folder_of_jobs_is_folded_in_order() {
    let folder = tempfile::tempdir().expect("a folder");
    let (bytes, _) = journal(3);
    for count in 0..50 {
        std::fs::write(folder.path().join(format!("{count:03}.job.jsonl")), &bytes).expect("a file");
    }
    std::fs::write(folder.path().join("007.job.jsonl"), &bytes[..bytes.len() - 1]).expect("a file");
    std::fs::write(folder.path().join("notes.txt"), "no job").expect("a file");
    std::fs::create_dir(folder.path().join("old.job.jsonl")).expect("a folder");
    let all = survey(&Disk, folder.path(), |_, found: Recovered<Event>| found.records.len()).expect("listed");
    assert_eq!(all.len(), 51);
    for (count, job) in all.iter().take(50).enumerate() {
        assert_eq!(job.place.name(), format!("{count:03}"));
        let expected = if count == 7 { 2 } else { 3 };
        assert_eq!(job.outcome.as_ref().ok(), Some(&expected));
    }
    assert!(all[50].outcome.is_err(), "a folder is no job, and is told beside the others");
    let none = survey(&Disk, &folder.path().join("none"), |_, _: Recovered<Event>| ()).expect("no jobs");
    assert!(none.is_empty());
}

/// Runs this test again in a mount namespace of its own, with two small disks; None where that is
/// not allowed.
fn with_small_disks(test: &str) -> Option<std::process::Output> {
    let folder = tempfile::tempdir().expect("a folder");
    let script = "mkdir \"$1/full\" \"$1/fixed\" && mount -t tmpfs -o size=512k tmpfs \"$1/full\" \
                  && mount -t tmpfs -o ro tmpfs \"$1/fixed\" && touch \"$1/ready\" && exec \"$0\" --exact \"$2\"";
    let output = std::process::Command::new("unshare")
        .args(["--user", "--map-root-user", "--mount", "sh", "-c", script])
        .arg(std::env::current_exe().expect("this test"))
        .arg(folder.path())
        .arg(test)
        .env("LOOMWALK_SMALL_DISKS", folder.path())
        .output()
        .ok()?;
    folder.path().join("ready").exists().then_some(output)
}

#[test]
fn a_full_disk_and_a_read_only_one_are_told() {
    if let Some(disks) = std::env::var_os("LOOMWALK_SMALL_DISKS") {
        fill_a_disk(&PathBuf::from(&disks).join("full"));
        write_to_a_read_only_disk(&PathBuf::from(disks).join("fixed"));
        return;
    }
    let Some(output) = with_small_disks("journal::disk::a_full_disk_and_a_read_only_one_are_told") else {
        let _ = writeln!(std::io::stderr(), "skipped: no small disk can be mounted here");
        return;
    };
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(output.status.success() && text.contains("1 passed"), "{text}");
}

fn fill_a_disk(folder: &Path) {
    let place = place(folder);
    let held = Held::new_job(&Disk, &place, &holder(1)).expect("room");
    let mut journal = held.begin(at(0), &begun()).expect("room");
    let long = Event::Said { step: "s".to_owned(), answer: "x".repeat(30_000) };
    let mut acknowledged = 1;
    let error = loop {
        match journal.append(at(acknowledged), &long) {
            Ok(_) => acknowledged += 1,
            Err(error) => break error.to_string(),
        }
        assert!(acknowledged < 50, "the disk never fills");
    };
    assert!(error.contains("0318.job.jsonl") && error.contains("make room"), "{error}");
    drop(journal);
    let found = read_journal::<Event>(&Disk, &place).expect("readable");
    assert_eq!(found.records.len(), acknowledged);
    let full = Held::open_job(&Disk, &place, &holder(1)).err().expect("still full").to_string();
    assert!(full.contains("make room"), "{full}");
    let other = JobPlace::named(folder, &JobName::new("0319").expect("a plain name"));
    let full = Held::new_job(&Disk, &other, &holder(1)).err().expect("still full").to_string();
    assert!(full.contains("0319.job.jsonl") && full.contains("--jobs DIR"), "{full}");
    assert_eq!(names_in(folder), ["0318.job.jsonl", "0318.lock", "0319.lock"]);
}

fn write_to_a_read_only_disk(folder: &Path) {
    for place in [place(folder), place(&folder.join("jobs"))] {
        let error = Held::new_job(&Disk, &place, &holder(1)).err().expect("read-only").to_string();
        assert!(error.contains("--jobs DIR") && error.contains("fixed"), "{error}");
    }
}
