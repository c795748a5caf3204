//! What going on is worth: expected minutes to the find, for the suspects as they are weighed now.
//!
//! The tree's own way from a step: each case is walked to its end, open answers taken evenly. It is
//! *right* there if the tree names it from there as surely as it does from its start.
//! The plain rule: do what the tree says as long as some suspect comes out right from here; when none
//! does, turn away before it is done, and jump to the step from which all that is left comes out right in the
//! fewest minutes. Where there is no such step the job ends, and the machine is called for again. Its value is that
//! of the written order wherever that finds everything. A suggestion is one jump and then the
//! plain rule: never worse than the plain rule if it is only taken where it is better (rollout;
//! Bertsekas, Tsitsiklis & Wu, J. Heuristics 3:245–262, 1997, from memory).

use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;

use super::chart::{CaseIx, Chart, targets};
use super::moves::{Moves, Spot};
use crate::reason::situation::Situation;
use crate::tree::{Kind, StepIx, Target};

/// A case's part of the suspicion.
pub(in crate::reason) type Weighed = (CaseIx, f64);

/// Minutes that a repair of the wrong thing costs before its proof fails: our choice, no source.
const WRONG_REPAIR: f64 = 30.0;
/// Minutes until a machine is called for again that a job left without a find: our choice, no source.
const CALLED_AGAIN: f64 = 30.0;
/// Parts of a case that are lost in rounding.
const TINY: f64 = 1e-9;
/// A case is given up beyond this many forks in a row.
const MOST_FORKS: usize = 400;

/// Where the tree's own way leads a case from a step.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(in crate::reason) struct Fate {
    /// Mean minutes until its last test is done.
    pub(in crate::reason) minutes: f64,
    /// Mean minutes until the repair can begin: what leads from the last test to the find, and from there to where
    /// it is put right, is in it. A jump may save tests and leave more gates before the repair.
    pub(in crate::reason) to_repair: f64,
    /// The part of it that ends at a find that names it.
    pub(in crate::reason) right: f64,
    /// No test comes any more: only what leads to the find, or to an end.
    pub(in crate::reason) is_over: bool,
}

/// Values over one tree and lineup.
pub(in crate::reason) struct Worth<'a, 'm> {
    pub(in crate::reason) chart: Chart<'a, 'm>,
    pub(in crate::reason) moves: Moves<'a>,
    fates: RefCell<HashMap<(StepIx, Spot, CaseIx), Fate>>,
    /// By find step, the listed faults it names.
    named: Vec<Vec<usize>>,
    /// Steps that can be jumped to and lead to a find.
    entries: Vec<StepIx>,
}

impl<'a, 'm> Worth<'a, 'm> {
    pub(in crate::reason) fn new(chart: Chart<'a, 'm>, moves: Moves<'a>) -> Self {
        let tree = moves.course().tree();
        let lineup = chart.lineup();
        let place = |name: &String| lineup.listed().iter().position(|listed| listed.fault == *name);
        let named = tree
            .steps
            .iter()
            .map(|step| match &step.kind {
                Kind::Find(find) => find.faults.iter().filter_map(place).collect(),
                _ => Vec::new(),
            })
            .collect();
        let may_be_jumped_to = |ix: &StepIx| match tree.step(*ix).kind {
            Kind::Find(_) | Kind::Close(_) | Kind::Refer(_) => false,
            _ => !lineup.reached(*ix).is_empty() && !moves.course().prepared(*ix).is_led_to,
        };
        let entries = tree.iter().map(|(ix, _)| ix).filter(may_be_jumped_to).collect();
        Self { chart, moves, fates: RefCell::default(), named, entries }
    }

    /// Steps that can be jumped to and lead to a find.
    pub(in crate::reason) fn entries(&self) -> &[StepIx] {
        &self.entries
    }

    /// Does a step name a listed fault as found?
    pub(in crate::reason) fn names(&self, step: usize, fault: usize) -> bool {
        self.named[step].contains(&fault)
    }

    /// The tree's own way of a case from a step.
    pub(in crate::reason) fn fate(&self, ix: StepIx, from: Spot, case: CaseIx) -> Fate {
        self.fate_within(ix, from, case, 0)
    }

