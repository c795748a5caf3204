//! What the machine file says about the things a step names: zones, reach, sources, what a plug carries, what moves.
//!
//! Without a machine file every question here has the careful answer, or none, and the author's word stands in.

use crate::machine::{Day, Located, Machine, Reach as MachineReach, Rig, Setup, Today, power_word};
use crate::safety::{Drive, Line, Moves, Power, Reach, Source, Values, Vocabulary, WhenIsolated, Zone};

use super::model::{Step, Tree};

/// Every power.
pub(super) const POWERS: [Power; 4] = [Power::Running, Power::Live, Power::Off, Power::Isolated];

/// A place that could push more than this into the frame is live (the limit is the safety page's own).
const LIVE_AMPS: f64 = 0.1;

/// The ground under a tree: its machine, or none.
pub(super) struct Ground<'m> {
    machine: Option<&'m Machine>,
    day: Option<Day<'m>>,
    vocabulary: &'m Vocabulary,
}

impl<'m> Ground<'m> {
    pub(super) fn new(machine: Option<&'m Machine>, vocabulary: &'m Vocabulary) -> Self {
        Self { machine, day: machine.map(|m| m.day(Today::default())), vocabulary }
    }

    pub(super) fn machine(&self) -> Option<&'m Machine> {
        self.machine
    }

    pub(super) fn vocabulary(&self) -> &'m Vocabulary {
        self.vocabulary
    }

    /// The zones of the things named, each once, as far as the machine gives them.
    pub(super) fn zones<'n>(&self, names: impl IntoIterator<Item = &'n str>) -> Vec<Zone> {
        let mut zones = Vec::new();
        for name in names {
            if let Some(Located::In(zone)) = self.machine.map(|m| m.zone_named(name))
                && let Some(zone) = self.vocabulary.zone(zone)
                && !zones.contains(&zone)
            {
                zones.push(zone);
            }
        }
        zones
    }

    /// The zones in which a fault is put right: those of the thing that its name begins with, or of the rub that it
    /// ends with.
    pub(super) fn fault_zones(&self, fault: &str) -> Vec<Zone> {
        let words: Vec<&str> = fault.split_whitespace().collect();
        let things: Vec<&str> = words.iter().copied().filter(|w| self.is_thing(w)).collect();
        let rub = words.iter().rposition(|w| *w == "at").and_then(|at| words.get(at + 1));
        if let Some(rub) = rub {
            let places: Vec<String> = things.iter().map(|thing| format!("{thing}@{rub}")).collect();
            let zones = self.zones(places.iter().map(String::as_str));
            if !zones.is_empty() {
                return zones;
            }
        }
        let bare: Vec<String> = things
            .iter()
            .flat_map(|thing| {
                // A contact is reached where its connector is.
                [
                    (*thing).to_owned(),
                    format!("{thing}a"),
                    thing.split(':').next().unwrap_or(thing).to_owned(),
                ]
            })
            .collect();
        self.zones(bare.iter().map(String::as_str))
    }

    fn is_thing(&self, word: &str) -> bool {
        word.starts_with(|c: char| c.is_uppercase())
            || self.machine.is_some_and(|m| m.zone_named(word) != Located::Nowhere)
    }

    /// From where a control is set; without a machine, from the seat if the tree ties it somewhere.
    pub(super) fn reach(&self, control: &str, is_tied: bool) -> Reach {
        match self.machine {
            Some(machine) => match machine.control(control).map(|id| machine.reach(id)) {
                Some(MachineReach::Seat) => Reach::SeatOnly,
                Some(MachineReach::SeatOrTied) => Reach::SeatOrTied,
                Some(MachineReach::Anywhere) | None => Reach::Anywhere,
            },
            None if is_tied => Reach::SeatOrTied,
            None => Reach::Anywhere,
        }
    }

    /// The powers that a control in this state goes with; `None` if it says nothing about power.
    pub(super) fn power_of(&self, control: &str, state: &str) -> Option<Values> {
        let Some(machine) = self.machine else { return power_of_key(control, state) };
        let own = &machine.parts().controls[machine.control(control)?.at()];
        let at = own.states.iter().position(|s| s == state)?;
        let allowed = own.power.get(at)?;
        allowed.iter().map(|p| p.only()).reduce(Values::or)
    }

    /// What a plug carries: a feed if, with the key off, it could still push current into the frame.
    pub(super) fn line(&self, plug: &str) -> Line {
        let carried = || {
            let (machine, day) = (self.machine?, self.day.as_ref()?);
            let connector = machine.connector(plug)?;
            let setup = machine.setup(&[], Some(Power::Off)).ok()?;
            let rig = day.rig(&setup);
            Some(day.healthy().push_at(&rig, machine.taken_apart(connector)).value())
        };
        if carried().is_some_and(|amps| amps > LIVE_AMPS) { Line::Feed } else { Line::Signal }
    }

    /// Whether a wire that is cut or undone is dead with the isolator open.
    pub(super) fn when_isolated(&self, wire: &str) -> WhenIsolated {
        let pushed = || {
            let (machine, day) = (self.machine?, self.day.as_ref()?);
            let element = machine.element(wire)?;
            let setup = machine.setup(&[], Some(Power::Isolated)).ok()?;
            let rig = day.rig(&setup);
            Some(day.healthy().push_at(&rig, &[element]).value())
        };
        match pushed() {
            Some(amps) if amps > LIVE_AMPS => WhenIsolated::StillLive,
            Some(_) => WhenIsolated::Dead,
            None => WhenIsolated::NoModel,
        }
    }

    /// The machine as a step sets it up under one power; `None` without a machine, or where the two do not go together.
    pub(super) fn setup(&self, tree: &Tree, step: &Step, power: Power) -> Option<Setup> {
        let machine = self.machine?;
        let mut pairs = if tree.setup.is_empty() { self.symptom_setup(tree) } else { tree.setup.clone() };
        let speaks = |control: &str| {
            machine.control(control).is_some_and(|id| !machine.parts().controls[id.at()].power.is_empty())
        };
        pairs.retain(|(control, _)| !speaks(control));
        for (control, state) in &step.with {
            pairs.retain(|(own, _)| own != control);
            pairs.push((control.clone(), state.clone()));
        }
        let pairs: Vec<(&str, &str)> = pairs.iter().map(|(c, s)| (c.as_str(), s.as_str())).collect();
        machine.setup(&pairs, Some(power)).ok()
    }

    /// The state in which the symptom's first function should work.
    pub(super) fn symptom_setup(&self, tree: &Tree) -> Vec<(String, String)> {
        let Some(machine) = self.machine else { return Vec::new() };
        let parts = machine.parts();
        let first = tree.symptom.first().and_then(|(name, _)| machine.function(name));
        let Some(function) = first.map(|id| &parts.functions[id.at()]) else { return Vec::new() };
        function
            .with
            .iter()
            .map(|(control, state)| {
                let control = &parts.controls[control.at()];
                (control.name.clone(), control.states.get(*state).cloned().unwrap_or_default())
            })
            .collect()
    }

    /// In which powers one of the points has a source, with these plugs apart; the author's word is added to it.
    pub(super) fn source(
        &self,
        tree: &Tree,
        step: &Step,
        points: &[&str],
        fed: bool,
        apart: &[String],
    ) -> Source {
        let key_on = Power::Live.only().or(Power::Running.only());
        if fed {
            return Source::With(key_on.or(Power::Off.only()).or(Power::Isolated.only()));
        }
        let (Some(machine), Some(day)) = (self.machine, self.day.as_ref()) else {
            return Source::With(key_on);
        };
        let ids: Vec<_> =
            points.iter().filter_map(|p| machine.point(p)).filter(|p| *p != machine.frame()).collect();
        if ids.is_empty() {
            return Source::With(key_on);
        }
        let with = POWERS.into_iter().filter(|power| {
            self.setup(tree, step, *power).is_some_and(|mut setup| {
                setup.unplugged = apart.iter().filter_map(|plug| machine.connector(plug)).collect();
                let rig = day.rig(&setup);
                ids.iter().any(|point| day.has_source(&rig, *point))
            })
        });
        with.map(Power::only).reduce(Values::or).map_or(Source::None, Source::With)
    }

    /// What a function needs and moves; arms are assumed where nobody says.
    pub(super) fn function(&self, name: &str) -> Option<(Drive, Vec<Moves>)> {
        let machine = self.machine?;
        let function = &machine.parts().functions[machine.function(name)?.at()];
        let drive = if power_word(function.power) == "running" { Drive::Engine } else { Drive::KeyOn };
        Some((drive, function.moves.iter().map(|m| moves_named(m)).collect()))
    }

    /// Whether a function has states in which it must be held.
    pub(super) fn has_held(&self, name: &str) -> bool {
        self.machine
            .and_then(|m| Some(!m.parts().functions[m.function(name)?.at()].held.is_empty()))
            .unwrap_or(false)
    }

    /// What works and moves something in a step's setup under this power, healthy.
    pub(super) fn moving(&self, tree: &Tree, step: &Step, power: Power) -> Vec<(Drive, Vec<Moves>)> {
        let (Some(machine), Some(day)) = (self.machine, self.day.as_ref()) else { return Vec::new() };
        let Some(setup) = self.setup(tree, step, power) else { return Vec::new() };
        let rig: Rig<'m> = day.rig(&setup);
        day.moving(&rig)
            .into_iter()
            .filter_map(|id| self.function(&machine.parts().functions[id.at()].name))
            .collect()
    }
}

/// A word under `moves`.
pub(super) fn moves_named(word: &str) -> Moves {
    match word {
        "arms" => Moves::Arms,
        "travel" => Moves::Travel,
        own => Moves::Own(own.to_owned()),
    }
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
