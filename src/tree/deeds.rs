//! What each step does, in the terms of the safety room.
//!
//! A step becomes a list of deeds; what an answer or band shows (a proof) stands on the edge it leads along. Where
//! nobody says what the rule needs to know, the deed says so, and the rule fails closed.

use std::collections::{HashMap, HashSet};

use crate::diag::nearest;
use crate::safety::{
    Ammeter, Closing, Deed, Drive, GateId, Heat, LeakSearch, Moves, Place as Where, Power, SafetyRule,
    StepKind, Values, Watch, Watched, Zone,
};
use crate::units::Measure;

use super::ground::{Ground, moves_named};
use super::lists::Lists;
use super::model::{Act, Ask, CloseAs, Do, Kind, Leads, Leaks, Look, Observe, Read, Step, StepIx, Tree};
use super::proofs::{closes_after_unheld, finds_before_repairs, proofs_wanted};

/// The deeds of every step, by number.
pub(super) fn deeds_of_all(tree: &Tree, ground: &Ground<'_>) -> Lists<Deed> {
    let tied: HashSet<&str> = tree.steps.iter().flat_map(|s| s.done_to(Act::Ties)).collect();
    let lower = Lower {
        tree,
        ground,
        finds: finds_before_repairs(tree),
        proofs: proofs_wanted(tree, ground),
        tied,
        unheld: closes_after_unheld(tree),
    };
    let mut all = Lists::with_room_for(tree.steps.len());
    for (ix, step) in tree.iter() {
        all.push(lower.deeds(ix, step));
    }
    all
}

/// The deeds of a reading that stands in no tree, at the machine of this one.
pub(super) fn deeds_of_one(tree: &Tree, ground: &Ground<'_>, step: &Step) -> Vec<Deed> {
    let lower = Lower {
        tree,
        ground,
        finds: HashMap::new(),
        proofs: Vec::new(),
        tied: tree.steps.iter().flat_map(|s| s.done_to(Act::Ties)).collect(),
        unheld: HashSet::new(),
    };
    lower.deeds(tree.start, step)
}

struct Lower<'t, 'm> {
    tree: &'t Tree,
    ground: &'t Ground<'m>,
    finds: HashMap<StepIx, Vec<StepIx>>,
    proofs: Vec<String>,
    tied: HashSet<&'t str>,
    unheld: HashSet<StepIx>,
}

impl Lower<'_, '_> {
    fn deeds(&self, ix: StepIx, step: &Step) -> Vec<Deed> {
        let mut deeds = Vec::new();
        match &step.kind {
            Kind::Ask(ask) => self.ask(step, ask, &mut deeds),
            Kind::Look(look) => self.look(step, look, &mut deeds),
            Kind::Read(read) => self.read(step, read, &mut deeds),
            Kind::Do(action) => self.action(ix, step, action, &mut deeds),
            Kind::Gate(gate) => deeds.extend(self.gate_meant(&gate.gate).map(Deed::Gate)),
            Kind::Find(_) => deeds.extend([Deed::Step(StepKind::Find), Deed::Found]),
            Kind::Close(_) if self.unheld.contains(&ix) => {
                deeds.push(Deed::Close(Closing::InterlockNotShown));
            }
            Kind::Close(close) => deeds.push(Deed::Close(match close.how {
                CloseAs::Repaired => Closing::Repaired { proofs: self.proofs.clone() },
                CloseAs::NotReproduced => Closing::NotReproduced,
                CloseAs::Temporary => Closing::Temporary,
            })),
            Kind::Refer(_) => deeds.push(Deed::Refer),
        }
        deeds
    }

    fn ask(&self, step: &Step, ask: &Ask, deeds: &mut Vec<Deed>) {
        if ask.phone {
            let hands_on = ask.proof.is_some()
                || step.zone.is_some()
                || step.power.is_some()
                || !step.with.is_empty()
                || !step.moves.is_empty();
            deeds.push(Deed::Step(StepKind::PhoneAsk));
            deeds.extend(hands_on.then_some(Deed::Forbidden(SafetyRule::PhoneHandsOn)));
            return;
        }
        deeds.push(Deed::Step(StepKind::Ask));
        if let Some(zone) = self.written_zone(step) {
            deeds.push(Deed::BeIn(Where::In(zone)));
        }
        self.setting(step, deeds);
        let watches = matches!(ask.observe, Some(Observe::Function(_))) || ask.proof.is_some();
        if watches {
            deeds.push(Deed::Watch(self.watch(step, Watched::Asked)));
        } else {
            self.watched_by_setup(step, deeds);
        }
    }

