//! The suspects of a tree, and what an answer or a reading says of each: evidence from the machine's
//! model where there is one, from the shape of the tree where there is none.
//!
//! Listed are the modelled faults that show the symptom, a fault that comes and goes if its steady form
//! does; without a machine, the faults that finds name, by equal shares.

use std::cell::{OnceCell, RefCell};
use std::collections::HashMap;

use super::answers::{Model, small, tied_chance, untied_chance};
use super::chance::{Probability, Share};
use super::constants::SHOWS_WHILE_MOVED;
use super::evidence::{Evidence, Harness, Listed};
use super::modelled::Modelled;
use super::outlook::{Foretold, Outlook};
use super::sighting::Sighting;
use super::situation::Situation;
use crate::machine::{Case, Day, FaultId, FaultKind, Knot};
use crate::tree::{Kind, Leads, OffTree, StepIx, Target, Tree};
use crate::units::Reading;

/// The suspects of a tree, ready to be held against what is seen.
pub struct Lineup<'a, 'm> {
    tree: &'a Tree,
    model: Option<Modelled<'a, 'm>>,
    listed: Vec<Listed>,
    /// For each step which of the listed faults a find reached from it names.
    reached: Vec<Vec<usize>>,
    /// What answers say, worked out once.
    answers: RefCell<HashMap<(StepIx, usize, Situation), Option<Evidence>>>,
}

impl<'a, 'm> Lineup<'a, 'm> {
    /// From a tree and its machine on the day of the job.
    #[must_use]
    pub fn modelled(outlook: Outlook<'a, 'm>) -> Self {
        Self::modelled_beside(outlook, None)
    }

    /// The same suspects, each in the machine together with another fault that was there too.
    #[must_use]
    pub fn modelled_beside(outlook: Outlook<'a, 'm>, beside: Option<Knot>) -> Self {
        let tree = outlook.tree;
        let (day, machine): (&'a Day<'m>, _) = (outlook.day, outlook.machine());
        let (mut listed, mut faults, mut cases) = (Vec::new(), Vec::new(), Vec::new());
        for fault in machine.fault_ids() {
            let steady = match machine.fault(fault).kind {
                FaultKind::Intermittent(steady) => steady,
                _ => fault,
            };
            let comes_and_goes = steady != fault;
            let knots: Vec<Knot> =
                if comes_and_goes { vec![machine.knot(steady, None)] } else { day.knots(fault).collect() };
            let all: Vec<Case<'a, 'm>> = knots.iter().map(|knot| day.case(&[*knot])).collect();
            let count = all.len();
            let shown: Vec<Case<'a, 'm>> = all.into_iter().filter(|c| outlook.shows_symptom(c)).collect();
            if shown.is_empty() {
                continue;
            }
            listed.push(Listed {
                fault: machine.fault(fault).name.clone(),
                share: Share(machine.fault(fault).share * small(shown.len()) / small(count)),
                intermittent: comes_and_goes,
            });
            faults.push(fault);
            cases.push(match beside {
                Some(other) => {
                    let both = |case: &Case<'a, 'm>| day.case(&[&[other], case.knots()].concat());
                    shown.iter().map(both).collect()
                }
                None => shown,
            });
        }
        let place = |id: &FaultId| faults.iter().position(|known| known == id);
        let reached = outlook.named.iter().map(|named| named.iter().filter_map(place).collect()).collect();
        let healthy = beside.map_or_else(|| day.healthy(), |other| day.case(&[other]));
        let model = Some(Modelled {
            outlook,
            healthy,
            faults,
            cases,
            beside,
            fine: OnceCell::new(),
            points: RefCell::default(),
        });
        Self { tree, model, listed, reached, answers: RefCell::default() }
    }

    /// From the shape of a tree alone.
    #[must_use]
    pub fn by_shape(tree: &'a Tree) -> Self {
        let mut listed: Vec<Listed> = Vec::new();
        for step in &tree.steps {
            let Kind::Find(find) = &step.kind else { continue };
            for fault in &find.faults {
                if listed.iter().all(|known| known.fault != *fault) {
                    let intermittent = fault.split_whitespace().any(|word| word == "intermittent");
                    listed.push(Listed { fault: fault.clone(), share: Share(1.0), intermittent });
                }
            }
        }
        let reached = super::shape::reached(tree, |find| {
            let place = |name: &String| listed.iter().position(|known| known.fault == *name);
            find.faults.iter().filter_map(place).collect()
        });
        Self { tree, model: None, listed, reached, answers: RefCell::default() }
    }

    /// The listed faults that finds reached from a step name.
    pub(super) fn reached(&self, ix: StepIx) -> &[usize] {
        &self.reached[ix.at()]
    }

