//! A meter: how far its readings can be off, and what it would show.
//!
//! Limit of error a = percent of reading + counts × resolution; every value within it as likely, so u = a/√3
//! (JCGM 100:2008 4.3.7). The resistance of the test leads is measured once and taken off every reading of ohms.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::amount::Amount;
use super::band::Band;
use super::decimal::Decimal;
use super::error::{QuantityError, QuantityFault};
use super::judge::{Estimate, SPREAD, Verdict, place};
use super::measure::Measure;
use super::quantity::Ohms;
use super::reading::Reading;
use super::show::{self, Letters};
use super::written::Written as _;

/// A meter with its accuracy, its leads and its display.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Recorded", into = "Recorded")]
pub struct Meter {
    percent: f64,
    counts: f64,
    leads: Ohms,
    display: u32,
}

/// Kinds of meter, for who does not know the accuracy of theirs. The figures are our choice, no source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MeterClass {
    /// 0.1 % + 2: a meter with a certificate.
    Fine,
    /// 0.5 % + 2: a good service meter.
    Good,
    /// 1 % + 3: a plain one.
    Plain,
    /// 2 % + 5: whatever lay in the van.
    Rough,
}

impl MeterClass {
    /// Every class, the finest first.
    pub const ALL: [Self; 4] = [Self::Fine, Self::Good, Self::Plain, Self::Rough];

    /// Its word.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Fine => "fine",
            Self::Good => "good",
            Self::Plain => "plain",
            Self::Rough => "rough",
        }
    }

    /// A meter of this class.
    #[must_use]
    pub const fn meter(self) -> Meter {
        let (percent, counts) = match self {
            Self::Fine => (0.1, 2.0),
            Self::Good => (0.5, 2.0),
            Self::Plain => (1.0, 3.0),
            Self::Rough => (2.0, 5.0),
        };
        Meter { percent, counts, leads: Ohms(0.0), display: DISPLAY }
    }
}

/// Counts of a common service meter's display. Common practice, no source.
const DISPLAY: u32 = 6000;
/// The most ohms that such a meter shows before `OL`. Common practice, no source.
const MOST_OHMS: f64 = 6e7;
/// More than this in ohms is no pair of test leads; our choice, no source.
const MOST_LEADS: f64 = 10.0;
const EXPECTED: &str = "the accuracy of a meter";
const EXAMPLE: &str = "0.5%+2, or good (fine, plain, rough); with leads: 0.5%+2, leads 0.2 ohm";
/// The words before the resistance of the test leads.
const LEADS: [&str; 2] = ["leads", "puntas"];

impl Default for Meter {
    fn default() -> Self {
        MeterClass::Good.meter()
    }
}

impl Meter {
    /// Reads an accuracy as data sheets print it, `0.5%+2` or `±(0.5 % + 2 counts)`, or the word of a class; then, if
    /// it is known, the resistance of the test leads: `good, leads 0.2 ohm`.
    ///
    /// # Errors
    ///
    /// No such form, a decimal comma, more than 50 % or 1000 counts, or leads that are no leads.
    pub fn parse(text: &str) -> Result<Self, QuantityError> {
        let wrong = |fault| QuantityError::new(text, EXPECTED, fault, EXAMPLE);
        let plain = text.trim().to_lowercase();
        if let Some((meter, leads)) = LEADS.iter().find_map(|word| plain.split_once(word)) {
            let leads = leads.trim();
            let with_unit = if leads.ends_with(|c: char| c.is_ascii_digit()) { "ohm" } else { "" };
            let ohms = Ohms::parse(&format!("{leads} {with_unit}")).map_err(|e| wrong(e.fault))?;
            if !(0.0..=MOST_LEADS).contains(&ohms.value()) {
                return Err(wrong(QuantityFault::Absurd { least: "0 ohm".into(), most: "10 ohm".into() }));
            }
            return Ok(Self::parse(meter.trim_end().trim_end_matches(','))?.with_leads(ohms));
        }
        if let Some(class) = MeterClass::ALL.into_iter().find(|class| class.name() == plain) {
            return Ok(class.meter());
        }
        let plain = plain
            .trim_start_matches(['±', '(', ' '])
            .trim_start_matches("+/-")
            .trim_start_matches(['(', ' ']);
        let plain = plain.trim_end_matches([')', ' ']);
        let (percent, counts) = plain.split_once('%').ok_or_else(|| wrong(QuantityFault::NotANumber))?;
        let percent = part(percent.trim()).map_err(wrong)?;
        let counts = match counts.trim().strip_prefix('+') {
            Some(counts) => part(without_word(counts.trim())).map_err(wrong)?,
            None if counts.trim().is_empty() => 0.0,
            None => return Err(wrong(QuantityFault::NotANumber)),
        };
        if !(0.0..=50.0).contains(&percent) || !(0.0..=1000.0).contains(&counts) {
            let (least, most) = ("0%+0".to_owned(), "50%+1000".to_owned());
            return Err(wrong(QuantityFault::Absurd { least, most }));
        }
        Ok(Self { percent, counts, ..Self::default() })
    }

    /// The same meter with the resistance of its test leads, as shown with the tips held together.
    #[must_use]
    pub const fn with_leads(self, leads: Ohms) -> Self {
        Self { leads, ..self }
    }

    /// The resistance of the test leads.
    #[must_use]
    pub const fn leads(self) -> Ohms {
        self.leads
    }

