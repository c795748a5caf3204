//! The items of the gates that make a machine safe, up to its test with the power on.

use super::items::{
    ARM_SUPPORT, BLOCKED, BRAKES, CAB_SUPPORT, GROUP, HYDRAULICS, ISOLATE, Item, LOCK, LOWERED, NOTIFY,
    PRACTICE, RAISED_PART, SHUT_DOWN, START_UP, STORED, Shown, TEST_RUN, VERIFY, said, seen, typed,
};
use super::words::say;

pub(super) const PARK: &[Item] = &[
    said(
        say(
            "Everybody here knows that I am working on this machine",
            "Todos aquí saben que estoy trabajando en esta máquina",
        ),
        NOTIFY,
    ),
    seen(
        say(
            "Machine on level, firm ground, clear of traffic",
            "Máquina en suelo plano y firme, fuera del paso",
        ),
        PRACTICE,
    ),
    seen(say("Every control at neutral", "Todos los mandos en neutro"), BRAKES),
    seen(say("Parking brake on", "Freno de estacionamiento puesto"), BRAKES),
    seen(say("Engine stopped: nothing turns any more", "Motor parado: ya nada gira"), BRAKES),
    seen(say("Key out, in my pocket", "Llave fuera, en mi bolsillo"), SHUT_DOWN),
    seen(say("Wheels or tracks chocked on both sides", "Ruedas u orugas calzadas por ambos lados"), BLOCKED),
];

pub(super) const LOWER_ARMS: &[Item] = &[
    said(
        say(
            "Everybody clear of the arms, and staying clear",
            "Todos lejos de los brazos, y que se queden lejos",
        ),
        BLOCKED,
    ),
    seen(
        say(
            "Cab down and latched, or the arms were found on the ground",
            "Cabina abajo y trabada, o los brazos ya estaban en el suelo",
        ),
        PRACTICE,
    ),
    seen(
        say("Arm support out of the way and stowed", "Soporte de los brazos retirado y guardado"),
        ARM_SUPPORT,
    ),
    seen(
        say(
            "Lowered by the controls or the machine's own manual lowering; no hose was loosened",
            "Bajados con los mandos o con la bajada manual de la máquina; ninguna manguera aflojada",
        ),
        HYDRAULICS,
    ),
    seen(
        say(
            "Arms and attachment rest on the ground, everything else raised is down too",
            "Brazos e implemento apoyados en el suelo; todo lo demás levantado también está abajo",
        ),
        LOWERED,
    ),
    seen(
        say("Engine stopped, key out, in my pocket", "Motor parado, llave fuera, en mi bolsillo"),
        SHUT_DOWN,
    ),
];

pub(super) const SUPPORT_ARMS: &[Item] = &[
    said(
        say(
            "Everybody clear of the arms while the support goes in",
            "Todos lejos de los brazos mientras se pone el soporte",
        ),
        BLOCKED,
    ),
    seen(
        say(
            "The machine's arm support in place; stuck between its stops: cribbing, stacked crosswise on firm ground",
            "Soporte de brazos de la máquina en su sitio; si quedaron entre topes: tacos cruzados sobre suelo firme",
        ),
        ARM_SUPPORT,
    ),
    seen(
        say(
            "Support pins in and clipped, or cribbing tight on both arms",
            "Pasadores puestos y con seguro, o tacos firmes en ambos brazos",
        ),
        ARM_SUPPORT,
    ),
    seen(
        say(
            "The arms rest on the support and sink no further",
            "Los brazos descansan en el soporte y ya no bajan",
        ),
        RAISED_PART,
    ),
    seen(
        say(
            "Nothing is held by hydraulics or a jack alone",
            "Nada se sostiene solo con hidráulica o con un gato",
        ),
        HYDRAULICS,
    ),
    seen(
        say(
            "Attachment resting or locked: it cannot tip or slide off",
            "Implemento apoyado o trabado: no puede volcar ni caer",
        ),
        LOWERED,
    ),
    seen(
        say("Engine stopped, key out, in my pocket", "Motor parado, llave fuera, en mi bolsillo"),
        SHUT_DOWN,
    ),
];

pub(super) const RELEASE_PRESSURE: &[Item] = &[
    said(
        say("Everybody clear: parts can settle now", "Todos lejos: las partes pueden asentarse ahora"),
        BLOCKED,
    ),
    seen(
        say("Engine stopped, key on, nobody starts it", "Motor parado, llave en contacto, nadie arranca"),
        SHUT_DOWN,
    ),
    seen(
        say(
            "Every control moved to both ends several times, until nothing answers",
            "Cada mando movido a ambos extremos varias veces, hasta que nada responde",
        ),
        STORED,
    ),
    seen(
        say(
            "Accumulators bled as the maker says, or there are none",
            "Acumuladores purgados según el fabricante, o no hay",
        ),
        STORED,
    ),
    seen(
        say(
            "The gauge at the test port shows no pressure",
            "El manómetro en la toma de prueba no marca presión",
        ),
        VERIFY,
    ),
    seen(say("Key out, in my pocket", "Llave fuera, en mi bolsillo"), SHUT_DOWN),
];

