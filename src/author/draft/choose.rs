//! Which tests, in which order: the planner's answer for the suspects of the symptom.
//!
//! Tests that part the suspects alike at the same stations are one, the quickest of them. The planner stops when one
//! repair puts right all that is left; the zones of a repair have to go together, or it counts as several.

use crate::reason::{Effort, Order, Plan, Problem, ProblemError, Share, Stand, Test, plan, repair_of};
use crate::safety::{State, Way, way_to};
use crate::units::Minutes;

use super::parting::Parting;
use super::stations::Stations;
use super::suspects::{BY_BATTERY, Suspects};
use super::trial::Trial;
use super::ways::Ways;

/// A trial with what it tells.
pub(super) struct Candidate<'t> {
    /// Its number among the trials.
    pub(super) at: usize,
    pub(super) trial: &'t Trial,
    pub(super) minutes: f64,
    /// By suspect; the healthy machine's last, where it is one of the hypotheses.
    pub(super) outcomes: Vec<usize>,
    pub(super) parting: Option<&'t Parting>,
}

/// The chosen order, with the candidates that it speaks of.
pub(super) struct Chosen {
    pub(super) plan: Plan,
    /// By the order's test number, the number of the candidate.
    pub(super) tests: Vec<usize>,
    pub(super) stations: Stations,
}

/// Plans the candidates.
pub(super) fn choose(
    ways: &Ways<'_>,
    (suspects, hypotheses): (&Suspects, usize),
    candidates: &[Candidate<'_>],
    repairs: &[usize],
) -> Result<Chosen, ProblemError> {
    let trials: Vec<(usize, &Trial)> = candidates.iter().map(|c| (c.at, c.trial)).collect();
    let (stations, stands) = Stations::of(ways, &trials);
    let conditions = stations.conditions(ways)?;
    let mut shares: Vec<Share> = suspects.list.iter().map(|s| Share(s.share)).collect();
    shares.resize(hypotheses, Share(BY_BATTERY * suspects.total));
    // What is in order is put right by nothing: that is no repair of the others.
    let mut repairs = repairs.to_vec();
    repairs.resize(hypotheses, repairs.iter().max().map_or(0, |most| most + 1));
    let problem = |kept: &[usize]| {
        let test = |at: &usize| Test {
            minutes: Minutes(candidates[*at].minutes),
            outcomes: candidates[*at].outcomes.clone(),
            stands: stands[*at].clone(),
        };
        Problem::new(&shares, kept.iter().map(test).collect())?
            .with_finds(repairs.iter().map(|repair| vec![*repair]).collect())?
            .with_conditions(conditions.clone())
    };
    let all = without_worse(candidates, &stands);
    let first = plan(&problem(&all)?, Effort::Suggestion)?;
    // With only the tests of the first order, the search goes deeper in the same time.
    let used: Vec<usize> = used(&first.order).into_iter().map(|test| all[test]).collect();
    let second = plan(&problem(&used)?, Effort::Suggestion)?;
    let (plan, tests) =
        if second.expected.value() < first.expected.value() - 1e-9 { (second, used) } else { (first, all) };
    Ok(Chosen { plan, tests, stations })
}

/// The candidates that stand somewhere and are no worse than another in everything.
fn without_worse(candidates: &[Candidate<'_>], stands: &[Vec<Stand>]) -> Vec<usize> {
    let mut kept: Vec<usize> = Vec::new();
    let mut order: Vec<usize> = (0..candidates.len()).filter(|at| !stands[*at].is_empty()).collect();
    order.sort_by(|a, b| candidates[*a].minutes.total_cmp(&candidates[*b].minutes));
    for at in order {
        let covers = |other: &usize| {
            candidates[*other].outcomes == candidates[at].outcomes
                && stands[at].iter().all(|stand| stands[*other].contains(stand))
        };
        if !kept.iter().any(covers) {
            kept.push(at);
        }
    }
    kept.sort_unstable();
    kept
}

/// The tests of an order, each once.
pub(super) fn used(order: &Order) -> Vec<usize> {
    let mut tests = Vec::new();
    let mut open = vec![order];
    while let Some(order) = open.pop() {
        if let Order::Test { test, branches, .. } = order {
            tests.push(*test);
            open.extend(branches.iter().map(|(_, next)| next));
        }
    }
    tests.sort_unstable();
    tests.dedup();
    tests
}

/// For each suspect the number of the repair that puts it right: what one repair does in zones that go together.
pub(super) fn repairs(ways: &Ways<'_>, suspects: &Suspects) -> Vec<usize> {
    let all: Vec<usize> = (0..suspects.list.len()).collect();
    let faults = suspects.faults(&all);
    let mut known: Vec<(String, Vec<crate::safety::Demand>)> = Vec::new();
    let numbers: Vec<usize> = (0..faults.len())
        .map(|at| {
            let name = repair_of(ways.machine, faults[at]);
            let demands =
                ways.rehearsal.step(&format!("r{at}")).map_or_else(Vec::new, |ix| ways.rehearsal.demands(ix));
            for (number, (own, joined)) in known.iter_mut().enumerate() {
                let mut both = joined.clone();
                both.extend(demands.iter().filter(|d| !joined.contains(d)).cloned());
                if *own == name && goes_together(ways, &both) {
                    *joined = both;
                    return number;
                }
            }
            known.push((name, demands));
            known.len() - 1
        })
        .collect();
    suspects
        .list
        .iter()
        .map(|s| faults.iter().position(|f| *f == s.fault).map_or(0, |at| numbers[at]))
        .collect()
}

fn goes_together(ways: &Ways<'_>, demands: &[crate::safety::Demand]) -> bool {
    let vocabulary = ways.rehearsal.vocabulary();
    let mut state = State::at_start(vocabulary);
    // What a finding and its repair need besides the zone is put in force by naming it.
    state.apply_all(&crate::safety::changes(&crate::safety::Deed::Found, vocabulary), vocabulary);
    !matches!(way_to(&state, demands, vocabulary), Way::None)
}
