//! Live–dead–live: whether three typed readings show a point dead.
//!
//! The meter is shown to work on a known source before and after (29 CFR 1910.147(d)(6): the
//! verification is worth what its instrument is worth). The limits are our choice, no source: a source
//! reads at least 5 V, a dead point at most 0.5 V either way.

use crate::units::Volts;

use super::items::Shown;

const SOURCE_LEAST: Volts = Volts(5.0);
const DEAD_MOST: Volts = Volts(0.5);

/// Why a reading of live–dead–live cannot be taken.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NotShownDead {
    /// The source does not read like one: a dead meter shows everything dead.
    #[error("the meter reads {} V on the known source: less than 5 V shows nothing", .0.0)]
    MeterNotShown(Volts),
    /// The point is not dead.
    #[error("the point reads {} V: it is not dead; find what still feeds it, and open that too", .0.0)]
    StillLive(Volts),
}

/// Holds one typed reading of the three against what it must show.
///
/// # Errors
/// When the reading does not show it; a reading that is no number never does.
pub fn shows(which: Shown, reading: Volts) -> Result<(), NotShownDead> {
    let size = reading.value().abs();
    match which {
        Shown::SourceBefore | Shown::SourceAfter => {
            let is_source = size.is_finite() && size >= SOURCE_LEAST.value();
            if is_source { Ok(()) } else { Err(NotShownDead::MeterNotShown(reading)) }
        }
        Shown::Dead if size <= DEAD_MOST.value() => Ok(()),
        Shown::Dead => Err(NotShownDead::StillLive(reading)),
    }
}

/// The most that a circuit may have for anybody to work on it by a tree: 60 V d.c., 30 V a.c.
#[must_use]
pub fn is_high_voltage(volts: Volts, current: Supply) -> bool {
    let most = match current {
        Supply::Direct => 60.0,
        Supply::Alternating => 30.0,
    };
    // What is no number counts as high.
    volts.value().is_nan() || volts.value().abs() > most
}

/// Direct or alternating.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Supply {
    /// d.c.
    Direct,
    /// a.c.
    Alternating,
}
