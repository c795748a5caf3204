//! The review of the demo job against its journal, read here line by line with nothing but a JSON reader, a table of
//! minutes copied by hand from the tree and machine files, and a table of what gates set from the safety page.

use std::collections::BTreeMap;
use std::sync::{Arc, LazyLock};

use assert_cmd::Command;
use loomwalk::diag::Lang;
use loomwalk::job::{Kept, Names, Recovered, Review, recover, replay, review_json, review_lines};
use loomwalk::walk::{Event, Moment, Walker};
use serde_json::Value;

const JOURNAL: &str = include_str!("../demo/no-lift.job.jsonl");

/// Minutes by hand: those written in `trees/`, else ask 1, look 2, read 3, do 3, or what the plug takes (X14 and X20: 2).
const STEPS: [(&str, f64); 25] = [
    ("last-tried", 0.0),
    ("display-lit", 0.0),
    ("code-shown", 1.0),
    ("tie-bar", 3.0),
    ("a1-feed", 2.0),
    ("bar-volts", 4.0),
    ("door-volts", 3.0),
    ("x14-apart-door", 2.0),
    ("x14-look-door/look", 3.0),
    ("s5-ohms", 3.0),
    ("w35-ohms", 3.0),
    ("door-wire-rubbed", 0.0),
    ("repair", 3.0),
    ("repair-held/hold", 3.0),
    ("repair-held/cause", 5.0),
    ("put-together", 2.0),
    ("plug-x20", 2.0),
    ("untie-bar", 3.0),
    ("proof-lift", 1.0),
    ("proof-bar", 1.0),
    ("proof-door", 1.0),
    ("code-gone", 1.0),
    ("repaired", 0.0),
    ("not-reproduced", 0.0),
    ("handed-over", 0.0),
];

/// A gate's name, its minutes, and what it sets.
type Gate = (&'static str, f64, &'static [(&'static str, &'static str)]);

/// Minutes of the gates on the demo's path, and what each sets, from the safety page.
const GATES: [Gate; 12] = [
    ("park", 2.0, &[("parked", "yes"), ("power", "off")]),
    ("lower-arms", 1.0, &[("arms", "down"), ("power", "off"), ("pressure", "charged")]),
    ("lower-cab", 4.0, &[("cab", "down")]),
    ("lockout", 5.0, &[("power", "isolated"), ("lock", "on")]),
    ("raise-cab", 6.0, &[("cab", "supported")]),
    ("live-test", 2.0, &[("power", "live")]),
    ("hot-work", 3.0, &[]),
    ("put-back", 2.0, &[("whole", "yes")]),
    ("release-lockout", 2.0, &[("power", "off"), ("lock", "off")]),
    ("run-up", 1.0, &[("power", "running"), ("arms", "raised"), ("pressure", "charged")]),
    ("leave", 2.0, &[]),
    ("keep-away", 0.0, &[]),
];

/// The demo job reviewed, once for all tests here: what would have been quicker takes a while to work out.
pub(crate) static REVIEWED: LazyLock<Review> = LazyLock::new(|| {
    let found: Recovered<Kept> = recover(JOURNAL.as_bytes());
    let replayed = replay(&found.records).expect("it replays");
    let events = found.records.iter().map(|record| (record.at, record.event.event()));
    Review::of(&Arc::new(replayed.walk.course().clone()), events)
});

fn review() -> Value {
    review_json(&REVIEWED, Names::Told)
}

