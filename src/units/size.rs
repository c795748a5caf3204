//! Sizes of conductors: an area in square millimetres, or a number of the American wire gauge.
//!
//! d = 0.005 in · 92^((36 − n)/39), area = π/4 · d² (ASTM B258); 1/0, 2/0, 3/0 and 4/0 are n = 0, −1, −2, −3.

use std::f64::consts::FRAC_PI_4;
use std::fmt;

use super::error::{QuantityError, QuantityFault};
use super::quantity::{Metres, SquareMillimetres};
use super::written::Written;

/// A size of the American wire gauge, from 4/0 to 40.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Awg(i8);

/// The number that stands for 4/0.
const LARGEST: i8 = -3;
const SMALLEST: i8 = 40;

impl Awg {
    /// The size with this number; 0 is 1/0, −1 is 2/0, −2 is 3/0, −3 is 4/0.
    #[must_use]
    pub fn new(number: i8) -> Option<Self> {
        (LARGEST..=SMALLEST).contains(&number).then_some(Self(number))
    }

    /// The number, 0 and less for 1/0 and larger.
    #[must_use]
    pub const fn number(self) -> i8 {
        self.0
    }

    /// Every size, the thickest first.
    pub fn all() -> impl Iterator<Item = Self> {
        (LARGEST..=SMALLEST).map(Self)
    }

    /// The diameter of the solid conductor (ASTM B258).
    #[must_use]
    pub fn diameter(self) -> Metres {
        Metres(0.005 * 0.0254 * 92_f64.powf((36.0 - f64::from(self.0)) / 39.0))
    }

    /// The cross-section of the solid conductor.
    #[must_use]
    pub fn area(self) -> SquareMillimetres {
        let millimetres = self.diameter().value() * 1e3;
        SquareMillimetres(FRAC_PI_4 * millimetres * millimetres)
    }

    /// The gauge that a text names, if it speaks of a gauge at all.
    fn read(text: &str) -> Option<Result<Self, QuantityError>> {
        let text = text.trim();
        let upper = text.to_ascii_uppercase();
        let number = upper.strip_suffix("AWG").or_else(|| upper.strip_prefix("AWG"))?.trim();
        let gauge = match number.strip_suffix("/0") {
            Some(zeros) => zeros.trim().parse::<i8>().ok().filter(|n| (1..=4).contains(n)).map(|n| 1 - n),
            // 00, 000 and 0000 are other names of 2/0, 3/0 and 4/0.
            None if (1..=4).contains(&number.len()) && number.bytes().all(|byte| byte == b'0') => {
                i8::try_from(number.len()).ok().map(|zeros| 1 - zeros)
            }
            None if number.bytes().all(|byte| byte.is_ascii_digit()) => number.parse::<i8>().ok(),
            None => None,
        };
        let wrong =
            || QuantityError::new(text, "a cross-section", QuantityFault::NoSuchGauge, "18 AWG, or 2/0 AWG");
        Some(gauge.and_then(Self::new).ok_or_else(wrong))
    }
}

impl fmt::Display for Awg {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = if self.0 <= 0 { format!("{}/0 AWG", 1 - self.0) } else { format!("{} AWG", self.0) };
        f.pad(&text)
    }
}

/// The size of a conductor as a file states it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WireSize {
    /// A nominal area.
    Area(SquareMillimetres),
    /// A gauge.
    Gauge(Awg),
}

impl WireSize {
    /// The nominal cross-section.
    #[must_use]
    pub fn area(self) -> SquareMillimetres {
        match self {
            Self::Area(area) => area,
            Self::Gauge(gauge) => gauge.area(),
        }
    }
}

impl Written for WireSize {
    /// Reads `0.75 mm2`, `0.75 mm²`, `18 AWG`, `18AWG`, `4/0 AWG`.
    fn parse(text: &str) -> Result<Self, QuantityError> {
        match Awg::read(text) {
            Some(gauge) => gauge.map(Self::Gauge),
            None => SquareMillimetres::parse(text).map(Self::Area),
        }
    }

    fn parse_above_zero(text: &str) -> Result<Self, QuantityError> {
        match Awg::read(text) {
            Some(gauge) => gauge.map(Self::Gauge),
            None => SquareMillimetres::parse_above_zero(text).map(Self::Area),
        }
    }

    fn written(&self) -> String {
        match self {
            Self::Area(area) => area.written(),
            Self::Gauge(gauge) => gauge.to_string(),
        }
    }
}

impl fmt::Display for WireSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Area(area) => area.fmt(f),
            Self::Gauge(gauge) => gauge.fmt(f),
        }
    }
}

/// In JSON as [`Written::written`] prints it.
impl serde::Serialize for WireSize {
    fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(&self.written())
    }
}

impl<'de> serde::Deserialize<'de> for WireSize {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let text = <String as serde::Deserialize>::deserialize(from)?;
        Self::parse_above_zero(&text).map_err(serde::de::Error::custom)
    }
}
