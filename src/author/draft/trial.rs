//! One test that a draft may use: what is asked, looked at or read, in which state of the machine.

use crate::machine::{Lamp, Machine, Probes, Reach, Setup};
use crate::safety::Power;
use crate::units::Watts;

use super::words;
use super::yaml;

/// The lamp that loads a circuit: what every van has (common practice, no source).
const LAMP: Watts = Watts(21.0);

/// What a test does.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum What {
    /// The operator says by telephone whether a function works.
    Function(String),
    /// The operator says by telephone whether a code is shown.
    Code(u32, u8),
    /// A place is looked at.
    Look(String),
    /// What is not electrical is looked at, as the machine file says.
    Sight(String),
    /// Volts between two points; the frame where no second one is named.
    Volts(String, Option<String>),
    /// The same with a lamp across the leads.
    Lamp(String, Option<String>),
    /// Ohms between two points; the frame where no second one is named.
    Ohms(String, Option<String>),
    /// Amps around a wire.
    Amps(String),
}

/// A test and the state of the machine that it is done in.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Trial {
    pub(super) what: What,
    /// Controls that somebody holds or ties.
    pub(super) with: Vec<(String, String)>,
    /// The power that a reading is taken at; none where it does not matter.
    pub(super) power: Option<Power>,
    /// The plug that has to be apart.
    pub(super) apart: Option<String>,
    /// Minutes, where the usual ones do not do.
    pub(super) minutes: Option<f64>,
    /// What leads or the clamp have to be on before, because nobody stands there while it is read.
    pub(super) leads: Vec<String>,
}

impl Trial {
    pub(super) fn phone(what: What) -> Self {
        Self { what, with: Vec::new(), power: None, apart: None, minutes: None, leads: Vec::new() }
    }

    /// The same reading with nobody holding anything for it.
    pub(super) fn is_freer_than(&self, other: &Self) -> bool {
        let held = |own: &Self| Self { with: Vec::new(), ..own.clone() };
        self.is_reading() && self.with.len() < other.with.len() && held(self) == held(other)
    }

    pub(super) fn is_phone(&self) -> bool {
        matches!(self.what, What::Function(_) | What::Code(..))
    }

    pub(super) fn is_reading(&self) -> bool {
        matches!(self.what, What::Volts(..) | What::Lamp(..) | What::Ohms(..) | What::Amps(_))
    }

    /// True for a reading with the engine running or cranked.
    pub(super) fn is_running(&self) -> bool {
        self.power == Some(Power::Running)
    }

    /// Where the leads go; none for what is no reading, and for a clamp.
    pub(super) fn probes(&self, machine: &Machine) -> Option<Probes> {
        let (What::Volts(red, black) | What::Lamp(red, black) | What::Ohms(red, black)) = &self.what else {
            return None;
        };
        let black = black.as_deref().map_or(Some(machine.frame()), |name| machine.point(name))?;
        Some(Probes { red: machine.point(red)?, black })
    }

    /// The machine as the reading finds it, what nobody holds for it at rest; none where no such setup can be.
    pub(super) fn setup(&self, machine: &Machine, tree: &[(String, String)]) -> Option<Setup> {
        let speaks = |name: &str| {
            machine.control(name).is_some_and(|id| !machine.parts().controls[id.at()].power.is_empty())
        };
        let rests = |name: &str| machine.control(name).is_some_and(|id| machine.reach(id) != Reach::Anywhere);
        let mut pairs: Vec<(String, String)> = tree.to_vec();
        pairs.retain(|(c, _)| !speaks(c) && !rests(c) && self.with.iter().all(|(own, _)| own != c));
        pairs.extend(self.with.iter().cloned());
        let pairs: Vec<(&str, &str)> = pairs.iter().map(|(c, s)| (c.as_str(), s.as_str())).collect();
        let mut setup = machine.setup(&pairs, self.power).ok()?;
        setup.unplugged = self.apart.iter().filter_map(|plug| machine.connector(plug)).collect();
        if let (What::Lamp(..), Some(probes)) = (&self.what, self.probes(machine)) {
            setup.lamp = Some(Lamp { leads: [probes.red, probes.black], watts: LAMP });
        }
        Some(setup)
    }

