//! The trees inside the program, walked: every way out of every step, on to an end, as a mechanic would meet it.
//!
//! What a tree must hold is common practice and the project's own rule, with no outside source: no finding further than
//! twelve steps of the mechanic's own from the machine made safe; every finding with its cause and its repair.

use std::cell::RefCell;
use std::collections::{HashMap, VecDeque};
use std::sync::OnceLock;

use loomwalk::diag::{Lang, Source};
use loomwalk::reason::faults_said;
use loomwalk::safety::{Confirm, Shown};
use loomwalk::tree::{BandKind, Course, Examined, Kind, Shipped, StepIx, Target, Tree, Walkable, examine};
use loomwalk::units::Band;
use loomwalk::walk::{Details, Event, Input, Moment, Now, Walk, Walker, WhyGate};

use crate::support::parallel::of_each;

/// Steps of the mechanic's own to a finding, from the machine made safe.
const MOST_STEPS: usize = 12;

/// A step and which of its ways is taken.
type Leg = (StepIx, usize);

/// The trees, read and examined once for all tests.
fn trees() -> &'static [(String, Walkable)] {
    static TREES: OnceLock<Vec<(String, Walkable)>> = OnceLock::new();
    TREES.get_or_init(|| {
        let is_tree = |name: &String| !name.starts_with("common/") && !name.ends_with("/machine");
        let names: Vec<String> = Shipped::names().into_iter().filter(is_tree).collect();
        of_each(&names, |name| {
            let examined = examine(&Shipped::named(name).expect("a shipped file"), &Shipped);
            let Examined { problems, .. } = &examined;
            assert!(problems.list().is_empty(), "{name}: {:#?}", problems.list());
            (name.clone(), examined.walkable().expect("a tree that may be walked"))
        })
    })
}

/// How many of the ways of a step are answers or bands; what is left is its `cannot`.
fn sure_ways(tree: &Tree, ix: StepIx) -> usize {
    let step = tree.step(ix);
    step.targets().len() - usize::from(step.cannot.is_some())
}

/// The shortest legs from a step to the first that `is_there`, by answers and bands only.
fn legs(tree: &Tree, from: StepIx, is_there: impl Fn(StepIx) -> bool) -> Option<Vec<Leg>> {
    let mut before: Vec<Option<Leg>> = vec![None; tree.steps.len()];
    let mut seen = vec![false; tree.steps.len()];
    let mut queue = VecDeque::from([from]);
    seen[from.at()] = true;
    while let Some(ix) = queue.pop_front() {
        if is_there(ix) {
            let mut back = Vec::new();
            let mut at = ix;
            while let Some(leg) = before[at.at()] {
                back.push(leg);
                at = leg.0;
            }
            back.reverse();
            return Some(back);
        }
        for way in 0..sure_ways(tree, ix) {
            if let Target::Step(next) = tree.step(ix).targets()[way]
                && !std::mem::replace(&mut seen[next.at()], true)
            {
                before[next.at()] = Some((ix, way));
                queue.push_back(next);
            }
        }
    }
    None
}

fn is_end(tree: &Tree, ix: StepIx) -> bool {
    matches!(tree.step(ix).kind, Kind::Close(_) | Kind::Refer(_))
}

/// A reading well inside a band, as it would be typed.
fn typed(band: Band) -> String {
    if band.jumps() {
        return "jumps".to_owned();
    }
    let unit = band.measure().unit();
    let value = match (band.from(), band.to()) {
        (Some(from), Some(to)) => f64::midpoint(from.value(), to.value()),
        (Some(from), None) => from.value() * 1.5 + 1.0,
        (None, Some(to)) => to.value() * 0.4,
        (None, None) => 1.0,
    };
    format!("{value:.2} {unit}")
}

