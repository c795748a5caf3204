//! Practice, review and archive on the screen: as text and style, and through a pseudo-terminal.

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use loomwalk::job::{Holder, Kept, Names, Recovered, Review, Shelf, recover, replay};
use loomwalk::practice::{Asked, prepared};
use loomwalk::tui::{App, Surroundings};

#[cfg(unix)]
use super::seat::Seat;
use super::{Person, course, text_and_style};

fn apprentice(size: (u16, u16)) -> (Person, tempfile::TempDir) {
    apprentice_in("en", size)
}

fn apprentice_in(lang: &str, size: (u16, u16)) -> (Person, tempfile::TempDir) {
    let logs = tempfile::tempdir().expect("a folder");
    let shelf = Shelf::new(logs.path());
    let around = Surroundings { lang: lang.to_owned(), ..Surroundings::default() };
    let person = Person::with(around, size, |around, at| {
        let asked = Asked { seed: Some(7), lang: lang.to_owned(), ..Asked::default() };
        let holder = Holder { process: 1, host: None, since: at };
        let sitting = prepared(&course("yard-lamp.yaml"), &shelf, &asked, &holder).expect("a sitting");
        App::practising(around, sitting, shelf.clone(), at)
    });
    (person, logs)
}

#[test]
fn an_apprentice_asks_confirms_measures_and_is_shown() {
    let (mut person, logs) = apprentice((80, 24));
    insta::assert_snapshot!("practice_question", text_and_style(&person.look()));
    person.press(KeyCode::Enter);
    person.look();
    person.types("1");
    person.enters("AP");
    person.types("2");
    insta::assert_snapshot!("practice_gate", text_and_style(&person.look()));
    person.enters("volts X1:1b GND1 light on");
    insta::assert_snapshot!("practice_stopped", text_and_style(&person.look()));
    person.types("show");
    person.press(KeyCode::Enter);
    assert!(person.app.thinks());
    let text = person.glimpse();
    assert!(text.contains("It is over; how it went is being worked out."), "{text}");
    insta::assert_snapshot!("practice_debrief", text_and_style(&person.look()));
    assert!(!person.app.thinks() && !person.app.hear_thoughts(), "worked out once");
    let kept = std::fs::read_to_string(logs.path().join("practised.jsonl")).expect("remembered");
    assert_eq!(kept.lines().count(), 1);
    person.press(KeyCode::Esc);
    assert!(person.text().contains("Trees"), "back at the start");
}

/// Whoever leaves before the debrief is there has practised all the same.
#[test]
fn a_debrief_that_nobody_waits_for_is_kept() {
    for away in [KeyEvent::from(KeyCode::Esc), KeyEvent::new(KeyCode::Char('c'), KeyModifiers::CONTROL)] {
        let (mut person, logs) = apprentice((80, 24));
        person.types("show");
        person.press(KeyCode::Enter);
        assert!(person.app.thinks(), "not worked out yet");
        let at = person.at;
        person.app.key(&away, at);
        let kept = std::fs::read_to_string(logs.path().join("practised.jsonl")).expect("remembered");
        assert_eq!(kept.lines().count(), 1, "{away:?}");
    }
}

/// The demo job, its suspects left unweighed.
fn demo() -> Review {
    let found: Recovered<Kept> = recover(include_bytes!("../../demo/no-lift.job.jsonl"));
    let replayed = replay(&found.records).expect("it replays");
    let events = found.records.iter().map(|record| (record.at, record.event.event()));
    Review::brief(&std::sync::Arc::new(replayed.walk.course().clone()), events)
}

#[test]
fn a_reviewer_goes_forward_and_back() {
    let jobs = vec![("demo".to_owned(), demo()), ("other".to_owned(), demo())];
    let mut person = Person::with(Surroundings::default(), (80, 24), |around, at| {
        App::reviewing(around, jobs, Names::LeftOut, at)
    });
    for _ in 0..44 {
        person.press(KeyCode::Down);
    }
    person.press(KeyCode::Up);
    insta::assert_snapshot!("review_event", text_and_style(&person.look()));
    person.press(KeyCode::Tab);
    insta::assert_snapshot!("review_beside", text_and_style(&person.look()));
    person.press(KeyCode::Tab);
    assert!(person.text().contains("Review  other"));
}

