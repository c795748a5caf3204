//! An apprentice's own shelf: a folder with the logs of practice and one line a sitting of what was practised.
//!
//! It is not the jobs folder, and no listing looks into it. To hand a log on, its file is copied.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use super::journal::{Act, JournalError};
use super::name::JobName;
use super::place::JobPlace;

/// The file of what was practised.
const PRACTISED: &str = "practised.jsonl";
/// More than this of it is not read: some hundred thousand sittings.
const MOST: u64 = 32 << 20;

/// A folder of an apprentice's own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shelf {
    folder: PathBuf,
}

impl Shelf {
    /// The shelf in a folder, which need not be there yet.
    #[must_use]
    pub fn new(folder: &Path) -> Self {
        Self { folder: folder.to_owned() }
    }

    /// Where the log of the next sitting goes: by day and tree, with a number where there are several.
    ///
    /// # Errors
    /// When a tree's name can be no file's, or a thousand sittings stand there on one day.
    pub fn next(&self, day: &str, tree: &str) -> Result<JobPlace, JournalError> {
        let cannot = |why: &str| JournalError::File {
            file: self.folder.join(tree),
            act: Act::Write,
            cause: std::io::Error::other(why.to_owned()),
        };
        for nth in 1..1000 {
            let suffix = if nth == 1 { String::new() } else { format!("-{nth}") };
            let name: JobName = format!("{day}-{tree}{suffix}")
                .parse()
                .map_err(|_| cannot("the tree's name can be no file's"))?;
            let place = JobPlace::named(&self.folder, &name);
            if !place.file().exists() {
                return Ok(place);
            }
        }
        Err(cannot("a thousand sittings on one day"))
    }

    /// What was practised; nothing where nothing was.
    ///
    /// # Errors
    /// When it is there and cannot be read.
    pub fn read(&self) -> Result<String, JournalError> {
        let file = self.folder.join(PRACTISED);
        let told = |cause| JournalError::File { file: file.clone(), act: Act::Read, cause };
        match fs::metadata(&file) {
            Err(cause) if cause.kind() == std::io::ErrorKind::NotFound => return Ok(String::new()),
            Err(cause) => return Err(told(cause)),
            Ok(found) if !found.is_file() => {
                return Err(told(std::io::Error::new(
                    std::io::ErrorKind::InvalidInput,
                    "it is no ordinary file",
                )));
            }
            Ok(found) if found.len() > MOST => return Err(JournalError::TooLong { file }),
            Ok(_) => {}
        }
        fs::read(&file).map(|bytes| String::from_utf8_lossy(&bytes).into_owned()).map_err(told)
    }

    /// Adds a line to what was practised.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn append(&self, line: &str) -> Result<(), JournalError> {
        let file = self.folder.join(PRACTISED);
        let write = || {
            fs::create_dir_all(&self.folder)?;
            let mut open = fs::OpenOptions::new().create(true).append(true).open(&file)?;
            open.write_all(format!("{line}\n").as_bytes())?;
            open.sync_data()
        };
        write().map_err(|cause| JournalError::File { file: file.clone(), act: Act::Write, cause })
    }
}