/// A reading that the model of the day puts in this band by likeness.
fn like(walk: &Walk, way: usize) -> Input {
    let tried = [
        "12.59 V", "12.4 V", "12.0 V", "11.0 V", "9.0 V", "6.0 V", "3.0 V", "1.0 V", "0.00 V", "25.1 V",
        "24.0 V", "5.00 V", "6.60 V",
    ];
    let at = (walk.course().tree().id.clone(), walk.step_id().to_owned(), way);
    if let Some(typed) = LIKES.with_borrow(|known| known.get(&at).cloned()) {
        return Input::Reading(typed);
    }
    let falls = |typed: &&&str| {
        let said = walk.accept(Input::Reading((**typed).to_owned()), walk.last());
        matches!(said.as_deref(), Ok([Event::Read { band, .. }]) if *band == way)
    };
    let typed =
        tried.iter().find(falls).unwrap_or_else(|| panic!("{}: no reading for band {way}", walk.step_id()));
    LIKES.with_borrow_mut(|known| known.insert(at, (*typed).to_owned()));
    Input::Reading((*typed).to_owned())
}

thread_local! {
    /// A walk of each tree before its first event.
    static FRESH: RefCell<HashMap<String, Walk>> = RefCell::default();
    /// Readings found for bands by likeness: tree, step, band.
    static LIKES: RefCell<HashMap<(String, String, usize), String>> = RefCell::default();
}

fn input(walk: &Walk, way: usize) -> Input {
    let tree = walk.course().tree();
    match walk.now() {
        Now::Gate(at) => {
            let items = walk.gate_items(at.gate, at.step, at.why);
            let typed = match items[at.item].confirm {
                Confirm::Typed(Shown::Dead) => Some("0.02 V".to_owned()),
                Confirm::Typed(_) => Some("12.6 V".to_owned()),
                _ => None,
            };
            Input::Confirm { item: at.item, by: "KM".to_owned(), typed }
        }
        Now::Step(ix) => match &tree.step(*ix).kind {
            Kind::Ask(ask) => Input::Answer(ask.answers[way].id.clone()),
            Kind::Look(look) => Input::Answer(look.answers[way].id.clone()),
            Kind::Read(read) => match &read.bands[way].kind {
                BandKind::Range(band) => Input::Reading(typed(*band)),
                BandKind::Like(_) => like(walk, way),
            },
            _ => Input::Done,
        },
        now => panic!("nothing to say at {now:?}"),
    }
}

struct Walked {
    walk: Walk,
    at: Moment,
}

impl Walked {
    fn begin(course: &Walkable) -> Self {
        let at = Moment { wall_ms: 1_772_436_000_000, offset_min: 0, mono_ms: 0 };
        // Copies of one walk share what was worked out by likeness.
        let id = course.tree().id.clone();
        let mut walk =
            FRESH.with_borrow_mut(|all| all.entry(id).or_insert_with(|| Walk::new(course)).clone());
        let tree = walk.course().tree();
        let begun = Event::Begun {
            tree: tree.id.clone(),
            revision: tree.revision,
            lang: "en".to_owned(),
            walker: Walker::Script,
            details: Details::default(),
        };
        walk.apply(&begun, at).expect("a beginning");
        Self { walk, at }
    }

    fn say(&mut self, input: &Input) {
        self.at = self.at.later(10_000);
        let said = self.walk.accept(input.clone(), self.at);
        let events = said.unwrap_or_else(|why| panic!("{} declines {input:?}: {why}", self.walk.step_id()));
        for event in events {
            self.walk.apply(&event, self.at).expect("an event just accepted");
        }
    }

    /// Takes one leg: through its gates, then along its way. `false` if the walk was led elsewhere.
    fn take(&mut self, (ix, way): Leg, cannot: bool) -> bool {
        loop {
            match self.walk.now().clone() {
                Now::Step(here) | Now::Gate(loomwalk::walk::AtGate { step: here, why: WhyGate::Own, .. })
                    if here != ix =>
                {
                    return false;
                }
                Now::Check(here, live) if here == ix && !cannot => {
                    self.say(&Input::Confirm { item: live, by: "KM".to_owned(), typed: None });
                    continue;
                }
                Now::Check(here, _) if here == ix => self.say(&Input::Cannot("rusted in".to_owned())),
                Now::Step(_) if cannot => self.say(&Input::Cannot("rusted in".to_owned())),
                Now::Step(_) => {
                    let next = input(&self.walk, way);
                    self.say(&next);
                }
                Now::Gate(gate) if gate.why == WhyGate::Own && cannot => {
                    self.say(&Input::Cannot("rusted in".to_owned()));
                }
                Now::Gate(gate) if gate.why == WhyGate::Own => {
                    let next = input(&self.walk, way);
                    self.say(&next);
                    if matches!(self.walk.now(), Now::Gate(g) if g.step == ix && g.why == WhyGate::Own) {
                        continue;
                    }
                }
                Now::Gate(_) => {
                    let next = input(&self.walk, way);
                    self.say(&next);
                    continue;
                }
                _ => return false,
            }
            return true;
        }
    }
}

