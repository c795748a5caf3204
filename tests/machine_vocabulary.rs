//! The rest of what a machine file can say: rails and three-pin sensors, pairs that agree, sleep,
//! relays that hold themselves, diodes, sinks, a second source, a CAN pair as resistances.

use crate::machine::machine_of;
use loomwalk::diag::{Form, Shape};
use loomwalk::machine::{CodeName, Level, MACHINE_FORM, Machine, Probes, Steady, Today};
use loomwalk::safety::Power;
use loomwalk::tree::Shipped;

const BENCH: &str = include_str!("machines/vocabulary.yaml");

struct Seen {
    volts: Vec<f64>,
    levels: Vec<Option<Steady<Option<Level>>>>,
    on: Vec<Steady<bool>>,
    codes: Vec<CodeName>,
    chatters: bool,
    pulled_in: bool,
}

/// What is seen at some points, in a setup, with faults.
fn seen(machine: &Machine, with: &[(&str, &str)], faults: &[&str], points: &[&str]) -> Seen {
    let day = machine.day(Today::default());
    let knots: Vec<_> = faults
        .iter()
        .map(|name| machine.knot(machine.fault_named(name).unwrap_or_else(|| panic!("a fault {name}")), None))
        .collect();
    let (case, rig) = (day.case(&knots), day.rig(&machine.setup(with, None).expect("a setup")));
    let settled = case.settle(&rig);
    let probes = |name: &&str| Probes {
        red: machine.point(name).unwrap_or_else(|| panic!("a point {name}")),
        black: machine.point("A1:2").expect("minus"),
    };
    let controller = &machine.parts().controllers[0];
    Seen {
        volts: points.iter().map(|p| settled.volts(probes(p)).most.value()).collect(),
        levels: controller.inputs.iter().map(|id| settled.level(*id)).collect(),
        on: controller.outputs.iter().map(|id| settled.on(*id)).collect(),
        codes: settled.codes().iter().map(|(_, code)| code.name.clone()).collect(),
        chatters: settled.chatters(),
        pulled_in: settled.pulled_in(machine.element("K3").expect("K3")).is(true),
    }
}

fn near(a: f64, b: f64, tolerance: f64) {
    assert!((a - b).abs() <= tolerance, "{a}, not {b}");
}

const ON: [(&str, &str); 1] = [("key", "on")];

#[test]
fn sensors_on_a_rail_and_a_pair_that_agrees() {
    let machine = machine_of(BENCH);
    for (lever, a, b) in [("neutral", 2.5, 2.5), ("forward", 4.0, 1.0), ("back", 1.0, 4.0)] {
        let shown = seen(&machine, &[("key", "on"), ("lever", lever)], &[], &["B3:3", "B4:3", "A1:10"]);
        near(shown.volts[0], a, 0.1);
        near(shown.volts[1], b, 0.1);
        near(shown.volts[2], 5.0, 0.05);
        assert!(shown.codes.is_empty() && !shown.chatters, "{lever}: the two add up to five volts");
    }
    let broken = seen(&machine, &ON, &["W12 open"], &["A1:12"]);
    near(broken.volts[0], 0.0, 0.01);
    assert_eq!(broken.levels[0], Some(Steady::Is(Some(Level::Low))));
    assert_eq!(broken.codes, [CodeName::Own("E7".to_owned())]);
    // Water is not needed: a rail on the frame trips, and both sensors are gone with it.
    let shorted =
        "rail-a: [{pin: A1:10}, {wire: W10, size: 0.5 mm2, length: 2 m, rubs: {edge: 1 m}}, {splice: SP5}]";
    let rubbed =
        machine_of(&BENCH.replace(
            "rail-a: [{pin: A1:10}, {wire: W10, size: 0.5 mm2, length: 2 m}, {splice: SP5}]",
            shorted,
        ));
    let tripped = seen(&rubbed, &ON, &["W10 grounded at edge"], &["A1:12", "A1:13"]);
    assert_eq!(tripped.on[0], Steady::Is(false));
    assert!(tripped.volts.iter().all(|v| v.abs() < 0.01), "{:?}", tripped.volts);
}

