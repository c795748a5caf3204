//! A tree's own tests in a better order: the planner's question made from a tree, and its plan beside what
//! is written.
//!
//! Both count the same things, from the start to the find: gates, ways to zones, and steps. A test can be
//! done wherever what the tree does before it can be done: the plan comes to it through the same steps and
//! gates as a walk would. Suspects are the faults that show the symptom at each severity, one outcome a
//! test: a case that goes k ways at a test counts as k cases of a k-th of its share. What comes and goes
//! is left out, as in the fault check; what no find names ends where all that is left is of that kind.

use std::collections::{BTreeMap, BTreeSet, HashSet};

use super::chance::Share;
use super::costs::step_minutes;
use super::lineup::Lineup;
use super::outlook::Outlook;
use super::plan::{Conditions, Effort, Order, Problem, Stand, Test, bound_of, plan};
use super::suggest::{CaseIx, Chart, Moves, Spot, Worth, following, normalised};
use crate::machine::{Day, Today};
use crate::tree::{Course, Kind, StepIx, Target};
use crate::units::{Meter, Minutes};

/// The most standings between which the plan moves.
const MOST_SPOTS: usize = 96;
/// The most cases after splitting those that go several ways at a test.
const MOST_CASES: usize = 1_000;

/// What a tree's order costs, and what a better one would.
#[derive(Debug, Clone, PartialEq)]
pub struct TreePlan {
    /// Expected minutes as written.
    pub as_written: Minutes,
    /// Expected minutes of the best order found; never more than as written.
    pub best_found: Minutes,
    /// No order takes fewer; `None` where no valid bound is known.
    pub lower_bound: Option<Minutes>,
    /// Is there surely no better order of these tests?
    pub exact: bool,
    /// The best order found; `None` where it is the one that is written.
    pub order: Option<TreeOrder>,
}

/// An order of a tree's tests.
#[derive(Debug, Clone, PartialEq)]
pub enum TreeOrder {
    /// One find names all that is left, or nothing parts it: the faults.
    Stop(Vec<String>),
    /// Do this test, and go on by what it shows.
    Test {
        /// The step.
        step: StepIx,
        /// Minutes of what comes before it: gates, plugs, ways.
        before: Minutes,
        /// Its own minutes.
        minutes: Minutes,
        /// By the step's way: what follows.
        ways: Vec<(usize, TreeOrder)>,
    },
}

/// The plan of a tree; `None` where it names no fault that shows its symptom.
#[must_use]
pub fn plan_tree(course: &Course, effort: Effort) -> Option<TreePlan> {
    let day = course.tree().model.as_deref().map(|machine| machine.day(Today::default()));
    Reordering::of(course, day.as_ref())?.plan(effort)
}

/// Expected minutes of a tree, over the faults that it finds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Followed {
    /// As written.
    pub as_written: Minutes,
    /// Taking every suggestion that is made.
    pub following: Minutes,
}

/// What following the suggestions of a tree costs; `None` where it finds no fault that shows its symptom.
#[must_use]
pub fn followed(course: &Course) -> Option<Followed> {
    let day = course.tree().model.as_deref().map(|machine| machine.day(Today::default()));
    let reordering = Reordering::of(course, day.as_ref())?;
    let (worth, tree) = (&reordering.worth, course.tree());
    let start = worth.moves.start();
    let found = |(case, _): &(CaseIx, f64)| worth.fate(tree.start, start, *case).right > 0.0;
    let left = normalised(reordering.cases.iter().filter(|case| found(case)).copied().collect());
    if left.is_empty() {
        return None;
    }
    let as_written =
        left.iter().map(|(case, part)| part * worth.fate(tree.start, start, *case).minutes).sum();
    Some(Followed {
        as_written: Minutes(as_written),
        following: Minutes(following(worth, tree.start, start, &left)),
    })
}

/// One case, or the part of it that goes one way at each test.
#[derive(Debug, Clone)]
struct Variant {
    case: CaseIx,
    share: f64,
    /// By test: the target's number among the outcomes.
    outcomes: Vec<usize>,
}

