//! What each step of a tree would show on a machine with a given fault in it, on one day.
//!
//! Answers tied to a function or a code come from the settled machine, readings from its meter; a
//! place looked at tells a fault that sits there. What the model cannot tell is open: it goes every
//! way.

use std::cell::{OnceCell, RefCell};
use std::collections::HashMap;
use std::rc::Rc;

use super::cells::{Predicted, Shown, Shows as Reads};
use super::constants::MEASURED_SPREAD;
use super::evidence::Harness;
use super::likeness::{Likeness, Sample};
use super::shape::reached;
use super::situation::{Situation, probes, setup_at, symptom_setup};
use crate::machine::{Case, CodeName, Day, Dictionary, FaultId, Machine, Rig, Setup};
use crate::safety::Vocabulary;
use crate::tree::{
    Answer, Ask, BandKind, Kind, Leads, Observe, Read, Seen, Shows, Step, StepIx, Target, Tree,
};
use crate::units::{Amount, Band, Measure, Meter, SPREAD, Verdict, place};

/// What was worked out for a step in a situation.
type ByStep<T> = RefCell<HashMap<(StepIx, Situation), T>>;

/// A tree and its machine on one day.
pub struct Outlook<'a, 'm> {
    pub(super) tree: &'a Tree,
    pub(super) day: &'a Day<'m>,
    pub(super) vocabulary: &'a Vocabulary,
    pub(super) meter: Meter,
    /// For each step the faults named by the finds that can be reached from it.
    pub(super) named: Vec<Vec<FaultId>>,
    dictionary: OnceCell<Dictionary<'a, 'm>>,
    setups: RefCell<Vec<Rc<Rig<'m>>>>,
    rigs: ByStep<Option<Rc<Rig<'m>>>>,
    likenesses: ByStep<Rc<Likeness>>,
}

/// Where a step would lead with a fault in the machine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Foretold {
    /// One of these ways, by their places among the step's answers or bands; several where a reading
    /// is too close to an edge or changes. Empty: no answer or band takes it.
    Ways(Vec<usize>),
    /// The model cannot tell.
    Open,
}

impl<'a, 'm> Outlook<'a, 'm> {
    /// Prepares a tree and a machine on one day, read with this meter.
    #[must_use]
    pub fn new(tree: &'a Tree, day: &'a Day<'m>, vocabulary: &'a Vocabulary, meter: Meter) -> Self {
        let machine = day.machine();
        let named = reached(tree, |find| find.faults.iter().filter_map(|f| machine.fault_named(f)).collect());
        Self {
            tree,
            day,
            vocabulary,
            meter,
            named,
            dictionary: OnceCell::new(),
            setups: RefCell::default(),
            rigs: RefCell::default(),
            likenesses: RefCell::default(),
        }
    }

    /// Every fault at every severity, tried once.
    pub(super) fn dictionary(&self) -> &Dictionary<'a, 'm> {
        self.dictionary.get_or_init(|| self.day.dictionary())
    }