#[test]
fn a_box_sleeps_until_it_is_woken() {
    let machine = machine_of(BENCH);
    let day = machine.day(Today::default());
    let drawn = |with: &[(&str, &str)]| {
        let rig = day.rig(&machine.setup(with, None).expect("a setup"));
        let healthy = day.healthy();
        let settled = healthy.settle(&rig);
        let fed = settled.fed(machine.controller("A1").expect("A1"));
        (settled.amps(machine.element("F1").expect("F1")).most.value(), fed)
    };
    let (asleep, fed) = drawn(&[("key", "off")]);
    assert_eq!(fed, Steady::Is(false));
    near(asleep, 25.2 / 5_000.0, 1e-5);
    let (awake, fed) = drawn(&ON);
    assert_eq!(fed, Steady::Is(true));
    assert!(awake > 25.0 / 90.0, "{awake} A");
    assert_eq!(seen(&machine, &ON, &["W3 open"], &[]).on[0], Steady::Is(false), "nothing wakes it");
    let spare = seen(&machine, &ON, &[], &["A1:40"]);
    near(spare.volts[0], 25.1, 0.2);
    assert_eq!(spare.levels[2], Some(Steady::Is(Some(Level::High))));
}

#[test]
fn a_relay_pulls_in_through_a_sink_and_its_diodes_block() {
    let machine = machine_of(BENCH);
    assert!(machine.element("K3a").is_some(), "the contact of K3 is K3a");
    let pressed = [("key", "on"), ("button", "pressed")];
    let on = seen(&machine, &pressed, &[], &["K3:1", "K3:2", "D2:2", "D1:2"]);
    assert!(on.pulled_in && !on.chatters);
    near(on.volts[0] - on.volts[1], 25.1, 0.2);
    near(on.volts[2], on.volts[0] - 0.7, 0.02);
    assert!(!seen(&machine, &ON, &[], &[]).pulled_in, "nothing has pressed the button");
    // Stuck closed it holds itself with the button released.
    assert!(seen(&machine, &ON, &["K3a stuck closed"], &[]).pulled_in);
    assert!(!seen(&machine, &pressed, &["K3 open"], &[]).pulled_in);
    assert!(!seen(&machine, &pressed, &["A1:20 dead"], &[]).pulled_in);
    let through = seen(&machine, &pressed, &["D1 shorted"], &["K3:2"]);
    assert!(through.volts[0] > 5.0 && !through.pulled_in, "the coil is bridged: {:?}", through.volts);
    near(seen(&machine, &pressed, &["D2 open"], &["R2:1"]).volts[0], 0.0, 0.01);
}

/// Source: 120 Ω at each end of the line (ISO 11898-2); 60 Ω with both, 120 Ω with one.
#[test]
fn a_can_pair_is_sixty_ohms_with_both_ends_and_a_hundred_and_twenty_with_one() {
    let machine = machine_of(BENCH);
    let day = machine.day(Today::default());
    let ohms = |faults: &[&str]| {
        let knots: Vec<_> =
            faults.iter().map(|f| machine.knot(machine.fault_named(f).expect("a fault"), None)).collect();
        let rig = day.rig(&machine.setup(&[], Some(Power::Isolated)).expect("a setup"));
        let point = |name: &str| machine.point(name).expect("a point");
        day.case(&knots)
            .ohms(&rig, Probes { red: point("A1:30"), black: point("A1:31") })
            .map(loomwalk::units::Ohms::value)
    };
    near(ohms(&[]).expect("both"), 60.0, 0.2);
    near(ohms(&["R1 open"]).expect("one"), 120.0, 0.2);
    near(ohms(&["X1:1 open"]).expect("one"), 120.0, 0.2);
    assert!(ohms(&["X1:1 wet to X1:2"]).expect("both, and water") < 60.0);
}

#[test]
fn a_second_source_and_a_machine_of_24_volts() {
    let machine = machine_of(BENCH);
    near(seen(&machine, &[], &[], &["SECOND"]).volts[0], 25.0, 0.01);
    near(seen(&machine, &[], &["G2 dead"], &["SECOND"]).volts[0], 0.0, 1e-9);
    let low = machine.fault(machine.fault_named("supply low").expect("a fault"));
    assert_eq!((low.nominal, low.spread.as_slice()), (18.0, &[14.0, 18.0, 21.0][..]));
    for name in ["J1 resistive", "D1 open", "B3 open", "R2 open", "A1:10 dead", "cable-stretched"] {
        assert!(machine.fault_named(name).is_some(), "{name}");
    }
    let relay = machine.function("relay").expect("relay");
    let day = machine.day(Today::default());
    assert!(day.healthy().function(relay).works && day.healthy().function(relay).unheld == [false]);
}

