//! How a moment stands in a line: wall time by RFC 3339 with its offset, and forward milliseconds.
//!
//! The offset is written, not the name of a zone, so that a job reads the same on a computer that
//! knows no time zones. A moment has one form only, `2026-03-02T07:40:00.000+01:00`.

use jiff::Timestamp;
use jiff::fmt::temporal::{DateTimeParser, Pieces};
use jiff::tz::Offset;

use crate::walk::Moment;

/// A moment by RFC 3339, such as `2026-03-02T07:40:00.000+01:00`; one that no calendar has, in its own form.
#[must_use]
pub fn rfc3339(moment: Moment) -> String {
    written(moment).unwrap_or_else(|| moment.to_string())
}

/// Writes the wall time; None for a year or an offset that RFC 3339 has no form for.
pub(super) fn written(moment: Moment) -> Option<String> {
    let wall = Timestamp::from_millisecond(moment.wall_ms).ok()?;
    let is_a_day_off = moment.offset_min.unsigned_abs() >= 24 * 60;
    let offset = Offset::from_seconds(moment.offset_min.checked_mul(60)?).ok()?;
    let is_written = (0..=9999).contains(&offset.to_datetime(wall).year()) && !is_a_day_off;
    is_written.then(|| format!("{:.3}", wall.display_with_offset(offset)))
}

/// Reads back what was written; anything else is refused.
pub(super) fn read(text: &str, mono_ms: u64) -> Option<Moment> {
    let wall = DateTimeParser::new().parse_timestamp(text).ok()?;
    let offset = Pieces::parse(text).ok()?.to_numeric_offset()?;
    let moment = Moment { wall_ms: wall.as_millisecond(), offset_min: offset.seconds() / 60, mono_ms };
    (written(moment).as_deref() == Some(text)).then_some(moment)
}

#[cfg(test)]
mod tests {
    use super::*;

    // RFC 3339, section 5.8: 1996-12-19T16:39:57-08:00 is 1996-12-20T00:39:57Z, its example of a
    // local offset; 1990-12-31T15:59:60-08:00 is left out, since a leap second has no number.
    #[test]
    fn it_is_written_by_rfc_3339() {
        let moment = Moment { wall_ms: 851_042_397_000, offset_min: -480, mono_ms: 7 };
        assert_eq!(written(moment).as_deref(), Some("1996-12-19T16:39:57.000-08:00"));
        assert_eq!(read("1996-12-19T16:39:57.000-08:00", 7), Some(moment));
    }

    #[test]
    fn it_comes_back_as_it_was_taken() {
        for (wall_ms, offset_min) in
            [(0, 0), (-1, 345), (1_772_433_600_123, 60), (-62_167_219_200_000, 0), (253_402_207_200_000, -1)]
        {
            let moment = Moment { wall_ms, offset_min, mono_ms: 1 };
            let text = written(moment).expect("a year of four digits");
            assert_eq!(read(&text, 1), Some(moment), "{text}");
        }
    }

    #[test]
    fn what_has_no_form_is_not_written() {
        for (wall_ms, offset_min) in
            [(i64::MAX, 0), (i64::MIN, 0), (0, i32::MAX), (0, i32::MIN), (0, 1440), (253_402_300_799_999, 1)]
        {
            assert_eq!(written(Moment { wall_ms, offset_min, mono_ms: 0 }), None);
        }
    }

    #[test]
    fn another_form_of_the_same_time_is_refused() {
        for text in
            ["2026-03-02T07:40:00+01:00", "2026-03-02 07:40:00.000+01:00", "2026-03-02T07:40:00.000", ""]
        {
            assert_eq!(read(text, 0), None, "{text}");
        }
    }
}