    fn look(&self, step: &Step, look: &Look, deeds: &mut Vec<Deed>) {
        deeds.push(Deed::Step(StepKind::Look));
        self.being(step, look.places.iter().map(String::as_str), deeds);
        match look.leaks {
            Some(Leaks::Card) => deeds.push(Deed::LookForLeaks(LeakSearch::CardAtADistance)),
            Some(Leaks::Close) => deeds.push(Deed::LookForLeaks(LeakSearch::CloseUp)),
            None => {}
        }
        self.setting(step, deeds);
        self.watched_by_setup(step, deeds);
    }

    fn read(&self, step: &Step, read: &Read, deeds: &mut Vec<Deed>) {
        deeds.push(Deed::Step(StepKind::Read));
        if !self.by_leads(step, read, deeds) {
            self.being(step, read.places(), deeds);
        }
        if let Leads::At(at) = &read.leads
            && self.is_fitted_somewhere(at)
        {
            deeds.push(Deed::ReadByLeads { points: vec![at.clone()], from: self.written_zone(step) });
        }
        self.setting(step, deeds);
        match read.measure {
            Measure::Ohms if read.bus => deeds.push(Deed::ReadCanOhms { feeds: read.apart.clone() }),
            Measure::Ohms => deeds.push(Deed::ReadOhms { ends: read.apart.clone() }),
            Measure::Volts | Measure::Hertz | Measure::Percent => {
                deeds.push(Deed::ReadFed(self.source(step, read)));
            }
            Measure::Amps => {
                let meter = match (&read.leads, read.in_line) {
                    (Leads::Around(_), _) => Ammeter::Clamp,
                    (_, true) => Ammeter::InLineFused,
                    (_, false) => Ammeter::InLine,
                };
                deeds.extend([Deed::ReadFed(self.source(step, read)), Deed::ReadFeedCurrent(meter)]);
            }
            Measure::Pressure | Measure::Temperature | Measure::Rpm => {}
        }
        if read.proof.is_some() {
            deeds.push(Deed::Watch(self.watch(step, Watched::Asked)));
        } else {
            self.watched_by_setup(step, deeds);
        }
    }

    /// With the engine running, points in the engine bay are reached by leads fitted before, and the step takes the zone
    /// written in it; without a machine file nobody knows that a point does not lie beside the fan. True if it does.
    fn by_leads(&self, step: &Step, read: &Read, deeds: &mut Vec<Deed>) -> bool {
        let points: Vec<String> = read.places().iter().map(|p| (*p).to_owned()).collect();
        let in_bay = match self.ground.machine() {
            Some(_) => self.ground.zones(read.places()).contains(&Zone::EngineBay),
            None => true,
        };
        if points.is_empty() || !in_bay {
            return false;
        }
        let written = self.written_zone(step);
        deeds.push(Deed::ReadByLeads { points, from: written });
        let running =
            step.power.as_deref() == Some("running") || self.powers_set(step) == Some(Power::Running.only());
        match written {
            Some(zone @ (Zone::Seat | Zone::Outside)) if running => {
                deeds.extend([Deed::PowerIs(Power::Running.only()), Deed::BeIn(Where::In(zone))]);
                true
            }
            _ => false,
        }
    }

    /// A gauge that some step fits has to be on when it is read.
    fn is_fitted_somewhere(&self, gauge: &String) -> bool {
        let fits = |(act, names): &(Act, Vec<String>)| *act == Act::Fits && names.contains(gauge);
        self.tree.steps.iter().any(|step| match &step.kind {
            Kind::Do(action) => action.acts.iter().any(fits),
            _ => false,
        })
    }

