//! When an event happened: the wall clock with its zone, and a clock that never jumps.
//!
//! The wall time is written by RFC 3339 with the zone as its offset and three decimals, so that it
//! reads the same on a computer that knows no time zones. Both times are whole milliseconds.

use std::time::Duration;

use jiff::fmt::temporal::{DateTimeParser, Pieces};
use jiff::tz::{Offset, TimeZone};
use jiff::{Timestamp, ZonedDateTime};

/// When an event happened, to the millisecond.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stamp {
    moment: Timestamp,
    offset: Offset,
    milliseconds: u64,
}

impl Stamp {
    /// Takes the wall time and the monotonic time; both are cut to whole milliseconds, the offset of
    /// the zone to whole minutes, which is what RFC 3339 can write.
    #[must_use]
    pub fn new(wall: &ZonedDateTime, monotonic: Duration) -> Self {
        let moment = wall.timestamp();
        let seconds = wall.offset().seconds();
        Self {
            moment: Timestamp::from_millisecond(moment.as_millisecond()).unwrap_or(moment),
            offset: Offset::from_seconds(seconds - seconds % 60).unwrap_or(Offset::UTC),
            milliseconds: u64::try_from(monotonic.as_millis()).unwrap_or(u64::MAX),
        }
    }

    /// The wall time, in a zone of fixed offset.
    #[must_use]
    pub fn wall(&self) -> ZonedDateTime {
        self.moment.to_zoned_datetime(TimeZone::fixed(self.offset))
    }

    /// The monotonic time.
    #[must_use]
    pub fn monotonic(&self) -> Duration {
        Duration::from_millis(self.milliseconds)
    }

    /// The wall time by RFC 3339, such as `2026-03-02T07:40:00.000+01:00`.
    #[must_use]
    pub fn rfc3339(&self) -> String {
        format!("{:.3}", self.moment.display_with_offset(self.offset))
    }

    pub(super) fn milliseconds(self) -> u64 {
        self.milliseconds
    }

    /// Reads back what [`Stamp::rfc3339`] wrote; anything else is refused.
    pub(super) fn read(text: &str, milliseconds: u64) -> Option<Self> {
        let moment = DateTimeParser::new().parse_timestamp(text).ok()?;
        let offset = Pieces::parse(text).ok()?.to_numeric_offset()?;
        let stamp = Self { moment, offset, milliseconds };
        (stamp.rfc3339() == text).then_some(stamp)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn zoned(text: &str) -> ZonedDateTime {
        text.parse().expect("a zoned time")
    }

    // RFC 3339, section 5.8: 1996-12-19T16:39:57-08:00 is its example of a local offset.
    #[test]
    fn it_is_written_by_rfc_3339() {
        let stamp = Stamp::new(&zoned("1996-12-19T16:39:57-08:00[-08:00]"), Duration::ZERO);
        assert_eq!(stamp.rfc3339(), "1996-12-19T16:39:57.000-08:00");
        assert_eq!(Stamp::read(&stamp.rfc3339(), 0), Some(stamp));
    }

    #[test]
    fn it_comes_back_as_it_was_taken() {
        for text in [
            "2026-03-02T07:40:00.123456+01:00[+01:00]",
            "1969-12-31T23:59:59.9999Z[UTC]",
            "0001-01-01T00:00+00:00[UTC]",
        ] {
            let stamp = Stamp::new(&zoned(text), Duration::from_micros(1_234_567));
            assert_eq!(Stamp::read(&stamp.rfc3339(), 1234), Some(stamp), "{text}");
        }
    }

    #[test]
    fn another_form_of_the_same_time_is_refused() {
        for text in
            ["2026-03-02T07:40:00+01:00", "2026-03-02 07:40:00.000+01:00", "2026-03-02T07:40:00.000", ""]
        {
            assert_eq!(Stamp::read(text, 0), None, "{text}");
        }
    }
}
