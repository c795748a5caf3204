//! Walking by an answers file: the next thing to say, wherever the walk is.
//!
//! A gate that lapsed is confirmed again from its own entry; findings and ends need no entry. Given the same file, tree
//! and start the same events come out at the same moments.

use crate::diag::Place;
use crate::safety::Confirm;
use crate::tree::{Kind, StepIx};
use crate::units::{Measure, Reading};

use super::accept::Input;
use super::answers::{Answers, Entry, Says};
use super::declined::Declined;
use super::event::{CabStands, OwnReading};
use super::moment::Moment;
use super::state::{Now, Walk, WhyGate};

/// An answers file being walked by.
#[derive(Debug, Clone)]
pub struct Script {
    answers: Answers,
    at: usize,
    clock: Moment,
    timed: Option<usize>,
    confirming: Option<usize>,
    too_close: Option<String>,
}

/// Why the walk and its answers file part.
#[derive(Debug, Clone, PartialEq)]
pub struct Parted {
    /// The entry.
    pub place: Place,
    /// What is wrong, both steps named.
    pub why: String,
}

/// What a script does next.
#[derive(Debug, Clone, PartialEq)]
pub enum Turn {
    /// It says this, at this moment.
    Say(Box<Input>, Moment),
    /// It has nothing more to say.
    Over,
}

impl Script {
    /// A script that begins at this moment.
    #[must_use]
    pub const fn new(answers: Answers, start: Moment) -> Self {
        Self { answers, at: 0, clock: start, timed: None, confirming: None, too_close: None }
    }

    /// The file as read.
    #[must_use]
    pub const fn answers(&self) -> &Answers {
        &self.answers
    }

    /// The moment it has come to.
    #[must_use]
    pub const fn clock(&self) -> Moment {
        self.clock
    }

    /// What to say where the walk is now.
    ///
    /// # Errors
    /// When the next entry does not fit; both steps are named.
    pub fn next(&mut self, walk: &Walk) -> Result<Turn, Parted> {
        loop {
            if let Some(turn) = self.on_its_own(walk) {
                return Ok(turn);
            }
            let Some(entry) = self.answers.entries.get(self.at).cloned() else { return Ok(Turn::Over) };
            if self.timed != Some(self.at) {
                self.timed = Some(self.at);
                if let Some(after) = entry.after {
                    self.clock = self.clock.later(milliseconds(after.value()));
                    if walk.due(self.clock).is_some() {
                        // Said by whoever drives: conditions lapse, and gates are confirmed again first.
                        return Ok(Turn::Say(Box::new(Input::Done), self.clock));
                    }
                }
            }
            match self.say(&entry, walk)? {
                Some(input) => return Ok(Turn::Say(Box::new(input), self.clock)),
                None => self.at += 1,
            }
        }
    }

    /// Told what became of what was said: declined as too close, a reading waits for its decision.
    ///
    /// # Errors
    /// When it was declined for good.
    pub fn heard(&mut self, declined: &Declined) -> Result<(), Parted> {
        if matches!(declined, Declined::Lapsed(_)) {
            return Ok(());
        }
        let Some(entry) = self.answers.entries.get(self.at.saturating_sub(1)) else {
            return Err(Parted { place: Place::file(crate::diag::FileId(0)), why: declined.to_string() });
        };
        let decides = self.answers.entries.get(self.at).is_some_and(|next| {
            next.step == entry.step && matches!(next.says, Says::Decide { reading: None, .. })
        });
        if let (Declined::TooClose(chances), Says::Reading(typed)) = (declined, &entry.says) {
            if decides {
                self.too_close = Some(typed.clone());
                return Ok(());
            }
            let likely: Vec<String> =
                chances.iter().map(|c| format!("band {} {:.0} %", c.band + 1, c.chance * 100.0)).collect();
            return Err(Parted {
                place: entry.place.clone(),
                why: format!(
                    "at {} the reading {typed} is too close to an edge ({}); add `decide:` with `why:`, or measure again",
                    entry.step,
                    likely.join(", ")
                ),
            });
        }
        Err(Parted { place: entry.place.clone(), why: format!("at {}: {declined}", walk_word(&entry.step)) })
    }

    /// Whether an entry is left.
    #[must_use]
    pub fn is_over(&self) -> bool {
        self.at >= self.answers.entries.len()
    }

