//! Quantities, readings, bands and meter accuracy against published figures.

mod any_text;
mod bands;
mod meter;
mod quantities;
mod readings;

use loomwalk::units::{Amount, Band, Measure, QuantityError, Reading, Written};

pub(crate) fn close(got: f64, wanted: f64, tolerance: f64) {
    assert!((got - wanted).abs() <= tolerance, "{got} is not {wanted} ± {tolerance}");
}

pub(crate) fn relative(got: f64, wanted: f64, share: f64) {
    close(got, wanted, share * wanted.abs());
}

pub(crate) fn typed(text: &str, measure: Measure) -> Reading {
    Reading::parse(text, measure.unit()).unwrap_or_else(|error| panic!("{text}: {error}"))
}

pub(crate) fn amount(measure: Measure, text: &str) -> Amount {
    measure.parse(text).unwrap_or_else(|error| panic!("{text}: {error}"))
}

/// A band from the texts of its edges; an empty text is no edge.
pub(crate) fn band(measure: Measure, from: &str, to: &str) -> Band {
    let edge = |text: &str| (!text.is_empty()).then(|| amount(measure, text));
    Band::new(measure, edge(from), edge(to)).expect("a band")
}

pub(crate) fn fault<T: Written + std::fmt::Debug>(text: &str) -> QuantityError {
    T::parse(text).expect_err(text)
}
