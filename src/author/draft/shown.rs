//! What each reading shows under each suspect, with a weak, a nominal and a strong battery.

use std::collections::BTreeMap;

use crate::machine::{Case, Day, Machine, Probes, Setup, Today};
use crate::units::{Amount, Measure, Meter};

use super::suspects::Tried;
use super::trial::{Trial, What};

/// The batteries that a draft has to hold for: those of the fault check, the nominal one first.
const BATTERIES: [f64; 3] = [1.0, 0.9, 1.12];

/// The machine with each of these batteries.
pub(super) fn days(machine: &Machine) -> [Day<'_>; 3] {
    BATTERIES.map(|scale| machine.day(Today { scale, ..Today::default() }))
}

/// What contacts and probes add to a reading, as a standard uncertainty: the floor of the fault check's own belief.
const CONTACTS: [f64; 3] = [0.02, 0.1, 0.02];

/// A stretch of the meter's line within which one reading lies; `OL` is at infinity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stretch {
    pub(super) low: f64,
    pub(super) high: f64,
    /// The value itself.
    pub(super) value: f64,
}

/// What one reading shows: by battery, by suspect (the healthy machine last), one stretch or both ends of a
/// cycle; none where the suspect does not show the symptom with that battery.
pub(super) type Shown = Vec<Vec<Vec<Stretch>>>;

/// Readings in one state of the machine, which is solved once for all of them.
struct Together<'t> {
    setup: Setup,
    trials: Vec<(usize, &'t Trial)>,
}

/// What every reading among the trials shows; none for what is no reading or cannot be set up.
pub(super) fn shown<'m>(
    days: &[Day<'m>; 3],
    tried: &Tried<'_, 'm>,
    trials: &[Trial],
    tree: &[(String, String)],
) -> Vec<Option<Shown>> {
    let machine = days[0].machine();
    let mut groups: Vec<Together<'_>> = Vec::new();
    for (at, trial) in trials.iter().enumerate().filter(|(_, t)| t.is_reading()) {
        let Some(setup) = trial.setup(machine, tree) else { continue };
        match groups.iter_mut().find(|group| group.setup == setup) {
            Some(group) => group.trials.push((at, trial)),
            None => groups.push(Together { setup, trials: vec![(at, trial)] }),
        }
    }
    let mut all: BTreeMap<usize, Shown> = BTreeMap::new();
    for (battery, (day, cases)) in days.iter().zip(&tried.cases).enumerate() {
        for group in &groups {
            for (at, mut row) in group.solve(day, cases) {
                for (suspect, own) in tried.suspects.list.iter().zip(&mut row) {
                    if !suspect.shows[battery] {
                        own.clear();
                    }
                }
                all.entry(at).or_default().push(row);
            }
        }
    }
    (0..trials.len()).map(|at| all.remove(&at)).collect()
}

/// True if two readings show the same under every suspect, as far as a meter can tell.
pub(super) fn is_alike(one: &Shown, other: &Shown) -> bool {
    let near = |a: &Stretch, b: &Stretch| {
        a.value.to_bits() == b.value.to_bits() || (a.value - b.value).abs() < (a.high - a.low) / 16.0
    };
    one.iter()
        .flatten()
        .zip(other.iter().flatten())
        .all(|(a, b)| a.len() == b.len() && a.iter().zip(b).all(|(a, b)| near(a, b)))
}

impl Together<'_> {
    fn solve<'m>(&self, day: &Day<'m>, cases: &[Case<'_, 'm>]) -> Vec<(usize, Vec<Vec<Stretch>>)> {
        let machine = day.machine();
        let rig = day.rig(&self.setup);
        let mut rows: Vec<(usize, Vec<Vec<Stretch>>)> =
            self.trials.iter().map(|(at, _)| (*at, Vec::with_capacity(cases.len()))).collect();
        let is_ohms = self.trials.iter().any(|(_, t)| matches!(t.what, What::Ohms(..)));
        for case in cases {
            let settled = (!is_ohms).then(|| case.settle(&rig));
            let meter = is_ohms.then(|| case.ohmmeter(&rig));
            for ((_, trial), (_, row)) in self.trials.iter().zip(&mut rows) {
                let values = match (&trial.what, &settled, &meter) {
                    (What::Amps(wire), Some(settled), _) => machine
                        .element(wire)
                        .map(|id| settled.amps(id))
                        .map(|s| (s.least.value(), s.most.value())),
                    (What::Ohms(..), _, Some(meter)) => {
                        let over = |probes: Probes| {
                            meter.ohms(probes).map_or(f64::INFINITY, crate::units::Ohms::value)
                        };
                        trial.probes(machine).map(over).map(|ohms| (ohms, ohms))
                    }
                    (_, Some(settled), _) => trial
                        .probes(machine)
                        .map(|probes| settled.volts(probes))
                        .map(|s| (s.least.value(), s.most.value())),
                    _ => None,
                };
                let (least, most) = values.unwrap_or((0.0, 0.0));
                let ends = if most > least { vec![least, most] } else { vec![least] };
                row.push(ends.into_iter().map(|value| stretch(&trial.what, value)).collect());
            }
        }
        rows
    }
}

/// Where the meter can show a predicted value: the 95 % interval, and a little more, of meter, model and contacts.
fn stretch(what: &What, value: f64) -> Stretch {
    let (measure, contacts) = match what {
        What::Ohms(..) => (Measure::Ohms, CONTACTS[1]),
        What::Amps(_) => (Measure::Amps, CONTACTS[2]),
        _ => (Measure::Volts, CONTACTS[0]),
    };
    if value.is_infinite() {
        return Stretch { low: value, high: value, value };
    }
    let expected = Meter::default().expected(Amount::new(measure.unit(), value));
    let reach = REACH * expected.standard_uncertainty().hypot(contacts);
    Stretch { low: value - reach, high: value + reach, value }
}

/// Standard uncertainties on either side of a value that a neighbour has to stay clear of.
const REACH: f64 = 2.3;