    /// The machine.
    #[must_use]
    pub fn machine(&self) -> &'m Machine {
        self.day.machine()
    }

    /// The tree.
    #[must_use]
    pub fn tree(&self) -> &'a Tree {
        self.tree
    }

    /// The day.
    #[must_use]
    pub fn day(&self) -> &'a Day<'m> {
        self.day
    }

    /// True if the machine shows the tree's symptom: with no symptom written, whatever is wrong.
    #[must_use]
    pub fn shows_symptom(&self, case: &Case<'_, 'm>) -> bool {
        self.tree.symptom.iter().all(|(name, shows)| {
            let Some(id) = self.machine().function(name) else { return true };
            let seen = case.function(id);
            match shows {
                Shows::Works => seen.works,
                Shows::Fails => !seen.works,
                Shows::Unheld => seen.unheld.contains(&true),
            }
        })
    }

    /// The machine in the state in which the symptom's function should work.
    pub(super) fn symptom_rig(&self) -> Option<Rig<'m>> {
        Some(self.day.rig(&symptom_setup(self.tree, self.machine())?))
    }

    /// Where a step would lead.
    #[must_use]
    pub fn foretell(&self, ix: StepIx, now: &Situation, case: &Case<'_, 'm>) -> Foretold {
        let step = self.tree.step(ix);
        match &step.kind {
            Kind::Ask(ask) => self.asked(ix, step, ask, now, case),
            Kind::Look(look) => {
                let targets: Vec<Target> = look.answers.iter().map(|answer| answer.go).collect();
                self.seen(&look.places, &targets, case)
            }
            Kind::Read(read) => self.read(ix, read, now, case),
            _ => Foretold::Ways(vec![0]),
        }
    }

    fn asked(&self, ix: StepIx, step: &Step, ask: &Ask, now: &Situation, case: &Case<'_, 'm>) -> Foretold {
        let seen = match &ask.observe {
            Some(Observe::Function(name)) => self.works(ix, step, name, now, case),
            Some(Observe::Code { spn, fmi }) => {
                let name = CodeName::Spn { spn: *spn, fmi: *fmi };
                self.rig(ix, now).map(|rig| {
                    let active = case.settle(&rig).codes().iter().any(|(_, code)| code.name == name);
                    if active { Seen::Active } else { Seen::Inactive }
                })
            }
            None => None,
        };
        seen.map_or(Foretold::Open, |seen| tied(&ask.answers, seen))
    }

    /// A function is watched in its own state, or in the one that the step sets.
    fn works(
        &self,
        ix: StepIx,
        step: &Step,
        name: &str,
        now: &Situation,
        case: &Case<'_, 'm>,
    ) -> Option<Seen> {
        let id = self.machine().function(name)?;
        let works = if step.with.is_empty() {
            case.function(id).works
        } else {
            case.settle(&*self.rig(ix, now)?).works(id)
        };
        Some(if works { Seen::Works } else { Seen::Fails })
    }

    /// A look is tied by its places, a gauge by what it tells: a fault that sits there is seen, on the
    /// ways that lead to a find that names it; any other fault takes the ways that promise nothing found there.
    fn seen(&self, places: &[String], targets: &[Target], case: &Case<'_, 'm>) -> Foretold {
        if places.is_empty() {
            return Foretold::Open;
        }
        let sits_here = |fault: &FaultId| places.iter().any(|p| sits_at(self.machine(), *fault, p));
        let seen = case.knots().iter().map(|knot| knot.fault).find(|fault| sits_here(fault));
        let claims = |way: &&usize| {
            let named = self.named_on(targets[**way]);
            !named.is_empty() && named.iter().all(sits_here)
        };
        let all: Vec<usize> = (0..targets.len()).collect();
        let ways: Vec<usize> = match seen {
            Some(fault) => {
                all.iter().filter(claims).filter(|w| self.leads_to(targets[**w], fault)).copied().collect()
            }
            None => all.iter().filter(|way| !claims(way)).copied().collect(),
        };
        if ways.is_empty() { Foretold::Open } else { Foretold::Ways(ways) }
    }

    fn read(&self, ix: StepIx, read: &Read, now: &Situation, case: &Case<'_, 'm>) -> Foretold {
        let Some(values) = self.values(ix, read, now, case) else {
            let targets: Vec<Target> = read.bands.iter().map(|band| band.go).collect();
            return self.seen(&read.tells, &targets, case);
        };
        let mut ways: Vec<usize> = Vec::new();
        let ranges: Option<Vec<Band>> = read.bands.iter().map(|band| range_of(&band.kind)).collect();
        for value in &values {
            if let Some(bands) = &ranges {
                ways.extend(self.bands_of(*value, read.measure, bands));
            } else {
                let shown = value.and_then(|amount| self.meter.estimate(&self.meter.shown(amount)?));
                let own = shown.map_or(0.0, crate::units::Estimate::standard_uncertainty);
                ways.extend(self.likeness(ix, read, now).ways(*value, own));
            }
        }
        if let (Some(bands), true) = (&ranges, values.len() > 1) {
            ways.extend(bands.iter().position(|band| band.jumps()));
        }
        ways.sort_unstable();
        ways.dedup();
        Foretold::Ways(ways)
    }

    /// The band in which what a meter shows falls; none if no band takes it.
    pub(super) fn way_of(&self, ix: StepIx, now: &Situation, shown: Shown) -> Option<usize> {
        let Kind::Read(read) = &self.tree.step(ix).kind else { return None };
        let value = match shown {
            Shown::Jumps => {
                let jumps = |range: &Band| range.jumps();
                return read.bands.iter().position(|band| range_of(&band.kind).as_ref().is_some_and(jumps));
            }
            Shown::Steady(value) => Some(Amount::new(read.measure.unit(), value)),
            Shown::Over => None,
        };
        let ranges: Option<Vec<Band>> = read.bands.iter().map(|band| range_of(&band.kind)).collect();
        if let Some(bands) = ranges {
            let reading = match value {
                Some(amount) => self.meter.shown(amount),
                None => crate::units::Reading::parse("OL", read.measure.unit()).ok(),
            };
            place(&reading?, &bands)
        } else {
            let own = value.and_then(|amount| self.meter.estimate(&self.meter.shown(amount)?));
            let own = own.map_or(0.0, crate::units::Estimate::standard_uncertainty);
            self.likeness(ix, read, now).best(value, own)
        }
    }

    fn bands_of(&self, value: Option<Amount>, measure: Measure, bands: &[Band]) -> Vec<usize> {
        let reading = match value {
            Some(amount) => self.meter.shown(amount),
            None => crate::units::Reading::parse("OL", measure.unit()).ok(),
        };
        let Some(reading) = reading else { return Vec::new() };
        match self.meter.judge(&reading, bands) {
            Verdict::In(band) => vec![band],
            Verdict::TooClose(bands) => bands.iter().map(|chance| chance.band).collect(),
            Verdict::Nowhere => place(&reading, bands).into_iter().collect(),
        }
    }

    /// What the meter would show at a step: as severities of one fault are put side by side.
    #[must_use]
    pub fn predicted(&self, ix: StepIx, now: &Situation, cases: &[&Case<'_, 'm>]) -> Option<Predicted> {
        let Kind::Read(read) = &self.tree.step(ix).kind else { return None };
        cases.iter().map(|case| Some(self.shows(&self.values(ix, read, now, case)?))).collect()
    }

    /// The same at a reading that is no step of the tree, with the machine set up for it.
    pub(super) fn predicted_off_tree(
        &self,
        (step, rig): (&Step, &Rig<'m>),
        cases: &[&Case<'_, 'm>],
    ) -> Option<Predicted> {
        let Kind::Read(read) = &step.kind else { return None };
        cases.iter().map(|case| Some(self.shows(&self.measured(rig, read, case)?))).collect()
    }

    /// How far the model is off, as a share of what it predicts.
    fn spread(&self) -> f64 {
        if self.day.today().volts.is_some() { MEASURED_SPREAD } else { SPREAD }
    }

    fn shows(&self, values: &[Option<Amount>]) -> Reads {
        match values {
            [Some(amount)] => Reads::Steady(self.meter.expected_within(self.spread(), *amount)),
            [None] => Reads::Over,
            _ => Reads::Jumps,
        }
    }

    /// What a meter that is never off would show at a `read` step, `None` for OL; the ends of the cycle where the
    /// machine chatters. Nothing where the model cannot tell.
    #[must_use]
    pub fn true_values(
        &self,
        ix: StepIx,
        now: &Situation,
        case: &Case<'_, 'm>,
    ) -> Option<Vec<Option<Amount>>> {
        let Kind::Read(read) = &self.tree.step(ix).kind else { return None };
        self.values(ix, read, now, case)
    }

    /// As [`Outlook::true_values`], for a reading that is no step of the tree; with the machine set up for it.
    #[must_use]
    pub fn true_values_of(
        &self,
        step: &Step,
        now: &Situation,
        case: &Case<'_, 'm>,
    ) -> Option<Vec<Option<Amount>>> {
        let Kind::Read(read) = &step.kind else { return None };
        self.measured(&self.rig_of(step, now)?, read, case)
    }

    /// The machine as a step that need not be one of the tree finds it; `None` where no such setup can be.
    #[must_use]
    pub fn rig_of(&self, step: &Step, now: &Situation) -> Option<Rig<'m>> {
        setup_at(self.tree, self.machine(), step, now).map(|setup| self.day.rig(&setup))
    }

    /// The values that the meter shows, `None` for OL; the ends of the cycle where the machine chatters.
    pub(super) fn values(
        &self,
        ix: StepIx,
        read: &Read,
        now: &Situation,
        case: &Case<'_, 'm>,
    ) -> Option<Vec<Option<Amount>>> {
        self.measured(&*self.rig(ix, now)?, read, case)
    }

    fn measured(&self, rig: &Rig<'m>, read: &Read, case: &Case<'_, 'm>) -> Option<Vec<Option<Amount>>> {
        let machine = self.machine();
        let amount = |value: f64| Some(Amount::new(read.measure.unit(), value));
        let ends = |least: f64, most: f64| {
            let ends = if most > least { vec![least, most] } else { vec![least] };
            Some(ends.into_iter().map(amount).collect())
        };
        match (read.measure, &read.leads) {
            (Measure::Volts, leads) => {
                let shown = case.settle(rig).volts(probes(machine, leads)?);
                ends(shown.least.value(), shown.most.value())
            }
            (Measure::Ohms, leads) => {
                let ohms = case.ohms(rig, probes(machine, leads)?);
                Some(vec![ohms.and_then(|ohms| amount(ohms.value()))])
            }
            (Measure::Amps, Leads::Around(wire)) => {
                let shown = case.settle(rig).amps(machine.element(wire)?);
                ends(shown.least.value(), shown.most.value())
            }
            (Measure::Amps, leads) => {
                let shown = case.amps(rig.setup(), probes(machine, leads)?);
                ends(shown.least.value(), shown.most.value())
            }
            _ => None,
        }
    }

    fn rig(&self, ix: StepIx, now: &Situation) -> Option<Rc<Rig<'m>>> {
        let key = (ix, now.clone());
        if let Some(rig) = self.rigs.borrow().get(&key) {
            return rig.clone();
        }
        let setup = setup_at(self.tree, self.machine(), self.tree.step(ix), now);
        let rig = setup.map(|setup| self.rig_in(&setup));
        self.rigs.borrow_mut().insert(key, rig.clone());
        rig
    }

    /// The machine in a setup; steps that find it in one setup share it.
    fn rig_in(&self, setup: &Setup) -> Rc<Rig<'m>> {
        let mut known = self.setups.borrow_mut();
        if let Some(rig) = known.iter().find(|rig| rig.setup() == setup) {
            return Rc::clone(rig);
        }
        known.push(Rc::new(self.day.rig(setup)));
        Rc::clone(&known[known.len() - 1])
    }

    /// The predictions of each band of a step with bands by likeness.
    pub(super) fn likeness(&self, ix: StepIx, read: &Read, now: &Situation) -> Rc<Likeness> {
        let key = (ix, now.clone());
        if let Some(known) = self.likenesses.borrow().get(&key) {
            return Rc::clone(known);
        }
        let machine = self.machine();
        let mut samples = Vec::new();
        let mut sample = |fault: Option<FaultId>, case: &Case<'_, 'm>| {
            for value in self.values(ix, read, now, case).unwrap_or_default() {
                samples.push(Sample { fault, expected: value.map(|amount| self.meter.expected(amount)) });
            }
        };
        let dictionary = self.dictionary();
        sample(None, dictionary.healthy());
        for entry in dictionary.entries().iter().filter(|entry| self.shows_symptom(&entry.case)) {
            sample(Some(entry.knot.fault), &entry.case);
        }
        let known = Rc::new(Likeness::new(machine, &read.bands, samples));
        self.likenesses.borrow_mut().insert(key, Rc::clone(&known));
        known
    }

    /// Is the place of a fault moved while a step is done?
    pub(super) fn is_moved(&self, ix: StepIx, now: &Situation, fault: FaultId) -> Harness {
        let moved = self.rig(ix, now).is_some_and(|rig| self.machine().is_moved(fault, rig.setup()));
        if moved { Harness::Moved } else { Harness::AtRest }
    }

    fn named_on(&self, target: Target) -> &[FaultId] {
        self.tree.land(target).map_or(&[], |ix| &self.named[ix.at()])
    }

    /// Can a find that names the fault be reached along this target?
    #[must_use]
    pub fn leads_to(&self, target: Target, fault: FaultId) -> bool {
        target != Target::Again && self.named_on(target).contains(&fault)
    }
}

fn range_of(kind: &BandKind) -> Option<Band> {
    match kind {
        BandKind::Range(range) => Some(*range),
        BandKind::Like(_) => None,
    }
}

fn tied(answers: &[Answer], seen: Seen) -> Foretold {
    let ways: Vec<usize> =
        answers.iter().enumerate().filter(|(_, a)| a.seen == Some(seen)).map(|(at, _)| at).collect();
    if ways.is_empty() { Foretold::Open } else { Foretold::Ways(ways) }
}

/// Does a fault sit at a place: the rub or part that it is named for, or a part of that plug?
#[must_use]
pub fn sits_at(machine: &Machine, fault: FaultId, place: &str) -> bool {
    let name = &machine.fault(fault).name;
    if let Some((wire, rub)) = place.split_once('@') {
        return name.ends_with(&format!(" at {rub}")) && name.split_whitespace().any(|word| word == wire);
    }
    name.split_whitespace()
        .any(|word| word.strip_prefix(place).is_some_and(|rest| rest.is_empty() || rest.starts_with(':')))
}
