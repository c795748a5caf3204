//! How a moment stands in a line: wall time by RFC 3339 with its offset, and forward milliseconds.
//!
//! The offset is written, not the name of a zone, so that a job reads the same on a computer that
//! knows no time zones. A moment has one form only, `2026-03-02T07:40:00.000+01:00`.

use jiff::Timestamp;
use jiff::civil::DateTime;
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
    // By hand, since the form is fixed: a listing reads a million of them.
    const MARKS: [(usize, u8); 7] =
        [(4, b'-'), (7, b'-'), (10, b'T'), (13, b':'), (16, b':'), (19, b'.'), (26, b':')];
    let bytes: &[u8; 29] = text.as_bytes().try_into().ok()?;
    if MARKS.iter().any(|(at, mark)| bytes[*at] != *mark) {
        return None;
    }
    let two = |at: usize| number(&bytes[at..at + 2]).and_then(|two| i8::try_from(two).ok());
    let year = i16::try_from(number(&bytes[..4])?).ok()?;
    let nanoseconds = number(&bytes[20..23])? * 1_000_000;
    let civil = DateTime::new(year, two(5)?, two(8)?, two(11)?, two(14)?, two(17)?, nanoseconds).ok()?;
    let offset_min = offset_minutes(bytes[23], two(24)?, two(27)?)?;
    let wall = Offset::from_seconds(offset_min * 60).ok()?.to_timestamp(civil).ok()?;
    Some(Moment { wall_ms: wall.as_millisecond(), offset_min, mono_ms })
}

/// Digits and nothing else, few enough to be a number.
fn number(digits: &[u8]) -> Option<i32> {
    digits
        .iter()
        .try_fold(0, |so_far, digit| digit.is_ascii_digit().then(|| so_far * 10 + i32::from(digit - b'0')))
}

/// No offset has one form only: with a plus.
fn offset_minutes(sign: u8, hours: i8, minutes: i8) -> Option<i32> {
    let size = i32::from(hours) * 60 + i32::from(minutes);
    match sign {
        _ if hours > 23 || minutes > 59 => None,
        b'+' => Some(size),
        b'-' if size > 0 => Some(-size),
        _ => None,
    }
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
        for (date, time) in [
            ("2026-02-29", "07:40:00.000+01:00"),
            ("2026-13-01", "07:40:00.000+01:00"),
            ("2026-03-02", "24:00:00.000+01:00"),
            ("2026-03-02", "07:40:60.000+01:00"),
            ("2026-03-02", "07:40:00.000-00:00"),
            ("2026-03-02", "07:40:00.000+24:00"),
            ("2026-03-02", "07:40:00.000+01:60"),
            ("2026-03-02", "07:40:00.000 01:00"),
            ("+026-03-02", "07:40:00.000+01:00"),
            ("2026-03-0:", "07:40:00.000+01:00"),
        ] {
            assert_eq!(read(&format!("{date}T{time}"), 0), None, "{date}T{time}");
        }
    }

    // Against the library's own parser: whatever one byte is changed to, it is read as the library reads it and written
    // back the same, or it is not read.
    #[test]
    fn what_is_read_is_what_a_parser_of_the_standard_reads() {
        let text = "2024-02-29T23:59:59.999-11:30";
        let mut read_ones = 0;
        for at in 0..text.len() {
            for byte in 0..128_u8 {
                let mut bytes = text.as_bytes().to_vec();
                bytes[at] = byte;
                let changed = String::from_utf8(bytes).expect("ASCII");
                let Some(found) = read(&changed, 0) else { continue };
                read_ones += 1;
                let parsed: Timestamp = changed.parse().expect("the library reads it");
                assert_eq!(parsed.as_millisecond(), found.wall_ms, "{changed}");
                assert_eq!(written(found), Some(changed));
            }
        }
        assert!(read_ones > 100, "{read_ones}");
    }
}
