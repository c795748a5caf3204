//! One event after another: each is held against what could have happened before it changes anything.
//!
//! A journal that was rewritten so that its chain holds again still has to get through here.

use crate::safety::Confirm;
use crate::tree::{Kind, StepIx};

use super::declined::Declined;
use super::event::{EndedAs, Event, Lapse};
use super::moment::Moment;
use super::state::{AtGate, Confirmed, NoteMade, Now, Outcome, Walk, WhyGate};

/// Half an hour without a key press, in milliseconds.
pub(super) const IDLE_MS: u64 = 30 * 60_000;
/// A wall clock this far ahead of the forward clock tells of a sleep, in milliseconds.
const SLEPT_MS: i64 = 60_000;

/// An event that could not have happened where it stands.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("event {number} could not have happened: {why}")]
pub struct Impossible {
    /// Which event, from 1.
    pub number: usize,
    /// Why not.
    pub why: String,
}

type Step = Result<(), String>;

impl Walk {
    /// Takes one event in.
    ///
    /// # Errors
    /// When it could not have happened here; the walk is then as it was.
    pub fn apply(&mut self, event: &Event, at: Moment) -> Result<(), Impossible> {
        let number = self.events + 1;
        let due = self.due(at);
        let allowed_when_due = match event {
            Event::Lapsed { .. } | Event::Resumed { .. } | Event::Begun { .. } | Event::Stayed => true,
            Event::StillSo => due == Some(Lapse::Idle),
            _ => false,
        };
        let waited = matches!(self.now, Now::Waiting(_));
        let fold = if due.is_some() && !allowed_when_due {
            Err("conditions had lapsed by then".to_owned())
        } else {
            self.take(event, at)
        };
        fold.map_err(|why| Impossible { number, why })?;
        self.events = number;
        self.tick(event, at, waited);
        Ok(())
    }

    /// Whether conditions lapse at this moment, and why: half an hour without a key press, or a sleep.
    #[must_use]
    pub fn due(&self, at: Moment) -> Option<Lapse> {
        if matches!(self.now, Now::NotBegun | Now::Ended(_)) {
            return None;
        }
        if self.clocks.must_lapse {
            return Some(Lapse::Slept);
        }
        if matches!(self.now, Now::Waiting(_)) {
            return None;
        }
        if at.wall_ahead(self.clocks.last).abs() > SLEPT_MS {
            return Some(Lapse::Slept);
        }
        (at.since(self.clocks.last) > IDLE_MS).then_some(Lapse::Idle)
    }

    fn tick(&mut self, event: &Event, at: Moment, waited: bool) {
        let passed = at.since(self.clocks.last);
        match event {
            Event::Begun { .. } => self.clocks.started = at,
            // Days go by with the program closed, and the forward clock stands still while a laptop sleeps.
            _ if waited => {
                let by_wall = at.wall_ms.saturating_sub(self.clocks.last.wall_ms);
                self.clocks.waited_ms += passed.max(u64::try_from(by_wall).unwrap_or(0));
            }
            Event::Resumed { .. } => {}
            _ => self.clocks.worked_ms += passed,
        }
        self.clocks.last = at;
    }

    fn take(&mut self, event: &Event, at: Moment) -> Step {
        if let Event::Begun { tree, revision, lang, walker, details } = event {
            return self.begin((tree, *revision), (lang, *walker), details, at);
        }
        if self.now == Now::NotBegun {
            return Err("the walk had not begun".to_owned());
        }
        if let Event::Note { step, .. } | Event::OwnReading { step, .. } | Event::Repaired { step, .. } =
            event
            && step != self.step_id()
        {
            return Err(format!("the walk was at {}, not at {step}", self.step_id()));
        }
        match event {
            Event::Details { details } => self.details = details.clone(),
            Event::Note { step, text } => {
                self.notes.push(NoteMade { step: step.clone(), at, text: text.clone() });
            }
            Event::OwnReading { step, own } => {
                self.own_situations.push(self.situation());
                self.own.push((step.clone(), at, self.round, own.clone()));
            }
            Event::CodeLeft { code } => {
                self.no_codes = false;
                self.codes.push(code.clone());
            }
            Event::NoCodeLeft => self.no_codes = self.codes.is_empty(),
            Event::Left { text } => self.left.push((at, text.clone())),
            Event::Repaired { sheet, .. } => self.said_of_repair(sheet),
            Event::Resumed { .. } => self.lapse(Lapse::Resumed, at),
            _ if matches!(self.now, Now::Ended(_)) => return Err("the job had ended".to_owned()),
            Event::Stayed | Event::Lapsed { .. } | Event::Waits { .. } | Event::StillSo => {
                return self.pause(event, at);
            }
            _ if matches!(self.now, Now::Waiting(_)) => return Err("the job was waiting".to_owned()),
            _ => return self.walked(event, at),
        }
        Ok(())
    }

