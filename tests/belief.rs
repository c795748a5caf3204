//! Belief, held against recorded posteriors and against its own contract.
//!
//! `vectors/posterior/`: exact and numpy log-domain arithmetic, checked against pgmpy 1.1 by an
//! independent program. Compared within 1e-9 in the log domain.

use loomwalk::reason::{
    Belief, BeliefError, Evidence, Harness, Likelihood, Likely, Listed, LogChance, Model, Probability, Share,
    Who, explain, intermittent_chance, rank, ruled_out, tied_chance, untied_chance,
};
use proptest::prelude::*;
use serde::Deserialize;

#[derive(Deserialize)]
struct Recorded {
    name: String,
    prior: Vec<f64>,
    tests: Vec<RecordedTest>,
    observations: Vec<Observed>,
    posterior: Option<Vec<f64>>,
    log_evidence: Option<f64>,
    expect: String,
}

#[derive(Deserialize)]
struct RecordedTest {
    id: String,
    outcomes: Vec<String>,
    likelihood: Vec<Vec<f64>>,
}

#[derive(Deserialize)]
struct Observed {
    test: String,
    outcome: String,
}

fn recorded() -> Vec<Recorded> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/vectors/posterior");
    std::fs::read_dir(folder)
        .expect("the recorded instances")
        .map(|entry| std::fs::read_to_string(entry.expect("an entry").path()).expect("text"))
        .map(|text| serde_json::from_str(&text).expect("a recorded instance"))
        .collect()
}

fn likelihood(chances: impl IntoIterator<Item = f64>) -> Likelihood {
    Likelihood::new(&chances.into_iter().map(Probability).collect::<Vec<_>>()).expect("chances")
}

fn prior(shares: &[f64]) -> Belief {
    Belief::new(&shares.iter().map(|s| Share(*s)).collect::<Vec<_>>()).expect("shares")
}

fn observed(case: &Recorded) -> Belief {
    let mut belief = prior(&case.prior);
    for seen in &case.observations {
        let test = case.tests.iter().find(|t| t.id == seen.test).expect("a test");
        let outcome = test.outcomes.iter().position(|o| *o == seen.outcome).expect("an outcome");
        let column = likelihood(test.likelihood.iter().map(|row| row[outcome]));
        belief.observe(&column).expect("one chance a hypothesis");
    }
    belief
}

#[test]
fn every_recorded_posterior_is_met_in_the_log_domain() {
    let recorded = recorded();
    assert!(recorded.len() >= 8);
    for case in recorded {
        let found = observed(&case).posterior();
        if case.expect == "contradiction" {
            assert_eq!(found, Err(BeliefError::Contradiction), "{}", case.name);
            continue;
        }
        let found = found.expect("a posterior");
        let log_evidence = case.log_evidence.expect("recorded");
        assert!((found.log_evidence.value() - log_evidence).abs() < 1e-9, "{}", case.name);
        let expected = case.posterior.expect("recorded");
        assert_eq!(found.logs.len(), expected.len());
        for (at, (found, expected)) in found.logs.iter().zip(&expected).enumerate() {
            let same = match found.value() {
                log if *expected > 0.0 => (log - expected.ln()).abs() < 1e-9,
                log => log == f64::NEG_INFINITY,
            };
            assert!(same, "{} hypothesis {at}: {} against ln {expected}", case.name, found.value());
        }
        let sum: f64 = found.probabilities().iter().map(|p| p.value()).sum();
        assert!((sum - 1.0).abs() < 1e-12);
    }
}

#[test]
fn a_thousand_unlikely_observations_do_not_underflow() {
    let mut belief = prior(&[1.0, 1.0]);
    for _ in 0..1000 {
        belief.observe(&likelihood([1e-9, 2e-9])).expect("two chances");
    }
    let found = belief.posterior().expect("a posterior");
    // The ratio is 2^1000, and neither product fits a double.
    assert!((found.logs[0].value() + 1000.0 * 2_f64.ln()).abs() < 1e-9);
    assert_eq!(found.probability(1), Probability(1.0));
}

#[test]
fn shares_of_any_size_are_shares() {
    for scale in [1e-300, 1.0, 1e300] {
        let found = prior(&[scale, 3.0 * scale]).posterior().expect("a posterior");
        assert!((found.probability(1).value() - 0.75).abs() < 1e-12);
        assert!(found.log_evidence.value().abs() < 1e-12);
    }
}

