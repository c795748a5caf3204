//! Writing a journal: hold it, begin it or go on with it, append to it.
//!
//! A new journal, and one that loses its torn tail, is written whole beside its place, synced, and
//! renamed into it: at every moment the file holds either all of the old or all of the new. After
//! that there is only appending: one line, synced, then acknowledged. After a failed call nothing
//! more is written, and nothing is undone: what the disk holds then is for recovery to say.

use std::io::{self, ErrorKind};
use std::marker::PhantomData;
use std::path::Path;

use serde::Serialize;
use serde::de::DeserializeOwned;

use super::super::place::JobPlace;
use super::fault::{Act, JournalError, failed};
use super::layer::{Appendable, FileLayer, Holder, Lock, Start};
use super::line::{self, CHAIN_START, Head};
use super::recover::{MAX_JOURNAL_BYTES, Recovered, recover, recover_by};
use crate::walk::Moment;

/// Room that must be there before a walk starts: more than the events of a long one.
static ROOM: [u8; 256 * 1024] = [b' '; 256 * 1024];

/// Reads the journal of a job, without its lock: for viewing, verifying and reporting.
///
/// # Errors
/// When the file cannot be read or is too long; damage is data.
pub fn read_journal<E: DeserializeOwned>(
    layer: &dyn FileLayer,
    place: &JobPlace,
) -> Result<Recovered<E>, JournalError> {
    read_bytes(layer, place.file()).map(|bytes| recover(&bytes))
}

/// As [`read_journal`], with a reader of one's own for the text of an event.
///
/// # Errors
/// As [`read_journal`].
pub fn read_journal_by<E>(
    layer: &dyn FileLayer,
    place: &JobPlace,
    read: impl Fn(&str) -> Result<E, String>,
) -> Result<Recovered<E>, JournalError> {
    read_bytes(layer, place.file()).map(|bytes| recover_by(&bytes, read))
}

/// A job that no other program can write while this lives.
pub struct Held<'a> {
    layer: &'a dyn FileLayer,
    place: JobPlace,
    lock: Box<dyn Send>,
}

impl<'a> Held<'a> {
    /// Takes the name of a new job: makes the folder, takes the lock, and tries that there is room.
    ///
    /// # Errors
    /// When the name is taken or held, or the folder cannot be written.
    pub fn new_job(
        layer: &'a dyn FileLayer,
        place: &JobPlace,
        holder: &Holder,
    ) -> Result<Self, JournalError> {
        make_folders(layer, place.folder())?;
        let held = Self::lock(layer, place, holder)?;
        if held.is_there()? {
            return Err(JournalError::Exists { file: place.file().to_owned() });
        }
        held.try_room()?;
        Ok(held)
    }

    /// Takes a job that is there, in order to go on with it.
    ///
    /// # Errors
    /// When it is not there or held, or the folder cannot be written.
    pub fn open_job(
        layer: &'a dyn FileLayer,
        place: &JobPlace,
        holder: &Holder,
    ) -> Result<Self, JournalError> {
        match layer.length(place.file()) {
            Err(cause) if cause.kind() == ErrorKind::NotFound => {
                return Err(JournalError::Missing { file: place.file().to_owned() });
            }
            outcome => outcome.map_err(failed(place.file(), Act::Read))?,
        };
        let held = Self::lock(layer, place, holder)?;
        held.try_room()?;
        Ok(held)
    }

    /// Reads the journal.
    ///
    /// # Errors
    /// When the file cannot be read; damage is data.
    pub fn recover<E: DeserializeOwned>(&self) -> Result<Recovered<E>, JournalError> {
        read_journal(self.layer, &self.place)
    }

