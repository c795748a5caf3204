//! Recovery: from the bytes of a journal to its events, its damage and its torn tail.
//!
//! Bytes after the last newline are the torn tail: what was being written when the power went. A
//! whole line and one byte more is none: no write stops there, so its newline was altered.
//! Every line before it either follows from the line before, or is damage. Readable are the events
//! before the first damage; nothing after it is made into an event, since a walk is a fold and a
//! fold has no gaps. Pure: it never fails, never panics, and invents nothing.

use std::fmt;

use serde::de::DeserializeOwned;

use super::line::{self, CHAIN_START, ChainHash, Head};
use super::verdict::Verdict;
use crate::walk::Moment;

/// The longest journal that is read: far beyond any walk, far below what would fill the memory.
pub const MAX_JOURNAL_BYTES: u64 = 256 * 1024 * 1024;

/// One event as it stands in the journal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Record<E> {
    /// Its number, counted from 1.
    pub seq: u64,
    /// When it happened.
    pub at: Moment,
    /// What happened.
    pub event: E,
    /// The hash of its line.
    pub hash: ChainHash,
}

/// A line that does not chain.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Damage {
    /// The line, counted from 1.
    pub line: u64,
    /// Where it begins, in bytes from the start of the file.
    pub offset: u64,
    /// How many bytes it has, its newline included.
    pub bytes: u64,
    /// What is wrong with it.
    pub kind: DamageKind,
}

/// What is wrong with a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum DamageKind {
    /// It has not the form of a line of a journal.
    NotALine,
    /// Its bytes are not those that its hash was taken of.
    Altered,
    /// It is whole, but the byte after it is not a newline.
    NoNewline,
    /// It is whole, but was not written after the line before it.
    DoesNotFollow {
        /// The number that it gives itself.
        claimed: u64,
    },
    /// It is whole and in its place, but this program does not know what it says.
    Unknown {
        /// What was not understood.
        reason: String,
    },
}

/// Bytes after the last newline.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Torn {
    /// Where they begin, in bytes from the start of the file.
    pub offset: u64,
    /// How many there are.
    pub bytes: u64,
}

/// What a journal holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Recovered<E> {
    /// The events before the first damage.
    pub records: Vec<Record<E>>,
    /// Every line that does not chain.
    pub damage: Vec<Damage>,
    /// What was being written when the power went.
    pub torn: Option<Torn>,
    /// How many lines after the first damage follow from the line before them; none is an event.
    pub stranded: u64,
    /// How many bytes were read.
    pub bytes: u64,
}

impl<E> Recovered<E> {
    /// How many bytes stand before the torn tail.
    #[must_use]
    pub fn whole_bytes(&self) -> u64 {
        self.torn.map_or(self.bytes, |torn| torn.offset)
    }

    /// The end of the readable chain.
    #[must_use]
    pub fn head(&self) -> Head {
        self.records.last().map_or(CHAIN_START, |last| Head { events: last.seq, hash: last.hash })
    }

    /// What verifying it says.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        let hashes = self.records.iter().map(|record| record.hash).collect();
        Verdict::new(hashes, self.damage.clone(), self.torn, self.stranded)
    }
}

/// Reads the bytes of a journal.
#[must_use]
pub fn recover<E: DeserializeOwned>(bytes: &[u8]) -> Recovered<E> {
    recover_by(bytes, |text| serde_json::from_str(text).map_err(|error| error.to_string()))
}

/// As [`recover`], with a reader of one's own for the text of an event; what it refuses is not known to this version.
#[must_use]
pub fn recover_by<E>(bytes: &[u8], read: impl Fn(&str) -> Result<E, String>) -> Recovered<E> {
    let whole = memchr::memrchr(b'\n', bytes).map_or(0, |at| at + 1);
    let (records, damage, bytes_read) = (Vec::new(), Vec::new(), size(bytes.len()));
    let mut found = Recovered { records, damage, torn: None, stranded: 0, bytes: bytes_read };
    let (mut after, mut offset, mut begins) = (CHAIN_START, 0, 0);
    for (ends, number) in memchr::memchr_iter(b'\n', &bytes[..whole]).zip(1..) {
        let line = &bytes[begins..=ends];
        begins = ends + 1;
        let length = size(line.len());
        match found.take(&line[..line.len() - 1], after, &read) {
            Ok(head) => after = head,
            Err(kind) => {
                found.damage.push(Damage { line: number, offset, bytes: length, kind });
                after = line::claimed_head(&line[..line.len() - 1], after);
            }
        }
        offset += length;
    }
    found.take_tail(&bytes[whole..], after, offset);
    found
}

impl<E> Recovered<E> {
    /// Takes one line, without its newline, as the next event.
    fn take(
        &mut self,
        line: &[u8],
        after: Head,
        read: impl Fn(&str) -> Result<E, String>,
    ) -> Result<Head, DamageKind> {
        let found = line::read(line, after)?;
        if self.damage.is_empty() {
            let event = read(found.event).map_err(|reason| DamageKind::Unknown { reason })?;
            let Head { events: seq, hash } = found.head;
            self.records.push(Record { seq, at: found.at, event, hash });
        } else {
            self.stranded += 1;
        }
        Ok(found.head)
    }

    /// Takes what stands after the last newline.
    fn take_tail(&mut self, tail: &[u8], after: Head, offset: u64) {
        let Some((_, line)) = tail.split_last() else { return };
        let bytes = size(tail.len());
        if line::read(line, after).is_err() {
            self.torn = Some(Torn { offset, bytes });
            return;
        }
        let number = self.records.len() + self.damage.len() + 1;
        let line = size(number) + self.stranded;
        self.damage.push(Damage { line, offset, bytes, kind: DamageKind::NoNewline });
    }
}

fn size(bytes: usize) -> u64 {
    bytes as u64
}

impl fmt::Display for Damage {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { line, offset, bytes, kind } = self;
        write!(out, "line {line}, {bytes} bytes from byte {offset}: {kind}")
    }
}

impl fmt::Display for DamageKind {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotALine => out.write_str("not a line of a journal"),
            Self::NoNewline => out.write_str("altered: a whole line, but the byte after it is not a newline"),
            Self::Altered => out.write_str("altered: its hash is not that of its bytes"),
            Self::DoesNotFollow { claimed } => {
                write!(out, "numbered {claimed}, but it was not written after the line before it")
            }
            Self::Unknown { reason } => {
                write!(out, "whole, but not known to this version of the program ({reason})")
            }
        }
    }
}

impl fmt::Display for Torn {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{} bytes from byte {}, after the last newline", self.bytes, self.offset)
    }
}
