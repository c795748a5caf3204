//! The glance within brackets: lists and maps that lines and columns say nothing of.

use super::{Ends, Eye, Kind, Level, Seen, Stop, ends};

/// Where a text without quotes may end in brackets.
static OF_PLAIN: Ends = ends(b",[]{}:#");

impl Eye<'_> {
    /// What stands in brackets, to the one that closes the first.
    pub(super) fn flow(&mut self) -> Seen {
        let outside = self.levels.len();
        loop {
            match self.text.peek(0).ok_or(Stop::Unsure)? {
                b' ' | b'\t' | b'\r' | b'\n' | b',' => self.text.step(1),
                b'{' => self.bracket(Kind::FlowMap)?,
                b'[' => self.bracket(Kind::FlowList)?,
                closing @ (b'}' | b']') => {
                    let kind = if closing == b'}' { Kind::FlowMap } else { Kind::FlowList };
                    if self.levels.pop().map(|level| level.kind) != Some(kind) {
                        return Err(Stop::Unsure);
                    }
                    self.text.step(1);
                    if self.levels.len() == outside {
                        return Ok(());
                    }
                }
                b'#' if matches!(self.text.before(), Some(b' ' | b'\t' | b'\n')) => self.text.skip_line(),
                b'&' | b'!' => self.word(),
                b'?' | b'-' if self.text.blank(1) => return Err(Stop::Unsure),
                b'#' | b':' | b'|' | b'>' | b'@' | b'`' | b'%' | b'*' => return Err(Stop::Unsure),
                b'"' | b'\'' => self.quoted_in_flow()?,
                _ => self.plain_in_flow()?,
            }
        }
    }

    fn bracket(&mut self, kind: Kind) -> Seen {
        let column = self.levels.last().map_or(0, |level| level.column);
        self.pushed(Level { column, kind })?;
        self.text.step(1);
        Ok(())
    }

    /// A text in quotes in brackets: with a colon behind it, it is a key.
    fn quoted_in_flow(&mut self) -> Seen {
        let name = self.quoted()?;
        while matches!(self.text.peek(0), Some(b' ' | b'\n' | b'\t' | b'\r')) {
            self.text.step(1);
        }
        if self.text.peek(0) == Some(b':') {
            self.text.step(1);
            return self.named(name);
        }
        self.scalar(name)
    }

    /// A text without quotes in brackets, a key or a value; the blanks at its end go with it.
    #[inline]
    fn plain_in_flow(&mut self) -> Seen {
        self.text.begin_name();
        while let Some(byte) = self.text.skip_to(&OF_PLAIN) {
            let ends = match byte {
                b':' => {
                    self.text.blank(1) || matches!(self.text.peek(1), Some(b',' | b'[' | b']' | b'{' | b'}'))
                }
                b'#' => matches!(self.text.before(), Some(b' ' | b'\t' | b'\n')),
                _ => true,
            };
            if ends && byte == b':' {
                let name = self.text.name(0, false);
                self.text.step(1);
                return self.named(name);
            }
            if ends {
                break;
            }
            self.text.step(1);
        }
        let name = self.text.name(0, false);
        self.scalar(name)
    }
}
