//! Scripted apprentices at the machine in the yard: who follows the tree needs no more minutes than who measures at
//! random, and nobody gets anywhere through an unsafe move.

use loomwalk::machine::{Machine, Today};
use loomwalk::practice::{Bench, Dice, Practice, Specimen, Wanted, moment_of, names_hidden, typed};
use loomwalk::tree::{Kind, StepIx};
use loomwalk::walk::{Declined, Event, Input, Moment, Now, Walk, Walker};

use super::{TERN, Yard};

/// How an apprentice goes about it.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Style {
    /// Takes the steps as they come.
    Tree,
    /// Jumps to some test, or puts the meter somewhere, every other time.
    Random,
}

/// A call that is not settled after this many minutes is given up.
const GIVEN_UP: f64 = 600.0;

struct Apprentice<'y> {
    yard: &'y Yard,
    style: Style,
    whim: Dice,
    practice: Practice,
    walk: Walk,
    minutes_before: f64,
    own: usize,
}

impl<'y> Apprentice<'y> {
    fn new(yard: &'y Yard, style: Style, specimen: &Specimen, seed: u64) -> Self {
        let walk = begun(yard, specimen);
        let (practice, whim) = (Practice::new(Dice::new(seed ^ 0xABCD)), Dice::new(seed ^ 0x77));
        Self { yard, style, whim, practice, walk, minutes_before: 0.0, own: 0 }
    }

    fn minutes(&self) -> f64 {
        self.minutes_before + self.walk.minutes_worked()
    }

    fn say(&mut self, input: Input) -> Result<(), Declined> {
        let (at, still) = moment_of(&self.walk, &input);
        for input in still.into_iter().chain([input]) {
            for event in self.walk.accept(input, at)? {
                self.walk.apply(&event, at).expect("what was accepted can happen");
            }
        }
        Ok(())
    }

    /// Walks until a find names what is hidden. The minutes it took.
    fn run(&mut self, specimen: &Specimen, bench: &Bench<'_>) -> f64 {
        while self.minutes() < GIVEN_UP {
            let found = match self.walk.now() {
                Now::Step(ix) if is_find(&self.walk, *ix) => names_hidden(&self.walk, *ix, specimen),
                _ => false,
            };
            if found {
                return self.minutes();
            }
            if matches!(self.walk.now(), Now::Ended(_)) {
                // Not settled: the machine is called for again.
                self.minutes_before += self.walk.minutes_worked() + 30.0;
                self.walk = begun(self.yard, specimen);
            }
            if self.style == Style::Random && self.at_a_test() && self.whim.happens(0.5) {
                self.strays(specimen, bench);
            }
            self.takes_the_step(specimen, bench);
        }
        GIVEN_UP
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
                super::plain_account::holds_at(&self.walk, &reading);
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

fn begun(yard: &Yard, specimen: &Specimen) -> Walk {
    let mut walk = yard.walk.clone();
    let tree = yard.course.tree();
    let begun = Event::Begun {
        tree: tree.id.clone(),
        revision: tree.revision,
        lang: "en".to_owned(),
        walker: Walker::Practice,
        details: specimen.details(),
    };
    walk.apply(&begun, Moment::default()).expect("it begins");
    walk
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

/// Runs of each apprentice: a thousand where the program is built to be quick, a few dozen where it is not.
const RUNS: u32 = if cfg!(debug_assertions) { 6 } else { 1000 };

#[test]
fn who_follows_the_tree_needs_no_more_than_who_measures_at_random() {
    let yard = &*TERN;
    let tree = yard.course.tree();
    let wanted = Wanted { today: Some(Today::default()), ..Wanted::default() };
    let (mut minutes, mut stopped, mut own) = ([0.0; 2], 0, 0);
    for seed in 0..u64::from(RUNS) {
        let mut dice = Dice::new(seed);
        let specimen = Specimen::draw(tree, &yard.family, &yard.pool, wanted, &mut dice).expect("a fault");
        let day = specimen.day();
        let bench = Bench::new(&specimen, &day, (tree, yard.course.vocabulary()));
        for (style, sum) in [Style::Tree, Style::Random].into_iter().zip(&mut minutes) {
            let mut apprentice = Apprentice::new(yard, style, &specimen, seed);
            *sum += apprentice.run(&specimen, &bench);
            stopped += apprentice.practice.stopped().len();
            own += apprentice.own;
        }
    }
    let [by_tree, at_random] = minutes.map(|sum| sum / f64::from(RUNS));
    assert!(by_tree <= at_random, "{by_tree} min by the tree, {at_random} at random");
    assert!(stopped > own && own > 0, "{stopped} stopped, {own} taken");
}