/// A test in one situation.
#[derive(Debug)]
struct Trial {
    step: StepIx,
    own: f64,
    stands: Vec<(Spot, Spot)>,
    /// By outcome, the first of the step's ways that leads there; none for what no answer takes.
    ways: Vec<Option<usize>>,
}

struct Reordering<'a, 'm> {
    worth: Worth<'a, 'm>,
    cases: Vec<(CaseIx, f64)>,
}

impl<'a, 'm> Reordering<'a, 'm> {
    fn of(course: &'a Course, day: Option<&'a Day<'m>>) -> Option<Self> {
        let lineup = match day {
            Some(day) => {
                let outlook = Outlook::new(course.tree(), day, course.vocabulary(), Meter::default());
                Lineup::modelled(outlook)
            }
            None => Lineup::by_shape(course.tree()),
        };
        let chart = Chart::of(lineup);
        let mut cases = Vec::new();
        for (fault, listed) in chart.lineup().listed().iter().enumerate() {
            let own: Vec<CaseIx> = chart.cases_of(fault).collect();
            let part = listed.share.value() / f64::from(u32::try_from(own.len()).unwrap_or(u32::MAX));
            if !listed.intermittent && part > 0.0 {
                cases.extend(own.into_iter().map(|case| (case, part)));
            }
        }
        let worth = Worth::new(chart, Moves::over(course));
        (!cases.is_empty()).then_some(Self { worth, cases })
    }

    fn plan(&self, effort: Effort) -> Option<TreePlan> {
        let as_written = self.as_written();
        let (spots, travel, trials, all_in) = self.trials();
        let (variants, trials, none_dropped) = self.variants(trials);
        let problem = self.problem(&variants, &trials, (&spots, &travel))?;
        let lower_bound = self.bound(&problem).map(|bound| Minutes(bound.value().min(as_written)));
        let written = TreePlan {
            as_written: Minutes(as_written),
            best_found: Minutes(as_written),
            lower_bound,
            exact: false,
            order: None,
        };
        let Ok(found) = plan(&problem, effort) else { return Some(written) };
        let exact = found.exact && all_in && none_dropped;
        if found.expected.value() >= as_written {
            return Some(TreePlan { exact, ..written });
        }
        let told = Told { reordering: self, variants: &variants, trials: &trials, problem: &problem };
        let order = Some(told.order(&found.order, 0));
        Some(TreePlan { best_found: found.expected, exact, order, ..written })
    }

    /// Mean minutes of the tree's own way from its start, wherever that ends.
    fn as_written(&self) -> f64 {
        let (tree, start) = (self.worth.moves.course().tree(), self.worth.moves.start());
        let total: f64 = self.cases.iter().map(|(_, share)| share).sum();
        let minutes = |case: &CaseIx| self.worth.fate(tree.start, start, *case).minutes;
        self.cases.iter().map(|(case, share)| share * minutes(case)).sum::<f64>() / total
    }

    /// Every test in every situation that the tree's own steps can bring about, and the minutes between
    /// the standings; false if there are more standings than are looked at.
    #[allow(clippy::type_complexity)] // one private table
    fn trials(&self) -> (Vec<Spot>, BTreeMap<(usize, usize), f64>, Vec<Trial>, bool) {
        let moves = &self.worth.moves;
        let tests = self.tests();
        let mut spots = vec![moves.start()];
        let mut travel: BTreeMap<(usize, usize), f64> = BTreeMap::new();
        let mut trials: Vec<Trial> = Vec::new();
        let mut all_in = true;
        let mut next = 0;
        while next < spots.len() {
            for (step, entries) in &tests {
                let Some((minutes, at)) = self.lead(*step, entries, spots[next]) else { continue };
                let own = step_minutes(
                    moves.course().tree().step(*step),
                    moves.course().vocabulary(),
                    moves.course().tree().model.as_deref(),
                )
                .value();
                let leaves = moves.leave(*step, 0, at);
                let mut number = |spot: Spot| {
                    let known = spots.iter().position(|known| *known == spot);
                    known.or_else(|| {
                        (spots.len() < MOST_SPOTS).then(|| {
                            spots.push(spot);
                            spots.len() - 1
                        })
                    })
                };
                let (Some(to), Some(_)) = (number(at), number(leaves)) else {
                    all_in = false;
                    continue;
                };
                let before = travel.entry((next, to)).or_insert(f64::INFINITY);
                *before = before.min(minutes - own);
                self.stand(&mut trials, (*step, own), (at, leaves));
            }
            next += 1;
        }
        (spots, travel, trials, all_in)
    }