    /// What its step is called.
    pub(super) fn id(&self) -> String {
        let to = |red: &str, black: &Option<String>| match black {
            Some(black) => format!("{red} {black}"),
            None => red.to_owned(),
        };
        let apart = if self.apart.is_some() { " apart" } else { "" };
        let running = if self.is_running() { " running" } else { "" };
        yaml::slug(&match &self.what {
            What::Function(name) => format!("{name} works"),
            What::Code(spn, fmi) => format!("code {spn} {fmi}"),
            What::Look(place) | What::Sight(place) => format!("look {place}"),
            What::Volts(red, black) => format!("{} volts{apart}{running}", to(red, black)),
            What::Lamp(red, black) => format!("{} loaded{apart}", to(red, black)),
            What::Ohms(red, black) => format!("{} ohms{apart}", to(red, black)),
            What::Amps(wire) => format!("{wire} amps{running}"),
        })
    }

    /// The lines of a question when it is asked at the machine instead of by telephone; none for what is no question.
    pub(super) fn lines_there(&self, machine: &Machine) -> Option<Vec<String>> {
        let (ask, observe, more) = match &self.what {
            What::Function(name) => {
                let moves = words::function_named(machine, name).map(|f| f.moves.clone()).unwrap_or_default();
                let moves = if moves.is_empty() { vec!["nothing".to_owned()] } else { moves };
                let moves = yaml::list(moves.iter().map(String::as_str));
                let more = vec![format!("moves: {moves}"), "caution: Everybody clear.".to_owned()];
                (words::function_tried(machine, name), yaml::word(name), more)
            }
            What::Code(spn, fmi) => {
                let observe = format!("{{code: {{spn: {spn}, fmi: {fmi}}}}}");
                (words::code_asked(*spn, *fmi), observe, vec!["power: live".to_owned()])
            }
            _ => return None,
        };
        let mut lines = vec![format!("ask: {ask}"), format!("observe: {observe}"), "zone: seat".to_owned()];
        lines.extend(more);
        Some(lines)
    }

    /// The lines of its step, up to the answers or bands.
    pub(super) fn lines(&self, machine: &Machine, good: Option<&str>) -> Vec<String> {
        let mut lines = match &self.what {
            What::Function(name) => {
                vec![
                    format!("ask: {}", words::function_asked(machine, name)),
                    "phone: true".to_owned(),
                    format!("observe: {}", yaml::word(name)),
                ]
            }
            What::Code(spn, fmi) => vec![
                format!("ask: {}", words::code_asked(*spn, *fmi)),
                "phone: true".to_owned(),
                format!("observe: {{code: {{spn: {spn}, fmi: {fmi}}}}}"),
            ],
            What::Look(place) => vec![
                format!("look: {}", yaml::quoted(&words::look_at(machine, place))),
                format!("places: {}", yaml::list([place.as_str()])),
            ],
            What::Sight(fault) => vec![
                format!("look: {}", yaml::quoted(&words::sight(machine, fault))),
                format!("places: {}", yaml::list([fault.as_str()])),
                format!("zone: {}", yaml::word(&words::sight_zone(machine, fault))),
                "power: isolated".to_owned(),
                format!("caution: {}", yaml::quoted(words::SIGHT_CAUTION)),
            ],
            What::Volts(red, black) | What::Lamp(red, black) => leads("volts", red, black.as_deref()),
            What::Ohms(red, black) => leads("ohms", red, black.as_deref()),
            What::Amps(wire) => vec!["read: amps".to_owned(), format!("around: {}", yaml::word(wire))],
        };
        if matches!(self.what, What::Lamp(..)) {
            lines.push("loaded: 21 W".to_owned());
        }
        if !self.with.is_empty() {
            lines.push(format!("with: {}", yaml::pairs(&self.with)));
        }
        if !self.leads.is_empty() {
            lines.push("zone: seat".to_owned());
        }
        if self.is_running() {
            lines.push("power: running".to_owned());
            lines.push(format!("caution: {}", yaml::quoted(words::RUNNING_CAUTION)));
        }
        if let Some(text) = words::how(machine, self, good) {
            lines.push(format!("text: {}", yaml::quoted(&text)));
        }
        if let Some(minutes) = self.minutes {
            lines.push(format!("minutes: {minutes}"));
        }
        lines
    }
}

fn leads(quantity: &str, red: &str, black: Option<&str>) -> Vec<String> {
    let head = format!("read: {quantity}");
    match black {
        Some(black) if quantity == "ohms" => {
            vec![head, format!("across: {}", yaml::list([red, black]))]
        }
        Some(black) => {
            vec![head, format!("red: {}", yaml::word(red)), format!("black: {}", yaml::word(black))]
        }
        None => vec![head, format!("red: {}", yaml::word(red))],
    }
}

impl Trial {
    /// What its two answers say of what the question is tied to.
    pub(super) fn means(&self) -> (&'static str, &'static str) {
        match self.what {
            What::Code(..) => ("active", "not"),
            _ => ("works", "fails"),
        }
    }
}
