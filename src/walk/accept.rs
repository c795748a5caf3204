//! From what a person or a script says to events: either it makes events, or it is declined with a reason and nothing
//! is recorded.

use crate::safety::{Confirm, Shown, Words, shows};
use crate::tree::{BandKind, Kind, Read, StepIx, Target};
use crate::units::{Band, BandChance, Meter, Reading, Verdict, Volts, place};

use crate::reason::{AtStep, LikeBand, ShouldRead, Situation};
use std::sync::Arc;

use super::declined::{
    ANSWER_WANTED, CAB_FIRST, CLEAR_ENOUGH, CODE_SAID, Declined, EMPTY_NOTE, ENDED, FAR_FROM_BAND,
    GATE_FIRST, GUARDED_BACK, GUARDED_ON, NO_BAND, NO_GATE, NO_INITIALS, NO_QUESTION, NO_READING, NO_REASON,
    NOT_WAITING, NOTHING_AFTER, NOTHING_ASKED, NOTHING_BEFORE, NOTHING_TO_FAIL, READING_WANTED, TYPE_METER,
    VIEW_ONLY, WAITING, next_item, no_answer, no_jump,
};
use super::event::{Code, Details, EndedAs, Event, Lapse, OwnReading};
use super::fold::DRIVE;
use super::moment::Moment;
use super::state::{Now, Walk, WhyGate};

/// What a person or a script says.
#[derive(Debug, Clone, PartialEq)]
pub enum Input {
    /// An answer, by its id.
    Answer(String),
    /// A reading as typed.
    Reading(String),
    /// A reading as typed, with the band it is decided to lie in and why.
    Decide {
        /// As typed.
        typed: String,
        /// The band, from 0.
        band: usize,
        /// Why.
        why: String,
    },
    /// It was done, taken note of, or ended here.
    Done,
    /// The live item of the gate is confirmed.
    Confirm {
        /// Which item, from 0; only the live one counts.
        item: usize,
        /// By whom.
        by: String,
        /// What was typed, where a reading is asked for.
        typed: Option<String>,
    },
    /// It cannot be done, or not be answered.
    Cannot(String),
    /// A note.
    Note(String),
    /// A reading off the tree.
    Own(OwnReading),
    /// Back to the step before, or to a step of this round.
    Back(Option<StepIx>),
    /// On to a step, off the tree's order.
    Jump(StepIx),
    /// The job waits.
    Wait(String),
    /// Back from waiting.
    Stayed,
    /// Back from waiting; the machine was left alone.
    LeftIt,
    /// Asked after a long pause: nothing has changed.
    StillSo,
    /// What is known of the job, changed.
    Details(Box<Details>),
    /// What is so of the repair: keys of the repair sheet with what was typed, and words of the mechanic's own.
    Repaired(Vec<(String, String)>),
    /// A code that is still there.
    CodeLeft(Code),
    /// No code is there any more.
    NoCodeLeft,
    /// How the machine was left, and who was told.
    Left(String),
}

fn here<T>(why: Words) -> Result<T, Declined> {
    Err(Declined::Here(why.text()))
}

