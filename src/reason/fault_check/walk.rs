//! One fault at one severity, walked through the tree.
//!
//! A tied answer or reading goes where the model says; one too close to an edge goes both ways and the
//! worst counts; an open one goes every way, and its best and worst are kept apart: where they differ
//! in kind, what is found depends on answers that nothing holds to the truth.

use std::collections::{BTreeSet, HashMap};

use crate::machine::{Case, FaultId};
use crate::reason::costs::{step_minutes, zone_minutes};
use crate::reason::outlook::{Foretold, Outlook};
use crate::reason::situation::Situation;
use crate::tree::{Kind, StepIx, Target};

/// Beyond this many forks in a row a walk is given up as leading nowhere.
const MOST_FORKS: usize = 1_000;

/// Where a walk ends, better first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Ended {
    /// At a find that names it, with this many others.
    Named(usize),
    /// At a close or refer, or where no answer or band takes what is seen.
    NoBranch,
    /// At a find that does not name it.
    Wrong,
}

/// The best and the worst that open answers can make of it, and the mean minutes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Fate {
    pub(super) best: Ended,
    pub(super) worst: Ended,
    /// Where the worst ends.
    pub(super) end: StepIx,
    pub(super) minutes: f64,
}

/// Where the walk is: the step, what was left before it, and where the mechanic stands.
type Spot = (StepIx, Situation, Option<String>);

/// The walk of one case.
pub(super) struct Walk<'o, 'a, 'm, 'c, 'd> {
    outlook: &'o Outlook<'a, 'm>,
    case: &'c Case<'d, 'm>,
    fault: Option<FaultId>,
    known: HashMap<Spot, Fate>,
    /// Every find that it can reach.
    pub(super) finds: BTreeSet<StepIx>,
}

impl<'o, 'a, 'm, 'c, 'd> Walk<'o, 'a, 'm, 'c, 'd> {
    pub(super) fn new(outlook: &'o Outlook<'a, 'm>, case: &'c Case<'d, 'm>, fault: Option<FaultId>) -> Self {
        Self { outlook, case, fault, known: HashMap::new(), finds: BTreeSet::new() }
    }

    /// Walks from the start of the tree.
    pub(super) fn run(&mut self) -> Fate {
        self.fate((self.outlook.tree.start, Situation::default(), None), 0)
    }

    fn fate(&mut self, from: Spot, forks: usize) -> Fate {
        let mut spot = from.clone();
        let mut minutes = 0.0;
        let mut walked = 0;
        loop {
            if let Some(known) = self.known.get(&spot) {
                let fate = Fate { minutes: minutes + known.minutes, ..*known };
                return self.keep(from, fate);
            }
            minutes += self.arrive(&mut spot);
            walked += 1;
            let ended = |ended, end| Fate { best: ended, worst: ended, end, minutes };
            if let Some(end) = self.ends(spot.0) {
                return self.keep(from, ended(end, spot.0));
            }
            let targets = self.targets(&spot);
            let lost = forks > MOST_FORKS || walked > self.outlook.tree.steps.len();
            match targets.ways.as_slice() {
                _ if lost => return self.keep(from, ended(Ended::NoBranch, spot.0)),
                [] => return self.keep(from, ended(Ended::NoBranch, spot.0)),
                [only] => match self.outlook.tree.land(*only).filter(|_| *only != Target::Again) {
                    Some(next) => spot.0 = next,
                    None => return self.keep(from, ended(Ended::NoBranch, spot.0)),
                },
                _ => {
                    let fork = self.fork(&spot, &targets, forks);
                    return self.keep(from, Fate { minutes: minutes + fork.minutes, ..fork });
                }
            }
        }
    }

    fn keep(&mut self, spot: Spot, fate: Fate) -> Fate {
        self.known.insert(spot, fate);
        fate
    }

    /// The minutes of this step, with the way to its zone; then what it leaves is in force.
    fn arrive(&mut self, spot: &mut Spot) -> f64 {
        let outlook = self.outlook;
        let step = outlook.tree.step(spot.0);
        let mut minutes = step_minutes(step, outlook.vocabulary, Some(outlook.machine())).value();
        if step.zone.is_some() && step.zone != spot.2 {
            minutes += zone_minutes(step.zone.as_deref(), outlook.vocabulary).value();
            spot.2.clone_from(&step.zone);
        }
        spot.1 = spot.1.after(step, outlook.vocabulary);
        minutes
    }

    fn ends(&mut self, ix: StepIx) -> Option<Ended> {
        match &self.outlook.tree.step(ix).kind {
            Kind::Find(find) => {
                self.finds.insert(ix);
                let machine = self.outlook.machine();
                let named = find
                    .faults
                    .iter()
                    .any(|name| self.fault.is_some() && machine.fault_named(name) == self.fault);
                Some(if named { Ended::Named(find.faults.len()) } else { Ended::Wrong })
            }
            Kind::Close(_) | Kind::Refer(_) => Some(Ended::NoBranch),
            _ => None,
        }
    }

    fn targets(&self, spot: &Spot) -> Targets {
        let step = self.outlook.tree.step(spot.0);
        let mut all = step.targets();
        if step.cannot.is_some() {
            all.pop();
        }
        let (mut ways, open) = match self.outlook.foretell(spot.0, &spot.1, self.case) {
            Foretold::Ways(ways) => {
                (ways.iter().filter_map(|way| all.get(*way).copied()).collect::<Vec<_>>(), false)
            }
            Foretold::Open => (all, true),
        };
        let mut seen = Vec::new();
        ways.retain(|way| {
            let new = !seen.contains(way);
            seen.push(*way);
            new
        });
        Targets { ways, open }
    }

    fn fork(&mut self, spot: &Spot, targets: &Targets, forks: usize) -> Fate {
        let mut fates = Vec::new();
        for way in &targets.ways {
            fates.push(match self.outlook.tree.land(*way).filter(|_| *way != Target::Again) {
                Some(next) => self.fate((next, spot.1.clone(), spot.2.clone()), forks + 1),
                None => Fate { best: Ended::NoBranch, worst: Ended::NoBranch, end: spot.0, minutes: 0.0 },
            });
        }
        let count = f64::from(u32::try_from(fates.len()).unwrap_or(u32::MAX));
        let minutes = fates.iter().map(|fate| fate.minutes).sum::<f64>() / count;
        let worst = fates.iter().max_by_key(|fate| fate.worst).copied().unwrap_or(fates[0]);
        let bests = fates.iter().map(|fate| fate.best);
        let best = if targets.open { bests.min() } else { bests.max() }.unwrap_or(worst.best);
        Fate { best, minutes, ..worst }
    }
}

struct Targets {
    ways: Vec<Target>,
    open: bool,
}