/// Closed forms: a source on a battery alone is (e − v)/(r + r'); at its most it is a current source on r'.
#[test]
fn an_alternator_gives_no_more_than_its_most() {
    let generator = |volts: f64| {
        machine_of(&format!(
            "loomwalk: 1\nmachine: yard\ntitle: yard\nsupply: {{volts: {volts} V, ohms: 5 mohm}}\n\
             operator: {{gate: {{title: gate, states: [open, shut]}}}}\ncircuits:\n  charging:\n    - point: B-\n    \
             - {{source: G1, volts: 14 V, ohms: 100 mohm, most: 10 A}}\n    - {{point: G1:B}}\n    - \
             {{switch: S1, closed: {{gate: shut}}, ohms: 1 mohm}}\n    - point: B+\n"
        ))
    };
    let volts = |battery: f64, gate: &str, fault: &[&str]| {
        let machine = generator(battery);
        let (day, setup) = (machine.day(Today::default()), machine.setup(&[("gate", gate)], None));
        let knots: Vec<_> = fault.iter().filter_map(|name| machine.fault_named(name)).collect();
        let knots: Vec<_> = knots.into_iter().map(|id| machine.knot(id, None)).collect();
        let (case, rig) = (day.case(&knots), day.rig(&setup.expect("a setup")));
        let settled = case.settle(&rig);
        let black = machine.point("B-").expect("the minus post");
        let red = |name| machine.point(name).expect("a point");
        ["G1:B", "B+"].map(|name| settled.volts(Probes { red: red(name), black }).most.value())
    };
    let below = volts(13.5, "shut", &[]);
    near(below[0], 14.0 - 0.1 * (14.0 - 13.5) / 0.106, 1e-6);
    let most = volts(7.0, "shut", &[]);
    near(most[0], 7.0 + 10.0 * 0.006, 1e-6);
    near(most[1], 7.0 + 10.0 * 0.005, 1e-6);
    // Just where it begins to give way, from both sides.
    near(volts(12.939, "shut", &[])[0], 12.939 + 10.0 * 0.006, 1e-6);
    near(volts(12.941, "shut", &[])[0], 14.0 - 0.1 * (14.0 - 12.941) / 0.106, 1e-6);
    near(volts(7.0, "open", &[])[0], 14.0, 1e-5);
    near(volts(7.0, "shut", &["G1 dead"])[0], 7.0, 1e-5);
}

/// Every key that a machine file may have stands in the guide for authors.
#[test]
fn the_guide_speaks_of_every_key() {
    let guide = Shipped::guide();
    let section = guide.split("## The machine file").nth(1).and_then(|rest| rest.split("\n## ").next());
    let section = section.expect("the section");
    let mut names = Vec::new();
    keys(&Shape::Form(&MACHINE_FORM), &mut names);
    assert!(names.len() > 60, "{names:?}");
    let missing: Vec<_> = names.iter().filter(|name| !section.contains(&format!("`{name}"))).collect();
    // Said in words there: below, above and below of limits, the pins of a list.
    let said = ["below", "above", "title", "zone", "code", "name"];
    let missing: Vec<_> = missing.into_iter().filter(|name| !said.contains(name)).collect();
    assert!(missing.is_empty(), "{missing:?}");
}

fn keys(shape: &Shape, names: &mut Vec<&'static str>) {
    let forms: Vec<&Form> = match shape {
        Shape::Form(form) => vec![form],
        Shape::AnyForm(forms) => forms.to_vec(),
        Shape::Any(shapes) => return shapes.iter().for_each(|inner| keys(inner, names)),
        Shape::List(inner) | Shape::OneOrMany(inner) | Shape::Named(inner) => return keys(inner, names),
        _ => return,
    };
    for field in forms.iter().flat_map(|form| form.fields) {
        // Logic holds logic again.
        if !names.contains(&field.name) {
            names.push(field.name);
            keys(&field.shape, names);
        }
    }
}
