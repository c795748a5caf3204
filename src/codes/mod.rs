//! SAE J1939-73 messages: trouble codes from raw bytes.
//!
//! Knows bytes, frames and what a failure mode says about a controller's pin. Must not know circuits or
//! trees: which fault lets a pin read so is for the model to say, never for a code alone.

mod dm1;
mod fmi;
mod frame;
mod text;

pub use dm1::{Conversion, Dm1, Dtc, Flash, Lamp, Lamps, NumberRead, decode_payload};
pub use fmi::{Fmi, PinSight, Spn};
pub use frame::{Frame, decode_frames};
pub use text::{OwnName, decode_text};

/// What is wrong with a message that could not be decoded.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CodeError {
    /// Nothing to decode.
    #[error("no bytes to decode")]
    Empty,
    /// A character that is no hexadecimal digit.
    #[error("`{0}` is not a byte in hexadecimal, such as 1F")]
    NotHex(String),
    /// A run of hexadecimal digits that leaves half a byte over.
    #[error("`{0}` has an odd number of hexadecimal digits: half a byte is missing")]
    HalfByte(String),
    /// An identifier that no extended frame can have.
    #[error("`{0}` is not a 29-bit identifier, such as 18FECAAA")]
    Identifier(String),
    /// A frame of another message.
    #[error("parameter group {0} is not DM1 (65226){hint}", hint = if *.0 == 65_227 { ": it is DM2, stored codes, which are history" } else { "" })]
    OtherGroup(u32),
    /// A message with fewer or more bytes than its kind has.
    #[error(
        "{0} bytes are cut or run together: one frame has 8, a transported message 2 and 4 for each code"
    )]
    Length(usize),
    /// A frame of a transported message that is not eight bytes long.
    #[error("frame {frame} has {bytes} bytes instead of 8")]
    FrameLength {
        /// Which frame, counted from 1.
        frame: usize,
        /// How many bytes it has.
        bytes: usize,
    },
    /// An announcement whose size and packet count do not agree.
    #[error(
        "the announcement says {size} bytes in {packets} packets, which do not agree or are out of range"
    )]
    Announcement {
        /// Bytes announced.
        size: u16,
        /// Packets announced.
        packets: u8,
    },
    /// Several frames that no announcement precedes.
    #[error("{0} frames without an announcement (20 …) before them: decode one message at a time")]
    NoAnnouncement(usize),
    /// A packet out of its place.
    #[error("packet {expected} was expected, packet {found} came")]
    Sequence {
        /// The number that should follow.
        expected: u8,
        /// The number that came.
        found: u8,
    },
    /// Fewer or more packets than announced.
    #[error("{announced} packets were announced, {found} came")]
    PacketCount {
        /// Packets announced.
        announced: usize,
        /// Packets found.
        found: usize,
    },
    /// Frames of several senders.
    #[error("frames from addresses {0} and {1} are mixed: decode each sender's alone")]
    Senders(u8, u8),
}
