//! A tree as loaded: its steps with shared groups and gate lists written out, every target resolved.
//!
//! Invariant: `steps[i]` is the step with number `i`; every [`Target::Step`] is a valid number. A target that led
//! nowhere is [`Target::Nowhere`], and the problem was told at load.

use std::sync::Arc;

use crate::diag::{FileId, Files, Place, Text};
use crate::machine::Machine;
use crate::safety::OwnSafety;
use crate::units::{Band, Measure, Minutes, Watts};

use super::ids::Ids;

/// Number of a step within its tree.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct StepIx(pub u32);

impl StepIx {
    /// As an index.
    #[must_use]
    pub const fn at(self) -> usize {
        self.0 as usize
    }
}

/// Where an answer, a band or a step leads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Target {
    /// To a step.
    Step(StepIx),
    /// To another round, at the step that the tree names for it.
    Again,
    /// To a name that does not exist; told at load.
    Nowhere,
}

/// Controls and the states they are to be in, in the order written.
pub type Setup = Vec<(String, String)>;

/// What a function does in a symptom.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shows {
    /// It works.
    Works,
    /// It does not work when it should.
    Fails,
    /// It works when it should be held.
    Unheld,
}

/// One symptom of one machine: its steps form a directed acyclic graph.
#[derive(Debug, Clone)]
pub struct Tree {
    /// The tree's name.
    pub id: String,
    /// The symptom in words.
    pub title: Text,
    /// The author's count of versions.
    pub revision: u32,
    /// The machine's name or file, as written.
    pub machine: Option<String>,
    /// The machine file among [`Tree::files`].
    pub machine_file: Option<FileId>,
    /// The machine, if its file could be read.
    pub model: Option<Arc<Machine>>,
    /// The conditions, gates and zones that the machine adds.
    pub own: OwnSafety,
    /// Which functions fail and which work.
    pub symptom: Vec<(String, Shows)>,
    /// What a step's `with` leaves out.
    pub setup: Setup,
    /// The first step.
    pub start: StepIx,
    /// Whether the file says which step that is; else some step stands for it, and no way from there means anything.
    pub begins: bool,
    /// Where another round begins.
    pub again_from: StepIx,
    /// All steps, groups written out.
    pub steps: Vec<Step>,
    /// The tree's own file among [`Tree::files`].
    pub file: FileId,
    /// The texts it was made of: the tree first, then shared files and the machine.
    pub files: Files,
    pub(super) by_id: Ids,
}

impl Tree {
    /// The step with this number.
    #[must_use]
    pub fn step(&self, ix: StepIx) -> &Step {
        &self.steps[ix.at()]
    }

    /// The number of the step with this id (`make-safe/park`; a run or a gate list by its own name means its first).
    #[must_use]
    pub fn find(&self, id: &str) -> Option<StepIx> {
        self.by_id.find(id, |ix| &self.step(ix).id)
    }

    /// All steps with their numbers.
    pub fn iter(&self) -> impl Iterator<Item = (StepIx, &Step)> {
        self.steps.iter().enumerate().map(|(at, s)| (StepIx(u32::try_from(at).unwrap_or(u32::MAX)), s))
    }

    /// The setup of a step: what it says itself laid over the tree's.
    #[must_use]
    pub fn setup_of(&self, step: &Step) -> Setup {
        let mut setup = self.setup.clone();
        for (control, state) in &step.with {
            match setup.iter_mut().find(|(c, _)| c == control) {
                Some(entry) => entry.1.clone_from(state),
                None => setup.push((control.clone(), state.clone())),
            }
        }
        setup
    }

    /// Where a target goes; `None` if it leads nowhere.
    #[must_use]
    pub const fn land(&self, target: Target) -> Option<StepIx> {
        match target {
            Target::Step(ix) => Some(ix),
            Target::Again => Some(self.again_from),
            Target::Nowhere => None,
        }
    }
}