/// Number, milliseconds, name of the event and its fields.
fn events(journal: &str) -> Vec<(u64, String, Value)> {
    journal
        .lines()
        .map(|line| {
            let line: Value = serde_json::from_str(line).expect("JSON");
            let ms = line["ms"].as_u64().expect("ms");
            let mut event = line["event"].clone();
            if let Some(opened) = event.get("opened") {
                event = opened["event"].clone();
            }
            match event {
                Value::String(name) => (ms, name, Value::Null),
                other => {
                    let map = other.as_object().expect("one key");
                    let (name, fields) = map.iter().next().expect("one key");
                    (ms, name.clone(), fields.clone())
                }
            }
        })
        .collect()
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

fn near(one: f64, other: f64) -> bool {
    (one - other).abs() < 0.002
}

/// Half-ups of thousandths add up over a hundred events.
fn near_sum(one: f64, other: f64) -> bool {
    (one - other).abs() < 0.06
}

#[test]
fn minutes_gates_and_conditions_are_those_of_the_journal() {
    let (worked, waited) = agree(&review(), JOURNAL);
    assert!(worked > 100.0 && near(waited, 0.0), "{worked} {waited}");
}

/// The same job, with an hour of rain after the first reading, something written down in the middle of it.
#[test]
fn a_wait_is_no_work_in_any_figure() {
    let folder = tempfile::tempdir().expect("a folder");
    let answers = std::fs::read_to_string("demo/no-lift.answers.yaml").expect("there");
    let (before, after) = answers.split_once("# Off the tree").expect("a place");
    let rain = "- {wait: rain, after: 10 min}\n- {left: \"Cab up and pinned; Ilse Brandt told\", after: 5 min}\n\
                - {back-from-wait: stayed, after: 55 min}\n";
    let file = folder.path().join("rain.yaml");
    std::fs::write(&file, format!("{before}{rain}# Off the tree{after}")).expect("written");
    let mut command = Command::cargo_bin("loomwalk").expect("the program is built");
    command.args(["walk", "tern/no-lift-no-tilt", "--job", "rain", "--answers"]).arg(&file);
    let output = command.arg("--jobs").arg(folder.path()).output().expect("it runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let journal = std::fs::read_to_string(folder.path().join("rain.job.jsonl")).expect("a journal");
    let found: Recovered<Kept> = recover(journal.as_bytes());
    let replayed = replay(&found.records).expect("it replays");
    let events = found.records.iter().map(|record| (record.at, record.event.event()));
    let reviewed = Review::brief(&Arc::new(replayed.walk.course().clone()), events);
    let (worked, waited) = agree(&review_json(&reviewed, Names::Told), &journal);
    // Ten minutes of work before the rain began, and then an hour of it.
    let dry = number(&review()["minutes"]["worked"]);
    assert!(near(waited, 60.0) && near(worked, dry + 10.0), "{worked} for {dry}, {waited}");
}

/// Person, clock and walk of the demo: the first gate ticked in a second an item, every other in three.
#[test]
fn a_gate_ticked_faster_than_anybody_looks_is_told() {
    let found: Recovered<Kept> = recover(JOURNAL.as_bytes());
    let replayed = replay(&found.records).expect("it replays");
    let (mut mono, mut last) = (0, 0);
    let mut first_gate = true;
    let mut events: Vec<(Moment, Event)> = Vec::new();
    for record in &found.records {
        let mut event = record.event.event().clone();
        let step = match &mut event {
            Event::Begun { walker, .. } => {
                *walker = Walker::Person;
                0
            }
            Event::Item { gate, .. } => {
                first_gate &= gate == "park";
                if first_gate { 1_000 } else { 3_000 }
            }
            _ => record.at.mono_ms - last,
        };
        mono += step;
        last = record.at.mono_ms;
        let wall_ms = 1_772_433_600_000 + i64::try_from(mono).expect("small");
        events.push((Moment { wall_ms, offset_min: 0, mono_ms: mono }, event));
    }
    let events = events.iter().map(|(at, event)| (*at, event));
    let review = Review::brief(&Arc::new(replayed.walk.course().clone()), events);
    let ticked: Vec<(&str, bool)> =
        review.gates.iter().map(|gate| (gate.gate.as_str(), gate.ticked)).collect();
    assert_eq!(ticked[0], ("park", true), "{ticked:?}");
    assert!(ticked.len() > 10 && ticked[1..].iter().all(|(_, ticked)| !ticked), "{ticked:?}");
    let seven = review.gates[0].clock.value() * 60.0;
    assert!(near(seven, 7.0), "{seven} seconds for seven items");
}

/// Holds the figures of a review against those of its journal; minutes worked and waited.
fn agree(reviewed: &Value, journal: &str) -> (f64, f64) {
    let told = reviewed["events"].as_array().expect("events");
    let events = events(journal);
    assert_eq!(told.len(), events.len());
    let mut items: BTreeMap<String, f64> = BTreeMap::new();
    for (_, name, fields) in &events {
        if name == "item" {
            let key = format!("{} {}", fields["step"], fields["gate"]);
            let count = items.entry(key).or_default();
            *count = count.max(number(&fields["item"]) + 1.0);
        }
    }
    let (mut last, mut waits, mut waited) = (0, false, 0.0);
    let (mut clock_sum, mut tree_sum) = (0.0, 0.0);
    let mut state: BTreeMap<&str, &str> =
        BTreeMap::from([("parked", "no"), ("pressure", "charged"), ("lock", "off")]);
    let mut held: BTreeMap<(String, String), f64> = BTreeMap::new();
    let mut begun = (0, Vec::new());
    let mut gates = Vec::new();
    for ((ms, name, fields), pass) in events.iter().zip(told) {
        let away = matches!(name.as_str(), "begun" | "resumed" | "stayed");
        let passed = u32::try_from(ms - last).map_or(0.0, f64::from) / 60_000.0;
        let clock = if away || waits { 0.0 } else { passed };
        waited += if waits { passed } else { 0.0 };
        waits = name == "waits" || (waits && name != "stayed");
        for (condition, value) in &state {
            *held.entry(((*condition).to_owned(), (*value).to_owned())).or_default() += clock;
        }
        let step = fields["step"].as_str().unwrap_or_default();
        let by_hand = || STEPS.iter().find(|(known, _)| *known == step).map(|(_, minutes)| *minutes);
        let by_tree = match name.as_str() {
            "answered" | "read" | "done" | "cannot" | "ended" => {
                by_hand().unwrap_or_else(|| panic!("{step} is not in the table"))
            }
            "item" => {
                let gate = fields["gate"].as_str().expect("a gate");
                let (_, minutes, sets) =
                    GATES.iter().find(|(known, _, _)| *known == gate).expect("a known gate");
                let count = items[&format!("{} {}", fields["step"], fields["gate"])];
                begun.1.push(*ms);
                if near(number(&fields["item"]) + 1.0, count) {
                    state.extend(sets.iter().copied());
                    gates.push((
                        gate.to_owned(),
                        count,
                        u32::try_from(ms - begun.0).map_or(0.0, f64::from) / 60_000.0,
                    ));
                    begun = (*ms, Vec::new());
                }
                minutes / count
            }
            "own-reading" => 3.0,
            _ => 0.0,
        };
        // What is only written down leaves the walk where it is.
        if !matches!(
            name.as_str(),
            "item" | "note" | "left" | "repaired" | "own-reading" | "details" | "code-left"
        ) {
            begun = (*ms, Vec::new());
        }
        // Unplugged, tied or cut: not whole. Watched while it moves: the arms are up afterwards.
        if name == "done" && matches!(step, "tie-bar" | "x14-apart-door") {
            state.insert("whole", "no");
        }
        if name == "answered" && step.starts_with("proof-") {
            state.extend([("arms", "raised"), ("pressure", "charged")]);
        }
        assert!(near(number(&pass["clock_minutes"]), clock), "{name} {fields}: {pass}");
        assert!(near(number(&pass["tree_minutes"]), by_tree), "{name} {fields}: {by_tree} for {pass}");
        clock_sum += clock;
        tree_sum += by_tree;
        last = *ms;
    }
    assert!(near(number(&reviewed["minutes"]["worked"]), clock_sum));
    assert!(near_sum(number(&reviewed["minutes"]["by_tree"]), tree_sum));
    for (gate, told) in gates.iter().zip(reviewed["gates"].as_array().expect("gates")) {
        assert_eq!(
            (told["gate"].as_str(), told["confirmed"].as_f64()),
            (Some(gate.0.as_str()), Some(gate.1))
        );
        assert!(near(number(&told["clock_minutes"]), gate.2), "{gate:?} {told}");
        assert_eq!(
            told["ticked"],
            Value::Bool(false),
            "an answers file looks at nothing, and that is said elsewhere"
        );
    }
    assert!(near(number(&reviewed["minutes"]["waited"]), waited));
    assert_eq!(reviewed["gates"].as_array().map(Vec::len), Some(gates.len()));
    for ((condition, value), minutes) in held {
        let told = reviewed["in_force"].as_array().expect("conditions").iter().find(|held| {
            held["condition"].as_str() == Some(condition.as_str())
                && held["value"].as_str() == Some(value.as_str())
        });
        // The lock goes with the power, and is told with its gate.
        if minutes > 0.0 && condition != "lock" {
            let told = told.unwrap_or_else(|| panic!("{condition} {value} {minutes} is not told"));
            assert!(near(number(&told["minutes"]), minutes), "{condition} {value}: {minutes} for {told}");
        }
    }
    (clock_sum, waited)
}

/// What each step ruled out, from the probabilities that the review itself prints beside it would be no check: the
/// suspects at the end are those that `rank` gives for the answers file of the same job, which never sees a walk.
#[test]
fn suspects_at_the_end_are_those_of_the_answers_file() {
    let reviewed = review();
    let told: Vec<&Value> =
        reviewed["events"].as_array().expect("events").iter().filter(|e| e.get("after").is_some()).collect();
    let mut command = Command::cargo_bin("loomwalk").expect("the program is built");
    let answers =
        ["rank", "tern/no-lift-no-tilt", "--answers", "demo/no-lift.answers.yaml", "--format", "json"];
    let output = command.args(answers).output().expect("it runs");
    let ranked: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let of = |fault: &str| {
        let all = ranked["suspects"].as_array().expect("suspects");
        number(&all.iter().find(|s| s["fault"] == fault).expect("listed")["probability"])
    };
    let last = told.last().expect("some evidence");
    assert_eq!(last["step"], "w35-ohms");
    for suspect in last["after"].as_array().expect("suspects").iter().take(1) {
        let fault = suspect["fault"].as_str().expect("a name");
        assert!((number(&suspect["probability"]) - of(fault)).abs() < 0.02, "{suspect}");
    }
    // What a step leaves is what the next one begins with, and what it rules out is never more than what was left.
    for pair in told.windows(2) {
        assert_eq!(pair[0]["after"], pair[1]["before"]);
        let left = |e: &Value| number(&e["ruled_out"]["of"]) - number(&e["ruled_out"]["faults"]);
        assert!(number(&pair[1]["ruled_out"]["of"]) <= number(&pair[0]["ruled_out"]["of"]));
        assert!(left(pair[1]) >= 1.0);
    }
    let quicker: Vec<&Value> = told.iter().filter_map(|e| e.get("quicker")).collect();
    assert!(!quicker.is_empty(), "hindsight is told");
    for hindsight in quicker {
        if let (Some(so), Some(written)) = (hindsight["so"].as_f64(), hindsight["as_written"].as_f64()) {
            assert!(so < written, "{hindsight}");
        }
    }
}

#[test]
fn names_can_be_left_out() {
    let told = review_lines(&REVIEWED, Names::Told, &Lang::default()).join("\n");
    assert!(told.contains("By K. Marek.") && told.contains(", KM"), "{told}");
    let silent = review_lines(&REVIEWED, Names::LeftOut, &Lang::default()).join("\n");
    assert!(!silent.contains("Marek") && !silent.contains("KM"), "{silent}");
    assert!(!review_json(&REVIEWED, Names::LeftOut).to_string().contains("Marek"));
}

#[test]
fn the_review_as_it_is_printed() {
    insta::assert_snapshot!("review", review_lines(&REVIEWED, Names::Told, &Lang::default()).join("\n"));
}

/// As typed: the telephone alone, so that little is weighed.
#[test]
fn the_command_reads_a_job_and_tells_what_is_torn() {
    let short = JOURNAL.split_inclusive('\n').take(2).collect::<String>();
    let run = |text: String| {
        let mut command = Command::cargo_bin("loomwalk").expect("the program is built");
        let output =
            command.args(["review", "-", "--format", "json"]).write_stdin(text).output().expect("it runs");
        let told: Value = serde_json::from_slice(&output.stdout).expect("JSON");
        (output.status.code(), told["events"].as_array().map(Vec::len))
    };
    let altered = short.replacen("\"answer\":\"still\"", "\"answer\":\"stall\"", 1);
    assert_eq!(run(short), (Some(0), Some(2)));
    assert_eq!(run(altered), (Some(1), Some(1)), "what follows an altered line is no event");
}
