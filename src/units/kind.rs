//! The kinds of quantity there are, with the words and the sane limits of each.
//!
//! The limits are far outside anything on a mobile machine (our choice, no source): they catch a slip of the
//! finger or a hostile file, never an unusual machine.

/// One kind of quantity, whether a meter reads it or only a file states it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Volts,
    Ohms,
    Amps,
    Hertz,
    Percent,
    Pressure,
    Temperature,
    Rpm,
    Watts,
    Length,
    Area,
    Time,
}

impl Kind {
    /// What to call it in a sentence: "this takes …".
    pub(super) const fn noun(self) -> &'static str {
        match self {
            Self::Volts => "volts",
            Self::Ohms => "ohms",
            Self::Amps => "amps",
            Self::Hertz => "hertz",
            Self::Percent => "per cent",
            Self::Pressure => "a pressure",
            Self::Temperature => "a temperature",
            Self::Rpm => "revolutions a minute",
            Self::Watts => "watts",
            Self::Length => "a length",
            Self::Area => "a cross-section",
            Self::Time => "a time",
        }
    }

    /// Two ways to write one, for a hint.
    pub(super) const fn example(self) -> &'static str {
        match self {
            Self::Volts => "12.6 V, or 30 mV",
            Self::Ohms => "0.3 ohm, or 4k7",
            Self::Amps => "10 A, or 50 mA",
            Self::Hertz => "120 Hz, or 1.2 kHz",
            Self::Percent => "35 %",
            Self::Pressure => "30 psi, or 2.1 bar",
            Self::Temperature => "20 °C, or 68 °F",
            Self::Rpm => "900 rpm",
            Self::Watts => "21 W",
            Self::Length => "1.9 m, or 40 mm",
            Self::Area => "0.75 mm2, or 18 AWG",
            Self::Time => "3 min",
        }
    }

    /// The least and the most that is not absurd, in the base unit. A reading of ohms may be a little below nothing
    /// (a meter zeroed on its leads).
    pub(super) const fn limits(self) -> (f64, f64) {
        match self {
            Self::Volts => (-1e5, 1e5),
            Self::Ohms => (-10.0, 1e12),
            Self::Amps => (-1e4, 1e4),
            Self::Hertz => (0.0, 1e9),
            Self::Percent => (-1e3, 1e3),
            // Below −1 bar there is nothing left to take away (one atmosphere, rounded up).
            Self::Pressure => (-1.1, 1e4),
            // Absolute zero, by the definition of the degree Celsius.
            Self::Temperature => (-273.15, 3e3),
            Self::Rpm | Self::Watts => (0.0, 1e6),
            Self::Length | Self::Time => (0.0, 1e5),
            Self::Area => (0.0, 1e4),
        }
    }

    /// Whether a file may state a negative one.
    pub(super) const fn may_be_negative(self) -> bool {
        matches!(self, Self::Volts | Self::Amps | Self::Percent | Self::Pressure | Self::Temperature)
    }

    /// Where the range of a meter begins, if it begins somewhere.
    pub(super) const fn floor(self) -> Option<f64> {
        match self {
            Self::Volts | Self::Amps | Self::Temperature => None,
            _ => Some(0.0),
        }
    }
}
