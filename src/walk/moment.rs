//! When something happened: a wall clock with its offset, and a clock that only goes forward.
//!
//! The wall clock may be set; the other stops while the laptop sleeps. Seen together they tell both.

use std::fmt;

/// A moment as the caller read it off its clocks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
pub struct Moment {
    /// Wall time, in milliseconds since 1970-01-01T00:00Z.
    pub wall_ms: i64,
    /// Offset of local time from UTC, in minutes.
    pub offset_min: i32,
    /// Forward-only clock, in milliseconds from an arbitrary start.
    pub mono_ms: u64,
}

impl Moment {
    /// Milliseconds of the forward clock since an earlier moment; 0 if that lies later (another start of the clock).
    #[must_use]
    pub const fn since(self, earlier: Self) -> u64 {
        self.mono_ms.saturating_sub(earlier.mono_ms)
    }

    /// How much more the wall clock moved than the forward clock since an earlier moment, in milliseconds; negative
    /// if it was set back.
    #[must_use]
    pub fn wall_ahead(self, earlier: Self) -> i64 {
        let wall = self.wall_ms.saturating_sub(earlier.wall_ms);
        wall.saturating_sub(i64::try_from(self.since(earlier)).unwrap_or(i64::MAX))
    }

    /// This moment, later by so many milliseconds on both clocks.
    #[must_use]
    pub fn later(self, ms: u64) -> Self {
        Self {
            wall_ms: self.wall_ms.saturating_add(i64::try_from(ms).unwrap_or(i64::MAX)),
            mono_ms: self.mono_ms.saturating_add(ms),
            ..self
        }
    }

    /// Local time of day as `10:31`.
    #[must_use]
    pub fn clock(self) -> String {
        let minutes = (self.wall_ms.div_euclid(60_000) + i64::from(self.offset_min)).rem_euclid(1440);
        format!("{:02}:{:02}", minutes / 60, minutes % 60)
    }

    /// Local date as `2026-03-02`, after the proleptic Gregorian calendar.
    #[must_use]
    pub fn date(self) -> String {
        let days = (self.wall_ms.div_euclid(60_000) + i64::from(self.offset_min)).div_euclid(1440);
        let (year, month, day) = civil(days);
        format!("{year:04}-{month:02}-{day:02}")
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.date(), self.clock())
    }
}

/// Days since 1970-01-01 as year, month, day: eras of 400 years, years that begin in March.
fn civil(days: i64) -> (i64, i64, i64) {
    let shifted = days + 719_468;
    let era = shifted.div_euclid(146_097);
    let of_era = shifted.rem_euclid(146_097);
    let year = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year + year / 4 - year / 100);
    let march = (5 * of_year + 2) / 153;
    let day = of_year - (153 * march + 2) / 5 + 1;
    let month = if march < 10 { march + 3 } else { march - 9 };
    (year + era * 400 + i64::from(month <= 2), month, day)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn local_time_is_told_from_the_offset() {
        // 2026-03-02T07:40:00+01:00, by the calendar.
        let moment = Moment { wall_ms: 1_772_433_600_000, offset_min: 60, mono_ms: 0 };
        assert_eq!(moment.to_string(), "2026-03-02 07:40");
        let leap = Moment { wall_ms: 951_782_400_000, offset_min: 0, mono_ms: 0 };
        assert_eq!(leap.date(), "2000-02-29");
    }

    #[test]
    fn a_sleep_shows_on_the_wall_clock_only() {
        let before = Moment { wall_ms: 0, offset_min: 0, mono_ms: 1_000 };
        let after = Moment { wall_ms: 600_000, offset_min: 0, mono_ms: 2_000 };
        assert_eq!((after.since(before), after.wall_ahead(before)), (1_000, 599_000));
    }
}
