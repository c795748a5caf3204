//! Frames as people write them down or record them.
//!
//! Bytes in hexadecimal, with or without spaces, commas or `0x`; a frame a line, or frames parted by `;`;
//! an identifier before `#`, before the byte count in
//! square brackets, or as eight digits before bytes of two, as bus recorders print it.

use super::frame::{Frame, decode_frames};
use super::{CodeError, Dm1, Dtc, Fmi, Spn};

/// A machine's own name for a code.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OwnName {
    /// The parameter it is about.
    pub spn: Spn,
    /// The failure mode it is for.
    pub fmi: Fmi,
    /// What the machine's people call it.
    pub text: String,
}

/// Decodes one DM1 message from text: its frame, or its announcement and packets, or its whole payload.
///
/// # Errors
/// A [`CodeError`] that says what is wrong with the text or the frames.
pub fn decode_text(text: &str) -> Result<Dm1, CodeError> {
    let lines = text.split(['\n', '\r', ';']).map(str::trim).filter(|line| !line.is_empty());
    let frames: Vec<Frame> = lines.map(frame).collect::<Result<_, _>>()?;
    decode_frames(&frames)
}

fn frame(line: &str) -> Result<Frame, CodeError> {
    if let Some((before, data)) = line.split_once('#') {
        return Ok(Frame { id: Some(identifier(last_word(before))?), data: bytes(data)? });
    }
    if let Some((before, data)) =
        line.split_once('[').and_then(|(b, rest)| Some((b, rest.split_once(']')?.1)))
    {
        return Ok(Frame { id: Some(identifier(last_word(before))?), data: bytes(data)? });
    }
    match line.split_once(char::is_whitespace) {
        Some((first, rest)) if is_identifier_before(first, rest) => {
            Ok(Frame { id: Some(identifier(first)?), data: bytes(rest)? })
        }
        _ => Ok(Frame { id: None, data: bytes(line)? }),
    }
}

/// Eight digits before bytes of two are an identifier; before groups of eight they are bytes themselves.
fn is_identifier_before(first: &str, rest: &str) -> bool {
    let digits = |word: &str| without_prefix(word).len();
    digits(first) == 8 && rest.split_whitespace().all(|word| digits(word) == 2)
}

fn last_word(text: &str) -> &str {
    text.split_whitespace().next_back().unwrap_or("")
}

fn identifier(text: &str) -> Result<u32, CodeError> {
    u32::from_str_radix(without_prefix(text), 16)
        .ok()
        .filter(|id| (0x800..1 << 29).contains(id))
        .ok_or_else(|| CodeError::Identifier(shown(text)))
}

fn bytes(text: &str) -> Result<Vec<u8>, CodeError> {
    let mut found = Vec::new();
    for word in text.split(|c: char| c.is_whitespace() || c == ',').filter(|w| !w.is_empty()) {
        let digits = without_prefix(word);
        if digits.is_empty() || !digits.bytes().all(|b| b.is_ascii_hexdigit()) {
            return Err(CodeError::NotHex(shown(word)));
        }
        if !digits.len().is_multiple_of(2) {
            return Err(CodeError::HalfByte(shown(word)));
        }
        for at in (0..digits.len()).step_by(2) {
            let byte = u8::from_str_radix(&digits[at..at + 2], 16);
            found.push(byte.map_err(|_| CodeError::NotHex(shown(word)))?);
        }
    }
    Ok(found)
}

fn without_prefix(word: &str) -> &str {
    word.strip_prefix("0x").or_else(|| word.strip_prefix("0X")).unwrap_or(word)
}

/// At most a short piece of what was typed, harmless on a terminal.
fn shown(text: &str) -> String {
    text.chars().take(24).flat_map(char::escape_default).collect()
}

impl Dtc {
    /// What the code means: the machine's own name if it has one, else what the controller saw.
    #[must_use]
    pub fn meaning(&self, names: &[OwnName]) -> String {
        let own = names.iter().find(|own| self.spn.sure() == Some(own.spn) && own.fmi == self.fmi);
        match own {
            Some(own) => own.text.clone(),
            None => self.fmi.meaning().to_owned(),
        }
    }
}

impl Dm1 {
    /// Whether the controller says that nothing is wrong now.
    #[must_use]
    pub fn is_clear(&self) -> bool {
        self.dtcs.is_empty()
    }
}
