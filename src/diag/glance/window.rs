//! The part of a text that the glance has before it: read on block by block into the same room, so that a large file
//! never stands in memory as a whole to be seen to be too large.
//!
//! What is behind goes, but for the byte before and a name that is being read. Lines are counted as they go.

use memchr::{memchr_iter, memchr2, memrchr};

use crate::diag::place::Position;

/// A text in blocks: fills the room it is given from its beginning and says how much; nothing at the end.
pub type Blocks<'b> = dyn FnMut(&mut [u8]) -> usize + 'b;

/// Room for a block, bytes: it stays in the processor's nearer memory, and few calls fill it.
const ROOM: usize = 128 << 10;

/// A longer name is nobody's; it is not kept for comparison.
const LONGEST_NAME: usize = 4 << 10;

/// What is so near is looked for byte by byte.
const NEAR: usize = 16;

/// No name is being read.
const NONE: usize = usize::MAX;

pub(super) struct Window<'b> {
    blocks: &'b mut Blocks<'b>,
    bytes: Box<[u8; ROOM]>,
    /// How many of them are filled, and how many are text: of a carriage return at the end nobody knows yet.
    filled: usize,
    long: usize,
    at: usize,
    /// Where the name begins that is being read, and where that is in the text.
    mark: usize,
    marked: usize,
    /// Bytes that are behind.
    gone: usize,
    /// No more can be had.
    ended: bool,
    /// The text goes on after a lone carriage return.
    is_cut: bool,
    told: Told,
}

/// Up to where lines are counted: the line, and the characters before this place on it.
struct Told {
    at: usize,
    line: usize,
    characters: usize,
}

/// The text since the mark, so long; without quotes the blanks at its end are none of it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Name {
    long: usize,
    is_quoted: bool,
}

/// Bytes that end something.
pub(super) type Ends = [bool; 256];

pub(super) const fn ends(bytes: &[u8]) -> Ends {
    let mut ends = [false; 256];
    let mut at = 0;
    while at < bytes.len() {
        ends[bytes[at] as usize] = true;
        at += 1;
    }
    ends
}

impl<'b> Window<'b> {
    pub(super) fn on(blocks: &'b mut Blocks<'b>) -> Self {
        let bytes = vec![0; ROOM].into_boxed_slice();
        Self {
            blocks,
            bytes: bytes.try_into().expect("as long as the room"),
            filled: 0,
            long: 0,
            at: 0,
            mark: NONE,
            marked: 0,
            gone: 0,
            ended: false,
            is_cut: false,
            told: Told { at: 0, line: 1, characters: 0 },
        }
    }

    #[inline]
    pub(super) fn peek(&mut self, ahead: usize) -> Option<u8> {
        let at = self.at + ahead;
        if at < self.long { Some(self.bytes[at]) } else { self.peek_on(ahead) }
    }

    #[cold]
    fn peek_on(&mut self, ahead: usize) -> Option<u8> {
        while self.at + ahead >= self.long {
            if !self.more() {
                return None;
            }
        }
        Some(self.bytes[self.at + ahead])
    }

    /// The next bytes at once, if that many are before it already.
    #[inline]
    pub(super) fn next<const MANY: usize>(&self) -> Option<&[u8; MANY]> {
        self.bytes[..self.long].get(self.at..)?.first_chunk()
    }

    /// The byte before this one.
    #[inline]
    pub(super) fn before(&self) -> Option<u8> {
        self.bytes[..self.long].get(self.at.checked_sub(1)?).copied()
    }

    /// True at a blank, a line's end or the text's.
    #[inline]
    pub(super) fn blank(&mut self, ahead: usize) -> bool {
        matches!(self.peek(ahead), None | Some(b' ' | b'\n' | b'\t' | b'\r'))
    }

    /// Goes on by so many bytes that were seen.
    #[inline]
    pub(super) const fn step(&mut self, bytes: usize) {
        self.at += bytes;
    }

    /// Goes behind blanks. True if there were any.
    #[inline]
    pub(super) fn skip_blanks(&mut self) -> bool {
        let is_blank = |byte: u8| matches!(byte, b' ' | b'\t' | b'\r');
        self.peek(0).is_some_and(is_blank) && self.skip_all(is_blank) > 0
    }

    /// Goes behind spaces, and says how many there were.
    #[inline]
    pub(super) fn skip_spaces(&mut self) -> usize {
        self.skip_all(|byte| byte == b' ')
    }

    #[inline]
    fn skip_all(&mut self, of: impl Fn(u8) -> bool) -> usize {
        let mut all = 0;
        loop {
            let rest = &self.bytes[self.at..self.long];
            let far = rest.iter().position(|byte| !of(*byte));
            let far_or_all = far.unwrap_or(rest.len());
            self.at += far_or_all;
            all += far_or_all;
            if far.is_some() || !self.more() {
                return all;
            }
        }
    }

    /// Goes to the next of these bytes, or to the end.
    #[inline]
    pub(super) fn skip_to(&mut self, ends: &Ends) -> Option<u8> {
        loop {
            let rest = &self.bytes[self.at..self.long];
            if let Some(far) = rest.iter().position(|byte| ends[usize::from(*byte)]) {
                self.at += far;
                return Some(self.bytes[self.at]);
            }
            self.at = self.long;
            if !self.more() {
                return None;
            }
        }
    }