/// The same on a larger screen, and an archive with jobs in it.
#[test]
fn practice_review_and_archive_on_a_large_screen() {
    let size = (120, 36);
    let (mut person, _logs) = apprentice(size);
    person.press(KeyCode::Enter);
    person.look();
    person.types("1");
    person.enters("AP");
    person.enters("volts X1:1b GND1 light on");
    insta::assert_snapshot!("practice_stopped_120x36", text_and_style(&person.look()));
    person.enters("show");
    insta::assert_snapshot!("practice_debrief_120x36", text_and_style(&person.look()));
    let jobs = vec![("demo".to_owned(), demo())];
    let mut person = Person::with(Surroundings::default(), size, |around, at| {
        App::reviewing(around, jobs, Names::Told, at)
    });
    for _ in 0..48 {
        person.press(KeyCode::Down);
    }
    insta::assert_snapshot!("review_event_120x36", text_and_style(&person.look()));
    for size in [(80, 24), size] {
        let mut person = Person::with(Surroundings::default(), size, |around, at| {
            for name in ["0318", "0318-back"] {
                let file = around.jobs.join(format!("{name}.job.jsonl"));
                std::fs::write(file, include_bytes!("../../demo/no-lift.job.jsonl")).expect("written");
            }
            App::new(around, at)
        });
        person.press(KeyCode::Tab);
        person.types("3");
        insta::assert_snapshot!(format!("archive_{}x{}", size.0, size.1), text_and_style(&person.look()));
    }
}

#[test]
fn the_archive_lies_behind_the_start_screen() {
    let mut person = Person::at_start(Surroundings::default(), (80, 24));
    person.press(KeyCode::Tab);
    let list = person.text();
    assert!(list.contains("2  Practise") && list.contains("3  Archive"), "{list}");
    person.types("3");
    let folder = person.jobs.path().display().to_string();
    let seen = text_and_style(&person.look());
    assert!(seen.contains(&folder), "{seen}");
    insta::assert_snapshot!("archive_empty", seen.replace(&folder, "FOLDER"));
}

/// The archive opens at once, and its jobs are read beside the screen.
#[test]
fn the_archive_says_how_far_it_has_come() {
    let mut person = Person::with(Surroundings::default(), (80, 24), |around, at| {
        for nth in 0..60 {
            let file = around.jobs.join(format!("j{nth}.job.jsonl"));
            std::fs::write(file, include_bytes!("../../demo/no-lift.job.jsonl")).expect("written");
        }
        App::new(around, at)
    });
    person.press(KeyCode::Tab);
    person.look();
    person.press(KeyCode::Char('3'));
    if person.app.thinks() {
        let text = person.glimpse();
        assert!(text.contains("ARCHIVE") && text.contains("Jobs read: "), "{text}");
    }
    let text = person.text();
    assert!(text.contains("1 job.") && text.contains("W35 grounded at pivot-clamp"), "{text}");
}

