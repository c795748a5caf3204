//! Numbers of chance that carry their meaning in the type.

/// How often a fault is the cause, relative to the others; any scale, 0 or more.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Share(pub f64);

impl Share {
    /// The bare number.
    #[must_use]
    pub const fn value(self) -> f64 {
        self.0
    }
}

/// A probability between 0 and 1.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Probability(pub f64);

impl Probability {
    /// The bare number.
    #[must_use]
    pub const fn value(self) -> f64 {
        self.0
    }

    /// Its natural logarithm; minus infinity for 0.
    #[must_use]
    pub fn ln(self) -> LogChance {
        LogChance(self.0.ln())
    }
}

/// The natural logarithm of a probability or of a likelihood; minus infinity is impossible.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct LogChance(pub f64);

impl LogChance {
    /// The bare number.
    #[must_use]
    pub const fn value(self) -> f64 {
        self.0
    }

    /// Back to a probability; underflows to 0 where the number is too small to hold.
    #[must_use]
    pub fn exp(self) -> Probability {
        Probability(self.0.exp())
    }
}

/// Information in bits, base 2 (Shannon 1948).
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Bits(pub f64);

impl Bits {
    /// The bare number.
    #[must_use]
    pub const fn value(self) -> f64 {
        self.0
    }
}
