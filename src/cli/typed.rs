//! Quantities as they are typed after an option: each error is one line that names the option.
//!
//! Options take texts, not numbers, so that `-5ft` reaches the one place that says what is wrong with it.

use crate::repair::{Measured, Read};
use crate::units::{Measure, Meter, Reading, WireSize, Written};

use super::Failure;

/// A quantity above zero, unit obligatory.
pub(super) fn above_zero<Q: Written>(option: &str, text: &str) -> Result<Q, Failure> {
    Q::parse_above_zero(text).map_err(|error| failure(option, &error))
}

/// The size of a wire; a bare number could be either kind, and is not guessed.
pub(super) fn size(option: &str, text: &str) -> Result<WireSize, Failure> {
    let bare = text.trim();
    if !is_bare(bare) {
        return above_zero(option, text);
    }
    let written = [format!("{bare}AWG"), format!("{bare}mm2")];
    let meant: Vec<&str> =
        written.iter().map(String::as_str).filter(|text| WireSize::parse_above_zero(text).is_ok()).collect();
    match meant.as_slice() {
        [] => above_zero(option, &written[1]),
        _ => {
            Err(Failure::usage(format!("{option}: `{bare}` has no unit; write it as {}", meant.join(" or "))))
        }
    }
}

/// A quantity above zero whose unit may be left out, because the option's name says it.
pub(super) fn bare_above_zero<Q: Written>(option: &str, text: &str, unit: &str) -> Result<Q, Failure> {
    above_zero(option, &with_unit(text, unit))
}

/// A quantity whose unit may be left out, because the option's name says it.
pub(super) fn bare<Q: Written>(option: &str, text: &str, unit: &str) -> Result<Q, Failure> {
    Q::parse(&with_unit(text, unit)).map_err(|error| failure(option, &error))
}

/// The accuracy of a meter.
pub(super) fn meter(text: Option<&str>) -> Result<Meter, Failure> {
    text.map_or_else(
        || Ok(Meter::default()),
        |text| Meter::parse(text).map_err(|error| failure("--meter", &error)),
    )
}

/// A value that was read from a meter, with the limit of its error by the digits typed.
pub(super) fn measured<Q: Read>(
    option: &str,
    text: &str,
    (measure, meter): (Measure, Meter),
) -> Result<Measured<Q>, Failure> {
    let reading = Reading::parse(text, measure.unit()).map_err(|error| failure(option, &error))?;
    let (Some(value), Some(limit)) = (reading.value(), meter.limit_of_error(&reading)) else {
        return Err(Failure::usage(format!("{option}: `{reading}` is not one steady value")));
    };
    Ok(Measured { value: Q::of(value.value()), limit: Q::of(limit.value()) })
}

/// Whether a text is a number and nothing else; `NaN` and `inf` are none.
pub(super) fn is_bare(text: &str) -> bool {
    text.trim().parse().is_ok_and(f64::is_finite)
}

fn with_unit(text: &str, unit: &str) -> String {
    if is_bare(text) { format!("{} {unit}", text.trim()) } else { text.to_owned() }
}

fn failure(option: &str, error: &crate::units::QuantityError) -> Failure {
    Failure::usage(format!("{option}: {error}; write it as {}", error.write))
}
