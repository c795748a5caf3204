//! Numbers as a mechanic reads them: in a handy unit, with no more digits than they are good for.

use super::kind::Kind;
use super::symbol::{Prefix, Symbol};

/// Which letters may be printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Letters {
    All,
    Ascii,
}

impl Letters {
    /// The alternate form of `Display` keeps to ASCII.
    pub(super) fn of(f: &std::fmt::Formatter<'_>) -> Self {
        if f.alternate() { Self::Ascii } else { Self::All }
    }
}

/// A number that is written out in full when it has at most this many digits …
const FULL: usize = 6;
/// … and to this many otherwise.
const SHORT: usize = 4;

/// Prints a base value in the handiest prefix of its base unit.
pub(super) fn handy(base: f64, kind: Kind, letters: Letters) -> String {
    in_symbol(base, handiest(base, Symbol::base(kind)), letters)
}

/// Prints a base value in one unit.
pub(super) fn in_symbol(base: f64, symbol: Symbol, letters: Letters) -> String {
    join(&few(symbol.in_own(base), -symbol.power()), symbol, letters)
}

/// Prints a base value so that reading it gives the same number, bit for bit.
pub(super) fn exact(base: f64, kind: Kind, letters: Letters) -> String {
    let symbol = handiest(base, Symbol::base(kind));
    join(&shifted(&format!("{base:e}"), -symbol.power()), symbol, letters)
}

/// Prints a base value in one unit, to a resolution in the base unit.
pub(super) fn to_resolution(base: f64, resolution: f64, symbol: Symbol, letters: Letters) -> String {
    let (number, step) = (symbol.in_own(base), resolution / symbol.step_to_base(1.0));
    let scale = 10_f64.powi(-symbol.power());
    // The small allowance keeps a step of exactly 0.01 from needing three decimals.
    let decimals = (-(step * scale).log10() - 1e-9).ceil().clamp(0.0, 12.0);
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to 0..=12 above")]
    let decimals = decimals as usize;
    let text = format!("{:.*}", decimals, number * scale);
    join(unsigned_zero(&text), symbol, letters)
}

/// The unit with the prefix in which a value has few leading zeros and at most three figures before the point.
pub(super) fn handiest(base: f64, unit: Symbol) -> Symbol {
    let size = base.abs();
    if size == 0.0 || !size.is_finite() {
        return unit;
    }
    let fits = |prefix: &&Prefix| {
        let unit = 10_f64.powi(prefix.power);
        if prefix.power < 0 { size < unit * 100.0 } else { size >= unit }
    };
    let printed = unit.row.printed;
    let small = printed.iter().filter(|prefix| prefix.power < 0).find(fits);
    let large = printed.iter().rev().filter(|prefix| prefix.power > 0).find(fits);
    unit.under(small.or(large))
}

fn join(number: &str, symbol: Symbol, letters: Letters) -> String {
    match letters {
        Letters::All => format!("{number} {}", symbol.text()),
        Letters::Ascii => format!("{number} {}", symbol.ascii()),
    }
}

/// The number times a power of ten, in full if that is short, else to four figures.
fn few(number: f64, power: i32) -> String {
    let full = format!("{number:e}");
    let figures = full.bytes().take_while(|byte| *byte != b'e').filter(u8::is_ascii_digit).count();
    if figures <= FULL {
        return shifted(&full, power);
    }
    let text = shifted(&format!("{number:.*e}", SHORT - 1), power);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// A number in scientific form, times a power of ten, in plain decimal form.
fn shifted(scientific: &str, power: i32) -> String {
    let Some((figures, exponent)) = scientific.split_once('e') else { return scientific.to_owned() };
    let negative = figures.starts_with('-');
    let digits: String = figures.chars().filter(char::is_ascii_digit).collect();
    let point = exponent.parse::<i32>().unwrap_or(0) + power + 1;
    if digits.bytes().all(|digit| digit == b'0') {
        return "0".to_owned();
    }
    let plain = place_point(&digits, point);
    if negative { format!("-{plain}") } else { plain }
}

/// Puts the decimal point behind the first `point` digits.
fn place_point(digits: &str, point: i32) -> String {
    let Ok(point) = usize::try_from(point) else {
        return format!("0.{}{digits}", "0".repeat(point.unsigned_abs() as usize));
    };
    if point == 0 {
        return format!("0.{digits}");
    }
    if point >= digits.len() {
        return format!("{digits}{}", "0".repeat(point - digits.len()));
    }
    format!("{}.{}", &digits[..point], &digits[point..])
}

fn unsigned_zero(text: &str) -> &str {
    let is_zero = text.bytes().all(|byte| matches!(byte, b'-' | b'0' | b'.'));
    if is_zero { text.trim_start_matches('-') } else { text }
}
