//! What an event takes by the tree and the machine, whatever the clock said: the step itself when it is left, the way
//! to its zone when the step before was elsewhere, a gate's minutes shared out over its items.

use crate::reason::{step_minutes, zone_minutes};
use crate::tree::StepIx;
use crate::units::Minutes;
use crate::walk::{Event, Now, Outcome, Walk};

/// A reading off the tree (our choice, no source).
const OWN: Minutes = Minutes(3.0);

/// What a reading off the tree takes.
#[must_use]
pub const fn own_minutes() -> Minutes {
    OWN
}

/// What an event takes that comes next in a walk.
#[must_use]
pub fn by_tree(before: &Walk, event: &Event) -> Minutes {
    match event {
        Event::Answered { .. }
        | Event::Read { .. }
        | Event::Done { .. }
        | Event::Cannot { .. }
        | Event::Ended { .. } => step_minutes_here(before),
        Event::Item { .. } => item_minutes(before),
        Event::OwnReading { .. } => OWN,
        _ => Minutes(0.0),
    }
}

/// What leaving the current step takes; nothing at a gate.
#[must_use]
pub fn step_minutes_here(walk: &Walk) -> Minutes {
    let Now::Step(ix) = walk.now() else { return Minutes(0.0) };
    let (tree, vocabulary) = (walk.course().tree(), walk.course().vocabulary());
    let step = tree.step(*ix);
    let own = step_minutes(step, vocabulary, tree.model.as_deref());
    let moved = step.zone.is_some() && step.zone.as_deref() != zone_before(walk, *ix);
    let way = if moved { zone_minutes(step.zone.as_deref(), vocabulary).value() } else { 0.0 };
    Minutes(own.value() + way)
}

/// What one item of the current gate takes.
#[must_use]
pub fn item_minutes(walk: &Walk) -> Minutes {
    let Now::Gate(at) = walk.now() else { return Minutes(0.0) };
    let items = walk.gate_items(at.gate, at.step, at.why).len().max(1);
    let share = f64::from(u32::try_from(items).unwrap_or(u32::MAX));
    Minutes(at.gate.minutes(walk.course().vocabulary()).value() / share)
}

/// The zone of the last step before this one that has one.
fn zone_before(walk: &Walk, ix: StepIx) -> Option<&str> {
    let tree = walk.course().tree();
    let mut visits = walk.visits().iter().rev();
    if walk.visits().last().is_some_and(|v| v.step == ix && v.outcome == Outcome::Open) {
        visits.next();
    }
    visits.find_map(|v| tree.step(v.step).zone.as_deref())
}