    /// What no order of the tree's tests can beat, whatever the plan looked at.
    fn bound(&self, problem: &Problem) -> Option<Minutes> {
        let course = self.worth.moves.course();
        let own = |ix: &StepIx| {
            let step = course.tree().step(*ix);
            step_minutes(step, course.vocabulary(), course.tree().model.as_deref()).value()
        };
        let outcomes =
            |ix: &StepIx| course.tree().step(*ix).targets().into_iter().collect::<HashSet<_>>().len();
        let tests: Vec<StepIx> = self.tests().into_iter().map(|(ix, _)| ix).collect();
        // Whatever no answer or band takes is an outcome too.
        let letters = tests.iter().map(outcomes).max()? + 1;
        let cheapest = tests.iter().filter(|ix| outcomes(ix) > 1).map(own).fold(f64::INFINITY, f64::min);
        bound_of(problem, letters, Minutes(cheapest))
    }

    fn stand(&self, trials: &mut Vec<Trial>, (step, own): (StepIx, f64), stand: (Spot, Spot)) {
        let situation = |spot: Spot| self.worth.moves.standing(spot).now.clone();
        let same =
            |trial: &&mut Trial| trial.step == step && situation(trial.stands[0].0) == situation(stand.0);
        match trials.iter_mut().find(same) {
            Some(trial) if !trial.stands.contains(&stand) => trial.stands.push(stand),
            Some(_) => {}
            None => trials.push(Trial { step, own, stands: vec![stand], ways: Vec::new() }),
        }
    }

    /// The tests on the way to a find, each with the steps from which only things to do lead to it.
    fn tests(&self) -> Vec<(StepIx, Vec<StepIx>)> {
        let tree = self.worth.moves.course().tree();
        let is_test = |ix: &StepIx| match &tree.step(*ix).kind {
            Kind::Ask(ask) => ask.proof.is_none(),
            Kind::Read(read) => read.proof.is_none(),
            Kind::Look(_) => true,
            _ => false,
        };
        let finds = |ix: &StepIx| !self.worth.chart.lineup().reached(*ix).is_empty();
        let tests = tree.iter().map(|(ix, _)| ix).filter(is_test).filter(finds);
        tests.map(|ix| (ix, self.entries_to(ix))).collect()
    }

    fn entries_to(&self, test: StepIx) -> Vec<StepIx> {
        let tree = self.worth.moves.course().tree();
        let mut entries = vec![test];
        let mut at = 0;
        while at < entries.len() {
            let leads = |ix: &StepIx| match &tree.step(*ix).kind {
                Kind::Do(action) => action.go == Target::Step(entries[at]),
                Kind::Gate(gate) => gate.go == Target::Step(entries[at]),
                _ => false,
            };
            let more: Vec<StepIx> =
                tree.iter().map(|(ix, _)| ix).filter(leads).filter(|ix| !entries.contains(ix)).collect();
            entries.extend(more);
            at += 1;
        }
        entries
    }

