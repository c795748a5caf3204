//! Suspects along the wire and the suggestion beside a walk: that it parts what is left, that it is only there where
//! it beats what the tree says, and that it is taken by a jump through the gates it needs.

use std::path::Path;
use std::sync::Arc;

use loomwalk::diag::{Lang, Source, SourceError, Sources};
use loomwalk::machine::Today;
use loomwalk::reason::{
    Observed, Reason, RoundBefore, Said, SeenAt, Situation, Suggester, Suggestion, Whereabouts,
};
use loomwalk::safety::{Confirm, State};
use loomwalk::tree::{Course, Kind, StepIx, Walkable, examine};
use loomwalk::units::{Measure, Meter, Reading};
use loomwalk::walk::{Details, Event, Input, Moment, Now, Walk, Walker};

/// Two circuits of the example machine in a row, each with a far quicker test for what is behind it at its end.
pub(crate) const TREE: &str = r#"
loomwalk: 1
tree: no-lift
title: No lift
MACHINE
symptom: {lift: fails, display: works}
setup: {key: "on", bar: down, door: shut}
start: smell
steps:
  smell:
    ask: Is there a burnt smell at the valve?
    answers:
      burnt: {text: "There is", go: safe}
      none: {text: "There is none", go: safe}
    cannot: safe
  safe: {gates: [park, lower-arms, lower-cab, lockout, raise-cab, live-test], go: slow}
  slow:
    read: volts
    red: A1:8
    black: GND1
    minutes: 30
    bands:
      - {below: 3.5 V, go: door-low}
      - {above: 3.5 V, go: bar-volts}
  bar-volts:
    read: volts
    red: A1:7
    black: GND1
    minutes: 3
    bands:
      - {below: 1.5 V, go: away}
      - {from: 1.5 V, go: bar-open}
  door-low: {find: [W35 grounded at pivot-clamp, S5 stuck closed], cause: a clamp, repair: {splice: W35}, go: away}
  bar-open: {find: [W31 open, W31 open at pivot-clamp, W31 open at hose-crossing, S4 stuck open], cause: a clamp, repair: {splice: W31}, go: away}
  away: {gates: [lockout, leave], go: gone}
  gone: {refer: Somebody else}
"#;

pub(crate) struct Machines;

impl Sources for Machines {
    fn fetch(&self, _from: &str, wanted: &str) -> Result<Source, SourceError> {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/machines").join(wanted);
        let missing = || SourceError::Missing { name: wanted.to_owned() };
        let text = std::fs::read_to_string(path).map_err(|_| missing())?;
        Ok(Source::new(wanted, text))
    }
}

fn course(with_machine: bool) -> Arc<Course> {
    let line = if with_machine { "machine: example.yaml" } else { "revision: 1" };
    let source = Source::new("tree.yaml", TREE.replace("MACHINE", line));
    Arc::new(examine(&source, &Machines).course.expect("a course"))
}

fn observed(course: &Arc<Course>, at: &str) -> Observed {
    let state = State::at_start(course.vocabulary());
    Observed {
        course: course.clone(),
        today: Today::default(),
        meter: Meter::default(),
        seen: Vec::new(),
        before: Vec::new(),
        at: Some(step(course, at)),
        situation: Situation::of(&state, course.vocabulary()),
        state,
        zone: None,
    }
}

fn step(course: &Course, id: &str) -> StepIx {
    course.tree().find(id).expect("a step")
}

fn read(course: &Course, id: &str, typed: &str, band: usize) -> SeenAt {
    let reading = Reading::parse(typed, Measure::Volts.unit()).expect("a reading");
    let situation = Situation::of(&State::at_start(course.vocabulary()), course.vocabulary());
    SeenAt { step: step(course, id), situation, said: Said::Reading(reading, band) }
}

fn whereabouts(observed: &Observed) -> Whereabouts {
    observed.whereabouts().expect("there are suspects")
}

