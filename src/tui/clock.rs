//! The two clocks of a walk, read off the system; the only place that does.

use std::time::Instant;

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
        let zoned = jiff::ZonedDateTime::now();
        Moment {
            wall_ms: zoned.timestamp().as_millisecond(),
            offset_min: zoned.offset().seconds() / 60,
            mono_ms: u64::try_from(self.began.elapsed().as_millis()).unwrap_or(u64::MAX),
        }
    }
}
