//! Which job is meant: `--jobs DIR`, the environment, and `JOB` as a name, a path or `-`.

use std::io::Read;
use std::path::{Path, PathBuf};

use clap::Args;
use serde::de::DeserializeOwned;

use super::failure::Failure;
use crate::job::{
    Disk, Environment, JobPlace, JournalError, MAX_JOURNAL_BYTES, Recovered, find_job, jobs_folder,
    read_journal, recover,
};

/// The option of every command that touches jobs.
#[derive(Debug, Clone, Default, Args)]
pub(super) struct JobsFolder {
    /// The folder of the jobs [default: loomwalk/jobs in your data folder]
    #[arg(long = "jobs", value_name = "DIR")]
    folder: Option<PathBuf>,
}

impl JobsFolder {
    /// The folder that was asked for, else the user's own.
    pub(super) fn path(&self) -> Result<PathBuf, Failure> {
        jobs_folder(self.folder.as_deref(), &environment()).map_err(Failure::usage)
    }

    /// The job that `JOB` means; a path needs no folder.
    pub(super) fn place(&self, given: &Path) -> Result<JobPlace, Failure> {
        let folder = self.path().unwrap_or_default();
        find_job(&Disk, given, &folder).map_err(Failure::usage)
    }

    /// What the journal of `JOB` holds, and what the job is called; `-` is standard input.
    pub(super) fn read<E: DeserializeOwned>(&self, given: &Path) -> Result<(String, Recovered<E>), Failure> {
        if given == Path::new("-") {
            let mut bytes = Vec::new();
            std::io::stdin().lock().take(MAX_JOURNAL_BYTES + 1).read_to_end(&mut bytes)?;
            if bytes.len() as u64 > MAX_JOURNAL_BYTES {
                return Err(Failure::file(JournalError::TooLong { file: given.to_owned() }));
            }
            return Ok(("-".to_owned(), recover(&bytes)));
        }
        let place = self.place(given)?;
        Ok((place.name(), read_journal(&Disk, &place)?))
    }
}

/// What the environment says about where a user's data lies.
fn environment() -> Environment {
    let value = |name| std::env::var_os(name);
    Environment {
        xdg_data_home: value("XDG_DATA_HOME"),
        home: value("HOME"),
        local_app_data: value("LOCALAPPDATA"),
    }
}

/// The folder in which the jobs folder and an apprentice's own stand side by side.
pub(super) fn data_folder() -> Result<PathBuf, Failure> {
    let jobs = jobs_folder(None, &environment()).map_err(Failure::usage)?;
    Ok(jobs.parent().map_or_else(|| jobs.clone(), Path::to_owned))
}

impl From<JournalError> for Failure {
    fn from(error: JournalError) -> Self {
        match error {
            JournalError::Damaged { .. } | JournalError::NoEvents { .. } => Self::looked(error),
            _ => Self::file(error),
        }
    }
}
