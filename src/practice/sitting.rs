//! One sitting of an apprentice at the machine in the yard: what is said goes into a log like that of a job, and the
//! machine answers by itself.
//!
//! Plain mode and screen drive the same few functions. The time is that of the tree and the machine; the wall clock is
//! asked once, when the sitting begins.

use super::bench::Bench;
use super::debrief::Debrief;
use super::dice::Dice;
use super::session::{Practice, machine_answers, moment_of};
use super::specimen::Specimen;
use super::typed::typed;
use crate::job::{Disk, Holder, JobPlace, Kept, RecordFault, Recorded, Recovered, read_journal};
use crate::safety::Words;
use crate::tree::{BandKind, Kind, Walkable};
use crate::units::{BandChance, Reading};
use crate::walk::{Declined, Event, Input, Moment, Now, Walk, band_words};

const fn say(en: &'static str, es: &'static str) -> Words {
    Words { en, es }
}

const SAYS_NOTHING: Words =
    say("the machine says nothing here; say cannot", "la máquina no dice nada aquí; diga no-puedo");
const NOT_NOW: Words = say("nothing can be measured now", "ahora no se puede medir nada");
const NO_SETUP: Words = say(
    "no such setup: the controls do not go with the power",
    "no es posible: los mandos no van con la alimentación que hay",
);
pub(super) const YOU_READ: Words = say("You read", "Usted lee");
const YOU_SEE: Words = say("You see", "Usted ve");
const OPERATOR_SAYS: Words = say("The operator says", "El operador dice");
const SO_FAR: Words = say("so far", "hasta ahora");

/// What came of something said.
#[derive(Debug, Clone, PartialEq)]
pub enum Heard {
    /// It was taken; what the machine said to it, if it did.
    Taken(Option<String>),
    /// The meter shows something too close to an edge: as shown, and how likely each band is.
    TooClose(String, Vec<BandChance>),
    /// It was not taken, and why.
    NotTaken(String),
    /// It was unsafe: stopped and told, line by line.
    Stopped(Vec<String>),
}

/// A sitting.
#[derive(Debug)]
pub struct Sitting {
    course: Walkable,
    recorded: Recorded,
    specimen: Specimen,
    practice: Practice,
    /// Why this machine came again, to be told afterwards.
    again: Option<String>,
    shown: bool,
}

impl Sitting {
    /// Begins: the log is on the disk with its first line.
    ///
    /// # Errors
    /// When the log cannot be written.
    pub fn begin(
        course: &Walkable,
        (place, holder): (&JobPlace, &Holder),
        lang: &str,
        specimen: Specimen,
        dice: Dice,
    ) -> Result<Self, RecordFault> {
        let begun = specimen.opening(course.tree(), lang);
        let recorded = Recorded::begin(course, place, &begun, holder)?;
        Ok(Self {
            course: course.clone(),
            recorded,
            specimen,
            practice: Practice::new(dice),
            again: None,
            shown: false,
        })
    }

    /// Says why this machine came again.
    #[must_use]
    pub fn because(self, again: Option<String>) -> Self {
        Self { again, ..self }
    }

    /// The walk as far as it has come.
    #[must_use]
    pub const fn walk(&self) -> &Walk {
        self.recorded.walk()
    }

    /// The tree.
    #[must_use]
    pub const fn course(&self) -> &Walkable {
        &self.course
    }

    /// Where the log lies.
    #[must_use]
    pub fn place(&self) -> &JobPlace {
        self.recorded.place()
    }

    /// The machine in the yard.
    #[must_use]
    pub const fn specimen(&self) -> &Specimen {
        &self.specimen
    }

    /// What is known from the start, in a line.
    #[must_use]
    pub fn known(&self) -> String {
        let details = self.specimen.details();
        let celsius = details.celsius.map_or(20.0, crate::units::Celsius::value);
        let (volts, meter) = (self.specimen.battery(), self.specimen.meter());
        if self.walk().lang().code() == "es" {
            return format!("Batería {volts}, {celsius:.0} °C, medidor {meter}.");
        }
        format!("Battery {volts}, {celsius:.0} °C, meter {meter}.")
    }

    /// True where the machine answers by itself.
    #[must_use]
    pub fn machine_answers(&self) -> bool {
        machine_answers(self.walk())
    }

    /// True once the walk is over, or the apprentice has asked to be shown.
    #[must_use]
    pub fn is_over(&self) -> bool {
        self.shown || matches!(self.walk().now(), Now::Ended(_))
    }

    /// Gives up, or stops at the finding: nothing more is asked.
    pub fn show(&mut self) {
        self.shown = true;
    }

    /// Lets the machine answer where it does so by itself.
    ///
    /// # Errors
    /// When the log cannot be written.
    pub fn ask(&mut self, by: &str) -> Result<Heard, RecordFault> {
        let course = &self.course;
        let input = {
            let day = self.specimen.day();
            let bench = Bench::new(&self.specimen, &day, (course.tree(), course.vocabulary()));
            self.practice.says(self.recorded.walk(), &self.specimen, &bench, by)
        };
        let Some(input) = input else {
            return Ok(self.not_taken(SAYS_NOTHING));
        };
        let told = told(self.walk(), &input);
        match self.say(input.clone())? {
            Heard::Taken(_) => Ok(Heard::Taken(Some(told))),
            other => Ok(other),
        }
    }