#[test]
fn what_is_no_chance_is_refused_with_its_value() {
    let told = |shares: &[f64]| {
        Belief::new(&shares.iter().map(|s| Share(*s)).collect::<Vec<_>>()).expect_err("refused").to_string()
    };
    assert_eq!(told(&[0.0]), "no hypothesis has a share above 0");
    assert_eq!(told(&[1.0, -1.0]), "hypothesis 1: a share of -1; it must be 0 or more");
    let refused = Likelihood::new(&[Probability(0.1), Probability(1.5)]).expect_err("refused");
    assert_eq!(refused.to_string(), "hypothesis 1: a likelihood of 1.5; it must lie between 0 and 1");
    assert!(Likelihood::new(&[Probability(f64::NAN)]).is_err());
    let count = prior(&[1.0, 1.0]).observe(&likelihood([0.5])).expect_err("refused");
    assert_eq!(count.to_string(), "likelihoods for 1 of 2 hypotheses");
}

fn listed(shares: &[f64]) -> Vec<Listed> {
    let fault = |(at, share): (usize, &f64)| Listed {
        fault: format!("f{at}"),
        share: Share(*share),
        intermittent: false,
    };
    shares.iter().enumerate().map(fault).collect()
}

fn seen(step: &str, chances: &[f64], even: f64) -> Evidence {
    Evidence {
        step: step.to_owned(),
        outcome: "seen".to_owned(),
        chances: chances.iter().map(|c| vec![Probability(*c)]).collect(),
        is_reading: true,
        even: Probability(even),
    }
}

fn close(found: Probability, expected: f64) -> bool {
    (found.value() - expected).abs() < 1e-12
}

#[test]
fn before_any_evidence_something_else_has_five_in_a_hundred() {
    let ranking = rank(&listed(&[1.0, 3.0]), &[]).expect("a ranking");
    let of = |who| ranking.of(who).expect("a line").probability;
    assert!(close(of(Who::NotListed), 0.05));
    assert!(close(of(Who::Listed(1)), 0.75 * 0.95));
    assert_eq!(ranking.suspects.len(), 3);
}

#[test]
fn two_readings_like_nothing_listed_fit_none() {
    // Twelve faults; twice a reading in a gap that is 0.3 of the range, where slip alone puts it.
    let listed = listed(&[1.0; 12]);
    let gap = seen("gap", &[0.02 * 0.3; 12], 0.3);
    let once = rank(&listed, &[&gap]).expect("a ranking");
    let twice = rank(&listed, &[&gap, &gap]).expect("a ranking");
    let not = |r: &loomwalk::reason::Ranking| r.of(Who::NotListed).expect("a line").probability.value();
    // By hand: two tenths even is 0.2·0.3 + 0.8·0.006 = 0.0648 against 0.006, 10.8 to one; four tenths 20.6, six 30.4.
    // Alike likely, from 0.05: 20.6 to one after one reading, after two (10.8² + 20.6² + 30.4²)/3 = 488.386…
    assert!((not(&once) - 0.05 * 20.6 / (0.05 * 20.6 + 0.95)).abs() < 1e-12);
    let squares = (10.8_f64 * 10.8 + 20.6 * 20.6 + 30.4 * 30.4) / 3.0;
    assert!((not(&twice) - 0.05 * squares / (0.05 * squares + 0.95)).abs() < 1e-12);
    assert!(twice.fits_none() && not(&twice) > 0.96);
}

/// By hand: a fault that is slight or grave, alike likely, read slight twice (0.8 and 0.1): the mean of the products is
/// (0.64 + 0.01)/2 = 0.325, against 0.45² = 0.2025 of another; the product of means would have 0.2025 too.
#[test]
fn a_fault_is_held_against_all_evidence_at_one_severity_at_a_time() {
    let two = listed(&[1.0, 1.0]);
    let slight = Evidence {
        chances: vec![vec![Probability(0.8), Probability(0.1)], vec![Probability(0.45)]],
        ..seen("slight", &[], 0.45)
    };
    let ranking = rank(&two, &[&slight, &slight]).expect("a ranking");
    let of = |at| ranking.of(Who::Listed(at)).expect("a line").probability.value();
    assert!((of(0) / of(1) - 0.325 / 0.2025).abs() < 1e-12);
    let once = rank(&two, &[&slight]).expect("a ranking");
    let of = |at| once.of(Who::Listed(at)).expect("a line").probability.value();
    assert!((of(0) / of(1) - 1.0).abs() < 1e-12, "before the second reading they stand alike");
}

