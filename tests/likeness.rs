//! Bands by likeness while walking: a reading goes to the band whose faults would make it, with today's battery.

use loomwalk::diag::{Source, SourceError, Sources};
use loomwalk::tree::{Shipped, examine};
use loomwalk::walk::{Declined, Details, Event, Input, Moment, Now, Walk, Walker};

const TREE: &str = r#"
loomwalk: 1
tree: by-likeness
title: {en: By likeness, es: Por semejanza}
machine: machine.yaml
symptom: {lift: fails, display: works}
start: safe
steps:
  safe: {gates: [park, lower-arms, lower-cab, lockout], go: tie}
  tie: {do: Tie the bar down., ties: bar, zone: seat, go: up}
  up: {gates: [raise-cab, live-test], go: volts}
  volts:
    read: volts
    red: A1:7
    black: GND1
    with: {key: "on", bar: down, door: shut}
    bands:
      - {like: healthy, means: bar seen down, go: down}
      - {like: [X14:3 open, W31 open], means: bar circuit open, go: down}
      - {like: rest, means: something between, go: down}
  down: {gates: [park, lower-cab, leave], go: away}
  away: {refer: Somebody else}
"#;

struct Beside;

impl Sources for Beside {
    fn fetch(&self, _from: &str, _wanted: &str) -> Result<Source, SourceError> {
        Shipped::named("tern/machine").ok_or(SourceError::Missing { name: "tern/machine".to_owned() })
    }
}

/// A walk that has come to the reading; every gate confirmed on the way.
fn at_the_reading() -> Walk {
    let examined = examine(&Source::new("tern/by-likeness.yaml", TREE), &Beside);
    assert!(!examined.problems.refused(), "{:#?}", examined.problems.list());
    let course = examined.walkable().expect("it may be walked");
    let mut walk = Walk::new(&course);
    let at = Moment::default();
    let begun = Event::Begun {
        tree: "by-likeness".to_owned(),
        revision: 1,
        lang: "en".to_owned(),
        walker: Walker::Script,
        details: Details::default(),
    };
    walk.apply(&begun, at).expect("it begins");
    for _ in 0..200 {
        let input = match walk.now() {
            Now::Gate(gate) => {
                let typed = match gate.item {
                    _ if !is_typed(&walk) => None,
                    _ if is_dead(&walk) => Some("0.0 V".to_owned()),
                    _ => Some("12.6 V".to_owned()),
                };
                Input::Confirm { item: gate.item, by: "KM".to_owned(), typed }
            }
            Now::Step(ix) if walk.course().tree().step(*ix).id == "tie" => Input::Done,
            _ => return walk,
        };
        for event in walk.accept(input, at).expect("it is taken") {
            walk.apply(&event, at).expect("it is possible");
        }
    }
    panic!("the reading was not come to");
}

fn confirm(walk: &Walk) -> loomwalk::safety::Confirm {
    let Now::Gate(gate) = walk.now() else { panic!("no gate") };
    walk.gate_items(gate.gate, gate.step, gate.why)[gate.item].confirm
}

fn is_typed(walk: &Walk) -> bool {
    matches!(confirm(walk), loomwalk::safety::Confirm::Typed(_))
}

fn is_dead(walk: &Walk) -> bool {
    confirm(walk) == loomwalk::safety::Confirm::Typed(loomwalk::safety::Shown::Dead)
}

/// Common practice, no source: a pulled-up input with its switch to ground closed reads near nothing, and with the
/// wire broken near the pull-up's volts.
#[test]
fn a_reading_goes_where_it_looks_like() {
    let walk = at_the_reading();
    let band = |typed: &str| match walk.accept(Input::Reading(typed.to_owned()), Moment::default()) {
        Ok(events) => match &events[0] {
            Event::Read { band, .. } => Ok(*band),
            other => panic!("{other:?}"),
        },
        Err(declined) => Err(declined),
    };
    assert_eq!(band("0.00 V"), Ok(0));
    assert_eq!(band("5.00 V"), Ok(1));
    assert_eq!(band("2.50 V"), Ok(2));
    assert!(matches!(band("1e400 V"), Err(Declined::Quantity(_))));
    let page = walk.page();
    assert!(page.lines.iter().any(|l| l.label == "Should read"), "{:?}", page.lines);
}