impl Walk {
    /// The events that an input makes now; they are to be journalled and then applied.
    ///
    /// # Errors
    /// When it is declined.
    pub fn accept(&self, input: Input, at: Moment) -> Result<Vec<Event>, Declined> {
        if !self.goes_on {
            return here(VIEW_ONLY);
        }
        match (&input, self.due(at)) {
            (Input::Stayed | Input::LeftIt, _) | (_, None) => {}
            (Input::StillSo, Some(Lapse::Idle)) => return Ok(vec![Event::StillSo]),
            (_, Some(cause)) => return Err(Declined::Lapsed(cause)),
        }
        let step = self.step_id().to_owned();
        Ok(vec![match input {
            Input::Note(text) if text.trim().is_empty() => return here(EMPTY_NOTE),
            Input::Note(text) => Event::Note { step, text },
            Input::Own(own) => Event::OwnReading { step, own },
            Input::Details(details) => Event::Details { details: *details },
            Input::CodeLeft(code) => Event::CodeLeft { code },
            Input::NoCodeLeft if !self.codes.is_empty() => return here(CODE_SAID),
            Input::NoCodeLeft => Event::NoCodeLeft,
            Input::Left(text) => Event::Left { text },
            Input::Repaired(said) => self.accept_repair(said)?,
            Input::Stayed if matches!(self.now, Now::Waiting(_)) => Event::Stayed,
            Input::LeftIt if matches!(self.now, Now::Waiting(_)) => Event::Lapsed { cause: Lapse::LeftIt },
            Input::Stayed | Input::LeftIt => return here(NOT_WAITING),
            Input::StillSo => return here(NOTHING_ASKED),
            _ if matches!(self.now, Now::Waiting(_)) => {
                return here(WAITING);
            }
            _ if matches!(self.now, Now::Ended(_)) => return here(ENDED),
            Input::Wait(why) => Event::Waits { why },
            Input::Answer(answer) if matches!(self.now, Now::Stands(_)) => self.accept_stands(&answer)?,
            Input::Back(_) | Input::Jump(_) if matches!(self.now, Now::Stands(_)) => {
                return here(CAB_FIRST);
            }
            Input::Back(to) => self.accept_back(to)?,
            Input::Jump(ix) => self.accept_jump(ix)?,
            Input::Cannot(why) => self.accept_cannot(why)?,
            Input::Answer(answer) => self.accept_answer(answer)?,
            Input::Reading(typed) => self.accept_reading(&typed, None)?,
            Input::Decide { typed, band, why } => self.accept_reading(&typed, Some((band, why)))?,
            Input::Confirm { item, by, typed } => self.accept_item(item, by, typed)?,
            Input::Done => self.accept_done()?,
        }])
    }

    fn accept_answer(&self, answer: String) -> Result<Event, Declined> {
        let Now::Step(ix) = self.now else { return here(GATE_FIRST) };
        let answers = match &self.course.tree().step(ix).kind {
            Kind::Ask(ask) => &ask.answers,
            Kind::Look(look) => &look.answers,
            _ => return here(NO_QUESTION),
        };
        if !answers.iter().any(|a| a.id == answer) {
            let known: Vec<&str> = answers.iter().map(|a| a.id.as_str()).collect();
            return Err(Declined::Here(no_answer(&answer, &known)));
        }
        Ok(Event::Answered { step: self.step_id().to_owned(), answer })
    }

    fn accept_reading(&self, typed: &str, decided: Option<(usize, String)>) -> Result<Event, Declined> {
        let Some(read) = self.reading_here() else { return here(NO_READING) };
        let reading = Reading::parse(typed, read.measure.unit()).map_err(Declined::Quantity)?;
        let ((band, edges), why) = match decided {
            Some((band, why)) if band < read.bands.len() && !why.trim().is_empty() => {
                match self.band_of(read, &reading) {
                    Ok(_) => {
                        return here(CLEAR_ENOUGH);
                    }
                    Err(Declined::TooClose(chances)) if chances.iter().any(|c| c.band == band) => {
                        ((band, Vec::new()), Some(why))
                    }
                    Err(Declined::TooClose(_)) => return here(FAR_FROM_BAND),
                    Err(other) => return Err(other),
                }
            }
            Some(_) => return here(NO_REASON),
            None => (self.band_of(read, &reading)?, None),
        };
        Ok(Event::Read { step: self.step_id().to_owned(), reading, band, edges, decided: why })
    }

    /// The `read` step that is current.
    #[must_use]
    pub fn reading_here(&self) -> Option<&Read> {
        let Now::Step(ix) = self.now else { return None };
        match &self.course.tree().step(ix).kind {
            Kind::Read(read) => Some(read),
            _ => None,
        }
    }

    /// The meter of the job; a good common one if nobody said.
    #[must_use]
    pub fn meter(&self) -> Meter {
        self.details.meter.unwrap_or_default()
    }

