//! The payload of DM1, active trouble codes (SAE J1939-73, parameter group 65226).
//!
//! Byte 1: four lamps, two bits each, malfunction indicator in the highest. Byte 2: how they flash. Then
//! four bytes a code: SPN 7–0; SPN 15–8; SPN 18–16 above FMI; conversion method above occurrence count.
//! One code fills a frame of eight bytes with two bytes of padding; more are transported. With conversion
//! method 1 the SPN lies in one of three historical layouts that bytes alone cannot tell apart.

use serde::{Deserialize, Serialize};

use super::{CodeError, Fmi, Spn};

/// State of one lamp: two bits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Lamp {
    /// 00
    Off,
    /// 01
    On,
    /// 10
    Reserved,
    /// 11
    NotAvailable,
}

/// How a lamp flashes: two bits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Flash {
    /// 00
    Slow,
    /// 01
    Fast,
    /// 10
    Reserved,
    /// 11: does not flash, or is not available
    Steady,
}

/// The four lamps, each with a value of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Lamps<T> {
    /// Malfunction indicator lamp, bits 8–7.
    pub mil: T,
    /// Red stop lamp, bits 6–5.
    pub red_stop: T,
    /// Amber warning lamp, bits 4–3.
    pub amber_warning: T,
    /// Protect lamp, bits 2–1.
    pub protect: T,
}

/// Which layout a code's SPN is written in: its conversion method bit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Conversion {
    /// 0: the layout in use today.
    Current,
    /// 1: one of three older layouts.
    Legacy,
}

/// A suspect parameter number as far as the bytes settle it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NumberRead {
    /// The bytes say which.
    Sure(Spn),
    /// One of these three, by layouts 1, 2 and 3.
    OneOf([Spn; 3]),
}

/// One active code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Dtc {
    /// What it is about.
    pub spn: NumberRead,
    /// What the controller saw.
    pub fmi: Fmi,
    /// How often it occurred, at most 126; none where the controller does not count.
    pub count: Option<u8>,
    /// Its conversion method.
    pub conversion: Conversion,
}

/// A DM1 message: the lamps and the active codes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Dm1 {
    /// Which lamps are lit.
    pub lamps: Lamps<Lamp>,
    /// How they flash.
    pub flash: Lamps<Flash>,
    /// Active codes in the order sent; none when the controller has none.
    pub dtcs: Vec<Dtc>,
}

const FRAME: usize = 8;
const TRANSPORT_MOST: usize = 1785;

/// Decodes the payload of a DM1 message: one frame of 8 bytes, or the 10 and more of a transported one.
///
/// # Errors
/// [`CodeError::Empty`] or [`CodeError::Length`] where bytes are missing or left over.
pub fn decode_payload(bytes: &[u8]) -> Result<Dm1, CodeError> {
    let (lamps, flash, codes) = match bytes {
        [] => return Err(CodeError::Empty),
        [lamps, flash, codes @ ..] => (*lamps, *flash, codes),
        [_] => return Err(CodeError::Length(1)),
    };
    let whole = match bytes.len() {
        FRAME => &codes[..4],
        n if (10..=TRANSPORT_MOST).contains(&n) && codes.len().is_multiple_of(4) => codes,
        n => return Err(CodeError::Length(n)),
    };
    Ok(Dm1 {
        lamps: lamps_of(lamps, lamp),
        flash: lamps_of(flash, flash_of),
        dtcs: whole.as_chunks::<4>().0.iter().filter_map(|code| dtc(*code)).collect(),
    })
}

/// One code from its four bytes; none for "no fault" (all zero, whatever the count) and filling (all ones).
fn dtc([low, middle, high, last]: [u8; 4]) -> Option<Dtc> {
    let filling = [low, middle, high, last] == [0xFF; 4];
    if filling || (low == 0 && middle == 0 && high == 0) {
        return None;
    }
    let conversion = if last & 0x80 == 0 { Conversion::Current } else { Conversion::Legacy };
    let today = spn(high >> 5, middle, low);
    let spn = match conversion {
        Conversion::Current => NumberRead::Sure(today),
        Conversion::Legacy => {
            let first = from_top_bits(low, middle, high);
            let second = from_top_bits(middle, low, high);
            NumberRead::OneOf([first, second, today])
        }
    };
    let count = Some(last & 0x7F).filter(|n| *n != 127);
    Some(Dtc { spn, fmi: Fmi(high & 0x1F), count, conversion })
}

fn spn(top: u8, middle: u8, low: u8) -> Spn {
    Spn(u32::from_be_bytes([0, top, middle, low]))
}

/// The older layouts have the SPN's upper sixteen bits in two bytes and its lowest three above the FMI.
fn from_top_bits(upper: u8, lower: u8, with_fmi: u8) -> Spn {
    Spn(u32::from(upper) << 11 | u32::from(lower) << 3 | u32::from(with_fmi >> 5))
}

fn lamps_of<T>(byte: u8, read: fn(u8) -> T) -> Lamps<T> {
    Lamps {
        mil: read(byte >> 6),
        red_stop: read(byte >> 4 & 3),
        amber_warning: read(byte >> 2 & 3),
        protect: read(byte & 3),
    }
}

fn lamp(bits: u8) -> Lamp {
    match bits {
        0 => Lamp::Off,
        1 => Lamp::On,
        2 => Lamp::Reserved,
        _ => Lamp::NotAvailable,
    }
}

fn flash_of(bits: u8) -> Flash {
    match bits {
        0 => Flash::Slow,
        1 => Flash::Fast,
        2 => Flash::Reserved,
        _ => Flash::Steady,
    }
}

impl NumberRead {
    /// The number, where the bytes settle it.
    #[must_use]
    pub fn sure(self) -> Option<Spn> {
        match self {
            Self::Sure(spn) => Some(spn),
            Self::OneOf(_) => None,
        }
    }

    /// Whether the code may be about this parameter.
    #[must_use]
    pub fn may_be(self, spn: Spn) -> bool {
        match self {
            Self::Sure(only) => only == spn,
            Self::OneOf(any) => any.contains(&spn),
        }
    }
}

impl Conversion {
    /// The bit as sent.
    #[must_use]
    pub fn bit(self) -> u8 {
        match self {
            Self::Current => 0,
            Self::Legacy => 1,
        }
    }
}

impl Lamp {
    /// The word printed for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Off => "off",
            Self::On => "on",
            Self::Reserved => "reserved",
            Self::NotAvailable => "not available",
        }
    }
}