    fn begin(
        &mut self,
        (tree, revision): (&str, u32),
        (lang, walker): (&str, super::event::Walker),
        details: &super::event::Details,
        at: Moment,
    ) -> Step {
        if self.now != Now::NotBegun {
            return Err("the walk had begun already".to_owned());
        }
        let here = self.course.tree();
        if here.id != tree || here.revision != revision {
            return Err(format!(
                "it is of the tree {tree}, revision {revision}; this is {} {}",
                here.id, here.revision
            ));
        }
        let start = here.start;
        lang.clone_into(&mut self.lang);
        self.walker = walker;
        self.details = details.clone();
        self.clocks.last = at;
        self.arrive(start, at);
        Ok(())
    }

    fn pause(&mut self, event: &Event, at: Moment) -> Step {
        match (event, &self.now) {
            (Event::Waits { why }, now) if !matches!(now, Now::Waiting(_)) => {
                if !why.is_empty() {
                    let step = self.step_id().to_owned();
                    self.notes.push(NoteMade { step, at, text: format!("Waits: {why}") });
                }
                self.waits.push((at, why.clone()));
                self.undo_open();
                self.now = Now::Waiting(Box::new(self.now.clone()));
            }
            (Event::Stayed, Now::Waiting(inner)) => {
                self.clocks.must_lapse = at.wall_ahead(self.clocks.last).abs() > SLEPT_MS;
                self.now = (**inner).clone();
                if let Some(ix) = self.step_ix() {
                    self.go_on_at(ix, at);
                }
            }
            (Event::StillSo, now) if !matches!(now, Now::Waiting(_)) => {}
            (Event::Lapsed { cause: Lapse::LeftIt }, Now::Waiting(_)) => self.lapse(Lapse::LeftIt, at),
            (Event::Lapsed { cause }, now) if !matches!(now, Now::Waiting(_)) => self.lapse(*cause, at),
            _ => return Err("it fits neither a wait nor a walk".to_owned()),
        }
        Ok(())
    }

    fn lapse(&mut self, cause: Lapse, at: Moment) {
        let course = self.course.clone();
        self.clocks.must_lapse = false;
        self.checked = None;
        self.redone.clear();
        self.lapses.push((at, cause));
        self.undo_open();
        self.state.lapse(course.vocabulary());
        self.cab = None;
        if cause == Lapse::Resumed {
            self.ask_how_it_stands();
        }
        if let Some(ix) = self.step_ix() {
            self.go_on_at(ix, at);
        }
    }

    /// Takes up again where the walk was, through whatever is not in force any more.
    fn go_on_at(&mut self, ix: StepIx, at: Moment) {
        let mut now = &self.now;
        while let Now::Waiting(inner) = now {
            now = inner;
        }
        match now {
            Now::Gate(AtGate { why: WhyGate::NoWay, .. }) => self.guard(ix, at),
            Now::Stands(_) => self.now = Now::Stands(ix),
            _ => self.arrive(ix, at),
        }
    }

