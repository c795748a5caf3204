//! How a good mechanic would have gone: the same machine, every answer and reading right, once as the tree is written
//! and once by what would be quickest.

use super::bench::Bench;
use super::dice::Dice;
use super::session::{Practice, moment_of, names_hidden};
use super::specimen::Specimen;
use crate::diag::Text;
use crate::reason::Suspicion;
use crate::tree::{Kind, StepIx, Walkable};
use crate::units::Minutes;
use crate::walk::{AtGate, Declined, Input, Moment, Now, Walk};

/// What is tried at most before the way is given up.
const MOST: usize = 4_000;

/// A way to the finding.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// The steps on it, gates and actions included, in order.
    pub steps: Vec<String>,
    /// What it takes, by the tree.
    pub minutes: Minutes,
    /// It ends at a find that names what is hidden.
    pub finds: bool,
}

/// Goes the way: as the tree is written, or by what these suspects suggest wherever that is something else.
#[must_use]
pub fn way(course: &Walkable, specimen: &Specimen, suspicion: Option<&Suspicion<'_, '_>>) -> Way {
    let day = specimen.day();
    let bench = Bench::new(specimen, &day, (course.tree(), course.vocabulary())).exact();
    let mut mechanic =
        Mechanic { walk: Walk::new(course), practice: Practice::new(Dice::new(0)), tried: Vec::new() };
    mechanic.begin(specimen);
    let finds = mechanic.go(specimen, &bench, suspicion);
    let tree = course.tree();
    Way {
        steps: mechanic.walk.visits().iter().map(|v| tree.step(v.step).id.clone()).collect(),
        minutes: Minutes(mechanic.walk.minutes_worked()),
        finds,
    }
}

struct Mechanic {
    walk: Walk,
    practice: Practice,
    /// Steps jumped to already: nothing is suggested twice.
    tried: Vec<StepIx>,
}

impl Mechanic {
    fn begin(&mut self, specimen: &Specimen) {
        let begun = specimen.opening(self.walk.course().tree(), "en");
        // A walk that has not begun takes its beginning.
        let _ = self.walk.apply(&begun, Moment::default());
    }

    fn say(&mut self, input: Input) -> Result<(), Declined> {
        let (at, still) = moment_of(&self.walk, &input);
        for input in still.into_iter().chain([input]) {
            for event in self.walk.accept(input, at)? {
                if self.walk.apply(&event, at).is_err() {
                    return Err(Declined::Here(Text::plain("it could not happen")));
                }
            }
        }
        Ok(())
    }

    /// True if a find that names what is hidden is come to.
    fn go(&mut self, specimen: &Specimen, bench: &Bench<'_>, suspicion: Option<&Suspicion<'_, '_>>) -> bool {
        for _ in 0..MOST {
            match self.walk.now() {
                Now::Ended(_) => return false,
                Now::Step(ix) if matches!(self.walk.course().tree().step(*ix).kind, Kind::Find(_)) => {
                    return names_hidden(&self.walk, *ix, specimen);
                }
                _ => {}
            }
            if let Some(suspicion) = suspicion {
                self.take_suggestion(suspicion);
            }
            if !self.next(specimen, bench) {
                return false;
            }
        }
        false
    }

    fn take_suggestion(&mut self, suspicion: &Suspicion<'_, '_>) {
        if !self.walk.takes_suggestions() {
            return;
        }
        let suggestion = suspicion.whereabouts(&self.walk.observed()).and_then(|w| w.suggestion);
        if let Some(suggestion) = suggestion.filter(|s| !self.tried.contains(&s.test)) {
            self.tried.push(suggestion.test);
            // What cannot be jumped to is not taken; the tree goes on.
            let _ = self.say(Input::Jump(suggestion.step));
        }
    }

    fn next(&mut self, specimen: &Specimen, bench: &Bench<'_>) -> bool {
        let input =
            self.practice.says(&self.walk, specimen, bench, "-").unwrap_or_else(|| match self.walk.now() {
                Now::Gate(AtGate { item, .. }) | Now::Check(_, item) => {
                    Input::Confirm { item: *item, by: "-".to_owned(), typed: None }
                }
                _ if self.walk.reading_here().is_some() => Input::Cannot("no such gauge".to_owned()),
                _ => Input::Done,
            });
        let typed = match &input {
            Input::Reading(typed) => typed.clone(),
            _ => String::new(),
        };
        match self.say(input) {
            Ok(()) => true,
            Err(Declined::TooClose(chances)) => {
                let best = chances.iter().max_by(|a, b| a.chance.total_cmp(&b.chance));
                let why = "the likelier".to_owned();
                best.is_some_and(|best| self.say(Input::Decide { typed, band: best.band, why }).is_ok())
            }
            Err(_) => self.say(Input::Cannot(String::new())).is_ok(),
        }
    }
}