    /// What needs no entry: findings, ends, gates that are asked again, the items before driving.
    fn on_its_own(&self, walk: &Walk) -> Option<Turn> {
        // A gate's own entry stays the current one until it is seen that its gate is passed.
        let here = self.answers.entries.get(self.at).and_then(|e| walk.course().tree().find(&e.step));
        let is_passed = self.confirming == Some(self.at) && here.is_some_and(|ix| said_all(ix, walk));
        let next = self.answers.entries.get(self.at + usize::from(is_passed));
        let addressed = |ix: StepIx| next.is_some_and(|e| walk.course().tree().find(&e.step) == Some(ix));
        match walk.now() {
            Now::Step(ix) if !addressed(*ix) => {
                let kind = &walk.course().tree().step(*ix).kind;
                let free = next.is_some_and(|e| e.step.is_empty());
                let ends = matches!(kind, Kind::Close(_) | Kind::Refer(_)) && !free;
                let finds = matches!(kind, Kind::Find(_)) && next.is_some() && !free;
                // Done before, and needed again after a pause.
                let again = walk.again_for(*ix).is_some();
                (ends || finds || again).then_some(Turn::Say(Box::new(Input::Done), self.clock))
            }
            // What is written down at a step is said before its gates go on.
            Now::Gate(at) if at.why != WhyGate::Own && !(addressed(at.step) && next.is_some_and(is_note)) => {
                let gate = at.gate.name(walk.course().vocabulary());
                let (initials, readings) = self.confirmed_before(gate, walk)?;
                Some(Turn::Say(Box::new(item_input(walk, &initials, &readings)), self.clock))
            }
            Now::Stands(_) if !next.is_some_and(|e| matches!(e.says, Says::Stands(_))) => {
                // A script sees no machine: the cab stands as it was recorded, or nobody can say.
                let cab = if walk.was_held() { CabStands::Held } else { CabStands::Loose };
                Some(Turn::Say(Box::new(Input::Answer(cab.word().to_owned())), self.clock))
            }
            Now::Check(_, live) => {
                let by = self.last_initials();
                Some(Turn::Say(Box::new(Input::Confirm { item: *live, by, typed: None }), self.clock))
            }
            _ => None,
        }
    }

    /// The initials and readings with which an entry of this file confirms the gate of this name.
    fn confirmed_before(&self, gate: &str, walk: &Walk) -> Option<(String, Vec<String>)> {
        let tree = walk.course().tree();
        let is_gate = |entry: &&Entry| {
            let step = tree.find(&entry.step).map(|ix| &tree.step(ix).kind);
            matches!(step, Some(Kind::Gate(own)) if own.gate == gate)
        };
        let before = self.answers.entries.iter().take(self.at).rev();
        let after = self.answers.entries.iter().skip(self.at);
        before.chain(after).filter(is_gate).find_map(|entry| match &entry.says {
            Says::Confirm { initials, readings } => Some((initials.clone(), readings.clone())),
            _ => None,
        })
    }

    fn last_initials(&self) -> String {
        let by = |entry: &Entry| match &entry.says {
            Says::Confirm { initials, .. } if !initials.is_empty() => Some(initials.clone()),
            _ => None,
        };
        self.answers.entries[..self.at].iter().rev().find_map(by).unwrap_or_else(|| "script".to_owned())
    }

