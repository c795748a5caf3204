//! The gates: what each needs, what it puts in force, how long it takes, the hazard said before it.
//!
//! A gate sets constants and its needs are conjunctions over single conditions; that makes the
//! safety check exact. Minutes are our choice, no source.

use crate::diag::Text;
use crate::units::Minutes;

use super::conditions::{Arms, Cab, Facet, Fact, Lock, NamedKind, Power, Pressure, Values};
use super::items::Item;
use super::need::Atom;
use super::rules::SafetyRule as Rule;
use super::vocabulary::Vocabulary;
use super::words::{Caution, Signal, Words, say};
use super::{items_back, items_safe};

/// A built-in gate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Gate {
    /// `park`
    Park,
    /// `lower-arms`
    LowerArms,
    /// `support-arms`
    SupportArms,
    /// `release-pressure`
    ReleasePressure,
    /// `lockout`
    Lockout,
    /// `raise-cab`
    RaiseCab,
    /// `lower-cab`
    LowerCab,
    /// `live-test`
    LiveTest,
    /// `put-back`
    PutBack,
    /// `release-lockout`
    ReleaseLockout,
    /// `run-up`
    RunUp,
    /// `hot-work`
    HotWork,
    /// `leave`
    Leave,
    /// `keep-away`
    KeepAway,
}

/// A gate, built in or of the machine file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum GateId {
    /// A built-in gate.
    BuiltIn(Gate),
    /// A gate of the machine file, by its number.
    Own(u16),
}

/// A row of the gate table.
pub(super) struct Row {
    name: &'static str,
    title: Words,
    pub(super) needs: &'static [(Rule, Atom)],
    pub(super) sets: &'static [(Facet, Values)],
    minutes: f64,
    caution: Caution,
    items: &'static [Item],
}

const YES: Values = Fact::Yes.only();
const OFF: Values = Power::Off.only();
const STILL: Values = OFF.or(Power::Isolated.only());
const LIVE_OR_OFF: Values = OFF.or(Power::Live.only());

const PARKED: (Rule, Atom) = (Rule::GateNotParked, Atom::Within(Facet::PARKED, YES));
const ARMS_HELD: (Rule, Atom) =
    (Rule::GateArmsRaised, Atom::Within(Facet::ARMS, Arms::Down.only().or(Arms::Supported.only())));
const CAB_HELD: (Rule, Atom) =
    (Rule::GateCabNotHeld, Atom::Within(Facet::CAB, Cab::Down.only().or(Cab::Supported.only())));
const CAB_DOWN: (Rule, Atom) = (Rule::GateCabNotDown, Atom::Within(Facet::CAB, Cab::Down.only()));
const POWER_STILL: (Rule, Atom) = (Rule::GatePower, Atom::Within(Facet::POWER, STILL));
const POWER_NOT_RUNNING: (Rule, Atom) =
    (Rule::GatePower, Atom::Within(Facet::POWER, STILL.or(Power::Live.only())));
const POWER_LIVE_OR_OFF: (Rule, Atom) = (Rule::GatePower, Atom::Within(Facet::POWER, LIVE_OR_OFF));
const POWER_ISOLATED: (Rule, Atom) = (Rule::GatePower, Atom::Within(Facet::POWER, Power::Isolated.only()));

const fn danger(en: &'static str, es: &'static str) -> Caution {
    Caution { signal: Signal::Danger, hazard: say(en, es) }
}

const fn warning(en: &'static str, es: &'static str) -> Caution {
    Caution { signal: Signal::Warning, hazard: say(en, es) }
}

