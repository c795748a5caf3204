//! What taking every suggestion costs, in expected minutes to the finding.

use super::choice::{Done, choose, normalised};
use super::moves::Spot;
use super::worth::{Part, Weighed, Worth};
use crate::tree::{Kind, StepIx};

/// Beyond this many steps the plain rule is taken to the end.
const MOST_STEPS: usize = 300;

/// Weighted minutes from a step on, every suggestion taken.
pub(in crate::reason) fn following(worth: &Worth<'_, '_>, ix: StepIx, from: Spot, left: &[Weighed]) -> f64 {
    on(worth, (ix, from), left, &mut Vec::new())
}

fn on(worth: &Worth<'_, '_>, (ix, from): (StepIx, Spot), left: &[Weighed], done: &mut Vec<Done>) -> f64 {
    let weight: f64 = left.iter().map(|(_, weight)| weight).sum();
    if weight <= 0.0 {
        return 0.0;
    }
    let found = matches!(worth.moves.course().tree().step(ix).kind, Kind::Find(_));
    let is_done = |case| worth.is_right(ix, from, case) && worth.fate(ix, from, case).is_over;
    if left.iter().all(|(case, _)| is_done(*case)) {
        return left.iter().map(|(case, weight)| weight * worth.fate(ix, from, *case).to_repair).sum();
    }
    if found || done.len() > MOST_STEPS {
        return worth.plain(ix, from, left);
    }
    if let Some(choice) = choose(worth, ix, from, &normalised(left.to_vec()), done) {
        let mut parts = choice.parts;
        // The choice was made for weights that sum to one.
        parts.iter_mut().flat_map(|part| &mut part.cases).for_each(|(_, part)| *part *= weight);
        return weight * choice.minutes + after(worth, (choice.test, choice.at), &parts, done);
    }
    let Some(arrival) = worth.moves.arrive(ix, from) else { return worth.plain(ix, from, left) };
    let parts = worth.parts(ix, arrival.spot, left);
    weight * arrival.minutes + after(worth, (ix, arrival.spot), &parts, done)
}

/// What follows a step, by where it led.
fn after(worth: &Worth<'_, '_>, (ix, at): (StepIx, Spot), parts: &[Part], done: &mut Vec<Done>) -> f64 {
    done.push((ix, worth.moves.standing(at).now.clone()));
    let mut one = |part: &Part| match part.next {
        Some(next) => on(worth, next, &part.cases, done),
        None => worth.return_or_again(at, &part.cases),
    };
    let sum = parts.iter().map(&mut one).sum();
    done.pop();
    sum
}
