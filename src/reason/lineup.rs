//! The suspects of a tree, and what an answer or a reading says of each: evidence from the machine's
//! model where there is one, from the shape of the tree where there is none.
//!
//! Listed are the modelled faults that show the symptom, a fault that comes and goes if its steady form
//! does; without a machine, the faults that finds name, by equal shares.

use super::answers::{Model, tied_chance, untied_chance};
use super::cells::{Cell, CellChances, Cells, Predicted};
use super::chance::{Probability, Share};
use super::constants::{CONTRADICTS, GOOD, JUMPS_WHILE_MOVED};
use super::evidence::{Evidence, Harness, Listed, intermittent_chance};
use super::outlook::{Foretold, Outlook};
use super::scale::Scale;
use super::sighting::Sighting;
use super::situation::Situation;
use crate::machine::{Case, Day, FaultId, FaultKind};
use crate::tree::{Kind, StepIx, Target, Tree};
use crate::units::{Amps, Measure, Reading, Volts};

/// The most amps that a meter shows. Common practice, no source.
const MOST_AMPS: Amps = Amps(20.0);

/// The suspects of a tree, ready to be held against what is seen.
pub struct Lineup<'a, 'm> {
    tree: &'a Tree,
    model: Option<Modelled<'a, 'm>>,
    listed: Vec<Listed>,
    /// For each step which of the listed faults a find reached from it names.
    reached: Vec<Vec<usize>>,
}

/// The machine with each of the suspects in it.
struct Modelled<'a, 'm> {
    outlook: Outlook<'a, 'm>,
    healthy: Case<'a, 'm>,
    faults: Vec<FaultId>,
    /// By fault, at each of its severities that shows the symptom; of a fault that comes and goes its
    /// steady form.
    cases: Vec<Vec<Case<'a, 'm>>>,
}

impl<'a, 'm> Lineup<'a, 'm> {
    /// From a tree and its machine on the day of the job.
    #[must_use]
    pub fn modelled(outlook: Outlook<'a, 'm>) -> Self {
        let tree = outlook.tree;
        let (day, machine): (&'a Day<'m>, _) = (outlook.day, outlook.machine());
        let (mut listed, mut faults, mut cases) = (Vec::new(), Vec::new(), Vec::new());
        for fault in machine.fault_ids() {
            let steady = match machine.fault(fault).kind {
                FaultKind::Intermittent(steady) => steady,
                _ => fault,
            };
            let all: Vec<Case<'a, 'm>> = day.knots(steady).map(|knot| day.case(&[knot])).collect();
            let count = all.len();
            let shown: Vec<Case<'a, 'm>> = all.into_iter().filter(|c| outlook.shows_symptom(c)).collect();
            if shown.is_empty() {
                continue;
            }
            listed.push(Listed {
                fault: machine.fault(fault).name.clone(),
                share: Share(machine.fault(fault).share * small(shown.len()) / small(count)),
                intermittent: steady != fault,
            });
            faults.push(fault);
            cases.push(shown);
        }
        let place = |id: &FaultId| faults.iter().position(|known| known == id);
        let reached = outlook.named.iter().map(|named| named.iter().filter_map(place).collect()).collect();
        let healthy = day.healthy();
        let model = Some(Modelled { outlook, healthy, faults, cases });
        Self { tree, model, listed, reached }
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
        Self { tree, model: None, listed, reached }
    }

    /// The listed faults that finds reached from a step name.
    pub(super) fn reached(&self, ix: StepIx) -> &[usize] {
        &self.reached[ix.at()]
    }

    /// The outlook on the machine and the listed faults in it, where there is one.
    pub(super) fn modelled_faults(&self) -> Option<(&Outlook<'a, 'm>, &[FaultId])> {
        self.model.as_ref().map(|model| (&model.outlook, model.faults.as_slice()))
    }

    /// The suspects.
    #[must_use]
    pub fn listed(&self) -> &[Listed] {
        &self.listed
    }

    /// What taking this way at a step says: an answer, or a band where the meter's model has no say.
    #[must_use]
    pub fn answered(&self, ix: StepIx, way: usize, now: &Situation) -> Option<Evidence> {
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
        let taken = branches.iter().position(|branch| Some(branch) == targets.get(way))?;
        let outcome = match &step.kind {
            Kind::Ask(ask) => ask.answers[way].id.clone(),
            Kind::Look(look) => look.answers[way].id.clone(),
            Kind::Read(_) => format!("band {}", way + 1),
            _ => return None,
        };
        let chances = (0..self.listed.len())
            .map(|fault| Some(self.answer_chance(ix, (way, taken), (&targets, &branches), fault, now)))
            .collect();
        let even = Probability(1.0 / small(branches.len()));
        Some(Evidence { step: step.id.clone(), outcome, chances, even })
    }