    /// The outlook on the machine and the listed faults in it, where there is one.
    pub(super) fn modelled_faults(&self) -> Option<(&Outlook<'a, 'm>, &[FaultId])> {
        self.model.as_ref().map(|model| (&model.outlook, model.faults.as_slice()))
    }

    /// The tree.
    #[must_use]
    pub fn tree(&self) -> &'a Tree {
        self.tree
    }

    /// The suspects.
    #[must_use]
    pub fn listed(&self) -> &[Listed] {
        &self.listed
    }

    /// What taking this way at a step says: an answer, or a band where the meter's model has no say.
    #[must_use]
    pub fn answered(&self, ix: StepIx, way: usize, now: &Situation) -> Option<Evidence> {
        let key = (ix, way, now.clone());
        if let Some(known) = self.answers.borrow().get(&key) {
            return known.clone();
        }
        let evidence = self.said(ix, way, now);
        self.answers.borrow_mut().insert(key, evidence.clone());
        evidence
    }

    fn said(&self, ix: StepIx, way: usize, now: &Situation) -> Option<Evidence> {
        let step = self.tree.step(ix);
        let outcome = match &step.kind {
            Kind::Ask(ask) => ask.answers.get(way)?.id.clone(),
            Kind::Look(look) => look.answers.get(way)?.id.clone(),
            Kind::Read(_) => format!("band {}", way + 1),
            _ => return None,
        };
        let (targets, branches) = self.branches(ix);
        let taken = branches.iter().position(|branch| Some(branch) == targets.get(way))?;
        let chances = (0..self.listed.len())
            .map(|fault| self.answer_chances(ix, (way, taken), (&targets, &branches), fault, now))
            .map(|by_span| by_span.into_iter().map(Probability).collect())
            .collect();
        let even = Probability(1.0 / small(branches.len()));
        let is_reading = matches!(step.kind, Kind::Read(_));
        Some(Evidence { step: step.id.clone(), outcome, chances, is_reading, even })
    }

    /// Where a step leads when it can be done, and the distinct next steps among that.
    fn branches(&self, ix: StepIx) -> (Vec<Target>, Vec<Target>) {
        let step = self.tree.step(ix);
        let mut targets = step.targets();
        if step.cannot.is_some() {
            targets.pop();
        }
        let mut branches: Vec<Target> = Vec::new();
        for target in &targets {
            if !branches.contains(target) {
                branches.push(*target);
            }
        }
        (targets, branches)
    }

    /// By span of severity, how probable an answer is under a listed fault.
    fn answer_chances(
        &self,
        ix: StepIx,
        (way, taken): (usize, usize),
        (targets, branches): (&[Target], &[Target]),
        fault: usize,
        now: &Situation,
    ) -> Vec<f64> {
        let by_shape = || {
            let towards: Vec<bool> = branches.iter().map(|branch| self.leads_to(*branch, fault)).collect();
            untied_chance(&towards, taken).value()
        };
        let Some(model) = &self.model else { return vec![by_shape()] };
        let is_ask = matches!(self.tree.step(ix).kind, Kind::Ask(_));
        let one = |case: &Case<'a, 'm>| match model.outlook.foretell(ix, now, case) {
            Foretold::Open => by_shape(),
            Foretold::Ways(ways) if is_ask => {
                let says = if ways.contains(&way) { Model::Agrees } else { Model::Contradicts };
                tied_chance(says).value()
            }
            Foretold::Ways(ways) => {
                let led = |branch: &Target| ways.iter().any(|w| targets.get(*w) == Some(branch));
                untied_chance(&branches.iter().map(led).collect::<Vec<_>>(), taken).value()
            }
        };
        let fine = &model.fine()[fault];
        if !self.listed[fault].intermittent {
            return fine.by_span(one);
        }
        // What comes and goes was there or not when somebody tried or looked.
        let other = if is_ask { one(&model.healthy) } else { one(&model.at_rest(fault)) };
        let both = |shown| SHOWS_WHILE_MOVED * shown + (1.0 - SHOWS_WHILE_MOVED) * other;
        fine.by_span(one).into_iter().map(both).collect()
    }

    /// Is there a machine behind it?
    #[must_use]
    pub fn is_modelled(&self) -> bool {
        self.model.is_some()
    }

    /// How many severities of a listed fault show the symptom; 0 without a machine.
    pub(super) fn severities(&self, fault: usize) -> usize {
        self.model.as_ref().map_or(0, |model| model.cases[fault].len())
    }

    /// Where a step would lead with a listed fault at one of its severities.
    pub(super) fn foretell(&self, ix: StepIx, now: &Situation, (fault, knot): (usize, usize)) -> Foretold {
        let Some(model) = &self.model else { return Foretold::Open };
        let steady = || model.outlook.foretell(ix, now, &model.cases[fault][knot]);
        if !self.listed[fault].intermittent {
            return steady();
        }
        let healthy = || model.outlook.foretell(ix, now, &model.healthy);
        let is_ask = matches!(self.tree.step(ix).kind, Kind::Ask(_));
        if is_ask || model.outlook.is_moved(ix, now, model.faults[fault]) == Harness::Moved {
            return either(steady(), healthy());
        }
        healthy()
    }

    /// Can a find that names a listed fault be reached along this target?
    pub(super) fn leads_to(&self, target: Target, fault: usize) -> bool {
        let landed = self.tree.land(target).filter(|_| target != Target::Again);
        landed.is_some_and(|ix| self.reached[ix.at()].contains(&fault))
    }

    /// What a reading off the tree says; nothing without a machine, or where its model cannot tell.
    #[must_use]
    pub fn read_off_tree(&self, off: &OffTree, reading: &Reading, now: &Situation) -> Option<Evidence> {
        let model = self.model.as_ref()?;
        let point = model.shown_off_tree(&off.step(), now)?;
        let (chances, even) = model.weighed(&point, reading, &self.listed)?;
        let step = match &off.leads {
            Leads::RedBlack { red, .. } => format!("own reading at {red}"),
            _ => "own reading".to_owned(),
        };
        Some(Evidence { step, outcome: reading.text().to_owned(), chances, is_reading: true, even })
    }

    /// In how many spans of severity a listed fault is held against what is seen.
    #[must_use]
    pub fn spans(&self, fault: usize) -> usize {
        self.model.as_ref().map_or(1, |model| model.fine()[fault].spans.len())
    }

    /// Of all that can come of a test, each answer or each cell of its point, how probable it is under a listed
    /// fault in one of its spans of severity; they sum to one.
    #[must_use]
    pub fn outcomes(&self, ix: StepIx, now: &Situation, (fault, span): (usize, usize)) -> Vec<Probability> {
        if let Some(point) = self.model.as_ref().and_then(|model| model.point(ix, now)) {
            let chance = |cell| {
                let seen = Sighting::of_cell(&point.cells, cell);
                Probability(point.chance(&seen, (fault, span), &self.listed))
            };
            return point.cells.all().map(chance).collect();
        }
        let (targets, branches) = self.branches(ix);
        let chance = |way: usize| {
            let taken = branches.iter().position(|branch| *branch == targets[way]).unwrap_or(0);
            self.answer_chances(ix, (way, taken), (&targets, &branches), fault, now)[span]
        };
        let chances: Vec<f64> = (0..targets.len()).map(chance).collect();
        let sum: f64 = chances.iter().sum();
        chances.iter().map(|chance| Probability(chance / sum)).collect()
    }

    /// The ways that the outcomes of a test lead, in the same order; a cell leads where its middle does.
    #[must_use]
    pub fn leads(&self, ix: StepIx, now: &Situation) -> Vec<Option<usize>> {
        let point = self.model.as_ref().and_then(|model| Some((model, model.point(ix, now)?)));
        let Some((model, point)) = point else { return (0..self.branches(ix).0.len()).map(Some).collect() };
        let cells = point.cells.all();
        cells.map(|cell| model.outlook.way_of(ix, now, point.cells.middle(cell))).collect()
    }

    /// What a reading at a step says. Where the model cannot tell what the meter shows, the band speaks.
    #[must_use]
    pub fn read(&self, ix: StepIx, reading: &Reading, now: &Situation) -> Option<Evidence> {
        let by_meter = self.model.as_ref().and_then(|model| model.read(ix, reading, now, &self.listed));
        if let Some((chances, even)) = by_meter {
            let step = self.tree.step(ix).id.clone();
            return Some(Evidence {
                step,
                outcome: reading.text().to_owned(),
                chances,
                is_reading: true,
                even,
            });
        }
        let Kind::Read(read) = &self.tree.step(ix).kind else { return None };
        let ranges: Vec<_> = read
            .bands
            .iter()
            .filter_map(|band| match &band.kind {
                crate::tree::BandKind::Range(range) => Some(*range),
                crate::tree::BandKind::Like(_) => None,
            })
            .collect();
        let way = crate::units::place(reading, &ranges).filter(|_| ranges.len() == read.bands.len())?;
        let evidence = self.answered(ix, way, now)?;
        Some(Evidence { outcome: reading.text().to_owned(), ..evidence })
    }
}

/// The ways of both.
fn either(one: Foretold, other: Foretold) -> Foretold {
    match (one, other) {
        (Foretold::Ways(mut ways), Foretold::Ways(more)) => {
            ways.extend(more);
            ways.sort_unstable();
            ways.dedup();
            Foretold::Ways(ways)
        }
        _ => Foretold::Open,
    }
}
