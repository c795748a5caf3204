//! The forms of a machine file: every key, what it holds and what for.
//!
//! The loader opens maps against these tables, and the schema for editors is printed from them.

use crate::diag::{Field, Form, Shape};

const WORD: Shape = Shape::Word;
const TEXT: Shape = Shape::Text;
const WORDS: Shape = Shape::OneOrMany(&Shape::Word);
const STATES: Shape = Shape::Named(&WORDS);
const VOLTS: Shape = Shape::Quantity("12.6 V");
const OHMS: Shape = Shape::Quantity("5 mohm");
const AMPS: Shape = Shape::Quantity("10 A");
const METRES: Shape = Shape::Quantity("1.9 m");
const MINUTES: Shape = Shape::Any(&[Shape::Number, Shape::Quantity("4 min")]);
const POWERS: Shape = Shape::OneOrMany(&Shape::OneOf(&["off", "isolated", "live", "running"]));
const TITLE: Field = Field::may("title", TEXT, "What it is called.");
const ZONE: Field = Field::may("zone", WORD, "Where the mechanic's body is to reach it.");
const OWN_OHMS: Field = Field::may("ohms", OHMS, "Its resistance when it is healthy.");

/// The top of a machine file.
pub static MACHINE: Form = Form {
    name: "a machine file",
    fields: &[
        Field::must("loomwalk", Shape::Whole, "The number of this format."),
        Field::must("machine", WORD, "The family's name; trees and journals carry it."),
        Field::must("title", TEXT, "The machine in words."),
        Field::may("revision", Shape::Whole, "The author's count of versions."),
        Field::may("cab", Shape::OneOf(&["tilts", "fixed"]), "Whether the cab can be raised."),
        Field::must("supply", Shape::Form(&SUPPLY), "The battery, between B- and B+."),
        Field::may("zones", Shape::Named(&Shape::Form(&OWN_ZONE)), "Zones beside the built-in ones."),
        Field::may(
            "conditions",
            Shape::Named(&Shape::Form(&CONDITION)),
            "Conditions beside the built-in ones.",
        ),
        Field::may("gates", Shape::Named(&Shape::Form(&OWN_GATE)), "Gates beside the built-in ones."),
        Field::may("operator", Shape::Named(&Shape::Form(&CONTROL)), "What a person can set."),
        Field::may("connectors", Shape::Named(&Shape::Form(&CONNECTOR)), "The plugs."),
        Field::must("circuits", Shape::Named(&CHAIN), "Chains, read from one end to the other."),
        Field::may(
            "controllers",
            Shape::Named(&Shape::Form(&CONTROLLER)),
            "The boxes that read and drive pins.",
        ),
        Field::may(
            "functions",
            Shape::Named(&Shape::Form(&FUNCTION)),
            "What a person can see the machine do.",
        ),
        Field::may(
            "parts",
            Shape::Named(&Shape::Form(&PART)),
            "What repairs put right and no circuit has: a pump, a belt.",
        ),
        Field::may(
            "faults",
            Shape::Named(&Shape::Form(&FAULT)),
            "Shares, and faults that are not electrical.",
        ),
    ],
};

const CHAIN: Shape = Shape::List(&Shape::AnyForm(ITEMS));

pub(super) static SUPPLY: Form = Form {
    name: "the supply",
    fields: &[
        Field::must("volts", VOLTS, "What it holds at rest."),
        Field::may("ohms", OHMS, "Its own resistance; without it the volts hold whatever the current."),
        Field::may("charging", VOLTS, "What it holds with the engine running."),
        Field::may("charged-by", WORD, "The source that charges it; without one the running engine does."),
        Field::may("isolator", WORD, "The switch that isolates it."),
    ],
};

pub(super) static OWN_ZONE: Form = Form {
    name: "a zone",
    fields: &[
        Field::may("needs", STATES, "Conditions that must be in force there."),
        Field::may("minutes", MINUTES, "How long it takes to get there."),
    ],
};

pub(super) static CONDITION: Form = Form {
    name: "a condition",
    fields: &[
        Field::must("values", WORDS, "The values it can have."),
        Field::may("at-start", WORDS, "Those it can have when a job begins; all, if not said."),
        Field::may(
            "lost-by",
            Shape::List(&Shape::Any(&[WORD, Shape::Form(&LOST_BY)])),
            "What makes it not known: `running`, or `moves: …`.",
        ),
    ],
};

pub(super) static LOST_BY: Form = Form {
    name: "what loses a condition",
    fields: &[Field::must("moves", WORD, "A function that moves this: arms, travel, or an own condition.")],
};

