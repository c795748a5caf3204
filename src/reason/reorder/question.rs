//! The planner's question made from a tree's trials, and its answer put back into the tree's words.

use std::collections::BTreeSet;

use super::ground::{Ground, Trial};
use super::{Reordering, TreeOrder};
use crate::reason::chance::Share;
use crate::reason::plan::{Conditions, Order, Problem, Test};
use crate::reason::suggest::{Branch, CaseIx, onward, targets};
use crate::tree::{StepIx, Target};
use crate::units::Minutes;

/// The most cases after splitting those that go several ways at a test.
const MOST_CASES: usize = 1_000;

/// One case, or the part of it that goes one way at each test.
#[derive(Debug, Clone)]
pub(super) struct Variant {
    /// Its place among the cases.
    nth: usize,
    case: CaseIx,
    share: f64,
    /// By test: the target's number among the outcomes.
    outcomes: Vec<usize>,
    /// Where it goes at steps where the case goes several ways: there again the same way in another situation.
    settled: Vec<(StepIx, Target)>,
}

impl Reordering<'_, '_> {
    /// Cases that go several ways at a test are split; a test for which that makes too many is dropped, and given back.
    pub(super) fn variants(&self, trials: &mut Vec<Trial>) -> (Vec<Variant>, Vec<Trial>) {
        let mut variants: Vec<Variant> = Vec::new();
        for (nth, (case, share)) in self.cases.iter().enumerate() {
            variants.push(Variant {
                nth,
                case: *case,
                share: *share,
                outcomes: Vec::new(),
                settled: Vec::new(),
            });
        }
        let mut dropped = Vec::new();
        // Those that split no case come first: it is the others that may be too many.
        trials.sort_by_key(|trial| trial.goes.iter().map(|goes| goes.len().saturating_sub(1)).sum::<usize>());
        for mut trial in std::mem::take(trials) {
            let mut targets: Vec<Option<Target>> = Vec::new();
            let mut split: Vec<Variant> = Vec::new();
            for variant in &variants {
                let mut add = |target: Option<Target>, way: Option<usize>, part: f64| {
                    let at = targets.iter().position(|known| *known == target).unwrap_or_else(|| {
                        targets.push(target);
                        trial.ways.push(way);
                        targets.len() - 1
                    });
                    let mut next = variant.clone();
                    next.share *= part;
                    next.outcomes.push(at);
                    if let Some(target) = target.filter(|_| part < 1.0) {
                        next.settled.push((trial.step, target));
                    }
                    split.push(next);
                };
                let goes = &trial.goes[variant.nth];
                let known = variant.settled.iter().find(|(step, _)| *step == trial.step);
                let again = known.and_then(|(_, target)| goes.iter().find(|branch| branch.target == *target));
                match (goes.as_slice(), again) {
                    ([], _) => add(None, None, 1.0),
                    (_, Some(branch)) => add(Some(branch.target), Some(branch.way), 1.0),
                    (goes, None) => {
                        for branch in goes {
                            add(Some(branch.target), Some(branch.way), branch.part);
                        }
                    }
                }
            }
            if split.len() <= MOST_CASES {
                variants = split;
                trials.push(trial);
            } else {
                dropped.push(trial);
            }
        }
        (variants, dropped)
    }

    /// The question: tests, standings, and which find names what.
    pub(super) fn problem(&self, variants: &[Variant], ground: &Ground) -> Option<Problem> {
        let Ground { spots, travel, trials, .. } = ground;
        let tests = trials.iter().enumerate().map(|(nth, trial)| Test {
            minutes: Minutes(trial.own),
            outcomes: variants.iter().map(|variant| variant.outcomes[nth]).collect(),
            stands: ground.stands(trial),
        });
        let shares: Vec<Share> = variants.iter().map(|variant| Share(variant.share)).collect();
        let gates: Vec<Vec<Option<Minutes>>> = (0..spots.len())
            .map(|from| (0..spots.len()).map(|to| travel.get(&(from, to)).map(|m| Minutes(*m))).collect())
            .collect();
        let conditions = Conditions::new(&gates, 0).ok()?;
        Problem::new(&shares, tests.collect())
            .and_then(|problem| problem.with_finds(self.finds(variants)))
            .and_then(|problem| problem.with_conditions(conditions))
            .ok()
    }

    /// The finds that name each variant's fault; what none names shares one place of its own.
    fn finds(&self, variants: &[Variant]) -> Vec<Vec<usize>> {
        let tree = self.worth.moves.course().tree();
        let nowhere = tree.steps.len();
        let naming = |fault: usize| -> Vec<usize> {
            let named =
                (0..tree.steps.len()).filter(|at| self.worth.names(*at, fault)).collect::<BTreeSet<_>>();
            if named.is_empty() { vec![nowhere] } else { named.into_iter().collect() }
        };
        variants.iter().map(|variant| naming(self.worth.chart.fault(variant.case))).collect()
    }
}

