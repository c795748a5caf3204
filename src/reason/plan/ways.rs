//! What no order can beat, gates counted: what each suspect's own way takes at least.
//!
//! Two suspects that no find names together end apart. So on the way of a suspect f stands, for each g that must end
//! apart from it, some test that parts f from g. To have done test t takes at least d(t): the shortest way from the start
//! to a state where t can be done, over gates and over what other tests leave behind, and t's own minutes. Let d be the
//! least such that the tests with d(t) ≤ d, all of them done, leave f with nothing that must end apart from it: with
//! those below d alone some such g is left, so f's way holds a test with d(t) ≥ d and takes at least d. The mean of
//! these over the shares is a bound.
//!
//! An order takes its gates and its tests' own minutes, and each may be bounded apart: the same count with tests that
//! take nothing bounds the gates, with gates that take nothing it bounds the tests, as does Huffman's (`bound.rs`).
//!
//! Where a problem lacks something of a larger question, it is taken to part more than it does: a test at which a suspect
//! goes several ways, each a part of its share, keeps together those that go the same ways (of each there is a part that
//! went like any part of the other, so that test alone never parts them); what is not known at all parts everything.

use std::collections::BTreeMap;

use super::groups::{Grouped, Split};
use super::problem::Test;
use super::set::Set;
use crate::units::Minutes;

/// What a problem lacks of a larger question.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::reason) struct Lacks {
    /// Tests that are left out; suspects with one outcome in common go the same ways there.
    pub(in crate::reason) tests: Vec<Test>,
    /// Tests that nothing more is known of.
    pub(in crate::reason) beyond: Vec<Beyond>,
    /// The most outcomes of any test, and the fewest minutes, of the whole question.
    pub(in crate::reason) letters: usize,
    pub(in crate::reason) cheapest: Minutes,
}

/// A test from where it is come to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::reason) struct Beyond {
    /// The state.
    pub(in crate::reason) state: usize,
    /// Minutes of the gates and the way to it.
    pub(in crate::reason) before: Minutes,
    /// Its own minutes.
    pub(in crate::reason) minutes: Minutes,
}

/// Minutes that no order can beat: `own` is another bound of what the tests themselves take.
pub(super) fn least<const W: usize>(grouped: &Grouped<'_, W>, lacks: Option<&Lacks>, own: f64) -> f64 {
    let left_out: Vec<Split<W>> =
        lacks.iter().flat_map(|lacks| &lacks.tests).map(|test| left_out(grouped, test)).collect();
    let tests: Vec<&Split<W>> = grouped.splits.iter().chain(&left_out).collect();
    let beyond = lacks.map_or(&[][..], |lacks| &lacks.beyond);
    // What nothing of the problem parts, more tests may, and each part then ends with others.
    let ends = match lacks {
        Some(_) => grouped.loosest_ends(),
        None => (0..grouped.members.len()).map(|group| grouped.ends_with(group)).collect(),
    };
    let (counted, free) = (|minutes: f64| minutes, |_: f64| 0.0);
    let together = mean((grouped, &ends), (&tests, beyond), (counted, counted));
    let gates = mean((grouped, &ends), (&tests, beyond), (counted, free));
    let tests = mean((grouped, &ends), (&tests, beyond), (free, counted));
    together.max(gates + tests.max(own))
}

/// A test over groups that are the same to all others: one whose members go different ways is parted from every other.
fn left_out<const W: usize>(grouped: &Grouped<'_, W>, test: &Test) -> Split<W> {
    let mut branches: BTreeMap<(usize, usize), Set<W>> = BTreeMap::new();
    for (group, members) in grouped.members.iter().enumerate() {
        let outcome = test.outcomes[members[0]];
        let is_one = members.iter().all(|suspect| test.outcomes[*suspect] == outcome);
        let key = if is_one { (0, outcome) } else { (1, group) };
        branches.entry(key).or_insert(Set::EMPTY).insert(group);
    }
    let branches = branches.into_values().enumerate().collect();
    Split { test: usize::MAX, minutes: test.minutes.value(), branches, stands: test.stands.clone() }
}

