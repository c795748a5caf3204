//! One machine of the family with a fault in it: what stands in the yard for the apprentice.
//!
//! Deliberately not the belief's own model: lengths are ±5 %, the battery is what it is today, severities lie between
//! the knots, the meter is off by anything within its class, and who looks misreads 3 of 100. All are our choice.

use std::sync::Arc;

use super::dice::Dice;
use super::hidden::{Level, Pool};
use crate::machine::{Day, FaultId, Knot, Machine, Today};
use crate::tree::Tree;
use crate::units::{Celsius, Meter, Volts};
use crate::walk::{Details, Event, Walker};

/// How much longer or shorter a wire may be than the file says.
const LENGTHS: f64 = 0.05;
/// Today's battery, as parts of the nominal.
const BATTERY: (f64, f64) = (0.97, 1.03);
/// Today's temperature in °C.
const CELSIUS: (f64, f64) = (0.0, 30.0);

/// A machine in the yard, its fault hidden.
#[derive(Debug, Clone)]
pub struct Specimen {
    machine: Machine,
    today: Today,
    meter: Meter,
    knot: Knot,
}

/// What of a specimen is asked for; the rest is drawn.
#[derive(Debug, Clone, Copy, Default)]
pub struct Wanted {
    /// An instructor's fault.
    pub fault: Option<FaultId>,
    /// Which faults are drawn from.
    pub level: Level,
    /// The meter at hand.
    pub meter: Meter,
    /// The day, if it is not to be drawn.
    pub today: Option<Today>,
}

impl Specimen {
    /// Draws a machine: its lengths, its day, its fault and how bad it is. `None` if the fault asked for, or every
    /// fault, shows no symptom of this tree.
    #[must_use]
    pub fn draw(
        tree: &Tree,
        family: &Arc<Machine>,
        pool: &Pool,
        wanted: Wanted,
        dice: &mut Dice,
    ) -> Option<Self> {
        let machine = family.built(|_| dice.between(1.0 - LENGTHS, 1.0 + LENGTHS));
        let volts = family.parts().supply.volts.value() * dice.between(BATTERY.0, BATTERY.1);
        let drawn = Today {
            volts: Some(Volts((volts * 100.0).round() / 100.0)),
            celsius: Celsius(dice.between(CELSIUS.0, CELSIUS.1).round()),
            ..Today::default()
        };
        let today = wanted.today.unwrap_or(drawn);
        let knot = {
            let day = machine.day(today);
            let tries = if wanted.fault.is_some() { 1 } else { 20 };
            (0..tries).find_map(|_| {
                let fault = wanted.fault.or_else(|| pool.draw(wanted.level, dice))?;
                pool.severity(fault, wanted.level, (tree, &day), dice)
            })
        }?;
        Some(Self { machine, today, meter: wanted.meter, knot })
    }

    /// The machine on its day.
    #[must_use]
    pub fn day(&self) -> Day<'_> {
        self.machine.day(self.today)
    }

    /// The machine as it was built.
    #[must_use]
    pub const fn machine(&self) -> &Machine {
        &self.machine
    }

    /// The meter at hand.
    #[must_use]
    pub const fn meter(&self) -> Meter {
        self.meter
    }

    /// What the battery holds at rest today.
    #[must_use]
    pub fn battery(&self) -> Volts {
        self.today.volts.unwrap_or(self.machine.parts().supply.volts)
    }

    /// What is wrong, and how badly.
    #[must_use]
    pub const fn hidden(&self) -> Knot {
        self.knot
    }

    /// The name of what is wrong.
    #[must_use]
    pub fn hidden_name(&self) -> &str {
        &self.machine.fault(self.knot.fault).name
    }

    /// What is known of the job from the start: the battery, the temperature and the meter.
    #[must_use]
    pub fn details(&self) -> Details {
        Details {
            volts: Some(self.battery()),
            celsius: Some(self.today.celsius),
            meter: Some(self.meter),
            ..Details::default()
        }
    }

    /// The event with which practice on it begins.
    #[must_use]
    pub fn opening(&self, tree: &Tree, lang: &str) -> Event {
        Event::Begun {
            tree: tree.id.clone(),
            revision: tree.revision,
            lang: lang.to_owned(),
            walker: Walker::Practice,
            details: self.details(),
        }
    }
}
