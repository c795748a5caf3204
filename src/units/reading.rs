//! A reading as a person types it at the prompt.
//!
//! The resolution is one unit of the last digit typed: `12.4` is to 0.1 V, `4k7` to 100 Ω, `30 mV` to 1 mV. The text is
//! kept as typed; the rest follows from it and from the unit, so that a journal can hold only what was typed to account.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::amount::Amount;
use super::decimal::Decimal;
use super::error::{QuantityError, QuantityFault};
use super::kind::Kind;
use super::measure::{Measure, Unit};
use super::show::{self, Letters};
use super::symbol::{Spelling, Symbol};
use super::written::within_sense;

/// What the meter showed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Seen {
    /// A value that stands still.
    Steady(Amount),
    /// `OL`: more ohms than the meter can show.
    Over,
    /// It will not stand still; the ends if they were given, `high` left out also where it went to `OL`.
    Jumps {
        /// The least that was seen.
        low: Option<Amount>,
        /// The most that was seen.
        high: Option<Amount>,
    },
}

/// A reading: what was typed and what was understood.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Recorded", into = "Recorded")]
pub struct Reading {
    text: String,
    unit: Unit,
    seen: Seen,
    /// In the base unit; nothing unless the reading is steady.
    resolution: Option<f64>,
}

/// Longer than anything a meter shows.
const LONGEST: usize = 64;

impl Reading {
    /// Reads what was typed where a reading in `unit` is wanted: `12.41 V`, `12,41`, `4k7`, `OL`, `-0.02`,
    /// `0.1..4.8`, `jumps`, `30 mV`.
    ///
    /// # Errors
    ///
    /// No number, a unit of something else, `OL` where no ohms are read, or beyond all sense (`1e400 V`).
    pub fn parse(text: &str, unit: Unit) -> Result<Self, QuantityError> {
        let text = text.trim();
        let kind = unit.measure().kind();
        let wrong = |fault| Err(QuantityError::new(text, kind.noun(), fault, kind.example()));
        if text.is_empty() {
            return wrong(QuantityFault::Empty);
        }
        if text.len() > LONGEST || text.chars().any(char::is_control) {
            return wrong(QuantityFault::NotANumber);
        }
        if is_over(text) {
            return Self::over(text, unit);
        }
        if matches!(text.to_lowercase().as_str(), "jumps" | "jump" | "salta") {
            return Ok(Self::of(text, unit, Seen::Jumps { low: None, high: None }));
        }
        if let Some((one, other)) = ends(text) {
            return Self::jumping(text, unit, one, other);
        }
        let (value, resolution) = number(text, unit)?;
        let steady = Self::of(text, value.unit(), Seen::Steady(value));
        Ok(Self { resolution: Some(resolution), ..steady })
    }

    fn of(text: &str, unit: Unit, seen: Seen) -> Self {
        Self { text: text.to_owned(), unit, seen, resolution: None }
    }

    fn over(text: &str, unit: Unit) -> Result<Self, QuantityError> {
        if unit.measure() == Measure::Ohms {
            return Ok(Self::of(text, unit, Seen::Over));
        }
        let kind = unit.measure().kind();
        let write = format!("the reading on a higher range: {}", kind.example());
        Err(QuantityError::new(text, kind.noun(), QuantityFault::OverRange, write))
    }

    /// Two ends of what will not stand still; an end without a unit has that of the second one.
    fn jumping(text: &str, unit: Unit, one: &str, other: &str) -> Result<Self, QuantityError> {
        let end = |text: &str, unit: Unit| {
            if is_over(text) {
                return Self::over(text, unit).map(|_| None);
            }
            number(text, unit).map(|(value, _)| Some(value))
        };
        let last = end(other, unit)?;
        let unit = last.map_or(unit, Amount::unit);
        let first = end(one, unit)?;
        let (low, high) = match (first, last) {
            (Some(first), Some(last)) if first > last => (Some(last), Some(first)),
            (None, last) => (last, None),
            both => both,
        };
        Ok(Self::of(text, unit, Seen::Jumps { low, high }))
    }

