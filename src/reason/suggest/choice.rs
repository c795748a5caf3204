//! Which jump is worth taking: the tree's own test that would be quickest now, beside the authored next
//! step.

use super::chart::CaseIx;
use super::moves::Spot;
use super::worth::{Part, Weighed, Worth};
use crate::reason::situation::Situation;
use crate::safety::GateId;
use crate::tree::{Kind, StepIx};

/// What a jump must save to be worth saying, in expected minutes: our choice, no source.
const WORTH_SAYING: f64 = 1.0;

/// Minutes closer than this are the same.
const SAME: f64 = 1e-9;

/// Why a jump is worth taking.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reason {
    /// It parts what is left sooner.
    Parts,
    /// Only one finding is left, and this shows it.
    Shows,
    /// The tree's own way from here finds nothing of what is left.
    LeadsBack,
}

/// A jump, and the first test after it that parts what is left.
#[derive(Debug, Clone)]
pub(in crate::reason) struct Choice {
    pub(in crate::reason) entry: StepIx,
    pub(in crate::reason) test: StepIx,
    pub(in crate::reason) gates: Vec<GateId>,
    /// Minutes until the test is done.
    pub(in crate::reason) minutes: f64,
    /// What is left, by the test's outcomes.
    pub(in crate::reason) parts: Vec<Part>,
    pub(in crate::reason) reason: Reason,
    /// How all stands at the test.
    pub(in crate::reason) at: Spot,
    /// Expected minutes to the finding: as the tree goes on, and by this jump.
    pub(in crate::reason) as_written: f64,
    pub(in crate::reason) so: f64,
}

/// A test that was done, and how all stood then.
pub(in crate::reason) type Done = (StepIx, Situation);

/// The best jump from a step, if it beats doing what the tree says. `left` are cases with weights that sum
/// to one; what was done already tells nothing new: a question whenever it was asked, another test where all stands
/// as it did.
pub(in crate::reason) fn choose(
    worth: &Worth<'_, '_>,
    here: StepIx,
    spot: Spot,
    left: &[Weighed],
    done: &[Done],
) -> Option<Choice> {
    // On the telephone nobody is at the machine yet.
    if left.is_empty() || is_by_telephone(worth, here) {
        return None;
    }
    let as_written = worth.plain(here, spot, left);
    let aside = worth.moves.turn_away(here, spot)?;
    let leads_on = left.iter().any(|(case, _)| worth.is_right(here, spot, *case));
    let mut best: Option<(f64, Lead)> = None;
    for entry in worth.entries().iter().filter(|entry| **entry != here) {
        let Some(lead) = lead(worth, *entry, aside, left).filter(|lead| is_new(worth, lead, done)) else {
            continue;
        };
        let so = worth_of(worth, &lead, left);
        if so.is_finite()
            && best.as_ref().is_none_or(|(least, known)| is_better((so, &lead), (*least, known)))
        {
            best = Some((so, lead));
        }
    }
    if !leads_on {
        best = back(worth, aside, left, best);
    }
    let (so, lead) = best?;
    if leads_on && so > as_written - WORTH_SAYING {
        return None;
    }
    let reason = match (leads_on, lead.parts.len()) {
        (false, _) => Reason::LeadsBack,
        (true, 1) => Reason::Shows,
        (true, _) => Reason::Parts,
    };
    Some(Choice {
        entry: lead.entry,
        test: lead.test,
        gates: lead.gates,
        minutes: lead.minutes,
        parts: lead.parts,
        reason,
        at: lead.at,
        as_written,
        so,
    })
}

fn is_new(worth: &Worth<'_, '_>, lead: &Lead, done: &[Done]) -> bool {
    let is_ask = matches!(worth.moves.course().tree().step(lead.test).kind, Kind::Ask(_));
    let now = &worth.moves.standing(lead.at).now;
    !done.iter().any(|(test, then)| *test == lead.test && (is_ask || then == now))
}