/// One step.
#[derive(Debug, Clone)]
pub struct Step {
    /// Its id; copies out of a group are `run-step/inner`, gates of a list `step/gate`.
    pub id: String,
    /// What is asked, looked at, read, done.
    pub kind: Kind,
    /// Further words to the mechanic.
    pub text: Option<Text>,
    /// A caution of the author's own, shown before the action.
    pub caution: Option<Text>,
    /// Where the mechanic's body is, as written.
    pub zone: Option<String>,
    /// Controls to set, as written.
    pub with: Setup,
    /// The power the step is meant for, as written.
    pub power: Option<String>,
    /// What moves while it is done, as written.
    pub moves: Vec<String>,
    /// Minutes it takes, as written.
    pub minutes: Option<Minutes>,
    /// Where it leads when it cannot be done or answered.
    pub cannot: Option<Target>,
    /// Where it stands.
    pub place: Place,
    /// Something in it could not be read; that was told at load, and what is missing for that reason is not told again.
    pub flawed: bool,
}

impl Step {
    /// Where it can lead, in the order of its answers or bands; `cannot` last.
    #[must_use]
    pub fn targets(&self) -> Vec<Target> {
        self.ways().collect()
    }

    /// The same, one after the other.
    pub fn ways(&self) -> impl Iterator<Item = Target> {
        let (answers, bands, go) = match &self.kind {
            Kind::Ask(ask) => (ask.answers.as_slice(), &[][..], None),
            Kind::Look(look) => (look.answers.as_slice(), &[][..], None),
            Kind::Read(read) => (&[][..], read.bands.as_slice(), None),
            Kind::Do(action) => (&[][..], &[][..], Some(action.go)),
            Kind::Gate(gate) => (&[][..], &[][..], Some(gate.go)),
            Kind::Find(find) => (&[][..], &[][..], Some(find.go)),
            Kind::Close(_) | Kind::Refer(_) => (&[][..], &[][..], None),
        };
        let chosen = answers.iter().map(|answer| answer.go).chain(bands.iter().map(|band| band.go));
        chosen.chain(go).chain(self.cannot)
    }

    /// The names that it does this to.
    pub fn done_to(&self, act: Act) -> impl Iterator<Item = &str> {
        let acts = match &self.kind {
            Kind::Do(action) => action.acts.as_slice(),
            _ => &[],
        };
        acts.iter().filter(move |(this, _)| *this == act).flat_map(|(_, names)| names).map(String::as_str)
    }
}

/// The kinds of step.
#[derive(Debug, Clone)]
pub enum Kind {
    /// A question to a person.
    Ask(Ask),
    /// Something to inspect.
    Look(Look),
    /// A meter or gauge to read. In a box, as it is much larger than what most steps are.
    Read(Box<Read>),
    /// Something to do.
    Do(Do),
    /// A gate to pass, item by item.
    Gate(GateStep),
    /// The fault, named.
    Find(Find),
    /// The end of the job.
    Close(Close),
    /// Handed over, or waiting.
    Refer(Refer),
}

impl Kind {
    /// The lexicon's word for it.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Ask(_) => "ask",
            Self::Look(_) => "look",
            Self::Read(_) => "read",
            Self::Do(_) => "do",
            Self::Gate(_) => "gate",
            Self::Find(_) => "find",
            Self::Close(_) => "close",
            Self::Refer(_) => "refer",
        }
    }
}

/// What a proof shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Proof {
    /// The function is back.
    Works,
    /// Its interlock holds it.
    Held,
}

/// What an answer is tied to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Observe {
    /// A function of the machine.
    Function(String),
    /// A code: SPN and FMI (SAE J1939-73).
    Code {
        /// Suspect parameter number.
        spn: u32,
        /// Failure mode identifier.
        fmi: u8,
    },
}

/// What an answer says about what it is tied to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seen {
    /// The function works.
    Works,
    /// It does not.
    Fails,
    /// The code is active.
    Active,
    /// It is not.
    Inactive,
}

/// A question and its answers.
#[derive(Debug, Clone)]
pub struct Ask {
    /// The question.
    pub question: Text,
    /// An operator can answer it by telephone.
    pub phone: bool,
    /// What ties the answers to the model.
    pub observe: Option<Observe>,
    /// What it proves, if it does.
    pub proof: Option<Proof>,
    /// The answers, each taken somewhere.
    pub answers: Vec<Answer>,
}

