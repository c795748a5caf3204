//! The hazard said before a step is shown, by what the step does.
//!
//! Gates have their own. Signal words: ANSI Z535.6 (from memory). What can happen is common practice.

use super::deed::{Deed, Place};
use super::own::Moves;
use super::words::{Caution, Signal, say};
use super::zones::Zone;

/// The cautions of a step, the worst first, each once. They stand before the step's own text, with
/// [`DEFER`](super::DEFER) after them.
#[must_use]
pub fn cautions(deeds: &[Deed]) -> Vec<Caution> {
    let mut all: Vec<Caution> = Vec::new();
    for caution in deeds.iter().filter_map(caution) {
        if !all.contains(&caution) {
            all.push(caution);
        }
    }
    all.sort_by_key(|caution| std::cmp::Reverse(caution.signal));
    all
}

fn caution(deed: &Deed) -> Option<Caution> {
    let (signal, hazard) = match deed {
        Deed::Gate(super::GateId::BuiltIn(gate)) => return Some(gate.caution()),
        Deed::Gate(super::GateId::Own(_)) => (
            Signal::Warning,
            say("What this gate holds can move or fall.", "Lo que este control sujeta puede moverse o caer."),
        ),
        Deed::BeIn(Place::In(zone)) => return zone_caution(*zone),
        Deed::Watch(watch) if !watch.moves.is_empty() => return Some(moving(&watch.moves)),
        Deed::OpenHydraulics => (
            Signal::Warning,
            say(
                "Oil left under pressure goes through a glove and into the hand. That is a hospital case.",
                "El aceite que queda a presión atraviesa el guante y entra en la mano. Es caso de hospital.",
            ),
        ),
        Deed::LookForLeaks(_) => (
            Signal::Warning,
            say(
                "A leak too fine to see injects oil into the hand. Use a card, never a finger. A pinhole in \
                 the skin is a hospital case, at once.",
                "Una fuga invisible inyecta aceite en la mano. Use un cartón, nunca un dedo. Un pinchazo en \
                 la piel es caso de hospital, de inmediato.",
            ),
        ),
        Deed::ReadFeedCurrent(_) | Deed::Unplug { line: super::Line::Feed, .. } | Deed::Cut(_) => (
            Signal::Warning,
            say(
                "A short to the battery burns hands and eyes. Rings and watch off.",
                "Un corto con la batería quema manos y ojos. Fuera anillos y reloj.",
            ),
        ),
        Deed::Bridge { .. } => (
            Signal::Danger,
            say(
                "A bridged interlock holds nothing. For this test only, and off again right after it.",
                "Un enclavamiento puenteado no sujeta nada. Solo para esta prueba, y fuera en seguida.",
            ),
        ),
        Deed::Heat | Deed::Repair(super::Heat::Needed) => (
            Signal::Warning,
            say(
                "Battery gas, fuel and oil catch fire from a heat gun.",
                "El gas de batería, el combustible y el aceite se encienden con una pistola de calor.",
            ),
        ),
        Deed::ReadByLeads { .. } => (
            Signal::Warning,
            say(
                "Fan and belts take a lead or a sleeve. Stay away from the engine while it turns.",
                "Ventilador y correas atrapan un cable o una manga. Lejos del motor mientras gira.",
            ),
        ),
        _ => return None,
    };
    Some(Caution { signal, hazard })
}

fn moving(moves: &[Moves]) -> Caution {
    let hazard = if moves.contains(&Moves::Travel) {
        say(
            "The machine will move. Who stands in its way is run over.",
            "La máquina se va a mover. Arrolla a quien esté en su camino.",
        )
    } else {
        say(
            "Parts will move. Who stands within their reach is crushed.",
            "Habrá partes en movimiento. Aplastan a quien esté a su alcance.",
        )
    };
    Caution { signal: Signal::Danger, hazard }
}

fn zone_caution(zone: Zone) -> Option<Caution> {
    let hazard = match zone {
        Zone::UnderCab => say(
            "A cab that is not held can fall and crush you. Look at its pin each time before you go under.",
            "Una cabina que no está sujeta puede caer y aplastarlo. Mire su pasador cada vez antes de entrar.",
        ),
        Zone::UnderArms => say(
            "Arms that are not held can fall and crush you. Look at their pins each time before you go under.",
            "Los brazos sin sujetar pueden caer y aplastarlo. Mire sus pasadores cada vez antes de entrar.",
        ),
        Zone::UnderMachine => say(
            "A machine that slips off its stands crushes you. Push it before you go under.",
            "Una máquina que resbala de sus soportes lo aplasta. Empújela antes de meterse debajo.",
        ),
        Zone::EngineBay => say(
            "Fan and belts can maim, hot parts burn. Nothing turns while a hand is in there.",
            "Ventilador y correas pueden mutilar, lo caliente quema. Nada gira con una mano adentro.",
        ),
        Zone::Seat | Zone::Outside | Zone::Own(_) => return None,
    };
    Some(Caution { signal: Signal::Warning, hazard })
}
