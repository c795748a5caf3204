//! Belief on simulated machines, a small seeded part of `cargo bench --bench calibration`, which walks 20,000.

use loomwalk::tree::{Shipped, examine};

#[path = "support/trial_walks.rs"]
mod trial_walks;
use crate::support::yard;

use trial_walks::{Yard, tally};

/// With 30 walks a rate of 0.95 shows as 0.80 or less once in 300 (binomial, computed).
#[test]
fn the_true_group_leads_on_simulated_machines() {
    let source = Shipped::named("tern/no-lift-no-tilt").expect("a shipped tree");
    let course = examine(&source, &Shipped).walkable().expect("a tree that may be walked");
    let tally = tally(&Yard::of(course), 1, 36, 0x5EED);
    assert!(tally.clean >= 20, "{}", tally.table());
    assert!(tally.leads() > 0.80 && tally.in_three() > 0.75, "{}", tally.table());
    assert!(tally.off(300) <= 0.04);
}