    /// Goes to the next of these two bytes, or to the end.
    #[inline]
    pub(super) fn skip_to_either(&mut self, one: u8, other: u8) -> Option<u8> {
        // Most are near, and a call for those costs more than the way.
        let rest = &self.bytes[self.at..self.long];
        let near = &rest[..rest.len().min(NEAR)];
        if let Some(far) = near.iter().position(|byte| *byte == one || *byte == other) {
            self.at += far;
            return Some(self.bytes[self.at]);
        }
        self.skip_far_to_either(one, other)
    }

    fn skip_far_to_either(&mut self, one: u8, other: u8) -> Option<u8> {
        loop {
            if let Some(far) = memchr2(one, other, &self.bytes[self.at..self.long]) {
                self.at += far;
                return Some(self.bytes[self.at]);
            }
            self.at = self.long;
            if !self.more() {
                return None;
            }
        }
    }

    /// Goes behind the line.
    pub(super) fn skip_line(&mut self) {
        if self.skip_to_either(b'\n', b'\n').is_some() {
            self.at += 1;
        }
    }

    /// A name begins here.
    #[inline]
    pub(super) const fn begin_name(&mut self) {
        self.mark = self.at;
        self.marked = self.gone + self.at;
    }

    /// The name ends so many bytes before here.
    #[inline]
    pub(super) const fn name(&self, back: usize, is_quoted: bool) -> Option<Name> {
        if self.mark == NONE {
            return None;
        }
        Some(Name { long: self.at - back - self.mark, is_quoted })
    }

    /// What the name says, byte by byte; `None` if it is longer than any name.
    #[inline]
    pub(super) fn said(&self, name: Name) -> Option<&[u8]> {
        if self.mark == NONE || name.long > LONGEST_NAME {
            return None;
        }
        let said = &self.bytes[self.mark..self.mark + name.long];
        Some(if name.is_quoted { said } else { said.trim_ascii_end() })
    }

    /// Where the name that was read last began.
    pub(super) const fn name_at(&self) -> usize {
        self.marked
    }

    /// The place of the next byte.
    pub(super) const fn place(&self) -> usize {
        self.gone + self.at
    }

    /// Line and column of the name that was read last; of where reading has come to if that is far behind.
    pub(super) fn name_position(&mut self) -> Position {
        self.count_to(self.mark.min(self.at));
        self.told.position()
    }

    /// Line and column of the next byte.
    pub(super) fn position(&mut self) -> Position {
        self.count_to(self.at.min(self.long));
        self.told.position()
    }

    /// True if what there is to see is not the whole text.
    pub(super) const fn is_cut(&self) -> bool {
        self.is_cut
    }

    fn count_to(&mut self, to: usize) {
        let mut passed = self.bytes.get(self.told.at..to).unwrap_or_default();
        if let Some(end) = memrchr(b'\n', passed) {
            self.told.line += memchr_iter(b'\n', passed).count();
            self.told.characters = 0;
            passed = &passed[end + 1..];
        }
        // Of a character in UTF-8, the bytes after the first all begin with the bits 10.
        self.told.characters += passed.iter().filter(|byte| **byte & 0xc0 != 0x80).count();
        self.told.at = self.told.at.max(to);
    }

    /// Reads on. False at the text's end.
    #[cold]
    fn more(&mut self) -> bool {
        if self.ended {
            return false;
        }
        if self.mark != NONE && self.at - self.mark > LONGEST_NAME {
            self.mark = NONE;
        }
        self.leave_behind(self.mark.min(self.at.saturating_sub(1)));
        let room = &mut self.bytes[self.filled..];
        let read = (self.blocks)(room).min(room.len());
        self.ended = read == 0;
        self.filled += read;
        self.look_for_a_lone_return();
        !self.ended || self.at < self.long
    }

    fn leave_behind(&mut self, bytes: usize) {
        self.count_to(bytes);
        self.bytes.copy_within(bytes..self.filled, 0);
        for place in [&mut self.filled, &mut self.long, &mut self.at, &mut self.told.at] {
            *place -= bytes;
        }
        self.gone += bytes;
        if self.mark != NONE {
            self.mark -= bytes;
        }
    }

    /// A lone carriage return is a line's end too; nobody writes such files any more, and the glance ends there.
    fn look_for_a_lone_return(&mut self) {
        let text = &self.bytes[..self.filled];
        let is_last = |at: usize| at + 1 == text.len();
        let mut returns = memchr_iter(b'\r', &text[self.long..]).map(|far| self.long + far);
        match returns.find(|at| text.get(at + 1) != Some(&b'\n')) {
            Some(at) if is_last(at) && !self.ended => self.long = at,
            Some(at) => (self.long, self.ended, self.is_cut) = (at, true, true),
            None => self.long = self.filled,
        }
    }
}

impl Told {
    const fn position(&self) -> Position {
        Position { line: self.line, column: self.characters + 1 }
    }
}
