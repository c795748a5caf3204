//! An answers file: the entries that walk a tree without asking, in order.
//!
//! It is read against its forms like every other file, so that a slip is told with its place; what an entry means is
//! decided where the walk is, since only the step knows what it asks.

use crate::diag::{Entries, Field, FileId, Form, Limits, Node, Nodes, Place, Problems, Shape, Text};
use crate::units::{Celsius, Meter, Minutes, Volts, Written};

use super::event::{CabStands, Code, Details};

const WORD: Shape = Shape::Word;

/// One entry of an answers file.
static ENTRY: Form = Form {
    name: "an entry of an answers file",
    fields: &[
        Field::may("step", WORD, "The step that the walk is at."),
        Field::may("answer", WORD, "The answer's id."),
        Field::may("reading", WORD, "The reading as it would be typed."),
        Field::may("confirm", Shape::OneOf(&["all"]), "Confirms every item of the gate."),
        Field::may("initials", WORD, "Who confirms."),
        Field::may("readings", Shape::List(&WORD), "The readings that a gate asks for."),
        Field::may("done", Shape::Flag, "The action was done."),
        Field::may("cannot", Shape::Text, "It cannot be done, and why."),
        Field::may("note", Shape::Text, "A note."),
        Field::may("back", Shape::Flag, "Back to this step."),
        Field::may("decide", WORD, "Where a reading too close to an edge leads."),
        Field::may("why", Shape::Text, "Why it is decided so."),
        Field::may("own-reading", Shape::Form(&OWN), "A reading off the tree."),
        Field::may("jump", WORD, "The step to go on with."),
        Field::may("repair", Shape::Named(&WORD), "The repair as it was done."),
        Field::may(
            "code-left",
            Shape::Any(&[Shape::Form(&CODE), Shape::OneOf(&["none"])]),
            "A code that is still there, or that none is.",
        ),
        Field::may(
            "cab",
            Shape::OneOf(&["down", "held", "loose"]),
            "How the cab stands, asked when a job is taken up again with the cab up.",
        ),
        Field::may("left", Shape::Text, "How the machine was left, and who was told."),
        Field::may("wait", Shape::Text, "The job waits, and for what."),
        Field::may("back-from-wait", Shape::OneOf(&["stayed", "left-it"]), "The wait is over."),
        Field::may("after", Shape::Quantity("3 min"), "Time since the entry before."),
        Field::may("job", Shape::Form(&JOB), "What is known of the job; the first entry only."),
    ],
};

/// What is known of the job.
static JOB: Form = Form {
    name: "`job`",
    fields: &[
        Field::may("start", WORD, "Local time at which the job began, as `2026-03-02T07:40`."),
        Field::may("number", WORD, "The shop's number of the job."),
        Field::may("serial", WORD, "The machine's serial."),
        Field::may("hours", Shape::Number, "Hours on its meter."),
        Field::may("attachment", WORD, "What is fitted to it."),
        Field::may("customer", WORD, "Whose it is."),
        Field::may("site", WORD, "Where it stands."),
        Field::may("complaint", WORD, "What the operator said."),
        Field::may("mechanic", WORD, "Who does the job."),
        Field::may("volts", Shape::Quantity("12.4 V"), "The battery, measured at the start."),
        Field::may("celsius", Shape::Number, "The temperature in °C."),
        Field::may("meter", WORD, "The meter's accuracy, as `0.5%+2`."),
    ],
};

/// A reading off the tree.
static OWN: Form = Form {
    name: "`own-reading`",
    fields: &[
        Field::must("red", WORD, "The point of the red lead."),
        Field::may("black", WORD, "The point of the black lead."),
        Field::may("with", Shape::Named(&WORD), "Controls and their states."),
        Field::may("read", WORD, "What is read; volts if left out."),
        Field::must("reading", WORD, "The reading with its unit."),
    ],
};