    /// What was typed, without the spaces around it.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// What was read.
    #[must_use]
    pub const fn measure(&self) -> Measure {
        self.unit.measure()
    }

    /// What the meter showed.
    #[must_use]
    pub const fn seen(&self) -> Seen {
        self.seen
    }

    /// The value, if it stood still and was within the meter's range.
    #[must_use]
    pub const fn value(&self) -> Option<Amount> {
        match self.seen {
            Seen::Steady(value) => Some(value),
            Seen::Over | Seen::Jumps { .. } => None,
        }
    }

    /// One unit of the last digit typed, of a steady reading.
    #[must_use]
    pub fn resolution(&self) -> Option<Amount> {
        self.resolution.map(|step| Amount::new(self.measure().unit(), step))
    }

    /// What was understood, to be shown before it is recorded: `0.03 V = 30 mV`, or `30 psi = 2.07 bar` where the
    /// step is in bar. Where the second form is the first, it stands alone.
    #[must_use]
    pub const fn echo(&self, unit: Unit) -> Echo<'_> {
        Echo { reading: self, unit }
    }

    fn steady_in(&self, value: Amount, symbol: Symbol, letters: Letters) -> String {
        show::to_resolution(value.value(), self.resolution.unwrap_or(f64::MIN_POSITIVE), symbol, letters)
    }

    fn show(&self, letters: Letters) -> String {
        let end = |end: Amount| match letters {
            Letters::All => end.to_string(),
            Letters::Ascii => format!("{end:#}"),
        };
        match self.seen {
            Seen::Steady(value) => self.steady_in(value, self.unit.symbol, letters),
            Seen::Over => "OL".to_owned(),
            Seen::Jumps { low: Some(low), high: Some(high) } => {
                format!("{} .. {}, jumps", end(low), end(high))
            }
            Seen::Jumps { low: Some(low), high: None } => format!("{} .. OL, jumps", end(low)),
            Seen::Jumps { .. } => "jumps".to_owned(),
        }
    }
}

/// With the digits that were typed, in the unit that was typed: `12.40 V`.
impl fmt::Display for Reading {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.show(Letters::of(f)))
    }
}

/// What was understood of a reading; see [`Reading::echo`].
#[derive(Debug, Clone, Copy)]
pub struct Echo<'a> {
    reading: &'a Reading,
    unit: Unit,
}

impl fmt::Display for Echo<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (reading, letters) = (self.reading, Letters::of(f));
        let typed = reading.show(letters);
        let Some(value) = reading.value().filter(|value| value.measure() == self.unit.measure()) else {
            return f.pad(&typed);
        };
        let symbol = reading.unit.symbol;
        let second = if symbol.row == self.unit.symbol.row {
            show::handiest(value.value(), symbol)
        } else {
            self.unit.symbol
        };
        let second = reading.steady_in(value, second, letters);
        f.pad(&if second == typed { typed } else { format!("{typed} = {second}") })
    }
}

/// Whether a text is `OL` as meters print it: `OL`, `O.L`, `0L`, `OL MΩ`.
fn is_over(text: &str) -> bool {
    let bare: String = text.chars().filter(|c| *c != '.' && !c.is_whitespace()).collect();
    let mut letters = bare.chars();
    let starts = matches!(letters.next(), Some('O' | 'o' | '0')) && matches!(letters.next(), Some('L' | 'l'));
    let unit = letters.as_str();
    let is_unit = || {
        Symbol::find(unit, Spelling::Loose).is_some() || Symbol::base(Kind::Ohms).with_prefix(unit).is_some()
    };
    starts && (unit.is_empty() || is_unit())
}

/// The two ends of a text that says between what a reading jumps.
fn ends(text: &str) -> Option<(&str, &str)> {
    let (one, other) = text.split_once("..").or_else(|| text.split_once('…'))?;
    Some((one.trim(), other.trim_start_matches('.').trim()))
}

