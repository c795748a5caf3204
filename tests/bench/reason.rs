//! What belief and plans cost: `cargo bench --bench reason`.
//!
//! Aims on two cores of 2020s hardware: 20 tests over 500 faults from tables in 10 µs, one more
//! observation in 1 µs; the exact plan for 16 suspects where nearly all subsets are reached in 20 ms,
//! with twelve condition states in 200 ms; the next suggestion on the largest shipped machine in 30 ms. Belief and plan
//! have a plain counterpart in the same run: the belief in plain arithmetic, and the plan by the same recursion with a
//! hashed memo of whole sets.

#[path = "../support/yard.rs"]
mod yard;

use std::collections::HashMap;
use std::time::Instant;

use divan::{Bencher, black_box};
use loomwalk::machine::Today;
use loomwalk::practice::{Bench, Dice, Practice, Specimen, Wanted, moment_of};
use loomwalk::reason::{
    Belief, Conditions, Effort, Likelihood, Observed, Probability, Problem, Share, Stand, Suspicion, Test,
    plan,
};
use loomwalk::tree::{Kind, Shipped, examine};
use loomwalk::units::Minutes;
use loomwalk::walk::{AtGate, Input, Moment, Now, Walk};
use serde_json::Value;
use yard::Yard;

fn main() {
    divan::main();
}

fn read(text: &str) -> Value {
    serde_json::from_str(text).expect("a recorded instance")
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().expect("a list").iter().map(|n| n.as_f64().expect("a number")).collect()
}

/// Shares and, for each observation, the chances by hypothesis.
fn posterior_case() -> (Vec<f64>, Vec<Vec<f64>>) {
    let case = read(include_str!("../vectors/posterior/h500-0.json"));
    let tests = case["tests"].as_array().expect("tests");
    let columns = case["observations"].as_array().expect("observations").iter().map(|seen| {
        let test = tests.iter().find(|t| t["id"] == seen["test"]).expect("a test");
        let outcomes = test["outcomes"].as_array().expect("outcomes");
        let at = outcomes.iter().position(|o| *o == seen["outcome"]).expect("an outcome");
        let rows = test["likelihood"].as_array().expect("rows");
        rows.iter().map(|row| row[at].as_f64().expect("a chance")).collect()
    });
    (numbers(&case["prior"]), columns.collect())
}

fn belief_case() -> (Belief, Vec<Likelihood>) {
    let (prior, columns) = posterior_case();
    let shares: Vec<Share> = prior.into_iter().map(Share).collect();
    let table = |column: &Vec<f64>| {
        Likelihood::new(&column.iter().map(|c| Probability(*c)).collect::<Vec<_>>()).expect("chances")
    };
    (Belief::new(&shares).expect("shares"), columns.iter().map(table).collect())
}

#[divan::bench]
fn belief_500_faults_20_tests(bencher: Bencher) {
    let (belief, tables) = belief_case();
    bencher.bench_local(|| {
        let mut belief = belief.clone();
        for seen in &tables {
            belief.observe(black_box(seen)).expect("as many");
        }
        belief.posterior()
    });
}

#[divan::bench]
fn belief_500_faults_20_tests_plain_logarithms(bencher: Bencher) {
    let (prior, columns) = posterior_case();
    bencher.bench_local(|| {
        let mut logs: Vec<f64> = prior.iter().map(|p| p.ln()).collect();
        for column in black_box(&columns) {
            logs.iter_mut().zip(column).for_each(|(log, chance)| *log += chance.ln());
        }
        let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let sum: f64 = logs.iter().map(|log| (log - most).exp()).sum();
        logs.iter().map(|log| (log - most).exp() / sum).collect::<Vec<_>>()
    });
}

#[divan::bench]
fn one_more_observation_500_faults(bencher: Bencher) {
    let (mut belief, tables) = belief_case();
    bencher.bench_local(move || belief.observe(black_box(&tables[0])));
}