static TABLE: [Row; 14] = [
    Row {
        name: "park",
        title: say("Park the machine", "Estacione la máquina"),
        needs: &[],
        sets: &[(Facet::PARKED, YES), (Facet::POWER, OFF)],
        minutes: 2.0,
        caution: warning(
            "A machine that is not held can roll over you.",
            "Una máquina que no está frenada y calzada puede arrollarlo.",
        ),
        items: items_safe::PARK,
    },
    Row {
        name: "lower-arms",
        title: say("Lower the arms", "Baje los brazos"),
        needs: &[PARKED],
        sets: &[
            (Facet::ARMS, Arms::Down.only()),
            (Facet::POWER, OFF),
            (Facet::PRESSURE, Pressure::Charged.only()),
        ],
        minutes: 1.0,
        caution: warning("Arms that come down can crush you.", "Los brazos al bajar pueden aplastarlo."),
        items: items_safe::LOWER_ARMS,
    },
    Row {
        name: "support-arms",
        title: say("Support the arms", "Asegure los brazos"),
        needs: &[PARKED],
        sets: &[(Facet::ARMS, Arms::Supported.only()), (Facet::POWER, OFF)],
        minutes: 4.0,
        caution: warning(
            "Arms held by hydraulics alone can fall and crush you.",
            "Los brazos sostenidos solo por la hidráulica pueden caer y aplastarlo.",
        ),
        items: items_safe::SUPPORT_ARMS,
    },
    Row {
        name: "release-pressure",
        title: say("Release the pressure", "Libere la presión"),
        needs: &[PARKED, CAB_DOWN, ARMS_HELD, POWER_LIVE_OR_OFF],
        sets: &[(Facet::PRESSURE, Pressure::Released.only()), (Facet::POWER, OFF)],
        minutes: 3.0,
        caution: warning(
            "Oil under pressure goes through a glove and into the hand. That is a hospital case.",
            "El aceite a presión atraviesa el guante y entra en la mano. Es caso de hospital.",
        ),
        items: items_safe::RELEASE_PRESSURE,
    },
    Row {
        name: "lockout",
        title: say("Lock out the power", "Bloquee la energía"),
        needs: &[PARKED, ARMS_HELD, POWER_NOT_RUNNING],
        sets: &[(Facet::POWER, Power::Isolated.only()), (Facet::LOCK, Lock::On.only())],
        minutes: 5.0,
        caution: warning(
            "A machine that starts or a wire that is still fed can maim or burn you.",
            "Una máquina que arranca o un cable aún alimentado puede mutilarlo o quemarlo.",
        ),
        items: items_safe::LOCKOUT,
    },
    Row {
        name: "raise-cab",
        title: say("Raise the cab", "Levante la cabina"),
        needs: &[PARKED, ARMS_HELD, POWER_STILL],
        sets: &[(Facet::CAB, Cab::Supported.only())],
        minutes: 6.0,
        caution: warning(
            "A cab that is not held can fall and crush you.",
            "Una cabina que no está sujeta puede caer y aplastarlo.",
        ),
        items: items_safe::RAISE_CAB,
    },
    Row {
        name: "lower-cab",
        title: say("Lower the cab", "Baje la cabina"),
        needs: &[PARKED, ARMS_HELD, POWER_STILL],
        sets: &[(Facet::CAB, Cab::Down.only())],
        minutes: 4.0,
        caution: warning("A cab that comes down can crush you.", "La cabina al bajar puede aplastarlo."),
        items: items_safe::LOWER_CAB,
    },
    Row {
        name: "live-test",
        title: say("Power on for a test", "Dé contacto para una prueba"),
        needs: &[PARKED, CAB_HELD, ARMS_HELD, POWER_STILL],
        sets: &[(Facet::POWER, Power::Live.only())],
        minutes: 2.0,
        caution: warning(
            "With the key on, the fault itself can move the machine or start it.",
            "En contacto, la falla misma puede mover la máquina o arrancarla.",
        ),
        items: items_safe::LIVE_TEST,
    },
    Row {
        name: "put-back",
        title: say("Put everything back", "Ponga todo en su lugar"),
        needs: &[
            PARKED,
            POWER_STILL,
            (Rule::GatePlugApart, Atom::None(NamedKind::Apart)),
            (Rule::GateBridgeOn, Atom::None(NamedKind::Bridged)),
            (Rule::GateTied, Atom::None(NamedKind::Tied)),
        ],
        sets: &[(Facet::WHOLE, YES)],
        minutes: 2.0,
        caution: warning(
            "A bridged or tied interlock lets the machine move when it must not.",
            "Un enclavamiento puenteado o atado deja mover la máquina cuando no debe.",
        ),
        items: items_back::PUT_BACK,
    },
    Row {
        name: "release-lockout",
        title: say("Take the lock off", "Quite el candado"),
        needs: &[PARKED, CAB_DOWN, (Rule::GateNotWhole, Atom::Within(Facet::WHOLE, YES)), POWER_STILL],
        sets: &[(Facet::POWER, OFF), (Facet::LOCK, Lock::Off.only())],
        minutes: 2.0,
        caution: warning(
            "From now on the machine can start. Somebody may still be inside it.",
            "Desde ahora la máquina puede arrancar. Puede haber alguien dentro todavía.",
        ),
        items: items_back::RELEASE_LOCKOUT,
    },
    Row {
        name: "run-up",
        title: say("Start the engine", "Arranque el motor"),
        needs: &[
            (Rule::StartNotParked, Atom::Within(Facet::PARKED, YES)),
            (Rule::StartCabUp, Atom::Within(Facet::CAB, Cab::Down.only())),
            (Rule::StartNotWhole, Atom::Within(Facet::WHOLE, YES)),
            (Rule::StartLockedOut, Atom::Within(Facet::LOCK, Lock::Off.only())),
            POWER_LIVE_OR_OFF,
        ],
        sets: &[(Facet::POWER, Power::Running.only())],
        minutes: 1.0,
        caution: danger(
            "A running machine kills who stands in its way or reaches into it.",
            "Una máquina en marcha mata a quien está en su camino o mete la mano.",
        ),
        items: items_back::RUN_UP,
    },
    Row {
        name: "hot-work",
        title: say("Prepare for heat", "Prepare el trabajo con calor"),
        needs: &[PARKED, POWER_ISOLATED],
        sets: &[(Facet::HOT, YES)],
        minutes: 3.0,
        caution: warning(
            "Battery gas, fuel and oil catch fire from a heat gun.",
            "El gas de batería, el combustible y el aceite se encienden con una pistola de calor.",
        ),
        items: items_back::HOT_WORK,
    },
    Row {
        name: "leave",
        title: say("Leave the machine", "Deje la máquina"),
        needs: &[PARKED, CAB_HELD, ARMS_HELD, POWER_STILL],
        sets: &[(Facet::LEFT, YES)],
        minutes: 2.0,
        caution: warning(
            "Whoever comes next does not know what is held and what is not.",
            "El que venga después no sabe qué está sujeto y qué no.",
        ),
        items: items_back::LEAVE,
    },
    Row {
        name: "keep-away",
        title: say("Keep everybody away", "Mantenga a todos lejos"),
        needs: &[(Rule::GateNotStuck, Atom::Within(Facet::STUCK, YES))],
        sets: &[(Facet::LEFT, YES)],
        minutes: 2.0,
        caution: danger(
            "This machine is not safe. What is not held can fall, roll or start.",
            "Esta máquina no es segura. Lo que no está sujeto puede caer, rodar o arrancar.",
        ),
        items: items_back::KEEP_AWAY,
    },
];

