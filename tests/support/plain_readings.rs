//! A second, much plainer account of what may be measured: by the machine file's zones and the four powers, written
//! out by hand from the safety page.

use loomwalk::machine::Located;
use loomwalk::safety::{Arms, Cab, Facet, Fact, Power};
use loomwalk::tree::OffTree;
use loomwalk::units::Measure;
use loomwalk::walk::Walk;

/// Holds a measurement that was let through against the account.
pub(crate) fn holds_at(walk: &Walk, reading: &OffTree) {
    let (state, vocabulary) = (walk.machine(), walk.course().vocabulary());
    let is = |facet, values| state.is_within(facet, values, vocabulary);
    let machine = walk.course().tree().model.as_ref().expect("a machine");
    let told = format!("{reading:?} at {}", walk.step_id());
    let arms_held = is(Facet::ARMS, Arms::Down.only().or(Arms::Supported.only()));
    let still = is(Facet::POWER, Power::Off.only().or(Power::Isolated.only()));
    let running = is(Facet::POWER, Power::Running.only());
    match reading.measure {
        Measure::Ohms => assert!(is(Facet::POWER, Power::Isolated.only()), "ohms on a live circuit: {told}"),
        Measure::Volts => {}
        _ => panic!("amps in line were let through: {told}"),
    }
    for point in loomwalk_points(reading) {
        let Located::In(zone) = machine.zone_named(&point) else { continue };
        match zone {
            "under-cab" => {
                assert!(is(Facet::CAB, Cab::Supported.only()) && arms_held && !running, "{told}");
            }
            "under-arms" => assert!(is(Facet::ARMS, Arms::Supported.only()) && still, "{told}"),
            "engine-bay" => assert!(is(Facet::POWER, Power::Running.only()) == running && !running, "{told}"),
            "cab-floor" | "seat" => assert!(is(Facet::CAB, Cab::Down.only()), "{told}"),
            _ => {}
        }
    }
    for (control, value) in &reading.with {
        match (control.as_str(), value.as_str()) {
            ("key", "on") => {
                assert!(is(Facet::POWER, Power::Live.only().or(Power::Running.only())), "{told}");
            }
            ("key", "off") => {
                assert!(still, "{told}");
            }
            ("key", "crank") => {
                assert!(running && is(Facet::WHOLE, Fact::Yes.only()), "{told}");
            }
            _ => {}
        }
    }
}

fn loomwalk_points(reading: &OffTree) -> Vec<String> {
    use loomwalk::tree::Leads;
    match &reading.leads {
        Leads::RedBlack { red, black } => std::iter::once(red.clone()).chain(black.clone()).collect(),
        Leads::Across(a, b) => vec![a.clone(), b.clone()],
        Leads::Around(one) | Leads::At(one) => vec![one.clone()],
    }
}
