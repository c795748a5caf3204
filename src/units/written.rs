//! Quantities as they stand in a file: the unit is obligatory, the decimal mark is a point.
//!
//! Only resistance codes (IEC 60062: `4k7`, `0R5`, `1M`) stand without a unit.

use super::decimal::Decimal;
use super::error::{QuantityError, QuantityFault};
use super::kind::Kind;
use super::show::{self, Letters};
use super::symbol::{Spelling, Symbol};

/// Longer than anything that is a quantity.
const LONGEST: usize = 64;

/// A quantity that can stand in a file.
pub trait Written: Sized {
    /// Reads one from the text of a file.
    ///
    /// # Errors
    ///
    /// Says what was written, what was expected and what to write: no number, no unit, the unit of something else,
    /// a decimal comma, beyond all sense, negative where that cannot be.
    fn parse(text: &str) -> Result<Self, QuantityError>;

    /// Reads one that has to be more than nothing: a length, a rating.
    ///
    /// # Errors
    ///
    /// As [`Written::parse`], and [`QuantityFault::Zero`] for nothing or less.
    fn parse_above_zero(text: &str) -> Result<Self, QuantityError>;

    /// The form that [`Written::parse`] reads back to the same value, bit for bit, in ASCII.
    fn written(&self) -> String;
}

/// Reads a quantity of one kind from a file; gives the base value and the unit that stood there.
pub(super) fn quantity(text: &str, kind: Kind) -> Result<(f64, Symbol), QuantityError> {
    let text = text.trim();
    let wrong = |fault, write: String| QuantityError::new(text, kind.noun(), fault, write);
    let example = || kind.example().to_owned();
    if text.is_empty() {
        return Err(wrong(QuantityFault::Empty, example()));
    }
    if text.len() > LONGEST {
        return Err(wrong(QuantityFault::NotANumber, example()));
    }
    if let Some((code, rest)) = Decimal::take_code(text) {
        return coded(&code, rest.trim(), text, kind);
    }
    let (number, rest) = Decimal::take(text).ok_or_else(|| wrong(QuantityFault::NotANumber, example()))?;
    if number.comma {
        let point = text.replacen(',', ".", 1);
        let write = quantity(&point, kind).err().map_or(point, |error| error.write);
        return Err(wrong(QuantityFault::DecimalComma, write));
    }
    let symbol = unit(text, rest.trim(), kind)?;
    sane(&number, symbol, text, kind)
}

/// A resistance code: ohms, and no other unit behind it.
fn coded(code: &Decimal, rest: &str, text: &str, kind: Kind) -> Result<(f64, Symbol), QuantityError> {
    let base = Symbol::base(kind);
    let wrong = |fault| Err(QuantityError::new(text, kind.noun(), fault, kind.example()));
    if kind != Kind::Ohms {
        return wrong(QuantityFault::OtherKind { is: Kind::Ohms.noun() });
    }
    if !rest.is_empty() && unit(text, rest, kind)? != base {
        return wrong(QuantityFault::NotANumber);
    }
    sane(code, base, text, kind)
}

/// The unit that follows a number in a file.
fn unit(text: &str, rest: &str, kind: Kind) -> Result<Symbol, QuantityError> {
    let wrong = |fault, write: String| QuantityError::new(text, kind.noun(), fault, write);
    let base = Symbol::base(kind);
    if rest.is_empty() {
        return Err(wrong(QuantityFault::NoUnit, format!("{text} {}", base.ascii())));
    }
    if let Some(symbol) = Symbol::find(rest, Spelling::Exact) {
        if symbol.row.kind == kind {
            return Ok(symbol);
        }
        let fault = QuantityFault::OtherKind { is: symbol.row.kind.noun() };
        return Err(wrong(fault, kind.example().to_owned()));
    }
    let meant = base.with_prefix(rest).or_else(|| Symbol::find(rest, Spelling::Loose));
    let write = meant
        .filter(|meant| meant.row.kind == kind)
        .and_then(|meant| Some(format!("{} {}", text.strip_suffix(rest)?.trim(), meant.ascii())))
        .unwrap_or_else(|| kind.example().to_owned());
    Err(wrong(QuantityFault::UnknownUnit { unit: super::error::quoted(rest) }, write))
}

fn sane(number: &Decimal, symbol: Symbol, text: &str, kind: Kind) -> Result<(f64, Symbol), QuantityError> {
    let value = symbol.to_base(number.value(symbol.power()));
    if value < 0.0 && !kind.may_be_negative() {
        let fault = QuantityFault::Negative;
        return Err(QuantityError::new(text, kind.noun(), fault, text.trim_start_matches(['-', '\u{2212}'])));
    }
    within_sense(value, number, text, kind)?;
    Ok((value, symbol))
}

/// Refuses what is beyond anything that can be meant.
pub(super) fn within_sense(
    value: f64,
    number: &Decimal,
    text: &str,
    kind: Kind,
) -> Result<(), QuantityError> {
    let (least, most) = kind.limits();
    if (least..=most).contains(&value) && !number.vanishes() {
        return Ok(());
    }
    let shown = |limit| show::handy(limit, kind, Letters::All);
    let fault = QuantityFault::Absurd { least: shown(least), most: shown(most) };
    Err(QuantityError::new(text, kind.noun(), fault, kind.example()))
}

macro_rules! written {
    ($($name:ident is $kind:ident),+ $(,)?) => {$(
        impl Written for super::quantity::$name {
            fn parse(text: &str) -> Result<Self, QuantityError> {
                quantity(text, Kind::$kind).map(|(value, _)| Self(value))
            }

            fn parse_above_zero(text: &str) -> Result<Self, QuantityError> {
                let (value, _) = quantity(text, Kind::$kind)?;
                if value > 0.0 {
                    return Ok(Self(value));
                }
                let (noun, example) = (Kind::$kind.noun(), Kind::$kind.example());
                Err(QuantityError::new(text, noun, QuantityFault::Zero, example))
            }

            fn written(&self) -> String {
                show::exact(self.0, Kind::$kind, Letters::Ascii)
            }
        }

        impl std::fmt::Display for super::quantity::$name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(&show::handy(self.0, Kind::$kind, Letters::of(f)))
            }
        }
    )+};
}

written! {
    Volts is Volts, Ohms is Ohms, Amps is Amps, Hertz is Hertz, Percent is Percent, Bar is Pressure,
    Celsius is Temperature, Rpm is Rpm, Watts is Watts, Metres is Length, SquareMillimetres is Area,
    Minutes is Time,
}