/// Integer weights and tests of the recorded instance with 65,519 reachable sets.
fn plan_case() -> (Vec<f64>, Vec<(f64, Vec<usize>)>) {
    let case = read(include_str!("../vectors/sequencing/scale-direct-skewed-f16.json"));
    let tests = case["tests"].as_array().expect("tests").iter().map(|test| {
        let results = numbers(&test["result"]).into_iter().map(|r| usize::from(r > 0.5));
        (test["cost"].as_f64().expect("minutes"), results.collect())
    });
    (numbers(&case["weights"]), tests.collect())
}

fn problem(stands: impl Fn(usize) -> Vec<Stand>) -> Problem {
    let (weights, tests) = plan_case();
    let shares: Vec<Share> = weights.into_iter().map(Share).collect();
    let tests = tests.into_iter().enumerate().map(|(at, (minutes, outcomes))| Test {
        minutes: Minutes(minutes),
        outcomes,
        stands: stands(at),
    });
    Problem::new(&shares, tests.collect()).expect("a sound problem")
}

#[divan::bench]
fn exact_plan_16_suspects_65519_sets(bencher: Bencher) {
    let problem = problem(|_| Vec::new());
    bencher.bench_local(|| plan(black_box(&problem), Effort::Plan).expect("a plan").expected);
}

#[divan::bench]
fn exact_plan_16_suspects_plain_hashed_recursion(bencher: Bencher) {
    let (weights, tests) = plan_case();
    let tests: Vec<(f64, u32)> = tests
        .into_iter()
        .map(|(minutes, results)| {
            (minutes, results.iter().enumerate().map(|(at, r)| u32::from(*r > 0) << at).sum())
        })
        .collect();
    bencher.bench_local(|| {
        plain(&weights, black_box(&tests), u32::MAX >> (32 - weights.len()), &mut HashMap::new())
    });
}

fn plain(weights: &[f64], tests: &[(f64, u32)], set: u32, memo: &mut HashMap<u32, f64>) -> f64 {
    if set.count_ones() < 2 {
        return 0.0;
    }
    if let Some(known) = memo.get(&set) {
        return *known;
    }
    let weight: f64 = weights.iter().enumerate().filter(|(at, _)| set >> at & 1 == 1).map(|(_, w)| w).sum();
    let mut best = f64::INFINITY;
    for (minutes, mask) in tests {
        let (yes, no) = (set & mask, set & !mask);
        if yes != 0 && no != 0 {
            let rest = plain(weights, tests, yes, memo) + plain(weights, tests, no, memo);
            best = best.min(minutes * weight + rest);
        }
    }
    memo.insert(set, best);
    best
}

/// Twelve condition states: the cab down or up by six states of power and arms. Each test can be done
/// with the cab one way, and in two thirds of the other states.
#[divan::bench]
fn exact_plan_16_suspects_12_condition_states(bencher: Bencher) {
    let gates: Vec<Vec<Option<Minutes>>> = (0..12_u32)
        .map(|from| {
            let minutes = |to: u32| {
                let cab = if from / 6 == to / 6 { 0.0 } else { 6.0 };
                Minutes(cab + 2.0 * f64::from((from % 6).abs_diff(to % 6)))
            };
            (0..12_u32).map(|to| Some(minutes(to))).collect()
        })
        .collect();
    let stands = |test: usize| {
        let cab = test % 2 * 6;
        let states = (0..6).filter(|other| !(other + test).is_multiple_of(3)).map(|other| cab + other);
        states.map(|state| Stand { state, leaves: state }).collect()
    };
    let problem = problem(stands)
        .with_conditions(Conditions::new(&gates, 0).expect("a square table"))
        .expect("states that exist");
    bencher.bench_local(|| plan(black_box(&problem), Effort::Plan).expect("a plan").expected);
}

/// The tree with the most steps on the shipped machine with the most faults.
fn largest_yard() -> Yard {
    let courses = Shipped::names().into_iter().filter_map(|name| {
        let course = examine(&Shipped::named(&name)?, &Shipped).walkable()?;
        course.tree().model.is_some().then_some(course)
    });
    let size = |yard: &Yard| (yard.family.faults().len(), yard.course.tree().steps.len());
    courses.map(Yard::of).max_by_key(size).expect("a shipped tree on a machine")
}

