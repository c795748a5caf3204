//! `rank`: the suspects of a tree after what an answers file says was seen.

use std::io::Write;
use std::path::PathBuf;

use serde_json::{Value, json};

use super::answer::Format;
use super::disk::{Root, read_any};
use super::{Ending, Failure, Outcome};
use crate::diag::{FileId, Files, Locator, Paint, Problems, Source, Weight, problem_text, visible_line};
use crate::machine::Today;
use crate::reason::{Evidence, Lineup, Outlook, Ranking, RuledOut, Trail, Who, explain, rank, ruled_out};
use crate::safety::Vocabulary;
use crate::tree::{Kind, Leads, OffTree, StepIx, Tree, examine};
use crate::units::{Measure, Reading};
use crate::walk::{Answers, Details, Entry, Says};

/// Suspects after these observations.
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: loomwalk rank tern/no-lift-no-tilt --answers seen.yaml --format json")]
pub(super) struct Args {
    /// The tree: a path, or the name of a shipped one
    tree: String,
    /// What was seen, as for `walk`; - reads it from standard input
    #[arg(long, value_name = "FILE")]
    answers: PathBuf,
    /// For a person, or for another program
    #[arg(long, value_enum, default_value_t)]
    format: Format,
    #[command(flatten)]
    root: Root,
}

/// Runs it.
pub(super) fn run(args: &Args, out: &mut dyn Write) -> Outcome {
    let opened = args.root.open(&args.tree)?;
    let examined = examine(&opened.source, opened.sources.as_ref());
    let Some(course) = &examined.course else {
        return Err(Failure::looked("this tree cannot be read").hint("`loomwalk check` says why"));
    };
    let (tree, vocabulary) = (course.tree(), course.vocabulary());
    if tree.machine.is_some() && tree.model.is_none() {
        return Err(
            Failure::looked("the tree's machine file cannot be used").hint("`loomwalk check` says why")
        );
    }
    let answers = read_answers(args)?;
    let today = tree.model.as_deref().map(|machine| machine.day(today(&answers.details)));
    let lineup = match &today {
        Some(day) => {
            let meter = answers.details.meter.unwrap_or_default();
            Lineup::modelled(Outlook::new(tree, day, vocabulary, meter))
        }
        None => Lineup::by_shape(tree),
    };
    if lineup.listed().is_empty() {
        return Err(Failure::looked("no fault that this tree could name shows its symptom"));
    }
    let evidence = gather(tree, vocabulary, &lineup, &answers)?;
    let told = Told::of(&lineup, &evidence)?;
    match args.format {
        Format::Json => crate::cli::answer::json_line(&told.json(), out)?,
        Format::Text => told.write(out)?,
    }
    Ok(Ending::Fine)
}

fn read_answers(args: &Args) -> Result<Answers, Failure> {
    let source: Source = read_any(&args.answers)?;
    let mut files = Files::default();
    let mut problems = Problems::default();
    let file = FileId(0);
    let answers = Answers::read(&source.text, file, &mut problems);
    let _ = files.add(source);
    match problems.list().iter().find(|problem| problem.weight != Weight::Warning) {
        None => Ok(answers),
        Some(problem) => {
            let mut locator = Locator::new(&files);
            let text = problem_text(problem, &files, &mut locator, Paint::Plain);
            let _ = write!(std::io::stderr().lock(), "{text}");
            Err(Failure::file("the answers file cannot be used"))
        }
    }
}

fn today(details: &Details) -> Today {
    let celsius = details.celsius.unwrap_or(Today::default().celsius);
    Today { volts: details.volts, celsius, ..Today::default() }
}

/// What each entry says of the suspects; of answers to one step in a round the last counts.
fn gather(
    tree: &Tree,
    vocabulary: &Vocabulary,
    lineup: &Lineup<'_, '_>,
    answers: &Answers,
) -> Result<Vec<Evidence>, Failure> {
    let mut trail = Trail::new(tree, vocabulary);
    let mut evidence: Vec<Evidence> = Vec::new();
    // From the first proof on the file tells of a machine that was put right.
    let mut is_mended = false;
    for entry in &answers.entries {
        if let Says::Own { .. } = entry.says
            && !is_mended
        {
            evidence.extend(own(lineup, &entry.says, trail.now())?);
        }
        if entry.step.is_empty() {
            continue;
        }
        let Some(ix) = tree.find(&entry.step) else {
            return Err(Failure::usage(format!(
                "the answers file names a step `{}`, which this tree does not have",
                entry.step
            )));
        };
        let now = trail.go(ix);
        is_mended |= is_proof(tree, ix);
        let Some(seen) = says(tree, lineup, (ix, entry), now)?.filter(|_| !is_mended) else { continue };
        evidence.retain(|earlier| earlier.step != seen.step);
        evidence.push(seen);
    }
    Ok(evidence)
}

fn is_proof(tree: &Tree, ix: StepIx) -> bool {
    match &tree.step(ix).kind {
        Kind::Ask(ask) => ask.proof.is_some(),
        Kind::Read(read) => read.proof.is_some(),
        _ => false,
    }
}

