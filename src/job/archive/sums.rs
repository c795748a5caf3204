//! The archive: findings by machine, tree and fault, minutes, failed proofs, gates that could not be done, what is open,
//! and machines that came again.

use std::collections::{BTreeMap, HashSet};

use crate::job::copies::{Copies, Ends, copies_among};
use crate::job::journal::{FileLayer, JournalError, Recovered};
use crate::job::place::JobPlace;
use crate::job::summary::{Begun, Standing, Summary};
use crate::walk::{Event, Walker};

use super::Survey;
use super::brief::{Brief, Trace};
use super::facts::{Facts, TreeFacts};

/// The same machine again within so many days.
const AGAIN_DAYS: i64 = 30;
const DAY_MS: i64 = 24 * 60 * 60 * 1000;

/// A job as the archive keeps it.
#[derive(Debug, Clone, PartialEq)]
pub struct ArchiveJob {
    /// The job in one line.
    pub summary: Summary,
    /// Which job it is, and where it ends; `None` where no event can be read.
    pub ends: Option<Ends>,
    /// The fingerprint of its texts.
    pub texts: u64,
    /// What happened, as far as sums are made of it.
    pub trace: Vec<Trace>,
    /// The machine's name.
    pub machine: String,
    /// The faults named by the last finding taken note of.
    pub found: Vec<String>,
    /// Proofs that did not show.
    pub failed_proofs: usize,
    /// Gates that could not be done.
    pub gates_cannot: Vec<String>,
}

impl ArchiveJob {
    /// A job folded; what its tree says is filled in by [`ArchiveJob::with`].
    #[must_use]
    pub fn of(place: &JobPlace, found: &Recovered<Brief>) -> Self {
        let mut gate: Option<(String, String)> = None;
        let mut trace = Vec::new();
        for record in &found.records {
            if let Event::Item { step, gate: name, .. } = &record.event.event {
                gate = Some((step.clone(), name.clone()));
            }
            trace.extend(Trace::of(&record.event.event, gate.as_ref()));
        }
        let texts =
            found.records.first().and_then(|r| r.event.opened.as_ref()).map_or(0, |(_, texts)| *texts);
        Self {
            summary: Summary::of(place.name(), found),
            ends: Ends::of(found),
            texts,
            trace,
            machine: String::new(),
            found: Vec::new(),
            failed_proofs: 0,
            gates_cannot: Vec::new(),
        }
    }

    /// Takes in what its tree says.
    pub fn with(&mut self, facts: &TreeFacts) {
        self.machine.clone_from(&facts.machine);
        for trace in &self.trace {
            match trace {
                Trace::Done(step) => {
                    if let Some(faults) = facts.finds.get(step) {
                        self.found.clone_from(faults);
                    }
                }
                Trace::Cannot(step, begun) => {
                    self.gates_cannot.extend(begun.clone().or_else(|| facts.gates.get(step).cloned()));
                }
                _ if facts.is_failed_proof(trace) => self.failed_proofs += 1,
                _ => {}
            }
        }
    }

    /// True for a job, false for practice that lies among them.
    #[must_use]
    pub fn is_job(&self) -> bool {
        self.begun().is_none_or(|begun| begun.walker != Walker::Practice)
    }

    /// What is known of its beginning.
    #[must_use]
    pub const fn begun(&self) -> Option<&Begun> {
        self.summary.begun.as_ref()
    }
}

/// A machine that came again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Repeat {
    /// Its serial.
    pub serial: String,
    /// The earlier job, and the later one.
    pub jobs: [String; 2],
    /// Days between them.
    pub days: i64,
}

/// The jobs of a folder, summed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Archive {
    /// The jobs, by name; of several files of one job the one that has come furthest.
    pub jobs: Vec<ArchiveJob>,
    /// Jobs that lie in several files.
    pub copies: Vec<Copies>,
    /// Those that cannot be read.
    pub unreadable: Vec<String>,
}

impl Archive {
    /// Sums what was surveyed; the tree inside each job is read once for all jobs on the same texts.
    #[must_use]
    pub fn of(layer: &dyn FileLayer, surveyed: Vec<Survey<ArchiveJob>>) -> Self {
        let mut facts = Facts::default();
        let mut archive = Self { copies: copies_of(layer, &surveyed), ..Self::default() };
        let again: HashSet<String> =
            archive.copies.iter().flat_map(|copies| copies.names().skip(1)).map(str::to_owned).collect();
        for Survey { place, outcome } in surveyed {
            match outcome {
                Ok(job) if again.contains(&job.summary.name) => {}
                Ok(mut job) => {
                    if let Some(known) = facts.of(layer, &place, job.texts) {
                        job.with(known);
                    }
                    archive.take(job);
                }
                Err(error) => archive.unreadable.push(told(&error)),
            }
        }
        archive
    }

    fn take(&mut self, job: ArchiveJob) {
        if job.is_job() {
            self.jobs.push(job);
        }
    }

