//! What the machine in the yard answers: to who looks, who asks, and who holds a meter to it.
//!
//! A reading is off by anything within the meter's limit of error, all as likely (JCGM 100:2008 4.3.7), then shown with
//! the meter's digits. An answer is taken for another one in 3 of 100; a proof, which is watched twice, never.

use super::dice::Dice;
use super::specimen::Specimen;
use crate::machine::{Case, Day, FaultId, FaultKind};
use crate::reason::{Foretold, Outlook, Situation};
use crate::safety::Vocabulary;
use crate::tree::{BandKind, Kind, Read, Step, StepIx, Tree};
use crate::units::{Amount, Measure, Meter, Reading, Unit};

/// How often a person takes one answer for another.
const MISREAD: f64 = 0.03;
/// How often what comes and goes shows while it is moved, or was there when somebody tried.
const SHOWS: f64 = 0.5;

/// Whether the fault is still in the machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Health {
    /// It is.
    #[default]
    Faulty,
    /// It was put right.
    Mended,
}

/// Whether readings are off and people misread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Chance {
    AsItIs,
    Exact,
}

/// A specimen, ready to be asked.
pub struct Bench<'a> {
    tree: &'a Tree,
    outlook: Outlook<'a, 'a>,
    meter: Meter,
    /// Whether anything is left to chance.
    chance: Chance,
    hidden: FaultId,
    faulty: Case<'a, 'a>,
    /// Of what comes and goes: the machine while it shows.
    shown: Option<Case<'a, 'a>>,
    healthy: Case<'a, 'a>,
    misread: f64,
}

impl<'a> Bench<'a> {
    /// Puts the fault in and tries every function, as the operator has.
    #[must_use]
    pub fn new(
        specimen: &'a Specimen,
        day: &'a Day<'a>,
        (tree, vocabulary): (&'a Tree, &'a Vocabulary),
    ) -> Self {
        let (machine, knot) = (day.machine(), specimen.hidden());
        let shown = match machine.fault(knot.fault).kind {
            FaultKind::Intermittent(steady) => Some(day.case(&[machine.knot(steady, None)])),
            _ => None,
        };
        Self {
            tree,
            outlook: Outlook::new(tree, day, vocabulary, specimen.meter()),
            meter: specimen.meter(),
            chance: Chance::AsItIs,
            hidden: knot.fault,
            faulty: day.case(&[knot]),
            shown,
            healthy: day.healthy(),
            misread: MISREAD,
        }
    }

    /// The same, with a meter that is never off and people who never misread; what comes and goes shows.
    #[must_use]
    pub fn exact(self) -> Self {
        Self { chance: Chance::Exact, ..self }
    }

    fn happens(&self, probability: f64, dice: &mut Dice) -> bool {
        match self.chance {
            Chance::AsItIs => dice.happens(probability),
            Chance::Exact => probability >= SHOWS,
        }
    }

    /// The same, asked by people who never take one answer for another.
    #[must_use]
    pub fn without_misreading(self) -> Self {
        Self { misread: 0.0, ..self }
    }

    /// The machine as it is now; of what comes and goes, as it is while nothing shows.
    pub(super) fn case(&self, health: Health) -> &Case<'a, 'a> {
        match health {
            Health::Faulty => &self.faulty,
            Health::Mended => &self.healthy,
        }
    }

    fn case_shown(&self, health: Health, dice: &mut Dice) -> &Case<'a, 'a> {
        match (&self.shown, health) {
            (Some(shown), Health::Faulty) if self.happens(SHOWS, dice) => shown,
            _ => self.case(health),
        }
    }

    /// The answer that a person gives to an `ask` or `look`, by its place; `None` at other steps.
    #[must_use]
    pub fn answer(&self, ix: StepIx, now: &Situation, health: Health, dice: &mut Dice) -> Option<usize> {
        let (count, is_proof) = match &self.tree.step(ix).kind {
            Kind::Ask(ask) => (ask.answers.len(), ask.proof.is_some()),
            Kind::Look(look) => (look.answers.len(), false),
            _ => return None,
        };
        let case = if is_proof { self.case(health) } else { self.case_shown(health, dice) };
        let ways = match self.outlook.foretell(ix, now, case) {
            Foretold::Ways(ways) if !ways.is_empty() => ways,
            _ => self.likely_ways(ix, health, count),
        };
        let truth = ways[dice.one_of(ways.len())];
        let misread = !is_proof && count > 1 && self.happens(self.misread, dice);
        Some(if misread { (truth + 1 + dice.one_of(count - 1)) % count } else { truth })
    }