    pub(super) fn band_of(&self, read: &Read, reading: &Reading) -> Result<(usize, Vec<f64>), Declined> {
        if read.bands.iter().any(|b| matches!(b.kind, BandKind::Like(_))) {
            return self.like_band_of(reading);
        }
        let ranges = number_bands(read);
        let bands: Vec<Band> = ranges.iter().map(|(_, band)| *band).collect();
        let found = match self.meter().judge(reading, &bands) {
            Verdict::In(at) => Some(at),
            Verdict::TooClose(mut chances) => {
                for chance in &mut chances {
                    chance.band = ranges.get(chance.band).map_or(chance.band, |(nth, _)| *nth);
                }
                return Err(Declined::TooClose(chances));
            }
            Verdict::Nowhere => place(reading, &bands),
        };
        match found.and_then(|at| ranges.get(at)) {
            Some((nth, _)) => Ok((*nth, Vec::new())),
            None => here(NO_BAND),
        }
    }

    fn like_band_of(&self, reading: &Reading) -> Result<(usize, Vec<f64>), Declined> {
        let Now::Step(ix) = self.now else { return here(GATE_FIRST) };
        let day = [
            self.details.volts.map_or(0, |v| v.value().to_bits()),
            self.details.celsius.map_or(0, |c| c.value().to_bits()),
        ];
        let here_now = Situation::of(&self.state, self.course.vocabulary());
        let key = (ix, here_now, day, format!("{:?}", self.details.meter));
        let known = self.likes.lock().ok().and_then(|likes| likes.get(&key).cloned());
        let at_step = self.at_step_today();
        let likeness = known.unwrap_or_else(|| at_step.likeness(ix).map(Arc::new));
        if let Ok(mut likes) = self.likes.lock() {
            likes.insert(key, likeness.clone());
        }
        let found = likeness.map_or(LikeBand::Nowhere, |likeness| at_step.like_band(&likeness, reading));
        match found {
            LikeBand::In { band, edges: (low, high) } => {
                Ok((band, [low, high].into_iter().filter(|edge| edge.is_finite()).collect()))
            }
            LikeBand::TooClose(bands) => {
                let chance = 1.0 / f64::from(u32::try_from(bands.len()).unwrap_or(1));
                Err(Declined::TooClose(bands.into_iter().map(|band| BandChance { band, chance }).collect()))
            }
            LikeBand::Nowhere => here(NO_BAND),
        }
    }