    /// The jobs that a filter lets through.
    #[must_use]
    pub fn only(mut self, keep: impl Fn(&ArchiveJob) -> bool) -> Self {
        self.jobs.retain(keep);
        self
    }

    /// How many findings of each fault, by machine and tree: the most first.
    #[must_use]
    pub fn findings(&self) -> Vec<((String, String, String), usize)> {
        let mut counts: BTreeMap<(String, String, String), usize> = BTreeMap::new();
        for job in self.jobs.iter().filter(|job| !job.found.is_empty()) {
            let tree = job.begun().map_or_else(String::new, |begun| begun.tree.clone());
            let fault = job.found.join("; ");
            *counts.entry((job.machine.clone(), tree, fault)).or_default() += 1;
        }
        let mut all: Vec<_> = counts.into_iter().collect();
        all.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
        all
    }

    /// Minutes worked in ended jobs: how many jobs, the middle one, the least and the most.
    #[must_use]
    pub fn minutes(&self) -> Option<(usize, f64, f64, f64)> {
        let ended = self.jobs.iter().filter(|job| matches!(job.summary.standing, Standing::Ended(_)));
        let mut all: Vec<f64> = ended.filter_map(|job| Some(job.begun()?.worked.value())).collect();
        all.sort_by(f64::total_cmp);
        let count = all.len();
        let middle = f64::midpoint(*all.get((count.checked_sub(1)?) / 2)?, *all.get(count / 2)?);
        Some((count, middle, *all.first()?, *all.last()?))
    }

    /// Machines that came again within thirty days, by serial, the soonest first.
    #[must_use]
    pub fn repeats(&self) -> Vec<Repeat> {
        let mut by_serial: BTreeMap<&str, Vec<(i64, i64, &str)>> = BTreeMap::new();
        for job in &self.jobs {
            let Some(begun) = job.begun() else { continue };
            if let Some(serial) = begun.details.serial.as_deref().filter(|serial| !serial.is_empty()) {
                let times = (begun.started.wall_ms, begun.last.wall_ms, job.summary.name.as_str());
                by_serial.entry(serial).or_default().push(times);
            }
        }
        let mut repeats = Vec::new();
        for (serial, mut jobs) in by_serial {
            jobs.sort_unstable();
            for pair in jobs.windows(2) {
                let days = (pair[1].0 - pair[0].1).max(0) / DAY_MS;
                if days <= AGAIN_DAYS {
                    let jobs = [pair[0].2.to_owned(), pair[1].2.to_owned()];
                    repeats.push(Repeat { serial: serial.to_owned(), jobs, days });
                }
            }
        }
        repeats.sort_by(|a, b| a.days.cmp(&b.days).then_with(|| a.serial.cmp(&b.serial)));
        repeats
    }

    /// The names of jobs that stand so.
    #[must_use]
    pub fn standing(&self, wanted: Standing) -> Vec<&str> {
        let so = self.jobs.iter().filter(|job| job.summary.standing == wanted && job.begun().is_some());
        so.map(|job| job.summary.name.as_str()).collect()
    }

    /// The jobs that wait: name, what for, and the day since when.
    pub fn waiting(&self) -> impl Iterator<Item = (&str, &str, String)> {
        let waits = self.jobs.iter().filter(|job| job.summary.standing == Standing::Waiting);
        waits.filter_map(|job| {
            let since = job.begun()?.last.date();
            Some((job.summary.name.as_str(), job.summary.waits_for.as_str(), since))
        })
    }

    /// Gates that could not be done, with how often.
    #[must_use]
    pub fn gates_cannot(&self) -> Vec<(String, usize)> {
        let mut counts: BTreeMap<String, usize> = BTreeMap::new();
        for gate in self.jobs.iter().flat_map(|job| &job.gates_cannot) {
            *counts.entry(gate.clone()).or_default() += 1;
        }
        let mut all: Vec<_> = counts.into_iter().collect();
        all.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
        all
    }

    /// Proofs that did not show, in how many jobs, and the jobs that have a finding.
    #[must_use]
    pub fn proofs(&self) -> (usize, usize, usize) {
        let failed = self.jobs.iter().map(|job| job.failed_proofs).sum();
        let jobs = self.jobs.iter().filter(|job| job.failed_proofs > 0).count();
        let found = self.jobs.iter().filter(|job| !job.found.is_empty()).count();
        (failed, jobs, found)
    }
}

/// Jobs that lie in several of these files.
#[must_use]
pub fn copies_of(layer: &dyn FileLayer, surveyed: &[Survey<ArchiveJob>]) -> Vec<Copies> {
    let ends = |one: &Survey<ArchiveJob>| one.outcome.as_ref().ok().and_then(|job| job.ends);
    let files: Vec<_> = surveyed.iter().filter_map(|one| Some((&one.place, ends(one)?))).collect();
    copies_among(layer, &files)
}

fn told(error: &JournalError) -> String {
    error.to_string()
}
