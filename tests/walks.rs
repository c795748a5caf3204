//! The stepper, walked at random through real trees by somebody who goes back, jumps, cannot, leaves and comes again.
//!
//! Whatever happens, the text of a step is current only while its conditions hold: once by the program's own state, and
//! once by a second, much plainer account (`support/plain_steps.rs`), of power, arms, cab, lock and what is whole. And every
//! counterexample of the safety check is walked: the stepper never shows the step that it warns of, but leads through
//! gates, or keeps everybody away. That the data-flow agrees with all paths is held beside the safety room.

use std::fmt::Write as _;
use std::sync::Arc;

use loomwalk::diag::{Source, SourceError, Sources};
use loomwalk::safety::{Confirm, Shown};
use loomwalk::tree::{Course, EdgeKind, Examined, Flow, Kind, Shipped, StepIx, Target, Walkable, examine};
use loomwalk::walk::{Declined, Details, Event, Input, Lapse, Moment, Now, Walk, Walker, WhyGate};

use crate::support::plain_steps::{Plain, holds};

/// Walks with jumps for each shipped tree.
const JUMPED_WALKS: usize = 8;

/// So many jumps in one of them at most.
const MOST_JUMPS: usize = 5;

/// xorshift64* (Vigna 2016; from memory), so that every run is the same.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let sides = u64::try_from(sides).expect("a die");
        usize::try_from((self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 33) % sides).expect("a side")
    }

    fn of<T: Copy>(&mut self, list: &[T]) -> T {
        list[self.roll(list.len())]
    }
}

struct Alone;

impl Sources for Alone {
    fn fetch(&self, _from: &str, wanted: &str) -> Result<Source, SourceError> {
        Err(SourceError::Missing { name: wanted.to_owned() })
    }
}

const GATES: [&str; 13] = [
    "park",
    "lower-arms",
    "support-arms",
    "release-pressure",
    "lockout",
    "raise-cab",
    "lower-cab",
    "live-test",
    "put-back",
    "release-lockout",
    "run-up",
    "hot-work",
    "leave",
];

/// Steps that ask something of the machine's state, each as the text after its id, with `GO` for its target.
const STEPS: [&str; 14] = [
    "{look: Look., zone: under-cab, answers: {a: {text: A, go: GO}, b: {text: B, go: GO}}",
    "{look: Look., zone: under-arms, answers: {a: {text: A, go: GO}, b: {text: B, go: GO}}",
    "{look: Look., zone: engine-bay, answers: {a: {text: A, go: GO}, b: {text: B, go: GO}}",
    "{ask: Do they lift?, observe: lift, moves: arms, zone: seat, answers: {a: {text: A, means: works, go: GO}, b: {text: B, means: fails, go: GO}}",
    "{ask: Does it drive?, observe: travel, moves: travel, zone: seat, answers: {a: {text: A, means: works, go: GO}, b: {text: B, means: fails, go: GO}}",
    "{read: volts, red: A1:7, zone: under-cab, bands: [{below: 2 V, go: GO}, {above: 2 V, go: GO}]",
    "{read: ohms, red: A1:7, zone: outside, bands: [{below: 2 ohm, go: GO}, {above: 2 ohm, go: GO}]",
    "{do: Unplug., unplugs: X1, zone: outside, go: GO",
    "{do: Plug., plugs: X1, zone: outside, go: GO",
    "{do: Cut., cuts: W1, zone: outside, go: GO",
    "{do: Open., opens: pressure, zone: outside, go: GO",
    "{do: Tie., ties: bar, zone: seat, go: GO",
    "{do: Untie., unties: bar, zone: seat, go: GO",
    "{do: Solder., heat: true, zone: outside, go: GO",
];

/// What the walks of every state need, in an order in which they can be in force.
const ORDERLY: [&str; 5] = ["park", "lower-arms", "lower-cab", "lockout", "raise-cab"];