pub(super) const LOCKOUT: &[Item] = &[
    seen(
        say("After-run waited out: lamps and pumps are off", "Esperado el apagado: luces y bombas apagadas"),
        SHUT_DOWN,
    ),
    seen(
        say(
            "Isolator open, and every other source: second battery, charger, mains heater, trailer plug",
            "Desconectador abierto, y toda otra fuente: segunda batería, cargador, calefactor de red, enchufe de remolque",
        ),
        ISOLATE,
    ),
    seen(
        say(
            "My lock and my tag on the isolator, its key in my pocket",
            "Mi candado y mi tarjeta en el desconectador, su llave en mi bolsillo",
        ),
        LOCK,
    ),
    said(
        say(
            "Everybody who works on it has put on a lock of their own",
            "Cada persona que trabaja en ella puso su propio candado",
        ),
        GROUP,
    ),
    typed(
        Shown::SourceBefore,
        say(
            "The meter on a source that I know is live reads",
            "El multímetro en una fuente que sé viva marca",
        ),
        VERIFY,
    ),
    typed(
        Shown::Dead,
        say("The meter where I am going to work reads", "El multímetro donde voy a trabajar marca"),
        VERIFY,
    ),
    typed(
        Shown::SourceAfter,
        say(
            "The meter on the same live source again reads",
            "El multímetro otra vez en la misma fuente viva marca",
        ),
        VERIFY,
    ),
    seen(
        say(
            "Start and every lever tried: nothing happens; all back at neutral",
            "Arranque y cada palanca probados: no pasa nada; todo de nuevo en neutro",
        ),
        VERIFY,
    ),
];

pub(super) const RAISE_CAB: &[Item] = &[
    seen(say("Arms on the ground, or on their support", "Brazos en el suelo o en su soporte"), RAISED_PART),
    seen(
        say(
            "Key out and in my pocket, or power locked out",
            "Llave fuera y en mi bolsillo, o energía bloqueada",
        ),
        START_UP,
    ),
    said(
        say(
            "Everybody clear of the cab, nothing loose in it",
            "Todos lejos de la cabina, nada suelto adentro",
        ),
        BLOCKED,
    ),
    seen(
        say(
            "Cab tilted fully back, support dropped into its seat",
            "Cabina inclinada hasta el tope, soporte caído en su asiento",
        ),
        CAB_SUPPORT,
    ),
    seen(say("Support pin in and clipped", "Pasador del soporte puesto y con seguro"), CAB_SUPPORT),
    seen(
        say("Cab pushed hard by hand: it does not move", "Cabina empujada fuerte a mano: no se mueve"),
        RAISED_PART,
    ),
];

pub(super) const LOWER_CAB: &[Item] = &[
    said(
        say(
            "Everybody out from under the cab, hands too",
            "Todos fuera de debajo de la cabina, las manos también",
        ),
        BLOCKED,
    ),
    seen(
        say("No tool, wire or hose in its way", "Ninguna herramienta, cable o manguera en su camino"),
        PRACTICE,
    ),
    seen(say("Cab down on its mounts", "Cabina abajo sobre sus apoyos"), LOWERED),
    seen(
        say(
            "Latched: pulled up hard by hand, it stays down",
            "Trabada: tirada fuerte hacia arriba a mano, no sube",
        ),
        CAB_SUPPORT,
    ),
    seen(say("Cab support stowed", "Soporte de la cabina guardado"), PRACTICE),
];

pub(super) const LIVE_TEST: &[Item] = &[
    said(say("Everybody clear: the key goes on now", "Todos lejos: ahora se da contacto"), TEST_RUN),
    seen(
        say(
            "Cut and open ends insulated, nothing bare can touch",
            "Puntas cortadas y abiertas aisladas, nada pelado puede tocar",
        ),
        PRACTICE,
    ),
    seen(
        say(
            "Tools and hands clear of everything that can move",
            "Herramientas y manos lejos de todo lo que puede moverse",
        ),
        TEST_RUN,
    ),
    seen(
        say(
            "Cab down, or its pin in; arms down, or their pins in",
            "Cabina abajo o con su pasador; brazos abajo o con sus pasadores",
        ),
        BLOCKED,
    ),
    seen(
        say(
            "Starter disabled, if anyone works outside the seat",
            "Arranque anulado si alguien trabaja fuera del asiento",
        ),
        START_UP,
    ),
    seen(
        say(
            "Each lock taken off for this test by who put it on, and kept at hand",
            "Cada candado quitado para esta prueba por quien lo puso, y a mano",
        ),
        TEST_RUN,
    ),
    seen(
        say("Key on, engine stopped, controls at neutral", "En contacto, motor parado, mandos en neutro"),
        TEST_RUN,
    ),
];