    fn walked(&mut self, event: &Event, at: Moment) -> Step {
        match event {
            Event::Answered { step, answer } => self.answered(step, answer, at),
            Event::Read { step, reading, band, edges, decided } => {
                let ix = self.at_step(step)?;
                let Kind::Read(read) = &self.course.tree().step(ix).kind else {
                    return Err(format!("{step} is not read"));
                };
                if *band >= read.bands.len() || reading.measure() != read.measure {
                    return Err(format!("{step} has no such band or reading"));
                }
                let lies = match (decided, self.band_of(read, reading)) {
                    (None, Ok((found, _))) => found == *band,
                    (Some(why), Err(Declined::TooClose(chances))) => {
                        !why.trim().is_empty() && chances.iter().any(|c| c.band == *band)
                    }
                    _ => false,
                };
                if !lies {
                    return Err(format!("the reading at {step} does not lie in that band"));
                }
                let (reading, edges, decided) = (reading.clone(), edges.clone(), decided.clone());
                self.leave(ix, *band, Outcome::Read { reading, band: *band, edges, decided }, at);
                Ok(())
            }
            Event::Stands { step, cab } => self.stands(step, *cab, at),
            Event::Done { step, sheet } => {
                let ix = self.at_step(step)?;
                if !matches!(self.course.tree().step(ix).kind, Kind::Do(_) | Kind::Find(_)) {
                    return Err(format!("{step} is not something to do"));
                }
                self.mended(ix, sheet)?;
                self.leave(ix, 0, Outcome::Done, at);
                Ok(())
            }
            Event::Item { .. } => self.item(event, at),
            Event::Cannot { step, why } => self.cannot(step, why, at),
            Event::Back { step } => self.back(step, at),
            Event::Jump { step } => self.jump(step, at),
            Event::Ended { step, how } => self.end(step, *how, at),
            _ => Err("it is out of place".to_owned()),
        }
    }

    fn answered(&mut self, step: &str, answer: &str, at: Moment) -> Step {
        let ix = self.at_step(step)?;
        let answers = match &self.course.tree().step(ix).kind {
            Kind::Ask(ask) => &ask.answers,
            Kind::Look(look) => &look.answers,
            _ => return Err(format!("{step} asks nothing")),
        };
        let way = answers
            .iter()
            .position(|a| a.id == answer)
            .ok_or_else(|| format!("{step} has no answer {answer}"))?;
        self.leave(ix, way, Outcome::Answer(way), at);
        Ok(())
    }

    fn item(&mut self, event: &Event, at: Moment) -> Step {
        let Event::Item { step, gate, item, by, reading } = event else { return Err("no item".to_owned()) };
        if let Now::Check(ix, live) = self.now {
            if self.course.tree().step(ix).id != *step
                || *item != live
                || gate != DRIVE
                || by.trim().is_empty()
            {
                return Err("another item was live".to_owned());
            }
            if live + 1 < Self::drive_items().len() {
                self.now = Now::Check(ix, live + 1);
            } else {
                self.checked = Some(ix);
                self.arrive(ix, at);
            }
            return Ok(());
        }
        let Now::Gate(here) = self.now else { return Err("no gate was open".to_owned()) };
        let course = self.course.clone();
        let items = self.gate_items(here.gate, here.step, here.why);
        let live = items.get(here.item).ok_or("the gate had no item left")?;
        let fits = course.tree().step(here.step).id == *step && here.gate.name(course.vocabulary()) == gate;
        if !fits || *item != here.item {
            return Err(format!(
                "item {} of {} was live",
                here.item + 1,
                here.gate.name(course.vocabulary())
            ));
        }
        if by.trim().is_empty() {
            return Err("nobody confirmed it".to_owned());
        }
        match (live.confirm, reading) {
            (Confirm::Typed(which), Some(reading)) => super::accept::shows_dead(which, reading)?,
            (Confirm::Typed(_), None) => return Err("its reading is missing".to_owned()),
            (_, Some(_)) => return Err("no reading belongs to it".to_owned()),
            (_, None) => {}
        }
        if let Some(log) = self.gates.last_mut() {
            log.confirmed.push(Confirmed { item: *item, at, by: by.clone(), reading: reading.clone() });
        }
        if here.item + 1 == items.len() {
            self.pass_gate(at);
        } else {
            self.now = Now::Gate(AtGate { item: here.item + 1, ..here });
        }
        Ok(())
    }

