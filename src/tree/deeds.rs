//! What each step does, in the terms of the safety room.
//!
//! A step becomes a list of deeds; what an answer or band shows (a proof) stands on the edge it leads along. Where
//! nobody says what the rule needs to know, the deed says so, and the rule fails closed.

use std::collections::{HashMap, HashSet};

use crate::safety::{
    Ammeter, Closing, Deed, Drive, Heat, LeakSearch, Line, Moves, Place as Where, Power, Reach, SafetyRule,
    Source, StepKind, Values, Vocabulary, Watch, Watched, WhenIsolated, Zone,
};
use crate::units::Measure;

use super::model::{
    Act, Ask, CloseAs, Do, Kind, Leads, Leaks, Look, Observe, Proof, Read, Seen, Step, StepIx, Target, Tree,
};

/// The deeds of every step, by number.
pub(super) fn deeds_of_all(tree: &Tree, vocabulary: &Vocabulary) -> Vec<Vec<Deed>> {
    let finds = finds_before_repairs(tree);
    let proofs = proofs_wanted(tree);
    let tied: HashSet<&str> = tree.steps.iter().flat_map(|s| s.done_to(Act::Ties)).collect();
    let unheld = closes_after_unheld(tree);
    let lower = Lower { tree, vocabulary, finds: &finds, proofs: &proofs, tied: &tied, unheld: &unheld };
    tree.iter().map(|(ix, step)| lower.deeds(ix, step)).collect()
}

/// What an answer or band shows, if it shows a proof.
pub(super) fn shown_on(step: &Step, way: usize) -> Vec<Deed> {
    match &step.kind {
        Kind::Ask(Ask { proof: Some(proof), phone: false, answers, .. }) => {
            let right = match proof {
                Proof::Works => Seen::Works,
                Proof::Held => Seen::Fails,
            };
            let shows = answers.get(way).is_some_and(|a| a.seen == Some(right) && a.go != Target::Again);
            if shows { vec![Deed::Shown { proof: proof_name(*proof, step) }] } else { Vec::new() }
        }
        Kind::Read(Read { proof: Some(proof), bands, .. })
            if bands.get(way).is_some_and(|b| b.go != Target::Again) =>
        {
            vec![Deed::Shown { proof: proof_name(*proof, step) }]
        }
        _ => Vec::new(),
    }
}

/// The name under which a proof is kept: `works`, or `held` with the state that was tried.
fn proof_name(proof: Proof, _step: &Step) -> String {
    match proof {
        Proof::Works => "works".to_owned(),
        Proof::Held => "held".to_owned(),
    }
}

/// The proofs that a job closed as repaired must have shown: `works`, and `held` where the tree tries it.
fn proofs_wanted(tree: &Tree) -> Vec<String> {
    let mut wanted = vec!["works".to_owned()];
    let held = tree.steps.iter().any(|s| match &s.kind {
        Kind::Ask(a) => a.proof == Some(Proof::Held),
        Kind::Read(r) => r.proof == Some(Proof::Held),
        _ => false,
    });
    if held {
        wanted.push("held".to_owned());
    }
    wanted
}

/// For each step that repairs what was found: the finds that reach it.
fn finds_before_repairs(tree: &Tree) -> HashMap<StepIx, Vec<StepIx>> {
    let mut into: Vec<Vec<StepIx>> = vec![Vec::new(); tree.steps.len()];
    for (ix, step) in tree.iter() {
        for target in step.targets() {
            if let Target::Step(to) = target {
                into[to.at()].push(ix);
            }
        }
    }
    let repairs = tree.iter().filter(|(_, s)| matches!(&s.kind, Kind::Do(d) if d.action.is_none()));
    repairs
        .map(|(repair, _)| {
            let mut seen = vec![false; tree.steps.len()];
            let mut open = vec![repair];
            let mut finds = Vec::new();
            while let Some(ix) = open.pop() {
                for from in &into[ix.at()] {
                    if std::mem::replace(&mut seen[from.at()], true) {
                        continue;
                    }
                    if matches!(tree.step(*from).kind, Kind::Find(_)) {
                        finds.push(*from);
                    } else {
                        open.push(*from);
                    }
                }
            }
            finds.sort_unstable();
            (repair, finds)
        })
        .collect()
}

