//! A clock that is set while a job runs: the wall clock jumps back and forth, the other one starts anew when the job is
//! taken up again. Minutes are counted by the clock that only goes forward; what was begun before a jump lapses, since
//! nobody can tell a set clock from a laptop that slept.

use std::path::Path;

use loomwalk::diag::Source;
use loomwalk::job::Recorded;
use loomwalk::safety::{Confirm, Shown};
use loomwalk::tree::{Kind, Walkable, examine};
use loomwalk::walk::{Declined, Details, Event, Input, Moment, Now, Walk, Walker};
use serde_json::Value;

use super::walked::{place, program};
use super::{at, holder};

const MINUTE: i64 = 60_000;
const DAY: i64 = 1_440 * MINUTE;

fn course() -> Walkable {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/tui/trees/small.yaml");
    let source = Source::new("small.yaml", std::fs::read_to_string(file).expect("a tree"));
    examine(&source, &Vec::<Source>::new()).walkable().expect("it may be walked")
}

fn next(walk: &Walk) -> Input {
    match walk.now() {
        Now::Gate(at) => {
            let typed = match walk.gate_items(at.gate, at.step, at.why)[at.item].confirm {
                Confirm::Typed(Shown::Dead) => Some("0.0 V".to_owned()),
                Confirm::Typed(_) => Some("12.6 V".to_owned()),
                _ => None,
            };
            Input::Confirm { item: at.item, by: "KM".to_owned(), typed }
        }
        Now::Step(ix) => match &walk.course().tree().step(*ix).kind {
            Kind::Ask(ask) => Input::Answer(ask.answers[0].id.clone()),
            Kind::Read(_) => Input::Reading("2.00 bar".to_owned()),
            _ => Input::Done,
        },
        other => panic!("{other:?}"),
    }
}

/// Walks on, a minute at a time, the wall clock set by so much before the n-th thing said; gives how often what was in
/// force lapsed, and the minutes that passed.
fn walks_on(
    recorded: &mut Recorded,
    now: &mut Moment,
    said: usize,
    set: impl Fn(usize) -> i64,
) -> (usize, u32) {
    let (mut lapses, mut minutes) = (0, 0);
    for nth in 0..said {
        if matches!(recorded.walk().now(), Now::Ended(_)) {
            break;
        }
        *now = now.later(60_000);
        now.wall_ms += set(nth);
        minutes += 1;
        match recorded.say(next(recorded.walk()), *now).expect("the disk takes it") {
            Ok(()) => {}
            Err(Declined::Lapsed(_)) => lapses += 1,
            Err(other) => panic!("{other}"),
        }
    }
    (lapses, minutes)
}

fn json(folder: &Path, arguments: &[&str]) -> Value {
    let done =
        program().args(arguments).args(["--format", "json", "--jobs"]).arg(folder).output().expect("it runs");
    assert!(done.status.success(), "{arguments:?}: {done:?}");
    serde_json::from_slice(&done.stdout).expect("JSON")
}

#[test]
fn a_clock_that_jumps_changes_no_minutes_and_lapses_what_was_in_force() {
    let folder = tempfile::tempdir().expect("a folder");
    let course = course();
    let tree = course.tree();
    let mut now = at(0);
    let first = Event::Begun {
        tree: tree.id.clone(),
        revision: tree.revision,
        lang: "en".to_owned(),
        walker: Walker::Person,
        details: Details::default(),
    };
    let mut recorded =
        Recorded::begin(&course, &place(folder.path()), &first, &holder(1)).expect("it begins");
    // Back by more than a year, on again by three days, a year and a half on, an hour back: each is a jump.
    let jumps = |nth: usize| match nth {
        3 => -400 * DAY,
        6 => 3 * DAY,
        12 => 540 * DAY,
        20 => -60 * MINUTE,
        _ => 0,
    };
    let (lapses, minutes) = walks_on(&mut recorded, &mut now, 24, jumps);
    assert_eq!(lapses, 4, "each jump lapses once");
    drop(recorded);
    // The laptop is started again: the forward clock begins anew, and the wall clock stands in the year 2001.
    now = Moment { wall_ms: 1_000_000_000_000, offset_min: 0, mono_ms: 40 };
    let mut holder = holder(2);
    holder.since = now;
    let mut recorded = Recorded::go_on(&place(folder.path()), &holder).expect("it goes on");
    let (lapses, more) = walks_on(&mut recorded, &mut now, 400, |_| 0);
    assert_eq!(lapses, 0);
    assert!(matches!(recorded.walk().now(), Now::Ended(_)), "{:?}", recorded.walk().now());
    drop(recorded);

    let verified =
        program().args(["job", "verify", "0318", "--jobs"]).arg(folder.path()).output().expect("it runs");
    assert!(verified.status.success(), "{verified:?}");
    let worked = f64::from(minutes + more);
    let review = json(folder.path(), &["review", "0318"]);
    assert!(
        (review["minutes"]["worked"].as_f64().expect("minutes") - worked).abs() < 0.2,
        "{}",
        review["minutes"]
    );
    let events = review["events"].as_array().expect("events");
    for event in events {
        let minutes = event["clock_minutes"].as_f64().expect("minutes");
        assert!((0.0..=1.01).contains(&minutes), "{event}");
    }
    let report = json(folder.path(), &["report", "0318"]);
    assert!(
        (report["minutes"]["worked"].as_f64().expect("minutes") - worked).abs() < 0.2,
        "{}",
        report["minutes"]
    );
    let listed = json(folder.path(), &["job", "list"]);
    let minutes = listed["jobs"][0]["begun"]["minutes"].as_f64().expect("minutes");
    assert!((minutes - worked).abs() < 0.2, "{listed}");
    json(folder.path(), &["job", "archive"]);
}