fn suggestion(observed: &Observed) -> Suggestion {
    whereabouts(observed).suggestion.expect("there is a suggestion")
}

#[test]
fn a_test_that_parts_the_same_in_three_minutes_is_suggested_before_one_of_thirty() {
    let course = course(true);
    let suggested = suggestion(&observed(&course, "slow"));
    assert_eq!(suggested.step, step(&course, "bar-volts"));
    assert_eq!(suggested.test, suggested.step);
    assert_eq!(suggested.reason, Reason::Parts);
    assert!(suggested.so.value() < suggested.as_written.value());
    assert!(suggested.parts.len() > 1 && suggested.parts.iter().all(|part| !part.is_empty()));
    let said = suggested.said(&course, &Lang::default());
    assert!(said.starts_with("volts at A1:7, through park, "), "{said}");
    assert!(said.contains(" min, parts "), "{said}");
    assert!(suggested.said(&course, &Lang::new("es")).contains(", pasando por park"));
}

#[test]
fn nothing_is_suggested_where_the_tree_says_it_already() {
    let course = course(true);
    assert_eq!(whereabouts(&observed(&course, "bar-volts")).suggestion, None);
}

#[test]
fn where_the_tree_finds_nothing_of_what_is_left_it_says_so() {
    let course = course(true);
    let mut gone_wrong = observed(&course, "away/lockout");
    gone_wrong.seen = vec![read(&course, "bar-volts", "0.02 V", 0)];
    let suggested = suggestion(&gone_wrong);
    assert_eq!(suggested.reason, Reason::LeadsBack);
    assert_eq!(suggested.step, step(&course, "slow"), "what is left is found from there");
}

#[test]
fn a_test_that_parts_nothing_is_never_suggested() {
    let course = course(true);
    for (ix, at) in course.tree().iter() {
        let mut here = observed(&course, &at.id);
        here.at = Some(ix);
        for seen in
            [vec![], vec![read(&course, "bar-volts", "4.97 V", 1)], vec![read(&course, "slow", "0.02 V", 0)]]
        {
            here.seen = seen;
            let Some(suggested) = whereabouts(&here).suggestion else { continue };
            let parts = suggested.parts.iter().filter(|part| !part.is_empty()).count();
            assert!(parts > 1 || suggested.reason != Reason::Parts, "{} at {}", suggested.step.at(), at.id);
            assert_ne!(course.tree().step(suggested.test).id, "smell", "both answers lead to one step");
            let answered = here.seen.iter().any(|seen| seen.step == suggested.test);
            assert!(!answered || suggested.reason != Reason::Parts, "it was read already");
        }
    }
}

/// Two ways of an untied question, each leading to finds of its own and to one that both share.
const ASKED: &str = r#"
loomwalk: 1
tree: asked
title: Asked
symptom: {}
start: noise
steps:
  noise: {ask: "Does it hum?", answers: {hums: {text: It hums, go: coil}, still: {text: It does not, go: fuse}}}
  coil: {ask: "Is the coil hot?", minutes: 20, answers: {hot: {text: Hot, go: f-coil}, cold: {text: Cold, go: f-both}}}
  fuse: {ask: "Is the fuse black?", minutes: 20, answers: {black: {text: Black, go: f-fuse}, clear: {text: Clear, go: f-both}}}
  f-coil: {find: [coil], cause: c, repair: {clean: p}, go: away}
  f-fuse: {find: [fuse], cause: c, repair: {clean: p}, go: away}
  f-both: {find: [both], cause: c, repair: {clean: p}, go: away}
  away: {refer: Away}
"#;

#[test]
fn a_question_just_answered_is_not_suggested_again() {
    let course = Arc::new(examine(&Source::new("tree.yaml", ASKED), &Machines).course.expect("a course"));
    let mut here = observed(&course, "coil");
    let situation = here.situation.clone();
    for way in 0..2 {
        here.seen =
            vec![SeenAt { step: step(&course, "noise"), situation: situation.clone(), said: Said::Way(way) }];
        for at in ["coil", "fuse"] {
            here.at = Some(step(&course, at));
            let suggested = whereabouts(&here).suggestion;
            assert!(suggested.is_none_or(|s| s.test != step(&course, "noise")), "asked again at {at}");
        }
    }
}

