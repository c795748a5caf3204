//! What tree checks and ranking ask of a machine: sources, zones, movement, what is still live, and
//! which faults show a symptom.

use crate::machine::{EXAMPLE, machine_of};
use loomwalk::machine::{
    Behaviour, Display, Located, Machine, Probes, Quantity, Reach, Symptom, Today, power_named,
};
use loomwalk::safety::Power;

fn symptom(machine: &Machine, of: &[(&str, Behaviour)]) -> Symptom {
    let named =
        |(name, behaviour): &(&str, Behaviour)| (machine.function(name).expect("a function"), *behaviour);
    Symptom(of.iter().map(named).collect())
}

#[test]
fn a_point_has_a_source_only_where_something_leads_to_one() {
    let machine = machine_of(EXAMPLE);
    let day = machine.day(Today::default());
    let source = |point: &str, bar: &str, power: Power, apart: Option<&str>| {
        let key = if power == Power::Live { "on" } else { "off" };
        let mut setup =
            machine.setup(&[("key", key), ("bar", bar), ("door", "shut")], Some(power)).expect("a setup");
        setup.unplugged.extend(apart.map(|name| machine.connector(name).expect("a connector")));
        day.has_source(&day.rig(&setup), machine.point(point).expect("a point"))
    };
    assert!(source("A1:7", "up", Power::Live, None), "the pull-up");
    assert!(!source("A1:7", "up", Power::Off, None), "the box is not fed");
    assert!(source("A1:12", "down", Power::Live, None), "the output is on");
    assert!(!source("A1:12", "up", Power::Live, None), "nothing drives it; the coil leads to the frame only");
    assert!(source("X14:3a", "up", Power::Live, Some("X14")));
    assert!(!source("X14:3b", "up", Power::Live, Some("X14")), "the dead half of a plug that is apart");
    assert!(source("GND2", "down", Power::Live, None), "through the switch and the pull-up");
    assert!(!source("W33:1", "up", Power::Live, None));
    assert!(source("B+", "up", Power::Isolated, None) && !source("S1:1", "up", Power::Isolated, None));
}

#[test]
fn what_moves_in_a_setup_moves_there_only() {
    let machine = machine_of(EXAMPLE);
    let day = machine.day(Today::default());
    let moving = |bar: &str, power: Power| {
        let with = [("key", "on"), ("bar", bar), ("door", "shut")];
        day.moving(&day.rig(&machine.setup(&with, Some(power)).expect("a setup"))).len()
    };
    assert_eq!(moving("down", Power::Running), 1);
    assert_eq!(moving("down", Power::Live), 0, "the pump does not turn");
    assert_eq!(moving("up", Power::Running), 0);
    // With the signal wire on the frame it moves although the bar is up.
    let fault = machine.fault_named("W31 grounded at pivot-clamp").expect("a fault");
    let case = day.case(&[machine.knot(fault, None)]);
    let up = machine.setup(&[("key", "on"), ("bar", "up"), ("door", "shut")], Some(Power::Running));
    assert_eq!(case.moving(&day.rig(&up.expect("a setup"))).len(), 1);
}

#[test]
fn isolated_nothing_behind_the_isolator_pushes_into_the_frame() {
    let machine = machine_of(EXAMPLE);
    let day = machine.day(Today::default());
    let healthy = day.healthy();
    let rig = day.rig(&machine.setup(&[], Some(Power::Isolated)).expect("a setup"));
    let push = |point: &str| healthy.push_into_frame(&rig, machine.point(point).expect("a point")).value();
    assert!(push("B+") > 100.0 && push("S0:1") > 100.0, "its own side is live");
    assert!(push("S0:2") < 1e-9 && push("A1:1") < 1e-9 && push("GND1") < 1e-9);
    let feed = [machine.element("W2").expect("W2")];
    assert!(healthy.push_at(&rig, &feed).value() < 0.1, "the feed may be cut");
    let live = day.rig(&machine.setup(&[("key", "on")], Some(Power::Live)).expect("a setup"));
    assert!(healthy.push_at(&live, &feed).value() > 0.1);
}

