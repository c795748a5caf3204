//! What must be so at a step that is shown: by the program's own state, and by a second, much plainer account of power,
//! arms, cab, lock and what is whole, written out by hand from the safety rules and kept from the events alone.

use std::collections::HashMap;

use loomwalk::safety::{CabKind, Deed, Gate, GateId, demands};
use loomwalk::tree::{Course, Kind, StepIx};
use loomwalk::walk::{Event, Now, Walk};

/// The step, gate or item that is current has everything in force that it needs.
pub(crate) fn holds(walk: &Walk) -> Result<(), String> {
    let course = walk.course();
    let (state, vocabulary) = (walk.machine(), course.vocabulary());
    let unmet = |needed: &[loomwalk::safety::Demand]| {
        needed.iter().find(|d| !d.holds(state, vocabulary)).map(|d| d.rule.name())
    };
    let (what, missing) = match walk.now() {
        Now::Step(ix) | Now::Check(ix, _) => (course.tree().step(*ix).id.clone(), unmet(course.demands(*ix))),
        Now::Gate(at) => {
            let name = at.gate.name(vocabulary).to_owned();
            (name, unmet(&demands(&Deed::Gate(at.gate), vocabulary)))
        }
        _ => return Ok(()),
    };
    missing.map_or(Ok(()), |rule| Err(format!("{what} is current without {rule}")))
}

/// What is surely so, by a plain account: a value, or nobody knows.
#[derive(Clone, Default)]
pub(crate) struct Plain {
    known: HashMap<&'static str, &'static str>,
    gates: usize,
    visits: usize,
    order: Vec<(bool, usize)>,
}

fn sets(gate: GateId) -> &'static [(&'static str, &'static str)] {
    let GateId::BuiltIn(gate) = gate else { return &[] };
    match gate {
        Gate::Park => &[("parked", "yes"), ("power", "off")],
        Gate::LowerArms => &[("arms", "down"), ("power", "off"), ("pressure", "charged")],
        Gate::SupportArms => &[("arms", "supported"), ("power", "off")],
        Gate::ReleasePressure => &[("pressure", "released"), ("power", "off")],
        Gate::Lockout => &[("power", "isolated"), ("lock", "on")],
        Gate::RaiseCab => &[("cab", "supported")],
        Gate::LowerCab => &[("cab", "down")],
        Gate::LiveTest => &[("power", "live")],
        Gate::PutBack => &[("whole", "yes")],
        Gate::ReleaseLockout => &[("power", "off"), ("lock", "off")],
        Gate::RunUp => &[("power", "running"), ("arms", "raised"), ("pressure", "charged")],
        Gate::HotWork => &[("hot", "yes")],
        Gate::Leave | Gate::KeepAway => &[("left", "yes")],
    }
}

impl Plain {
    /// What is known of a machine when somebody comes to it.
    pub(crate) fn at_start() -> Self {
        let known = HashMap::from([("lock", "off"), ("pressure", "charged"), ("parked", "no")]);
        Self { known, ..Self::default() }
    }

    fn forget(&mut self, gate: GateId) {
        for (condition, _) in sets(gate) {
            self.known.remove(condition);
        }
    }