/// A random tree: some gates, mostly in a sensible order, and steps that need what may or may not be so.
fn random_tree(dice: &mut Dice, orderly: usize) -> String {
    let inner = orderly + 1 + dice.roll(5);
    let mut text = String::from(
        "loomwalk: 1\ntree: random\ntitle: Random\nrevision: 1\nsymptom: {lift: fails}\nstart: s0\nsteps:\n",
    );
    for at in 0..inner {
        // Every step leads on, so that all are come to; some lead further too.
        let further = |dice: &mut Dice| {
            let to = at + 1 + if dice.roll(3) == 0 { dice.roll(inner - at) } else { 0 };
            if to >= inner { "leave".to_owned() } else { format!("s{to}") }
        };
        let next = if at + 1 >= inner { "leave".to_owned() } else { format!("s{}", at + 1) };
        let mut step = if let Some(gate) = ORDERLY[..orderly].get(at) {
            format!("{{gate: {gate}, go: GO")
        } else if dice.roll(5) < 2 {
            format!("{{gate: {}, go: GO", dice.of(&GATES))
        } else {
            dice.of(&STEPS).to_owned()
        };
        step = step.replacen("GO", &next, 1);
        while step.contains("GO") {
            let target = further(dice);
            step = step.replacen("GO", &target, 1);
        }
        if dice.roll(8) == 0 {
            let _ = write!(step, ", cannot: {}", further(dice));
        }
        let _ = writeln!(text, "  s{at}: {step}}}");
    }
    text.push_str(
        "  leave: {gate: leave, go: handed, cannot: guard}\n  guard: {gate: keep-away, go: handed}\n",
    );
    text.push_str("  handed: {refer: To a shop.}\n");
    text
}

fn examined(text: &str) -> Examined {
    examine(&Source::new("random.yaml", text), &Alone)
}

fn ix(at: usize) -> StepIx {
    StepIx(u32::try_from(at).expect("a small tree"))
}

fn moment(ms: u64) -> Moment {
    Moment { wall_ms: 1_772_437_200_000, offset_min: 0, mono_ms: 0 }.later(ms)
}

fn begun(course: &Course) -> Event {
    let tree = course.tree();
    Event::Begun {
        tree: tree.id.clone(),
        revision: tree.revision,
        lang: "en".to_owned(),
        walker: Walker::Person,
        details: Details::default(),
    }
}

/// What a walk may be asked to do here.
fn random_input(walk: &Walk, dice: &mut Dice) -> Input {
    let steps = walk.course().tree().steps.len();
    let any = |dice: &mut Dice| ix(dice.roll(steps));
    match dice.roll(200) {
        0 => return Input::Back(None),
        1 => return Input::Back(Some(any(dice))),
        2 => return Input::Jump(any(dice)),
        3 | 4 => return Input::Cannot("it does not go".to_owned()),
        5 => return Input::Wait("rain".to_owned()),
        6 => return Input::Done,
        7 => return Input::Note("x".to_owned()),
        _ => {}
    }
    match walk.now() {
        Now::Waiting(_) if dice.roll(2) == 0 => Input::LeftIt,
        Now::Waiting(_) => Input::Stayed,
        Now::Stands(_) => Input::Answer(dice.of(&["down", "held", "loose", "a"]).to_owned()),
        Now::Check(_, live) => Input::Confirm { item: *live, by: "KM".to_owned(), typed: None },
        Now::Gate(_) => confirm(walk),
        Now::Step(ix) => match &walk.course().tree().step(*ix).kind {
            Kind::Ask(_) | Kind::Look(_) => Input::Answer(dice.of(&["a", "b", "yes"]).to_owned()),
            Kind::Read(_) => Input::Reading(dice.of(&["0.5", "12.0", "nothing"]).to_owned()),
            _ => Input::Done,
        },
        _ => Input::Done,
    }
}

/// The live item, confirmed.
fn confirm(walk: &Walk) -> Input {
    let Now::Gate(at) = walk.now() else { return Input::Done };
    let typed = match walk.gate_items(at.gate, at.step, at.why)[at.item].confirm {
        Confirm::Typed(Shown::SourceBefore | Shown::SourceAfter) => Some("12.6 V".to_owned()),
        Confirm::Typed(_) => Some("0.0 V".to_owned()),
        _ => None,
    };
    Input::Confirm { item: at.item, by: "KM".to_owned(), typed }
}

