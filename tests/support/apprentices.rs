//! Scripted apprentices at the machine in the yard: one takes what is suggested, one the steps as they come, one strays at
//! random and tries to get past gates. After every event the step that is shown is held against both accounts of what
//! must be so, and every measurement that was let through against a plain one of its own.

use std::fmt::Write as _;

use loomwalk::machine::{Machine, Today};
use loomwalk::practice::{Bench, Dice, Practice, Specimen, Wanted, moment_of, names_hidden, typed};
use loomwalk::reason::Suspicion;
use loomwalk::tree::{Kind, Shipped, StepIx, Walkable, examine};
use loomwalk::units::Meter;
use loomwalk::walk::{Declined, Details, Event, Input, Moment, Now, Walk, Walker};

use super::plain_readings;
use super::plain_steps::{Plain, holds};
pub(crate) use super::yard::Yard;

/// A shipped tree that may be walked.
pub(crate) fn shipped(name: &str) -> Walkable {
    let source = Shipped::named(name).expect("a shipped tree");
    examine(&source, &Shipped).walkable().expect("a tree that may be walked")
}

impl Yard {
    /// A walk that has begun at this machine, and what is surely so then.
    fn begun(&self, details: Details) -> (Walk, Plain) {
        let tree = self.course.tree();
        let (mut walk, mut plain) = (self.walk.clone(), Plain::at_start());
        let begun = Event::Begun {
            tree: tree.id.clone(),
            revision: tree.revision,
            lang: "en".to_owned(),
            walker: Walker::Practice,
            details,
        };
        let before = walk.clone();
        walk.apply(&begun, Moment::default()).expect("it begins");
        plain.saw(&begun, &before, &walk);
        (walk, plain)
    }
}

/// How an apprentice goes about it.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Style {
    /// Takes what is suggested, else the steps as they come.
    Suggestions,
    /// Takes the steps as they come.
    Tree,
    /// Jumps to some test, or puts the meter somewhere, every other time; tries to get past gates.
    Random,
}

/// The three, in the order of the minutes that they should need.
const STYLES: [Style; 3] = [Style::Suggestions, Style::Tree, Style::Random];

/// A call that is not settled after this many minutes is given up.
const GIVEN_UP: f64 = 600.0;

/// Minutes until the machine is called for again that was left unsettled; our choice.
const CALLED_AGAIN: f64 = 30.0;

/// How one went on every run.
#[derive(Debug, Default, Clone)]
pub(crate) struct Went {
    /// Minutes of each run.
    minutes: Vec<f64>,
    pub(crate) found: usize,
    /// Measurements that would have been unsafe, stopped.
    pub(crate) stopped: usize,
    /// Measurements off the tree that were let through.
    pub(crate) own: usize,
    /// Times that a gate was not let past.
    pub(crate) held_back: usize,
    /// Steps shown that need something in force, all of them with it.
    pub(crate) needing: usize,
}

impl Went {
    pub(crate) fn mean(&self) -> f64 {
        self.minutes.iter().sum::<f64>() / f64::from(u32::try_from(self.minutes.len()).expect("few"))
    }

    fn median(&self) -> f64 {
        let mut sorted = self.minutes.clone();
        sorted.sort_by(f64::total_cmp);
        let half = sorted.len() / 2;
        if sorted.len() % 2 == 1 { sorted[half] } else { f64::midpoint(sorted[half - 1], sorted[half]) }
    }

    fn add(&mut self, other: &Self) {
        self.minutes.extend(&other.minutes);
        self.found += other.found;
        self.stopped += other.stopped;
        self.own += other.own;
        self.held_back += other.held_back;
        self.needing += other.needing;
    }
}

/// How the three went: suggestions, tree, at random.
#[derive(Debug, Default, Clone)]
pub(crate) struct Three(pub(crate) [Went; 3]);

impl Three {
    fn add(&mut self, other: &Self) {
        for (one, other) in self.0.iter_mut().zip(&other.0) {
            one.add(other);
        }
    }

    /// A line for each.
    pub(crate) fn table(&self) -> String {
        let mut text =
            "             mean min  median  found  not  stopped  let through  held back  steps needing\n"
                .to_owned();
        for (style, went) in STYLES.iter().zip(&self.0) {
            let _ = writeln!(
                text,
                "{:<12} {:>8.1}  {:>6.1}  {:>5}  {:>3}  {:>7}  {:>11}  {:>9}  {:>13}",
                format!("{style:?}").to_lowercase(),
                went.mean(),
                went.median(),
                went.found,
                went.minutes.len() - went.found,
                went.stopped,
                went.own,
                went.held_back,
                went.needing
            );
        }
        text
    }
}

