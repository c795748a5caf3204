//! Two faults at once: both are in the network, the first is found, mended and its proof fails; the second round, which
//! still holds what the first one saw, comes to the second fault, and its proof holds.
//!
//! The machine answers: what a person would say or read is worked out from the circuit with both faults in it, and after
//! the first repair with the one that is left.

use std::fmt::Write as _;

use loomwalk::machine::{Day, FaultId, Knot, Machine, Today};
use loomwalk::reason::{Foretold, Outlook, RoundBefore, repair_of};
use loomwalk::safety::{Confirm, Shown};
use loomwalk::tree::{BandKind, Kind, Read, StepIx, Target};
use loomwalk::units::{Meter, Reading};
use loomwalk::walk::{Declined, Details, Event, Input, Moment, Now, Walk, Walker};

use super::support::apprentices::shipped;
use super::support::yard::Yard;

/// A walk on a machine with some faults in it.
struct Repairer<'y> {
    yard: &'y Yard,
    outlook: Outlook<'y, 'y>,
    day: &'y Day<'y>,
    /// What is still wrong.
    left: Vec<FaultId>,
    walk: Walk,
    at: Moment,
    /// By round: the finding, and the likeliest just before it.
    found: Vec<(Vec<String>, String)>,
    trail: String,
}

impl<'y> Repairer<'y> {
    fn new(yard: &'y Yard, day: &'y Day<'y>, faults: &[&str]) -> Self {
        let tree = yard.course.tree();
        let named = |name: &&str| yard.family.fault_named(name).expect("a fault of this machine");
        let begun = Event::Begun {
            tree: tree.id.clone(),
            revision: tree.revision,
            lang: "en".to_owned(),
            walker: Walker::Script,
            details: Details::default(),
        };
        let (mut walk, at) = (yard.walk.clone(), Moment::default());
        walk.apply(&begun, at).expect("it begins");
        Self {
            yard,
            outlook: Outlook::new(tree, day, yard.course.vocabulary(), Meter::default()),
            day,
            left: faults.iter().map(named).collect(),
            walk,
            at,
            found: Vec::new(),
            trail: String::new(),
        }
    }

