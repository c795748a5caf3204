//! Waiting where there are no Unix signals: the event library waits.

use std::io;
use std::time::Duration;

use super::woke::Woke;

/// Nothing to keep.
pub(super) struct Waiter;

impl Waiter {
    pub(super) fn new() -> io::Result<Self> {
        Ok(Self)
    }

    pub(super) fn wait(&mut self, longest: Duration) -> io::Result<Woke> {
        Ok(if crossterm::event::poll(longest)? { Woke::Input } else { Woke::Other })
    }

    /// Nobody tells here.
    pub(super) const fn is_gone(&self) -> bool {
        false
    }

    pub(super) fn stop() -> io::Result<()> {
        Ok(())
    }
}

/// The time zone of this place.
pub(super) fn zone_here() -> jiff::tz::TimeZone {
    jiff::tz::TimeZone::system()
}