/// A code.
static CODE: Form = Form {
    name: "`code-left`",
    fields: &[
        Field::must("spn", Shape::Whole, "Suspect parameter number."),
        Field::must("fmi", Shape::Whole, "Failure mode identifier."),
        Field::may("text", WORD, "What it says."),
    ],
};

/// What an entry does.
#[derive(Debug, Clone, PartialEq)]
pub enum Says {
    /// Confirms every item of the gate.
    Confirm {
        /// Who.
        initials: String,
        /// The readings asked for, as typed.
        readings: Vec<String>,
    },
    /// A reading as typed.
    Reading(String),
    /// An answer's id.
    Answer(String),
    /// Where a reading too close to an edge leads, and why.
    Decide {
        /// The reading, if it stands in the same entry.
        reading: Option<String>,
        /// The step it leads to.
        go: String,
        /// Why.
        why: String,
    },
    /// The action was done.
    Done,
    /// It cannot be done.
    Cannot(String),
    /// A note.
    Note(String),
    /// Back to the step named.
    Back,
    /// A reading off the tree.
    Own {
        /// Red lead.
        red: String,
        /// Black lead.
        black: Option<String>,
        /// Controls and states.
        with: Vec<(String, String)>,
        /// What is read.
        measure: String,
        /// The reading as typed.
        reading: String,
    },
    /// On to the step named.
    Jump,
    /// The repair as it was done.
    Repair(Vec<(String, String)>),
    /// A code that is still there.
    CodeLeft(Code),
    /// No code is there any more.
    NoCodeLeft,
    /// How the cab stands when the job is taken up again.
    Stands(CabStands),
    /// How the machine was left.
    Left(String),
    /// The job waits.
    Wait(String),
    /// Back from waiting; `true` if the machine was left alone.
    BackFromWait(bool),
}

/// One entry.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// The step it is for; empty where it belongs to any.
    pub step: String,
    /// What it does.
    pub says: Says,
    /// Time since the entry before.
    pub after: Option<Minutes>,
    /// Its place in the file.
    pub place: Place,
}

/// A whole answers file.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Answers {
    /// Local time at which the job began: milliseconds since 1970 as if in UTC.
    pub start_ms: Option<i64>,
    /// What is known of the job.
    pub details: Details,
    /// The entries, in order.
    pub entries: Vec<Entry>,
}

impl Answers {
    /// Reads an answers file; everything wrong with it is told. An empty list is a file without answers.
    #[must_use]
    pub fn read(text: &str, file: FileId, problems: &mut Problems) -> Self {
        let mut answers = Self::default();
        let nodes = Nodes::default();
        let Some(root) = nodes.parse_yaml(text, file, Limits::default(), problems) else { return answers };
        let Some(items) = root.list() else {
            problems.refuse("wrong-kind", Place::Bytes(file, root.span)).says(
                format!("an answers file is a list of entries; this is {}", root.kind()),
                "Nothing can be walked by it.",
                "`- {step: …, answer: …}` lines",
            );
            return answers;
        };
        for (nth, item) in items.iter().enumerate() {
            let Some(e) = Entries::open(item, file, &ENTRY, problems) else { continue };
            if let Some(job) = e.get("job") {
                if nth == 0 {
                    read_job(job, file, &mut answers, problems);
                } else {
                    wrong(
                        e.key_place("job"),
                        "`job` belongs in the first entry",
                        "one `job` entry, at the top",
                        problems,
                    );
                }
                continue;
            }
            if let Some(entry) = read_entry(&e, problems) {
                answers.entries.push(entry);
            }
        }
        answers
    }
}

fn read_entry(e: &Entries<'_, '_>, problems: &mut Problems) -> Option<Entry> {
    let says = says(e, problems)?;
    let step = match &says {
        Says::Jump => e.word("jump", problems),
        _ => e.word("step", problems),
    };
    let free = matches!(
        says,
        Says::Own { .. }
            | Says::Wait(_)
            | Says::BackFromWait(_)
            | Says::Repair(_)
            | Says::CodeLeft(_)
            | Says::NoCodeLeft
            | Says::Stands(_)
            | Says::Left(_)
    );
    if step.is_none() && !free {
        wrong(
            e.place(),
            "this entry does not name its step",
            "`step: …`, the step that the walk is at",
            problems,
        );
        return None;
    }
    let after = e.get("after").and_then(|n| quantity::<Minutes>(n, e.file, problems));
    Some(Entry { step: step.unwrap_or_default().to_owned(), says, after, place: e.place() })
}

