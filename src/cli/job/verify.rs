//! What `job verify` says: as text for people, as JSON for programs.
//!
//! Three questions, in this order: does every line follow from the line before it; could the events
//! have happened on the tree inside; and is the journal the one whose head was printed. A chain that
//! was made again over altered events passes the first and fails the second or the third. A fourth where
//! another file of the job is given: which goes on from the other, or where do they part.
//!
//! The JSON, format 1:
//! `{"format":1,"job","events","head","whole":bool,"damage":[{"line","offset","bytes","kind",
//! "message"}],"stranded","torn":{"offset","bytes"}|null,"possible":bool,"refused":bool,"why",
//! "against":"same"|"goes-on"|"cut"|"differs"|"absent"|null,"beside":{"job","events","whole":bool,"shared","how":
//! "same"|"ahead"|"behind"|"parted"|"another"}|null}`; kinds `not-a-line`, `no-newline`, `altered`,
//! `does-not-follow`, `unknown`; `head` is null when there is no event, `why`
//! when the events are possible; `refused` says that the tree inside would not be walked today.

use std::io::{self, Write};

use serde_json::{Value, json};

use super::{Format, ending};
use crate::cli::Outcome;
use crate::diag::visible_line;
use crate::job::{
    Beside, Comparison, Copies, Damage, DamageKind, JobFile, Kept, PrintedHead, Recovered, ReplayFault,
    Verdict, replay,
};

/// Damaged lines told as text; the rest is counted.
const MOST_LINES: usize = 20;

/// Says whether the journal is whole, possible and the one that was printed.
pub(super) fn run(
    (job, found): (String, &Recovered<Kept>),
    (printed, other): (Option<&PrintedHead>, Option<(String, Recovered<Kept>)>),
    format: Format,
    out: &mut dyn Write,
) -> Outcome {
    let verdict = found.verdict();
    let replayed = replay(&found.records);
    let told = Told {
        other: other.map(|(name, other)| Other::of(&job, found, name, &other)),
        job,
        against: printed.map(|head| verdict.compare(head)),
        verdict,
        is_refused: replayed.as_ref().is_ok_and(|replayed| replayed.problems.refused()),
        fault: replayed.map_or_else(Some, |replayed| replayed.impossible.map(ReplayFault::from)),
    };
    match format {
        Format::Text => told.as_text(out)?,
        Format::Json => told.as_json(out)?,
    }
    Ok(ending(told.is_fine()))
}

/// Another file, said to be of the same job.
struct Other {
    name: String,
    events: u64,
    is_whole: bool,
    shared: u64,
    beside: Beside,
    lines: Vec<String>,
}

impl Other {
    fn of(job: &str, found: &Recovered<Kept>, name: String, other: &Recovered<Kept>) -> Self {
        let is_whole = other.verdict().is_whole();
        // Two files of one name lie in two folders.
        let shown = if name == job { format!("the other {name}") } else { name };
        let both = JobFile::of(job.to_owned(), found).zip(JobFile::of(shown.clone(), other));
        let (shared, beside) =
            both.as_ref().map_or((0, Beside::Another), |(one, two)| (one.shared(two), one.beside(two)));
        let lines = match (beside, both) {
            (Beside::Another, _) | (_, None) => {
                vec![format!("{job} and {shown} are two jobs: they begin differently.")]
            }
            (_, Some((one, two))) => Copies::among(vec![one, two]).map_or_else(Vec::new, |both| both.lines()),
        };
        Self { name: shown, events: other.head().events, is_whole, shared, beside, lines }
    }

    fn is_fine(&self) -> bool {
        self.is_whole && !matches!(self.beside, Beside::Parted { .. } | Beside::Another)
    }

    fn as_text(&self, out: &mut dyn Write) -> io::Result<()> {
        for line in &self.lines {
            writeln!(out, "{}", visible_line(line))?;
        }
        if !self.is_whole {
            writeln!(out, "{} is not whole: verify it by itself.", visible_line(&self.name))?;
        }
        Ok(())
    }

    fn json(&self) -> Value {
        let how = match self.beside {
            Beside::Same => "same",
            Beside::Ahead(_) => "ahead",
            Beside::Behind(_) => "behind",
            Beside::Parted { .. } => "parted",
            Beside::Another => "another",
        };
        json!({
            "job": self.name,
            "events": self.events,
            "whole": self.is_whole,
            "shared": self.shared,
            "how": how,
        })
    }
}

