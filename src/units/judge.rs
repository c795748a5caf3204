//! Which band a reading belongs to, and how sure that is.
//!
//! The error of a reading is taken as normal about the value read, with the standard uncertainty of its limits of error;
//! the chance of a band is the normal probability of it, an approximation (JCGM 106:2012 7.2). For a single rectangular
//! error the exact chance can differ (a reading accepted with 0.954 here would be accepted with 0.985). The 95 % interval is value ± 2 u (JCGM 100:2008 6.3.3, k = 2).

use serde::{Deserialize, Serialize};

use super::amount::Amount;
use super::band::Band;
use super::measure::Measure;
use super::normal::normal_between;
use super::reading::{Reading, Seen};

/// Spread of contacts and of the model, as a share of the predicted value. Our choice, no source.
pub const SPREAD: f64 = 0.03;

/// Coverage factor of the 95 % interval.
const COVERAGE: f64 = 2.0;

/// A value and its standard uncertainty, both in the base unit of the measure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    value: Amount,
    u: f64,
}

/// How likely a band is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct BandChance {
    /// The place of the band in its set.
    pub band: usize,
    /// The probability that the true value lies in it, normal approximation.
    pub chance: f64,
}

/// Where a reading belongs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// The 95 % interval lies in this band.
    In(usize),
    /// The 95 % interval straddles an edge: the bands it touches, the likeliest first.
    TooClose(Vec<BandChance>),
    /// No band takes it.
    Nowhere,
}

impl Estimate {
    /// An estimate with a given standard uncertainty, in the base unit of the value's measure.
    #[must_use]
    pub fn new(value: Amount, standard_uncertainty: f64) -> Self {
        Self { value, u: standard_uncertainty.abs() }
    }

    /// From a limit of error within which every value is as likely: u = a/√3 (JCGM 100:2008 4.3.7).
    #[must_use]
    pub fn rectangular(value: Amount, limit: f64) -> Self {
        Self::new(value, limit / 3_f64.sqrt())
    }

    /// From a limit of error towards which values become rare: u = a/√6 (JCGM 100:2008 4.3.9).
    #[must_use]
    pub fn triangular(value: Amount, limit: f64) -> Self {
        Self::new(value, limit / 6_f64.sqrt())
    }

    /// The value.
    #[must_use]
    pub const fn value(self) -> Amount {
        self.value
    }

    /// The standard uncertainty, in the base unit.
    #[must_use]
    pub const fn standard_uncertainty(self) -> f64 {
        self.u
    }

    /// The same with the spread of contacts and of the model added in quadrature: [`SPREAD`] of what was predicted.
    #[must_use]
    pub fn with_spread(self, predicted: Amount) -> Self {
        self.with_part(SPREAD, predicted)
    }

    /// The same with another share of what was predicted.
    #[must_use]
    pub fn with_part(self, part: f64, predicted: Amount) -> Self {
        Self { u: self.u.hypot(part * predicted.value()), ..self }
    }

    /// The interval that holds the true value with 95 %: value ± 2 u.
    #[must_use]
    pub fn interval(self) -> (Amount, Amount) {
        let (low, high) = self.ends();
        (Amount::new(self.value.unit(), low), Amount::new(self.value.unit(), high))
    }

    /// The probability that the true value lies in a band, normal approximation.
    ///
    /// A band that begins at the least value of its measure takes what lies below, too.
    #[must_use]
    pub fn chance_in(self, band: Band) -> f64 {
        let span = band.span().filter(|_| band.measure() == self.value.measure());
        span.map_or(0.0, |(low, high)| self.chance_between(opened(low, band.measure()), high))
    }

    /// Which of the bands it belongs to.
    #[must_use]
    pub fn judge(self, bands: &[Band]) -> Verdict {
        let (low, high) = self.ends();
        let mut touched: Vec<BandChance> = Vec::new();
        for (band, from, to) in spans(self.value.measure(), bands) {
            if from <= low && high < to {
                return Verdict::In(band);
            }
            if from <= high && low < to {
                touched.push(BandChance { band, chance: self.chance_between(from, to) });
            }
        }
        touched.sort_by(|one, other| other.chance.total_cmp(&one.chance));
        if touched.is_empty() { Verdict::Nowhere } else { Verdict::TooClose(touched) }
    }

