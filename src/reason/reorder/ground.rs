//! Where each test of a tree can be done, and the minutes between: the standings that the tree's own steps bring about.
//!
//! A test is come to as a walk comes to it: through gates that are missing, through the things to do that lead to it,
//! and, where a plug has to be apart or a control tied, through the tree's own step that does so; what stands in the
//! way (a plug still apart before the engine may run) is put back by the tree's own step too.

use std::collections::{BTreeMap, HashMap};

use super::Reordering;
use crate::reason::costs::step_minutes;
use crate::reason::plan::{Beyond, Stand};
use crate::reason::suggest::{Branch, Spot};
use crate::safety::{Atom, Change, Demand, Facet, FacetKind, Fact, changes};
use crate::tree::{Act, Course, Kind, StepIx, Target};
use crate::units::Minutes;

/// The most standings between which the plan moves.
const MOST_SPOTS: usize = 400;
/// The most things done on the way to one test.
const MOST_DEEDS: usize = 3;

/// A test where it goes the same way for every case, in whatever situation.
#[derive(Debug)]
pub(super) struct Trial {
    pub(super) step: StepIx,
    pub(super) own: f64,
    /// How all stands at it, and after it.
    pub(super) stands: Vec<(Spot, Spot)>,
    /// By case, where it goes.
    pub(super) goes: Vec<Vec<Branch>>,
    /// By outcome, the first of the step's ways that leads there; none for what no answer takes.
    pub(super) ways: Vec<Option<usize>>,
}

/// The standings, the minutes between them, and the tests.
pub(super) struct Ground {
    pub(super) spots: Vec<Spot>,
    pub(super) travel: BTreeMap<(usize, usize), f64>,
    pub(super) trials: Vec<Trial>,
    /// What would lead to further standings.
    pub(super) beyond: Vec<Beyond>,
}

/// The way to a test: its minutes without the test's own, what is done on it, and how all stands then.
#[derive(Debug, Clone)]
pub(super) struct Lead {
    pub(super) minutes: f64,
    pub(super) steps: Vec<StepIx>,
    pub(super) at: Spot,
}

impl Reordering<'_, '_> {
    /// Every test in every standing that the tree's own steps can bring about.
    pub(super) fn ground(&self) -> Ground {
        let moves = &self.worth.moves;
        let tests = self.tests();
        let mut numbers: HashMap<Spot, usize> = HashMap::from([(moves.start(), 0)]);
        let mut ground = Ground {
            spots: vec![moves.start()],
            travel: BTreeMap::new(),
            trials: Vec::new(),
            beyond: Vec::new(),
        };
        let mut next = 0;
        while next < ground.spots.len() {
            for (step, entries) in &tests {
                let Some(lead) = self.lead(*step, entries, ground.spots[next]) else { continue };
                let leaves = moves.leave(*step, 0, lead.at);
                let mut number = |spot: Spot| {
                    if let Some(known) = numbers.get(&spot) {
                        return Some(*known);
                    }
                    (ground.spots.len() < MOST_SPOTS).then(|| {
                        ground.spots.push(spot);
                        numbers.insert(spot, ground.spots.len() - 1);
                        ground.spots.len() - 1
                    })
                };
                let (Some(to), Some(_)) = (number(lead.at), number(leaves)) else {
                    ground.beyond.push(Beyond {
                        state: next,
                        before: Minutes(lead.minutes),
                        minutes: Minutes(self.own_minutes(*step)),
                    });
                    continue;
                };
                let before = ground.travel.entry((next, to)).or_insert(f64::INFINITY);
                *before = before.min(lead.minutes);
                self.stand(&mut ground.trials, *step, (lead.at, leaves));
            }
            next += 1;
        }
        ground.trials.retain(Trial::parts);
        ground
    }

    pub(super) fn own_minutes(&self, ix: StepIx) -> f64 {
        let course = self.worth.moves.course();
        step_minutes(course.tree().step(ix), course.vocabulary(), course.tree().model.as_deref()).value()
    }

    fn stand(&self, trials: &mut Vec<Trial>, step: StepIx, stand: (Spot, Spot)) {
        if let Some(known) = trials.iter().find(|trial| trial.step == step && trial.stands.contains(&stand)) {
            debug_assert_eq!(known.step, step);
            return;
        }
        let goes: Vec<Vec<Branch>> = self
            .cases
            .iter()
            .map(|(case, _)| self.worth.chart.branches(&self.worth.moves, step, stand.0, *case).to_vec())
            .collect();
        match trials.iter_mut().find(|trial| trial.step == step && trial.goes == goes) {
            Some(trial) => trial.stands.push(stand),
            None => trials.push(Trial {
                step,
                own: self.own_minutes(step),
                stands: vec![stand],
                goes,
                ways: Vec::new(),
            }),
        }
    }

    /// The tests on the way to a find, each with the steps from which only things to do lead to it.
    pub(super) fn tests(&self) -> Vec<(StepIx, Vec<StepIx>)> {
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
        if self.worth.moves.course().prepared(test).is_led_to {
            entries.remove(0);
        }
        entries
    }

    /// The way of the fewest minutes from a standing to a test.
    pub(super) fn lead(&self, test: StepIx, entries: &[StepIx], from: Spot) -> Option<Lead> {
        let along = entries.iter().filter_map(|entry| self.along(*entry, test, from));
        let quickest = along.min_by(|a, b| a.minutes.total_cmp(&b.minutes));
        quickest.or_else(|| self.through_deeds(test, entries, from, MOST_DEEDS))
    }

