//! A thousand seeded runs of three scripted apprentices at simulated machines: `cargo bench --bench practice`, with a
//! number of runs (1,000 if none is given) and the name of a shipped tree (`tern/no-lift-no-tilt` if none is given).
//! Prints a table; it fails where the three do not rank as they should, or where anybody is shown a step whose conditions
//! are not in force.

#![allow(clippy::print_stdout)]

#[path = "../support/apprentices.rs"]
mod apprentices;
#[path = "../support/plain_readings.rs"]
mod plain_readings;
#[path = "../support/plain_steps.rs"]
mod plain_steps;
#[path = "../support/yard.rs"]
mod yard;

use std::time::Instant;

use apprentices::{Yard, shipped, side_by_side};

fn main() {
    let words = || std::env::args().skip(1).filter(|word| !word.starts_with('-'));
    let runs = words().find_map(|word| word.parse::<u64>().ok()).unwrap_or(1000);
    let name = words().find(|word| word.parse::<u64>().is_err());
    let name = name.as_deref().unwrap_or("tern/no-lift-no-tilt");
    let begun = Instant::now();
    let yard = Yard::of(shipped(name));
    let all = side_by_side(&yard, &(0..runs));
    println!("{name}, {runs} runs each\n\n{}\n{:.0} s", all.table(), begun.elapsed().as_secs_f64());
    let [suggested, by_tree, at_random] = &all.0;
    assert!(suggested.mean() <= by_tree.mean(), "suggestions take longer than the tree");
    assert!(by_tree.mean() <= at_random.mean(), "the tree takes longer than measuring at random");
    assert!(suggested.own + by_tree.own + by_tree.held_back == 0, "only one strays");
    assert!(
        at_random.stopped > 0 && at_random.own > 0 && at_random.held_back > 0,
        "one tries what is unsafe"
    );
    assert!(all.0.iter().all(|one| one.found > 0 && one.needing > 0), "each finds something");
}