/// Expected minutes by a jump: what leads to the test and the test itself, and then the plain rule.
fn worth_of(worth: &Worth<'_, '_>, lead: &Lead, left: &[Weighed]) -> f64 {
    let weight: f64 = left.iter().map(|(_, weight)| weight).sum();
    let rest = lead.parts.iter().map(|part| match part.next {
        Some((next, spot)) => worth.plain(next, spot, &part.cases),
        None => worth.return_or_again(lead.at, &part.cases),
    });
    weight * lead.minutes + rest.sum::<f64>()
}

/// Where the tree's way finds nothing that is left: the step from which all of it is found, unless a test is better.
fn back(
    worth: &Worth<'_, '_>,
    spot: Spot,
    left: &[Weighed],
    best: Option<(f64, Lead)>,
) -> Option<(f64, Lead)> {
    let Some((entry, minutes)) = worth.return_to(spot, left) else { return best };
    if best.as_ref().is_some_and(|(so, _)| *so <= minutes + SAME) {
        return best;
    }
    follow(worth, entry, spot, left).map(|lead| (minutes, lead)).or(best)
}

/// In fewer minutes; of equals the one that is a test itself.
fn is_better((so, lead): (f64, &Lead), (least, known): (f64, &Lead)) -> bool {
    let is_test = |lead: &Lead| lead.entry == lead.test;
    so < least - SAME || (so < least + SAME && is_test(lead) && !is_test(known))
}

/// The way from a jump to the first test after it.
struct Lead {
    entry: StepIx,
    test: StepIx,
    gates: Vec<GateId>,
    minutes: f64,
    parts: Vec<Part>,
    /// How all stands at the test.
    at: Spot,
}

/// The way to the first test, if that is worth doing: it parts what is left, or it leads straight to the one finding
/// that is left.
fn lead(worth: &Worth<'_, '_>, entry: StepIx, from: Spot, left: &[Weighed]) -> Option<Lead> {
    let lead = follow(worth, entry, from, left)?;
    let is_named = |part: &Part| {
        part.next.is_some_and(|(next, spot)| {
            is_find(worth, next) && part.cases.iter().all(|(case, _)| worth.is_right(next, spot, *case))
        })
    };
    let shows = lead.parts.len() == 1 && is_named(&lead.parts[0]);
    (lead.parts.len() > 1 || shows).then_some(lead)
}

/// Follows what is to be done from a step to the first test.
fn follow(worth: &Worth<'_, '_>, entry: StepIx, from: Spot, left: &[Weighed]) -> Option<Lead> {
    let tree = worth.moves.course().tree();
    let (mut ix, mut spot) = (entry, from);
    let (mut gates, mut minutes) = (Vec::new(), 0.0);
    for _ in 0..tree.steps.len() {
        let arrival = worth.moves.arrive(ix, spot)?;
        gates.extend(arrival.gates.iter().copied());
        minutes += arrival.minutes;
        let parts = worth.parts(ix, arrival.spot, left);
        match &tree.step(ix).kind {
            Kind::Ask(_) | Kind::Look(_) | Kind::Read(_) => {
                return Some(Lead { entry, test: ix, gates, minutes, parts, at: arrival.spot });
            }
            Kind::Gate(gate) => gates.extend(worth.moves.course().vocabulary().gate(&gate.gate)),
            Kind::Do(_) => {}
            Kind::Find(_) | Kind::Close(_) | Kind::Refer(_) => return None,
        }
        (ix, spot) = parts.first()?.next?;
    }
    None
}

fn is_by_telephone(worth: &Worth<'_, '_>, ix: StepIx) -> bool {
    matches!(&worth.moves.course().tree().step(ix).kind, Kind::Ask(ask) if ask.phone)
}

fn is_find(worth: &Worth<'_, '_>, ix: StepIx) -> bool {
    matches!(worth.moves.course().tree().step(ix).kind, Kind::Find(_))
}

/// Cases with weights that sum to one.
pub(in crate::reason) fn normalised(mut left: Vec<(CaseIx, f64)>) -> Vec<Weighed> {
    let total: f64 = left.iter().map(|(_, weight)| weight).sum();
    if total > 0.0 {
        for (_, weight) in &mut left {
            *weight /= total;
        }
    }
    left
}