/// The ends that are come to after an interlock was tried and did not hold, with no finding and no better try between:
/// such a job is not closed but tagged out.
fn closes_after_unheld(tree: &Tree) -> HashSet<StepIx> {
    let mut closes = HashSet::new();
    for (_, step) in tree.iter() {
        let Kind::Ask(Ask { proof: Some(Proof::Held), answers, .. }) = &step.kind else { continue };
        let mut open: Vec<StepIx> = answers
            .iter()
            .filter(|a| a.seen == Some(Seen::Works))
            .filter_map(|a| if let Target::Step(ix) = a.go { Some(ix) } else { None })
            .collect();
        let mut seen: HashSet<StepIx> = open.iter().copied().collect();
        while let Some(ix) = open.pop() {
            let here = tree.step(ix);
            match &here.kind {
                Kind::Find(_) | Kind::Ask(Ask { proof: Some(Proof::Held), .. }) => continue,
                Kind::Close(_) => {
                    closes.insert(ix);
                }
                _ => {}
            }
            for target in here.targets() {
                if let Target::Step(to) = target
                    && seen.insert(to)
                {
                    open.push(to);
                }
            }
        }
    }
    closes
}

struct Lower<'t> {
    tree: &'t Tree,
    vocabulary: &'t Vocabulary,
    finds: &'t HashMap<StepIx, Vec<StepIx>>,
    proofs: &'t [String],
    tied: &'t HashSet<&'t str>,
    unheld: &'t HashSet<StepIx>,
}

