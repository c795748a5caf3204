//! One line of a journal, and the chain that the lines form.
//!
//! ```text
//! {"seq":N,"at":"RFC 3339","ms":N,"prev":"64 hex","event":…,"hash":"64 hex"}⏎
//! ```
//!
//! The byte rule: `hash` is the BLAKE3 hash of every byte of the line before `,"hash":`, as written.
//! What follows these bytes has one form only: `,"hash":"`, 64 lower-case digits, `"}` and one
//! newline. `prev` is the hash of the line before, and 64 zeros on the first; `seq` counts from 1. So
//! there is no byte in the file that could be another one without being told.

use std::fmt;
use std::str::FromStr;

use serde::Serialize;

use super::moment;
use super::recover::DamageKind;
use crate::walk::Moment;

const HASH_KEY: &str = ",\"hash\":\"";
const HEX_DIGITS: usize = 64;
const ENDING: usize = HASH_KEY.len() + HEX_DIGITS + 2;

/// What each byte is worth as a hexadecimal digit; 255 for what is none. A folder of ten thousand jobs has some
/// hundred million of them.
const DIGITS: [u8; 256] = {
    let mut digits = [u8::MAX; 256];
    let mut value = 0;
    while value < 16 {
        digits[b"0123456789abcdef"[value as usize] as usize] = value;
        value += 1;
    }
    digits
};

/// The head of a journal without events: what the first line names as the one before it.
pub const CHAIN_START: Head = Head { events: 0, hash: ChainHash([0; 32]) };

/// A BLAKE3 hash, written as 64 lower-case hexadecimal digits.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct ChainHash([u8; 32]);

/// A text is not 64 lower-case hexadecimal digits.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("a head is 64 digits 0-9 a-f; {given:?} is not")]
pub struct NotAHash {
    given: String,
}

/// The end of a chain: how many events there are, and the hash of the last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Head {
    /// How many events there are.
    pub events: u64,
    /// The hash of the last one.
    pub hash: ChainHash,
}

/// A line that is whole and follows the one before; the event is still text.
#[derive(Debug)]
pub(super) struct Link<'a> {
    pub(super) head: Head,
    pub(super) at: Moment,
    pub(super) event: &'a str,
}

impl Head {
    /// The head as a report prints it, to be given back to `job verify --head`: `37:9f3a…`.
    #[must_use]
    pub fn printed(&self) -> String {
        format!("{}:{}", self.events, self.hash)
    }
}

impl ChainHash {
    /// The hash of these bytes.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        Self(*blake3::hash(bytes).as_bytes())
    }
}

impl FromStr for ChainHash {
    type Err = NotAHash;

    fn from_str(text: &str) -> Result<Self, NotAHash> {
        let wrong = || NotAHash { given: text.chars().take(80).collect() };
        let (pairs, rest) = text.as_bytes().as_chunks::<2>();
        if pairs.len() != 32 || !rest.is_empty() {
            return Err(wrong());
        }
        let mut hash = [0; 32];
        let mut seen = 0;
        for (byte, [high, low]) in hash.iter_mut().zip(pairs) {
            let (high, low) = (DIGITS[usize::from(*high)], DIGITS[usize::from(*low)]);
            seen |= high | low;
            *byte = (high << 4) | (low & 0xf);
        }
        if seen < 16 { Ok(Self(hash)) } else { Err(wrong()) }
    }
}

impl fmt::Display for ChainHash {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(out, "{byte:02x}"))
    }
}

impl fmt::Debug for ChainHash {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, out)
    }
}

impl fmt::Display for Head {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let noun = if self.events == 1 { "event" } else { "events" };
        write!(out, "{} {noun}, head {}", self.events, self.hash)
    }
}

