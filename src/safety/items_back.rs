//! The items of the gates from putting back to leaving, of heat, and of a drive test.

use super::items::{
    BLOCKED, BRAKES, CAB_SUPPORT, INSPECT, Item, LOCK, LOCK_OFF, NOTIFY, PEOPLE_CLEAR, PRACTICE, RAISED_PART,
    START_UP, said, seen,
};
use super::words::say;

pub(super) const PUT_BACK: &[Item] = &[
    seen(say("Every plug home and latched", "Cada conector enchufado y trabado"), INSPECT),
    seen(
        say(
            "Every bridge and every tie off, also those that were there before me",
            "Cada puente y cada atadura quitados, también los de antes",
        ),
        INSPECT,
    ),
    seen(
        say(
            "Every interlock switch and sensor in its place",
            "Cada interruptor y sensor de enclavamiento en su sitio",
        ),
        START_UP,
    ),
    seen(say("Every fuse of the rating on its label", "Cada fusible del amperaje de su etiqueta"), PRACTICE),
    seen(
        say(
            "Every joint that was opened is closed and tight",
            "Cada unión que se abrió está cerrada y apretada",
        ),
        INSPECT,
    ),
    seen(
        say("Tools and rags counted, none left inside", "Herramientas y trapos contados, ninguno adentro"),
        INSPECT,
    ),
    seen(say("Guards and covers back", "Guardas y tapas en su lugar"), INSPECT),
];

pub(super) const RELEASE_LOCKOUT: &[Item] = &[
    seen(say("Tools away, covers and guards on", "Herramientas retiradas, tapas y guardas puestas"), INSPECT),
    said(say("Everybody clear of the machine", "Todos lejos de la máquina"), PEOPLE_CLEAR),
    seen(
        say(
            "Each lock taken off by the person who put it on",
            "Cada candado quitado por la persona que lo puso",
        ),
        LOCK_OFF,
    ),
    said(
        say(
            "Everybody told: the locks are off, it can start",
            "Todos avisados: sin candados, puede arrancar",
        ),
        PEOPLE_CLEAR,
    ),
    seen(
        say("Isolator closed, key still in my pocket", "Desconectador cerrado, llave aún en mi bolsillo"),
        LOCK_OFF,
    ),
];

pub(super) const RUN_UP: &[Item] = &[
    seen(say("I sit in the seat, belt on", "Estoy en el asiento, cinturón puesto"), PRACTICE),
    seen(say("Controls at neutral, brake on", "Mandos en neutro, freno puesto"), BRAKES),
    seen(say("Exhaust goes into the open air", "El escape sale al aire libre"), PRACTICE),
    said(
        say("Everybody clear, I see them all; horn sounded", "Todos lejos, los veo a todos; bocina tocada"),
        PEOPLE_CLEAR,
    ),
    seen(
        say(
            "Started with the key from the seat; nobody bridges the starter",
            "Arranque con la llave desde el asiento; nadie puentea el arrancador",
        ),
        START_UP,
    ),
];

pub(super) const HOT_WORK: &[Item] = &[
    seen(
        say("Battery covered, its place aired", "Batería cubierta, su lugar ventilado"),
        "29 CFR 1926.441 (from memory)",
    ),
    seen(
        say("Fuel, oil and rags wiped up and away", "Combustible, aceite y trapos limpios y lejos"),
        "29 CFR 1926.352 (from memory)",
    ),
    seen(
        say("Hoses and wires beside it shielded", "Mangueras y cables vecinos protegidos"),
        "29 CFR 1926.352 (from memory)",
    ),
    seen(
        say(
            "Extinguisher within reach, its gauge in the green",
            "Extintor al alcance, su manómetro en verde",
        ),
        "29 CFR 1926.352 (from memory)",
    ),
    seen(
        say("Hot air or iron only, no open flame", "Solo aire caliente o cautín, sin llama abierta"),
        PRACTICE,
    ),
    seen(
        say(
            "No welding, no fuel rail, no gas here: that is for others",
            "Sin soldadura, riel de combustible ni gas: eso es de otros",
        ),
        PRACTICE,
    ),
];

pub(super) const LEAVE: &[Item] = &[
    seen(
        say(
            "Arms down, or on their support with the pins in",
            "Brazos abajo, o en su soporte con los pasadores",
        ),
        "30 CFR 56/57.14206(b)",
    ),
    seen(
        say("Cab down, or on its support with the pin in", "Cabina abajo, o en su soporte con el pasador"),
        CAB_SUPPORT,
    ),
    seen(say("Brake on, chocks in", "Freno puesto, calzas puestas"), BRAKES),
    seen(say("Key out: with me, or handed over", "Llave fuera: conmigo o entregada"), START_UP),
    seen(say("Tag on the seat or the controls", "Tarjeta en el asiento o en los mandos"), LOCK),
    seen(say("Written down: how it stands", "Anotado: cómo queda"), PRACTICE),
    said(
        say(
            "Told whoever is in charge here: how it stands, and not to start it",
            "Avisado quien manda aquí: cómo queda, y que no la arranquen",
        ),
        NOTIFY,
    ),
];

pub(super) const KEEP_AWAY: &[Item] = &[
    said(say("Everybody away from the machine, now", "Todos lejos de la máquina, ya"), BLOCKED),
    seen(
        say(
            "Barrier around it, wider than it can fall or roll",
            "Barrera alrededor, más lejos de lo que puede caer o rodar",
        ),
        RAISED_PART,
    ),
    seen(say("Tag where somebody would climb in", "Tarjeta por donde alguien subiría"), LOCK),
    seen(
        say("Key out, if it can be reached without going near", "Llave fuera, si se alcanza sin acercarse"),
        START_UP,
    ),
    seen(say("Written down: what is not held", "Anotado: qué no está sujeto"), PRACTICE),
    said(
        say(
            "Told whoever is in charge here: what is not held",
            "Avisado quien manda aquí: qué no está sujeto",
        ),
        NOTIFY,
    ),
    said(
        say(
            "Somebody stays and keeps people away; name written down",
            "Alguien se queda y no deja acercarse; nombre anotado",
        ),
        PRACTICE,
    ),
];

/// What is confirmed just before a function that drives the machine is watched.
pub const TRAVEL_CHECK: &[Item] = &[
    said(
        say("Everybody clear of the way, I see them all", "Todos fuera del camino, los veo a todos"),
        PEOPLE_CLEAR,
    ),
    seen(say("Chocks out and stowed", "Calzas retiradas y guardadas"), PRACTICE),
    seen(
        say("The way is free, as far as it could run", "El camino está libre hasta donde podría llegar"),
        PRACTICE,
    ),
];