/// Walks at random and holds every moment against both accounts; how many steps that need something were shown.
fn walk_at_random(course: &Walkable, dice: &mut Dice, turns: usize) -> usize {
    let mut walk = Walk::new(course);
    let mut plain = Plain::at_start();
    let (mut ms, mut shown) = (0, 0);
    let mut trail: Vec<Event> = Vec::new();
    let mut take = |walk: &mut Walk, plain: &mut Plain, event: Event, at: Moment| {
        let before = walk.clone();
        walk.apply(&event, at).unwrap_or_else(|e| panic!("{e}: {event:?} after {trail:#?}"));
        plain.saw(&event, &before, walk);
        trail.push(event);
        holds(walk).unwrap_or_else(|why| panic!("{why} after {trail:#?}"));
        assert_eq!(plain.danger(walk), None, "after {trail:#?}");
    };
    take(&mut walk, &mut plain, begun(course), moment(0));
    for _ in 0..turns {
        ms += if dice.roll(150) == 0 { 31 * 60_000 } else { 20_000 };
        let at = moment(ms);
        if dice.roll(150) == 0 {
            take(&mut walk, &mut plain, Event::Resumed { cut: None }, at);
            continue;
        }
        let input = random_input(&walk, dice);
        match walk.accept(input, at) {
            Ok(events) => events.into_iter().for_each(|event| take(&mut walk, &mut plain, event, at)),
            Err(Declined::Lapsed(cause)) if !matches!(walk.now(), Now::Waiting(_)) => {
                let kept = if cause == Lapse::Idle && dice.roll(3) == 0 {
                    Event::StillSo
                } else {
                    Event::Lapsed { cause }
                };
                take(&mut walk, &mut plain, kept, at);
            }
            Err(_) => {}
        }
        shown += usize::from(matches!(walk.now(), Now::Step(ix) if !course.demands(*ix).is_empty()));
        if matches!(walk.now(), Now::Ended(_)) {
            break;
        }
    }
    shown
}

#[test]
fn no_step_is_ever_shown_before_its_conditions_hold() {
    let mut dice = Dice(0x5EED_0001);
    let (mut walked, mut shown) = (0, 0);
    for _ in 0..600 {
        let text = random_tree(&mut dice, ORDERLY.len());
        let Some(course) = examined(&text).walkable() else { continue };
        walked += 1;
        for _ in 0..5 {
            shown += walk_at_random(&course, &mut dice, 300);
        }
    }
    assert!(walked > 50 && shown > 250, "{walked} trees walked, {shown} hazardous steps shown");
}

#[test]
fn nor_in_the_trees_inside_the_program() {
    let mut dice = Dice(0x5EED_0002);
    let mut shown = 0;
    for name in Shipped::names().into_iter().filter(|n| !n.starts_with("common/") && !n.ends_with("/machine"))
    {
        let source = Shipped::named(&name).expect("a shipped file");
        let course = examine(&source, &Shipped).walkable().expect("it may be walked");
        for _ in 0..6 {
            shown += walk_at_random(&course, &mut dice, 400);
        }
    }
    assert!(shown > 100, "{shown} hazardous steps shown");
}

/// What somebody does who does as told: any answer that does not begin anew, any reading that is taken. `None` where
/// only a person can say how it goes on: what the step reads cannot be typed here, or each of its ways begins anew.
fn as_told(walk: &Walk, dice: &mut Dice, at: Moment) -> Option<Vec<Event>> {
    let Now::Step(ix) = walk.now() else {
        let input = match walk.now() {
            Now::Check(_, live) => Input::Confirm { item: *live, by: "KM".to_owned(), typed: None },
            Now::Gate(_) => confirm(walk),
            _ => return None,
        };
        return walk.accept(input, at).ok();
    };
    let step = walk.course().tree().step(*ix);
    let goes_on = |way: usize| step.targets().get(way).is_some_and(|target| *target != Target::Again);
    let answers = match &step.kind {
        Kind::Ask(ask) => &ask.answers,
        Kind::Look(look) => &look.answers,
        Kind::Read(_) => {
            let typed =
                ["0 V", "0.5 V", "5 V", "12 V", "0.2 ohm", "100 ohm", "3 kohm", "OL", "2 A", "10 bar"];
            let first = dice.roll(typed.len());
            let mut turned = typed.iter().cycle().skip(first).take(typed.len());
            return turned.find_map(|typed| {
                let events = walk.accept(Input::Reading((*typed).to_owned()), at).ok()?;
                let on = matches!(events.as_slice(), [Event::Read { band, .. }] if goes_on(*band));
                on.then_some(events)
            });
        }
        _ => return walk.accept(Input::Done, at).ok().filter(|_| goes_on(0) || step.targets().is_empty()),
    };
    let ways: Vec<usize> = (0..answers.len()).filter(|way| goes_on(*way)).collect();
    let way = *ways.get(dice.roll(ways.len().max(1)))?;
    walk.accept(Input::Answer(answers[way].id.clone()), at).ok()
}

