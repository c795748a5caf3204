//! The machine in the yard is drawn and measured as it says: against counts and moments worked out by hand.

use std::collections::HashMap;

use loomwalk::machine::Today;
use loomwalk::practice::{Bench, Dice, Health, Level, Specimen, Wanted};
use loomwalk::reason::Situation;
use loomwalk::safety::State;
use loomwalk::tree::Kind;

use super::{TERN, Yard};

#[test]
fn one_seed_is_one_machine_with_the_same_readings() {
    let Yard { course, family, pool, .. } = &*TERN;
    let tree = course.tree();
    let told = |seed: u64| {
        let mut dice = Dice::new(seed);
        let specimen =
            Specimen::draw(tree, family, pool, Wanted::default(), &mut dice).expect("a fault that shows");
        let day = specimen.day();
        let bench = Bench::new(&specimen, &day, (tree, course.vocabulary()));
        let now = Situation::of(&State::at_start(course.vocabulary()), course.vocabulary());
        let ix = tree.find("bar-volts").expect("a step");
        let reading = bench.reading(ix, &now, Health::Faulty, &mut dice).expect("a reading");
        format!("{:?} {:?} {}", specimen.hidden(), specimen.details(), reading)
    };
    assert_eq!(told(7), told(7));
    let all: Vec<String> = (0..20).map(told).collect();
    assert!(all.iter().collect::<std::collections::HashSet<_>>().len() > 15, "{all:?}");
}

#[test]
fn wires_are_up_to_five_in_a_hundred_longer_or_shorter_and_rubs_go_along() {
    let family = &TERN.family;
    let mut dice = Dice::new(3);
    let built = family.built(|_| dice.between(0.95, 1.05));
    let mut factors = Vec::new();
    for (one, other) in family.parts().elements.iter().zip(&built.parts().elements) {
        let (loomwalk::machine::Kind::Wire(one), loomwalk::machine::Kind::Wire(other)) =
            (&one.kind, &other.kind)
        else {
            continue;
        };
        let factor = other.length.value() / one.length.value();
        factors.push(factor);
        for (rub, moved) in one.rubs.iter().zip(&other.rubs) {
            assert!((moved.along.value() / rub.along.value() - factor).abs() < 1e-12);
        }
    }
    assert!(factors.iter().all(|f| (0.95..=1.05).contains(f)), "{factors:?}");
    assert!(factors.iter().any(|f| *f < 0.97) && factors.iter().any(|f| *f > 1.03), "{factors:?}");
}

/// A rectangular error of half width a has the variance a²/3 (JCGM 100:2008 4.3.7) and no tail; the digits add a
/// twelfth of a digit squared.
#[test]
fn a_meter_is_off_by_anything_within_its_class_and_by_no_more() {
    let Yard { course, family, pool, .. } = &*TERN;
    let tree = course.tree();
    let mut dice = Dice::new(11);
    let fault = family.fault_named("W35 grounded at pivot-clamp");
    let wanted = Wanted { fault, ..Wanted::default() };
    let specimen = Specimen::draw(tree, family, pool, wanted, &mut dice).expect("it shows");
    let day = specimen.day();
    let bench = Bench::new(&specimen, &day, (tree, course.vocabulary()));
    let now = Situation::default();
    let ix = tree.find("a1-feed").expect("a step");
    let shown: Vec<f64> = (0..1500)
        .map(|_| {
            bench
                .reading(ix, &now, Health::Mended, &mut dice)
                .expect("steady")
                .value()
                .expect("steady")
                .value()
        })
        .collect();
    let count = f64::from(u32::try_from(shown.len()).expect("a small count"));
    let mean = shown.iter().sum::<f64>() / count;
    let variance = shown.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / count;
    // 0.5 % + 2 digits of 0.01 V at about 12.5 V.
    let half_width = 0.005 * mean + 0.02;
    let expected = half_width * half_width / 3.0 + 0.01 * 0.01 / 12.0;
    assert!((variance / expected - 1.0).abs() < 0.08, "{variance} for {expected}");
    let furthest = shown.iter().map(|v| (v - mean).abs()).fold(0.0, f64::max);
    assert!(furthest <= half_width + 0.011, "{furthest} for {half_width}");
    assert!(furthest > half_width * 0.95, "{furthest} for {half_width}");
}

