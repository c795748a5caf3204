//! The order of tests, held against recorded exact optima and against brute force over all trees.
//!
//! `vectors/sequencing/`: exact dynamic programming over integers by an independent program; values
//! are share × minutes, so both sides are whole numbers and must be equal.

use loomwalk::reason::{
    Conditions, Effort, Order, Plan, Problem, Share, Stand, Test, huffman_mean_length, plan,
};
use loomwalk::units::Minutes;
use proptest::prelude::*;
use serde::Deserialize;

#[derive(Deserialize)]
struct Recorded {
    name: String,
    weights: Vec<u32>,
    tests: Vec<RecordedTest>,
    total_weight: u32,
    optimal_value: u64,
    greedy_value: u64,
}

#[derive(Deserialize)]
struct RecordedTest {
    cost: u32,
    result: Vec<usize>,
}

fn recorded() -> Vec<Recorded> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/vectors/sequencing");
    let mut found: Vec<Recorded> = std::fs::read_dir(folder)
        .expect("the recorded instances")
        .map(|entry| std::fs::read_to_string(entry.expect("an entry").path()).expect("text"))
        .map(|text| serde_json::from_str(&text).expect("a recorded instance"))
        .collect();
    found.sort_by(|a, b| a.name.cmp(&b.name));
    found
}

fn shares(weights: &[u32]) -> Vec<Share> {
    weights.iter().map(|w| Share(f64::from(*w))).collect()
}

fn test(minutes: u32, outcomes: &[usize]) -> Test {
    Test { minutes: Minutes(f64::from(minutes)), outcomes: outcomes.to_vec(), stands: Vec::new() }
}

fn problem(weights: &[u32], tests: &[(u32, Vec<usize>)]) -> Problem {
    let tests = tests.iter().map(|(minutes, outcomes)| test(*minutes, outcomes)).collect();
    Problem::new(&shares(weights), tests).expect("a sound problem")
}

fn solved(problem: &Problem, effort: Effort) -> Plan {
    let plan = plan(problem, effort).expect("a plan");
    assert!(plan.lower_bound.expect("a bound").value() <= plan.expected.value());
    assert!((plan.order.expected(problem).value() - plan.expected.value()).abs() < 1e-12);
    plan
}

#[test]
fn every_recorded_optimum_is_met_exactly_and_greedy_is_never_below_it() {
    let recorded = recorded();
    assert!(recorded.len() > 60, "only {} instances", recorded.len());
    for case in recorded {
        let tests: Vec<_> = case.tests.iter().map(|t| (t.cost, t.result.clone())).collect();
        let problem = problem(&case.weights, &tests);
        let total = f64::from(case.total_weight);
        let best = solved(&problem, Effort::Plan);
        assert!(best.exact, "{}", case.name);
        #[allow(clippy::cast_precision_loss)] // far below 2^53
        let (optimum, greedy_optimum) = (case.optimal_value as f64, case.greedy_value as f64);
        assert_eq!(best.expected, Minutes(optimum / total), "{}", case.name);

        let greedy = solved(&problem, Effort::Greedy);
        assert!(!greedy.exact && greedy.expected >= best.expected, "{}", case.name);
        assert_eq!(greedy.expected, Minutes(greedy_optimum / total), "greedy of {}", case.name);
    }
}

/// A small problem with conditions: shares, tests, which states they stand in, gate minutes.
#[derive(Debug, Clone)]
struct Small {
    weights: Vec<u32>,
    tests: Vec<(u32, Vec<usize>, Vec<Stand>)>,
    gates: Vec<Vec<u32>>,
    finds: Vec<usize>,
}

impl Small {
    fn problem(&self) -> Problem {
        let tests = self
            .tests
            .iter()
            .map(|(minutes, outcomes, stands)| Test { stands: stands.clone(), ..test(*minutes, outcomes) })
            .collect();
        let minutes = |row: &Vec<u32>| row.iter().map(|m| Some(Minutes(f64::from(*m)))).collect();
        let gates: Vec<Vec<_>> = self.gates.iter().map(minutes).collect();
        let conditions = Conditions::new(&gates, 0).expect("a square table");
        Problem::new(&shares(&self.weights), tests)
            .and_then(|p| p.with_finds(self.finds.iter().map(|f| vec![*f]).collect()))
            .and_then(|p| p.with_conditions(conditions))
            .expect("a sound problem")
    }

    /// Share × minutes of the best tree, by trying every test in every state at every set.
    fn brute_force(&self, live: &[usize], state: usize) -> f64 {
        if live.iter().all(|s| self.finds[*s] == self.finds[live[0]]) {
            return 0.0;
        }
        let weight: f64 = live.iter().map(|s| f64::from(self.weights[*s])).sum();
        let mut best = f64::INFINITY;
        for (minutes, outcomes, stands) in &self.tests {
            let mut seen: Vec<usize> = live.iter().map(|s| outcomes[*s]).collect();
            seen.sort_unstable();
            seen.dedup();
            if seen.len() < 2 {
                continue;
            }
            for stand in stands {
                let part = |outcome| {
                    let part: Vec<usize> = live.iter().copied().filter(|s| outcomes[*s] == outcome).collect();
                    self.brute_force(&part, stand.leaves)
                };
                let own = weight * f64::from(self.closed()[state][stand.state] + minutes);
                best = best.min(own + seen.iter().map(|o| part(*o)).sum::<f64>());
            }
        }
        // Nothing parts them: they end in one leaf.
        if best.is_infinite() { 0.0 } else { best }
    }

