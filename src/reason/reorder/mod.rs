//! A tree's own tests in a better order: the planner's question made from a tree, and its plan beside what
//! is written.
//!
//! Both count the same things, from the start to the find: gates, ways to zones, and steps. A test can be
//! done wherever what the tree does before it can be done: the plan comes to it through the same steps and
//! gates as a walk would. Suspects are the faults that show the symptom at each severity, one outcome a
//! test: a case that goes k ways at a test counts as k cases of a k-th of its share. What comes and goes
//! is left out, as in the fault check; what no find names ends where all that is left is of that kind.

mod ground;
mod question;

use std::cell::RefCell;
use std::collections::{HashMap, HashSet};

use super::lineup::Lineup;
use super::outlook::Outlook;
use super::plan::{Effort, Lacks, floor, plan};
use super::suggest::{CaseIx, Chart, Moves, Spot, Worth, following, normalised};
use crate::machine::{Day, Today};
use crate::tree::{Course, StepIx};
use crate::units::{Meter, Minutes};
use ground::{Ground, Lead, Setters, Trial, setters};
use question::{Told, Variant, left_out};

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
    /// Expected minutes until the repair can begin by that order, in the terms of [`Followed`]: its tests, and then the
    /// quickest way on which the tree comes to the find. `None` where there is no such order or way.
    pub to_repair: Option<Minutes>,
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
        /// The tree's steps that are done before it.
        through: Vec<StepIx>,
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

/// Expected minutes of a tree as written, from its start to wherever each fault that shows its symptom ends; `None`
/// where it names no such fault.
#[must_use]
pub fn minutes_as_written(course: &Course) -> Option<Minutes> {
    let day = course.tree().model.as_deref().map(|machine| machine.day(Today::default()));
    Some(Minutes(Reordering::of(course, day.as_ref())?.as_written()))
}

/// Expected minutes of a tree, over the faults that it finds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Followed {
    /// As written, until the repair can begin.
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
        left.iter().map(|(case, part)| part * worth.fate(tree.start, start, *case).to_repair).sum();
    Some(Followed {
        as_written: Minutes(as_written),
        following: Minutes(following(worth, tree.start, start, &left)),
    })
}

struct Reordering<'a, 'm> {
    worth: Worth<'a, 'm>,
    cases: Vec<(CaseIx, f64)>,
    setters: Setters,
    /// Ways through things to do, by test, standing and the most of them.
    leads: RefCell<HashMap<(StepIx, Spot, usize), Option<Lead>>>,
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
        let setters = setters(course);
        (!cases.is_empty()).then_some(Self { worth, cases, setters, leads: RefCell::default() })
    }

    fn plan(&self, effort: Effort) -> Option<TreePlan> {
        let as_written = self.as_written();
        let mut ground = self.ground();
        let (variants, dropped) = self.variants(&mut ground.trials);
        let problem = self.problem(&variants, &ground)?;
        let lacks = self.lacks(&ground, (&variants, &dropped));
        let lower_bound = floor(&problem, lacks.as_ref());
        // Rounding may put a bound an ulp above what it bounds.
        let at_most = |best: f64| lower_bound.map(|bound| Minutes(bound.value().min(best)));
        let written = TreePlan {
            as_written: Minutes(as_written),
            best_found: Minutes(as_written),
            lower_bound: at_most(as_written),
            exact: false,
            order: None,
            to_repair: None,
        };
        let Ok(found) = plan(&problem, effort) else { return Some(written) };
        let exact = found.exact && lacks.is_none();
        if found.expected.value() >= as_written {
            return Some(TreePlan { exact, ..written });
        }
        let told = Told { reordering: self, variants: &variants, ground: &ground, problem: &problem };
        let order = Some(told.order(&found.order, 0));
        let to_repair = told.to_repair(&found.order);
        let lower_bound = at_most(found.expected.value());
        Some(TreePlan { best_found: found.expected, lower_bound, exact, order, to_repair, ..written })
    }

    /// Mean minutes of the tree's own way from its start, wherever that ends.
    fn as_written(&self) -> f64 {
        let (tree, start) = (self.worth.moves.course().tree(), self.worth.moves.start());
        let total: f64 = self.cases.iter().map(|(_, share)| share).sum();
        let minutes = |case: &CaseIx| self.worth.fate(tree.start, start, *case).minutes;
        self.cases.iter().map(|(case, share)| share * minutes(case)).sum::<f64>() / total
    }

    /// What the plan did not look at of all that the tree's steps can do.
    fn lacks(&self, ground: &Ground, (variants, dropped): (&[Variant], &[Trial])) -> Option<Lacks> {
        if dropped.is_empty() && ground.beyond.is_empty() {
            return None;
        }
        let course = self.worth.moves.course();
        let outcomes =
            |ix: &StepIx| course.tree().step(*ix).targets().into_iter().collect::<HashSet<_>>().len();
        let tests: Vec<StepIx> = self.tests().into_iter().map(|(ix, _)| ix).collect();
        // Whatever no answer or band takes is an outcome too.
        let letters = tests.iter().map(outcomes).max().unwrap_or(1) + 1;
        let own = tests.iter().filter(|ix| outcomes(ix) > 1).map(|ix| self.own_minutes(*ix));
        let cheapest = Minutes(own.fold(f64::INFINITY, f64::min));
        let tests = dropped.iter().map(|trial| left_out(trial, variants, ground)).collect();
        Some(Lacks { tests, beyond: ground.beyond.clone(), letters, cheapest })
    }
}
