//! How a screen lies on the terminal: head, rule, body that scrolls, what is pinned under it, what follows where there is
//! room, rule, footer.
//!
//! What is pinned is always seen, and so is the head, in which a gate's caution stands. On a low terminal the upper rule
//! and all but the first row of the footer go. Where the head still leaves no room it goes on top of the body, which
//! begins with it. The rows that must be seen (the live item of a gate) stay in view whatever the scroll.

use std::ops::Range;

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::keys::{Place, keys_at};
use super::message::Message;
use super::session::Session;
use super::sheet::Sheet;
use super::theme::{Palette, Role};
use super::words::{MORE, say};
use crate::safety::Words;

/// A screen laid out to a width.
#[derive(Debug)]
pub(super) struct Framed {
    pub(super) head: Sheet,
    pub(super) body: Sheet,
    pub(super) pinned: Sheet,
    /// What follows what is pinned, from the fullest to the shortest: the first that there is room for.
    pub(super) tails: Vec<Sheet>,
    pub(super) foot: Sheet,
    /// Blank rows between the body and what is pinned, where there is room.
    pub(super) gap: usize,
    /// Rows of the body that must stay in view.
    pub(super) keep: Option<Range<usize>>,
    /// Rows around them that are in view too if they all fit.
    pub(super) rather: Option<Range<usize>>,
    pub(super) scroll: usize,
    /// Said on the lower rule where there is more above, or below.
    said: [&'static str; 2],
}

/// What drawing found out.
#[derive(Debug, Default)]
pub(super) struct Drawn {
    pub(super) clicks: Vec<(Rect, Message)>,
    pub(super) scroll: usize,
}

const ABOVE: Words = say(" more above: Up ", " más arriba: Arriba ");
const BELOW: Words = say(" more below: Down ", " más abajo: Abajo ");
/// Fewest rows of body beside the head.
const LEAST_BODY: usize = 2;
/// Rows that are in view above and below where not all of them fit.
const AROUND: usize = 3;
/// A terminal of fewer lines is low.
const LOW: usize = 16;
/// A terminal of fewer columns has room for short words only.
const NARROW: u16 = 60;

impl Framed {
    /// An empty screen with the footer of a place; `more` are the words of its numbered list, where it has one.
    pub(super) fn new(session: &Session, width: u16, place: Place, more: &str) -> Self {
        let lang = session.lang();
        let sheet = || Sheet::new(width, session.around.letters);
        let (above, below) = (ABOVE.in_lang(&lang), BELOW.in_lang(&lang));
        let mut framed = Self {
            head: sheet(),
            body: sheet(),
            pinned: sheet(),
            tails: Vec::new(),
            foot: sheet().edge_to_edge(),
            gap: 1,
            keep: None,
            rather: None,
            scroll: 0,
            said: [above, below],
        };
        let labels: Vec<String> = keys_at(place)
            .filter(|row| row.foot)
            .map(|row| {
                let is_list = row.label == MORE && width >= NARROW;
                let label = if is_list { more } else { row.label.in_lang(&lang) };
                format!("{}  {label}", row.press.name(&lang))
            })
            .collect();
        framed.foot.text(Role::Plain, 1, &labels.join("   "));
        framed
    }

    /// Draws it and says where clicks go and how far it was scrolled.
    pub(super) fn draw(mut self, area: Rect, buffer: &mut Buffer, palette: Palette) -> Drawn {
        buffer.set_style(area, palette.style(Role::Plain));
        let height = usize::from(area.height);
        let low = height < LOW;
        if low {
            self.foot.cut(1);
        }
        let upper = usize::from(!low);
        let fixed = self.pinned.len() + self.foot.len() + 1 + upper;
        if self.head.len() + fixed + LEAST_BODY.min(self.body.len()) > height {
            self.put_head_on_body();
        }
        let room = height.saturating_sub(fixed + self.head.len());
        let mut scroll = self.scroll.min(self.body.len().saturating_sub(room));
        if let Some(keep) = self.kept_in(room) {
            let last = keep.end.saturating_sub(room);
            scroll = scroll.clamp(last.min(keep.start), last.max(keep.start));
        }
        let body = room.min(self.body.len());
        let below = self.body.len().saturating_sub(scroll + room);
        let said = match (scroll > 0, below > 0) {
            (_, true) => self.said[1],
            (true, false) => self.said[0],
            _ => "",
        };
        let gap = if self.pinned.len() == 0 { 0 } else { self.gap.min(room - body) };
        let spare = room - body - gap;
        let tail = self.tails.iter().find(|tail| tail.len() < spare);
        let mut whole = Drawn { clicks: Vec::new(), scroll };
        let mut y = area.top();
        let mut put = |sheet: &Sheet, skip: usize, rows: usize, after: usize| {
            let rows = u16::try_from(rows).unwrap_or(u16::MAX).min(area.bottom().saturating_sub(y));
            let at = Rect::new(area.x, y, area.width, rows);
            whole.clicks.extend(sheet.paint((at, skip), buffer, palette));
            y = y.saturating_add(rows).saturating_add(u16::try_from(after).unwrap_or(0)).min(area.bottom());
        };
        put(&self.head, 0, self.head.len(), 0);
        put(&self.ruled(""), 0, upper, 0);
        put(&self.body, scroll, body, gap);
        let tail_rows = tail.map_or(0, |tail| tail.len() + 1);
        put(&self.pinned, 0, self.pinned.len(), usize::from(tail_rows > 0));
        if let Some(tail) = tail {
            put(tail, 0, tail.len(), 0);
        }
        put(&self.foot.emptied(), 0, 0, spare - tail_rows);
        put(&self.ruled(said), 0, 1, 0);
        put(&self.foot, 0, self.foot.len(), 0);
        whole
    }

    /// The rows that must be seen, with those around them that fit.
    fn kept_in(&self, room: usize) -> Option<Range<usize>> {
        let keep = self.keep.clone()?;
        if let Some(rather) = self.rather.clone().filter(|rather| rather.len() <= room) {
            return Some(rather);
        }
        let around = if self.rather.is_some() { AROUND.min(room.saturating_sub(keep.len()) / 2) } else { 0 };
        Some(keep.start.saturating_sub(around)..(keep.end + around).min(self.body.len()))
    }

    fn put_head_on_body(&mut self) {
        let moved = self.head.len();
        let body = std::mem::replace(&mut self.body, self.head.clone());
        self.body.append(body);
        self.head = self.head.emptied();
        // The first item of a gate comes after its caution has been in view.
        let top = |start: usize| if start == 0 { 0 } else { start + moved };
        self.keep = self.keep.take().map(|kept| top(kept.start)..kept.end + moved);
    }

    fn ruled(&self, said: &str) -> Sheet {
        let mut rule = self.foot.emptied();
        rule.rule(said);
        rule
    }
}