/// After a jump what it has passed by is done by the tree's own step for it, and two such steps may undo each other's
/// work. That ends: each is done once for the step that needs it (`Walk::redone`), then everybody is kept away; and
/// where none is missing the walk goes down the tree, which has no circle. Somebody who does as told after any jump is at
/// an end, or where only a person can say how it goes on, in fewer turns than four for each step of the tree, items of
/// gates included. In 480 walks with 1,054 jumps it was 1.3 at most, and 463 came to an end.
#[test]
fn after_any_jump_a_walk_that_is_gone_as_told_comes_to_an_end() {
    let mut dice = Dice(0x5EED_0004);
    let (mut jumps, mut ended, mut done_again, mut worst) = (0, 0, 0, 0);
    for name in Shipped::names().into_iter().filter(|n| !n.starts_with("common/") && !n.ends_with("/machine"))
    {
        let source = Shipped::named(&name).expect("a shipped file");
        let course = examine(&source, &Shipped).walkable().expect("it may be walked");
        let steps = course.tree().steps.len();
        for _ in 0..JUMPED_WALKS {
            let mut walk = Walk::new(&course);
            walk.apply(&begun(&course), moment(0)).expect("it begins");
            let (mut left, mut since) = (MOST_JUMPS, 0);
            let mut trail = Vec::new();
            for turn in 0.. {
                let at = moment(20_000 * turn);
                let wants = left > 0 && dice.roll(12) == 0;
                let jump = wants.then(|| walk.accept(Input::Jump(ix(dice.roll(steps))), at).ok()).flatten();
                (since, left) = if jump.is_some() { (0, left - 1) } else { (since + 1, left) };
                let Some(events) = jump.or_else(|| as_told(&walk, &mut dice, at)) else { break };
                trail.push(format!("{} {:?}", walk.step_id(), walk.now()));
                for event in events {
                    walk.apply(&event, at).unwrap_or_else(|e| panic!("{e}: {event:?} in {name}"));
                }
                assert!(since < 4 * steps, "{name} goes round: {trail:#?}");
                worst = worst.max(100 * since / steps);
            }
            jumps += MOST_JUMPS - left;
            ended += usize::from(matches!(walk.now(), Now::Ended(_)));
            let mut done: Vec<StepIx> = walk.visits().iter().map(|visit| visit.step).collect();
            done.sort();
            done_again += usize::from(done.windows(2).any(|pair| pair[0] == pair[1]));
        }
    }
    assert!(jumps > 150 && ended > 80 && done_again > 10, "{jumps} {ended} {done_again} {worst}");
}