/// Runs are dealt out to this many threads, each with suspects of its own.
const THREADS: u64 = 2;

/// Lets each of the three at the machines of these seeds, the same machines for all.
pub(crate) fn side_by_side(yard: &Yard, runs: &std::ops::Range<u64>) -> Three {
    std::thread::scope(|scope| {
        let seeds = |part: u64| runs.clone().filter(move |seed| seed % THREADS == part);
        let work = |part| scope.spawn(move || three(yard, seeds(part)));
        let workers: Vec<_> = (0..THREADS).map(work).collect();
        let mut all = Three::default();
        for worker in workers {
            all.add(&worker.join().expect("it runs to its end"));
        }
        all
    })
}

fn three(yard: &Yard, seeds: impl Iterator<Item = u64>) -> Three {
    let tree = yard.course.tree();
    let wanted = Wanted { today: Some(Today::default()), ..Wanted::default() };
    let day = yard.family.day(Today::default());
    let suspicion = Suspicion::new(&yard.course, Some(&day), Meter::default());
    let mut all = Three::default();
    for seed in seeds {
        let mut dice = Dice::new(seed);
        let specimen = Specimen::draw(tree, &yard.family, &yard.pool, wanted, &mut dice).expect("a fault");
        let day = specimen.day();
        let bench = Bench::new(&specimen, &day, (tree, yard.course.vocabulary()));
        for (style, went) in STYLES.into_iter().zip(&mut all.0) {
            let mut apprentice = Apprentice::new((yard, &suspicion), style, &specimen, seed);
            let found = apprentice.run(&specimen, &bench);
            went.minutes.push(if found { apprentice.minutes() } else { GIVEN_UP });
            went.found += usize::from(found);
            went.stopped += apprentice.practice.stopped().len();
            went.own += apprentice.own;
            went.held_back += apprentice.held_back;
            went.needing += apprentice.needing;
        }
    }
    all
}

struct Apprentice<'y> {
    yard: &'y Yard,
    suspicion: &'y Suspicion<'y, 'y>,
    tried: Vec<StepIx>,
    style: Style,
    whim: Dice,
    practice: Practice,
    walk: Walk,
    plain: Plain,
    minutes_before: f64,
    own: usize,
    held_back: usize,
    needing: usize,
}

impl<'y> Apprentice<'y> {
    fn new(
        (yard, suspicion): (&'y Yard, &'y Suspicion<'y, 'y>),
        style: Style,
        specimen: &Specimen,
        seed: u64,
    ) -> Self {
        let (walk, plain) = yard.begun(specimen.details());
        let (practice, whim) = (Practice::new(Dice::new(seed ^ 0xABCD)), Dice::new(seed ^ 0x77));
        Self {
            yard,
            suspicion,
            tried: Vec::new(),
            style,
            whim,
            practice,
            walk,
            plain,
            minutes_before: 0.0,
            own: 0,
            held_back: 0,
            needing: 0,
        }
    }

    fn minutes(&self) -> f64 {
        self.minutes_before + self.walk.minutes_worked()
    }

    fn say(&mut self, input: Input) -> Result<(), Declined> {
        let (at, still) = moment_of(&self.walk, &input);
        for input in still.into_iter().chain([input]) {
            for event in self.walk.accept(input, at)? {
                let before = self.walk.clone();
                self.walk.apply(&event, at).expect("what was accepted can happen");
                self.plain.saw(&event, &before, &self.walk);
                self.holds();
            }
        }
        Ok(())
    }

    /// What is shown has everything in force that it needs, by both accounts.
    fn holds(&mut self) {
        holds(&self.walk).unwrap_or_else(|why| panic!("{why}"));
        assert_eq!(self.plain.danger(&self.walk), None);
        let needs = |ix: StepIx| !self.walk.course().demands(ix).is_empty();
        self.needing += usize::from(matches!(self.walk.now(), Now::Step(ix) if needs(*ix)));
    }

    /// Walks until a find names what is hidden; false if it was given up.
    fn run(&mut self, specimen: &Specimen, bench: &Bench<'_>) -> bool {
        while self.minutes() < GIVEN_UP {
            let found = match self.walk.now() {
                Now::Step(ix) if is_find(&self.walk, *ix) => names_hidden(&self.walk, *ix, specimen),
                _ => false,
            };
            if found {
                return self.minutes() < GIVEN_UP;
            }
            if matches!(self.walk.now(), Now::Ended(_)) {
                // Not settled: the machine is called for again.
                self.minutes_before += self.walk.minutes_worked() + CALLED_AGAIN;
                (self.walk, self.plain) = self.yard.begun(specimen.details());
            }
            if self.style == Style::Suggestions && self.walk.takes_suggestions() {
                self.takes_the_suggestion();
            }
            if self.style == Style::Random && self.at_a_test() && self.whim.happens(0.5) {
                self.strays(specimen, bench);
            }
            if self.style == Style::Random && matches!(self.walk.now(), Now::Gate(_)) {
                self.tries_to_get_past();
            }
            self.takes_the_step(specimen, bench);
        }
        false
    }