    fn cannot(&mut self, step: &str, why: &str, at: Moment) -> Step {
        match self.now {
            Now::Gate(here) if self.course.tree().step(here.step).id == step => {
                if here.why == WhyGate::NoWay {
                    return Err("this is the last guard; there is nothing after it".to_owned());
                }
                let course = self.course.clone();
                let deed = crate::safety::Deed::Gate(here.gate);
                let lost = crate::safety::changes_on_cannot(&deed, course.vocabulary());
                self.state.apply_all(&lost, course.vocabulary());
                if let Some(log) = self.gates.last_mut() {
                    log.cannot = Some(why.to_owned());
                }
                let own = here.why == WhyGate::Own && course.tree().step(here.step).cannot.is_some();
                if own {
                    self.leave_by_cannot(here.step, why, at);
                } else {
                    self.guard(here.step, at);
                }
                Ok(())
            }
            Now::Check(ix, _) if self.course.tree().step(ix).id == step => {
                self.leave_by_cannot(ix, why, at);
                Ok(())
            }
            Now::Stands(ix) if self.course.tree().step(ix).id == step => {
                self.guard(ix, at);
                Ok(())
            }
            _ => {
                let ix = self.at_step(step)?;
                if matches!(self.course.tree().step(ix).kind, Kind::Find(_) | Kind::Close(_) | Kind::Refer(_))
                {
                    return Err(format!("there is no cannot at {step}"));
                }
                self.leave_by_cannot(ix, why, at);
                Ok(())
            }
        }
    }

    fn back(&mut self, step: &str, at: Moment) -> Step {
        let ix = self.known(step)?;
        self.not_asked_first()?;
        let visit = self
            .visits
            .iter()
            .rposition(|v| v.step == ix && v.round == self.round)
            .ok_or_else(|| format!("{step} had not been visited in this round"))?;
        if self.is_guarding() {
            return Err("the machine was being guarded".to_owned());
        }
        self.forget_redo();
        self.undo_gates_since(visit);
        self.undo_open();
        self.mark_left(Outcome::Left, at);
        self.arrive(ix, at);
        Ok(())
    }

    fn jump(&mut self, step: &str, at: Moment) -> Step {
        let ix = self.known(step)?;
        self.not_asked_first()?;
        if self.is_guarding() {
            return Err("the machine was being guarded".to_owned());
        }
        if matches!(self.course.tree().step(ix).kind, Kind::Find(_) | Kind::Close(_)) {
            return Err(format!("{step} has to be come to"));
        }
        self.forget_redo();
        self.undo_open();
        self.mark_left(Outcome::Left, at);
        self.jumped = true;
        self.arrive(ix, at);
        Ok(())
    }

    pub(super) fn is_guarding(&self) -> bool {
        matches!(self.now, Now::Gate(AtGate { why: WhyGate::NoWay, .. }))
    }

    fn end(&mut self, step: &str, how: EndedAs, at: Moment) -> Step {
        let ix = self.at_step(step)?;
        let fits = match &self.course.tree().step(ix).kind {
            Kind::Close(close) => how == EndedAs::Closed(close.how),
            Kind::Refer(_) => how == EndedAs::Referred,
            _ => false,
        };
        if !fits {
            return Err(format!("{step} does not end the job so"));
        }
        self.mark_left(Outcome::Done, at);
        self.now = Now::Ended(how);
        Ok(())
    }

    fn known(&self, step: &str) -> Result<StepIx, String> {
        self.course.tree().find(step).ok_or_else(|| format!("there is no step {step}"))
    }

    fn at_step(&self, step: &str) -> Result<StepIx, String> {
        match self.now {
            Now::Step(ix) if self.course.tree().step(ix).id == step => Ok(ix),
            _ => Err(format!("the walk was at {}, not at {step}", self.step_id())),
        }
    }
}

/// The name under which the item before driving is kept.
pub(super) const DRIVE: &str = "before-driving";
