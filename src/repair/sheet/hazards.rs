//! What can hurt someone at this repair, said before the action, the worst first.
//!
//! Signal words by ANSI Z535.6 / ISO 3864-2. What comes first in any case, the maker's instructions and the rules of
//! the place, is [`DEFER`](crate::safety::DEFER), which stands under them.

use crate::safety::{Caution, Signal, Words};

use super::{Injury, Near, RepairSheet};

const fn say(signal: Signal, en: &'static str, es: &'static str) -> Caution {
    Caution { signal, hazard: Words { en, es } }
}

const LIVE: Caution = say(
    Signal::Warning,
    "A wire that is cut live can burn you, start a fire or start the machine: isolated, locked out and shown dead before you cut.",
    "Cortar un cable con tensión puede quemarlo, causar un incendio o arrancar la máquina: aislado, bloqueado y sin tensión comprobada antes de cortar.",
);
const OIL: Caution = say(
    Signal::Warning,
    "The hose beside it may be worn too, and oil under pressure goes through a glove: pressure released before you touch it; an injection is a hospital case.",
    "La manguera vecina puede estar gastada también, y el aceite a presión atraviesa el guante: presión liberada antes de tocarla; una inyección es caso de hospital.",
);
const HEAT: Caution = say(
    Signal::Warning,
    "Heat sets fuel, oil and battery gas alight: the hot-work gate first, hot air or iron only, no open flame.",
    "El calor enciende combustible, aceite y gas de batería: primero el control de trabajo en caliente, solo aire caliente o cautín, sin llama abierta.",
);
const FUEL: Caution = say(
    Signal::Warning,
    "Fuel is beside it: no heat here. Crimp at the bench, and leave fuel rail and gas to others.",
    "Hay combustible al lado: aquí sin calor. Prense en el banco, y deje riel de combustible y gas a otros.",
);
const GAS: Caution = say(
    Signal::Warning,
    "A battery gives off gas that explodes: covered and aired, nothing that sparks beside it, eye protection on.",
    "La batería suelta gas que explota: cubierta y ventilada, nada que haga chispa al lado, gafas puestas.",
);
const EYES: Caution = say(
    Signal::Caution,
    "Cut strands fly and a barrel stays hot: eye protection on.",
    "Los hilos cortados saltan y la unión queda caliente: gafas puestas.",
);

impl RepairSheet {
    /// The cautions for the repair, the worst first.
    #[must_use]
    pub fn cautions(&self) -> Vec<Caution> {
        let near = |place| self.damage.near.contains(&place);
        let rubbed = self.damage.injury == Injury::RubbedThrough;
        [
            (true, LIVE),
            (near(Near::Hose) || rubbed, OIL),
            (self.heat, HEAT),
            (near(Near::Fuel), FUEL),
            (near(Near::Battery), GAS),
            (true, EYES),
        ]
        .into_iter()
        .filter_map(|(there, caution)| there.then_some(caution))
        .collect()
    }
}
