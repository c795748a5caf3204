//! A walk at the machine in the yard: what the machine answers, how long everything takes, whether it is mended.
//!
//! Minutes are those of the tree and the machine file, never the clock's. What was done is all in the walk; this only
//! adds the chance with which the machine answers, and the moves that were stopped.

use super::bench::{Bench, Health};
use super::dice::Dice;
use super::specimen::Specimen;
use super::stop::{Stopped, allowed};
use crate::job::{item_minutes, own_minutes, step_minutes_here};
use crate::machine::Machine;
use crate::reason::{Situation, repair_of};
use crate::safety::{Confirm, Shown};
use crate::tree::{Kind, Leads, OffTree, StepIx};
use crate::units::{Amount, Minutes, Reading};
use crate::walk::{Input, Lapse, Moment, Now, Outcome, OwnReading, Walk};

/// A move that was stopped, with where and when.
#[derive(Debug, Clone, PartialEq)]
pub struct StoppedMove {
    /// The step at which it was tried.
    pub step: String,
    /// What was asked for, as typed.
    pub asked: String,
    /// Why it was stopped.
    pub why: Stopped,
}

/// What a walk in practice adds to the walk.
#[derive(Debug, Clone)]
pub struct Practice {
    dice: Dice,
    stopped: Vec<StoppedMove>,
}

impl Practice {
    /// Practice whose machine answers by this chance.
    #[must_use]
    pub const fn new(dice: Dice) -> Self {
        Self { dice, stopped: Vec::new() }
    }

    /// The moves that were stopped, in order.
    #[must_use]
    pub fn stopped(&self) -> &[StoppedMove] {
        &self.stopped
    }

    /// What the machine says where the walk is: an answer, a reading, or the reading that a gate asks for; nothing
    /// where a person has to say something.
    pub fn says(&mut self, walk: &Walk, specimen: &Specimen, bench: &Bench<'_>, by: &str) -> Option<Input> {
        let situation = Situation::of(walk.machine(), walk.course().vocabulary());
        let health = health(walk, specimen);
        match walk.now() {
            Now::Step(ix) => match &walk.course().tree().step(*ix).kind {
                Kind::Ask(ask) => {
                    let way = bench.answer(*ix, &situation, health, &mut self.dice)?;
                    Some(Input::Answer(ask.answers[way].id.clone()))
                }
                Kind::Look(look) => {
                    let way = bench.answer(*ix, &situation, health, &mut self.dice)?;
                    Some(Input::Answer(look.answers[way].id.clone()))
                }
                Kind::Read(_) => {
                    let reading = bench.reading(*ix, &situation, health, &mut self.dice)?;
                    Some(Input::Reading(ascii(&reading)))
                }
                _ => None,
            },
            Now::Gate(_) => self.shown_dead(walk, specimen, by),
            _ => None,
        }
    }

    /// The typed reading of live–dead–live: the battery, then nothing, then the battery.
    fn shown_dead(&mut self, walk: &Walk, specimen: &Specimen, by: &str) -> Option<Input> {
        let (item, which) = typed_item(walk)?;
        let volts = match which {
            Shown::Dead => 0.0,
            Shown::SourceBefore | Shown::SourceAfter => specimen.battery().value(),
        };
        let meter = specimen.meter();
        let shown = meter.shown(Amount::new(crate::units::Measure::Volts.unit(), volts))?;
        let off = meter.limit_of_error(&shown)?.value() * self.dice.between(-1.0, 1.0);
        let reading = meter.shown(Amount::new(crate::units::Measure::Volts.unit(), volts + off))?;
        Some(Input::Confirm { item, by: by.to_owned(), typed: Some(ascii(&reading)) })
    }