pub(super) static OWN_GATE: Form = Form {
    name: "a gate",
    fields: &[
        Field::may("needs", STATES, "Conditions that must be in force before it."),
        Field::may("sets", Shape::Named(&WORD), "Own conditions that it puts in force."),
        Field::may("items", Shape::List(&TEXT), "What is confirmed, item by item."),
        Field::may("minutes", MINUTES, "How long it takes."),
    ],
};

pub(super) static CONTROL: Form = Form {
    name: "a control",
    fields: &[
        TITLE,
        Field::must("states", WORDS, "The states it can have; the first is the resting one."),
        Field::may("called", Shape::Named(&TEXT), "What a state is called, in each language."),
        Field::may("power", Shape::Named(&POWERS), "Which powers each state allows."),
        Field::may("from", Shape::OneOf(&["seat", "anywhere"]), "From where it can be set."),
        Field::may("can-be-tied", Shape::Flag, "It can be tied in a state while nobody sits there."),
    ],
};

pub(super) static CONNECTOR: Form = Form {
    name: "a connector",
    fields: &[
        TITLE,
        Field::may("where", TEXT, "Where it sits."),
        ZONE,
        Field::may("view", TEXT, "From which side the rows are seen."),
        Field::may("rows", Shape::List(&Shape::List(&WORD)), "The pins as the face shows them."),
        Field::may("minutes", MINUTES, "How long it takes to part."),
    ],
};

/// Everything that can stand in a chain, told apart by its first key.
pub(super) static ITEMS: &[&Form] = &[
    &PIN,
    &POINT,
    &SPLICE,
    &GROUND,
    &WIRE,
    &CONTACT,
    &SWITCH,
    &FUSE,
    &LOAD,
    &RESISTOR,
    &POTENTIOMETER,
    &RELAY_CONTACT,
    &JOINT,
    &DIODE,
    &SOURCE,
];

static PIN: Form =
    Form { name: "a pin", fields: &[Field::must("pin", WORD, "A pin of a controller, as `A1:7`.")] };

static POINT: Form = Form {
    name: "a point",
    fields: &[Field::must("point", WORD, "A terminal, as `B+`, `B-`, `frame` or `M1:30`."), ZONE, TITLE],
};

static SPLICE: Form =
    Form { name: "a splice", fields: &[Field::must("splice", WORD, "Its name."), ZONE, TITLE] };

static GROUND: Form = Form {
    name: "a ground stud",
    fields: &[Field::must("ground", WORD, "Its name."), ZONE, TITLE, OWN_OHMS],
};

static WIRE: Form = Form {
    name: "a wire",
    fields: &[
        Field::must("wire", WORD, "Its name."),
        Field::must("size", Shape::Quantity("0.75 mm2"), "Its nominal cross-section, or its gauge."),
        Field::must("length", METRES, "Its length."),
        Field::may("colour", WORD, "Its colour, in words or by IEC 60757."),
        ZONE,
        TITLE,
        Field::may(
            "rubs",
            Shape::Named(&Shape::Any(&[METRES, Shape::Form(&RUB)])),
            "Where along it, from the chain's start, it can be rubbed through.",
        ),
        Field::may("rating", AMPS, "What it may carry; else by AC 43.13-1B, table 11-9."),
    ],
};

pub(super) static RUB: Form = Form {
    name: "a rub",
    fields: &[
        Field::must("at", METRES, "How far from the wire's end 1."),
        Field::may("against", Shape::Text, "What it rubs on; stands on the repair sheet."),
        ZONE,
    ],
};

static CONTACT: Form = Form {
    name: "a contact",
    fields: &[Field::must("contact", WORD, "Plug and pin, as `X14:3`."), TITLE, OWN_OHMS],
};

static SWITCH: Form = Form {
    name: "a switch",
    fields: &[
        Field::must("switch", WORD, "Its name."),
        Field::must(
            "closed",
            STATES,
            "The controls and states in which it is closed; `power` may stand here too.",
        ),
        ZONE,
        TITLE,
        OWN_OHMS,
    ],
};

static FUSE: Form = Form {
    name: "a fuse",
    fields: &[
        Field::must("fuse", WORD, "Its name."),
        Field::must("rating", AMPS, "Its rating."),
        ZONE,
        TITLE,
        OWN_OHMS,
    ],
};

static LOAD: Form = Form {
    name: "a load",
    fields: &[
        Field::must("load", WORD, "Its name."),
        Field::may("ohms", OHMS, "Its resistance at work."),
        Field::may("watts", Shape::Quantity("21 W"), "Or its power, at 12 V or 24 V."),
        Field::may("pulls-in", VOLTS, "From these volts across it up it does its work."),
        ZONE,
        TITLE,
    ],
};