    fn fate_within(&self, ix: StepIx, from: Spot, case: CaseIx, forks: usize) -> Fate {
        let key = (ix, from, case);
        if let Some(known) = self.fates.borrow().get(&key) {
            return *known;
        }
        let fate = self.walked(ix, from, case, forks);
        self.fates.borrow_mut().insert(key, fate);
        fate
    }

    fn walked(&self, ix: StepIx, from: Spot, case: CaseIx, forks: usize) -> Fate {
        let tree = self.moves.course().tree();
        match &tree.step(ix).kind {
            Kind::Find(find) => {
                let names = self.named[ix.at()].contains(&self.chart.fault(case));
                let to_repair = self.before_repair(ix, find.go, from);
                return Fate { right: f64::from(u8::from(names)), is_over: true, minutes: 0.0, to_repair };
            }
            Kind::Close(_) | Kind::Refer(_) => return Fate { is_over: true, ..Fate::default() },
            _ if forks > MOST_FORKS => return Fate::default(),
            _ => {}
        }
        let Some(arrival) = self.moves.arrive(ix, from) else { return Fate::default() };
        let is_test = matches!(tree.step(ix).kind, Kind::Ask(_) | Kind::Look(_) | Kind::Read(_));
        let (minutes, to_repair) = (arrival.minutes, arrival.minutes);
        let mut fate = Fate { minutes, to_repair, right: 0.0, is_over: !is_test };
        for branch in self.chart.branches(&self.moves, ix, arrival.spot, case).iter() {
            let Some(next) = onward(branch.target, tree) else { continue };
            let spot = self.moves.leave(ix, branch.way, arrival.spot);
            let rest = self.fate_within(next, spot, case, forks + 1);
            fate.minutes += branch.part * rest.minutes;
            fate.to_repair += branch.part * rest.to_repair;
            fate.right += branch.part * rest.right;
            fate.is_over &= rest.is_over;
        }
        if fate.is_over {
            fate.minutes = 0.0;
        }
        fate
    }

    /// Minutes of what leads to a find and to the step after it.
    fn before_repair(&self, find: StepIx, go: Target, from: Spot) -> f64 {
        let Some(found) = self.moves.arrive(find, from) else { return 0.0 };
        let next = onward(go, self.moves.course().tree());
        let mended = next.and_then(|next| self.moves.arrive(next, found.spot));
        found.minutes + mended.map_or(0.0, |arrival| arrival.minutes)
    }

    /// Would a case have gone along this way of a step?
    pub(in crate::reason) fn goes(&self, ix: StepIx, now: &Situation, case: CaseIx, way: usize) -> bool {
        let taken = targets(self.moves.course().tree().step(ix)).get(way).copied();
        let branches = self.chart.branches_in(&self.moves, ix, now, case);
        branches.iter().any(|branch| Some(branch.target) == taken)
    }

    /// Does a case come out right from a step, as surely as it does from the start of the tree?
    pub(in crate::reason) fn is_right(&self, ix: StepIx, from: Spot, case: CaseIx) -> bool {
        let tree = self.moves.course().tree();
        let best = self.fate(tree.start, self.moves.start(), case);
        self.fate(ix, from, case).right >= best.right - TINY
    }