    /// A measurement of the apprentice's own.
    ///
    /// # Errors
    /// When it would break a rule: it is then stopped and kept, and the meter shows nothing.
    pub fn measures(
        &mut self,
        walk: &Walk,
        (specimen, bench): (&Specimen, &Bench<'_>),
        reading: &OffTree,
        asked: &str,
    ) -> Result<Option<OwnReading>, Stopped> {
        if let Err(why) = allowed(walk, reading) {
            let step = walk.step_id().to_owned();
            self.stopped.push(StoppedMove { step, asked: asked.to_owned(), why: why.clone() });
            return Err(why);
        }
        let situation = Situation::of(walk.machine(), walk.course().vocabulary());
        let shown = bench.reading_of(&reading.step(), &situation, health(walk, specimen), &mut self.dice);
        let (red, black) = match &reading.leads {
            Leads::RedBlack { red, black } => (red.clone(), black.clone()),
            Leads::Across(a, b) => (a.clone(), Some(b.clone())),
            Leads::Around(one) | Leads::At(one) => (one.clone(), None),
        };
        Ok(shown.map(|reading_shown| OwnReading {
            red,
            black,
            with: reading.with.clone(),
            reading: reading_shown,
        }))
    }
}

/// A reading as it would be typed.
fn ascii(reading: &Reading) -> String {
    reading.text().to_owned()
}

/// Whether what is wrong was put right: a repair done after a finding that names it, or something that is put right by
/// the same repair.
#[must_use]
pub fn health(walk: &Walk, specimen: &Specimen) -> Health {
    let tree = walk.course().tree();
    let mut found: Option<StepIx> = None;
    for visit in walk.visits() {
        match &tree.step(visit.step).kind {
            Kind::Find(_) => found = Some(visit.step),
            Kind::Do(action)
                if action.action.is_none()
                    && visit.outcome == Outcome::Done
                    && found.is_some_and(|find| names_hidden(walk, find, specimen)) =>
            {
                return Health::Mended;
            }
            _ => {}
        }
    }
    Health::Faulty
}

/// True if a finding names what is hidden, or something that the same repair puts right.
#[must_use]
pub fn names_hidden(walk: &Walk, find: StepIx, specimen: &Specimen) -> bool {
    let Kind::Find(found) = &walk.course().tree().step(find).kind else { return false };
    let machine: &Machine = specimen.machine();
    let hidden = specimen.hidden().fault;
    let repair = repair_of(machine, hidden);
    let named = found.faults.iter().filter_map(|name| machine.fault_named(name));
    named.into_iter().any(|fault| fault == hidden || repair_of(machine, fault) == repair)
}

/// What an input takes, by the tree and the machine.
#[must_use]
pub fn minutes_of(walk: &Walk, input: &Input) -> Minutes {
    match input {
        Input::Answer(_) | Input::Reading(_) | Input::Decide { .. } | Input::Done | Input::Cannot(_) => {
            step_minutes_here(walk)
        }
        Input::Confirm { .. } => item_minutes(walk),
        Input::Own(_) => own_minutes(),
        _ => Minutes(0.0),
    }
}

/// The moment at which an input lands, its minutes counted; and, where half an hour passed in one go, that nothing has
/// changed meanwhile is to be said first: practice does not lapse.
#[must_use]
pub fn moment_of(walk: &Walk, input: &Input) -> (Moment, Option<Input>) {
    let at = walk.last().later(milliseconds(minutes_of(walk, input)));
    let still = (walk.due(at) == Some(Lapse::Idle)).then_some(Input::StillSo);
    (at, still)
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // minutes of steps are small and positive
fn milliseconds(minutes: Minutes) -> u64 {
    (minutes.value().max(0.0) * 60_000.0).round() as u64
}

/// True where the machine answers by itself, so that there is nothing to type.
#[must_use]
pub fn machine_answers(walk: &Walk) -> bool {
    let Now::Step(ix) = walk.now() else { return typed_item(walk).is_some() };
    matches!(walk.course().tree().step(*ix).kind, Kind::Ask(_) | Kind::Look(_) | Kind::Read(_))
}

/// The live item of a gate, if a reading is asked for there.
fn typed_item(walk: &Walk) -> Option<(usize, Shown)> {
    let Now::Gate(at) = walk.now() else { return None };
    match walk.gate_items(at.gate, at.step, at.why).get(at.item)?.confirm {
        Confirm::Typed(which) => Some((at.item, which)),
        _ => None,
    }
}
