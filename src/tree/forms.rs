//! The forms of a tree file and a shared file: every key, what it holds and what for.
//!
//! The loader opens maps against these tables, and the schema for editors is printed from them.

use crate::diag::{Field, Form, Shape};

const WORD: Shape = Shape::Word;
const TEXT: Shape = Shape::Text;
const WORDS: Shape = Shape::OneOrMany(&Shape::Word);
const SETUP: Shape = Shape::Named(&Shape::Word);
const MINUTES: Shape = Shape::Any(&[Shape::Number, Shape::Quantity("4 min")]);

/// The top of a tree file.
pub static TREE: Form = Form {
    name: "a tree file",
    fields: &[
        Field::must("loomwalk", Shape::Whole, "The number of this format."),
        Field::must("tree", WORD, "The tree's name; journals and reports carry it."),
        Field::must("title", TEXT, "The symptom in words; the mechanic picks the tree by it."),
        Field::may("revision", Shape::Whole, "The author's count of versions."),
        Field::may("machine", WORD, "The machine file, relative to this one."),
        Field::may("use", WORDS, "Files with groups of steps shared between trees."),
        Field::may(
            "symptom",
            Shape::Named(&Shape::OneOf(&["works", "fails", "unheld"])),
            "Which functions fail and which work.",
        ),
        Field::may("setup", SETUP, "Controls and their states, where a step does not say."),
        Field::must("start", WORD, "The first step."),
        Field::may(
            "again-from",
            WORD,
            "Where another round begins after a proof that failed; the start if left out.",
        ),
        Field::may("groups", Shape::Named(&Shape::Form(&GROUP)), "Groups of steps used by this tree alone."),
        Field::must("steps", Shape::Named(&STEP), "The steps, each under its id."),
    ],
};

/// The top of a shared file.
pub static SHARED: Form = Form {
    name: "a shared file",
    fields: &[
        Field::must("loomwalk", Shape::Whole, "The number of this format."),
        Field::may("title", TEXT, "What the groups are for."),
        Field::may("revision", Shape::Whole, "The author's count of versions."),
        Field::must("groups", Shape::Named(&Shape::Form(&GROUP)), "The groups, each under its name."),
    ],
};

/// A group of steps.
pub(super) static GROUP: Form = Form {
    name: "a group",
    fields: &[
        Field::may("about", TEXT, "What the group does, for authors."),
        Field::must("start", WORD, "The group's first step."),
        Field::must("steps", Shape::Named(&STEP), "Its steps; `go: back` returns to the step that ran it."),
    ],
};

const STEP: Shape = Shape::AnyForm(&[&ASK, &LOOK, &READ, &DO, &GATE, &GATES, &RUN, &FIND, &CLOSE, &REFER]);

static OBSERVE_SHAPES: [Shape; 2] = [WORD, Shape::Form(&OBSERVED)];
static ANSWER_SHAPE: Shape = Shape::Form(&ANSWER);

const TEXT_F: Field = Field::may("text", TEXT, "Further words to the mechanic.");
const CAUTION: Field = Field::may("caution", TEXT, "A caution of the author's own, shown before the action.");
const ZONE: Field = Field::may("zone", WORD, "Where the mechanic's body is.");
const WITH: Field = Field::may("with", SETUP, "Controls and their states for this step.");
const POWER: Field = Field::may(
    "power",
    Shape::OneOf(&["isolated", "off", "live", "running"]),
    "The power that the step is meant for.",
);
const MOVES: Field =
    Field::may("moves", WORDS, "What moves: arms, travel, nothing, or a condition of the machine's own.");
const TIME: Field = Field::may("minutes", MINUTES, "How long it takes.");
const CANNOT: Field = Field::may("cannot", WORD, "Where it leads when it cannot be done or answered.");
const GO: Field = Field::must("go", WORD, "The next step.");
const OBSERVE: Field =
    Field::may("observe", Shape::Any(&OBSERVE_SHAPES), "The function or code that the answers are about.");
const PROOF: Field = Field::may("proof", Shape::OneOf(&["works", "held"]), "What this step proves.");
const ANSWERS: Field = Field::must("answers", Shape::Named(&ANSWER_SHAPE), "The answers, each under its id.");

/// An `ask` step.
pub(super) static ASK: Form = Form {
    name: "an `ask` step",
    fields: &[
        Field::must("ask", TEXT, "The question."),
        Field::may("phone", Shape::Flag, "An operator can answer this by telephone."),
        OBSERVE,
        PROOF,
        ANSWERS,
        TEXT_F,
        CAUTION,
        ZONE,
        WITH,
        POWER,
        MOVES,
        TIME,
        CANNOT,
    ],
};

