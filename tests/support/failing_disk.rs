//! A disk in memory on which any call can fail, and on which the power can go.
//!
//! A file has what was written and what is safe: what was there at its last sync. A folder likewise
//! has names, and names that were there at its last sync. A power cut may keep any of what is not safe.

use std::collections::{BTreeMap, BTreeSet};
use std::ffi::OsString;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard};

use loomwalk::job::{Appendable, FileLayer, Holder, Lock, Start};

/// How a call fails.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Failure {
    /// It does nothing, and says so.
    Refused(ErrorKind),
    /// A write takes half of the bytes, and every write after it finds the disk full.
    Full,
    /// It does its work, and reports a failure.
    Late,
    /// The power goes before it, and nothing works any more.
    PowerBefore,
    /// The power goes just after it, before the program hears of it.
    PowerAfter,
}

/// What of the unsafe part a power cut keeps.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Kept {
    pub(crate) names: bool,
    /// Of the bytes beyond the safe ones, how many of two halves.
    pub(crate) halves: usize,
}

#[derive(Default)]
struct Contents {
    now: Vec<u8>,
    safe: Vec<u8>,
}

#[derive(Default)]
struct State {
    files: Vec<Contents>,
    names: BTreeMap<PathBuf, usize>,
    safe_names: BTreeMap<PathBuf, usize>,
    folders: BTreeSet<PathBuf>,
    safe_folders: BTreeSet<PathBuf>,
    locks: BTreeMap<PathBuf, String>,
    calls: usize,
    fails: Option<(usize, Failure)>,
    is_full: bool,
    is_dead: bool,
}

/// The disk.
#[derive(Clone, Default)]
pub(crate) struct FailingDisk(Arc<Mutex<State>>);

impl FailingDisk {
    /// A disk with these folders.
    pub(crate) fn with_folders(folders: &[&str]) -> Self {
        let disk = Self::default();
        let folders: BTreeSet<PathBuf> = folders.iter().map(PathBuf::from).collect();
        disk.state().safe_folders.clone_from(&folders);
        disk.state().folders = folders;
        disk
    }

    /// Puts a file there, safely.
    pub(crate) fn put(&self, file: &str, bytes: &[u8]) {
        let mut state = self.state();
        state.files.push(Contents { now: bytes.to_vec(), safe: bytes.to_vec() });
        let place = state.files.len() - 1;
        state.names.insert(file.into(), place);
        state.safe_names.insert(file.into(), place);
    }

    /// The bytes of a file as they are now.
    pub(crate) fn bytes(&self, file: &str) -> Option<Vec<u8>> {
        let state = self.state();
        state.names.get(Path::new(file)).map(|place| state.files[*place].now.clone())
    }

    /// Makes the call of this number, counted from 0, fail.
    pub(crate) fn fail(&self, call: usize, failure: Failure) {
        self.state().fails = Some((call, failure));
    }

    /// Nothing fails from now on, what was full has room, and whoever held a lock has ended.
    pub(crate) fn mend(&self) {
        let mut state = self.state();
        (state.fails, state.is_full, state.is_dead) = (None, false, false);
        state.locks.clear();
    }

    /// How many calls were made.
    pub(crate) fn calls(&self) -> usize {
        self.state().calls
    }

    /// The disk as it is found when the power is back; nobody holds a lock.
    pub(crate) fn after_power_cut(&self, kept: Kept) -> Self {
        let state = self.state();
        let names = if kept.names { &state.names } else { &state.safe_names };
        let folders = if kept.names { &state.folders } else { &state.safe_folders };
        let files = state.files.iter().map(|file| {
            let beyond = file.now.len().saturating_sub(file.safe.len()) * kept.halves / 2;
            let grew = file.now.starts_with(&file.safe);
            let bytes = if grew { &file.now[..file.safe.len() + beyond] } else { &file.safe[..] };
            Contents { now: bytes.to_vec(), safe: bytes.to_vec() }
        });
        Self(Arc::new(Mutex::new(State {
            files: files.collect(),
            names: names.clone(),
            safe_names: names.clone(),
            folders: folders.clone(),
            safe_folders: folders.clone(),
            ..State::default()
        })))
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.0.lock().expect("no test panics while it holds the disk")
    }

    /// Counts a call and does it, unless it is the one to fail.
    fn call<T>(&self, work: impl FnOnce(&mut State) -> io::Result<T>) -> io::Result<T> {
        let mut state = self.state();
        let number = state.calls;
        state.calls += 1;
        if state.is_dead {
            return Err(io::Error::other("the power is gone"));
        }
        match state.fails {
            Some((at, failure)) if at == number => match failure {
                Failure::Refused(kind) => Err(kind.into()),
                Failure::Full => {
                    state.is_full = true;
                    work(&mut state)
                }
                Failure::Late => {
                    let _done = work(&mut state);
                    Err(io::Error::other("input/output error"))
                }
                Failure::PowerBefore | Failure::PowerAfter => {
                    state.is_dead = true;
                    if failure == Failure::PowerAfter {
                        work(&mut state)?;
                    }
                    Err(io::Error::other("the power is gone"))
                }
            },
            _ => work(&mut state),
        }
    }
}