    /// The fewest minutes to the end of a test from a standing, its own included, and how all stands there.
    fn lead(&self, test: StepIx, entries: &[StepIx], from: Spot) -> Option<(f64, Spot)> {
        let moves = &self.worth.moves;
        let tree = moves.course().tree();
        let along = |entry: StepIx| {
            let (mut ix, mut spot, mut minutes) = (entry, from, 0.0);
            loop {
                let arrival = moves.arrive(ix, spot)?;
                minutes += arrival.minutes;
                if ix == test {
                    return Some((minutes, arrival.spot));
                }
                spot = moves.leave(ix, 0, arrival.spot);
                let target = tree.step(ix).targets().first().copied()?;
                ix = tree.land(target)?;
            }
        };
        entries.iter().filter_map(|entry| along(*entry)).min_by(|a, b| a.0.total_cmp(&b.0))
    }

    /// Cases that go several ways at a test are split; a test for which that makes too many is dropped.
    fn variants(&self, trials: Vec<Trial>) -> (Vec<Variant>, Vec<Trial>, bool) {
        let mut variants: Vec<Variant> = self
            .cases
            .iter()
            .map(|(case, share)| Variant { case: *case, share: *share, outcomes: Vec::new() })
            .collect();
        let (mut kept, mut all) = (Vec::new(), true);
        for mut trial in trials {
            let mut targets: Vec<Option<Target>> = Vec::new();
            let mut split: Vec<Variant> = Vec::new();
            for variant in &variants {
                let branches =
                    self.worth.chart.branches(&self.worth.moves, trial.step, trial.stands[0].0, variant.case);
                let mut add = |target: Option<Target>, way: Option<usize>, part: f64| {
                    let at = targets.iter().position(|known| *known == target).unwrap_or_else(|| {
                        targets.push(target);
                        trial.ways.push(way);
                        targets.len() - 1
                    });
                    let mut next = variant.clone();
                    next.share *= part;
                    next.outcomes.push(at);
                    split.push(next);
                };
                if branches.is_empty() {
                    add(None, None, 1.0);
                }
                for branch in branches.iter() {
                    add(Some(branch.target), Some(branch.way), branch.part);
                }
            }
            if targets.len() < 2 {
                continue;
            }
            if split.len() > MOST_CASES {
                all = false;
                continue;
            }
            variants = split;
            kept.push(trial);
        }
        (variants, kept, all)
    }

    fn problem(
        &self,
        variants: &[Variant],
        trials: &[Trial],
        (spots, travel): (&[Spot], &BTreeMap<(usize, usize), f64>),
    ) -> Option<Problem> {
        let state = |spot: Spot| spots.iter().position(|known| *known == spot).unwrap_or(0);
        let tests = trials.iter().enumerate().map(|(nth, trial)| Test {
            minutes: Minutes(trial.own),
            outcomes: variants.iter().map(|variant| variant.outcomes[nth]).collect(),
            stands: trial
                .stands
                .iter()
                .map(|(at, leaves)| Stand { state: state(*at), leaves: state(*leaves) })
                .collect(),
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

/// A plan put back into the tree's words.
struct Told<'t, 'a, 'm> {
    reordering: &'t Reordering<'a, 'm>,
    variants: &'t [Variant],
    trials: &'t [Trial],
    problem: &'t Problem,
}

impl Told<'_, '_, '_> {
    fn order(&self, order: &Order, state: usize) -> TreeOrder {
        match order {
            Order::Stop(left) => {
                let chart = &self.reordering.worth.chart;
                let faults: BTreeSet<usize> =
                    left.iter().map(|at| chart.fault(self.variants[*at].case)).collect();
                let listed = chart.lineup().listed();
                TreeOrder::Stop(faults.into_iter().map(|fault| listed[fault].fault.clone()).collect())
            }
            Order::Test { test, stand, branches } => {
                let trial = &self.trials[*test];
                let before = self.problem.conditions().travel(state, stand.state);
                let way = |outcome: &usize| trial.ways[*outcome].unwrap_or(usize::MAX);
                TreeOrder::Test {
                    step: trial.step,
                    before: Minutes(before),
                    minutes: Minutes(trial.own),
                    ways: branches
                        .iter()
                        .map(|(outcome, next)| (way(outcome), self.order(next, stand.leaves)))
                        .collect(),
                }
            }
        }
    }
}