    /// What an entry says here; `None` once it has said everything.
    fn say(&mut self, entry: &Entry, walk: &Walk) -> Result<Option<Input>, Parted> {
        let tree = walk.course().tree();
        let named = if entry.step.is_empty() { walk.step_ix() } else { tree.find(&entry.step) };
        let Some(ix) = named.or_else(|| entry.step.is_empty().then_some(tree.start)) else {
            return parted(
                entry,
                format!("the tree has no step {}; the walk is at {}", entry.step, walk_word(walk.step_id())),
            );
        };
        let visited = || walk.visits().iter().any(|v| v.step == ix && v.round == walk.round());
        let here = walk.step_ix() == Some(ix) || entry.step.is_empty();
        let elsewhere = matches!(entry.says, Says::Jump) || matches!(entry.says, Says::Back) && visited();
        let confirms = matches!(entry.says, Says::Confirm { .. });
        let said = self.confirming == Some(self.at) && said_all(ix, walk);
        if confirms && (said || passed_on_the_way(ix, walk)) {
            return Ok(None);
        }
        if !here && !elsewhere {
            return parted(
                entry,
                format!("the entry is for {}, and the walk is at {}", entry.step, walk_word(walk.step_id())),
            );
        }
        if !confirms {
            self.at += 1;
        }
        Ok(Some(match &entry.says {
            Says::Confirm { initials, readings } => {
                if matches!(walk.now(), Now::Gate(_)) {
                    self.confirming = Some(self.at);
                    item_input(walk, initials, readings)
                } else {
                    self.at += 1;
                    Input::Done
                }
            }
            Says::Reading(typed) => Input::Reading(typed.clone()),
            Says::Answer(id) => Input::Answer(id.clone()),
            Says::Decide { reading, go, why } => self.decide(entry, reading.as_ref(), (go, why), walk)?,
            Says::Done => Input::Done,
            Says::Cannot(why) => Input::Cannot(why.clone()),
            Says::Note(text) => Input::Note(text.clone()),
            Says::Back => Input::Back((walk.step_ix() != Some(ix)).then_some(ix)),
            Says::Jump => Input::Jump(ix),
            Says::Repair(sheet) => Input::Repaired(sheet.clone()),
            Says::CodeLeft(code) => Input::CodeLeft(walk.named(code.clone())),
            Says::NoCodeLeft => Input::NoCodeLeft,
            Says::Stands(cab) => Input::Answer(cab.word().to_owned()),
            Says::Left(text) => Input::Left(text.clone()),
            Says::Wait(why) => Input::Wait(why.clone()),
            Says::BackFromWait(false) => Input::Stayed,
            Says::BackFromWait(true) => Input::LeftIt,
            Says::Own { red, black, with, measure, reading } => {
                let unit = Measure::named(measure).unwrap_or(Measure::Volts).unit();
                match Reading::parse(reading, unit) {
                    Ok(reading) => Input::Own(OwnReading {
                        red: red.clone(),
                        black: black.clone(),
                        with: with.clone(),
                        reading,
                    }),
                    Err(error) => return parted(entry, format!("{error}. Write {}", error.write)),
                }
            }
        }))
    }

    fn decide(
        &mut self,
        entry: &Entry,
        reading: Option<&String>,
        (go, why): (&str, &str),
        walk: &Walk,
    ) -> Result<Input, Parted> {
        let Some(typed) = reading.cloned().or_else(|| self.too_close.take()) else {
            return parted(entry, format!("{} decides on a reading, and none was too close", entry.step));
        };
        let bands = walk.course().tree().find(go).map(|ix| walk.bands_to(ix)).unwrap_or_default();
        match bands.first() {
            Some(band) => Ok(Input::Decide { typed, band: *band, why: why.to_owned() }),
            None => parted(entry, format!("no band of {} leads to {go}", entry.step)),
        }
    }
}

fn parted<T>(entry: &Entry, why: String) -> Result<T, Parted> {
    Err(Parted { place: entry.place.clone(), why })
}

/// A gate entry has said everything once its gate, or the guard in its place, is passed and the walk has gone on.
fn said_all(ix: StepIx, walk: &Walk) -> bool {
    let passed = walk.gates().iter().rev().find(|log| log.step == ix);
    passed.is_some_and(|log| log.passed.is_some()) && walk.step_ix() != Some(ix)
}

/// A lockout that led to its own step is asked once, and the entry for that step has nothing more to say.
fn passed_on_the_way(ix: StepIx, walk: &Walk) -> bool {
    let last = walk.gates().iter().rev().find(|log| log.step == ix);
    said_all(ix, walk) && last.is_some_and(|log| log.why == WhyGate::Missing)
}

const fn is_note(entry: &Entry) -> bool {
    matches!(entry.says, Says::Note(_))
}

/// The confirmation of the live item, with the reading that belongs to it.
fn item_input(walk: &Walk, initials: &str, readings: &[String]) -> Input {
    let by = if initials.is_empty() { "script".to_owned() } else { initials.to_owned() };
    let Now::Gate(at) = walk.now() else { return Input::Done };
    let items = walk.gate_items(at.gate, at.step, at.why);
    let is_typed = |n: usize| matches!(items.get(n).map(|i| i.confirm), Some(Confirm::Typed(_)));
    let nth = (0..at.item).filter(|n| is_typed(*n)).count();
    let typed = if is_typed(at.item) { readings.get(nth).cloned() } else { None };
    Input::Confirm { item: at.item, by, typed }
}

fn walk_word(step: &str) -> &str {
    if step.is_empty() { "its end" } else { step }
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // minutes in a file are finite and not negative
fn milliseconds(minutes: f64) -> u64 {
    (minutes.max(0.0) * 60_000.0).round() as u64
}
