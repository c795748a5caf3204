//! `learn`: shares for a machine's faults from closed jobs, as a patch; nothing is changed without `--write`.

use std::collections::HashSet;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::{Args, ValueEnum};

use super::disk::Root;
use super::job_place::JobsFolder;
use super::{Ending, Failure, Outcome};
use crate::diag::visible_line;
use crate::job::{
    ChainHash, Counted, Disk, Kept, Learned, PRIOR_JOBS, Recovered, counted, learn, learned_json,
    learned_lines, patched, replay, survey,
};
use crate::machine::{Machine, load_machine};

/// A share that changes by less is left as it is.
const WORTH_WRITING: f64 = 0.05;

/// Learns how often each fault is the cause from jobs closed as repaired.
#[derive(Debug, Args)]
#[command(after_help = "Example: loomwalk learn --machine trees/tern/machine.yaml 0318 0319 0325")]
pub(super) struct LearnArgs {
    /// Jobs by name or path [default: every job in the jobs folder]
    #[arg(value_name = "JOBS")]
    job: Vec<PathBuf>,
    #[command(flatten)]
    jobs: JobsFolder,
    /// The machine file to be patched [default: the text inside the last job, which can only be shown]
    #[arg(long, value_name = "FILE")]
    machine: Option<PathBuf>,
    /// How many jobs the machine file's own shares count for
    #[arg(long, default_value_t = PRIOR_JOBS, value_name = "JOBS")]
    weight: f64,
    /// Changes the machine file
    #[arg(long, requires = "machine")]
    write: bool,
    #[arg(long, value_enum, default_value = "text")]
    format: Format,
    #[command(flatten)]
    root: Root,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people: the table, then the patch
    Text,
    /// For programs
    Json,
}

/// The jobs that count, and those that do not with the reason.
#[derive(Default)]
struct Jobs {
    counted: Vec<Counted>,
    left_out: Vec<(String, String)>,
    /// The machine inside the last job: its text's name, its text, and what it is.
    last: Option<(String, String, Arc<Machine>)>,
    /// The jobs that count, by the hash of their first line.
    known: HashSet<ChainHash>,
}

/// Runs it.
pub(super) fn run(args: &LearnArgs, out: &mut dyn Write) -> Outcome {
    if !(args.weight.is_finite() && (0.0..=1e6).contains(&args.weight)) {
        return Err(Failure::usage("`--weight` is a number of jobs from 0 up"));
    }
    let mut jobs = Jobs::default();
    if args.job.is_empty() {
        for one in survey::<Kept, _>(&Disk, &args.jobs.path()?, |_, found| found)? {
            match one.outcome {
                Ok(found) => jobs.take(one.place.name(), &found),
                Err(error) => jobs.left_out.push((one.place.name(), error.to_string())),
            }
        }
    }
    for job in &args.job {
        let (name, found) = args.jobs.read::<Kept>(job)?;
        jobs.take(name, &found);
    }
    let (name, text, machine) = machine_of(args, &jobs)?;
    let of_other = |job: &Counted| job.machine != machine.name;
    let others = jobs.counted.iter().filter(|job| of_other(job)).count();
    if others > 0 {
        let count = if others == 1 { "1 job".to_owned() } else { format!("{others} jobs") };
        jobs.left_out.push((count, format!("on another machine than {}", machine.name)));
    }
    jobs.counted.retain(|job| !of_other(job));
    let before: Vec<(String, f64)> = machine.faults().iter().map(|f| (f.name.clone(), f.share)).collect();
    let learned = learn(&before, &jobs.counted, args.weight);
    let after = patch(&text, &machine, &learned)?;
    match args.format {
        Format::Json => {
            crate::cli::answer::json_line(&learned_json(&machine.name, &learned, &jobs.left_out), out)?;
        }
        Format::Text => {
            for line in learned_lines(&machine.name, &learned, &jobs.left_out) {
                writeln!(out, "{}", visible_line(&line))?;
            }
            let diff = similar::TextDiff::from_lines(text.as_str(), after.as_str());
            write!(out, "{}", diff.unified_diff().context_radius(1).header(&name, &name))?;
        }
    }
    if args.write && after != text {
        let file = args.machine.as_deref().unwrap_or(Path::new(&name));
        replace(file, &after)?;
        writeln!(std::io::stderr(), "Written: {}", file.display())?;
    }
    Ok(Ending::Fine)
}