    fn answer_chance(
        &self,
        ix: StepIx,
        (way, taken): (usize, usize),
        (targets, branches): (&[Target], &[Target]),
        fault: usize,
        now: &Situation,
    ) -> Probability {
        let by_shape = || {
            let towards: Vec<bool> = branches.iter().map(|branch| self.leads_to(*branch, fault)).collect();
            untied_chance(&towards, taken)
        };
        let Some(model) = &self.model else { return by_shape() };
        let is_ask = matches!(self.tree.step(ix).kind, Kind::Ask(_));
        let one = |case: &Case<'a, 'm>| match model.outlook.foretell(ix, now, case) {
            Foretold::Open => by_shape().value(),
            Foretold::Ways(_) if is_ask && self.listed[fault].intermittent => {
                tied_chance(Model::Open).value()
            }
            Foretold::Ways(ways) if is_ask => {
                let says = if ways.contains(&way) { Model::Agrees } else { Model::Contradicts };
                tied_chance(says).value()
            }
            Foretold::Ways(ways) => {
                let led = |branch: &Target| ways.iter().any(|w| targets.get(*w) == Some(branch));
                untied_chance(&branches.iter().map(led).collect::<Vec<_>>(), taken).value()
            }
        };
        let cases = &model.cases[fault];
        Probability(cases.iter().map(one).sum::<f64>() / small(cases.len()))
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

    /// What a reading at a step says. Where the model cannot tell what the meter shows, the band speaks.
    #[must_use]
    pub fn read(&self, ix: StepIx, reading: &Reading, now: &Situation) -> Option<Evidence> {
        let by_meter = self.model.as_ref().and_then(|model| model.read(ix, reading, now, &self.listed));
        if let Some((chances, even)) = by_meter {
            let step = self.tree.step(ix).id.clone();
            return Some(Evidence { step, outcome: reading.text().to_owned(), chances, even });
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

type Chances = (Vec<Option<Probability>>, Probability);

impl Modelled<'_, '_> {
    fn read(&self, ix: StepIx, reading: &Reading, now: &Situation, listed: &[Listed]) -> Option<Chances> {
        let healthy = self.outlook.predicted(ix, now, &[&self.healthy])?;
        let predicted: Vec<Predicted> = self
            .cases
            .iter()
            .map(|cases| self.outlook.predicted(ix, now, &cases.iter().collect::<Vec<_>>()))
            .collect::<Option<_>>()?;
        let cells = Cells::new(self.scale(reading.measure())?, predicted.iter().chain([&healthy]));
        let seen = Sighting::new(&cells, self.outlook.meter, reading);
        let healthy = cells.chances(&healthy);
        let chances = predicted.iter().enumerate().map(|(at, predicted)| {
            let steady = cells.chances(predicted);
            if !listed[at].intermittent {
                return Some(seen.chance(&steady));
            }
            let moved = self.outlook.is_moved(ix, now, self.faults[at]);
            come_and_go(moved, &seen, &steady, &healthy)
        });
        Some((chances.collect(), seen.even()))
    }

    fn scale(&self, measure: Measure) -> Option<Scale> {
        let supply = &self.outlook.machine().parts().supply;
        let most = supply.charging.map_or(supply.volts.value(), Volts::value);
        let today = self.outlook.day.today().volts.map_or(0.0, Volts::value);
        match measure {
            Measure::Volts => Some(Scale::volts(Volts(most.max(supply.volts.value()).max(today)))),
            Measure::Ohms => Some(Scale::ohms()),
            Measure::Amps => Some(Scale::amps(MOST_AMPS)),
            _ => None,
        }
    }
}

/// A fault that comes and goes: while moved it shows half the time, and half of that it jumps; at rest a
/// good reading says nothing of it.
fn come_and_go(
    harness: Harness,
    seen: &Sighting,
    steady: &CellChances,
    healthy: &CellChances,
) -> Option<Probability> {
    let good = seen.chance(healthy);
    let steady = seen.chance(steady);
    if harness == Harness::AtRest {
        let says_nothing = good.value() >= GOOD;
        return (!says_nothing).then(|| intermittent_chance(steady, good, harness));
    }
    let jumping = if seen.cell == Cell::Jumps { 1.0 - CONTRADICTS } else { 0.0 };
    let shown = (1.0 - JUMPS_WHILE_MOVED) * steady.value() + JUMPS_WHILE_MOVED * jumping;
    Some(intermittent_chance(Probability(shown), good, harness))
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

fn small(count: usize) -> f64 {
    f64::from(u32::try_from(count).unwrap_or(u32::MAX))
}