#[test]
fn zones_controls_and_plugs_are_told_by_name() {
    let machine = machine_of(EXAMPLE);
    for (name, zone) in [
        ("A1", Located::In("under-cab")),
        ("A1:7", Located::In("under-cab")),
        ("X14", Located::In("cab-floor")),
        ("W40", Located::In("outside")),
        ("W40@arm-pivot", Located::In("under-arms")),
        ("S4", Located::Unzoned),
        ("X99", Located::Nowhere),
    ] {
        assert_eq!(machine.zone_named(name), zone, "{name}");
    }
    assert_eq!(machine.reach(machine.control("bar").expect("bar")), Reach::SeatOrTied);
    assert_eq!(machine.reach(machine.control("door").expect("door")), Reach::Anywhere);
    let plug = |name: &str| machine.connector(name).expect("a connector");
    assert_eq!(machine.taken_apart(plug("X14")).len(), 2);
    assert!(machine.parts_load(plug("X20")) && !machine.parts_load(plug("X14")));
    let point = |name: &str| machine.point(name).expect("a point");
    assert!(machine.is_one_place(point("X14:3b"), point("W32:1")));
    assert_eq!(machine.owner_name(point("X14:3b")), "X14");
    assert_eq!(power_named("live"), Some(Power::Live));
}

#[test]
fn the_dictionary_knows_which_faults_show_a_symptom() {
    let machine = machine_of(EXAMPLE);
    let day = machine.day(Today::default());
    let dictionary = day.dictionary();
    let names = |of: &[(&str, Behaviour)]| {
        let suspects = dictionary.suspects(&symptom(&machine, of));
        suspects.iter().map(|f| machine.fault(*f).name.clone()).collect::<Vec<_>>()
    };
    let held = names(&[("lift", Behaviour::Fails), ("display", Behaviour::Works)]);
    for name in [
        "W31 open",
        "X14:3 open",
        "S4 stuck open",
        "W35 grounded at pivot-clamp",
        "Y1 open",
        "A1:12 dead",
        "lift-spool-stuck",
        "X14:3 intermittent",
        "W35 intermittent at pivot-clamp",
        "X14:3 resistive",
    ] {
        assert!(held.iter().any(|n| n == name), "{name} in {held:?}");
    }
    for name in ["W31 grounded at pivot-clamp", "F7 blown", "A1 dead", "W35 open"] {
        assert!(!held.iter().any(|n| n == name), "{name} not in {held:?}");
    }
    let unheld = names(&[("lift", Behaviour::Unheld)]);
    for name in ["W31 grounded at pivot-clamp", "S4 stuck closed", "W35 open", "S5 stuck open", "X14:4 open"]
    {
        assert!(unheld.iter().any(|n| n == name), "{name} in {unheld:?}");
    }
    assert!(!unheld.iter().any(|n| n.starts_with("Y1")));
    // Only the severities that show it count: 10 Ω in a pulled-up signal changes nothing.
    let lift_fails = symptom(&machine, &[("lift", Behaviour::Fails)]);
    let contact = machine.fault_named("X14:3 resistive").expect("a fault");
    let shows: Vec<f64> =
        dictionary.of(contact).filter(|e| e.shows(&lift_fails)).map(|e| e.knot.severity).collect();
    assert_eq!(shows, [1_000.0, 10_000.0]);
    let total: f64 = dictionary.of(contact).map(|e| e.share).sum();
    assert!((total - 4.0).abs() < 1e-12, "the share is split over the severities");
}

#[test]
fn one_question_gives_what_a_meter_shows() {
    let machine = machine_of(EXAMPLE);
    let day = machine.day(Today::default());
    let healthy = day.healthy();
    let point = |name: &str| machine.point(name).expect("a point");
    let live = day.rig(&machine.setup(&[("key", "on"), ("bar", "down")], None).expect("a setup"));
    let probes = Probes { red: point("S4:1"), black: point("S4:2") };
    assert!(
        matches!(healthy.display(&live, Quantity::Volts, probes), Display::Volts(v) if v.most.value() < 0.001)
    );
    assert!(matches!(healthy.display(&live, Quantity::Ohms, probes), Display::Ohms(_)));
    assert!(
        matches!(healthy.display(&live, Quantity::Amps, probes), Display::Amps(a) if a.most.value() > 0.002)
    );
    let up = day.rig(&machine.setup(&[("bar", "up")], None).expect("a setup"));
    assert_eq!(healthy.display(&up, Quantity::Ohms, probes), Display::OverRange);
}