    fn ends(self) -> (f64, f64) {
        let reach = COVERAGE * self.u;
        (self.value.value() - reach, self.value.value() + reach)
    }

    fn chance_between(self, low: f64, high: f64) -> f64 {
        let value = self.value.value();
        if self.u > 0.0 && self.u.is_finite() && value.is_finite() {
            return normal_between((low - value) / self.u, (high - value) / self.u);
        }
        // No uncertainty, or ohms without end: it is where it is, and what has no end is in the open band.
        if low <= value && (value < high || high == f64::INFINITY) { 1.0 } else { 0.0 }
    }

    fn scaled(self, factor: f64) -> Self {
        Self { value: Amount::new(self.value.unit(), self.value.value() * factor), u: self.u * factor }
    }
}

/// The edges of every band of a measure; the lowest one is opened below if it begins at the least value there is.
fn spans(measure: Measure, bands: &[Band]) -> Vec<(usize, f64, f64)> {
    let own = bands.iter().enumerate().filter(|(_, band)| band.measure() == measure);
    let mut spans: Vec<_> =
        own.filter_map(|(at, band)| band.span().map(|(low, high)| (at, low, high))).collect();
    let reaches_below = measure.floor().is_some_and(|floor| spans.iter().any(|span| span.1 < floor.value()));
    if !reaches_below {
        for span in &mut spans {
            span.1 = opened(span.1, measure);
        }
    }
    spans
}

/// The lower edge of a band, opened where it is the least value that there is: a meter can show a little less.
fn opened(low: f64, measure: Measure) -> f64 {
    let at_floor = measure.floor().is_some_and(|floor| low.total_cmp(&floor.value()).is_eq());
    if at_floor { f64::NEG_INFINITY } else { low }
}

/// The band in which a reading falls as it stands, its uncertainty left aside.
///
/// `OL` falls in the band of ohms that is open at the top. A reading that jumps falls in the band for such readings,
/// or, without one, in the band that holds both its ends.
#[must_use]
pub fn place(reading: &Reading, bands: &[Band]) -> Option<usize> {
    let spans = spans(reading.measure(), bands);
    let holder = |value: f64| spans.iter().find(|span| span.1 <= value && value < span.2).map(|span| span.0);
    match reading.seen() {
        Seen::Steady(value) => holder(value.value()),
        Seen::Over => top(&spans),
        Seen::Jumps { low, high } => {
            let jumping = bands.iter().position(|band| band.jumps() && band.measure() == reading.measure());
            jumping.or_else(|| {
                let low = holder(low?.value());
                let high = high.map_or_else(|| top(&spans), |high| holder(high.value()));
                low.filter(|low| high == Some(*low))
            })
        }
    }
}

fn top(spans: &[(usize, f64, f64)]) -> Option<usize> {
    spans.iter().find(|span| span.2 == f64::INFINITY).map(|span| span.0)
}

/// What was probably meant, where a reading fits none of the plausible ranges and a thousand times more or less does:
/// "30 V or 30 mV?". Empty where the reading fits as it is, or where nothing does.
#[must_use]
pub fn thousandfold(read: Estimate, plausible: &[Band]) -> Vec<Amount> {
    let measure = read.value().measure();
    if matches!(measure, Measure::Percent | Measure::Temperature | Measure::Rpm)
        || read.value().value() == 0.0
    {
        return Vec::new();
    }
    let fits = |estimate: Estimate| {
        let (low, high) = estimate.ends();
        spans(measure, plausible).iter().any(|(_, from, to)| *from <= high && low < *to)
    };
    if fits(read) {
        return Vec::new();
    }
    let others = [1e-3, 1e3].map(|factor| read.scaled(factor));
    others.into_iter().filter(|other| fits(*other)).map(Estimate::value).collect()
}
