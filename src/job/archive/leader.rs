//! Whether the suspects were right: was the likeliest one, just before the finding, among those that it names?

use crate::job::journal::{FileLayer, read_journal};
use crate::job::kept::Kept;
use crate::job::place::JobPlace;
use crate::job::replay::replay;
use crate::reason::Observed;
use crate::tree::Kind;

/// Replays a job and weighs the evidence of its last round; `None` where it has no finding or cannot be replayed.
#[must_use]
pub fn leader_was_found(layer: &dyn FileLayer, place: &JobPlace) -> Option<bool> {
    let found = read_journal::<Kept>(layer, place).ok()?;
    let walk = replay(&found.records).ok()?.walk;
    let (find, round) = *walk.findings().last()?;
    let Kind::Find(named) = &walk.course().tree().step(find).kind else { return None };
    let observed = Observed { at: None, seen: walk.seen_in(round), ..walk.observed() };
    let whereabouts = observed.whereabouts()?;
    let leader =
        whereabouts.suspects.iter().max_by(|a, b| a.probability.value().total_cmp(&b.probability.value()))?;
    Some(named.faults.contains(&leader.fault))
}
