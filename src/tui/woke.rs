//! Why waiting ended.

/// Why waiting ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(not(unix), expect(dead_code, reason = "only Unix has the signals that say so"))]
pub(super) enum Woke {
    /// Something was typed.
    Input,
    /// The time is over.
    Other,
    /// The size changed.
    Resized,
    /// The program is to end.
    Ends,
    /// The terminal is gone.
    Gone,
    /// The program is to stop until it is continued.
    Stops,
    /// It was continued.
    GoesOn,
}