static RESISTOR: Form = Form {
    name: "a resistor",
    fields: &[
        Field::must("resistor", WORD, "Its name."),
        Field::must("ohms", OHMS, "Its resistance."),
        ZONE,
        TITLE,
    ],
};

static POTENTIOMETER: Form = Form {
    name: "a potentiometer",
    fields: &[
        Field::must("potentiometer", WORD, "Its name; the wiper is its terminal 3."),
        Field::must("ohms", OHMS, "Its resistance from end 1 to end 2."),
        Field::may(
            "stands",
            Shape::Named(&Shape::Named(&Shape::Quantity("25 %"))),
            "How far from end 1 the wiper stands, by the state of a control; half way, if not said.",
        ),
        ZONE,
        TITLE,
    ],
};

static RELAY_CONTACT: Form = Form {
    name: "a relay contact",
    fields: &[
        Field::must("relay-contact", WORD, "Its name, or its relay's: then a, b, c are added in file order."),
        Field::may("coil", WORD, "The load that moves it; the load of its own name, if not said."),
        Field::must("rests", Shape::OneOf(&["open", "closed"]), "How it is until the coil pulls in."),
        ZONE,
        TITLE,
        OWN_OHMS,
    ],
};

static JOINT: Form = Form {
    name: "a joint",
    fields: &[Field::must("joint", WORD, "A bolted terminal's name."), ZONE, TITLE, OWN_OHMS],
};

static DIODE: Form = Form {
    name: "a diode",
    fields: &[Field::must("diode", WORD, "Its name; it conducts from end 1 to end 2."), ZONE, TITLE],
};

static SOURCE: Form = Form {
    name: "a source",
    fields: &[
        Field::must("source", WORD, "Its name: an alternator, a second battery."),
        Field::must("volts", VOLTS, "What it holds."),
        Field::may("ohms", OHMS, "Its own resistance; without it the volts hold whatever the current."),
        Field::may(
            "most",
            AMPS,
            "The most it gives, as an alternator's rated output; beyond, its volts give way. Needs `ohms`.",
        ),
        Field::may("plus", Shape::OneOf(&["1", "2"]), "Which end is plus; 2, if not said."),
        Field::may(
            "while",
            STATES,
            "The controls, states and `power` at which it is on; always, if not said.",
        ),
        ZONE,
        TITLE,
    ],
};

pub(super) static CONTROLLER: Form = Form {
    name: "a controller",
    fields: &[
        TITLE,
        ZONE,
        Field::must("fed", Shape::Form(&FED), "How it is fed."),
        Field::may("inputs", Shape::Named(&Shape::Form(&INPUT)), "The pins it reads, by number."),
        Field::may("outputs", Shape::Named(&Shape::Form(&OUTPUT)), "The pins it drives, by number."),
        Field::may("inside", Shape::List(&Shape::Form(&INSIDE)), "Resistances between its pins."),
        Field::may("codes", Shape::List(&Shape::Form(&CODE)), "The codes it sets."),
    ],
};

pub(super) static FED: Form = Form {
    name: "how a controller is fed",
    fields: &[
        Field::must("plus", WORD, "Its plus pin."),
        Field::must("minus", WORD, "Its minus pin."),
        Field::must("least", VOLTS, "It works from these volts up."),
        Field::must("ohms", OHMS, "What it draws, as a resistance."),
        Field::may("wake", WORD, "The pin that wakes it, from the same volts up."),
        Field::may("asleep", OHMS, "What it draws asleep, as a resistance."),
    ],
};

pub(super) static INPUT: Form = Form {
    name: "an input",
    fields: &[
        Field::must("name", WORD, "Its name in logic."),
        Field::may("pull-up", Shape::Form(&PULL_UP), "What pulls it up."),
        Field::may("pull-down", Shape::Any(&[OHMS, Shape::Form(&PULL_DOWN)]), "What pulls it down."),
        Field::may("low", Shape::Form(&LOW), "When it is low."),
        Field::may("high", Shape::Form(&HIGH), "When it is high."),
    ],
};

pub(super) static PULL_UP: Form = Form {
    name: "a pull-up",
    fields: &[
        Field::may("volts", VOLTS, "The volts it goes to."),
        Field::may("to", Shape::OneOf(&["plus"]), "Or the controller's own plus."),
        Field::must("ohms", OHMS, "Through what."),
    ],
};