    /// A measurement of the apprentice's own, on one line.
    ///
    /// # Errors
    /// When the log cannot be written.
    pub fn measure(&mut self, line: &str) -> Result<Heard, RecordFault> {
        let reading = match typed(line, self.specimen.machine()) {
            Ok(reading) => reading,
            Err(error) => return Ok(Heard::NotTaken(error.in_lang(&self.walk().lang()))),
        };
        if !matches!(self.walk().now(), Now::Step(_) | Now::Gate(_) | Now::Check(..)) {
            return Ok(self.not_taken(NOT_NOW));
        }
        let course = &self.course;
        let measured = {
            let day = self.specimen.day();
            let bench = Bench::new(&self.specimen, &day, (course.tree(), course.vocabulary()));
            let yard = (&self.specimen, &bench);
            self.practice.measures(self.recorded.walk(), yard, &reading, line)
        };
        let own = match measured {
            Ok(Some(own)) => own,
            Ok(None) => {
                return Ok(self.not_taken(NO_SETUP));
            }
            Err(stopped) => return Ok(Heard::Stopped(stopped.lines(&self.walk().lang()))),
        };
        let shown = own.reading.to_string();
        let before = self.walk().minutes_worked();
        Ok(match self.say(Input::Own(own))? {
            Heard::Taken(_) => {
                let so_far = self.walk().minutes_worked();
                let took = so_far - before;
                let lang = self.walk().lang();
                let [read, total] = [YOU_READ, SO_FAR].map(|words| words.in_lang(&lang));
                Heard::Taken(Some(format!("{read} {shown}. {took:.0} min; {so_far:.0} {total}.")))
            }
            other => other,
        })
    }

    fn not_taken(&self, why: Words) -> Heard {
        Heard::NotTaken(why.in_lang(&self.walk().lang()).to_owned())
    }

    /// Says something to the walk; its minutes are those of the tree.
    ///
    /// # Errors
    /// When the log cannot be written.
    pub fn say(&mut self, input: Input) -> Result<Heard, RecordFault> {
        let (at, still) = moment_of(self.walk(), &input);
        for input in still.into_iter().chain([input]) {
            let typed = match &input {
                Input::Reading(typed) => typed.clone(),
                _ => String::new(),
            };
            match self.recorded.say(input, at)? {
                Ok(()) => {}
                Err(Declined::TooClose(chances)) => return Ok(Heard::TooClose(typed, chances)),
                Err(declined) => return Ok(Heard::NotTaken(declined.in_lang(&self.walk().lang()))),
            }
        }
        Ok(Heard::Taken(None))
    }

    /// The debrief, from the log as it lies on the disk; what was hidden is noted there.
    ///
    /// # Errors
    /// When the log cannot be read or written.
    pub fn debrief(&mut self) -> Result<Debrief, RecordFault> {
        let found: Recovered<Kept> = read_journal(&Disk, self.recorded.place())?;
        let events: Vec<(Moment, Event)> =
            found.records.iter().map(|record| (record.at, record.event.event().clone())).collect();
        let debrief = Debrief::of(self, &events);
        let text = format!("Practice: {}", debrief.what);
        let note = Event::Note { step: self.walk().step_id().to_owned(), text };
        let at = self.walk().last();
        self.recorded.record(&note, at)?;
        Ok(debrief)
    }

    /// What was tried and stopped.
    #[must_use]
    pub const fn practice(&self) -> &Practice {
        &self.practice
    }

    /// Why this machine came again.
    #[must_use]
    pub fn again(&self) -> Option<&str> {
        self.again.as_deref()
    }
}

/// What the machine, or whoever stands at it, says in words.
fn told(walk: &Walk, input: &Input) -> String {
    let Some(ix) = walk.step_ix() else { return String::new() };
    let step = walk.course().tree().step(ix);
    let lang = walk.lang();
    match (input, &step.kind) {
        (Input::Answer(id), Kind::Ask(ask)) => {
            let text = ask.answers.iter().find(|a| a.id == *id).map_or("", |a| a.text.in_lang(&lang));
            let who = if ask.phone { OPERATOR_SAYS } else { YOU_SEE }.in_lang(&lang);
            format!("{who}: {text}")
        }
        (Input::Answer(id), Kind::Look(look)) => {
            let text = look.answers.iter().find(|a| a.id == *id).map_or("", |a| a.text.in_lang(&lang));
            format!("{}: {text}", YOU_SEE.in_lang(&lang))
        }
        (Input::Reading(typed), Kind::Read(read)) => {
            let reading = Reading::parse(typed, read.measure.unit());
            format!(
                "{} {}",
                YOU_READ.in_lang(&lang),
                reading.map_or_else(|_| typed.clone(), |r| r.to_string())
            )
        }
        (Input::Confirm { typed: Some(typed), .. }, _) => {
            format!("{} {typed}", YOU_READ.in_lang(&lang))
        }
        _ => String::new(),
    }
}

/// What the last reading meant, by the band that it fell in.
#[must_use]
pub fn last_band(walk: &Walk) -> Option<String> {
    let visit = walk.visits().iter().rev().find(|v| v.left.is_some())?;
    let crate::walk::Outcome::Read { band, .. } = visit.outcome else { return None };
    let Kind::Read(read) = &walk.course().tree().step(visit.step).kind else { return None };
    let band = read.bands.get(band)?;
    let range = match &band.kind {
        BandKind::Range(range) => band_words(*range, &walk.lang()),
        BandKind::Like(_) => String::new(),
    };
    let means = band.means.as_ref().map_or("", |t| t.in_lang(&walk.lang()));
    Some([range.as_str(), means].into_iter().filter(|t| !t.is_empty()).collect::<Vec<_>>().join(", "))
}