    fn source(&self, step: &Step, read: &Read) -> crate::safety::Source {
        self.ground.source(self.tree, step, &read.places(), read.fed, &[])
    }

    fn action(&self, ix: StepIx, step: &Step, action: &Do, deeds: &mut Vec<Deed>) {
        deeds.push(Deed::Step(StepKind::Do));
        let finds = self.finds.get(&ix).map_or(&[][..], Vec::as_slice);
        if action.action.is_none() {
            self.repair(step, finds, deeds);
        } else {
            let names = action.acts.iter().filter(|(act, _)| act.has_place()).flat_map(|(_, names)| names);
            self.being(step, names.map(String::as_str), deeds);
        }
        self.setting(step, deeds);
        for (act, names) in &action.acts {
            for name in names {
                deeds.push(self.act(*act, name));
            }
        }
        if action.heat {
            deeds.push(Deed::Heat);
        }
        self.watched_by_setup(step, deeds);
    }

    /// A repair is done where each of the finds lies that lead to it, and needs heat if one of them does.
    fn repair(&self, step: &Step, finds: &[StepIx], deeds: &mut Vec<Deed>) {
        let mut kept: Vec<Where> = Vec::new();
        for ix in finds {
            for zone in self.find_zones(step, *ix) {
                if !kept.contains(&zone) {
                    kept.push(zone);
                }
            }
        }
        if finds.is_empty() {
            kept.extend(
                self.written_zone(step).map_or_else(|| Self::unsaid(step), |zone| vec![Where::In(zone)]),
            );
        }
        deeds.extend(kept.into_iter().map(Deed::BeIn));
        let heat = finds.iter().any(|ix| match &self.tree.step(*ix).kind {
            Kind::Find(find) => find.repair.as_ref().is_none_or(|r| r.heat),
            _ => true,
        });
        let needs_heat = heat || finds.is_empty();
        deeds.push(Deed::Repair(if needs_heat { Heat::Needed } else { Heat::NotNeeded }));
    }

    fn act(&self, act: Act, name: &str) -> Deed {
        let reach = self.ground.reach(name, self.tied.contains(name));
        let name = name.to_owned();
        match act {
            Act::Unplugs => Deed::Unplug { line: self.ground.line(&name), plug: name },
            Act::Plugs => Deed::Plug { line: self.ground.line(&name), plug: name },
            Act::Opens | Act::Shuts => Deed::OpenHydraulics,
            Act::Cuts => Deed::Cut(self.ground.when_isolated(&name)),
            Act::Bridges => Deed::Bridge { bridge: name },
            Act::Unbridges => Deed::Unbridge { bridge: name },
            Act::Ties => Deed::Tie { control: name, reach },
            Act::Unties => Deed::Untie { control: name, reach },
            Act::Fits => Deed::Fit { point: name },
            Act::Unfits => Deed::Unfit { point: name },
        }
    }

    /// The controls that the step itself sets, and the power it takes for granted.
    fn setting(&self, step: &Step, deeds: &mut Vec<Deed>) {
        if let Some(power) = step.power.as_deref().and_then(power_named) {
            deeds.push(Deed::PowerIs(power));
        }
        deeds.extend(step.with.iter().filter_map(|(c, s)| self.ground.power_of(c, s)).map(Deed::PowerIs));
        for (control, _) in &step.with {
            deeds.push(Deed::SetControl {
                control: control.clone(),
                reach: self.ground.reach(control, self.tied.contains(control.as_str())),
            });
        }
    }

    /// A setup in which something moves is watched, whatever else the step is for.
    fn watched_by_setup(&self, step: &Step, deeds: &mut Vec<Deed>) {
        let said = step.moves.iter().any(|m| m != "nothing");
        if cranks(step) || said {
            deeds.push(Deed::Watch(self.watch(step, Watched::BySetup)));
        }
    }