/// One answer.
#[derive(Debug, Clone)]
pub struct Answer {
    /// Its id in journals and answers files.
    pub id: String,
    /// Its words.
    pub text: Text,
    /// What it says about what the question is tied to.
    pub seen: Option<Seen>,
    /// What it means, in the author's words, where it is not tied.
    pub means: Option<Text>,
    /// Where it leads.
    pub go: Target,
}

/// Places to inspect and what may be seen.
#[derive(Debug, Clone)]
pub struct Look {
    /// What to look for.
    pub what: Text,
    /// The places, in order of likelihood over minutes.
    pub places: Vec<String>,
    /// A leak is looked for, and how.
    pub leaks: Option<Leaks>,
    /// What may be seen.
    pub answers: Vec<Answer>,
}

/// How a leak is looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Leaks {
    /// With a card, from a distance.
    Card,
    /// Close up, the pressure released.
    Close,
}

/// Where the leads go.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Leads {
    /// Red on a point; black on another, or on the frame.
    RedBlack {
        /// Red lead.
        red: String,
        /// Black lead; the frame if left out.
        black: Option<String>,
    },
    /// Across two ends.
    Across(String, String),
    /// A clamp around a wire.
    Around(String),
    /// A gauge, sender or display at a place in words.
    At(String),
}

/// A meter or gauge to read.
#[derive(Debug, Clone)]
pub struct Read {
    /// What is read.
    pub measure: Measure,
    /// Where.
    pub leads: Leads,
    /// What is moved while reading.
    pub while_moves: Vec<String>,
    /// The lamp that loads the circuit meanwhile.
    pub loaded: Option<Watts>,
    /// How long to wait before reading.
    pub wait: Option<Minutes>,
    /// How many times it is read.
    pub repeat: Option<u32>,
    /// The step whose reading it is compared with.
    pub compare: Option<String>,
    /// The meter lies in the circuit instead of around it (amps only).
    pub in_line: bool,
    /// By the author's word the points have a source in this setup.
    pub fed: bool,
    /// The bus pair is read, which only counts with every controller unfed.
    pub bus: bool,
    /// Plugs that, all apart, leave the part on its own.
    pub apart: Vec<String>,
    /// Faults of the machine's own that a gauge tells, for which the model has no value.
    pub tells: Vec<String>,
    /// The bands.
    pub bands: Vec<BandStep>,
    /// What it proves, if it does.
    pub proof: Option<Proof>,
}

impl Read {
    /// What leads, clamp or gauge are at, by name.
    #[must_use]
    pub fn places(&self) -> Vec<&str> {
        match &self.leads {
            Leads::Around(wire) => vec![wire],
            Leads::At(_) => Vec::new(),
            _ => self.points(),
        }
    }

    /// The points that leads go on.
    #[must_use]
    pub fn points(&self) -> Vec<&str> {
        match &self.leads {
            Leads::RedBlack { red, black } => {
                std::iter::once(red.as_str()).chain(black.as_deref()).filter(|p| !p.is_empty()).collect()
            }
            Leads::Across(a, b) => vec![a, b],
            Leads::Around(_) | Leads::At(_) => Vec::new(),
        }
    }
}

/// What makes a band.
#[derive(Debug, Clone, PartialEq)]
pub enum BandKind {
    /// A range of numbers, or "it will not stand still".
    Range(Band),
    /// By likeness: readings like those of a healthy machine, of named faults, or the rest.
    Like(Like),
}

/// What a band by likeness looks like.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Like {
    /// A healthy machine.
    Healthy,
    /// One of these faults.
    Faults(Vec<String>),
    /// None of the others.
    Rest,
}

/// One band and where it leads.
#[derive(Debug, Clone)]
pub struct BandStep {
    /// Its range or likeness.
    pub kind: BandKind,
    /// What it means, in the author's words.
    pub means: Option<Text>,
    /// Where it leads.
    pub go: Target,
}

/// What an action does to the machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Act {
    /// Takes plugs apart.
    Unplugs,
    /// Puts plugs together.
    Plugs,
    /// Opens the hydraulics, or fits a gauge.
    Opens,
    /// Closes them again.
    Shuts,
    /// Cuts, strips, crimps or undoes a wire.
    Cuts,
    /// Bridges.
    Bridges,
    /// Takes a bridge off.
    Unbridges,
    /// Ties a control in a state.
    Ties,
    /// Takes the tie off.
    Unties,
    /// Fits meter leads on points.
    Fits,
    /// Takes them off.
    Unfits,
}

