//! A job taken up again with the cab up: how it stands is asked first, and no answer shows what lies under it.

#[cfg(unix)]
use std::path::{Path, PathBuf};

use loomwalk::job::{Holder, JobName, JobPlace, Recorded};
use loomwalk::tui::{App, Surroundings};
use loomwalk::walk::{Details, Event, Input, Moment, Walker};

#[cfg(unix)]
use super::seat::{PATIENCE, Seat, walk_of};
use super::{Person, course, text_and_style};

const UNDER_THE_CAB: &str = "Is the plug of the cab controller dry?";

/// A job in two files of the folder, each gone on with in its own way.
fn parted(around: &Surroundings, at: Moment) {
    let holder = Holder { process: 1, host: None, since: at };
    let place = |name: &str| JobPlace::named(&around.jobs, &name.parse::<JobName>().expect("a name"));
    let begun = Event::Begun {
        tree: "small".to_owned(),
        revision: 1,
        lang: "en".to_owned(),
        walker: Walker::Person,
        details: Details::default(),
    };
    drop(Recorded::begin(&course("small.yaml"), &place("0318"), &begun, &holder).expect("it begins"));
    std::fs::copy(place("0318").file(), place("0318-anna").file()).expect("handed over");
    for (name, answer) in [("0318", "dark"), ("0318-anna", "lit")] {
        let mut job = Recorded::go_on(&place(name), &holder).expect("it goes on");
        job.say(Input::Answer(answer.to_owned()), at.later(1_000)).expect("recorded").expect("taken");
    }
}

#[test]
fn a_job_that_has_parted_is_told_of_before_it_is_gone_on_with() {
    let mut person = Person::with(Surroundings::default(), (80, 24), |around, at| {
        parted(&around, at);
        App::new(around, at)
    });
    let before = person.text();
    assert!(before.contains("Go on with the last job") && before.contains("0318"), "{before}");
    person.types("1");
    let text = person.text();
    let said = "One job, continued in 2 places";
    assert!(text.contains(said) && text.contains("`loomwalk job list` says what to do."), "{text}");
    assert!(text.contains("Trees"), "nothing was opened: {text}");
    insta::assert_snapshot!("start_parted", text_and_style(&person.look()));
}

/// At the step under the cab, and then away for an hour.
fn comes_again(size: (u16, u16)) -> Person {
    let around = Surroundings::default;
    let mut person = Person::at_tree("../../good_trees/resumed-with-the-cab-up.yaml", around(), size);
    person.enters("KM");
    person.confirms_all();
    assert!(person.text().contains(UNDER_THE_CAB), "{}", person.text());
    person.comes_again(around())
}

#[test]
fn how_the_cab_stands_is_asked_with_its_caution() {
    for (width, height) in [(80, 24), (120, 36)] {
        let mut person = comes_again((width, height));
        let seen = text_and_style(&person.look());
        assert!(seen.contains("A cab that is not held can fall"), "{seen}");
        insta::assert_snapshot!(format!("screen_cab_stands_{width}x{height}"), seen);
    }
}

/// Whatever is answered, every gate comes before the step; a cab that nothing holds is put on its support where the step
/// ahead is under it.
#[test]
fn each_answer_leads_through_gates_to_the_cab_as_the_step_needs_it() {
    let headings = |person: &mut Person| {
        let mut headings: Vec<String> = Vec::new();
        for _ in 0..120 {
            let text = person.text();
            assert!(!text.contains(UNDER_THE_CAB) || !text.contains("confirmed"), "{text}");
            let heading = text.lines().find(|line| line.contains(" confirmed")).unwrap_or_default();
            let heading = heading.split("  ").next().unwrap_or_default().trim().to_owned();
            if !heading.is_empty() && headings.last() != Some(&heading) {
                headings.push(heading);
            }
            if !person.confirms_one() {
                break;
            }
        }
        headings
    };
    let expected = [
        ("1", vec!["PARK THE MACHINE", "LOWER THE ARMS", "LOWER THE CAB", "RAISE THE CAB"]),
        ("2", vec!["PARK THE MACHINE", "LOWER THE ARMS", "RAISE THE CAB"]),
        ("3", vec!["PARK THE MACHINE", "LOWER THE ARMS", "RAISE THE CAB"]),
    ];
    for (answer, gates) in expected {
        let mut person = comes_again((80, 24));
        person.types(answer);
        assert!(!person.text().contains(UNDER_THE_CAB), "{}", person.text());
        person.enters("KM");
        assert_eq!(headings(&mut person), gates, "answer {answer}");
        assert!(person.text().contains(UNDER_THE_CAB), "{}", person.text());
    }
}

/// Through a pseudo-terminal: the job is begun by script, and gone on with by a person.
#[cfg(unix)]
#[test]
fn it_is_asked_on_a_terminal_and_recorded() {
    let trees = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/good_trees");
    let tree = trees.join("resumed-with-the-cab-up.yaml");
    let all = std::fs::read_to_string(trees.join("resumed-with-the-cab-up.answers.yaml")).expect("answers");
    let until = all.find("- {step: second-look").expect("the second look");
    let jobs = tempfile::tempdir().expect("a folder");
    let half: PathBuf = jobs.path().join("half.yaml");
    std::fs::write(&half, &all[..until]).expect("written");
    let begun = std::process::Command::new(env!("CARGO_BIN_EXE_loomwalk"))
        .arg("walk")
        .arg(&tree)
        .args(["--job", "0318", "--jobs"])
        .arg(jobs.path())
        .arg("--answers")
        .arg(&half)
        .output()
        .expect("it runs");
    assert!(begun.status.success(), "{begun:?}");
    let mut command = walk_of(&tree, jobs.path());
    command.arg("--resume");
    let mut seat = Seat::at(command, jobs);
    seat.waits_for("How does the cab stand");
    assert!(!seat.text().contains("pivot clamp"), "{}", seat.text());
    seat.presses_until("3", |seen| seen.contains("PARK THE MACHINE"));
    assert!(seat.within(PATIENCE, |seen| seen.contains("Who confirms?")), "{}", seat.text());
    seat.keys("\u{3}");
    assert_eq!(seat.ends(), 0);
    assert!(
        seat.journal().contains(r#""stands":{"step":"second-look","cab":"loose"}"#),
        "{}",
        seat.journal()
    );
    seat.journal_is_whole();
}