    /// From one of the steps that lead to the test.
    fn along(&self, entry: StepIx, test: StepIx, from: Spot) -> Option<Lead> {
        let moves = &self.worth.moves;
        let tree = moves.course().tree();
        let (mut ix, mut spot, mut minutes, mut steps) = (entry, from, 0.0, Vec::new());
        loop {
            let arrival = moves.arrive(ix, spot)?;
            minutes += arrival.minutes;
            if ix == test {
                return Some(Lead { minutes: minutes - self.own_minutes(test), steps, at: arrival.spot });
            }
            steps.push(ix);
            spot = moves.leave(ix, 0, arrival.spot);
            ix = tree.land(tree.step(ix).targets().first().copied()?)?;
        }
    }

    /// First one thing that the test misses is done, or undone, by the tree's quickest step for it.
    fn through_deeds(&self, test: StepIx, entries: &[StepIx], from: Spot, most: usize) -> Option<Lead> {
        if let Some(known) = self.leads.borrow().get(&(test, from, most)) {
            return known.clone();
        }
        let lead = self.through_first(test, entries, from, most);
        self.leads.borrow_mut().insert((test, from, most), lead.clone());
        lead
    }

    fn through_first(&self, test: StepIx, entries: &[StepIx], from: Spot, most: usize) -> Option<Lead> {
        let missing = self.missing(test, from);
        let first =
            |(facet, wanted): (Facet, Fact)| self.through_one((facet, wanted), (test, entries), from, most);
        missing.into_iter().find_map(|kind| {
            kind.into_iter().filter_map(first).min_by(|a, b| a.minutes.total_cmp(&b.minutes))
        })
    }

    fn through_one(
        &self,
        (facet, wanted): (Facet, Fact),
        (test, entries): (StepIx, &[StepIx]),
        from: Spot,
        most: usize,
    ) -> Option<Lead> {
        let moves = &self.worth.moves;
        let setters = self.setters.get(&(facet, wanted == Fact::Yes))?;
        let ways = setters.iter().filter_map(|ix| Some((*ix, moves.arrive(*ix, from)?)));
        let (deed, arrival) = ways.min_by(|a, b| a.1.minutes.total_cmp(&b.1.minutes))?;
        let spot = moves.leave(deed, 0, arrival.spot);
        let along = entries.iter().filter_map(|entry| self.along(*entry, test, spot));
        let rest = along.min_by(|a, b| a.minutes.total_cmp(&b.minutes));
        let rest =
            rest.or_else(|| (most > 1).then(|| self.through_deeds(test, entries, spot, most - 1)).flatten())?;
        Some(Lead {
            minutes: arrival.minutes + rest.minutes,
            steps: std::iter::once(deed).chain(rest.steps).collect(),
            at: rest.at,
        })
    }

    /// What only a step of the tree can change and may keep a test from being done: what the tree has prepared at it,
    /// one at a time; else what it could do with; else what is open and stands in the way of a gate.
    fn missing(&self, test: StepIx, from: Spot) -> [Vec<(Facet, Fact)>; 3] {
        let course = self.worth.moves.course();
        let (vocabulary, standing) = (course.vocabulary(), self.worth.moves.standing(from));
        let is_named = |facet: &Facet| matches!(vocabulary.kind(*facet), FacetKind::Named(_));
        let named = |demands: &[Demand]| -> Vec<(Facet, Fact)> {
            let atoms = demands.iter().flat_map(|demand| demand.need.alternatives().iter().flatten());
            let unmet = atoms.filter(|atom| !atom.holds(&standing.state, vocabulary));
            let facts = unmet.filter_map(|atom| match atom {
                Atom::Within(facet, values) if is_named(facet) => {
                    Some((*facet, if *values == Fact::Yes.only() { Fact::Yes } else { Fact::No }))
                }
                _ => None,
            });
            facts.collect()
        };
        let prepared = named(&course.prepared(test).by_steps);
        if !prepared.is_empty() {
            return [prepared.into_iter().take(1).collect(), Vec::new(), Vec::new()];
        }
        let open = vocabulary.facets().filter(|facet| {
            is_named(facet) && standing.state.is_within(*facet, Fact::Yes.only(), vocabulary)
        });
        [Vec::new(), named(course.demands(test)), open.map(|facet| (facet, Fact::No)).collect()]
    }
}

/// By what only a step can change, the tree's steps that put it so.
pub(super) type Setters = HashMap<(Facet, bool), Vec<StepIx>>;

/// Works out which steps put what so.
pub(super) fn setters(course: &Course) -> Setters {
    let vocabulary = course.vocabulary();
    let mut setters = Setters::new();
    for (ix, step) in course.tree().iter() {
        let Kind::Do(action) = &step.kind else { continue };
        let cuts = action.acts.iter().any(|(act, _)| matches!(act, Act::Cuts));
        if action.action.is_none() || action.acts.is_empty() || cuts {
            continue;
        }
        let all = course.deeds(ix).iter().flat_map(|deed| changes(deed, vocabulary));
        for change in all {
            let Change::Set(facet, values) = change else { continue };
            let put =
                [(Fact::Yes, true), (Fact::No, false)].into_iter().find(|(fact, _)| values == fact.only());
            if let (FacetKind::Named(_), Some((_, is))) = (vocabulary.kind(facet), put) {
                setters.entry((facet, is)).or_default().push(ix);
            }
        }
    }
    setters
}

impl Ground {
    /// Where a test can be done, by the numbers of the standings.
    pub(super) fn stands(&self, trial: &Trial) -> Vec<Stand> {
        let state = |spot: Spot| self.spots.iter().position(|known| *known == spot).unwrap_or(0);
        let stand = |(at, leaves): &(Spot, Spot)| Stand { state: state(*at), leaves: state(*leaves) };
        trial.stands.iter().map(stand).collect()
    }
}

impl Trial {
    /// Does it tell any case from another?
    fn parts(&self) -> bool {
        self.goes.iter().any(|goes| *goes != self.goes[0])
    }
}
