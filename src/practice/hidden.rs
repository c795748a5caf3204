//! Which faults can be hidden for a tree, and the drawing of one: by share, by an instructor's word, or by level.
//!
//! A severity is drawn evenly by its logarithm between two neighbouring knots of the fault, until the machine shows the
//! symptom with it; never from the belief's own mixture.

use std::collections::HashSet;

use super::dice::Dice;
use crate::machine::{Behaviour, Day, FaultId, FaultKind, Hides, Knot, Machine, Symptom};
use crate::tree::{Kind, Shows, Tree};

/// How often a severity is drawn anew before a knot itself is taken.
const TRIES: usize = 12;

/// Which faults are drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Level {
    /// The commonest: those that make up the first half of all shares, at their usual severity.
    Common,
    /// Any that a find of the tree names, by share.
    #[default]
    Any,
    /// What is rare, comes and goes, hides under load or stands in no find; all as likely.
    Rare,
}

impl Level {
    /// Every level with its word.
    pub const ALL: [(&'static str, Self); 3] =
        [("common", Self::Common), ("any", Self::Any), ("rare", Self::Rare)];

    /// The level of this word.
    #[must_use]
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|(name, _)| *name == word).map(|(_, level)| level)
    }
}

/// A fault that can be hidden.
#[derive(Debug, Clone, PartialEq)]
struct Candidate {
    fault: FaultId,
    /// Its share, as far as its severities show the symptom.
    share: f64,
    /// The severities that do.
    severities: Vec<f64>,
    is_named: bool,
    hides: bool,
}

/// The faults that show a tree's symptom.
#[derive(Debug, Clone, PartialEq)]
pub struct Pool {
    candidates: Vec<Candidate>,
}

impl Pool {
    /// Every fault of the machine that shows the symptom of the tree at some severity; what comes and goes, while it
    /// shows.
    #[must_use]
    pub fn of(tree: &Tree, machine: &Machine) -> Self {
        let day = machine.day(crate::machine::Today::default());
        let symptom = symptom(tree, machine);
        let dictionary = day.dictionary();
        let named: HashSet<FaultId> = named(tree, machine);
        let mut candidates: Vec<Candidate> = Vec::new();
        for entry in dictionary.showing(&symptom) {
            let (fault, severity) = (entry.knot.fault, entry.knot.severity);
            match candidates.last_mut().filter(|last| last.fault == fault) {
                Some(last) => {
                    last.share += entry.share;
                    last.severities.push(severity);
                }
                None => candidates.push(Candidate {
                    fault,
                    share: entry.share,
                    severities: vec![severity],
                    is_named: named.contains(&fault),
                    hides: matches!(machine.fault(fault).kind, FaultKind::Intermittent(_)),
                }),
            }
        }
        Self { candidates }
    }

    /// As [`Pool::of`], with those told that hide under load: slower, and only [`Level::Rare`] asks for it.
    #[must_use]
    pub fn with_hidden(tree: &Tree, machine: &Machine) -> Self {
        let mut pool = Self::of(tree, machine);
        let survey = machine.day(crate::machine::Today::default()).survey();
        for (fault, _) in survey.hidden.iter().filter(|(_, how)| *how == Hides::Loaded) {
            if let Some(candidate) = pool.candidates.iter_mut().find(|c| c.fault == *fault) {
                candidate.hides = true;
            }
        }
        pool
    }