    /// How far a reading can be off: percent of reading + counts × resolution; none unless it is steady.
    ///
    /// The resolution is that of the digits typed. Somebody who types `5` for a display of 5.00 left digits out: the
    /// counts are then those of the meter's own last digit, and half the digit typed is added for the rounding. One digit
    /// less is taken as a coarser range of the meter.
    #[must_use]
    pub fn limit_of_error(self, reading: &Reading) -> Option<Amount> {
        let (value, typed) = (reading.value()?, reading.resolution()?.value());
        let own = self.resolution_at(value).value();
        let left_out = typed > own * 99.0;
        let (resolution, rounding) = if left_out { (own, typed / 2.0) } else { (typed, 0.0) };
        Some(Amount::new(reading.measure().unit(), self.limit(value.value(), resolution) + rounding))
    }

    /// The value that was measured, without the test leads, and its standard uncertainty; none unless it is steady.
    #[must_use]
    pub fn estimate(self, reading: &Reading) -> Option<Estimate> {
        let value = reading.value()?;
        let limit = self.limit_of_error(reading)?;
        let corrected = value.value() - self.leads_in(value.measure());
        Some(Estimate::rectangular(Amount::new(value.unit(), corrected), limit.value()))
    }

    /// What a reading of a predicted value is to be expected as: the meter's own uncertainty at that value and the
    /// spread of contacts and model, in quadrature.
    #[must_use]
    pub fn expected(self, predicted: Amount) -> Estimate {
        self.expected_within(SPREAD, predicted)
    }

    /// The same where the model is known to be off by this share of what it predicts.
    #[must_use]
    pub fn expected_within(self, part: f64, predicted: Amount) -> Estimate {
        let resolution = self.resolution_at(predicted).value();
        let limit = self.limit(predicted.value() + self.leads_in(predicted.measure()), resolution);
        Estimate::rectangular(predicted, limit).with_part(part, predicted)
    }

    /// Which band a reading belongs to, its uncertainty considered.
    #[must_use]
    pub fn judge(self, reading: &Reading, bands: &[Band]) -> Verdict {
        match self.estimate(reading) {
            Some(estimate) => estimate.judge(bands),
            None => place(reading, bands).map_or(Verdict::Nowhere, Verdict::In),
        }
    }

    /// One unit of the last digit on the range that a self-ranging meter takes for a value.
    #[must_use]
    pub fn resolution_at(self, value: Amount) -> Amount {
        let measure = value.measure();
        let size = value.value().abs();
        // Finest ranges of a common service meter, as powers of ten. Common practice, no source.
        let mut power: i32 = match measure {
            Measure::Volts => -4,
            Measure::Amps => -3,
            Measure::Hertz => -2,
            Measure::Ohms | Measure::Percent | Measure::Pressure | Measure::Temperature => -1,
            Measure::Rpm => 0,
        };
        while size >= f64::from(self.display) * 10_f64.powi(power) && power < 12 {
            power += 1;
        }
        Amount::new(measure.unit(), 10_f64.powi(power))
    }

    /// What the meter would show for a true value; ohms that are infinite or too many are `OL`. None for what no meter
    /// can show.
    #[must_use]
    pub fn shown(self, value: Amount) -> Option<Reading> {
        let measure = value.measure();
        let shown = value.value() + self.leads_in(measure);
        if measure == Measure::Ohms && shown > MOST_OHMS {
            return Reading::parse("OL", measure.unit()).ok();
        }
        if !shown.is_finite() {
            return None;
        }
        let resolution = self.resolution_at(Amount::new(measure.unit(), shown)).value();
        // Less than the last digit shows as nothing, on the finest range and not in a smaller unit.
        let rounded = (shown / resolution).round() * resolution;
        let symbol = show::handiest(rounded.abs().max(10.0 * resolution), measure.unit().symbol);
        let text = show::to_resolution(rounded, resolution, symbol, Letters::Ascii);
        Reading::parse(&text, measure.unit()).ok()
    }

    fn accuracy(self) -> String {
        format!("{}%+{}", self.percent, self.counts)
    }

    fn limit(self, value: f64, resolution: f64) -> f64 {
        self.percent / 100.0 * value.abs() + self.counts * resolution
    }

    fn leads_in(self, measure: Measure) -> f64 {
        if measure == Measure::Ohms { self.leads.value() } else { 0.0 }
    }
}

fn without_word(counts: &str) -> &str {
    counts.trim_end_matches(|c: char| c.is_alphabetic() || c == ' ')
}

/// One number of an accuracy.
fn part(text: &str) -> Result<f64, QuantityFault> {
    match Decimal::take(text) {
        Some((number, "")) if number.comma => Err(QuantityFault::DecimalComma),
        Some((number, "")) => Ok(number.value(0)),
        _ => Err(QuantityFault::NotANumber),
    }
}

/// As on a data sheet: `0.5%+2`; with leads that count, `0.5%+2, leads 0.2 ohm`.
impl fmt::Display for Meter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let leads = self.leads.value();
        let leads = if leads > 0.0 { format!(", leads {leads} ohm") } else { String::new() };
        f.pad(&format!("{}{leads}", self.accuracy()))
    }
}

/// A meter in a journal.
#[derive(Debug, Clone, Serialize, Deserialize)]
struct Recorded {
    accuracy: String,
    leads: Ohms,
    display: u32,
}

impl From<Meter> for Recorded {
    fn from(meter: Meter) -> Self {
        Self { accuracy: meter.accuracy(), leads: meter.leads, display: meter.display }
    }
}

impl TryFrom<Recorded> for Meter {
    type Error = String;

    fn try_from(recorded: Recorded) -> Result<Self, String> {
        let Recorded { accuracy, leads, display } = recorded;
        let meter = Self::parse(&accuracy).map_err(|error| error.to_string())?;
        let sane = (0.0..=1e3).contains(&leads.value()) && (100..=10_000_000).contains(&display);
        if sane {
            Ok(Self { leads, display, ..meter })
        } else {
            Err("no meter has such leads or display".into())
        }
    }
}