/// A typed number with its resolution in the base unit.
fn number(text: &str, unit: Unit) -> Result<(Amount, f64), QuantityError> {
    let measure = unit.measure();
    let kind = measure.kind();
    let wrong = || QuantityError::new(text, kind.noun(), QuantityFault::NotANumber, kind.example());
    let code = Decimal::take_code(text).filter(|_| measure == Measure::Ohms);
    let is_code = code.is_some();
    let (decimal, rest) = code.or_else(|| Decimal::take(text)).ok_or_else(wrong)?;
    // The letter of a code is its prefix, whatever unit the step is in.
    let symbol = typed_unit(text, rest.trim(), if is_code { measure.unit() } else { unit })?;
    if is_code && symbol != measure.unit().symbol {
        return Err(wrong());
    }
    let value = symbol.to_base(decimal.value(symbol.power()));
    let resolution = symbol.step_to_base(decimal.resolution(symbol.power()));
    within_sense(value, &decimal, text, kind)?;
    if !resolution.is_normal() {
        return Err(wrong());
    }
    let symbol = if is_code { show::handiest(value, symbol) } else { symbol };
    Ok((Amount::new(Unit { measure, symbol }, value), resolution))
}

/// The unit that was typed: as in a file, or a bare prefix, or in the wrong case, or none.
fn typed_unit(text: &str, rest: &str, unit: Unit) -> Result<Symbol, QuantityError> {
    if rest.is_empty() {
        return Ok(unit.symbol);
    }
    let kind = unit.measure().kind();
    let exact = Symbol::find(rest, Spelling::Exact);
    let prefix = unit.symbol.with_prefix(rest);
    let loose = Symbol::find(rest, Spelling::Loose);
    let meant = [exact, prefix, loose].into_iter().flatten();
    if let Some(symbol) = meant.clone().find(|symbol| symbol.row.kind == kind) {
        return Ok(symbol);
    }
    let fault = match meant.into_iter().next() {
        Some(other) => QuantityFault::OtherKind { is: other.row.kind.noun() },
        None => QuantityFault::UnknownUnit { unit: super::error::quoted(rest) },
    };
    let write = text.strip_suffix(rest).and_then(|low| two_ends(low, rest));
    Err(QuantityError::new(text, kind.noun(), fault, write.unwrap_or_else(|| kind.example().to_owned())))
}

/// What to write where somebody put a dash or a word between two ends.
fn two_ends(low: &str, rest: &str) -> Option<String> {
    let high = ["-", "\u{2013}", "to "].iter().find_map(|between| rest.strip_prefix(between))?.trim();
    high.starts_with(|first: char| first.is_ascii_digit()).then(|| format!("{}..{high}", low.trim()))
}

/// A reading in a journal: what was typed and in which unit it was taken, and for the reader what that came to.
#[derive(Debug, Clone, Serialize, Deserialize)]
struct Recorded {
    text: String,
    measure: Measure,
    unit: String,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    value: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    resolution: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    shows: Option<String>,
}

impl From<Reading> for Recorded {
    fn from(reading: Reading) -> Self {
        Self {
            measure: reading.measure(),
            unit: reading.unit.ascii(),
            value: reading.value().map(Amount::value),
            resolution: reading.resolution,
            shows: reading.value().is_none().then(|| reading.show(Letters::Ascii)),
            text: reading.text,
        }
    }
}

impl TryFrom<Recorded> for Reading {
    type Error = String;

    /// Reads the text again, and refuses a record whose figures are not those of its text.
    fn try_from(recorded: Recorded) -> Result<Self, String> {
        let Recorded { text, measure, unit, value, .. } = recorded;
        let unit = Unit::named(measure, &unit)
            .ok_or_else(|| format!("`{}` is no unit of {measure}", super::error::quoted(&unit)))?;
        let reading = Self::parse(&text, unit).map_err(|error| error.to_string())?;
        let same = match (reading.value().map(Amount::value), value) {
            (Some(read), Some(recorded)) => (read - recorded).abs() <= 1e-9 * read.abs(),
            (read, recorded) => read.is_none() && recorded.is_none(),
        };
        if same { Ok(reading) } else { Err(format!("the value beside `{}` is not its value", reading.text)) }
    }
}