pub(super) static PULL_DOWN: Form = Form {
    name: "a pull-down",
    fields: &[Field::must("ohms", OHMS, "Through what, to the controller's minus.")],
};

pub(super) static LOW: Form =
    Form { name: "when an input is low", fields: &[Field::must("below", VOLTS, "Below these volts.")] };

pub(super) static HIGH: Form =
    Form { name: "when an input is high", fields: &[Field::must("above", VOLTS, "From these volts up.")] };

pub(super) static OUTPUT: Form = Form {
    name: "an output",
    fields: &[
        Field::must("name", WORD, "Its name in logic."),
        Field::must(
            "drives",
            Shape::OneOf(&["plus", "minus", "rail"]),
            "Feeds the pin, sinks it, or holds it at volts for sensors.",
        ),
        Field::may("volts", VOLTS, "What a rail holds."),
        Field::must("ohms", OHMS, "Through what."),
        Field::may("limit", AMPS, "Above this it trips."),
        Field::may("when", LOGIC, "When it is on; a rail always, if not said."),
    ],
};

pub(super) static INSIDE: Form = Form {
    name: "a resistance inside a controller",
    fields: &[
        Field::must("pins", WORDS, "The two pins."),
        Field::must("ohms", OHMS, "The resistance between them."),
    ],
};

pub(super) static CODE: Form = Form {
    name: "a code",
    fields: &[
        Field::must("code", Shape::Any(&[WORD, Shape::Form(&SPN)]), "SPN and FMI, or the maker's own."),
        Field::may("text", TEXT, "What it says."),
        Field::must("when", LOGIC, "When it is active."),
    ],
};

pub(super) static SPN: Form = Form {
    name: "an SPN with its FMI",
    fields: &[
        Field::must("spn", Shape::Whole, "Suspect parameter number."),
        Field::must("fmi", Shape::Whole, "Failure mode."),
    ],
};

pub(super) static FUNCTION: Form = Form {
    name: "a function",
    fields: &[
        TITLE,
        Field::must("with", STATES, "The state in which it should work."),
        Field::may(
            "power",
            Shape::OneOf(&["off", "live", "running"]),
            "The power it needs; live, or what the controls allow, if not said.",
        ),
        Field::must("works", LOGIC, "What it comes down to."),
        Field::may("held-when", LOGIC, "The states, laid over `with`, in which it must not work."),
        Field::may("moves", WORDS, "What it moves: arms, travel, or an own condition."),
    ],
};

pub(super) static PART: Form =
    Form { name: "a part", fields: &[Field::must("title", TEXT, "What it is called, in each language.")] };

pub(super) static FAULT: Form = Form {
    name: "a fault",
    fields: &[
        Field::may("share", Shape::Number, "How often it is the cause, relative to the others."),
        TITLE,
        Field::may("stops", WORDS, "The functions that it stops without an electrical trace."),
        Field::may("seen", Shape::Form(&SEEN), "How it is seen, nothing opened and the power locked out."),
    ],
};

pub(super) static SEEN: Form = Form {
    name: "how a fault is seen",
    fields: &[
        Field::must("look", TEXT, "What is looked at, and what is wrong there."),
        Field::must("zone", WORD, "Where the mechanic's body is meanwhile."),
        Field::may("minutes", MINUTES, "How long it takes; 2 if not said."),
    ],
};

const LOGIC: Shape = Shape::Form(&LOGIC_FORM);

/// Logic: a map of one or more of these, all of which must hold.
pub(super) static LOGIC_FORM: Form = Form {
    name: "logic",
    fields: &[
        Field::may("all", Shape::List(&Shape::Form(&LOGIC_FORM)), "All of these."),
        Field::may("any", Shape::List(&Shape::Form(&LOGIC_FORM)), "Any of these."),
        Field::may("not", Shape::Form(&LOGIC_FORM), "Not this."),
        Field::may("input", Shape::Named(&Shape::OneOf(&["low", "high"])), "Inputs and their levels."),
        Field::may("operator", STATES, "Controls and their states."),
        Field::may("power", POWERS, "The power."),
        Field::may("load", WORD, "A load that has pulled in."),
        Field::may("fed", WORD, "A controller that is fed."),
        Field::may("output", WORD, "An output that is on."),
        Field::may("agree", Shape::Form(&AGREE), "Two inputs that agree."),
    ],
};

pub(super) static AGREE: Form = Form {
    name: "inputs that agree",
    fields: &[
        Field::must("inputs", WORDS, "The two inputs."),
        Field::must("within", VOLTS, "How far apart they may be."),
        Field::may("sum", VOLTS, "What they add up to, for a pair that runs opposite ways."),
    ],
};