#[test]
fn suspects_stand_in_the_order_of_the_current_and_sum_to_one() {
    let course = course(true);
    let all = whereabouts(&observed(&course, "slow"));
    let sum: f64 = all.suspects.iter().map(|s| s.probability.value()).sum();
    assert!((sum + all.not_listed.value() - 1.0).abs() < 1e-12);
    let place = |fault: &&str| all.suspects.iter().position(|s| s.fault == **fault);
    // The bar's circuit runs from the controller's pin over W31, X14:3, W32, the switch and W33 to the stud.
    let order = [
        "A1:7 dead",
        "W31 open at pivot-clamp",
        "W31 open at hose-crossing",
        "X14:3 open",
        "W32 open",
        "S4 stuck open",
        "W33 open",
    ];
    let places: Vec<usize> = order.iter().filter_map(place).collect();
    assert!(places.len() > 4 && places.is_sorted(), "{places:?}");
    let lines = all.lines(8, &Lang::default());
    assert!(lines.len() <= 8);
    let drawn: f64 = lines.iter().map(|line| line.probability.value()).sum();
    assert!((drawn - sum).abs() < 1e-12, "nothing is lost by folding");
    let seen = {
        let mut seen = observed(&course, "bar-volts");
        seen.seen = vec![read(&course, "slow", "0.02 V", 0)];
        whereabouts(&seen)
    };
    let ruled_out = seen.by_last.expect("something was seen");
    assert_eq!(ruled_out.of, all.left());
    assert_eq!(ruled_out.faults, all.left() - seen.left());
    assert!(seen.lines(8, &Lang::default()).iter().any(|line| line.likeliest && line.spot == "W35"));
}

#[test]
fn the_shape_of_a_tree_is_enough_for_suspects() {
    let course = course(false);
    let all = whereabouts(&observed(&course, "slow"));
    assert_eq!(all.suspects.len(), 6);
    let mut seen = observed(&course, "bar-volts");
    seen.seen = vec![read(&course, "slow", "0.02 V", 0)];
    let after = whereabouts(&seen);
    let door = |w: &Whereabouts| -> f64 {
        w.suspects
            .iter()
            .filter(|s| ["W35", "S5"].contains(&s.along.spot.as_str()))
            .map(|s| s.probability.value())
            .sum()
    };
    assert!(door(&after) > 0.85 && door(&all) < 0.5);
}

/// Two faults at once: the first round read the door's input low and the bar's input high, its finding was the bar's
/// wire, which was seen broken and mended, and the proof failed. With the mended fault in the network too the high bar
/// reads as it must whatever else is wrong, so it speaks for no bar fault any more; the low door still needs one.
#[test]
fn after_a_proof_that_fails_the_round_before_is_read_with_what_was_mended() {
    let course = course(true);
    let part = |all: &Whereabouts, spots: &[&str]| -> f64 {
        let at = |s: &&loomwalk::reason::OnWire| spots.contains(&s.along.spot.as_str());
        all.suspects.iter().filter(at).map(|s| s.probability.value()).sum()
    };
    let (door, bar) = (["W35", "S5"], ["W31", "X14:3", "W32", "S4", "W33"]);
    let saw = || vec![read(&course, "slow", "0.02 V", 0), read(&course, "bar-volts", "4.97 V", 1)];
    let fresh = whereabouts(&observed(&course, "slow"));
    let mut again = observed(&course, "slow");
    again.before = vec![RoundBefore { seen: saw(), repaired: vec!["W31 open at pivot-clamp".to_owned()] }];
    let after = whereabouts(&again);
    assert!(part(&after, &door) > 0.8, "{}", part(&after, &door));
    assert!(part(&after, &door) > 2.0 * part(&fresh, &door));
    assert!(part(&after, &bar) < part(&fresh, &bar), "the high bar was the mended wire");
    // Taken as seen on the machine as it is now, the same readings would speak for the bar as well.
    let mut as_one = observed(&course, "slow");
    as_one.seen = saw();
    assert!(part(&whereabouts(&as_one), &bar) > part(&after, &bar));
    // What was mended without having been seen says nothing: such a round is not handed over.
    let mut unseen = observed(&course, "slow");
    unseen.before = Vec::new();
    assert_eq!(whereabouts(&unseen).suspects, fresh.suspects);
    // The order of what was seen does not matter.
    again.before[0].seen.reverse();
    let turned = whereabouts(&again);
    for (one, other) in after.suspects.iter().zip(&turned.suspects) {
        assert!((one.probability.value() - other.probability.value()).abs() < 1e-12);
    }
}