    /// Cheapest gates over any way, relaxed until nothing changes.
    fn closed(&self) -> Vec<Vec<u32>> {
        let states = self.gates.len();
        let mut closed = self.gates.clone();
        (0..states).for_each(|s| closed[s][s] = 0);
        for _ in 0..states {
            for from in 0..states {
                for to in 0..states {
                    for over in 0..states {
                        closed[from][to] = closed[from][to].min(closed[from][over] + closed[over][to]);
                    }
                }
            }
        }
        closed
    }
}

fn small(states: usize) -> impl Strategy<Value = Small> {
    (2_usize..=5, 0_usize..=5).prop_flat_map(move |(suspects, tests)| {
        let stand = (0..states, 0..states).prop_map(|(state, leaves)| Stand { state, leaves });
        let test = (
            0_u32..9,
            prop::collection::vec(0_usize..3, suspects),
            prop::collection::vec(stand, 1..=2.min(states)),
        );
        (
            prop::collection::vec(0_u32..20, suspects),
            prop::collection::vec(test, tests),
            prop::collection::vec(prop::collection::vec(0_u32..9, states), states),
            prop::collection::vec(0_usize..4, suspects),
        )
            .prop_map(|(mut weights, tests, gates, finds)| {
                weights[0] += 1;
                Small { weights, tests, gates, finds }
            })
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn the_plan_is_the_best_of_all_trees_for_five_suspects(case in small(1)) {
        let problem = case.problem();
        let live: Vec<usize> = (0..case.weights.len()).collect();
        let total: u32 = case.weights.iter().sum();
        let best = solved(&problem, Effort::Plan);
        prop_assert!((best.expected.value() * f64::from(total) - case.brute_force(&live, 0)).abs() < 1e-9);
    }

    #[test]
    fn with_conditions_the_plan_is_the_best_of_all_trees_too(case in small(3)) {
        let problem = case.problem();
        let live: Vec<usize> = (0..case.weights.len()).collect();
        let total: u32 = case.weights.iter().sum();
        let best = solved(&problem, Effort::Plan);
        prop_assert!((best.expected.value() * f64::from(total) - case.brute_force(&live, 0)).abs() < 1e-9);
        let greedy = solved(&problem, Effort::Greedy);
        prop_assert!(greedy.expected.value() >= best.expected.value() - 1e-9);
    }

    /// Entropy ≤ Huffman < entropy + 1 ≤ …, and Huffman ≤ the best order at one minute a test
    /// (Huffman 1952; Cover & Thomas, Elements of Information Theory, ch. 5).
    #[test]
    fn huffman_lies_between_entropy_and_the_best_order(
        weights in prop::collection::vec(1_u32..100, 2..7),
        seed in prop::collection::vec(prop::collection::vec(0_usize..2, 6), 4),
    ) {
        let total: f64 = weights.iter().map(|w| f64::from(*w)).sum();
        let entropy: f64 = weights
            .iter()
            .map(|w| f64::from(*w) / total)
            .map(|p| -p * p.log2())
            .sum();
        let huffman = huffman_mean_length(&shares(&weights), 2);
        prop_assert!(entropy <= huffman + 1e-12 && huffman < entropy + 1.0);

        let mut tests: Vec<(u32, Vec<usize>)> =
            seed.iter().map(|row| (1, row[..weights.len()].to_vec())).collect();
        // One test a suspect, so that every suspect can be told apart.
        tests.extend((0..weights.len()).map(|s| {
            (1, (0..weights.len()).map(|other| usize::from(other == s)).collect())
        }));
        let problem = problem(&weights, &tests);
        let best = solved(&problem, Effort::Plan).expected.value();
        let greedy = solved(&problem, Effort::Greedy).expected.value();
        prop_assert!(huffman <= best + 1e-12 && best <= greedy + 1e-12);
    }
}

fn tests_in(order: &Order, found: &mut Vec<usize>) {
    if let Order::Test { test, branches, .. } = order {
        found.push(*test);
        for (_, next) in branches {
            tests_in(next, found);
        }
    }
}

#[test]
fn a_test_that_separates_nothing_is_never_in_an_order() {
    let tests = [(0, vec![7, 7, 7]), (3, vec![0, 1, 1]), (4, vec![0, 0, 1])];
    for effort in [Effort::Suggestion, Effort::Plan, Effort::Greedy] {
        let mut used = Vec::new();
        tests_in(&solved(&problem(&[3, 2, 1], &tests), effort).order, &mut used);
        assert_eq!(used, [1, 2]);
    }
}

#[test]
fn suspects_that_no_test_separates_end_in_one_leaf() {
    let plan = solved(&problem(&[1, 1, 2], &[(5, vec![0, 0, 1])]), Effort::Plan);
    let Order::Test { branches, .. } = plan.order else { panic!("one test parts them") };
    assert_eq!(branches, [(0, Order::Stop(vec![0, 1])), (1, Order::Stop(vec![2]))]);
    assert_eq!(plan.expected, Minutes(5.0));
    // Three suspects, but two leaves: the bound must not ask for more than one test.
    assert_eq!(plan.lower_bound, Some(Minutes(5.0)));
}

#[test]
fn one_suspect_or_no_test_needs_no_minutes() {
    for tests in [vec![], vec![(4, vec![0, 0, 0])]] {
        let plan = solved(&problem(&[1, 2, 3], &tests), Effort::Plan);
        assert_eq!((plan.expected, plan.exact), (Minutes(0.0), true));
        assert_eq!(plan.order, Order::Stop(vec![0, 1, 2]));
    }
    assert_eq!(solved(&problem(&[9], &[(4, vec![0])]), Effort::Plan).order, Order::Stop(vec![0]));
}

#[test]
fn the_search_stops_where_one_repair_puts_right_all_that_are_left() {
    // Three breaks of one wire are one repair; the fourth suspect is another.
    let tests = vec![test(1, &[0, 0, 0, 1]), test(1, &[0, 1, 2, 0])];
    let problem = Problem::new(&shares(&[1, 1, 1, 1]), tests)
        .and_then(|p| p.with_finds(vec![vec![0], vec![0], vec![0], vec![1]]))
        .expect("a sound problem");
    let plan = solved(&problem, Effort::Plan);
    assert_eq!((plan.expected, plan.lower_bound), (Minutes(1.0), Some(Minutes(1.0))));
}

#[test]
fn raising_the_cab_once_serves_every_test_under_it() {
    // State 0: cab down. State 1: cab up, ten minutes away. Alone, the three-minute test on the
    // ground is quicker; but two tests are needed, and both of the others are under the cab.
    let under_cab = vec![Stand { state: 1, leaves: 1 }];
    let ground = vec![Stand { state: 0, leaves: 0 }];
    let stood = |minutes, outcomes: &[usize], stands: &Vec<Stand>| Test {
        stands: stands.clone(),
        ..test(minutes, outcomes)
    };
    let tests = vec![
        stood(1, &[0, 0, 1, 1], &under_cab),
        stood(1, &[0, 1, 0, 1], &under_cab),
        stood(9, &[0, 0, 1, 1], &ground),
    ];
    let gates = [vec![Some(Minutes(0.0)), Some(Minutes(10.0))], vec![Some(Minutes(4.0)), Some(Minutes(0.0))]];
    let conditions = Conditions::new(&gates, 0).expect("a square table");
    let problem = Problem::new(&shares(&[1, 1, 1, 1]), tests)
        .and_then(|p| p.with_conditions(conditions))
        .expect("a sound problem");
    assert_eq!(solved(&problem, Effort::Plan).expected, Minutes(12.0));
}

#[test]
fn beyond_the_work_allowed_rollouts_answer_and_are_no_worse_than_greedy() {
    // Thirty suspects, each with a test of its own: 2^30 sets.
    let suspects = 30;
    let weights: Vec<u32> = (0..suspects).map(|s| 1 + s * s % 17).collect();
    let tests: Vec<(u32, Vec<usize>)> = (0..suspects)
        .map(|s| (1 + s % 5, (0..suspects).map(|other| usize::from(other == s)).collect()))
        .collect();
    let problem = problem(&weights, &tests);
    let rollout = solved(&problem, Effort::Suggestion);
    assert!(!rollout.exact);
    let greedy = solved(&problem, Effort::Greedy);
    assert!(rollout.expected <= greedy.expected);
}

#[test]
fn a_hundred_and_fifty_suspects_are_ordered_too() {
    let suspects = 150_usize;
    let weights: Vec<u32> = vec![1; suspects];
    let bit = |at: usize| (2, (0..suspects).map(|s| s >> at & 1).collect());
    let problem = problem(&weights, &(0..8).map(bit).collect::<Vec<_>>());
    let plan = solved(&problem, Effort::Suggestion);
    assert!(plan.order.depth() <= 8);
    assert!(plan.expected.value() <= 16.0);
}

#[test]
fn a_problem_that_makes_no_sense_is_refused_with_its_values() {
    let told = |shares: &[f64], tests| {
        let shares: Vec<Share> = shares.iter().map(|s| Share(*s)).collect();
        Problem::new(&shares, tests).expect_err("refused").to_string()
    };
    assert_eq!(told(&[], vec![]), "no suspects");
    assert_eq!(told(&[0.0, 0.0], vec![]), "all shares are 0");
    assert_eq!(told(&[1.0, -2.0], vec![]), "suspect 1: a share of -2; it must be 0 or more");
    assert_eq!(told(&[1.0, f64::NAN], vec![]), "suspect 1: a share of NaN; it must be 0 or more");
    let test = Test { minutes: Minutes(-1.0), ..test(1, &[0, 1]) };
    assert_eq!(told(&[1.0, 1.0], vec![test]), "test 0: -1 min; minutes must be 0 or more");
}
