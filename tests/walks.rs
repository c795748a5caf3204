//! The stepper, walked at random through real trees by somebody who goes back, jumps, cannot, leaves and comes again.
//!
//! Whatever happens, the text of a step is current only while its conditions hold: once by the program's own state, and
//! once by a second, much plainer account kept here, of power, arms, cab, lock and what is whole. And every
//! counterexample of the safety check is walked: the stepper never shows the step that it warns of, but leads through
//! gates, or keeps everybody away. That the data-flow agrees with all paths is held beside the safety room.

use std::collections::HashMap;
use std::fmt::Write as _;
use std::sync::Arc;

use loomwalk::diag::{Source, SourceError, Sources};
use loomwalk::safety::{CabKind, Confirm, Deed, Gate, GateId, Shown, demands};
use loomwalk::tree::{Course, EdgeKind, Examined, Flow, Kind, Shipped, StepIx, Walkable, examine};
use loomwalk::walk::{Declined, Details, Event, Input, Lapse, Moment, Now, Walk, Walker, WhyGate};

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

/// The step, gate or item that is current has everything in force that it needs.
fn holds(walk: &Walk) -> Result<(), String> {
    let course = walk.course();
    let (state, vocabulary) = (walk.machine(), course.vocabulary());
    let unmet = |needed: &[loomwalk::safety::Demand]| {
        needed.iter().find(|d| !d.holds(state, vocabulary)).map(|d| d.rule.name())
    };
    let (what, missing) = match walk.now() {
        Now::Step(ix) | Now::Check(ix, _) => (course.tree().step(*ix).id.clone(), unmet(course.demands(*ix))),
        Now::Gate(at) => {
            let name = at.gate.name(vocabulary).to_owned();
            (name, unmet(&demands(&Deed::Gate(at.gate), vocabulary)))
        }
        _ => return Ok(()),
    };
    missing.map_or(Ok(()), |rule| Err(format!("{what} is current without {rule}")))
}

/// What is surely so, by a plain account: a value, or nobody knows.
#[derive(Clone, Default)]
struct Plain {
    known: HashMap<&'static str, &'static str>,
    gates: usize,
    visits: usize,
    order: Vec<(bool, usize)>,
}

fn sets(gate: GateId) -> &'static [(&'static str, &'static str)] {
    let GateId::BuiltIn(gate) = gate else { return &[] };
    match gate {
        Gate::Park => &[("parked", "yes"), ("power", "off")],
        Gate::LowerArms => &[("arms", "down"), ("power", "off"), ("pressure", "charged")],
        Gate::SupportArms => &[("arms", "supported"), ("power", "off")],
        Gate::ReleasePressure => &[("pressure", "released"), ("power", "off")],
        Gate::Lockout => &[("power", "isolated"), ("lock", "on")],
        Gate::RaiseCab => &[("cab", "supported")],
        Gate::LowerCab => &[("cab", "down")],
        Gate::LiveTest => &[("power", "live")],
        Gate::PutBack => &[("whole", "yes")],
        Gate::ReleaseLockout => &[("power", "off"), ("lock", "off")],
        Gate::RunUp => &[("power", "running"), ("arms", "raised"), ("pressure", "charged")],
        Gate::HotWork => &[("hot", "yes")],
        Gate::Leave | Gate::KeepAway => &[("left", "yes")],
    }
}

impl Plain {
    fn forget(&mut self, gate: GateId) {
        for (condition, _) in sets(gate) {
            self.known.remove(condition);
        }
    }