/// A `look` step.
pub(super) static LOOK: Form = Form {
    name: "a `look` step",
    fields: &[
        Field::must("look", TEXT, "What to look for."),
        Field::may(
            "places",
            WORDS,
            "The places, in order of likelihood over minutes; a fault of the machine's own is its own place.",
        ),
        Field::may(
            "leaks",
            Shape::OneOf(&["card", "close"]),
            "A leak is looked for: with a card at a distance, or close up.",
        ),
        ANSWERS,
        TEXT_F,
        CAUTION,
        ZONE,
        WITH,
        POWER,
        MOVES,
        TIME,
        CANNOT,
    ],
};

/// A `read` step.
pub(super) static READ: Form = Form {
    name: "a `read` step",
    fields: &[
        Field::must(
            "read",
            Shape::OneOf(&["volts", "ohms", "amps", "hertz", "percent", "pressure", "temperature", "rpm"]),
            "What is read.",
        ),
        Field::may("red", WORD, "The point of the red lead."),
        Field::may("black", WORD, "The point of the black lead; the frame if left out."),
        Field::may("across", Shape::List(&WORD), "The two points, where it does not matter which is which."),
        Field::may("around", WORD, "The wire that the clamp goes around."),
        Field::may("at", WORD, "The port or gauge, in words."),
        Field::may("in-line", Shape::Flag, "The meter lies in the circuit, fused, at most 10 A."),
        Field::may("fed", Shape::Flag, "By your word the point has a source in this setup."),
        Field::may("bus", Shape::Flag, "The pair of the bus is read."),
        Field::may("apart", WORDS, "Plugs that, all apart, leave the part on its own."),
        Field::may("while", Shape::Form(&WHILE), "What is moved while reading."),
        Field::may("loaded", Shape::Quantity("21 W"), "The lamp that loads the circuit meanwhile."),
        Field::may("wait", MINUTES, "How long to wait before reading."),
        Field::may("repeat", Shape::Whole, "How many times it is read."),
        Field::may("compare", WORD, "The step whose reading it is compared with."),
        Field::may(
            "tells",
            WORDS,
            "Faults of the machine's own, as a seized spool, that a gauge tells; the bands lead to them.",
        ),
        Field::must(
            "bands",
            Shape::List(&Shape::Form(&BAND)),
            "The bands; together they cover the whole range.",
        ),
        PROOF,
        OBSERVE,
        TEXT_F,
        CAUTION,
        ZONE,
        WITH,
        POWER,
        MOVES,
        TIME,
        CANNOT,
    ],
};

/// A `do` step.
pub(super) static DO: Form = Form {
    name: "a `do` step",
    fields: &[
        Field::must("do", TEXT, "What to do; `repair` for the repair of what was found."),
        Field::may("unplugs", WORDS, "Plugs taken apart."),
        Field::may("plugs", WORDS, "Plugs put together."),
        Field::may("opens", WORDS, "`pressure`: the hydraulics are opened, or a gauge fitted."),
        Field::may("shuts", WORDS, "`pressure`: the hydraulics are closed again."),
        Field::may("cuts", WORDS, "Wires cut, stripped, crimped or undone."),
        Field::may("bridges", WORDS, "Bridges put on, each by a name."),
        Field::may("unbridges", WORDS, "Bridges taken off."),
        Field::may("ties", WORDS, "Controls tied in a state."),
        Field::may("unties", WORDS, "Controls set free."),
        Field::may("fits", WORDS, "Points that meter leads are fitted on."),
        Field::may("unfits", WORDS, "Points that they are taken off."),
        Field::may("heat", Shape::Flag, "It needs heat: solder, shrink sleeve."),
        GO,
        TEXT_F,
        CAUTION,
        ZONE,
        WITH,
        POWER,
        MOVES,
        TIME,
        CANNOT,
    ],
};

/// A `gate` step.
pub(super) static GATE: Form = Form {
    name: "a `gate` step",
    fields: &[
        Field::must("gate", WORD, "The gate."),
        Field::may("items", Shape::List(&TEXT), "Further items to confirm."),
        GO,
        TEXT_F,
        TIME,
        CANNOT,
    ],
};