/// A test that was left out, the cases that go the same ways at it with the same outcome.
pub(super) fn left_out(trial: &Trial, variants: &[Variant], ground: &Ground) -> Test {
    let mut known: Vec<(&[Branch], Option<Target>)> = Vec::new();
    let outcomes = variants.iter().map(|variant| {
        let settled = variant.settled.iter().find(|(step, _)| *step == trial.step).map(|(_, target)| *target);
        let goes = (trial.goes[variant.nth].as_slice(), settled);
        known.iter().position(|other| *other == goes).unwrap_or_else(|| {
            known.push(goes);
            known.len() - 1
        })
    });
    Test { minutes: Minutes(trial.own), outcomes: outcomes.collect(), stands: ground.stands(trial) }
}

/// A plan put back into the tree's words.
pub(super) struct Told<'t, 'a, 'm> {
    pub(super) reordering: &'t Reordering<'a, 'm>,
    pub(super) variants: &'t [Variant],
    pub(super) ground: &'t Ground,
    pub(super) problem: &'t Problem,
}

impl Told<'_, '_, '_> {
    /// The order from a standing on.
    pub(super) fn order(&self, order: &Order, state: usize) -> TreeOrder {
        match order {
            Order::Stop(left) => {
                let chart = &self.reordering.worth.chart;
                let faults: BTreeSet<usize> =
                    left.iter().map(|at| chart.fault(self.variants[*at].case)).collect();
                let listed = chart.lineup().listed();
                TreeOrder::Stop(faults.into_iter().map(|fault| listed[fault].fault.clone()).collect())
            }
            Order::Test { test, stand, branches } => {
                let trial = &self.ground.trials[*test];
                let before = self.problem.conditions().travel(state, stand.state);
                let way = |outcome: &usize| trial.ways[*outcome].unwrap_or(usize::MAX);
                TreeOrder::Test {
                    step: trial.step,
                    before: Minutes(before),
                    through: self.through(trial.step, state),
                    minutes: Minutes(trial.own),
                    ways: branches
                        .iter()
                        .map(|(outcome, next)| (way(outcome), self.order(next, stand.leaves)))
                        .collect(),
                }
            }
        }
    }

    /// Mean minutes of the order until the repair can begin, over the cases that the tree finds.
    pub(super) fn to_repair(&self, order: &Order) -> Option<Minutes> {
        let all: Vec<usize> = (0..self.variants.len()).collect();
        let weight: f64 = self.found(&all).iter().map(|(_, share)| share).sum();
        let sum = self.on(order, 0, None);
        (weight > 0.0 && sum.is_finite()).then(|| Minutes(sum / weight))
    }

    /// Share × minutes from a standing on; `came` is the step and its way by which it was come to.
    fn on(&self, order: &Order, state: usize, came: Option<(StepIx, usize)>) -> f64 {
        match order {
            Order::Stop(left) => self.to_find(&self.found(left), state, came),
            Order::Test { test, stand, branches } => {
                let trial = &self.ground.trials[*test];
                let minutes = self.problem.conditions().travel(state, stand.state) + trial.own;
                let mut sum = 0.0;
                for (outcome, next) in branches {
                    let weight: f64 = self.found(&next.suspects()).iter().map(|(_, share)| share).sum();
                    let came = trial.ways[*outcome].map(|way| (trial.step, way));
                    sum += weight * minutes + self.on(next, stand.leaves, came);
                }
                sum
            }
        }
    }

    /// The quicker of the tree's own way from the last test, and of a jump to where the tree finds all that is left.
    fn to_find(&self, left: &[(CaseIx, f64)], state: usize, came: Option<(StepIx, usize)>) -> f64 {
        if left.is_empty() {
            return 0.0;
        }
        let (worth, spot) = (&self.reordering.worth, self.ground.spots[state]);
        let own_way = came.and_then(|(step, way)| {
            let tree = worth.moves.course().tree();
            let next = targets(tree.step(step)).get(way).and_then(|target| onward(*target, tree))?;
            let right = left.iter().all(|(case, _)| worth.is_right(next, spot, *case));
            right.then(|| {
                left.iter().map(|(case, share)| share * worth.fate(next, spot, *case).to_repair).sum::<f64>()
            })
        });
        let jump = worth.return_to(spot, left).map_or(f64::INFINITY, |(_, minutes)| minutes);
        own_way.map_or(jump, |minutes| minutes.min(jump))
    }

    /// The cases among some variants that the tree finds, with their shares.
    fn found(&self, variants: &[usize]) -> Vec<(CaseIx, f64)> {
        let worth = &self.reordering.worth;
        let (start, spot) = (worth.moves.course().tree().start, worth.moves.start());
        let all = variants.iter().map(|at| (self.variants[*at].case, self.variants[*at].share));
        all.filter(|(case, _)| worth.fate(start, spot, *case).right > 0.0).collect()
    }

    /// What is done between a standing and a test.
    fn through(&self, test: StepIx, state: usize) -> Vec<StepIx> {
        let reordering = self.reordering;
        let tests = reordering.tests();
        let entries = tests.iter().find(|(ix, _)| *ix == test).map(|(_, entries)| entries);
        let lead = entries.and_then(|entries| reordering.lead(test, entries, self.ground.spots[state]));
        lead.map_or_else(Vec::new, |lead| lead.steps)
    }
}