/// By hand: at rest a good reading (0.9) has 0.95 · 0.9 + 0.05 · 0.02 = 0.856 under a fault that comes and goes, while
/// moved 0.46, and 0.02 under the steady one.
#[test]
fn faults_that_come_and_go_are_alike_after_each_read_good_once_moved_and_steady_ones_fall_behind() {
    let mut faults = listed(&[6.0, 1.0, 1.0, 1.0]);
    faults.iter_mut().skip(1).for_each(|fault| fault.intermittent = true);
    let good = |harness| intermittent_chance(Probability(0.02), Probability(0.9), harness).value();
    assert!(
        close(Probability(good(Harness::AtRest)), 0.856) && close(Probability(good(Harness::Moved)), 0.46)
    );
    let moved = |at: usize| {
        let of = |fault: usize| good(if fault == at { Harness::Moved } else { Harness::AtRest });
        seen("moved", &[0.02, of(1), of(2), of(3)], 0.1)
    };
    let (one, two, three) = (moved(1), moved(2), moved(3));
    let ranking = rank(&faults, &[&one, &two, &three]).expect("a ranking");
    let of = |at: usize| ranking.of(Who::Listed(at)).expect("a line").probability;
    assert!(close(of(1), of(2).value()) && close(of(2), of(3).value()));
    assert!(of(1).value() > 0.3 && of(0).value() < 0.001);
    let last = rank(&faults, &[&one]).expect("a ranking");
    assert!(last.of(Who::Listed(1)).expect("a line").probability < of(1));
}

#[test]
fn while_moved_an_intermittent_fault_shows_its_steady_form_half_the_time() {
    let (steady, healthy) = (Probability(0.9), Probability(0.02));
    assert!(close(intermittent_chance(steady, healthy, Harness::Moved), 0.46));
    assert!(intermittent_chance(steady, healthy, Harness::AtRest).value() < 0.1);
}

#[test]
fn untied_answers_weigh_by_the_shape_of_the_tree() {
    // ε = 0.03: two of three next steps lead to the fault.
    let towards = [true, true, false];
    assert!(close(untied_chance(&towards, 0), 0.97 / 2.0 + 0.03 / 3.0));
    assert!(close(untied_chance(&towards, 2), 0.03 / 3.0));
    assert!(close(untied_chance(&[false, false], 1), 0.5));
    for towards in [vec![true, false, false], vec![true; 4], vec![false; 3]] {
        let sum: f64 = (0..towards.len()).map(|b| untied_chance(&towards, b).value()).sum();
        assert!((sum - 1.0).abs() < 1e-12);
    }
    assert!(close(tied_chance(Model::Agrees), 0.97) && close(tied_chance(Model::Contradicts), 0.03));
}

#[test]
fn the_words_go_by_place_and_probability() {
    let ranking = rank(&listed(&[50.0, 40.0, 6.0, 4.0]), &[]).expect("a ranking");
    let words: Vec<Likely> = ranking.suspects.iter().map(|s| s.likely).collect();
    let expected =
        [Likely::Likeliest, Likely::Possible, Likely::Possible, Likely::Possible, Likely::Unlikely];
    assert_eq!(words, expected);
    // A leader below 30 % is possible, not likeliest.
    let even = rank(&listed(&[1.0; 12]), &[]).expect("a ranking");
    assert_eq!(even.head().expect("a line").likely, Likely::Possible);
}

#[test]
fn what_a_reading_ruled_out_is_counted_among_those_still_suspect() {
    let faults = listed(&[1.0; 12]);
    let (bad, good) = (0.001, 0.9);
    let chances: Vec<f64> = (0..12).map(|f| if f < 7 { bad } else { good }).collect();
    let first = seen("first", &chances, 0.5);
    let told = ruled_out(&faults, &[&first]).expect("counted");
    assert_eq!((told.faults, told.of), (7, 12));
    assert!(close(told.share, 0.95 * 7.0 / 12.0));
    // The same again rules out nobody, of the five that are left.
    let again = ruled_out(&faults, &[&first, &first]).expect("counted");
    assert_eq!((again.faults, again.of), (0, 5));
}

#[test]
fn an_explanation_cites_what_suffices_and_its_bits_add_up() {
    let faults = listed(&[1.0, 1.0, 1.0]);
    let strong = seen("strong", &[0.9, 0.05, 0.05], 0.5);
    let weak = seen("weak", &[0.5, 0.45, 0.5], 0.5);
    let told = explain(&faults, &[&weak, &strong], Who::Listed(0)).expect("told");
    assert_eq!(told.cited.iter().map(|b| b.evidence).collect::<Vec<_>>(), [1]);
    let sum: f64 = told.moved.iter().map(|b| b.bits.value()).sum();
    let now = rank(&faults, &[&weak, &strong]).expect("ranked").head().expect("a line").probability;
    assert!((sum - (now.value() / (0.95 / 3.0)).log2()).abs() < 1e-9);
}