    /// Begins the job with its first event; when this returns, both the file and its name last.
    ///
    /// # Errors
    /// When the file cannot be made.
    pub fn begin<E: Serialize>(self, at: Moment, first: &E) -> Result<Journal<'a, E>, JournalError> {
        let (line, head) = self.line(CHAIN_START, at, first)?;
        self.put_in_place(line.as_bytes())?;
        self.into_journal(head, line.len() as u64)
    }

    /// Goes on with a job after what was recovered, with the event that says so as the first. A torn
    /// tail is cut in the same step in which that event is written, and nothing else ever is.
    ///
    /// # Errors
    /// When the journal is damaged or holds no event, when the file was changed since it was read, or
    /// when the event cannot be written.
    pub fn go_on<E: Serialize>(
        self,
        found: &Recovered<E>,
        at: Moment,
        event: &E,
    ) -> Result<Journal<'a, E>, JournalError> {
        let file = || self.place.file().to_owned();
        if let Some(damage) = found.damage.first() {
            return Err(JournalError::Damaged { file: file(), damage: damage.clone() });
        }
        if found.records.is_empty() {
            return Err(JournalError::NoEvents { file: file() });
        }
        if found.torn.is_some() {
            return self.cut_and_go_on(found, at, event);
        }
        let mut journal = self.into_journal(found.head(), found.bytes)?;
        journal.append(at, event)?;
        Ok(journal)
    }

    fn cut_and_go_on<E: Serialize>(
        self,
        found: &Recovered<E>,
        at: Moment,
        event: &E,
    ) -> Result<Journal<'a, E>, JournalError> {
        let mut bytes = read_bytes(self.layer, self.place.file())?;
        same_length(self.place.file(), found.bytes, bytes.len() as u64)?;
        bytes.truncate(usize::try_from(found.whole_bytes()).unwrap_or(usize::MAX));
        let (line, head) = self.line(found.head(), at, event)?;
        bytes.extend_from_slice(line.as_bytes());
        self.put_in_place(&bytes)?;
        self.into_journal(head, bytes.len() as u64)
    }

    fn lock(layer: &'a dyn FileLayer, place: &JobPlace, holder: &Holder) -> Result<Self, JournalError> {
        let file = place.lock();
        match layer.lock(&file, holder).map_err(failed(&file, Act::Lock))? {
            Lock::Taken(lock) => Ok(Self { layer, place: place.clone(), lock }),
            Lock::HeldBy(holder) => Err(JournalError::Held { file, holder }),
        }
    }

    fn is_there(&self) -> Result<bool, JournalError> {
        match self.layer.length(self.place.file()) {
            Ok(_) => Ok(true),
            Err(cause) if cause.kind() == ErrorKind::NotFound => Ok(false),
            Err(cause) => Err(failed(self.place.file(), Act::Read)(cause)),
        }
    }

    /// Writes as much beside the journal as a long walk would, and removes it again.
    fn try_room(&self) -> Result<(), JournalError> {
        let outcome = self.write_part(&ROOM);
        let removed = self.layer.remove(&self.place.part());
        outcome.and(removed).map_err(failed(self.place.file(), Act::TryRoom))
    }

    fn line<E: Serialize>(&self, after: Head, at: Moment, event: &E) -> Result<(String, Head), JournalError> {
        line::write(after, at, event).map_err(|error| not_written(self.place.file(), &error))
    }

    /// Makes these bytes the whole journal, in one step.
    fn put_in_place(&self, bytes: &[u8]) -> Result<(), JournalError> {
        let (part, file) = (self.place.part(), self.place.file());
        let outcome = self.write_part(bytes).and_then(|()| self.layer.rename(&part, file));
        if outcome.is_err() {
            // What is left of it is overwritten by the next try; the first failure is the one to tell.
            let _ = self.layer.remove(&part);
        }
        outcome.and_then(|()| self.layer.sync_folder(self.place.folder())).map_err(failed(file, Act::Begin))
    }

    fn write_part(&self, bytes: &[u8]) -> io::Result<()> {
        let mut part = self.layer.open(&self.place.part(), Start::Empty)?;
        append_all(part.as_mut(), bytes)?;
        part.sync()
    }

    fn into_journal<E>(self, head: Head, length: u64) -> Result<Journal<'a, E>, JournalError> {
        let Self { layer, place, lock } = self;
        let file = layer.open(place.file(), Start::AsItIs).map_err(failed(place.file(), Act::Open))?;
        Ok(Journal { layer, place, file, head, length, state: State::Open, event: PhantomData, _lock: lock })
    }
}