impl State {
    fn place(&self, file: &Path) -> io::Result<usize> {
        self.names.get(file).copied().ok_or_else(|| ErrorKind::NotFound.into())
    }
}

impl FileLayer for FailingDisk {
    fn read(&self, file: &Path, limit: u64) -> io::Result<Vec<u8>> {
        self.call(|state| {
            let bytes = &state.files[state.place(file)?].now;
            let most = usize::try_from(limit).unwrap_or(usize::MAX).saturating_add(1);
            Ok(bytes[..bytes.len().min(most)].to_vec())
        })
    }

    fn length(&self, file: &Path) -> io::Result<u64> {
        self.call(|state| {
            if state.folders.contains(file) {
                return Ok(0);
            }
            Ok(state.files[state.place(file)?].now.len() as u64)
        })
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<OsString>> {
        self.call(|state| {
            let inside = state.names.keys().filter(|name| name.parent() == Some(folder));
            Ok(inside.filter_map(|name| name.file_name()).map(ToOwned::to_owned).collect())
        })
    }

    fn make_folder(&self, folder: &Path) -> io::Result<()> {
        self.call(|state| {
            if !folder.parent().is_some_and(|above| state.folders.contains(above)) {
                return Err(ErrorKind::NotFound.into());
            }
            state.folders.insert(folder.to_owned());
            Ok(())
        })
    }

    fn open(&self, file: &Path, start: Start) -> io::Result<Box<dyn Appendable>> {
        let place = self.call(|state| match (state.place(file), start) {
            (Ok(place), Start::Empty) => {
                state.files[place].now.clear();
                Ok(place)
            }
            (Err(_), Start::Empty) if !file.parent().is_some_and(|folder| state.folders.contains(folder)) => {
                Err(ErrorKind::NotFound.into())
            }
            (Err(_), Start::Empty) => {
                state.files.push(Contents::default());
                state.names.insert(file.to_owned(), state.files.len() - 1);
                Ok(state.files.len() - 1)
            }
            (found, Start::AsItIs) => found,
        })?;
        Ok(Box::new(OpenFile { disk: self.clone(), place }))
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.call(|state| {
            let place = state.names.remove(from).ok_or(ErrorKind::NotFound)?;
            state.names.insert(to.to_owned(), place);
            Ok(())
        })
    }

    fn remove(&self, file: &Path) -> io::Result<()> {
        self.call(|state| state.names.remove(file).map(|_| ()).ok_or_else(|| ErrorKind::NotFound.into()))
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        self.call(|state| {
            let is_inside = |path: &Path| path.parent() == Some(folder);
            state.safe_names.retain(|name, _| !is_inside(name));
            let names = state.names.iter().filter(|(name, _)| is_inside(name));
            state.safe_names.extend(names.map(|(name, place)| (name.clone(), *place)));
            let folders = state.folders.iter().filter(|name| is_inside(name));
            state.safe_folders.extend(folders.cloned());
            Ok(())
        })
    }

    fn lock(&self, file: &Path, holder: &Holder) -> io::Result<Lock> {
        let disk = self.clone();
        self.call(|state| {
            if let Some(other) = state.locks.get(file) {
                return Ok(Lock::HeldBy(other.clone()));
            }
            state.locks.insert(file.to_owned(), holder.to_string());
            Ok(Lock::Taken(Box::new(OpenLock { disk, file: file.to_owned() })))
        })
    }
}

struct OpenFile {
    disk: FailingDisk,
    place: usize,
}

impl Appendable for OpenFile {
    fn append(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let place = self.place;
        let was_full = self.disk.state().is_full;
        self.disk.call(|state| {
            if was_full {
                return Err(ErrorKind::StorageFull.into());
            }
            let taken = if state.is_full { bytes.len() / 2 } else { bytes.len() };
            state.files[place].now.extend_from_slice(&bytes[..taken]);
            Ok(taken)
        })
    }

    fn sync(&mut self) -> io::Result<()> {
        let place = self.place;
        self.disk.call(|state| {
            let file = &mut state.files[place];
            file.safe.clone_from(&file.now);
            Ok(())
        })
    }
}

struct OpenLock {
    disk: FailingDisk,
    file: PathBuf,
}

impl Drop for OpenLock {
    fn drop(&mut self) {
        // A lock whose taking failed late is dropped while the disk is at work: it stays until mended.
        if let Ok(mut state) = self.disk.0.try_lock() {
            state.locks.remove(&self.file);
        }
    }
}
