//! Faults that a tree's own order does not tell apart: groups made from the model alone, before anything is hidden.
//!
//! What a walk sees is one path of outcomes from the start to an end; tests that are not asked do not count. Two faults
//! are one group if the distributions of whole paths under them differ by less than 0.05 in total variation. With P and Q
//! the exact chances of a path (for a fault the mean over its severities of the product along the path),
//! TV = E under P of max(0, 1 − Q/P): paths are drawn under each fault, and the mean of both directions is an estimate
//! without bias. Histograms of drawn paths would overstate it.

use std::collections::HashMap;
use std::rc::Rc;

use loomwalk::practice::Dice;
use loomwalk::reason::{Lineup, Probability, Situation};
use loomwalk::safety::Vocabulary;
use loomwalk::tree::{Kind, StepIx, Target};

/// Faults whose outcomes differ by less are one group.
const ONE_GROUP: f64 = 0.05;
/// The most steps of a path.
const MOST_STEPS: usize = 200;

/// By pair of listed faults: are they one group?
pub(crate) struct Groups {
    names: Vec<String>,
    one: Vec<Vec<bool>>,
}

type Test = (StepIx, Situation);

/// What can come of a test.
struct AtTest {
    /// By outcome, the way it leads.
    ways: Vec<Option<usize>>,
    /// By listed fault and span of severity, the chances of the outcomes.
    chances: Vec<Vec<Vec<f64>>>,
}

/// Draws paths through the tree.
struct Paths<'l, 'a, 'm> {
    lineup: &'l Lineup<'a, 'm>,
    vocabulary: &'l Vocabulary,
    /// Every test that a path came to.
    tests: HashMap<Test, Rc<AtTest>>,
}

impl Groups {
    /// From so many paths under each fault.
    pub(crate) fn pathwise(
        lineup: &Lineup<'_, '_>,
        vocabulary: &Vocabulary,
        paths: usize,
        dice: &mut Dice,
    ) -> [Self; 2] {
        let count = lineup.listed().len();
        let mut drawn = Paths { lineup, vocabulary, tests: HashMap::new() };
        let mut apart = vec![vec![0.0; count]; count];
        for fault in 0..count {
            for _ in 0..paths {
                let chances = drawn.path(fault, dice);
                for (other, chance) in chances.iter().enumerate() {
                    let part = (1.0 - chance / chances[fault]).max(0.0) * 0.5 / number(paths);
                    apart[fault][other] += part;
                    apart[other][fault] += part;
                }
            }
        }
        let by_test = drawn.by_test();
        [Self::of(lineup, |one, other| apart[one][other]), Self::of(lineup, |one, other| by_test[one][other])]
    }

    fn of(lineup: &Lineup<'_, '_>, apart: impl Fn(usize, usize) -> f64) -> Self {
        let count = lineup.listed().len();
        let same = |one: usize, other: usize| one == other || apart(one, other) < ONE_GROUP;
        Self {
            names: lineup.listed().iter().map(|listed| listed.fault.clone()).collect(),
            one: (0..count).map(|one| (0..count).map(|other| same(one, other)).collect()).collect(),
        }
    }

    /// The same for the faults that another day lists.
    pub(crate) fn on(&self, lineup: &Lineup<'_, '_>) -> Vec<Vec<bool>> {
        let place = |name: &String| self.names.iter().position(|known| known == name);
        let places: Vec<Option<usize>> = lineup.listed().iter().map(|listed| place(&listed.fault)).collect();
        let same = |a: usize, b: usize| match (places[a], places[b]) {
            (Some(one), Some(other)) => self.one[one][other],
            _ => a == b,
        };
        (0..places.len()).map(|a| (0..places.len()).map(|b| same(a, b)).collect()).collect()
    }

    /// How many faults have another one in their group.
    pub(crate) fn shared(&self) -> usize {
        self.one.iter().filter(|row| row.iter().filter(|same| **same).count() > 1).count()
    }

    pub(crate) fn count(&self) -> usize {
        self.names.len()
    }
}

impl Paths<'_, '_, '_> {
    /// Draws one path under a fault; the chance of that path under every listed fault.
    fn path(&mut self, fault: usize, dice: &mut Dice) -> Vec<f64> {
        let tree = self.lineup.tree();
        let count = self.lineup.listed().len();
        let mut chances: Vec<Vec<f64>> = (0..count).map(|at| vec![1.0; self.lineup.spans(at)]).collect();
        let span = dice.one_of(chances[fault].len());
        let (mut at, mut now) = (tree.start, Situation::default());
        for _ in 0..MOST_STEPS {
            let step = tree.step(at);
            let way = match &step.kind {
                Kind::Find(_) | Kind::Close(_) | Kind::Refer(_) => break,
                Kind::Ask(_) | Kind::Look(_) | Kind::Read(_) => {
                    let test = self.test((at, now.clone()));
                    let drawn = dice.weighed(test.chances[fault][span].iter().copied());
                    let Some(nth) = drawn else { break };
                    test.take(&mut chances, nth);
                    test.ways[nth]
                }
                _ => Some(0),
            };
            now = now.after(step, self.vocabulary);
            let target = way.and_then(|way| step.targets().get(way).copied());
            let Some(next) = target.filter(|t| *t != Target::Again).and_then(|t| tree.land(t)) else { break };
            at = next;
        }
        let mean = |all: &Vec<f64>| all.iter().sum::<f64>() / number(all.len());
        chances.iter().map(mean).collect()
    }

    fn test(&mut self, test: Test) -> Rc<AtTest> {
        let lineup = self.lineup;
        let known = self.tests.entry(test).or_insert_with_key(|(ix, now)| {
            let of_span = |at: (usize, usize)| -> Vec<f64> {
                lineup.outcomes(*ix, now, at).into_iter().map(Probability::value).collect()
            };
            let of_fault =
                |fault: usize| (0..lineup.spans(fault)).map(|span| of_span((fault, span))).collect();
            let chances = (0..lineup.listed().len()).map(of_fault).collect();
            Rc::new(AtTest { ways: lineup.leads(*ix, now), chances })
        });
        Rc::clone(known)
    }

    /// As if every test that some path comes to were asked of every fault: 1 − ∏ (1 − TV of the test).
    fn by_test(&self) -> Vec<Vec<f64>> {
        let count = self.lineup.listed().len();
        let mut same = vec![vec![1.0; count]; count];
        for test in self.tests.values() {
            let means: Vec<Vec<f64>> = (0..count).map(|fault| test.mean(fault)).collect();
            for (a, row) in same.iter_mut().enumerate() {
                for (b, same) in row.iter_mut().enumerate() {
                    let apart: f64 = means[a].iter().zip(&means[b]).map(|(x, y)| (x - y).abs()).sum();
                    *same *= 1.0 - (0.5 * apart).min(1.0);
                }
            }
        }
        same.into_iter().map(|row| row.into_iter().map(|same| 1.0 - same).collect()).collect()
    }
}

impl AtTest {
    fn take(&self, chances: &mut [Vec<f64>], nth: usize) {
        for (all, own) in chances.iter_mut().zip(&self.chances) {
            all.iter_mut().zip(own).for_each(|(chance, of_span)| *chance *= of_span[nth]);
        }
    }

    fn mean(&self, fault: usize) -> Vec<f64> {
        let spans = &self.chances[fault];
        let of = |nth: usize| spans.iter().map(|chances| chances[nth]).sum::<f64>() / number(spans.len());
        (0..self.ways.len()).map(of).collect()
    }
}

fn number(count: usize) -> f64 {
    f64::from(u32::try_from(count).expect("few"))
}
