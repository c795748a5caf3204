//! The file layer: every call that a journal makes to a disk, as a trait.
//!
//! The journal is built on these calls and on nothing else, so that a test can put a disk under it
//! on which every call fails in turn, or on which the power goes.

use std::ffi::OsString;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use super::platform;
use crate::walk::Moment;

/// The calls that a journal makes to a disk.
pub trait FileLayer: Sync {
    /// Reads a file; of one longer than `limit` bytes, `limit + 1` bytes.
    ///
    /// # Errors
    /// As the system says.
    fn read(&self, file: &Path, limit: u64) -> io::Result<Vec<u8>>;

    /// The length of a file in bytes; for a folder, that it is there.
    ///
    /// # Errors
    /// As the system says, `NotFound` when it is not there.
    fn length(&self, file: &Path) -> io::Result<u64>;

    /// The names in a folder, in no order.
    ///
    /// # Errors
    /// As the system says.
    fn list(&self, folder: &Path) -> io::Result<Vec<OsString>>;

    /// Makes one folder; its parent is there.
    ///
    /// # Errors
    /// As the system says.
    fn make_folder(&self, folder: &Path) -> io::Result<()>;

    /// Opens a file for appending: an empty one, whatever stood there before, or the one there is.
    ///
    /// # Errors
    /// As the system says.
    fn open(&self, file: &Path, start: Start) -> io::Result<Box<dyn Appendable>>;

    /// Gives a file another name in the same folder, in one step; a file of that name goes.
    ///
    /// # Errors
    /// As the system says.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;

    /// Removes a file.
    ///
    /// # Errors
    /// As the system says.
    fn remove(&self, file: &Path) -> io::Result<()>;

    /// Makes the names in a folder last through a power cut, where the system can.
    ///
    /// # Errors
    /// As the system says.
    fn sync_folder(&self, folder: &Path) -> io::Result<()>;

    /// Takes the lock at this path for as long as what is returned lives.
    ///
    /// # Errors
    /// As the system says; that another one holds it is no error.
    fn lock(&self, file: &Path, holder: &Holder) -> io::Result<Lock>;
}

/// Whether a file is opened empty or as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Start {
    /// Empty: made if it is not there, cut to nothing if it is.
    Empty,
    /// As it is; it must be there.
    AsItIs,
}

/// A file open for appending.
pub trait Appendable: Send {
    /// Appends bytes, and says how many were taken.
    ///
    /// # Errors
    /// As the system says.
    fn append(&mut self, bytes: &[u8]) -> io::Result<usize>;

    /// Waits until everything appended is on the disk.
    ///
    /// # Errors
    /// As the system says.
    fn sync(&mut self) -> io::Result<()>;
}

/// What came of taking a lock.
pub enum Lock {
    /// It is ours until this is dropped.
    Taken(Box<dyn Send>),
    /// Another program holds it, and says this of itself.
    HeldBy(String),
}

/// Who holds a lock: what the second program is told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Holder {
    /// The number of the process.
    pub process: u32,
    /// The computer, where it is known.
    pub host: Option<String>,
    /// Since when.
    pub since: Moment,
}

impl std::fmt::Display for Holder {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "process {}", self.process)?;
        if let Some(host) = &self.host {
            write!(out, " on {host}")?;
        }
        write!(out, " since {}", self.since)
    }
}

/// The disk of this computer.
#[derive(Debug, Clone, Copy, Default)]
pub struct Disk;

impl FileLayer for Disk {
    fn read(&self, file: &Path, limit: u64) -> io::Result<Vec<u8>> {
        ordinary(&fs::metadata(file)?)?;
        let file = File::open(file)?;
        let length = file.metadata()?.len().min(limit).saturating_add(1);
        let mut bytes = Vec::with_capacity(usize::try_from(length).unwrap_or_default());
        file.take(limit.saturating_add(1)).read_to_end(&mut bytes)?;
        Ok(bytes)
    }

    fn length(&self, file: &Path) -> io::Result<u64> {
        fs::metadata(file).map(|facts| facts.len())
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<OsString>> {
        fs::read_dir(folder)?.map(|entry| Ok(entry?.file_name())).collect()
    }

    fn make_folder(&self, folder: &Path) -> io::Result<()> {
        fs::create_dir(folder)
    }

    fn open(&self, file: &Path, start: Start) -> io::Result<Box<dyn Appendable>> {
        let mut options = OpenOptions::new();
        options.append(true);
        if start == Start::Empty {
            // A link of that name, which a folder from somebody else may hold, is taken away and never followed.
            match fs::remove_file(file) {
                Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
                _ => options.create_new(true),
            };
        } else {
            ordinary(&fs::metadata(file)?)?;
        }
        Ok(Box::new(DiskFile(options.open(file)?)))
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }

    fn remove(&self, file: &Path) -> io::Result<()> {
        fs::remove_file(file)
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        platform::sync_folder(folder)
    }

    fn lock(&self, file: &Path, holder: &Holder) -> io::Result<Lock> {
        let name = platform::holder_file(file);
        // The holder's name is written there: not through a link into somebody's file.
        for beside in [file, &name] {
            match fs::symlink_metadata(beside) {
                Err(error) if error.kind() == io::ErrorKind::NotFound => {}
                found => ordinary(&found?)?,
            }
        }
        let lock = OpenOptions::new().create(true).truncate(false).write(true).open(file)?;
        match lock.try_lock() {
            Ok(()) => {
                // The lock holds without the name: on a full disk the walk is stopped by the journal.
                let _ = fs::write(&name, holder.to_string());
                Ok(Lock::Taken(Box::new(DiskLock { _file: lock, name })))
            }
            Err(TryLockError::WouldBlock) => Ok(Lock::HeldBy(told_by(&name))),
            Err(TryLockError::Error(error)) => Err(error),
        }
    }
}

/// Nothing is read from or written to what is neither a file nor a folder: a pipe would be waited for without end.
fn ordinary(found: &fs::Metadata) -> io::Result<()> {
    if found.is_file() || found.is_dir() {
        return Ok(());
    }
    let what = if found.is_symlink() { "it is a link" } else { "it is no ordinary file" };
    Err(io::Error::new(io::ErrorKind::InvalidInput, what))
}

struct DiskFile(File);

impl Appendable for DiskFile {
    fn append(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.write(bytes)
    }

    fn sync(&mut self) -> io::Result<()> {
        self.0.sync_data()
    }
}

/// The lock stays in its folder, without a name: removing it would let two programs lock two files.
struct DiskLock {
    _file: File,
    name: PathBuf,
}

impl Drop for DiskLock {
    fn drop(&mut self) {
        let _ = fs::write(&self.name, "");
    }
}

/// What the holder left, as one short printable line: the file may be anybody's.
fn told_by(name: &Path) -> String {
    let mut bytes = Vec::new();
    let read = File::open(name).and_then(|file| file.take(200).read_to_end(&mut bytes));
    let text = String::from_utf8_lossy(&bytes);
    let line: String = text.chars().filter(|c| !c.is_control()).collect();
    if read.is_err() || line.trim().is_empty() { "another program".to_owned() } else { line }
}