/// A verdict, what keeps the events from having happened, and how the journal stands to a printed head.
struct Told {
    job: String,
    verdict: Verdict,
    is_refused: bool,
    fault: Option<ReplayFault>,
    against: Option<Comparison>,
    other: Option<Other>,
}

impl Told {
    /// Whether nothing is wrong.
    fn is_fine(&self) -> bool {
        let is_the_same = self.against.is_none_or(|against| against == Comparison::Same);
        let is_no_other_end = self.other.as_ref().is_none_or(Other::is_fine);
        self.verdict.is_whole() && self.fault.is_none() && !self.is_refused && is_the_same && is_no_other_end
    }

    fn as_text(&self, out: &mut dyn Write) -> io::Result<()> {
        let verdict = &self.verdict;
        let job = visible_line(&self.job);
        match verdict.head() {
            head if head.events == 0 => writeln!(out, "Job {job}: no event can be read.")?,
            head => writeln!(out, "Job {job}: {head}")?,
        }
        self.damage_as_text(out)?;
        if verdict.is_whole() {
            writeln!(out, "Whole: every line follows from the line before it.")?;
        }
        match &self.fault {
            None => writeln!(out, "Possible: a walk of the tree inside leads through these events.")?,
            Some(ReplayFault::Empty) => {}
            Some(fault) => writeln!(out, "Not possible: {}.", visible_line(&fault.to_string()))?,
        }
        if self.is_refused {
            writeln!(out, "Refused: {}.", ReplayFault::Refused)?;
        }
        if let Some(against) = self.against {
            writeln!(out, "Against the printed head: {against}.")?;
        }
        self.other.as_ref().map_or(Ok(()), |other| other.as_text(out))
    }

    fn damage_as_text(&self, out: &mut dyn Write) -> io::Result<()> {
        let verdict = &self.verdict;
        for damage in verdict.damage.iter().take(MOST_LINES) {
            writeln!(out, "Damaged: {}.", visible_line(&damage.to_string()))?;
        }
        if verdict.damage.len() > MOST_LINES {
            writeln!(out, "Damaged: {} more lines.", verdict.damage.len() - MOST_LINES)?;
        }
        if verdict.stranded > 0 {
            writeln!(out, "After the damage, {} lines are whole, but cannot be used.", verdict.stranded)?;
        }
        let Some(torn) = verdict.torn else { return Ok(()) };
        writeln!(out, "Torn: {torn}: what was being written when the program was stopped.")?;
        if verdict.damage.is_empty() && verdict.head().events > 0 {
            writeln!(out, "Going on with --resume cuts it, and records that it did.")?;
        }
        Ok(())
    }

    fn as_json(&self, out: &mut dyn Write) -> io::Result<()> {
        let verdict = &self.verdict;
        let head = verdict.head();
        let told = json!({
            "format": 1,
            "job": self.job,
            "events": head.events,
            "head": (head.events > 0).then(|| head.hash.to_string()),
            "whole": verdict.is_whole(),
            "damage": verdict.damage.iter().map(damage_json).collect::<Vec<_>>(),
            "stranded": verdict.stranded,
            "torn": verdict.torn.map(|torn| json!({"offset": torn.offset, "bytes": torn.bytes})),
            "possible": self.fault.is_none(),
            "refused": self.is_refused,
            "why": self.fault.as_ref().map(ToString::to_string),
            "against": self.against.map(comparison_word),
            "beside": self.other.as_ref().map(Other::json),
        });
        crate::cli::answer::json_line(&told, out)
    }
}

fn damage_json(damage: &Damage) -> Value {
    let kind = match damage.kind {
        DamageKind::NotALine => "not-a-line",
        DamageKind::NoNewline => "no-newline",
        DamageKind::Altered => "altered",
        DamageKind::DoesNotFollow { .. } => "does-not-follow",
        DamageKind::Unknown { .. } => "unknown",
    };
    json!({
        "line": damage.line,
        "offset": damage.offset,
        "bytes": damage.bytes,
        "kind": kind,
        "message": damage.kind.to_string(),
    })
}

fn comparison_word(comparison: Comparison) -> &'static str {
    match comparison {
        Comparison::Same => "same",
        Comparison::GoesOn { .. } => "goes-on",
        Comparison::Cut { .. } => "cut",
        Comparison::Differs => "differs",
        Comparison::Absent => "absent",
    }
}