/// Why an event cannot be written as a line.
#[derive(Debug, thiserror::Error)]
pub(super) enum NotWritten {
    #[error("the clock shows {} ms since 1970 and an offset of {} min, which no calendar has", .0.wall_ms, .0.offset_min)]
    Moment(Moment),
    #[error("{0}")]
    Json(#[from] serde_json::Error),
}

/// Writes the line that follows `after`, newline and all, and says what the head is then.
pub(super) fn write<E: Serialize>(after: Head, at: Moment, event: &E) -> Result<(String, Head), NotWritten> {
    let event = serde_json::to_string(event)?;
    let (events, ms) = (after.events + 1, at.mono_ms);
    let at = moment::written(at).ok_or(NotWritten::Moment(at))?;
    let prev = after.hash;
    let mut line = format!(r#"{{"seq":{events},"at":"{at}","ms":{ms},"prev":"{prev}","event":{event}"#);
    let hash = ChainHash::of(line.as_bytes());
    line.push_str(HASH_KEY);
    line.push_str(&hash.to_string());
    line.push_str("\"}\n");
    Ok((line, Head { events, hash }))
}

/// Where the chain stands after a damaged line, by what it says of itself: lines after it may still
/// follow from that. What says nothing is passed over.
pub(super) fn claimed_head(line: &[u8], before: Head) -> Head {
    let Some(hash) = claimed_hash(line) else { return before };
    let text = String::from_utf8_lossy(line);
    let number = text.strip_prefix("{\"seq\":").and_then(|rest| whole_number(rest.split_once(',')?.0));
    Head { events: number.unwrap_or(before.events.saturating_add(1)), hash }
}

/// The hash that a line claims for itself, if it ends as a line must.
fn claimed_hash(line: &[u8]) -> Option<ChainHash> {
    let (_, ending) = line.split_at_checked(line.len().checked_sub(ENDING)?)?;
    let text = std::str::from_utf8(ending).ok()?;
    text.strip_prefix(HASH_KEY)?.strip_suffix("\"}")?.parse().ok()
}

/// Reads a line, without its newline, that must follow `after`.
pub(super) fn read(line: &[u8], after: Head) -> Result<Link<'_>, DamageKind> {
    let hash = claimed_hash(line).ok_or(DamageKind::NotALine)?;
    let hashed = &line[..line.len() - ENDING];
    if ChainHash::of(hashed) != hash {
        return Err(DamageKind::Altered);
    }
    let text = std::str::from_utf8(hashed).map_err(|_| DamageKind::NotALine)?;
    let (before, rest) = text.split_once(",\"event\":").ok_or(DamageKind::NotALine)?;
    let fields = read_fields(before).ok_or(DamageKind::NotALine)?;
    if fields.prev != after.hash || Some(fields.seq) != after.events.checked_add(1) {
        return Err(DamageKind::DoesNotFollow { claimed: fields.seq });
    }
    Ok(Link { head: Head { events: fields.seq, hash }, at: fields.at, event: rest })
}

struct Fields {
    seq: u64,
    at: Moment,
    prev: ChainHash,
}

/// Reads `{"seq":N,"at":"…","ms":N,"prev":"…"`, in this order and no other.
fn read_fields(text: &str) -> Option<Fields> {
    let (seq, rest) = text.strip_prefix("{\"seq\":")?.split_once(",\"at\":\"")?;
    let (at, rest) = rest.split_once("\",\"ms\":")?;
    let (ms, rest) = rest.split_once(",\"prev\":\"")?;
    let prev = rest.strip_suffix('"')?.parse().ok()?;
    Some(Fields { seq: whole_number(seq)?, at: moment::read(at, whole_number(ms)?)?, prev })
}

/// A number in the one form that is written: digits only, no zero before others.
fn whole_number(text: &str) -> Option<u64> {
    let is_plain = text.bytes().all(|byte| byte.is_ascii_digit()) && (text == "0" || !text.starts_with('0'));
    if is_plain { text.parse().ok() } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;

    // The BLAKE3 hash of no bytes, from the test vectors published with the BLAKE3 specification.
    const OF_NOTHING: &str = "af1349b9f5f9a1a6a0404dea36dcc9499bcb25c9adc112b7cc9a93cae41f3262";

    #[test]
    fn the_hash_is_blake3() {
        assert_eq!(ChainHash::of(b"").to_string(), OF_NOTHING);
        assert_eq!(OF_NOTHING.parse(), Ok(ChainHash::of(b"")));
    }

    #[test]
    fn a_hash_has_one_spelling() {
        for text in ["", "af", &OF_NOTHING.to_uppercase(), &OF_NOTHING[1..], &format!("{OF_NOTHING}0")] {
            assert!(text.parse::<ChainHash>().is_err(), "{text}");
        }
    }

    #[test]
    fn what_is_written_is_read() {
        let at = Moment { wall_ms: 1_772_433_600_000, offset_min: 60, mono_ms: 5 };
        let (line, head) = write(CHAIN_START, at, &"a,\"event\":b").expect("text is JSON");
        assert!(line.starts_with(r#"{"seq":1,"at":"2026-03-02T07:40:00.000+01:00","ms":5,"prev":"000"#));
        let found = read(line.trim_end_matches('\n').as_bytes(), CHAIN_START).expect("a whole line");
        assert_eq!((found.head, found.at), (head, at));
        assert_eq!(found.event, r#""a,\"event\":b""#);
    }
}