    /// Weighted minutes of the plain rule from a step on.
    pub(in crate::reason) fn plain(&self, ix: StepIx, from: Spot, left: &[Weighed]) -> f64 {
        let right = left.iter().filter(|(case, _)| self.is_right(ix, from, *case)).count();
        if right == left.len() {
            return left.iter().map(|(case, weight)| weight * self.fate(ix, from, *case).to_repair).sum();
        }
        let tree = self.moves.course().tree();
        if let Kind::Find(_) = tree.step(ix).kind {
            let wrong: Vec<Weighed> =
                left.iter().filter(|(case, _)| !self.is_right(ix, from, *case)).copied().collect();
            let lost: f64 = wrong.iter().map(|(_, weight)| weight * WRONG_REPAIR).sum();
            return lost + self.return_or_again(from, &wrong);
        }
        let ends = matches!(tree.step(ix).kind, Kind::Close(_) | Kind::Refer(_));
        if right == 0 || ends {
            let aside = self.moves.turn_away(ix, from);
            match aside.and_then(|aside| self.return_to(aside, left)) {
                Some((_, minutes)) => return minutes,
                None if ends => return self.again(left),
                // With this done there may be a way back.
                None => {}
            }
        }
        let weight: f64 = left.iter().map(|(_, weight)| weight).sum();
        let Some(arrival) = self.moves.arrive(ix, from) else { return self.again(left) };
        let rest: f64 = self
            .parts(ix, arrival.spot, left)
            .iter()
            .map(|part| match part.next {
                Some((next, spot)) => self.plain(next, spot, &part.cases),
                None => self.return_or_again(arrival.spot, &part.cases),
            })
            .sum();
        weight * arrival.minutes + rest
    }

    /// The job ends without a find, and the next one begins at the start.
    fn again(&self, left: &[Weighed]) -> f64 {
        let (tree, start) = (self.moves.course().tree(), self.moves.start());
        let one = |(case, weight): &Weighed| {
            weight * (CALLED_AGAIN + self.fate(tree.start, start, *case).to_repair)
        };
        left.iter().map(one).sum()
    }

    /// Minutes by the best jump back, or of the job that ends here and the next one.
    pub(in crate::reason) fn return_or_again(&self, from: Spot, left: &[Weighed]) -> f64 {
        self.return_to(from, left).map_or_else(|| self.again(left), |(_, minutes)| minutes)
    }

    /// How a step parts what is left, by where it leads.
    pub(in crate::reason) fn parts(&self, ix: StepIx, at: Spot, left: &[Weighed]) -> Vec<Part> {
        let tree = self.moves.course().tree();
        let mut parts: Vec<(Option<Target>, Part)> = Vec::new();
        let mut add = |target: Option<Target>, way: usize, weighed: Weighed| {
            let at_part = parts.iter().position(|(known, _)| *known == target).unwrap_or_else(|| {
                let next = target.and_then(|t| onward(t, tree));
                let next = next.map(|next| (next, self.moves.leave(ix, way, at)));
                parts.push((target, Part { next, cases: Vec::new() }));
                parts.len() - 1
            });
            parts[at_part].1.cases.push(weighed);
        };
        for (case, weight) in left {
            let branches: Rc<_> = self.chart.branches(&self.moves, ix, at, *case);
            if branches.is_empty() {
                add(None, 0, (*case, *weight));
            }
            for branch in branches.iter() {
                add(Some(branch.target), branch.way, (*case, weight * branch.part));
            }
        }
        parts.into_iter().map(|(_, part)| part).collect()
    }

    /// The step to jump to when the tree's way finds nothing that is left: from it all comes out right, in
    /// the fewest minutes.
    pub(in crate::reason) fn return_to(&self, from: Spot, left: &[Weighed]) -> Option<(StepIx, f64)> {
        let minutes = |ix: StepIx| {
            let mut sum = 0.0;
            for (case, weight) in left {
                let fate = self.fate(ix, from, *case);
                // Nothing is found without a test.
                if fate.is_over || !self.is_right(ix, from, *case) {
                    return None;
                }
                sum += weight * fate.to_repair;
            }
            Some((ix, sum))
        };
        self.entries.iter().filter_map(|ix| minutes(*ix)).min_by(|a, b| a.1.total_cmp(&b.1))
    }
}

/// The cases that go along one of a step's ways, and where it leads.
#[derive(Debug, Clone)]
pub(in crate::reason) struct Part {
    /// The next step, and how all stands on leaving; none where it ends.
    pub(in crate::reason) next: Option<(StepIx, Spot)>,
    pub(in crate::reason) cases: Vec<Weighed>,
}

/// Where a target leads; another round is no way on.
pub(in crate::reason) fn onward(target: Target, tree: &crate::tree::Tree) -> Option<StepIx> {
    tree.land(target).filter(|_| target != Target::Again)
}