    /// A jump to what is suggested; who is called again does not try the same again.
    fn takes_the_suggestion(&mut self) {
        let suggestion = self.suspicion.whereabouts(&self.walk.observed()).and_then(|w| w.suggestion);
        if let Some(suggestion) = suggestion.filter(|s| !self.tried.contains(&s.test)) {
            self.tried.push(suggestion.test);
            let _ = self.say(Input::Jump(suggestion.step));
        }
    }

    /// Says at a gate that it is done, or what it read behind it, without a single item: neither is taken.
    fn tries_to_get_past(&mut self) {
        if self.whim.happens(0.2) {
            let without =
                if self.whim.happens(0.5) { Input::Done } else { Input::Reading("12.0".to_owned()) };
            let before = self.walk.now().clone();
            assert!(self.say(without).is_err(), "a gate was passed without its items");
            assert_eq!(&before, self.walk.now());
            self.held_back += 1;
        }
    }

    fn at_a_test(&self) -> bool {
        let Now::Step(ix) = self.walk.now() else { return false };
        matches!(self.walk.course().tree().step(*ix).kind, Kind::Read(_) | Kind::Look(_))
    }

    /// Somewhere else: to some test of the tree, or with the meter on two points in some setup.
    fn strays(&mut self, specimen: &Specimen, bench: &Bench<'_>) {
        if self.whim.happens(0.5) {
            let line = some_measurement(&self.yard.family, &mut self.whim);
            if let Ok(reading) = typed(&line, &self.yard.family)
                && let Ok(Some(own)) = self.practice.measures(&self.walk, (specimen, bench), &reading, &line)
            {
                plain_readings::holds_at(&self.walk, &reading);
                self.own += 1;
                self.say(Input::Own(own)).expect("a reading is taken");
            }
            return;
        }
        let tests: Vec<StepIx> = self
            .yard
            .course
            .tree()
            .iter()
            .filter(|(_, s)| matches!(s.kind, Kind::Read(_) | Kind::Look(_)))
            .map(|(ix, _)| ix)
            .collect();
        let to = tests[self.whim.one_of(tests.len())];
        let _ = self.say(Input::Jump(to));
    }

    fn takes_the_step(&mut self, specimen: &Specimen, bench: &Bench<'_>) {
        if let Some(input) = self.practice.says(&self.walk, specimen, bench, "AP") {
            let typed = match &input {
                Input::Reading(typed) => Some(typed.clone()),
                _ => None,
            };
            match (self.say(input), typed) {
                (Ok(()), _) => {}
                (Err(Declined::TooClose(chances)), Some(typed)) => {
                    let best =
                        chances.iter().max_by(|a, b| a.chance.total_cmp(&b.chance)).expect("some band");
                    let decided = Input::Decide { typed, band: best.band, why: "the likelier".to_owned() };
                    self.say(decided).expect("one of those it may lie in");
                }
                (Err(_), _) => self.say(Input::Cannot("no sense".to_owned())).expect("a reading may fail"),
            }
            return;
        }
        let input = match self.walk.now() {
            Now::Gate(loomwalk::walk::AtGate { item, .. }) | Now::Check(_, item) => {
                Input::Confirm { item: *item, by: "AP".to_owned(), typed: None }
            }
            _ if self.walk.reading_here().is_some() => Input::Cannot("no such gauge".to_owned()),
            _ => Input::Done,
        };
        self.say(input).expect("the step can be done");
    }
}

fn is_find(walk: &Walk, ix: StepIx) -> bool {
    matches!(walk.course().tree().step(ix).kind, Kind::Find(_))
}

/// Two points and a setup out of the machine file, as somebody without a plan would type them.
fn some_measurement(machine: &Machine, whim: &mut Dice) -> String {
    let parts = machine.parts();
    let mut point = || parts.points[whim.one_of(parts.points.len())].name.clone();
    let (red, black) = (point(), point());
    let measure = ["volts", "ohms", "amps"][whim.one_of(3)];
    let mut line = format!("{measure} {red} {black}");
    for control in &parts.controls {
        if whim.happens(0.5) {
            let state = &control.states[whim.one_of(control.states.len())];
            line = format!("{line}, {} {state}", control.name);
        }
    }
    line
}