    /// Where the model has no say: the answers behind which a find names what is wrong, or all of them.
    fn likely_ways(&self, ix: StepIx, health: Health, count: usize) -> Vec<usize> {
        let targets = self.tree.step(ix).targets();
        let towards = |way: &usize| self.outlook.leads_to(targets[*way], self.hidden);
        let ways: Vec<usize> = match health {
            Health::Faulty => (0..count).filter(towards).collect(),
            Health::Mended => (0..count).filter(|way| !towards(way)).collect(),
        };
        if ways.is_empty() { (0..count).collect() } else { ways }
    }

    /// What the meter shows at a `read` step; `None` where the model cannot tell.
    #[must_use]
    pub fn reading(&self, ix: StepIx, now: &Situation, health: Health, dice: &mut Dice) -> Option<Reading> {
        self.read_at(self.tree.step(ix), Some(ix), now, health, dice)
    }

    /// What the meter shows at a reading that is no step of the tree.
    #[must_use]
    pub fn reading_of(
        &self,
        step: &Step,
        now: &Situation,
        health: Health,
        dice: &mut Dice,
    ) -> Option<Reading> {
        self.read_at(step, None, now, health, dice)
    }

    fn read_at(
        &self,
        step: &Step,
        ix: Option<StepIx>,
        now: &Situation,
        health: Health,
        dice: &mut Dice,
    ) -> Option<Reading> {
        let Kind::Read(read) = &step.kind else { return None };
        let values = |case: &Case<'a, 'a>| match ix {
            Some(ix) => self.outlook.true_values(ix, now, case),
            None => self.outlook.true_values_of(step, now, case),
        };
        // What comes and goes already shows in the model while its place is moved.
        let moved = !read.while_moves.is_empty();
        let case = match health {
            Health::Faulty if moved && self.shown.is_some() && !self.happens(SHOWS, dice) => &self.healthy,
            _ => self.case(health),
        };
        match values(case) {
            Some(values) => self.shown_by_meter(&values, read.measure.unit(), dice),
            None => self.within_a_band(ix?, read, health, dice),
        }
    }

    /// Where the model has no say (a gauge, a clock): a reading within one of the bands behind which a find names what
    /// is wrong.
    fn within_a_band(&self, ix: StepIx, read: &Read, health: Health, dice: &mut Dice) -> Option<Reading> {
        let ways = self.likely_ways(ix, health, read.bands.len());
        let BandKind::Range(band) = &read.bands[ways[dice.one_of(ways.len())]].kind else { return None };
        let unit = band.unit();
        let value = match (band.from(), band.to()) {
            (Some(from), Some(to)) => f64::midpoint(from.value(), to.value()),
            (Some(from), None) => from.value() * 1.3 + 0.1,
            (None, Some(to)) => to.value() * 0.5,
            (None, None) => return Reading::parse("jumps", unit).ok(),
        };
        self.meter.shown(Amount::new(unit, value))
    }

    fn shown_by_meter(&self, values: &[Option<Amount>], unit: Unit, dice: &mut Dice) -> Option<Reading> {
        match values {
            [value] => self.noisy(*value, unit, dice),
            [first, .., last] => {
                let mut end = |value: &Option<Amount>| Some(self.noisy(*value, unit, dice)?.to_string());
                let text = format!("{}..{}", ascii(&end(first)?), ascii(&end(last)?));
                Reading::parse(&text, unit).ok()
            }
            [] => None,
        }
    }

    /// A value as the meter shows it, off by anything within its limit of error.
    fn noisy(&self, value: Option<Amount>, unit: Unit, dice: &mut Dice) -> Option<Reading> {
        let Some(value) = value else { return Reading::parse("OL", unit).ok() };
        let shown = self.meter.shown(value)?;
        let Some(limit) = self.meter.limit_of_error(&shown).filter(|_| self.chance == Chance::AsItIs) else {
            return Some(shown);
        };
        let off = limit.value() * dice.between(-1.0, 1.0);
        // No meter shows less than nothing in ohms.
        let least = if value.measure() == Measure::Ohms { 0.0 } else { f64::NEG_INFINITY };
        self.meter.shown(Amount::new(value.unit(), (value.value() + off).max(least)))
    }
}

/// Without the signs that a terminal may not have.
fn ascii(text: &str) -> String {
    text.replace('−', "-").replace('Ω', "ohm").replace('µ', "u")
}