/// A journal that is being written; its lock goes with it.
pub struct Journal<'a, E> {
    layer: &'a dyn FileLayer,
    place: JobPlace,
    file: Box<dyn Appendable>,
    head: Head,
    length: u64,
    state: State,
    event: PhantomData<fn(&E)>,
    _lock: Box<dyn Send>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum State {
    Open,
    Stopped,
}

impl<E: Serialize> Journal<'_, E> {
    /// Appends an event; when this returns, it is on the disk.
    ///
    /// # Errors
    /// When it could not be written or synced, or another program changed the file: then this journal
    /// is closed, and everything appended before is safe.
    pub fn append(&mut self, at: Moment, event: &E) -> Result<Head, JournalError> {
        let file = self.place.file();
        if self.state == State::Stopped {
            return Err(JournalError::Stopped { file: file.to_owned() });
        }
        let (line, head) = line::write(self.head, at, event).map_err(|error| not_written(file, &error))?;
        self.state = State::Stopped;
        let found = self.layer.length(file).map_err(failed(file, Act::Write))?;
        same_length(file, self.length, found)?;
        append_all(self.file.as_mut(), line.as_bytes()).map_err(failed(file, Act::Write))?;
        self.file.sync().map_err(failed(file, Act::Sync))?;
        (self.head, self.length, self.state) = (head, self.length + line.len() as u64, State::Open);
        Ok(head)
    }
}

impl<E> Journal<'_, E> {
    /// The number of events, and the hash of the last.
    #[must_use]
    pub fn head(&self) -> Head {
        self.head
    }

    /// Where the journal lies.
    #[must_use]
    pub fn place(&self) -> &JobPlace {
        &self.place
    }
}

fn read_bytes(layer: &dyn FileLayer, file: &Path) -> Result<Vec<u8>, JournalError> {
    let bytes = match layer.read(file, MAX_JOURNAL_BYTES) {
        Err(cause) if cause.kind() == ErrorKind::NotFound => {
            return Err(JournalError::Missing { file: file.to_owned() });
        }
        outcome => outcome.map_err(failed(file, Act::Read))?,
    };
    if bytes.len() as u64 > MAX_JOURNAL_BYTES {
        return Err(JournalError::TooLong { file: file.to_owned() });
    }
    Ok(bytes)
}

/// Makes the folder and those above it, each of them to last.
fn make_folders(layer: &dyn FileLayer, folder: &Path) -> Result<(), JournalError> {
    let mut missing: Vec<&Path> = Vec::new();
    for path in folder.ancestors().filter(|path| !path.as_os_str().is_empty()) {
        match layer.length(path) {
            Err(cause) if cause.kind() == ErrorKind::NotFound => missing.push(path),
            outcome => {
                outcome.map_err(failed(path, Act::Open))?;
                break;
            }
        }
    }
    for new in missing.into_iter().rev() {
        match layer.make_folder(new) {
            Err(cause) if cause.kind() != ErrorKind::AlreadyExists => {
                return Err(failed(new, Act::MakeFolder)(cause));
            }
            _ => {}
        }
        let above = new.parent().filter(|path| !path.as_os_str().is_empty()).unwrap_or(Path::new("."));
        layer.sync_folder(above).map_err(failed(new, Act::MakeFolder))?;
    }
    Ok(())
}

fn append_all(file: &mut dyn Appendable, mut bytes: &[u8]) -> io::Result<()> {
    while !bytes.is_empty() {
        match file.append(bytes) {
            Ok(0) => return Err(ErrorKind::WriteZero.into()),
            Ok(taken) => bytes = bytes.get(taken..).unwrap_or_default(),
            Err(cause) if cause.kind() == ErrorKind::Interrupted => {}
            Err(cause) => return Err(cause),
        }
    }
    Ok(())
}

fn same_length(file: &Path, expected: u64, found: u64) -> Result<(), JournalError> {
    if expected == found {
        return Ok(());
    }
    Err(JournalError::Changed { file: file.to_owned(), expected, found })
}

fn not_written(file: &Path, error: &line::NotWritten) -> JournalError {
    JournalError::Event { file: file.to_owned(), reason: error.to_string() }
}
