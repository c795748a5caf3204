//! Where jobs lie: the jobs folder, and the files that belong to one job.
//!
//! The folder is `--jobs DIR`, else `loomwalk/jobs` in the user's data folder. The data folder is
//! `$XDG_DATA_HOME` if it is an absolute path, else `$HOME/.local/share` (XDG Base Directory
//! Specification 0.8: a relative path is invalid and is to be ignored); on Windows `%LOCALAPPDATA%`.
//! One job is one file, `NAME.job.jsonl`; `NAME.lock` beside it belongs to whoever writes it.

use std::ffi::OsString;
use std::path::{Path, PathBuf};

use super::journal::{Act, FileLayer, JournalError};
use super::name::{JobName, NameError};

/// How the file of a job ends.
pub const JOURNAL_ENDING: &str = ".job.jsonl";

/// The values of the environment that say where a user's data lies; the caller reads them.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Environment {
    /// `XDG_DATA_HOME`.
    pub xdg_data_home: Option<OsString>,
    /// `HOME`.
    pub home: Option<OsString>,
    /// `LOCALAPPDATA`.
    pub local_app_data: Option<OsString>,
}

/// Nothing says where jobs are to lie.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("no folder for jobs: neither XDG_DATA_HOME nor HOME is an absolute path; say --jobs DIR")]
pub struct NoFolder;

/// The jobs folder: the one asked for, else the one in the user's data folder.
///
/// # Errors
/// When none is asked for and the environment names no absolute folder.
pub fn jobs_folder(asked: Option<&Path>, environment: &Environment) -> Result<PathBuf, NoFolder> {
    if let Some(folder) = asked {
        return Ok(folder.to_owned());
    }
    let absolute = |value: &Option<OsString>| value.as_ref().map(PathBuf::from).filter(|p| p.is_absolute());
    let data = absolute(&environment.xdg_data_home)
        .or_else(|| absolute(&environment.local_app_data))
        .or_else(|| absolute(&environment.home).map(|home| home.join(".local").join("share")));
    Ok(data.ok_or(NoFolder)?.join("loomwalk").join("jobs"))
}

/// The file of one job, and the names of the files that stand beside it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobPlace {
    file: PathBuf,
}

impl JobPlace {
    /// The job of this name in this folder.
    #[must_use]
    pub fn named(folder: &Path, name: &JobName) -> Self {
        Self { file: folder.join(format!("{name}{JOURNAL_ENDING}")) }
    }

    /// The job in this file, wherever it lies and whatever it is called.
    #[must_use]
    pub fn at(file: &Path) -> Self {
        Self { file: file.to_owned() }
    }

    /// The journal.
    #[must_use]
    pub fn file(&self) -> &Path {
        &self.file
    }

    /// The folder that the journal stands in.
    #[must_use]
    pub fn folder(&self) -> &Path {
        match self.file.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => parent,
            _ => Path::new("."),
        }
    }

    /// What the job is called: the name of its file without the ending.
    #[must_use]
    pub fn name(&self) -> String {
        let name = self.file.file_name().unwrap_or_default().to_string_lossy();
        match name.strip_suffix(JOURNAL_ENDING) {
            Some(stem) => stem.to_owned(),
            None => self.file.file_stem().unwrap_or_default().to_string_lossy().into_owned(),
        }
    }

    /// The lock, which whoever writes the journal holds.
    #[must_use]
    pub fn lock(&self) -> PathBuf {
        self.beside("lock")
    }

    /// The new text of a journal until it is whole and takes its place.
    #[must_use]
    pub fn part(&self) -> PathBuf {
        self.beside("part")
    }

    fn beside(&self, ending: &str) -> PathBuf {
        self.folder().join(format!("{}.{ending}", self.name()))
    }
}

/// What `JOB` on the command line means: a path when it looks like one, else a name in the folder,
/// else a file that happens to be called so.
///
/// # Errors
/// When it is neither a path, nor a file, nor possible as a name.
pub fn find_job(layer: &dyn FileLayer, given: &Path, folder: &Path) -> Result<JobPlace, NameError> {
    let text = given.to_string_lossy();
    let is_path = given.components().count() != 1 || text.ends_with(".jsonl") || text.contains(['/', '\\']);
    if is_path {
        return Ok(JobPlace::at(given));
    }
    let named = JobName::new(&text).map(|name| JobPlace::named(folder, &name));
    match named {
        Ok(place) if layer.length(place.file()).is_ok() => Ok(place),
        _ if layer.length(given).is_ok() => Ok(JobPlace::at(given)),
        other => other,
    }
}

/// The jobs in a folder, in no order; a folder that is not there holds none.
///
/// # Errors
/// When the folder cannot be listed.
pub(super) fn jobs_in(layer: &dyn FileLayer, folder: &Path) -> Result<Vec<JobPlace>, JournalError> {
    let names = match layer.list(folder) {
        Err(cause) if cause.kind() == std::io::ErrorKind::NotFound => Vec::new(),
        Err(cause) => return Err(JournalError::File { file: folder.to_owned(), act: Act::List, cause }),
        Ok(names) => names,
    };
    let is_job = |name: &OsString| name.to_string_lossy().ends_with(JOURNAL_ENDING);
    Ok(names.into_iter().filter(is_job).map(|name| JobPlace::at(&folder.join(name))).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn environment(xdg: Option<&str>, home: Option<&str>) -> Environment {
        Environment { xdg_data_home: xdg.map(Into::into), home: home.map(Into::into), local_app_data: None }
    }

    // XDG Base Directory Specification 0.8: default $HOME/.local/share; relative paths are ignored.
    #[test]
    fn the_folder_follows_the_base_directory_specification() {
        let folder = |xdg, home| jobs_folder(None, &environment(xdg, home));
        assert_eq!(folder(Some("/data"), Some("/home/k")), Ok("/data/loomwalk/jobs".into()));
        assert_eq!(folder(None, Some("/home/k")), Ok("/home/k/.local/share/loomwalk/jobs".into()));
        assert_eq!(folder(Some("data"), Some("/home/k")), Ok("/home/k/.local/share/loomwalk/jobs".into()));
        assert_eq!(folder(Some(""), Some("")), Err(NoFolder));
    }

    #[test]
    fn what_is_asked_for_wins() {
        let asked = jobs_folder(Some(Path::new("here")), &environment(Some("/data"), None));
        assert_eq!(asked, Ok("here".into()));
    }

    #[test]
    fn the_files_of_a_job_stand_beside_each_other() {
        let name = JobName::new("0318").expect("a plain name");
        let place = JobPlace::named(Path::new("/jobs"), &name);
        assert_eq!(place.file(), Path::new("/jobs/0318.job.jsonl"));
        assert_eq!((place.lock(), place.part()), ("/jobs/0318.lock".into(), "/jobs/0318.part".into()));
        assert_eq!(JobPlace::at(Path::new("copy.jsonl")).folder(), Path::new("."));
        assert_eq!(JobPlace::at(Path::new("x/copy.jsonl")).name(), "copy");
    }
}
