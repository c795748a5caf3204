//! Frames on the bus, and messages longer than one frame (SAE J1939-21).
//!
//! A broadcast announcement (BAM, parameter group 60416, control byte 32) names size, packets and the
//! group sent; data packets (60160) follow, numbered from 1, seven bytes each, the last one padded.

use super::CodeError;
use super::dm1::{Dm1, decode_payload};

/// One frame: its bytes, and its 29-bit identifier where it was recorded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Frame {
    /// Priority, parameter group and sender.
    pub id: Option<u32>,
    /// What it carries.
    pub data: Vec<u8>,
}

const DM1: u32 = 0xFECA;
const ANNOUNCE: u32 = 0xEC00;
const PACKET: u32 = 0xEB00;
const BROADCAST: u8 = 0x20;
const SIZES: std::ops::RangeInclusive<u16> = 9..=1785;

impl Frame {
    /// The parameter group of the identifier; a group sent to one address is told without the address.
    #[must_use]
    pub fn group(&self) -> Option<u32> {
        let id = self.id?;
        let group = id >> 8 & 0x3_FFFF;
        Some(if group >> 8 & 0xFF < 240 { group & 0x3_FF00 } else { group })
    }

    /// The sender's address.
    #[must_use]
    pub fn sender(&self) -> Option<u8> {
        self.id.map(|id| id.to_be_bytes()[3])
    }

    fn must_be(&self, wanted: u32) -> Result<(), CodeError> {
        match self.group() {
            Some(group) if group != wanted => Err(CodeError::OtherGroup(group)),
            _ => Ok(()),
        }
    }
}

/// Decodes one DM1 message from its frame, from its announcement and packets, or from a payload that was
/// put together before.
///
/// # Errors
/// A [`CodeError`] that says which frame does not fit, and how.
pub fn decode_frames(frames: &[Frame]) -> Result<Dm1, CodeError> {
    one_sender(frames)?;
    match frames {
        [] => Err(CodeError::Empty),
        [only] if is_announcement(only) && only.data.len() > 8 => decode_frames(&in_eights(&only.data)),
        [first, packets @ ..] if is_announcement(first) => decode_payload(&assembled(first, packets)?),
        [only] => {
            only.must_be(DM1)?;
            decode_payload(&only.data)
        }
        several => Err(CodeError::NoAnnouncement(several.len())),
    }
}

fn one_sender(frames: &[Frame]) -> Result<(), CodeError> {
    let mut senders = frames.iter().filter_map(Frame::sender);
    let Some(first) = senders.next() else { return Ok(()) };
    match senders.find(|s| *s != first) {
        Some(other) => Err(CodeError::Senders(first, other)),
        None => Ok(()),
    }
}

/// Without an identifier, an announcement is known by its control byte and by the group it announces; a
/// payload cannot be mistaken for it, because its length leaves 2 when divided by 4.
fn is_announcement(frame: &Frame) -> bool {
    match frame.group() {
        Some(group) => group == ANNOUNCE,
        None => {
            frame.data.len().is_multiple_of(8)
                && frame.data.first() == Some(&BROADCAST)
                && frame.data.get(5..8) == Some(&[0xCA, 0xFE, 0x00])
        }
    }
}

fn in_eights(data: &[u8]) -> Vec<Frame> {
    data.chunks(8).map(|eight| Frame { id: None, data: eight.to_vec() }).collect()
}

fn assembled(announcement: &Frame, packets: &[Frame]) -> Result<Vec<u8>, CodeError> {
    let head = eight(announcement, 1)?;
    let size = u16::from_le_bytes([head[1], head[2]]);
    let group = u32::from_le_bytes([head[5], head[6], head[7], 0]);
    if group != DM1 {
        return Err(CodeError::OtherGroup(group));
    }
    let announced = head[3];
    if head[0] != BROADCAST || !SIZES.contains(&size) || size.div_ceil(7) != u16::from(announced) {
        return Err(CodeError::Announcement { size, packets: announced });
    }
    let mut payload = Vec::with_capacity(usize::from(size) + 7);
    for (place, (packet, expected)) in packets.iter().zip(1..=announced).enumerate() {
        packet.must_be(PACKET)?;
        let [found, seven @ ..] = eight(packet, place + 2)?;
        if found != expected {
            return Err(CodeError::Sequence { expected, found });
        }
        payload.extend_from_slice(&seven);
    }
    if packets.len() != usize::from(announced) {
        return Err(CodeError::PacketCount { announced: announced.into(), found: packets.len() });
    }
    payload.truncate(usize::from(size));
    Ok(payload)
}

fn eight(frame: &Frame, place: usize) -> Result<[u8; 8], CodeError> {
    <[u8; 8]>::try_from(frame.data.as_slice())
        .map_err(|_| CodeError::FrameLength { frame: place, bytes: frame.data.len() })
}
