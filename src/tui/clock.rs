//! The two clocks of a walk, read off the system; the only place that does.

use std::sync::Mutex;
use std::time::{Duration, Instant};

use jiff::tz::TimeZone;
use jiff::{Timestamp, ZonedDateTime};

#[cfg(not(unix))]
use super::elsewhere::zone_here;
#[cfg(unix)]
use super::unix::zone_here;
use crate::walk::Moment;

/// Clocks that began with the program.
#[derive(Debug, Clone, Copy)]
pub struct Clock {
    began: Instant,
}

impl Clock {
    /// Starts the forward clock.
    #[must_use]
    pub fn start() -> Self {
        Self { began: Instant::now() }
    }

    /// This moment.
    #[must_use]
    pub fn now(self) -> Moment {
        let zoned = ZonedDateTime::new(Timestamp::now(), zone());
        Moment {
            wall_ms: zoned.timestamp().as_millisecond(),
            offset_min: zoned.offset().seconds() / 60,
            mono_ms: u64::try_from(self.began.elapsed().as_millis()).unwrap_or(u64::MAX),
        }
    }
}

/// Who drives over a border finds the other time on the clock after this long.
const ZONE_KEPT: Duration = Duration::from_mins(5);

/// The time zone of this place.
fn zone() -> TimeZone {
    static KEPT: Mutex<Option<(Instant, TimeZone)>> = Mutex::new(None);
    let Ok(mut kept) = KEPT.lock() else { return zone_here() };
    match &*kept {
        Some((since, zone)) if since.elapsed() < ZONE_KEPT => zone.clone(),
        _ => kept.insert((Instant::now(), zone_here())).1.clone(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The short way to the zone says what the library says.
    #[test]
    fn the_zone_is_that_of_the_system() {
        let now = Timestamp::now();
        for days in [0, 90, 180, 270] {
            let then = now + Duration::from_hours(days * 24);
            let offset = |zone: TimeZone| zone.to_offset(then);
            assert_eq!(offset(zone_here()), offset(TimeZone::system()), "in {days} days");
        }
    }
}
