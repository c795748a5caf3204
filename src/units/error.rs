//! What is wrong with a quantity as it was written, as data: what stood there, what was expected, what to write.

use std::fmt;

/// How much of a wrong text is quoted back.
const QUOTED: usize = 40;

/// A quantity that could not be understood, or that makes no sense.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuantityError {
    /// What was written, cut short and with control characters replaced.
    pub written: String,
    /// What was expected: "ohms", "a length".
    pub expected: &'static str,
    /// What is wrong with it.
    pub fault: QuantityFault,
    /// An example of what to write, made from what was written where that can be done.
    pub write: String,
}

/// What is wrong with a quantity as it was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum QuantityFault {
    /// Nothing stands there.
    Empty,
    /// No number stands there, or something that is not quite one.
    NotANumber,
    /// A number without its unit, in a file.
    NoUnit,
    /// What follows the number is no unit known here.
    UnknownUnit {
        /// What follows the number.
        unit: String,
    },
    /// The unit is that of another kind of quantity.
    OtherKind {
        /// What the unit is of: "volts", "a length".
        is: &'static str,
    },
    /// A decimal comma, in a file.
    DecimalComma,
    /// Beyond anything that can be meant.
    Absurd {
        /// The least that is taken.
        least: String,
        /// The most that is taken.
        most: String,
    },
    /// Below nothing, where there is no such thing.
    Negative,
    /// Nothing, where there has to be something.
    Zero,
    /// `OL` where the meter was not reading ohms.
    OverRange,
    /// Not a size of the American wire gauge.
    NoSuchGauge,
}

impl QuantityError {
    pub(super) fn new(
        written: &str,
        expected: &'static str,
        fault: QuantityFault,
        write: impl Into<String>,
    ) -> Self {
        Self { written: quoted(written), expected, fault, write: write.into() }
    }
}

/// Cuts a text short and takes out what could disturb a terminal.
pub(super) fn quoted(text: &str) -> String {
    let safe = |c: char| {
        let turns = matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}');
        if c.is_control() || turns { '\u{fffd}' } else { c }
    };
    let mut short: String = text.trim().chars().take(QUOTED).map(safe).collect();
    if text.trim().chars().nth(QUOTED).is_some() {
        short.push('…');
    }
    short
}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { written, expected, fault, .. } = self;
        match fault {
            QuantityFault::Empty => write!(f, "nothing stands here, and this takes {expected}"),
            QuantityFault::NotANumber if written.parse().is_ok_and(f64::is_finite) => {
                write!(f, "`{written}` is a bare number, and this takes {expected}")
            }
            QuantityFault::NotANumber => write!(f, "`{written}` is not a number, and this takes {expected}"),
            QuantityFault::NoUnit => write!(f, "`{written}` has no unit, and this takes {expected}"),
            QuantityFault::UnknownUnit { unit } => {
                write!(f, "`{unit}` in `{written}` is no unit known here, and this takes {expected}")
            }
            QuantityFault::OtherKind { is } => write!(f, "`{written}` is {is}, and this takes {expected}"),
            QuantityFault::DecimalComma => {
                write!(f, "`{written}` has a decimal comma; in a file it is a decimal point")
            }
            QuantityFault::Absurd { least, most } => {
                write!(f, "`{written}` is absurd: {expected} from {least} to {most} can be meant")
            }
            QuantityFault::Negative => {
                write!(f, "`{written}` is below zero, which {expected} cannot be here")
            }
            QuantityFault::Zero => {
                write!(f, "`{written}` is not above zero, which {expected} has to be here")
            }
            QuantityFault::OverRange => {
                write!(f, "`{written}` says that the meter is over its range, and this takes {expected}")
            }
            QuantityFault::NoSuchGauge => write!(f, "`{written}` is not a size from 4/0 AWG to 40 AWG"),
        }
    }
}

impl std::error::Error for QuantityError {}