impl Lower<'_> {
    fn deeds(&self, ix: StepIx, step: &Step) -> Vec<Deed> {
        let mut deeds = Vec::new();
        match &step.kind {
            Kind::Ask(ask) => self.ask(step, ask, &mut deeds),
            Kind::Look(look) => self.look(step, look, &mut deeds),
            Kind::Read(read) => self.read(step, read, &mut deeds),
            Kind::Do(action) => self.action(ix, step, action, &mut deeds),
            Kind::Gate(gate) => deeds.extend(self.vocabulary.gate(&gate.gate).map(Deed::Gate)),
            Kind::Find(_) => deeds.extend([Deed::Step(StepKind::Find), Deed::Found]),
            Kind::Close(_) if self.unheld.contains(&ix) => {
                deeds.push(Deed::Close(Closing::InterlockNotShown));
            }
            Kind::Close(close) => deeds.push(Deed::Close(match close.how {
                CloseAs::Repaired => Closing::Repaired { proofs: self.proofs.to_vec() },
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
        deeds.push(Deed::BeIn(self.zone(step)));
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
        deeds.push(Deed::BeIn(self.zone(step)));
        self.setting(step, deeds);
        match read.measure {
            Measure::Ohms if read.bus => deeds.push(Deed::ReadCanOhms { feeds: read.apart.clone() }),
            Measure::Ohms => deeds.push(Deed::ReadOhms { ends: read.apart.clone() }),
            Measure::Volts | Measure::Hertz | Measure::Percent => deeds.push(Deed::ReadFed(source(read))),
            Measure::Amps => {
                let meter = match (&read.leads, read.in_line) {
                    (Leads::Around(_), _) => Ammeter::Clamp,
                    (_, true) => Ammeter::InLineFused,
                    (_, false) => Ammeter::InLine,
                };
                deeds.extend([Deed::ReadFed(source(read)), Deed::ReadFeedCurrent(meter)]);
            }
            Measure::Pressure | Measure::Temperature | Measure::Rpm => {}
        }
        self.leads(step, read, deeds);
        if read.proof.is_some() {
            deeds.push(Deed::Watch(self.watch(step, Watched::Asked)));
        } else {
            self.watched_by_setup(step, deeds);
        }
    }

    /// With the engine running the points are reached by leads fitted before: without a machine file nobody knows that
    /// a point does not lie beside the fan.
    fn leads(&self, step: &Step, read: &Read, deeds: &mut Vec<Deed>) {
        let points: Vec<String> = read.points().iter().map(|p| (*p).to_owned()).collect();
        if !points.is_empty() {
            deeds.push(Deed::ReadByLeads { points, from: self.written_zone(step) });
        }
    }

    fn action(&self, ix: StepIx, step: &Step, action: &Do, deeds: &mut Vec<Deed>) {
        deeds.push(Deed::Step(StepKind::Do));
        let finds = self.finds.get(&ix).map_or(&[][..], Vec::as_slice);
        if action.action.is_none() {
            self.repair(step, finds, deeds);
        } else {
            deeds.push(Deed::BeIn(self.zone(step)));
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
        let own = self.written_zone(step);
        let mut zones: Vec<Where> = finds
            .iter()
            .map(|ix| self.written_zone(self.tree.step(*ix)).or(own).map_or(Where::Unsaid, Where::In))
            .collect();
        if finds.is_empty() {
            zones.push(self.zone(step));
        }
        let mut kept: Vec<Where> = Vec::new();
        for zone in zones {
            if !kept.contains(&zone) {
                kept.push(zone);
            }
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
        let reach = self.reach(name);
        let name = name.to_owned();
        match act {
            Act::Unplugs => Deed::Unplug { plug: name, line: Line::Signal },
            Act::Plugs => Deed::Plug { plug: name, line: Line::Signal },
            Act::Opens | Act::Shuts => Deed::OpenHydraulics,
            Act::Cuts => Deed::Cut(WhenIsolated::NoModel),
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
        deeds.extend(step.with.iter().filter_map(|(c, s)| power_of_key(c, s)).map(Deed::PowerIs));
        for (control, _) in &step.with {
            deeds.push(Deed::SetControl { control: control.clone(), reach: self.reach(control) });
        }
    }

    /// Without a machine file a control that the tree ties somewhere is one of the seat; others are anywhere.
    fn reach(&self, control: &str) -> Reach {
        if self.tied.contains(control) { Reach::SeatOrTied } else { Reach::Anywhere }
    }

    /// A setup in which something moves is watched, whatever else the step is for.
    fn watched_by_setup(&self, step: &Step, deeds: &mut Vec<Deed>) {
        let said = step.moves.iter().any(|m| m != "nothing");
        if cranks(step) || said {
            deeds.push(Deed::Watch(self.watch(step, Watched::BySetup)));
        }
    }

    fn watch(&self, step: &Step, why: Watched) -> Watch {
        let drive = if step.power.as_deref() == Some("live") { Drive::KeyOn } else { Drive::Engine };
        Watch { drive, moves: moves(step), from: Some(self.written_zone(step).unwrap_or(Zone::Seat)), why }
    }

    fn written_zone(&self, step: &Step) -> Option<Zone> {
        step.zone.as_deref().and_then(|zone| self.vocabulary.zone(zone))
    }

    fn zone(&self, step: &Step) -> Where {
        self.written_zone(step).map_or(Where::Unsaid, Where::In)
    }
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

/// Without a machine file a point has a source while the key is on, or always by the author's word.
fn source(read: &Read) -> Source {
    let key_on = Power::Live.only().or(Power::Running.only());
    if read.fed {
        Source::With(key_on.or(Power::Off.only()).or(Power::Isolated.only()))
    } else {
        Source::With(key_on)
    }
}

/// What moves: as written; arms if nobody says, since that is what falls.
fn moves(step: &Step) -> Vec<Moves> {
    if cranks(step) && step.moves.is_empty() {
        return Vec::new();
    }
    if step.moves.is_empty() {
        return vec![Moves::Arms];
    }
    step.moves
        .iter()
        .filter(|m| *m != "nothing")
        .map(|m| match m.as_str() {
            "arms" => Moves::Arms,
            "travel" => Moves::Travel,
            own => Moves::Own(own.to_owned()),
        })
        .collect()
}

/// What the key says about the power. The key is a control of every machine; its states are the trade's own words.
fn power_of_key(control: &str, state: &str) -> Option<Values> {
    if control != "key" {
        return None;
    }
    match state {
        "off" => Some(Power::Off.only().or(Power::Isolated.only())),
        "on" => Some(Power::Live.only().or(Power::Running.only())),
        "crank" => Some(Power::Running.only()),
        _ => None,
    }
}

fn cranks(step: &Step) -> bool {
    step.with.iter().any(|(control, state)| control == "key" && state == "crank")
}