/// A `gates` step.
pub(super) static GATES: Form = Form {
    name: "a `gates` step",
    fields: &[
        Field::must("gates", Shape::List(&WORD), "The gates, in order."),
        Field::may("items", Shape::List(&TEXT), "Further items, at the last gate."),
        GO,
        TEXT_F,
        CANNOT,
    ],
};

/// A `run` step.
pub(super) static RUN: Form = Form {
    name: "a `run` step",
    fields: &[
        Field::must("run", WORD, "The group to walk."),
        Field::may("for", Shape::Named(&WORD), "The group's parameter."),
        Field::may("exits", Shape::Named(&WORD), "Where the group's named ends lead."),
        Field::may("go", WORD, "Where `back` leads."),
        Field::may("cannot", WORD, "Where a step of the group leads that has no `cannot` of its own."),
    ],
};

/// A `find` step.
pub(super) static FIND: Form = Form {
    name: "a `find` step",
    fields: &[
        Field::must("find", WORDS, "The faults it names."),
        Field::may("cause", TEXT, "What made it fail, and is to be removed."),
        Field::may("repair", Shape::Form(&REPAIR), "What is put right."),
        GO,
        TEXT_F,
        CAUTION,
        ZONE,
    ],
};

/// A `close` step.
pub(super) static CLOSE: Form = Form {
    name: "a `close` step",
    fields: &[
        Field::must("close", Shape::OneOf(&["repaired", "not-reproduced", "temporary"]), "How the job ends."),
        TEXT_F,
    ],
};

/// A `refer` step.
pub(super) static REFER: Form = Form {
    name: "a `refer` step",
    fields: &[
        Field::must("refer", TEXT, "To whom it is handed, and why."),
        Field::may("waits-for", TEXT, "The part, weather or person it waits for."),
        TEXT_F,
    ],
};

/// The forms by the key that tells them.
pub(super) static KINDS: [(&str, &Form); 10] = [
    ("ask", &ASK),
    ("look", &LOOK),
    ("read", &READ),
    ("do", &DO),
    ("gate", &GATE),
    ("gates", &GATES),
    ("run", &RUN),
    ("find", &FIND),
    ("close", &CLOSE),
    ("refer", &REFER),
];

/// An answer.
pub(super) static ANSWER: Form = Form {
    name: "an answer",
    fields: &[
        Field::must("text", TEXT, "Its words."),
        Field::may("means", TEXT, "`works` or `fails`, `active` or `not`; else what it means."),
        GO,
    ],
};

/// A band.
pub(super) static BAND: Form = Form {
    name: "a band",
    fields: &[
        Field::may("below", Shape::Quantity("1.5 V"), "Its upper end; it has no lower one."),
        Field::may("from", Shape::Quantity("1.5 V"), "Its lower end, included."),
        Field::may("to", Shape::Quantity("3.5 V"), "Its upper end, not included."),
        Field::may("above", Shape::Quantity("3.5 V"), "Its lower end, included; it has no upper one."),
        Field::may("jumps", Shape::Flag, "The reading will not stand still."),
        Field::may("like", WORDS, "`healthy`, `rest`, or faults whose readings it holds."),
        Field::may("means", TEXT, "What it means."),
        GO,
    ],
};

/// What a code is tied by.
pub(super) static OBSERVED: Form =
    Form { name: "`observe`", fields: &[Field::must("code", Shape::Form(&CODE), "The code.")] };

/// A code.
pub(super) static CODE: Form = Form {
    name: "a code",
    fields: &[
        Field::must("spn", Shape::Whole, "Suspect parameter number."),
        Field::must("fmi", Shape::Whole, "Failure mode identifier."),
    ],
};

/// What is moved while reading.
pub(super) static WHILE: Form =
    Form { name: "`while`", fields: &[Field::must("moves", WORDS, "The plug or harness that is moved.")] };

/// A repair.
pub(super) static REPAIR: Form = Form {
    name: "a repair",
    fields: &[
        Field::may("splice", WORDS, "Wires to join."),
        Field::may("rewire", WORDS, "Wires to replace across the damage."),
        Field::may("sleeve", WORDS, "Wires to sleeve."),
        Field::may("solder", WORDS, "What to solder."),
        Field::may("replace", WORDS, "Parts to replace."),
        Field::may("clean", WORDS, "Contacts to clean."),
        Field::may("tighten", WORDS, "Joints to tighten."),
        Field::may("adjust", WORDS, "What to set right."),
        Field::may("fill", WORDS, "What to fill up or charge."),
        Field::may("heat", Shape::Flag, "Whether it needs heat."),
        TEXT_F,
    ],
};