#[test]
fn debrief_review_and_archive_speak_spanish() {
    let (mut person, _logs) = apprentice_in("es", (80, 24));
    person.press(KeyCode::Enter);
    person.look();
    person.types("1");
    person.enters("AP");
    person.types("2");
    person.look();
    person.enters("volts X1:1b GND1 light on");
    insta::assert_snapshot!("practice_stopped_es", text_and_style(&person.look()));
    person.enters("show");
    insta::assert_snapshot!("practice_debrief_es", text_and_style(&person.look()));
    let spanish = || Surroundings { lang: "es".to_owned(), ..Surroundings::default() };
    let mut person = Person::with(spanish(), (80, 24), |around, at| {
        App::reviewing(around, vec![("demo".to_owned(), demo())], Names::Told, at)
    });
    person.press(KeyCode::Tab);
    insta::assert_snapshot!("review_beside_es", text_and_style(&person.look()));
    let mut person = Person::with(spanish(), (80, 24), |around, at| {
        for name in ["0318", "0318-back"] {
            let file = around.jobs.join(format!("{name}.job.jsonl"));
            std::fs::write(file, include_bytes!("../../demo/no-lift.job.jsonl")).expect("written");
        }
        App::new(around, at)
    });
    person.press(KeyCode::Tab);
    person.types("3");
    insta::assert_snapshot!("archive_es", text_and_style(&person.look()));
}

/// The program at a pseudo-terminal, its data in this folder.
#[cfg(unix)]
fn seat(folder: &std::path::Path, args: &[&str]) -> Seat {
    let data = format!("XDG_DATA_HOME={}", folder.display());
    let config = format!("XDG_CONFIG_HOME={}", folder.display());
    let own = [data.as_str(), &config, "LANG=C.UTF-8", "LC_ALL=C.UTF-8", env!("CARGO_BIN_EXE_loomwalk")];
    Seat::running("env", &[&own, args].concat())
}

#[cfg(unix)]
#[test]
fn an_apprentice_practises_by_keys() {
    let folder = tempfile::tempdir().expect("a folder");
    let tree = super::trees().join("yard-lamp.yaml");
    let mut seat = seat(folder.path(), &["practice", &tree.to_string_lossy(), "--seed", "7"]);
    seat.waits_for("Enter to ask.");
    seat.keys("\r");
    seat.waits_for("The operator says");
    seat.waits_for("when you have said it");
    seat.keys("1");
    seat.waits_for("Your initials");
    seat.keys("AP\r");
    seat.waits_for("2 when you have seen it");
    seat.keys("ohms X1:1b GND1\r");
    seat.waits_for("Stopped.");
    seat.keys("show\r");
    seat.waits_for("Done well");
    seat.keys("\u{3}");
    assert_eq!(seat.ends(), 0);
    let kept = std::fs::read_to_string(folder.path().join("loomwalk/practice/practised.jsonl"));
    assert!(kept.expect("remembered").contains("yard-lamp"));
}

#[cfg(unix)]
#[test]
fn a_reviewer_reads_a_job_by_keys() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("short.job.jsonl");
    let short =
        include_str!("../../demo/no-lift.job.jsonl").split_inclusive('\n').take(2).collect::<String>();
    std::fs::write(&file, short).expect("written");
    let mut seat = seat(folder.path(), &["review", &file.to_string_lossy()]);
    seat.waits_for("Review  short");
    seat.keys("\u{1b}[B");
    seat.waits_for(">   2");
    seat.keys("\t");
    seat.waits_for("In force, minutes worked");
    seat.keys("\u{3}");
    assert_eq!(seat.ends(), 0);
}

#[cfg(unix)]
#[test]
fn the_archive_is_opened_by_keys() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut seat = seat(folder.path(), &[]);
    seat.waits_for("Trees");
    seat.keys("\t");
    seat.waits_for("3  Archive");
    seat.keys("3");
    seat.waits_for("There are no jobs in this folder");
    seat.keys("\u{3}");
    assert_eq!(seat.ends(), 0);
}

#[cfg(unix)]
#[test]
fn practice_speaks_the_language_that_was_asked_for() {
    let folder = tempfile::tempdir().expect("a folder");
    let tree = super::trees().join("yard-lamp.yaml");
    let mut seat = seat(folder.path(), &["practice", &tree.to_string_lossy(), "--seed", "7", "--lang", "es"]);
    seat.waits_for("Práctica");
    seat.waits_for("Máquina ahora");
    seat.waits_for("Enter para preguntar.");
    seat.keys("\r");
    seat.waits_for("cuando lo haya dicho. ¿Dicho?");
}