    /// The faults that can be hidden.
    pub fn faults(&self) -> impl Iterator<Item = FaultId> + '_ {
        self.candidates.iter().map(|candidate| candidate.fault)
    }

    /// Draws a fault at this level; `None` if none shows the symptom.
    #[must_use]
    pub fn draw(&self, level: Level, dice: &mut Dice) -> Option<FaultId> {
        let weights: Vec<f64> = match level {
            Level::Any => self.candidates.iter().map(|c| if c.is_named { c.share } else { 0.0 }).collect(),
            Level::Common => self.common(),
            Level::Rare => {
                let usual = self.common();
                let rare = |(c, usual): (&Candidate, &f64)| {
                    let is_rare = c.hides || !c.is_named || *usual == 0.0;
                    if is_rare { 1.0 } else { 0.0 }
                };
                self.candidates.iter().zip(&usual).map(rare).collect()
            }
        };
        let all = || self.candidates.iter().map(|c| c.share);
        let at = dice.weighed(weights.iter().copied()).or_else(|| dice.weighed(all()))?;
        Some(self.candidates[at].fault)
    }

    /// The shares of those that make up the first half of all, named ones only; of the others nothing.
    fn common(&self) -> Vec<f64> {
        let mut order: Vec<usize> =
            (0..self.candidates.len()).filter(|at| self.candidates[*at].is_named).collect();
        order.sort_by(|a, b| self.candidates[*b].share.total_cmp(&self.candidates[*a].share));
        let total: f64 = order.iter().map(|at| self.candidates[*at].share).sum();
        let mut weights = vec![0.0; self.candidates.len()];
        let mut sum = 0.0;
        for at in order {
            if sum >= total / 2.0 {
                break;
            }
            sum += self.candidates[at].share;
            weights[at] = self.candidates[at].share;
        }
        weights
    }

    /// A severity for a fault, evenly by its logarithm between two neighbouring knots, with which this very machine
    /// shows the symptom; `None` if the fault never does.
    #[must_use]
    pub fn severity(
        &self,
        fault: FaultId,
        level: Level,
        (tree, day): (&Tree, &Day<'_>),
        dice: &mut Dice,
    ) -> Option<Knot> {
        let candidate = self.candidates.iter().find(|c| c.fault == fault)?;
        let own = day.machine().fault(fault);
        let symptom = symptom(tree, day.machine());
        let shows = |severity: f64| {
            let steady = match own.kind {
                FaultKind::Intermittent(steady) => {
                    Knot { fault: steady, severity: day.machine().fault(steady).nominal }
                }
                _ => Knot { fault, severity },
            };
            day.case(&[steady]).shows(&symptom)
        };
        if level == Level::Common && shows(own.nominal) {
            return Some(Knot { fault, severity: own.nominal });
        }
        let mut knots = own.spread.clone();
        knots.sort_by(f64::total_cmp);
        for _ in 0..TRIES {
            let severity = between_knots(&knots, dice).unwrap_or(own.nominal);
            if shows(severity) {
                return Some(Knot { fault, severity });
            }
        }
        let known = candidate.severities[dice.one_of(candidate.severities.len())];
        shows(known).then_some(Knot { fault, severity: known })
    }
}

/// Evenly by the logarithm between two neighbouring knots, each pair as likely.
fn between_knots(knots: &[f64], dice: &mut Dice) -> Option<f64> {
    let (first, rest) = knots.split_first()?;
    if rest.is_empty() || *first <= 0.0 {
        return Some(knots[dice.one_of(knots.len())]);
    }
    let pair = dice.one_of(rest.len());
    Some(dice.between(knots[pair].ln(), knots[pair + 1].ln()).exp())
}

/// The tree's symptom in the machine's terms.
pub(super) fn symptom(tree: &Tree, machine: &Machine) -> Symptom {
    let behaviour = |shows: &Shows| match shows {
        Shows::Works => Behaviour::Works,
        Shows::Fails => Behaviour::Fails,
        Shows::Unheld => Behaviour::Unheld,
    };
    let known = |(name, shows): &(String, Shows)| Some((machine.function(name)?, behaviour(shows)));
    Symptom(tree.symptom.iter().filter_map(known).collect())
}

/// The faults that finds of the tree name.
fn named(tree: &Tree, machine: &Machine) -> HashSet<FaultId> {
    let finds = tree.steps.iter().filter_map(|step| match &step.kind {
        Kind::Find(find) => Some(find),
        _ => None,
    });
    finds.flat_map(|find| find.faults.iter().filter_map(|name| machine.fault_named(name))).collect()
}