/// The mean of what each suspect's way takes at least, by what gates and tests count.
fn mean<const W: usize>(
    (grouped, ends): (&Grouped<'_, W>, &[Set<W>]),
    (splits, beyond): (&[&Split<W>], &[Beyond]),
    (gates, tests): (impl Fn(f64) -> f64, impl Fn(f64) -> f64),
) -> f64 {
    let come = soonest(grouped, splits, (&gates, &tests));
    let others = beyond
        .iter()
        .map(|other| come[other.state] + gates(other.before.value()) + tests(other.minutes.value()));
    let others = others.fold(f64::INFINITY, f64::min);
    let done = |split: &Split<W>| {
        let come = split.stands.iter().map(|stand| come[stand.state]).fold(f64::INFINITY, f64::min);
        (come + tests(split.minutes)).min(others)
    };
    let mut by_minutes: Vec<(f64, &Split<W>)> = splits.iter().map(|split| (done(split), *split)).collect();
    by_minutes.sort_by(|a, b| a.0.total_cmp(&b.0));
    let weight = |blocks: &[Set<W>]| -> f64 { blocks.iter().map(|block| grouped.weight(*block)).sum() };
    let mut blocks = vec![unsettled(ends, grouped.all())];
    let mut sum = 0.0;
    for (minutes, split) in by_minutes {
        let before = weight(&blocks);
        let parts = blocks.iter().flat_map(|block| split.branches.iter().map(|(_, part)| block.and(*part)));
        blocks = parts.map(|part| unsettled(ends, part)).filter(|part| !part.is_empty()).collect();
        let settled = before - weight(&blocks);
        if settled > 0.0 {
            sum += settled * minutes;
        }
    }
    sum / grouped.weight(grouped.all())
}

/// Those of a set that must end apart from some other of it.
fn unsettled<const W: usize>(ends: &[Set<W>], set: Set<W>) -> Set<W> {
    let mut left = Set::EMPTY;
    set.groups().filter(|group| !set.within(ends[*group])).for_each(|group| left.insert(group));
    left
}

/// By state, the least in which it can be come to: over gates, and over what the tests leave behind
/// (Dijkstra, Numer. Math. 1:269–271, 1959).
fn soonest<const W: usize>(
    grouped: &Grouped<'_, W>,
    splits: &[&Split<W>],
    (gates, tests): (impl Fn(f64) -> f64, impl Fn(f64) -> f64),
) -> Vec<f64> {
    let mut left_by_tests: Vec<Vec<(usize, f64)>> = vec![Vec::new(); grouped.states];
    for split in splits {
        for stand in split.stands.iter().filter(|stand| stand.state != stand.leaves) {
            left_by_tests[stand.state].push((stand.leaves, tests(split.minutes)));
        }
    }
    let mut come = vec![f64::INFINITY; grouped.states];
    come[grouped.problem.conditions().start()] = 0.0;
    let mut open: Vec<usize> = (0..grouped.states).collect();
    while let Some(next) = (0..open.len()).min_by(|a, b| come[open[*a]].total_cmp(&come[open[*b]])) {
        let from = open.swap_remove(next);
        let over_gates = (0..grouped.states).map(|to| (to, gates(grouped.travel(from, to))));
        for (to, minutes) in over_gates.chain(left_by_tests[from].iter().copied()) {
            come[to] = come[to].min(come[from] + minutes);
        }
    }
    come
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::{Conditions, Effort, Problem, Stand, Test, floor, plan};
    use super::{Beyond, Lacks};
    use crate::reason::Share;
    use crate::units::Minutes;

    const STATES: usize = 3;

    /// A test over cases: each goes one way or two, each with its part.
    #[derive(Debug, Clone)]
    struct Trial {
        minutes: u32,
        ways: Vec<Vec<usize>>,
        stands: Vec<Stand>,
    }

    #[derive(Debug, Clone)]
    struct Whole {
        shares: Vec<u32>,
        finds: Vec<Vec<usize>>,
        gates: Vec<Vec<u32>>,
        trials: Vec<Trial>,
    }

    fn whole() -> impl Strategy<Value = Whole> {
        (2_usize..=4).prop_flat_map(|cases| {
            let one_or_two = prop_oneof![
                3 => (0_usize..3).prop_map(|way| vec![way]),
                1 => prop_oneof![Just(vec![0, 1]), Just(vec![0, 2]), Just(vec![1, 2])],
            ];
            let stand = (0..STATES, 0..STATES).prop_map(|(state, leaves)| Stand { state, leaves });
            let ways = prop::collection::vec(one_or_two, cases);
            let trial = (0_u32..6, ways, prop::collection::vec(stand, 1..=2))
                .prop_map(|(minutes, ways, stands)| Trial { minutes, ways, stands });
            let gates = prop::collection::vec(prop::collection::vec(0_u32..9, STATES), STATES);
            let finds = prop::collection::vec(prop::collection::vec(0_usize..4, 1..=2), cases);
            (prop::collection::vec(1_u32..9, cases), finds, gates, prop::collection::vec(trial, 1..=4))
                .prop_map(|(shares, finds, gates, trials)| Whole { shares, finds, gates, trials })
        })
    }

    /// A part of a case: its share, and the way it goes at each trial.
    type Part = (usize, f64, Vec<usize>);

    impl Whole {
        /// The cases, those that go two ways at one of these trials in parts.
        fn parts(&self, trials: &[&Trial]) -> Vec<Part> {
            let shares = self.shares.iter().enumerate();
            let mut parts: Vec<Part> =
                shares.map(|(case, share)| (case, f64::from(*share), Vec::new())).collect();
            for trial in trials {
                let split = |(case, share, gone): &Part| {
                    let ways = &trial.ways[*case];
                    let part = if ways.len() == 2 { share / 2.0 } else { *share };
                    ways.iter().map(|way| (*case, part, [gone.as_slice(), &[*way]].concat())).collect()
                };
                parts = parts.iter().flat_map(|part| -> Vec<Part> { split(part) }).collect();
            }
            parts
        }

        fn problem(&self, trials: &[&Trial]) -> Problem {
            let parts = self.parts(trials);
            let shares: Vec<Share> = parts.iter().map(|(_, share, _)| Share(*share)).collect();
            let tests = trials.iter().enumerate().map(|(at, trial)| Test {
                minutes: Minutes(f64::from(trial.minutes)),
                outcomes: parts.iter().map(|(_, _, gone)| gone[at]).collect(),
                stands: trial.stands.clone(),
            });
            let gates: Vec<Vec<_>> = self
                .gates
                .iter()
                .map(|row| row.iter().map(|minutes| Some(Minutes(f64::from(*minutes)))).collect())
                .collect();
            Problem::new(&shares, tests.collect())
                .and_then(|p| {
                    p.with_finds(parts.iter().map(|(case, ..)| self.finds[*case].clone()).collect())
                })
                .and_then(|p| p.with_conditions(Conditions::new(&gates, 0)?))
                .expect("a sound problem")
        }

        /// The same without the last `out` trials: the first of them only by who goes the same ways, the others unknown.
        fn lacking(&self, out: usize) -> (Problem, Option<Lacks>) {
            let trials: Vec<&Trial> = self.trials.iter().collect();
            let (kept, left_out) = trials.split_at(trials.len() - out.min(trials.len()));
            let Some((known, unknown)) = left_out.split_first() else { return (self.problem(kept), None) };
            let number = |ways: &[usize]| ways.iter().map(|way| 1 << way).sum();
            let test = Test {
                minutes: Minutes(f64::from(known.minutes)),
                outcomes: self.parts(kept).iter().map(|(case, ..)| number(&known.ways[*case])).collect(),
                stands: known.stands.clone(),
            };
            let beyond = unknown.iter().flat_map(|trial| {
                let minutes = Minutes(f64::from(trial.minutes));
                trial.stands.iter().map(move |at| Beyond { state: at.state, before: Minutes(0.0), minutes })
            });
            let cheapest = self.trials.iter().map(|trial| trial.minutes).min().unwrap_or(0);
            let lacks = Lacks {
                tests: vec![test],
                beyond: beyond.collect(),
                letters: 3,
                cheapest: Minutes(f64::from(cheapest)),
            };
            (self.problem(kept), Some(lacks))
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(1500))]

        /// The exact plan of the whole is itself held by brute force, in `tests/sequencing.rs`.
        #[test]
        fn no_order_of_the_whole_beats_what_is_said_of_a_part_of_it(whole in whole(), out in 0_usize..=3) {
            let all: Vec<&Trial> = whole.trials.iter().collect();
            let best = plan(&whole.problem(&all), Effort::Plan).expect("a plan");
            prop_assert!(best.exact);
            let (problem, lacks) = whole.lacking(out);
            let floor = floor(&problem, lacks.as_ref()).expect("few suspects");
            prop_assert!(floor.value() <= best.expected.value() + 1e-9, "{floor:?} {best:?}");
        }
    }

    /// Two parts of suspects with different finds that only a test left out parts: each ends with others of its find, and
    /// is no end of its own.
    #[test]
    fn what_only_a_test_left_out_parts_is_no_end_of_its_own() {
        let trial = |minutes: u32, ways: [&[usize]; 3]| Trial {
            minutes,
            ways: ways.iter().map(|ways| ways.to_vec()).collect(),
            stands: vec![Stand { state: 0, leaves: 0 }],
        };
        let whole = Whole {
            shares: vec![1; 3],
            finds: vec![vec![0], vec![1], vec![1]],
            gates: vec![vec![0; STATES]; STATES],
            trials: vec![
                trial(2, [&[0, 1], &[0], &[0]]),
                trial(2, [&[0, 1], &[0, 2], &[0, 1]]),
                trial(1, [&[1], &[0], &[0]]),
                trial(1, [&[0], &[0], &[0]]),
            ],
        };
        let (problem, lacks) = whole.lacking(2);
        let floor = floor(&problem, lacks.as_ref()).expect("few suspects");
        // All four: the third alone parts the first from the others.
        assert!(floor <= Minutes(1.0), "{floor:?}");
    }

    #[test]
    fn gates_that_every_way_needs_are_counted() {
        // Two suspects, one test, four minutes away: the bound is the plan.
        let stands = vec![Stand { state: 1, leaves: 1 }];
        let tests = vec![Test { minutes: Minutes(0.0), outcomes: vec![0, 1], stands }];
        let gates = [vec![Some(Minutes(0.0)), Some(Minutes(4.0))], vec![None, Some(Minutes(0.0))]];
        let problem = Problem::new(&[Share(1.0), Share(2.0)], tests)
            .and_then(|p| p.with_conditions(Conditions::new(&gates, 0)?))
            .expect("a sound problem");
        assert_eq!(floor(&problem, None), Some(Minutes(4.0)));
    }
}
