//! What taking every suggestion costs, in expected minutes to the finding.

use super::choice::{choose, normalised};
use super::moves::Spot;
use super::worth::{Part, Weighed, Worth};
use crate::tree::{Kind, StepIx};

/// Beyond this many steps the plain rule is taken to the end.
const MOST_STEPS: usize = 300;

/// Weighted minutes from a step on, every suggestion taken.
pub(in crate::reason) fn following(worth: &Worth<'_, '_>, ix: StepIx, from: Spot, left: &[Weighed]) -> f64 {
    on(worth, (ix, from), left, 0)
}

fn on(worth: &Worth<'_, '_>, (ix, from): (StepIx, Spot), left: &[Weighed], steps: usize) -> f64 {
    let weight: f64 = left.iter().map(|(_, weight)| weight).sum();
    if weight <= 0.0 {
        return 0.0;
    }
    if steps > MOST_STEPS {
        return worth.plain(ix, from, left);
    }
    let found = matches!(worth.moves.course().tree().step(ix).kind, Kind::Find(_));
    if found && left.iter().all(|(case, _)| worth.is_right(ix, from, *case)) {
        return 0.0;
    }
    let rest = |parts: &[Part], at: Spot| -> f64 {
        let one = |part: &Part| match part.next {
            Some(next) => on(worth, next, &part.cases, steps + 1),
            None => worth.return_to(at, &part.cases).map_or(f64::INFINITY, |(_, minutes)| minutes),
        };
        parts.iter().map(one).sum()
    };
    if let Some(choice) = choose(worth, ix, from, &normalised(left.to_vec())) {
        let mut parts = choice.parts;
        // The choice was made for weights that sum to one.
        parts.iter_mut().flat_map(|part| &mut part.cases).for_each(|(_, part)| *part *= weight);
        return weight * choice.minutes + rest(&parts, from);
    }
    if found {
        return worth.plain(ix, from, left);
    }
    let Some(arrival) = worth.moves.arrive(ix, from) else { return worth.plain(ix, from, left) };
    weight * arrival.minutes + rest(&worth.parts(ix, arrival.spot, left), arrival.spot)
}
