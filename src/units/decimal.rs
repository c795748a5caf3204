//! Decimal numbers as text: the digits are kept, so that value and resolution are both exact.
//!
//! Resistance codes by IEC 60062: a letter stands where the decimal point would (`4k7`, `0R5`, `1M`).

/// A number as it was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Decimal {
    negative: bool,
    /// All digits, the decimal mark taken out.
    digits: String,
    /// Power of ten of the last digit.
    last: i32,
    /// The decimal mark was a comma.
    pub(super) comma: bool,
}

/// More than this many digits of an exponent is beyond any number.
const EXPONENT_DIGITS: usize = 4;

impl Decimal {
    /// Takes a number off the front of a text; gives it and what follows.
    pub(super) fn take(text: &str) -> Option<(Self, &str)> {
        let (negative, body) = sign(text);
        let (whole, rest) = digits(body.trim_start());
        let mark = rest.chars().next().filter(|mark| matches!(mark, '.' | ','));
        let (part, rest) = match mark {
            Some(_) => digits(&rest[1..]),
            None => ("", rest),
        };
        if whole.is_empty() && part.is_empty() {
            return None;
        }
        let (exponent, rest) = exponent(rest)?;
        if rest.starts_with(|next: char| next == '.' || next == ',' || next.is_ascii_digit()) {
            return None;
        }
        let last = exponent - i32::try_from(part.len()).ok()?;
        Some((Self { negative, digits: format!("{whole}{part}"), last, comma: mark == Some(',') }, rest))
    }

    /// Takes a resistance code of IEC 60062 off the front of a text; gives it in ohms and what follows.
    pub(super) fn take_code(text: &str) -> Option<(Self, &str)> {
        let (whole, rest) = digits(text);
        let letter = rest.chars().next()?;
        let power = match letter {
            'R' => 0,
            'k' | 'K' => 3,
            'M' => 6,
            'G' => 9,
            _ => return None,
        };
        let (part, rest) = digits(&rest[1..]);
        let ends = rest.is_empty() || rest.starts_with(char::is_whitespace);
        if (whole.is_empty() && part.is_empty()) || !ends {
            return None;
        }
        let last = power - i32::try_from(part.len()).ok()?;
        Some((Self { negative: false, digits: format!("{whole}{part}"), last, comma: false }, rest))
    }

    /// The value, times a power of ten.
    pub(super) fn value(&self, power: i32) -> f64 {
        let sign = if self.negative { "-" } else { "" };
        let exponent = self.last.saturating_add(power);
        // A digit string with an exponent always parses; what is too large becomes infinite, and is refused then.
        let value: f64 = format!("{sign}{}e{exponent}", self.digits).parse().unwrap_or(f64::INFINITY);
        if value == 0.0 { 0.0 } else { value }
    }

    /// One unit of the last digit, times a power of ten.
    pub(super) fn resolution(&self, power: i32) -> f64 {
        format!("1e{}", self.last.saturating_add(power)).parse().unwrap_or(f64::INFINITY)
    }

    /// Whether the value is zero only because it is too small for a number in any unit.
    pub(super) fn vanishes(&self) -> bool {
        self.value(-9) == 0.0 && self.digits.bytes().any(|digit| digit != b'0')
    }
}

fn sign(text: &str) -> (bool, &str) {
    if let Some(rest) = text.strip_prefix(['-', '\u{2212}']) {
        return (true, rest);
    }
    (false, text.strip_prefix('+').unwrap_or(text))
}

fn digits(text: &str) -> (&str, &str) {
    text.split_at(text.bytes().take_while(u8::is_ascii_digit).count())
}

/// An exponent, if there is one; none at all if it is longer than any number needs.
fn exponent(text: &str) -> Option<(i32, &str)> {
    let Some(body) = text.strip_prefix(['e', 'E']) else { return Some((0, text)) };
    let (negative, body) = sign(body);
    let (figures, rest) = digits(body);
    if figures.is_empty() {
        return Some((0, text));
    }
    let size: i32 = match figures.len() {
        1..=EXPONENT_DIGITS => figures.parse().ok()?,
        _ => 10_000,
    };
    Some((if negative { -size } else { size }, rest))
}