    fn machine(&self) -> &'y Machine {
        &self.yard.family
    }

    fn say(&mut self, input: Input) -> Result<(), Declined> {
        self.at = self.at.later(1000);
        let _ = writeln!(self.trail, "{}: {input:?}", self.walk.step_id());
        for event in self.walk.accept(input, self.at)? {
            self.walk.apply(&event, self.at).expect("what was accepted can happen");
        }
        Ok(())
    }

    /// Walks until the job has ended.
    fn goes_on(&mut self) {
        for _ in 0..400 {
            let input = match self.walk.now().clone() {
                Now::Ended(_) => return,
                Now::Step(ix) => self.at_step(ix),
                Now::Gate(at) => {
                    let items = self.walk.gate_items(at.gate, at.step, at.why);
                    let typed = match items[at.item].confirm {
                        Confirm::Typed(Shown::Dead) => Some("0.0 V".to_owned()),
                        Confirm::Typed(_) => Some("12.6 V".to_owned()),
                        _ => None,
                    };
                    Input::Confirm { item: at.item, by: "KM".to_owned(), typed }
                }
                Now::Check(_, item) => Input::Confirm { item, by: "KM".to_owned(), typed: None },
                other => panic!("{other:?}\n{}", self.trail),
            };
            match self.say(input.clone()) {
                Ok(()) => {}
                Err(Declined::TooClose(chances)) => {
                    let best = chances.iter().max_by(|a, b| a.chance.total_cmp(&b.chance)).expect("a band");
                    let Input::Reading(typed) = input else { panic!("only readings are too close") };
                    let decided = Input::Decide { typed, band: best.band, why: "likelier".to_owned() };
                    self.say(decided).expect("one of those");
                }
                // How the machine was left is asked for before it is left.
                Err(_) if matches!(self.walk.now(), Now::Gate(_)) => {
                    self.say(Input::Left("as it was found, the yard was told".to_owned()))
                        .expect("it is taken");
                }
                Err(why) => panic!("{why}: {input:?}\n{}", self.trail),
            }
        }
        panic!("no end\n{}", self.trail);
    }

    fn at_step(&mut self, ix: StepIx) -> Input {
        let tree = self.yard.course.tree();
        let step = tree.step(ix);
        match &step.kind {
            Kind::Ask(ask) => Input::Answer(ask.answers[self.way(ix)].id.clone()),
            Kind::Look(look) => Input::Answer(look.answers[self.way(ix)].id.clone()),
            Kind::Read(read) => {
                let reading = self.shown(ix, read);
                reading.map_or_else(
                    || Input::Cannot("no such gauge".to_owned()),
                    |reading| Input::Reading(reading.text().to_owned()),
                )
            }
            Kind::Find(find) => {
                self.found.push((find.faults.clone(), self.likeliest_before()));
                Input::Done
            }
            // The repair: it is written down, and what the finding names is in order again.
            Kind::Do(action) if action.action.is_none() => {
                let said = vec![("as-done".to_owned(), "as the sheet says".to_owned())];
                self.say(Input::Repaired(said)).expect("it is taken");
                let (named, _) = self.found.last().expect("a finding comes before a repair").clone();
                let machine = self.machine();
                let mended: Vec<String> = named
                    .iter()
                    .filter_map(|name| machine.fault_named(name))
                    .map(|fault| repair_of(machine, fault))
                    .collect();
                self.left.retain(|fault| !mended.contains(&repair_of(machine, *fault)));
                Input::Done
            }
            Kind::Close(_) => {
                let _ = self.say(Input::NoCodeLeft);
                Input::Done
            }
            Kind::Refer(_) => panic!("handed over\n{}", self.trail),
            _ => Input::Done,
        }
    }

    fn knots(&self) -> Vec<Knot> {
        self.left.iter().map(|fault| self.machine().knot(*fault, None)).collect()
    }

    /// The way that the machine as it is takes; where the model has no say, one that leads towards what is wrong.
    fn way(&self, ix: StepIx) -> usize {
        let case = self.day.case(&self.knots());
        match self.outlook.foretell(ix, &self.walk.situation(), &case) {
            Foretold::Ways(ways) if !ways.is_empty() => ways[0],
            _ => {
                let targets: Vec<Target> = self.yard.course.tree().step(ix).targets();
                let leads = |way: &usize| self.left.iter().any(|f| self.outlook.leads_to(targets[*way], *f));
                (0..targets.len()).find(leads).unwrap_or(0)
            }
        }
    }

    fn shown(&self, ix: StepIx, read: &Read) -> Option<Reading> {
        let case = self.day.case(&self.knots());
        let Some(values) = self.outlook.true_values(ix, &self.walk.situation(), &case) else {
            // A gauge that the model does not have reads as it should: in the band that leads on.
            let ranges = read.bands.iter().filter_map(|band| match &band.kind {
                BandKind::Range(range) => Some(range),
                BandKind::Like(_) => None,
            });
            let range =
                ranges.filter_map(|range| range.from()).max_by(|a, b| a.value().total_cmp(&b.value()))?;
            return Meter::default().shown(loomwalk::units::Amount::new(range.unit(), range.value() * 1.2));
        };
        match values.first()? {
            Some(amount) => Meter::default().shown(*amount),
            None => Reading::parse("OL", read.measure.unit()).ok(),
        }
    }

    /// The likeliest of the suspects by what was seen up to the finding.
    fn likeliest_before(&self) -> String {
        let round = u32::try_from(self.found.len() + 1).expect("few");
        let whereabouts = self.walk.observed_in(round).whereabouts().expect("suspects");
        let leader = whereabouts
            .suspects
            .iter()
            .max_by(|a, b| a.probability.value().total_cmp(&b.probability.value()));
        leader.expect("a suspect").fault.clone()
    }
}

/// The wire of the bar and the wire of the door, each in its own way: the first that the tree comes to is mended first.
#[test]
fn a_proof_that_fails_leads_to_the_second_fault() {
    let yard = Yard::of(shipped("tern/no-lift-no-tilt"));
    let day = yard.family.day(Today::default());
    for pair in [
        ["W31 open at pivot-clamp", "W35 grounded at pivot-clamp"],
        ["W31 open at pivot-clamp", "S5 stuck closed"],
        ["W35 grounded at pivot-clamp", "S4 stuck open"],
    ] {
        let mut repairer = Repairer::new(&yard, &day, &pair);
        repairer.goes_on();
        let trail = &repairer.trail;
        assert!(repairer.left.is_empty(), "{pair:?}: {:?} is left\n{trail}", repairer.left);
        assert_eq!(repairer.found.len(), 2, "{pair:?}: {:?}\n{trail}", repairer.found);
        for (named, likeliest) in &repairer.found {
            assert!(named.contains(likeliest), "{pair:?}: {likeliest} led before {named:?}\n{trail}");
        }
        // What the first round saw is kept for the second, with what was mended then.
        let before: Vec<RoundBefore> = repairer.walk.observed_in(2).before;
        assert_eq!(before.len(), 1, "{pair:?}");
        assert_eq!(before[0].repaired, repairer.found[0].0, "{pair:?}");
        assert!(!before[0].seen.is_empty() && !repairer.walk.seen_in(2).is_empty(), "{pair:?}");
    }
}