    /// What is watched: the function that the step observes, or a proof of the symptom's own; by the machine, or as the
    /// step says.
    fn watch(&self, step: &Step, why: Watched) -> Watch {
        let from = Some(self.written_zone(step).unwrap_or(Zone::Seat));
        let named = match &step.kind {
            Kind::Ask(Ask { observe: Some(Observe::Function(name)), .. }) => Some(name.as_str()),
            _ => self.tree.symptom.first().map(|(name, _)| name.as_str()),
        };
        let known = named.filter(|_| why == Watched::Asked).and_then(|name| self.ground.function(name));
        let (drive, mut moved) = known.unwrap_or_else(|| {
            let drive = if step.power.as_deref() == Some("live") { Drive::KeyOn } else { Drive::Engine };
            (drive, if step.moves.is_empty() && !cranks(step) { vec![Moves::Arms] } else { Vec::new() })
        });
        for word in step.moves.iter().filter(|m| *m != "nothing") {
            let more = moves_named(word);
            if !moved.contains(&more) {
                moved.push(more);
            }
        }
        Watch { drive, moves: moved, from, why }
    }

    fn powers_set(&self, step: &Step) -> Option<Values> {
        step.with.iter().filter_map(|(c, s)| self.ground.power_of(c, s)).reduce(Values::and)
    }

    /// The gate, or the one that was probably meant: an unknown one is refused by its own rule.
    fn gate_meant(&self, name: &str) -> Option<GateId> {
        let vocabulary = self.ground.vocabulary();
        let meant = || nearest(name, vocabulary.gates().map(|id| id.name(vocabulary)));
        vocabulary.gate(name).or_else(|| vocabulary.gate(meant()?))
    }

    /// The zone written in the step, or the one that was probably meant: an unknown one is refused by its own rule.
    fn written_zone(&self, step: &Step) -> Option<Zone> {
        let vocabulary = self.ground.vocabulary();
        let name = step.zone.as_deref()?;
        let meant = || nearest(name, vocabulary.zone_names());
        vocabulary.zone(name).or_else(|| vocabulary.zone(meant()?))
    }

    /// Nobody says where the body is; nothing, if the step does and the name of the zone is told as unknown already.
    fn unsaid(step: &Step) -> Vec<Where> {
        if step.zone.is_some() { Vec::new() } else { vec![Where::Unsaid] }
    }

    /// The body is in the zone of what the step names; a zone written besides has to be one of these.
    fn being<'n>(&self, step: &Step, names: impl IntoIterator<Item = &'n str>, deeds: &mut Vec<Deed>) {
        let by_machine = self.ground.zones(names);
        let written = self.written_zone(step);
        let places = places(written, &by_machine).unwrap_or_else(|| Self::unsaid(step));
        deeds.extend(places.into_iter().map(Deed::BeIn));
    }

    /// Where what a find names is put right.
    fn find_zones(&self, repair: &Step, find: StepIx) -> Vec<Where> {
        let step = self.tree.step(find);
        let written = self.written_zone(step).or_else(|| self.written_zone(repair));
        let Kind::Find(found) = &step.kind else { return Vec::new() };
        let mut by_machine = Vec::new();
        for zone in found.faults.iter().flat_map(|fault| self.ground.fault_zones(fault)) {
            if !by_machine.contains(&zone) {
                by_machine.push(zone);
            }
        }
        let unsaid = || if step.zone.is_some() { Vec::new() } else { Self::unsaid(repair) };
        places(written, &by_machine).unwrap_or_else(unsaid)
    }
}

/// Where the body is, by the step's word and the machine's; nothing if neither says it.
fn places(written: Option<Zone>, by_machine: &[Zone]) -> Option<Vec<Where>> {
    Some(match (written, by_machine) {
        (None, []) => return None,
        (Some(written), []) => vec![Where::In(written)],
        (Some(written), [first, ..]) if !by_machine.contains(&written) => {
            vec![Where::Contradicted { written, by_machine: *first }]
        }
        (_, zones) => zones.iter().copied().map(Where::In).collect(),
    })
}

fn power_named(word: &str) -> Option<Values> {
    Some(match word {
        "isolated" => Power::Isolated.only(),
        "off" => Power::Off.only(),
        "live" => Power::Live.only(),
        "running" => Power::Running.only(),
        _ => return None,
    })
}

fn cranks(step: &Step) -> bool {
    step.with.iter().any(|(control, state)| control == "key" && state == "crank")
}