impl Act {
    /// Whether what it is done to has a place on the machine.
    #[must_use]
    pub const fn has_place(self) -> bool {
        matches!(self, Self::Unplugs | Self::Plugs | Self::Cuts | Self::Fits | Self::Unfits)
    }

    /// Every act with its key in a file.
    pub const ALL: [(&'static str, Self); 11] = [
        ("unplugs", Self::Unplugs),
        ("plugs", Self::Plugs),
        ("opens", Self::Opens),
        ("shuts", Self::Shuts),
        ("cuts", Self::Cuts),
        ("bridges", Self::Bridges),
        ("unbridges", Self::Unbridges),
        ("ties", Self::Ties),
        ("unties", Self::Unties),
        ("fits", Self::Fits),
        ("unfits", Self::Unfits),
    ];
}

/// Something to do.
#[derive(Debug, Clone)]
pub struct Do {
    /// What to do; `None` where it is the repair of what was found.
    pub action: Option<Text>,
    /// What it does to the machine: each act with the names it is done to.
    pub acts: Vec<(Act, Vec<String>)>,
    /// It needs heat.
    pub heat: bool,
    /// Where it leads.
    pub go: Target,
}

/// A gate to pass.
#[derive(Debug, Clone)]
pub struct GateStep {
    /// The gate's name.
    pub gate: String,
    /// The author's further items.
    pub items: Vec<Text>,
    /// Where it leads.
    pub go: Target,
}

/// The fault, named.
#[derive(Debug, Clone)]
pub struct Find {
    /// The faults it names.
    pub faults: Vec<String>,
    /// What made it fail, and is to be removed.
    pub cause: Option<Text>,
    /// What is put right.
    pub repair: Option<Repair>,
    /// Where it leads.
    pub go: Target,
}

/// How a fault is put right.
#[derive(Debug, Clone, PartialEq)]
pub struct Repair {
    /// What is done to what, in the order written: `(splice, W35)`.
    pub jobs: Vec<(RepairJob, String)>,
    /// Whether it needs heat: as written, else by its jobs.
    pub heat: bool,
    /// Further words.
    pub text: Option<Text>,
}

/// One thing a repair does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum RepairJob {
    /// Joins a wire.
    Splice,
    /// Replaces a wire across the damage.
    Rewire,
    /// Puts a sleeve on.
    Sleeve,
    /// Solders.
    Solder,
    /// Replaces a part.
    Replace,
    /// Cleans a contact.
    Clean,
    /// Tightens a joint.
    Tighten,
    /// Sets something right that is out of place.
    Adjust,
    /// Fills up, or charges.
    Fill,
}

impl RepairJob {
    /// Every job with its key in a file.
    pub const ALL: [(&'static str, Self); 9] = [
        ("splice", Self::Splice),
        ("rewire", Self::Rewire),
        ("sleeve", Self::Sleeve),
        ("solder", Self::Solder),
        ("replace", Self::Replace),
        ("clean", Self::Clean),
        ("tighten", Self::Tighten),
        ("adjust", Self::Adjust),
        ("fill", Self::Fill),
    ];

    /// Whether it is done with heat unless the repair says otherwise.
    #[must_use]
    pub const fn heat(self) -> bool {
        matches!(self, Self::Splice | Self::Rewire | Self::Sleeve | Self::Solder)
    }
}

/// How a job ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CloseAs {
    /// The fault was found, put right and proved.
    Repaired,
    /// It did not show.
    NotReproduced,
    /// It works for now.
    Temporary,
}

/// The end of a job.
#[derive(Debug, Clone)]
pub struct Close {
    /// How it ends.
    pub how: CloseAs,
}

/// Handed over, or waiting for a part.
#[derive(Debug, Clone)]
pub struct Refer {
    /// To whom and why.
    pub why: Text,
    /// What it waits for.
    pub waits_for: Option<Text>,
}
