//! Belief on simulated machines, a small seeded part of `cargo bench --bench calibration`, which walks 20,000.

use loomwalk::tree::{Shipped, examine};

#[path = "support/trial_walks.rs"]
mod trial_walks;
use crate::support::yard;

use trial_walks::{Extent, Yard, tally};

/// With 55 walks a rate of 0.95 shows as 0.85 or less once in 200, one of 0.90 as 0.75 or less once in 500 (binomial,
/// computed).
#[test]
fn the_true_group_leads_on_simulated_machines() {
    let source = Shipped::named("tern/no-lift-no-tilt").expect("a shipped tree");
    let course = examine(&source, &Shipped).walkable().expect("a tree that may be walked");
    let tally = tally(&Yard::of(course), Extent { days: 1, walks: 70, paths: 20 }, 0x5EED);
    assert!(tally.clean >= 50, "{}", tally.table());
    assert!(tally.leads() > 0.85 && tally.in_three() > 0.75, "{}", tally.table());
    assert!(tally.off(20) <= 0.15, "{}", tally.table());
}