    /// Takes in what an event did, seen from outside: before and after.
    fn saw(&mut self, event: &Event, before: &Walk, after: &Walk) {
        let tree = after.course().tree();
        match event {
            Event::Back { step } => {
                let ix = tree.find(step).expect("a step");
                let to = before.visits().iter().rposition(|v| v.step == ix).expect("a visit");
                let from = self.order.iter().position(|one| *one == (false, to)).unwrap_or(0);
                let begun = self.order[from..].iter().filter(|(is_gate, _)| *is_gate).map(|(_, at)| *at);
                for at in begun.collect::<Vec<_>>() {
                    self.forget(before.gates()[at].gate);
                }
            }
            Event::Jump { .. } | Event::Cannot { .. } => {
                if let Now::Gate(at) = before.now() {
                    self.forget(at.gate);
                } else if let (Event::Cannot { .. }, Now::Step(ix)) = (event, before.now()) {
                    self.done(&tree.step(*ix).kind, after.course(), *ix, false);
                }
            }
            Event::Lapsed { .. } | Event::Resumed { .. } => self.known.clear(),
            Event::Answered { .. } | Event::Read { .. } | Event::Done { .. } => {
                if let Now::Step(ix) = before.now() {
                    self.done(&tree.step(*ix).kind, after.course(), *ix, true);
                }
            }
            Event::Item { .. } => {
                let passed = before.gates().last().is_some_and(|log| log.passed.is_none())
                    && after.gates()[before.gates().len() - 1].passed.is_some();
                if passed {
                    let gate = before.gates()[before.gates().len() - 1].gate;
                    self.known.extend(sets(gate).iter().copied());
                    if self.known.get("power") != Some(&"isolated") {
                        self.known.insert("hot", "no");
                    }
                }
            }
            _ => {}
        }
        for at in self.visits..after.visits().len() {
            self.order.push((false, at));
        }
        for at in self.gates..after.gates().len() {
            self.order.push((true, at));
        }
        (self.visits, self.gates) = (after.visits().len(), after.gates().len());
    }

    /// A step was done, or begun and not done.
    fn done(&mut self, kind: &Kind, course: &Course, ix: StepIx, done: bool) {
        let step = course.tree().step(ix);
        if matches!(kind, Kind::Ask(_)) && step.moves.iter().any(|m| m == "arms") {
            self.known.insert("arms", "raised");
        }
        if matches!(kind, Kind::Ask(_)) && step.moves.iter().any(|m| m == "travel") {
            self.known.insert("parked", "no");
        }
        let opened = course.deeds(ix).iter().any(|deed| {
            matches!(deed, Deed::Unplug { .. } | Deed::Cut(_) | Deed::OpenHydraulics | Deed::Tie { .. })
        });
        if opened {
            self.known.insert("whole", "no");
        }
        if !done && !matches!(kind, Kind::Find(_)) {
            self.known.remove("left");
        }
    }

    /// What would hurt somebody at the step that is shown, by the table of the safety rules.
    fn danger(&self, walk: &Walk) -> Option<String> {
        let Now::Step(ix) = walk.now() else { return None };
        let step = walk.course().tree().step(*ix);
        let is = |condition: &str, values: &[&str]| {
            self.known.get(condition).is_some_and(|value| values.contains(value))
        };
        let still = is("power", &["off", "isolated"]);
        let held = is("arms", &["down", "supported"]);
        let cab_down = is("cab", &["down"]) || walk.course().vocabulary().cab() == CabKind::Fixed;
        // A finding names a place; nobody is there before its repair.
        let zone = match step.zone.as_deref().filter(|_| !matches!(step.kind, Kind::Find(_))) {
            Some("under-cab") => {
                is("cab", &["supported"]) && held && is("power", &["off", "isolated", "live"])
            }
            Some("under-arms") => is("parked", &["yes"]) && is("arms", &["supported"]) && still,
            Some("engine-bay") => is("power", &["off", "isolated", "live"]),
            Some("seat") => cab_down,
            _ => true,
        };
        let deeds = walk.course().deeds(*ix).iter().all(|deed| match deed {
            Deed::Unplug { .. } | Deed::Plug { .. } => still,
            Deed::Cut(_) => is("power", &["isolated"]),
            Deed::OpenHydraulics => is("pressure", &["released"]) && held && still,
            Deed::ReadOhms { ends } => is("power", &["isolated"]) || !ends.is_empty(),
            Deed::Heat => is("power", &["isolated"]) && is("hot", &["yes"]),
            Deed::Watch(_) => {
                cab_down && is("whole", &["yes"]) && is("lock", &["off"]) && is("parked", &["yes"])
            }
            _ => true,
        });
        (!zone || !deeds).then(|| format!("{} with {:?}", step.id, self.known))
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
    let mut plain =
        Plain { known: HashMap::from([("lock", "off"), ("pressure", "charged")]), ..Plain::default() };
    plain.known.insert("parked", "no");
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