    /// Takes in what an event did, seen from outside: before and after.
    pub(crate) fn saw(&mut self, event: &Event, before: &Walk, after: &Walk) {
        let tree = after.course().tree();
        match event {
            Event::Back { step } => {
                let ix = tree.find(step).expect("a step");
                let to = before.visits().iter().rposition(|v| v.step == ix).expect("a visit");
                let from = self.order.iter().position(|one| *one == (false, to)).unwrap_or(0);
                let begun = self.order[from..].iter().filter(|(is_gate, _)| *is_gate).map(|(_, at)| *at);
                for at in begun.collect::<Vec<_>>() {
                    self.forget(before.gates()[at].gate);
                }
            }
            Event::Jump { .. } | Event::Cannot { .. } => {
                if let Now::Gate(at) = before.now() {
                    self.forget(at.gate);
                } else if let (Event::Cannot { .. }, Now::Step(ix)) = (event, before.now()) {
                    self.done(&tree.step(*ix).kind, after.course(), *ix, false);
                }
            }
            Event::Lapsed { .. } | Event::Resumed { .. } => self.known.clear(),
            Event::Answered { .. } | Event::Read { .. } | Event::Done { .. } => {
                if let Now::Step(ix) = before.now() {
                    self.done(&tree.step(*ix).kind, after.course(), *ix, true);
                }
            }
            Event::Item { .. } => {
                let passed = before.gates().last().is_some_and(|log| log.passed.is_none())
                    && after.gates()[before.gates().len() - 1].passed.is_some();
                if passed {
                    let gate = before.gates()[before.gates().len() - 1].gate;
                    self.known.extend(sets(gate).iter().copied());
                    if self.known.get("power") != Some(&"isolated") {
                        self.known.insert("hot", "no");
                    }
                }
            }
            _ => {}
        }
        for at in self.visits..after.visits().len() {
            self.order.push((false, at));
        }
        for at in self.gates..after.gates().len() {
            self.order.push((true, at));
        }
        (self.visits, self.gates) = (after.visits().len(), after.gates().len());
    }

    /// A step was done, or begun and not done.
    fn done(&mut self, kind: &Kind, course: &Course, ix: StepIx, done: bool) {
        let step = course.tree().step(ix);
        if matches!(kind, Kind::Ask(_)) && step.moves.iter().any(|m| m == "arms") {
            self.known.insert("arms", "raised");
        }
        if matches!(kind, Kind::Ask(_)) && step.moves.iter().any(|m| m == "travel") {
            self.known.insert("parked", "no");
        }
        let opened = course.deeds(ix).iter().any(|deed| {
            matches!(deed, Deed::Unplug { .. } | Deed::Cut(_) | Deed::OpenHydraulics | Deed::Tie { .. })
        });
        if opened {
            self.known.insert("whole", "no");
        }
        if !done && !matches!(kind, Kind::Find(_)) {
            self.known.remove("left");
        }
    }

    /// What would hurt somebody at the step that is shown, by the table of the safety rules.
    pub(crate) fn danger(&self, walk: &Walk) -> Option<String> {
        let Now::Step(ix) = walk.now() else { return None };
        let step = walk.course().tree().step(*ix);
        let is = |condition: &str, values: &[&str]| {
            self.known.get(condition).is_some_and(|value| values.contains(value))
        };
        let still = is("power", &["off", "isolated"]);
        let held = is("arms", &["down", "supported"]);
        let cab_down = is("cab", &["down"]) || walk.course().vocabulary().cab() == CabKind::Fixed;
        // A finding names a place; nobody is there before its repair.
        let zone = match step.zone.as_deref().filter(|_| !matches!(step.kind, Kind::Find(_))) {
            Some("under-cab") => {
                is("cab", &["supported"]) && held && is("power", &["off", "isolated", "live"])
            }
            Some("under-arms") => is("parked", &["yes"]) && is("arms", &["supported"]) && still,
            Some("engine-bay") => is("power", &["off", "isolated", "live"]),
            Some("seat") => cab_down,
            _ => true,
        };
        let deeds = walk.course().deeds(*ix).iter().all(|deed| match deed {
            Deed::Unplug { .. } | Deed::Plug { .. } => still,
            Deed::Cut(_) => is("power", &["isolated"]),
            Deed::OpenHydraulics => is("pressure", &["released"]) && held && still,
            Deed::ReadOhms { ends } => is("power", &["isolated"]) || !ends.is_empty(),
            Deed::Heat => is("power", &["isolated"]) && is("hot", &["yes"]),
            Deed::Watch(_) => {
                cab_down && is("whole", &["yes"]) && is("lock", &["off"]) && is("parked", &["yes"])
            }
            _ => true,
        });
        (!zone || !deeds).then(|| format!("{} with {:?}", step.id, self.known))
    }
}
