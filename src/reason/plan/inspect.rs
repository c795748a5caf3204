//! Places where one is at fault, looked at one by one until it is found.
//!
//! Largest probability over minutes first is best (Smith 1956; Simon & Kadane 1975; Kadane & Simon
//! 1977; Heckerman, Breese & Rommelse 1995).

use crate::reason::Share;
use crate::units::Minutes;

/// A place that may be at fault.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// How often it is the one.
    pub share: Share,
    /// Minutes to look.
    pub minutes: Minutes,
}

/// The order to look in, as indices; equal ratios keep the order given, no minutes come first.
#[must_use]
pub fn inspection_order(places: &[Place]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..places.len()).collect();
    // Cross-multiplied: a place that takes no minutes needs no special case.
    order.sort_by(|a, b| {
        let (a, b) = (places[*a], places[*b]);
        let ahead = a.share.value() * b.minutes.value();
        let behind = b.share.value() * a.minutes.value();
        behind.total_cmp(&ahead)
    });
    order
}

/// Expected minutes until the place at fault is found, looking in this order.
#[must_use]
pub fn inspection_minutes(places: &[Place], order: &[usize]) -> Minutes {
    let total: f64 = places.iter().map(|place| place.share.value()).sum();
    let mut so_far = 0.0;
    let mut sum = 0.0;
    for place in order.iter().filter_map(|at| places.get(*at)) {
        so_far += place.minutes.value();
        sum += place.share.value() * so_far;
    }
    Minutes(if total > 0.0 { sum / total } else { 0.0 })
}