/// Every way that an answer or a band opens is walked on to an end, and the author's own gates were enough for it: the
/// stepper never had to put one in.
#[test]
fn every_answer_and_band_is_walked_to_an_end() {
    of_each(trees(), |(name, course)| {
        let tree = course.course().tree().clone();
        let mut walked = 0;
        for (ix, _) in tree.iter() {
            let Some(there) = legs(&tree, tree.start, |at| at == ix) else {
                continue; // reached by a `cannot` only; walked below
            };
            for way in 0..sure_ways(&tree, ix) {
                let after = tree.land(tree.step(ix).targets()[way]).expect("a target");
                let on = legs(&tree, after, |at| is_end(&tree, at)).expect("an end");
                let mut walk = Walked::begin(course);
                for leg in there.iter().chain([&(ix, way)]).chain(&on) {
                    assert!(walk.take(*leg, false), "{name}: led elsewhere than {}", tree.step(leg.0).id);
                }
                walk.say(&Input::Done);
                assert!(matches!(walk.walk.now(), Now::Ended(_)), "{name}: {:?}", walk.walk.now());
                let put_in = walk.walk.gates().iter().find(|g| g.why != WhyGate::Own);
                assert!(put_in.is_none(), "{name}: on the way through {} {put_in:?}", tree.step(ix).id);
                walked += 1;
            }
        }
        assert!(walked > 50, "{name}: only {walked}");
    });
}

/// What cannot be done is never the end of the program: from every `cannot`, the author's or the program's own, the walk
/// comes to an end, through whatever gates are then missing.
#[test]
fn every_cannot_is_walked_to_an_end() {
    of_each(trees(), |(name, course)| {
        let tree = course.course().tree().clone();
        for (ix, step) in tree.iter() {
            let Some(there) = legs(&tree, tree.start, |at| at == ix) else { continue };
            let Some(target) = step.cannot else { continue };
            let mut walk = Walked::begin(course);
            assert!(there.iter().all(|leg| walk.take(*leg, false)), "{name}: {}", step.id);
            assert!(walk.take((ix, 0), true), "{name}: {}", step.id);
            let after = tree.land(target).expect("a target");
            let on = legs(&tree, after, |at| is_end(&tree, at)).expect("an end");
            let arrived = on.iter().all(|leg| walk.take(*leg, false));
            assert!(arrived, "{name}: after `cannot` at {} led to {}", step.id, walk.walk.step_id());
            walk.say(&Input::Done);
            assert!(matches!(walk.walk.now(), Now::Ended(_)), "{name}: {:?}", walk.walk.now());
        }
    });
}

/// The most steps of the mechanic's own on any way to each finding, counted from where it was made safe as a whole (`make-safe…`).
fn steps_to_findings(course: &Course) -> Vec<(String, usize)> {
    let tree = course.tree();
    let mut most: Vec<Option<usize>> = vec![None; tree.steps.len()];
    most[tree.start.at()] = Some(0);
    for ix in order(tree) {
        let Some(sofar) = most[ix.at()] else { continue };
        let step = tree.step(ix);
        let after = match &step.kind {
            Kind::Gate(_) if step.id.starts_with("make-safe") => 0,
            Kind::Ask(ask) if ask.phone => sofar,
            Kind::Gate(_) | Kind::Find(_) => sofar,
            _ => sofar + 1,
        };
        for target in step.targets() {
            if let Target::Step(next) = target {
                most[next.at()] = most[next.at()].max(Some(after));
            }
        }
    }
    let finds = tree.iter().filter(|(_, step)| matches!(step.kind, Kind::Find(_)));
    finds.filter_map(|(ix, step)| Some((step.id.clone(), most[ix.at()]?))).collect()
}