/// Walks the way of a counterexample with a stepper that was not told that the tree is refused, from step to step as
/// the path says; gates that the stepper adds are confirmed. True if it came to the end of the path by the path alone.
fn walk_the_path(course: &Arc<Course>, steps: &[(StepIx, bool)]) -> bool {
    let mut walk = Walk::for_viewing(course.clone());
    let mut ms = 0;
    walk.apply(&begun(course), moment(ms)).expect("it begins");
    let mut added = false;
    for ((here, _), (next, by_cannot)) in steps.iter().zip(&steps[1..]) {
        loop {
            holds(&walk).expect("conditions hold");
            ms += 20_000;
            let event = match walk.now() {
                Now::Ended(_) => return false,
                Now::Gate(at) if at.why == WhyGate::NoWay => return false,
                _ if walk.step_ix() != Some(*here) => break,
                Now::Gate(at) => {
                    added |= at.why == WhyGate::Missing;
                    let is_cannot = at.why == WhyGate::Own && *by_cannot;
                    if is_cannot { cannot(course, *here) } else { item(&walk) }
                }
                Now::Check(ix, live) => Event::Item {
                    step: course.tree().step(*ix).id.clone(),
                    gate: "before-driving".to_owned(),
                    item: *live,
                    by: "KM".to_owned(),
                    reading: None,
                },
                _ if *by_cannot => cannot(course, *here),
                _ => match towards(course, *here, *next) {
                    Some(event) => event,
                    None => return false,
                },
            };
            walk.apply(&event, moment(ms)).unwrap_or_else(|e| panic!("{e}: {event:?}"));
        }
        if walk.step_ix() != Some(*next) {
            return false;
        }
    }
    holds(&walk).expect("conditions hold");
    !added
        && match walk.now() {
            // The step itself, or its own gate: only if its conditions hold after all.
            Now::Step(_) => panic!("{} was shown", walk.step_id()),
            Now::Gate(at) => at.why != WhyGate::Own || panic!("the gate of {} was begun", walk.step_id()),
            _ => false,
        }
}

fn cannot(course: &Course, here: StepIx) -> Event {
    Event::Cannot { step: course.tree().step(here).id.clone(), why: "it does not go".to_owned() }
}

fn item(walk: &Walk) -> Event {
    let Now::Gate(at) = walk.now() else { panic!("no gate") };
    let Input::Confirm { item, by, typed } = confirm(walk) else { panic!("no item") };
    let unit = loomwalk::units::Measure::Volts.unit();
    Event::Item {
        step: walk.step_id().to_owned(),
        gate: at.gate.name(walk.course().vocabulary()).to_owned(),
        item,
        by,
        reading: typed.map(|t| loomwalk::units::Reading::parse(&t, unit).expect("a reading")),
    }
}

/// The event that leads from a step to the next of a path.
fn towards(course: &Course, here: StepIx, next: StepIx) -> Option<Event> {
    let tree = course.tree();
    let step = tree.step(here);
    let way = step.targets().iter().position(|t| tree.land(*t) == Some(next))?;
    let id = step.id.clone();
    Some(match &step.kind {
        Kind::Ask(ask) => Event::Answered { step: id, answer: ask.answers[way].id.clone() },
        Kind::Look(look) => Event::Answered { step: id, answer: look.answers[way].id.clone() },
        Kind::Read(read) => Event::Read {
            step: id,
            reading: loomwalk::units::Reading::parse(
                if way == 0 { "0.5" } else { "12.0" },
                read.measure.unit(),
            )
            .ok()?,
            band: way,
            edges: Vec::new(),
            decided: None,
        },
        Kind::Do(_) | Kind::Find(_) => Event::Done { step: id, sheet: Vec::new() },
        _ => return None,
    })
}

#[test]
fn every_counterexample_is_walked_and_its_step_never_shown() {
    let mut dice = Dice(0x5EED_0003);
    let (mut dangers, mut walked) = (0, 0);
    for _ in 0..10_000 {
        let orderly = dice.roll(ORDERLY.len() + 1);
        let text = random_tree(&mut dice, orderly);
        let Some(course) = examined(&text).course else { panic!("unread: {text}") };
        let course = Arc::new(course);
        let graph = course.flow_graph();
        let flow = Flow::over(&graph, course.vocabulary()).expect("a sound graph");
        for group in flow.dangers(1) {
            let single =
                group.violations.iter().all(|n| flow.violations()[*n].demand.need.alternatives().len() <= 1);
            for path in group.danger.paths.iter().filter(|_| single) {
                dangers += 1;
                let steps: Vec<(StepIx, bool)> = path
                    .hops
                    .iter()
                    .map(|hop| {
                        (ix(hop.node), hop.edge.is_some_and(|e| graph.edges[e].kind == EdgeKind::Cannot))
                    })
                    .collect();
                walked += usize::from(walk_the_path(&course, &steps));
            }
        }
    }
    assert!(dangers > 6_000 && walked > 5_000, "{walked} of {dangers} counterexamples walked to their end");
}
