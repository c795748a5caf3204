//! What can go wrong with the file behind a job, said with the file, the reason and what to do.

use std::fmt;
use std::io::{self, ErrorKind};
use std::path::PathBuf;

use super::recover::{Damage, MAX_JOURNAL_BYTES};

/// Why a journal cannot be begun, read, gone on with or written.
#[derive(Debug, thiserror::Error)]
pub enum JournalError {
    /// A call to the disk failed.
    #[error("{}: cannot {act}: {cause}; {}", file.display(), remedy(*act, cause))]
    File {
        /// The file, or the folder.
        file: PathBuf,
        /// What was tried.
        act: Act,
        /// What the system said.
        cause: io::Error,
    },
    /// Another program writes this job.
    #[error("{}: held by {holder}; one program at a time writes a job: close the other one", file.display())]
    Held {
        /// The lock.
        file: PathBuf,
        /// What the holder said of itself.
        holder: String,
    },
    /// A new job would take the name of another.
    #[error("{}: this job is there already; go on with it by --resume, or give another --job NAME", file.display())]
    Exists {
        /// The journal.
        file: PathBuf,
    },
    /// There is no such job.
    #[error("{}: there is no such job; `loomwalk job list` says what there is", file.display())]
    Missing {
        /// Where the journal was looked for.
        file: PathBuf,
    },
    /// Nothing in the file can be read as an event.
    #[error("{}: not one whole event is in it, so there is nothing to go on with", file.display())]
    NoEvents {
        /// The journal.
        file: PathBuf,
    },
    /// The journal is damaged: it opens for viewing and reporting only.
    #[error("{}: damaged at {damage}; nothing is added to a damaged job, it opens for viewing and reporting", file.display())]
    Damaged {
        /// The journal.
        file: PathBuf,
        /// The first damage.
        damage: Damage,
    },
    /// Another program has changed the file during the walk.
    #[error("{}: another program changed it: {expected} bytes were written, {found} are there; see what it did with `loomwalk job verify`", file.display())]
    Changed {
        /// The journal.
        file: PathBuf,
        /// How long it was left.
        expected: u64,
        /// How long it is.
        found: u64,
    },
    /// An earlier write failed; everything before it is safe.
    #[error("{}: closed after a failed write; go on with --resume", file.display())]
    Stopped {
        /// The journal.
        file: PathBuf,
    },
    /// The file is longer than any journal.
    #[error("{}: longer than {MAX_JOURNAL_BYTES} bytes, which no job is", file.display())]
    TooLong {
        /// The file.
        file: PathBuf,
    },
    /// The event has no form in JSON.
    #[error("{}: the event cannot be written: {reason}", file.display())]
    Event {
        /// The journal.
        file: PathBuf,
        /// What could not be written.
        reason: String,
    },
}

/// What was tried with a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Act {
    /// Read it.
    Read,
    /// List a folder.
    List,
    /// Make a folder.
    MakeFolder,
    /// Take the lock.
    Lock,
    /// See whether there is room for a walk.
    TryRoom,
    /// Begin a job, or put a journal without its torn tail in place of the old one.
    Begin,
    /// Open it.
    Open,
    /// Append an event.
    Write,
    /// Wait until it is on the disk.
    Sync,
}

impl fmt::Display for Act {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::Read => "read it",
            Self::List => "list the folder",
            Self::MakeFolder => "make the folder",
            Self::Lock => "lock it",
            Self::TryRoom => "write beside it",
            Self::Begin => "make the file",
            Self::Open => "open it",
            Self::Write => "write the step",
            Self::Sync => "make sure that the step is on the disk",
        })
    }
}

/// What the mechanic can do about it.
fn remedy(act: Act, cause: &io::Error) -> &'static str {
    let is_under_way = matches!(act, Act::Write | Act::Sync);
    match cause.kind() {
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded | ErrorKind::FileTooLarge if is_under_way => {
            "every step before this one is safe: make room on the disk, then go on with --resume"
        }
        _ if is_under_way => "every step before this one is safe: see to the disk, then go on with --resume",
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded => {
            "make room on the disk, or keep jobs on another one with --jobs DIR"
        }
        ErrorKind::NotFound => "see that the path is right",
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem if act != Act::Read => {
            "keep jobs in a folder that you may write, with --jobs DIR"
        }
        ErrorKind::PermissionDenied => "see who may read it",
        ErrorKind::IsADirectory => "give the file of a job, not a folder",
        ErrorKind::InvalidInput => "take it away, or give the file of a job",
        ErrorKind::NotADirectory => "a file stands where a folder is needed",
        _ if act == Act::Read => "see to the disk",
        _ => "see to the disk, or keep jobs on another one with --jobs DIR",
    }
}

/// Names the file and the act for a failed call.
pub(super) fn failed(file: &std::path::Path, act: Act) -> impl FnOnce(io::Error) -> JournalError {
    let file = file.to_owned();
    move |cause| JournalError::File { file, act, cause }
}
