//! The glance within brackets: lists and maps that lines and columns say nothing of.

use std::ops::Range;

use super::{Ends, Eye, Glanced, Kind, Level, Stop, ends};

/// Where a text without quotes may end in brackets.
static OF_PLAIN: Ends = ends(b",[]{}:#");

impl Eye<'_> {
    /// What stands in brackets, to the one that closes the first.
    pub(super) fn flow(&mut self) -> Glanced {
        let outside = self.levels.len();
        loop {
            match self.peek(0).ok_or(Stop::Unsure)? {
                b' ' | b'\t' | b'\r' | b'\n' | b',' => self.at += 1,
                b'{' => self.bracket(Kind::FlowMap)?,
                b'[' => self.bracket(Kind::FlowList)?,
                closing @ (b'}' | b']') => {
                    let kind = if closing == b'}' { Kind::FlowMap } else { Kind::FlowList };
                    if self.levels.pop().map(|level| level.kind) != Some(kind) {
                        return Err(Stop::Unsure);
                    }
                    self.at += 1;
                    if self.levels.len() == outside {
                        return Ok(());
                    }
                }
                b'#' if matches!(self.bytes[self.at - 1], b' ' | b'\t' | b'\n') => self.skip_line(),
                b'&' | b'!' => self.word(),
                b'?' | b'-' if self.blank(1) => return Err(Stop::Unsure),
                b'#' | b':' | b'|' | b'>' | b'@' | b'`' | b'%' | b'*' => return Err(Stop::Unsure),
                b'"' | b'\'' => {
                    let from = self.at;
                    self.quoted()?;
                    self.flow_scalar(from + 1..self.at - 1)?;
                }
                _ => {
                    let from = self.at;
                    self.plain_in_flow();
                    self.flow_scalar(from..self.at)?;
                }
            }
        }
    }

    fn bracket(&mut self, kind: Kind) -> Glanced {
        let column = self.levels.last().map_or(0, |level| level.column);
        self.pushed(Level { column, kind })?;
        self.at += 1;
        Ok(())
    }

    /// Goes behind a text without quotes in brackets; the blanks at its end go with it.
    fn plain_in_flow(&mut self) {
        while let Some(byte) = self.skip_to(&OF_PLAIN) {
            let ends = match byte {
                b':' => self.blank(1) || matches!(self.peek(1), Some(b',' | b'[' | b']' | b'{' | b'}')),
                b'#' => matches!(self.bytes[self.at - 1], b' ' | b'\t' | b'\n'),
                _ => true,
            };
            if ends {
                return;
            }
            self.at += 1;
        }
    }

    /// A text in brackets has ended: with a colon behind it, it was a key.
    fn flow_scalar(&mut self, text: Range<usize>) -> Glanced {
        while self.at < self.bytes.len() && self.blank(0) {
            self.at += 1;
        }
        if self.peek(0) == Some(b':') {
            self.at += 1;
            return self.named(text);
        }
        self.scalar(Some(text))
    }
}