/// What a reading off the tree says, where the walk is.
fn own(
    lineup: &Lineup<'_, '_>,
    says: &Says,
    now: &crate::reason::Situation,
) -> Result<Option<Evidence>, Failure> {
    let Says::Own { red, black, with, measure, reading } = says else { return Ok(None) };
    let measure = Measure::named(measure).unwrap_or(Measure::Volts);
    let reading = Reading::parse(reading, measure.unit())
        .map_err(|error| Failure::usage(format!("own reading at {red}: {error}")))?;
    let leads = Leads::RedBlack { red: red.clone(), black: black.clone() };
    let off = OffTree { measure, leads, with: with.clone(), moving: Vec::new() };
    Ok(lineup.read_off_tree(&off, &reading, now))
}

fn says(
    tree: &Tree,
    lineup: &Lineup<'_, '_>,
    (ix, entry): (StepIx, &Entry),
    now: &crate::reason::Situation,
) -> Result<Option<Evidence>, Failure> {
    let wrong = |said: String| Failure::usage(format!("step `{}`: {said}", entry.step));
    let step = tree.step(ix);
    match &entry.says {
        Says::Answer(id) => {
            let answers = match &step.kind {
                Kind::Ask(ask) => &ask.answers,
                Kind::Look(look) => &look.answers,
                other => return Err(wrong(format!("an answer to a `{}`", other.word()))),
            };
            let way = answers.iter().position(|answer| answer.id == *id);
            let way = way.ok_or_else(|| wrong(format!("there is no answer `{id}`")))?;
            Ok(lineup.answered(ix, way, now))
        }
        Says::Reading(text) | Says::Decide { reading: Some(text), .. } => {
            let Kind::Read(read) = &step.kind else {
                return Err(wrong(format!("a reading at a `{}`", step.kind.word())));
            };
            let reading =
                Reading::parse(text, read.measure.unit()).map_err(|error| wrong(error.to_string()))?;
            Ok(lineup.read(ix, &reading, now))
        }
        _ => Ok(None),
    }
}

/// A ranking with what moved its leader.
struct Told<'e> {
    names: Vec<&'e str>,
    ranking: Ranking,
    evidence: &'e [Evidence],
    bits: Vec<f64>,
    ruled_out: Vec<RuledOut>,
}

impl<'e> Told<'e> {
    fn of(lineup: &'e Lineup<'_, '_>, evidence: &'e [Evidence]) -> Result<Self, Failure> {
        let given: Vec<&Evidence> = evidence.iter().collect();
        let ranking = rank(lineup.listed(), &given).map_err(Failure::usage)?;
        let leader = ranking.head().map_or(Who::NotListed, |head| head.who);
        let why = explain(lineup.listed(), &given, leader).map_err(Failure::usage)?;
        let bits = why.moved.iter().map(|because| because.bits.value()).collect();
        let names = lineup.listed().iter().map(|listed| listed.fault.as_str()).collect();
        let ruled_out = (1..=given.len())
            .map(|seen| ruled_out(lineup.listed(), &given[..seen]).map_err(Failure::usage))
            .collect::<Result<_, _>>()?;
        Ok(Self { names, ranking, evidence, bits, ruled_out })
    }

    fn json(&self) -> Value {
        let suspects: Vec<Value> = self
            .ranking
            .suspects
            .iter()
            .filter_map(|suspect| match suspect.who {
                Who::Listed(at) => {
                    Some(json!({"fault": self.names[at], "probability": suspect.probability.value()}))
                }
                Who::NotListed => None,
            })
            .collect();
        let evidence: Vec<Value> = self
            .evidence
            .iter()
            .zip(&self.bits)
            .map(|(seen, bits)| json!({"step": seen.step, "outcome": seen.outcome, "bits": bits}))
            .collect();
        let not_listed = self.ranking.of(Who::NotListed).map(|line| line.probability.value());
        json!({"format": 1, "suspects": suspects, "not_listed": not_listed, "evidence": evidence})
    }

    fn write(&self, out: &mut dyn Write) -> std::io::Result<()> {
        if self.ranking.fits_none() {
            writeln!(out, "What you saw fits none of the faults this tree knows.")?;
        }
        for suspect in &self.ranking.suspects {
            let name = match suspect.who {
                Who::Listed(at) => self.names[at],
                Who::NotListed => "something not in this tree",
            };
            let word = format!("{:?}", suspect.likely).to_lowercase();
            let percent = 100.0 * suspect.probability.value();
            let out_of = if suspect.ruled_out { "ruled out" } else { &word };
            writeln!(out, "{percent:5.1} %  {out_of:<10} {}", visible_line(name))?;
        }
        for (seen, out_of) in self.evidence.iter().zip(&self.ruled_out) {
            let (step, outcome) = (visible_line(&seen.step), visible_line(&seen.outcome));
            let share = 100.0 * out_of.share.value();
            let RuledOut { faults, of, .. } = out_of;
            writeln!(out, "{step}, {outcome}: ruled out {faults} of {of} ({share:.0} of 100)")?;
        }
        Ok(())
    }
}