fn says(e: &Entries<'_, '_>, problems: &mut Problems) -> Option<Says> {
    let has = |key: &str| e.get(key).is_some();
    let word = |key: &str, problems: &mut Problems| e.word(key, problems).map(str::to_owned);
    if has("confirm") {
        let readings = e.words("readings", problems).into_iter().map(|(w, _)| w.to_owned()).collect();
        return Some(Says::Confirm { initials: word("initials", problems).unwrap_or_default(), readings });
    }
    if has("decide") {
        let reading = if has("reading") { word("reading", problems) } else { None };
        let why = text(e, "why", problems).unwrap_or_default();
        return Some(Says::Decide { reading, go: word("decide", problems)?, why });
    }
    if has("reading") {
        return Some(Says::Reading(word("reading", problems)?));
    }
    if has("answer") {
        return Some(Says::Answer(word("answer", problems)?));
    }
    if has("cannot") {
        return Some(Says::Cannot(text(e, "cannot", problems)?));
    }
    if has("note") {
        return Some(Says::Note(text(e, "note", problems)?));
    }
    if has("jump") {
        return Some(Says::Jump);
    }
    if has("wait") {
        return Some(Says::Wait(text(e, "wait", problems)?));
    }
    if has("left") {
        return Some(Says::Left(text(e, "left", problems)?));
    }
    if e.flag("back", problems) == Some(true) {
        return Some(Says::Back);
    }
    if let Some(node) = e.get("own-reading") {
        return own(node, e.file, problems);
    }
    if let Some(node) = e.get("repair") {
        return Some(Says::Repair(pairs(node, e.file, problems)));
    }
    if let Some(node) = e.get("code-left") {
        if node.scalar() == Some("none") {
            return Some(Says::NoCodeLeft);
        }
        return code(node, e.file, problems).map(Says::CodeLeft);
    }
    if has("cab") {
        return Some(Says::Stands(e.one_of("cab", &CabStands::ALL, problems)?));
    }
    if has("back-from-wait") {
        let left = e.one_of("back-from-wait", &[("stayed", false), ("left-it", true)], problems)?;
        return Some(Says::BackFromWait(left));
    }
    // An entry that only names its step says that what stands there was done.
    Some(Says::Done)
}

fn own(node: &Node<'_>, file: FileId, problems: &mut Problems) -> Option<Says> {
    let o = Entries::open(node, file, &OWN, problems)?;
    let with = o.get("with").map_or_else(Vec::new, |n| pairs(n, file, problems));
    Some(Says::Own {
        red: o.word("red", problems)?.to_owned(),
        black: o.word("black", problems).map(str::to_owned),
        with,
        measure: o.word("read", problems).unwrap_or("volts").to_owned(),
        reading: o.word("reading", problems)?.to_owned(),
    })
}

fn code(node: &Node<'_>, file: FileId, problems: &mut Problems) -> Option<Code> {
    let c = Entries::open(node, file, &CODE, problems)?;
    let spn = c.word("spn", problems)?.parse().ok().filter(|spn| *spn <= 0x7_FFFF);
    let fmi = c.word("fmi", problems)?.parse().ok().filter(|fmi| *fmi <= 31);
    let (Some(spn), Some(fmi)) = (spn, fmi) else {
        wrong(c.place(), "this is no code", "`spn` up to 524287 and `fmi` up to 31 (SAE J1939-73)", problems);
        return None;
    };
    Some(Code { spn, fmi, text: c.word("text", problems).unwrap_or_default().to_owned() })
}