    /// The machine today, as far as this walk has come.
    pub(super) fn at_step_today(&self) -> AtStep<'_> {
        AtStep {
            tree: self.course.tree(),
            vocabulary: self.course.vocabulary(),
            state: &self.state,
            today: self.today(),
            meter: self.meter(),
        }
    }

    /// What the current reading should be with nothing wrong, on this machine today.
    #[must_use]
    pub fn should_read(&self) -> Option<ShouldRead> {
        let Now::Step(ix) = self.now else { return None };
        self.at_step_today().should_read(ix)
    }

    fn accept_item(&self, item: usize, by: String, typed: Option<String>) -> Result<Event, Declined> {
        if by.trim().is_empty() {
            return here(NO_INITIALS);
        }
        let step = self.step_id().to_owned();
        if let Now::Check(_, live) = self.now {
            if item != live {
                return Err(Declined::Here(next_item(live + 1)));
            }
            return Ok(Event::Item { step, gate: DRIVE.to_owned(), item, by, reading: None });
        }
        let Now::Gate(at) = self.now else { return here(NO_GATE) };
        if item != at.item {
            return Err(Declined::Here(next_item(at.item + 1)));
        }
        let items = self.gate_items(at.gate, at.step, at.why);
        let reading = match items.get(item).map(|i| i.confirm) {
            Some(Confirm::Typed(which)) => {
                let Some(typed) = typed else { return here(TYPE_METER) };
                let reading = Reading::parse(&typed, crate::units::Measure::Volts.unit())
                    .map_err(Declined::Quantity)?;
                shows_dead(which, &reading).map_err(Declined::NotShown)?;
                Some(reading)
            }
            _ => None,
        };
        let gate = at.gate.name(self.course.vocabulary()).to_owned();
        Ok(Event::Item { step, gate, item, by, reading })
    }

    fn accept_done(&self) -> Result<Event, Declined> {
        if matches!(self.now, Now::Stands(_)) {
            return here(CAB_FIRST);
        }
        let Now::Step(ix) = self.now else { return here(GATE_FIRST) };
        let step = self.step_id().to_owned();
        match &self.course.tree().step(ix).kind {
            Kind::Do(_) | Kind::Find(_) => Ok(Event::Done { step, sheet: self.sheet_words() }),
            Kind::Close(close) => Ok(Event::Ended { step, how: EndedAs::Closed(close.how) }),
            Kind::Refer(_) => Ok(Event::Ended { step, how: EndedAs::Referred }),
            Kind::Ask(_) | Kind::Look(_) => here(ANSWER_WANTED),
            Kind::Read(_) => here(READING_WANTED),
            Kind::Gate(_) => here(GATE_FIRST),
        }
    }

    fn accept_cannot(&self, why: String) -> Result<Event, Declined> {
        let step = self.step_id().to_owned();
        match self.now {
            Now::Gate(at) if at.why == WhyGate::NoWay => here(NOTHING_AFTER),
            Now::Gate(_) | Now::Check(..) | Now::Stands(_) => Ok(Event::Cannot { step, why }),
            Now::Step(ix) => match self.course.tree().step(ix).kind {
                Kind::Find(_) | Kind::Close(_) | Kind::Refer(_) => here(NOTHING_TO_FAIL),
                _ => Ok(Event::Cannot { step, why }),
            },
            _ => here(NOTHING_TO_FAIL),
        }
    }

    fn accept_back(&self, to: Option<StepIx>) -> Result<Event, Declined> {
        if matches!(self.now, Now::Gate(at) if at.why == WhyGate::NoWay) {
            return here(GUARDED_BACK);
        }
        let current = self.step_ix();
        let of_round = || self.visits.iter().rev().filter(|v| v.round == self.round);
        let wanted = match to {
            Some(ix) => of_round().find(|v| v.step == ix).map(|v| v.step),
            None => of_round().map(|v| v.step).find(|ix| Some(*ix) != current),
        };
        match wanted {
            Some(ix) => Ok(Event::Back { step: self.course.tree().step(ix).id.clone() }),
            None => here(NOTHING_BEFORE),
        }
    }

    fn accept_jump(&self, ix: StepIx) -> Result<Event, Declined> {
        if matches!(self.now, Now::Gate(at) if at.why == WhyGate::NoWay) {
            return here(GUARDED_ON);
        }
        let step = self.course.tree().step(ix);
        match step.kind {
            Kind::Find(_) | Kind::Close(_) => Err(Declined::Here(no_jump(&step.id))),
            _ => Ok(Event::Jump { step: step.id.clone() }),
        }
    }

    /// The bands of the current reading that lead to a step, for a decision by hand.
    #[must_use]
    pub fn bands_to(&self, target: StepIx) -> Vec<usize> {
        let Some(read) = self.reading_here() else { return Vec::new() };
        let leads = |go: Target| self.course.tree().land(go) == Some(target);
        read.bands.iter().enumerate().filter(|(_, b)| leads(b.go)).map(|(at, _)| at).collect()
    }
}

/// The bands in numbers, each with its place among all bands of the step.
fn number_bands(read: &Read) -> Vec<(usize, Band)> {
    read.bands
        .iter()
        .enumerate()
        .filter_map(|(at, band)| match &band.kind {
            BandKind::Range(range) => Some((at, *range)),
            BandKind::Like(_) => None,
        })
        .collect()
}

/// Holds a typed reading against what live–dead–live asks of it.
pub(super) fn shows_dead(which: Shown, reading: &Reading) -> Result<(), String> {
    let volts = reading.value().and_then(|amount| Volts::try_from(amount).ok());
    match volts {
        Some(volts) => shows(which, volts).map_err(|e| e.to_string()),
        None => Err("a reading in volts that stands still is wanted here".to_owned()),
    }
}