/// Steps in an order in which each comes before those it leads to.
fn order(tree: &Tree) -> Vec<StepIx> {
    let mut into = vec![0_usize; tree.steps.len()];
    for (_, step) in tree.iter() {
        for target in step.targets() {
            if let Target::Step(next) = target {
                into[next.at()] += 1;
            }
        }
    }
    let mut ready: Vec<StepIx> = tree.iter().map(|(ix, _)| ix).filter(|ix| into[ix.at()] == 0).collect();
    let mut order = Vec::new();
    while let Some(ix) = ready.pop() {
        order.push(ix);
        for target in tree.step(ix).targets() {
            if let Target::Step(next) = target {
                into[next.at()] -= 1;
                if into[next.at()] == 0 {
                    ready.push(next);
                }
            }
        }
    }
    order
}

#[test]
fn no_finding_is_far() {
    for (name, course) in trees() {
        for (find, steps) in steps_to_findings(&course.course()) {
            assert!(steps <= MOST_STEPS, "{name}: {find} is {steps} steps from the machine made safe");
        }
    }
}

/// A gauge that a step fits is not read on a way that goes past that step, with the engine running.
#[test]
fn a_gauge_is_read_only_where_it_was_fitted() {
    let name = "heron/park-brake-stays-on";
    let whole = Shipped::named(name).expect("a shipped tree").text.to_string();
    let past = whole.replace("lockout], go: gauge-on}", "lockout], go: gauge-ready}");
    assert_ne!(past, whole);
    let told = |text: &str| {
        let examined = examine(&Source::new(format!("{name}.yaml"), text.to_owned()), &Shipped);
        examined.problems.list().iter().any(|problem| problem.rule == "engine-running-leads")
    };
    assert!(told(&past) && !told(&whole));
}

#[test]
fn every_finding_has_its_cause_and_repair() {
    for (name, course) in trees() {
        for step in &course.course().tree().steps {
            if let Kind::Find(find) = &step.kind {
                assert!(find.cause.is_some(), "{name}: {} says no cause to remove", step.id);
                assert!(find.repair.is_some(), "{name}: {} says no repair", step.id);
            }
        }
    }
}

/// The guide's tree, grown step by step, may be walked at each of its steps that is whole.
#[test]
fn the_guide_grows_a_tree_that_may_be_walked() {
    let guide = Shipped::guide();
    let mut blocks = guide.split("```yaml\n").skip(1).map(|rest| rest.split("```").next().expect("a block"));
    let first = blocks.next().expect("the first block").to_owned();
    let whole = first
        .replace("es: No suena}, go: to-shop}", "es: No suena}, go: safe}")
        .replace("start: sounds", "start: sounds\nagain-from: safe")
        + blocks.next().expect("the second")
        + blocks.next().expect("the third");
    for text in [first, whole] {
        let examined = examine(&loomwalk::diag::Source::new("trees/no-horn.yaml", text), &Shipped);
        assert!(examined.problems.list().is_empty(), "{:#?}", examined.problems.list());
        assert!(examined.walkable().is_some());
    }
}

#[test]
fn a_find_says_each_place_once_with_what_the_machine_file_calls_it() {
    let (_, lights) = trees().iter().find(|(name, _)| name == "wren/lights-dim").expect("a shipped tree");
    let course = lights.course();
    let machine = course.tree().model.as_ref().expect("its machine");
    let said = |names: &[&str], lang: &str| {
        let names: Vec<String> = names.iter().map(|name| (*name).to_owned()).collect();
        faults_said(machine, &names, &Lang::new(lang))
    };
    assert_eq!(said(&["J3 open", "J3 resistive"], "en"), "J3 open or does not carry (boom strap, frame end)");
    assert_eq!(
        said(&["J3 open", "J3 resistive"], "es"),
        "J3 abierto o no conduce bien (trenza de la pluma, lado chasis)"
    );
    assert_eq!(said(&["X23:1 open", "X23:2 open"], "en"), "X23:1 open (boom lamps); X23:2 open (boom lamps)");
    assert_eq!(
        said(&["W31 open at console-hinge", "W31 grounded at console-hinge"], "en"),
        "W31 open or rubbed through, console hinge"
    );
    assert_eq!(said(&["no such fault", "J3 open"], "en"), "no such fault; J3 open (boom strap, frame end)");
}