#[derive(Debug, Clone)]
struct Walk {
    shares: Vec<f64>,
    evidence: Vec<Vec<f64>>,
    order: Vec<usize>,
}

fn walks() -> impl Strategy<Value = Walk> {
    (1_usize..8, 0_usize..7).prop_flat_map(|(faults, steps)| {
        (
            prop::collection::vec(0.1_f64..10.0, faults),
            prop::collection::vec(prop::collection::vec(0.001_f64..1.0, faults), steps),
            Just((0..steps).collect::<Vec<_>>()).prop_shuffle(),
        )
            .prop_map(|(shares, evidence, order)| Walk { shares, evidence, order })
    })
}

proptest! {
    #[test]
    fn the_order_of_evidence_does_not_matter_and_all_sums_to_one(walk in walks()) {
        let mut faults = listed(&walk.shares);
        faults[0].intermittent = walk.shares.len() > 2;
        let evidence: Vec<Evidence> = walk.evidence.iter().map(|chances| seen("step", chances, 0.3)).collect();
        let forward: Vec<&Evidence> = evidence.iter().collect();
        let shuffled: Vec<&Evidence> = walk.order.iter().map(|at| &evidence[*at]).collect();
        let (a, b) = (rank(&faults, &forward).expect("a"), rank(&faults, &shuffled).expect("b"));
        let sum: f64 = a.suspects.iter().map(|s| s.probability.value()).sum();
        prop_assert!((sum - 1.0).abs() < 1e-12);
        for line in &a.suspects {
            let other = b.of(line.who).expect("the same suspects");
            prop_assert!((line.probability.value() - other.probability.value()).abs() < 1e-12);
        }
    }

    #[test]
    fn keep_only_what_the_explanation_cites_and_the_head_stays(walk in walks()) {
        let faults = listed(&walk.shares);
        let evidence: Vec<Evidence> =
            walk.evidence.iter().map(|chances| seen("step", chances, 0.3)).collect();
        let all: Vec<&Evidence> = evidence.iter().collect();
        let head = *rank(&faults, &all).expect("a ranking").head().expect("a head");
        let told = explain(&faults, &all, head.who).expect("told");
        let mut cited: Vec<usize> = told.cited.iter().map(|b| b.evidence).collect();
        cited.sort_unstable();
        let kept: Vec<&Evidence> = cited.iter().map(|at| &evidence[*at]).collect();
        let with_cited = rank(&faults, &kept).expect("a ranking");
        let now = with_cited.head().expect("a head");
        prop_assert_eq!((now.who, now.likely), (head.who, head.likely));
        // The bits of all that was seen lead from what each was before to what it is now.
        let (at_first, at_last) = (rank(&faults, &[]).expect("shares"), rank(&faults, &all).expect("a ranking"));
        for line in &at_last.suspects {
            let told = explain(&faults, &all, line.who).expect("told");
            let bits: f64 = told.moved.iter().map(|because| because.bits.value()).sum();
            let before = at_first.of(line.who).expect("the same suspects").probability.value();
            prop_assert!((bits - (line.probability.value() / before).log2()).abs() < 1e-9, "{told:?}");
        }
    }

    /// Against brute force: the product of plain probabilities.
    #[test]
    fn belief_is_share_times_likelihoods(walk in walks()) {
        let mut belief = prior(&walk.shares);
        for chances in &walk.evidence {
            belief.observe(&likelihood(chances.iter().copied())).expect("as many");
        }
        let products: Vec<f64> = (0..walk.shares.len())
            .map(|f| walk.shares[f] * walk.evidence.iter().map(|row| row[f]).product::<f64>())
            .collect();
        let total: f64 = products.iter().sum();
        let found = belief.posterior().expect("a posterior");
        for (log, product) in found.logs.iter().zip(&products) {
            prop_assert!((log.value() - (product / total).ln()).abs() < 1e-9);
        }
        let shares: f64 = walk.shares.iter().sum();
        prop_assert!((found.log_evidence.value() - (total / shares).ln()).abs() < 1e-9);
        let _: LogChance = found.log_evidence;
    }
}