#[test]
fn faults_come_by_their_shares() {
    let Yard { course, family, pool, .. } = &*TERN;
    let tree = course.tree();
    let named: Vec<&str> = tree
        .steps
        .iter()
        .filter_map(|s| if let Kind::Find(find) = &s.kind { Some(&find.faults) } else { None })
        .flatten()
        .map(String::as_str)
        .collect();
    let mut dice = Dice::new(5);
    let mut counts: HashMap<&str, f64> = HashMap::new();
    let draws = 20_000;
    for _ in 0..draws {
        let fault = pool.draw(Level::Any, &mut dice).expect("one of them");
        *counts.entry(family.fault(fault).name.as_str()).or_default() += 1.0;
    }
    assert!(counts.keys().all(|name| named.contains(name)), "only what the tree can find");
    // Worked out again from the machine file's shares: a fault's share counts as far as its severities show.
    let day = family.day(Today::default());
    let lift = family.function("lift").expect("a function");
    let display = family.function("display").expect("a function");
    let weight = |name: &str| {
        let fault = family.fault_named(name)?;
        let steady = match family.fault(fault).kind {
            loomwalk::machine::FaultKind::Intermittent(steady) => steady,
            _ => fault,
        };
        let fails = |knot| {
            let case = day.case(&[knot]);
            !case.function(lift).works && case.function(display).works
        };
        let all: Vec<bool> = day.knots(steady).map(fails).collect();
        let count = |bools: &[bool]| f64::from(u32::try_from(bools.len()).unwrap_or(0));
        let shown: Vec<bool> = all.iter().copied().filter(|s| *s).collect();
        Some(family.fault(fault).share * count(&shown) / count(&all))
    };
    let weights: HashMap<&str, f64> = named.iter().filter_map(|n| Some((*n, weight(n)?))).collect();
    let total: f64 = weights.values().sum();
    let mut chi = 0.0;
    let mut cells = 0_u32;
    for (name, weight) in weights.iter().filter(|(_, w)| **w > 0.0) {
        let expected = f64::from(draws) * weight / total;
        let seen = counts.get(name).copied().unwrap_or(0.0);
        chi += (seen - expected) * (seen - expected) / expected;
        cells += 1;
    }
    // Chi-square with k degrees of freedom: mean k, standard deviation √(2k).
    let freedom = f64::from(cells - 1);
    assert!(chi < freedom + 4.0 * (2.0 * freedom).sqrt(), "chi-square {chi} of {freedom}");
}

#[test]
fn who_looks_misreads_three_of_a_hundred_and_a_proof_never() {
    let Yard { course, family, pool, .. } = &*TERN;
    let tree = course.tree();
    let mut dice = Dice::new(2);
    let fault = family.fault_named("W35 grounded at pivot-clamp");
    let wanted = Wanted { fault, ..Wanted::default() };
    let specimen = Specimen::draw(tree, family, pool, wanted, &mut dice).expect("it shows");
    let day = specimen.day();
    let bench = Bench::new(&specimen, &day, (tree, course.vocabulary()));
    let run_up = tree.find("in-service/run-up").expect("a step");
    let now = Situation::default().after(tree.step(run_up), course.vocabulary());
    let mut wrong = |step: &str, health, right: usize| {
        let ix = tree.find(step).expect("a step");
        (0..1500).filter(|_| bench.answer(ix, &now, health, &mut dice) != Some(right)).count()
    };
    // Binomial(1500, 0.03): mean 45, standard deviation 6.6.
    let misread = wrong("last-tried", Health::Faulty, 1);
    assert!((22..68).contains(&misread), "{misread}");
    assert_eq!(wrong("proof-lift", Health::Mended, 0), 0);
    assert_eq!(wrong("proof-lift", Health::Faulty, 1), 0);
    assert_eq!(wrong("proof-bar", Health::Mended, 0), 0);
}