/// What a walk asks about at each test it comes to, the tree followed on a simulated machine, from the first test at the
/// machine to the finding. Of some hidden faults the one with the longest walk.
fn asked_on_a_walk(yard: &Yard) -> Vec<Observed> {
    (0..40).map(|seed| asked_with(yard, seed)).max_by_key(Vec::len).expect("some walk")
}

fn asked_with(yard: &Yard, seed: u64) -> Vec<Observed> {
    let tree = yard.course.tree();
    let wanted = Wanted { today: Some(Today::default()), ..Wanted::default() };
    let mut dice = Dice::new(seed);
    let specimen = Specimen::draw(tree, &yard.family, &yard.pool, wanted, &mut dice).expect("a fault");
    let day = specimen.day();
    let bench = Bench::new(&specimen, &day, (tree, yard.course.vocabulary())).without_misreading();
    let (mut walk, mut practice) = (begun(yard, &specimen), Practice::new(dice));
    let mut asked = Vec::new();
    while let Now::Step(_) | Now::Gate(_) | Now::Check(..) = walk.now() {
        if let Now::Step(ix) = walk.now() {
            match &tree.step(*ix).kind {
                Kind::Find(_) | Kind::Close(_) | Kind::Refer(_) => break,
                Kind::Read(_) | Kind::Look(_) => asked.push(walk.observed()),
                _ => {}
            }
        }
        let input = practice.says(&walk, &specimen, &bench, "AP").unwrap_or_else(|| match walk.now() {
            Now::Gate(AtGate { item, .. }) | Now::Check(_, item) => {
                Input::Confirm { item: *item, by: "AP".to_owned(), typed: None }
            }
            _ => Input::Done,
        });
        let (at, still) = moment_of(&walk, &input);
        for input in still.into_iter().chain([input]) {
            // Too close to call: the walk for this fault ends here.
            let Ok(events) = walk.accept(input, at) else { return asked };
            for event in &events {
                walk.apply(event, at).expect("what was accepted can happen");
            }
        }
    }
    asked
}

fn begun(yard: &Yard, specimen: &Specimen) -> Walk {
    let mut walk = yard.walk.clone();
    walk.apply(&specimen.opening(yard.course.tree(), "en"), Moment::default()).expect("it begins");
    walk
}

/// The first suggestion on a walk, with nothing worked out before: every fault is put into the machine.
#[divan::bench(sample_count = 20, sample_size = 1)]
fn suggestion_first_on_a_walk(bencher: Bencher) {
    let yard = largest_yard();
    let asked = asked_on_a_walk(&yard);
    let day = yard.family.day(asked[0].today);
    bencher.bench_local(|| {
        Suspicion::new(&yard.course, Some(&day), asked[0].meter).whereabouts(black_box(&asked[0]))
    });
}

/// The suggestion after one more answer, as the worker beside a walk is asked: of a whole walk the answer that takes the
/// longest.
#[divan::bench(sample_count = 20, sample_size = 1)]
fn suggestion_after_one_more_answer(bencher: Bencher) {
    let yard = largest_yard();
    let asked = asked_on_a_walk(&yard);
    let day = yard.family.day(asked[0].today);
    let after = |answers: usize| {
        let suspicion = Suspicion::new(&yard.course, Some(&day), asked[0].meter);
        for before in &asked[..answers] {
            black_box(suspicion.whereabouts(before));
        }
        suspicion
    };
    let longest = (1..asked.len()).max_by_key(|answers| {
        let suspicion = after(*answers);
        let begun = Instant::now();
        black_box(suspicion.whereabouts(&asked[*answers]));
        begun.elapsed()
    });
    let longest = longest.expect("two answers or more");
    bencher
        .with_inputs(|| after(longest))
        .bench_local_values(|suspicion| suspicion.whereabouts(black_box(&asked[longest])));
}
