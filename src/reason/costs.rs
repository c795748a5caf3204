//! Minutes of a step where the file does not say: our choice, no source. One table.
//!
//! | step | minutes |
//! | --- | --- |
//! | ask | 1 |
//! | look | 2 |
//! | read | 3, and its wait |
//! | do | 3, or what the plugs it parts take |
//! | gate | the gate's own |

use crate::machine::Machine;
use crate::safety::Vocabulary;
use crate::tree::{Act, Do, Kind, Step};
use crate::units::Minutes;

const ASK: f64 = 1.0;
const LOOK: f64 = 2.0;
const READ: f64 = 3.0;
const DO: f64 = 3.0;

/// Minutes of a step itself, without the gates before it and without the way to its zone.
#[must_use]
pub fn step_minutes(step: &Step, vocabulary: &Vocabulary, machine: Option<&Machine>) -> Minutes {
    let own = match &step.kind {
        Kind::Ask(_) => ASK,
        Kind::Look(_) => LOOK,
        Kind::Read(read) => {
            let wait = read.wait.map_or(0.0, Minutes::value);
            return Minutes(step.minutes.map_or(READ, Minutes::value) + wait);
        }
        Kind::Do(action) => parting(action, machine).unwrap_or(DO),
        Kind::Gate(gate) => vocabulary.gate(&gate.gate).map_or(0.0, |gate| gate.minutes(vocabulary).value()),
        Kind::Find(_) | Kind::Close(_) | Kind::Refer(_) => 0.0,
    };
    step.minutes.unwrap_or(Minutes(own))
}

/// What the machine file says that the plugs take.
fn parting(action: &Do, machine: Option<&Machine>) -> Option<f64> {
    let parts = machine?.parts();
    let plugs = action.acts.iter().filter(|(act, _)| matches!(act, Act::Unplugs | Act::Plugs));
    let said: Vec<f64> = plugs
        .flat_map(|(_, names)| names)
        .filter_map(|name| parts.connectors.iter().find(|c| c.name == *name)?.minutes)
        .collect();
    (!said.is_empty()).then(|| said.iter().sum())
}

/// Minutes to get to the zone of a step from another.
#[must_use]
pub fn zone_minutes(zone: Option<&str>, vocabulary: &Vocabulary) -> Minutes {
    let zone = zone.and_then(|name| vocabulary.zone(name));
    zone.map_or(Minutes(0.0), |zone| zone.minutes(vocabulary))
}