impl Gate {
    /// The built-in gates, in the order of the table.
    pub const ALL: [Self; 14] = [
        Self::Park,
        Self::LowerArms,
        Self::SupportArms,
        Self::ReleasePressure,
        Self::Lockout,
        Self::RaiseCab,
        Self::LowerCab,
        Self::LiveTest,
        Self::PutBack,
        Self::ReleaseLockout,
        Self::RunUp,
        Self::HotWork,
        Self::Leave,
        Self::KeepAway,
    ];

    /// The built-in gate of this name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|gate| gate.name() == name)
    }

    /// What the gate is called in a file.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.row().name
    }

    /// What the gate is called on screen.
    #[must_use]
    pub fn title(self) -> Words {
        self.row().title
    }

    /// The hazard that is said before the first item.
    #[must_use]
    pub fn caution(self) -> Caution {
        self.row().caution
    }

    /// The items of the program's own, in their order; none is ever removed or reworded.
    #[must_use]
    pub fn items(self) -> &'static [Item] {
        self.row().items
    }

    pub(super) fn row(self) -> &'static Row {
        &TABLE[self as usize]
    }
}

impl GateId {
    /// What the gate is called in a file.
    #[must_use]
    pub fn name(self, vocabulary: &Vocabulary) -> &str {
        match self {
            Self::BuiltIn(gate) => gate.name(),
            Self::Own(at) => vocabulary.own_gates.get(usize::from(at)).map_or("", |own| &own.name),
        }
    }

    /// How long it takes.
    #[must_use]
    pub fn minutes(self, vocabulary: &Vocabulary) -> Minutes {
        match self {
            Self::BuiltIn(gate) => {
                let further = vocabulary.further_gates.get(&gate).and_then(|further| further.minutes);
                further.unwrap_or(Minutes(gate.row().minutes))
            }
            Self::Own(at) => {
                vocabulary.own_gates.get(usize::from(at)).map_or(Minutes(0.0), |own| own.minutes)
            }
        }
    }

    /// The items that the machine file adds; they come after the program's own.
    #[must_use]
    pub fn machine_items(self, vocabulary: &Vocabulary) -> &[Text] {
        match self {
            Self::BuiltIn(gate) => {
                vocabulary.further_gates.get(&gate).map_or(&[], |further| further.items.as_slice())
            }
            Self::Own(at) => {
                vocabulary.own_gates.get(usize::from(at)).map_or(&[], |own| own.items.as_slice())
            }
        }
    }
}