fn read_job(node: &Node<'_>, file: FileId, answers: &mut Answers, problems: &mut Problems) {
    let Some(j) = Entries::open(node, file, &JOB, problems) else { return };
    let word = |key: &str, problems: &mut Problems| j.word(key, problems).map(str::to_owned);
    if let Some(node) = j.get("start") {
        answers.start_ms = node.scalar().and_then(local_ms);
        if answers.start_ms.is_none() {
            wrong(Place::Bytes(file, node.span), "this is no local time", "`2026-03-02T07:40`", problems);
        }
    }
    answers.details = Details {
        number: word("number", problems),
        serial: word("serial", problems),
        hours: number(&j, "hours", problems),
        attachment: word("attachment", problems),
        customer: word("customer", problems),
        site: word("site", problems),
        complaint: word("complaint", problems),
        mechanic: word("mechanic", problems),
        volts: j.get("volts").and_then(|n| quantity::<Volts>(n, file, problems)),
        celsius: number(&j, "celsius", problems).map(Celsius),
        meter: j.get("meter").and_then(|n| meter(n, file, problems)),
    };
}

fn meter(node: &Node<'_>, file: FileId, problems: &mut Problems) -> Option<Meter> {
    match Meter::parse(node.scalar().unwrap_or_default()) {
        Ok(meter) => Some(meter),
        Err(error) => {
            wrong(
                Place::Bytes(file, node.span),
                &error.to_string(),
                "`0.5%+2`: per cent of the reading + counts",
                problems,
            );
            None
        }
    }
}

fn number(e: &Entries<'_, '_>, key: &str, problems: &mut Problems) -> Option<f64> {
    let node = e.get(key)?;
    let number = node.scalar().and_then(|t| t.trim().parse::<f64>().ok()).filter(|n| n.is_finite());
    if number.is_none() {
        wrong(Place::Bytes(e.file, node.span), &format!("`{key}` is a number"), "the number alone", problems);
    }
    number
}

fn quantity<Q: Written>(node: &Node<'_>, file: FileId, problems: &mut Problems) -> Option<Q> {
    match Q::parse(node.scalar().unwrap_or_default()) {
        Ok(quantity) => Some(quantity),
        Err(error) => {
            wrong(Place::Bytes(file, node.span), &error.to_string(), &error.write, problems);
            None
        }
    }
}

fn pairs(node: &Node<'_>, file: FileId, problems: &mut Problems) -> Vec<(String, String)> {
    let Some(entries) = node.map() else {
        wrong(
            Place::Bytes(file, node.span),
            "a map of names and values is wanted",
            "`{name: value}`",
            problems,
        );
        return Vec::new();
    };
    entries
        .iter()
        .map(|e| {
            (
                e.key.to_string(),
                e.value.one_or_many().iter().filter_map(Node::scalar).collect::<Vec<_>>().join(", "),
            )
        })
        .collect()
}

fn text(e: &Entries<'_, '_>, key: &str, problems: &mut Problems) -> Option<String> {
    let node = e.get(key)?;
    if node.scalar() == Some("") {
        return Some(String::new());
    }
    Text::read(node, e.file, problems).map(|t| t.en().to_owned())
}

fn wrong(place: Place, wrong: &str, write: &str, problems: &mut Problems) {
    problems.refuse("answers-file", place).says(
        wrong,
        "The walk would not be the one that was meant.",
        write,
    );
}

/// Local time `2026-03-02T07:40` (seconds optional) as milliseconds since 1970, as if in UTC.
fn local_ms(text: &str) -> Option<i64> {
    let at: jiff::civil::DateTime = text.trim().parse().ok()?;
    let epoch = jiff::civil::date(1970, 1, 1).at(0, 0, 0, 0);
    let days = i64::from((at.date() - epoch.date()).get_days());
    let seconds = i64::from(at.hour()) * 3600 + i64::from(at.minute()) * 60 + i64::from(at.second());
    Some((days * 86_400 + seconds) * 1000)
}
