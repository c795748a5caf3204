//! What happens in a walk, as the journal keeps it: the only truth about a job.
//!
//! Steps and answers go by their ids, so that a tree's words may change without changing old jobs.

use serde::{Deserialize, Serialize};

use crate::tree::CloseAs;
use crate::units::{Celsius, Meter, Reading, Volts};

/// Who or what walks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Walker {
    /// A person at a screen or in plain mode.
    Person,
    /// An answers file; nothing is confirmed by a person.
    Script,
    /// A person, at a simulated machine: nothing of it happened to a real one.
    Practice,
}

/// What is known about a job beside the walk; what nobody said stays empty.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default, rename_all = "kebab-case")]
pub struct Details {
    /// The shop's number of the job.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub number: Option<String>,
    /// The machine's serial.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub serial: Option<String>,
    /// Hours on its meter.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hours: Option<f64>,
    /// What is fitted to it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub attachment: Option<String>,
    /// Whose it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub customer: Option<String>,
    /// Where it stands.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub site: Option<String>,
    /// What the operator said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub complaint: Option<String>,
    /// Who does the job.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mechanic: Option<String>,
    /// The battery, measured at the start.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub volts: Option<Volts>,
    /// The temperature.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub celsius: Option<Celsius>,
    /// The meter's accuracy.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub meter: Option<Meter>,
}

/// Why conditions are no longer taken to be in force.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Lapse {
    /// The program was left and the job taken up again.
    Resumed,
    /// The laptop slept, or a clock was set.
    Slept,
    /// Nobody pressed a key for half an hour.
    Idle,
    /// "I left it", said after waiting.
    LeftIt,
}

/// Where a typed answer at a gate belongs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct OwnReading {
    /// Red lead.
    pub red: String,
    /// Black lead; the frame if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub black: Option<String>,
    /// Controls and their states.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub with: Vec<(String, String)>,
    /// What was read.
    pub reading: Reading,
}

/// A fault code still there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Code {
    /// Suspect parameter number (SAE J1939-73).
    pub spn: u32,
    /// Failure mode identifier.
    pub fmi: u8,
    /// What it says.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub text: String,
}

impl Code {
    /// The two numbers of what was typed, as SPN and FMI: `520301 4`, `SPN 520301 FMI 4`.
    #[must_use]
    pub fn parse(typed: &str) -> Option<Self> {
        let mut numbers = typed.split(|c: char| !c.is_ascii_digit()).filter(|n| !n.is_empty());
        let spn = numbers.next()?.parse().ok().filter(|spn| *spn <= 0x7_FFFF)?;
        let fmi = numbers.next()?.parse().ok().filter(|fmi| *fmi <= 31)?;
        numbers.next().is_none().then(|| Self { spn, fmi, text: String::new() })
    }
}

/// One thing that happened.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", rename_all_fields = "kebab-case")]
pub enum Event {
    /// The walk began.
    Begun {
        /// The tree's id and revision, as its text inside the job says too.
        tree: String,
        /// Its revision.
        revision: u32,
        /// The language.
        lang: String,
        /// Who walks.
        walker: Walker,
        /// What is known of the job.
        details: Details,
    },
    /// What is known of the job was changed.
    Details {
        /// All of it, as it is now.
        details: Details,
    },
    /// A question or a look was answered.
    Answered {
        /// The step.
        step: String,
        /// The answer's id.
        answer: String,
    },
    /// A meter was read.
    Read {
        /// The step.
        step: String,
        /// What it showed.
        reading: Reading,
        /// The band it fell in, from 0.
        band: usize,
        /// Where the edges of the bands lay that day, in the base unit, if they were computed.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        edges: Vec<f64>,
        /// Why it was decided so, where it lay too close to an edge.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        decided: Option<String>,
    },
    /// Something was done, or a finding taken note of.
    Done {
        /// The step.
        step: String,
        /// At a repair of a wire the sheet by which it was done, label and value of each line.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        sheet: Vec<(String, String)>,
    },
    /// An item of a gate was confirmed.
    Item {
        /// The step it belongs to: the gate's own, or the one that it was missing for.
        step: String,
        /// The gate.
        gate: String,
        /// Which item, from 0.
        item: usize,
        /// Who confirmed it.
        by: String,
        /// What was typed, where a reading is asked for.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        reading: Option<Reading>,
    },
    /// A step or gate could not be done, or a question not be answered.
    Cannot {
        /// The step.
        step: String,
        /// Why.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        why: String,
    },
    /// A note.
    Note {
        /// The step at which it was made.
        step: String,
        /// Its words.
        text: String,
    },
    /// A reading taken off the tree.
    OwnReading {
        /// The step at which it was taken.
        step: String,
        /// Points, setup and value.
        #[serde(flatten)]
        own: OwnReading,
    },
    /// Back to an earlier step.
    Back {
        /// The step gone back to.
        step: String,
    },
    /// On to another step, off the tree's order.
    Jump {
        /// The step gone to.
        step: String,
    },
    /// The job waits.
    Waits {
        /// For what.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        why: String,
    },
    /// The mechanic is back, and was at the machine all the time.
    Stayed,
    /// Asked after a long pause: nothing at the machine has changed.
    StillSo,
    /// Conditions are no longer taken to be in force.
    Lapsed {
        /// Why.
        cause: Lapse,
    },
    /// The job was taken up again.
    Resumed {
        /// Bytes of a torn tail that were cut off the journal.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        cut: Option<u64>,
    },
    /// How the cab stands, asked when the job was taken up again.
    Stands {
        /// The step that the walk comes to.
        step: String,
        /// How.
        cab: CabStands,
    },
    /// What the mechanic said of the repair.
    Repaired {
        /// The step.
        step: String,
        /// Keys of the repair sheet with what was typed, and words of the mechanic's own.
        sheet: Vec<(String, String)>,
    },
    /// At the end no code was there any more.
    NoCodeLeft,
    /// A code that is still there.
    CodeLeft {
        /// The code.
        #[serde(flatten)]
        code: Code,
    },
    /// How the machine was left, and who was told.
    Left {
        /// In words.
        text: String,
    },
    /// The job ended at a step.
    Ended {
        /// The step; empty where no step of the tree leads on and the machine was left guarded.
        step: String,
        /// How.
        how: EndedAs,
    },
}

/// How a cab stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CabStands {
    /// Down and latched.
    Down,
    /// Up, its support in and pinned.
    Held,
    /// Up and not held, or nobody can say.
    Loose,
}

impl CabStands {
    /// Every one, with the word for it in answers.
    pub const ALL: [(&'static str, Self); 3] =
        [("down", Self::Down), ("held", Self::Held), ("loose", Self::Loose)];

    /// The word for it in answers.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(_, one)| *one == self).map_or("", |(word, _)| word)
    }
}

/// How a job ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum EndedAs {
    /// Closed.
    Closed(CloseAs),
    /// Handed over, or waiting for a part.
    Referred,
    /// No way on: the machine was guarded and handed over.
    Guarded,
}