impl Jobs {
    fn take(&mut self, name: String, found: &Recovered<Kept>) {
        // A copy of a job is the same job, however far each has come.
        let first = found.records.first().map(|record| record.hash);
        if first.is_some_and(|first| self.known.contains(&first)) {
            self.left_out.push((name, "a copy of a job that counts".to_owned()));
            return;
        }
        match counted(found) {
            Ok(job) => {
                self.known.extend(first);
                self.counted.push(job);
                self.last = inside(found).or(self.last.take());
            }
            Err(why) => self.left_out.push((name, why.to_string())),
        }
    }
}

/// The machine inside a job.
fn inside(found: &Recovered<Kept>) -> Option<(String, String, Arc<Machine>)> {
    let walk = replay(&found.records).ok()?.walk;
    let tree = walk.course().tree();
    let source = tree.files.get(tree.machine_file?)?;
    Some((source.name.clone(), source.text.to_string(), Arc::clone(tree.model.as_ref()?)))
}

/// The machine file that is to be patched: its name, its text, and what it is.
fn machine_of(args: &LearnArgs, jobs: &Jobs) -> Result<(String, String, Arc<Machine>), Failure> {
    let Some(file) = &args.machine else {
        return jobs.last.clone().ok_or_else(|| {
            let why: Vec<String> =
                jobs.left_out.iter().take(3).map(|(job, why)| format!("{job}: {why}")).collect();
            Failure::looked("no job counts: only those closed as repaired do").hint(why.join("; "))
        });
    };
    let text = super::disk::read_any(file)?.text.to_string();
    let name = file.display().to_string();
    let machine = loaded(&text).ok_or_else(|| {
        Failure::looked(format!("{name} is no sound machine file")).hint("`loomwalk check` tells")
    })?;
    Ok((name, text, Arc::new(machine)))
}

fn loaded(text: &str) -> Option<Machine> {
    let loaded = load_machine(text, crate::diag::FileId(0));
    loaded.machine.filter(|_| !loaded.problems.refused())
}

/// The machine's text with what is worth writing; it is read again, and has to be what was learned.
fn patch(text: &str, machine: &Machine, learned: &Learned) -> Result<String, Failure> {
    let moved = |s: &&crate::job::LearnedShare| {
        (s.after - s.before).abs() > WORTH_WRITING * s.before.max(s.after).max(1e-9)
    };
    let shares: Vec<(String, f64)> =
        learned.shares.iter().filter(moved).map(|s| (s.fault.clone(), s.after)).collect();
    let is_called = |key: &str, fault: &str| machine.fault_named(key) == machine.fault_named(fault);
    let after = patched(text, &shares, is_called).map_err(Failure::looked)?;
    let again = loaded(&after);
    let agrees = |(fault, share): &(String, f64)| {
        let found = again.as_ref().and_then(|m| Some(m.fault(m.fault_named(fault)?).share));
        found.is_some_and(|found| (found - share).abs() <= 0.01 * share.max(1e-6))
    };
    if shares.iter().all(agrees) {
        Ok(after)
    } else {
        Err(Failure::looked("the patched file would not be sound"))
    }
}

/// Puts the new text in the place of the old one, in one step.
fn replace(file: &Path, text: &str) -> Result<(), Failure> {
    let told = |cause: &dyn std::fmt::Display| {
        Failure::file(format!("{} cannot be written: {cause}", file.display()))
    };
    let folder = file.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut part = tempfile::NamedTempFile::new_in(folder).map_err(|cause| told(&cause))?;
    part.write_all(text.as_bytes()).and_then(|()| part.as_file().sync_all()).map_err(|cause| told(&cause))?;
    if let Ok(found) = std::fs::metadata(file) {
        let _ = part.as_file().set_permissions(found.permissions());
    }
    part.persist(file).map_err(|cause| told(&cause))?;
    Ok(())
}
