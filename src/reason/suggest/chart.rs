//! Where every suspect leads at every step: each fault at each of its severities is one case, and each
//! case goes along one way or several. What the model cannot tell, or no model is there to tell, the shape of the
//! tree says, as belief takes it: alike along every way from which the fault can be found.

use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;

use super::moves::{Moves, Spot};
use crate::reason::lineup::Lineup;
use crate::reason::outlook::Foretold;
use crate::reason::situation::Situation;
use crate::tree::{Kind, Step, StepIx, Target};

/// One listed fault at one severity.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(in crate::reason) struct CaseIx(u32);

impl CaseIx {
    pub(in crate::reason) const fn at(self) -> usize {
        self.0 as usize
    }
}

/// One way on from a step: its number, where it leads, and which part of a case goes along it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::reason) struct Branch {
    pub(in crate::reason) way: usize,
    pub(in crate::reason) target: Target,
    pub(in crate::reason) part: f64,
}

/// A case at a step in a situation by its number.
type At = (StepIx, u32, CaseIx);

/// The cases of a lineup, and where each leads.
pub(in crate::reason) struct Chart<'a, 'm> {
    lineup: Lineup<'a, 'm>,
    /// By case: the listed fault, and which of its severities.
    cases: Vec<(usize, usize)>,
    situations: RefCell<HashMap<Situation, u32>>,
    of_spot: RefCell<HashMap<Spot, u32>>,
    known: RefCell<HashMap<At, Rc<[Branch]>>>,
}

impl<'a, 'm> Chart<'a, 'm> {
    pub(in crate::reason) fn of(lineup: Lineup<'a, 'm>) -> Self {
        let mut cases = Vec::new();
        for fault in 0..lineup.listed().len() {
            cases.extend((0..lineup.severities(fault).max(1)).map(|knot| (fault, knot)));
        }
        Self {
            lineup,
            cases,
            situations: RefCell::default(),
            of_spot: RefCell::default(),
            known: RefCell::default(),
        }
    }

    pub(in crate::reason) fn lineup(&self) -> &Lineup<'a, 'm> {
        &self.lineup
    }

    /// Every case.
    pub(in crate::reason) fn cases(&self) -> impl Iterator<Item = CaseIx> + use<> {
        (0..u32::try_from(self.cases.len()).unwrap_or(u32::MAX)).map(CaseIx)
    }

    /// The listed fault of a case.
    pub(in crate::reason) fn fault(&self, case: CaseIx) -> usize {
        self.cases[case.at()].0
    }

    /// The cases of a listed fault.
    pub(in crate::reason) fn cases_of(&self, fault: usize) -> impl Iterator<Item = CaseIx> + '_ {
        self.cases().filter(move |case| self.fault(*case) == fault)
    }

    /// Where a case leads at a step, by distinct targets; nowhere if no answer or band takes it.
    pub(in crate::reason) fn branches(
        &self,
        moves: &Moves<'_>,
        ix: StepIx,
        spot: Spot,
        case: CaseIx,
    ) -> Rc<[Branch]> {
        let situation = self.of_spot.borrow().get(&spot).copied();
        let situation = situation.unwrap_or_else(|| {
            let situation = self.situation(&moves.standing(spot).now);
            self.of_spot.borrow_mut().insert(spot, situation);
            situation
        });
        if let Some(known) = self.known.borrow().get(&(ix, situation, case)) {
            return known.clone();
        }
        self.branches_in(moves, ix, &moves.standing(spot).now, case)
    }

    /// The same in a situation.
    pub(in crate::reason) fn branches_in(
        &self,
        moves: &Moves<'_>,
        ix: StepIx,
        now: &Situation,
        case: CaseIx,
    ) -> Rc<[Branch]> {
        let key = (ix, self.situation(now), case);
        if let Some(known) = self.known.borrow().get(&key) {
            return known.clone();
        }
        let branches: Rc<[Branch]> = self.foretold(moves.course().tree().step(ix), ix, now, case).into();
        self.known.borrow_mut().insert(key, branches.clone());
        branches
    }

    fn situation(&self, now: &Situation) -> u32 {
        if let Some(known) = self.situations.borrow().get(now) {
            return *known;
        }
        let mut situations = self.situations.borrow_mut();
        let next = u32::try_from(situations.len()).unwrap_or(u32::MAX);
        situations.insert(now.clone(), next);
        next
    }

    fn foretold(&self, step: &Step, ix: StepIx, now: &Situation, case: CaseIx) -> Vec<Branch> {
        let targets = targets(step);
        let (fault, knot) = self.cases[case.at()];
        let ways: Vec<usize> = match &step.kind {
            Kind::Ask(_) | Kind::Look(_) | Kind::Read(_) => {
                match self.lineup.foretell(ix, now, (fault, knot)) {
                    Foretold::Ways(ways) => ways,
                    Foretold::Open => self.open_ways(&targets, fault),
                }
            }
            _ => (0..targets.len()).collect(),
        };
        let mut branches: Vec<Branch> = Vec::new();
        for way in ways {
            let Some(target) = targets.get(way).copied() else { continue };
            if branches.iter().all(|known| known.target != target) {
                branches.push(Branch { way, target, part: 0.0 });
            }
        }
        let part = 1.0 / f64::from(u32::try_from(branches.len().max(1)).unwrap_or(u32::MAX));
        for branch in &mut branches {
            branch.part = part;
        }
        branches
    }

    /// Those ways from which the fault can be found; every way where it can be found from none.
    fn open_ways(&self, targets: &[Target], fault: usize) -> Vec<usize> {
        let all = 0..targets.len();
        let towards: Vec<usize> = all.clone().filter(|w| self.lineup.leads_to(targets[*w], fault)).collect();
        if towards.is_empty() { all.collect() } else { towards }
    }
}

/// Where a step leads when it can be done.
pub(in crate::reason) fn targets(step: &Step) -> Vec<Target> {
    let mut targets = step.targets();
    if step.cannot.is_some() {
        targets.pop();
    }
    targets
}