#[test]
fn a_worker_says_the_same_and_drops_what_was_superseded() {
    let course = course(true);
    let (one, other) = (observed(&course, "bar-volts"), observed(&course, "slow"));
    let mut worker = Suggester::new();
    worker.ask(one);
    worker.ask(other.clone());
    assert_eq!(worker.wait(), other.whereabouts());
    assert_eq!(worker.answer(), None, "it is said once");
}

/// A walk of the tree that may be walked.
struct Walking {
    walk: Walk,
    at: Moment,
}

impl Walking {
    fn new(course: &Walkable) -> Self {
        let mut walking = Self { walk: Walk::new(course), at: Moment::default() };
        let tree = course.course();
        let begun = Event::Begun {
            tree: tree.tree().id.clone(),
            revision: tree.tree().revision,
            lang: "en".to_owned(),
            walker: Walker::Script,
            details: Details::default(),
        };
        walking.walk.apply(&begun, walking.at).expect("it begins");
        walking
    }

    fn say(&mut self, input: Input) {
        self.at = self.at.later(1000);
        for event in self.walk.accept(input, self.at).expect("it is taken") {
            self.walk.apply(&event, self.at).expect("it fits");
        }
    }

    fn through_gates(&mut self) {
        while let Now::Gate(gate) = self.walk.now().clone() {
            let items = self.walk.gate_items(gate.gate, gate.step, gate.why);
            let typed = match items[gate.item].confirm {
                Confirm::Typed(loomwalk::safety::Shown::Dead) => Some("0.0 V".to_owned()),
                Confirm::Typed(_) => Some("12.6 V".to_owned()),
                _ => None,
            };
            self.say(Input::Confirm { item: gate.item, by: "KM".to_owned(), typed });
        }
    }
}

#[test]
fn taking_it_is_a_jump_through_the_gates_it_names() {
    let source = Source::new("tree.yaml", TREE.replace("MACHINE", "machine: example.yaml"));
    let examined = examine(&source, &Machines);
    let told: Vec<String> =
        examined.problems.list().iter().map(|p| format!("{}: {}", p.rule, p.wrong)).collect();
    let course = examined.walkable().unwrap_or_else(|| panic!("{told:#?}"));
    let mut walking = Walking::new(&course);
    let here = walking.walk.observed();
    let suggested = suggestion(&here);
    walking.say(Input::Jump(suggested.step));
    walking.through_gates();
    assert_eq!(*walking.walk.now(), Now::Step(suggested.step));
    let passed: Vec<_> = walking.walk.gates().iter().map(|log| log.gate).collect();
    assert_eq!(passed, suggested.gates);
    walking.say(Input::Reading("4.97 V".to_owned()));
    assert!(matches!(course.tree().step(walking.walk.step_ix().expect("a step")).kind, Kind::Find(_)));
    let after = walking.walk.observed();
    assert_eq!(after.seen.len(), 1);
    assert_eq!(whereabouts(&after).suggestion, None, "it was found");
}
