//! The methods that find a fault along a wire, tried on the circuit solver: what drops out and what does not.

use loomwalk::machine::{Circuit, Network, Place};
use loomwalk::repair::{Measured, drop_ratio, murray, socket_lamp, varley};
use loomwalk::units::{Metres, Ohms, Volts, Watts};

const LOOP: f64 = 54.07;
const FAULT_AT: f64 = 17.951;
const METER: f64 = 10e6;

/// A network with its reference, and what is needed to add resistances to it in one line each.
struct Bench {
    net: Network,
    ground: Place,
}

impl Bench {
    fn new() -> Self {
        let mut net = Network::new();
        let ground = net.place();
        Self { net, ground }
    }

    fn places<const N: usize>(&mut self) -> [Place; N] {
        std::array::from_fn(|_| self.net.place())
    }

    fn ohms(&mut self, a: Place, b: Place, ohms: f64) {
        self.net.resistor(a, b, Ohms(ohms)).expect("a resistance");
    }

    fn volts(&self, red: Place, black: Place) -> f64 {
        let circuit = Circuit::new(&self.net, self.ground);
        circuit.solve(&circuit.values(&self.net)).between(red, black).expect("connected").0
    }
}

/// Volts at the balance instrument of a loop. The battery feeds both arms and returns through the fault.
fn instrument(arm_faulty: f64, arm_good: f64, set: f64, fault: f64) -> f64 {
    let mut bench = Bench::new();
    let [near, start, at, end, arms] = bench.places();
    let frame = bench.ground;
    if set > 0.0 {
        bench.ohms(near, start, set);
    } else {
        bench.net.join(near, start).expect("no source between");
    }
    bench.ohms(start, at, FAULT_AT);
    bench.ohms(at, end, LOOP - FAULT_AT);
    bench.ohms(at, frame, fault);
    bench.ohms(near, arms, arm_faulty);
    bench.ohms(end, arms, arm_good);
    bench.net.ideal(arms, frame, Volts(12.6)).expect("no loop of sources");
    bench.volts(near, end)
}

/// Where a falling or rising function passes through zero.
fn balance(volts: impl Fn(f64) -> f64, (mut low, mut high): (f64, f64)) -> f64 {
    let rising = volts(high) > volts(low);
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if (volts(middle) > 0.0) == rising { high = middle } else { low = middle }
    }
    f64::midpoint(low, high)
}

const FAULTS: [f64; 3] = [0.1, 5.0, 5000.0];

/// Property: whatever the fault's resistance, the slide wire balances at the same place, and the sum gives it.
#[test]
fn murray_does_not_feel_the_resistance_of_the_fault() {
    for fault in FAULTS {
        let a = balance(|a| instrument(a, 1000.0 - a, 0.0, fault), (1.0, 999.0));
        let exact = |value| Measured::exact(Ohms(value));
        let leg = murray(exact(a), exact(1000.0 - a), exact(LOOP)).expect("balanced");
        assert!((leg.ohms.0 - FAULT_AT).abs() < 1e-6, "{fault} ohm: {}", leg.ohms.0);
    }
}

/// Property: the same for the resistance set in series with the faulty side, with equal and with unequal arms; and the
/// published pair R = 54.07, S = 18.168 balances.
#[test]
fn varley_does_not_feel_the_resistance_of_the_fault() {
    for fault in FAULTS {
        for (p, q) in [(1.0, 1.0), (100.0, 100.0), (1.0, 2.5)] {
            let set = balance(|s| instrument(q, p, s, fault), (1e-6, 500.0));
            let exact = |value| Measured::exact(Ohms(value));
            let leg = varley([exact(p), exact(q)], exact(LOOP), exact(set)).expect("balanced");
            assert!((leg.ohms.0 - FAULT_AT).abs() < 1e-6, "{fault} ohm, {p}:{q}: {}", leg.ohms.0);
        }
        assert!(instrument(1.0, 1.0, 18.168, fault).abs() < 1e-9, "{fault} ohm");
    }
}

/// The drop over 3.1 m of 0.75 mm², a lamp's current from a battery that stands apart; the meter's other lead is on the
/// frame, so that the fault carries the meter's current alone.
fn drops(fault: f64) -> (f64, f64) {
    let (whole, part) = (3.1 * 0.023_45, 1.2 * 0.023_45);
    let read = |black_on_frame: bool| {
        let mut bench = Bench::new();
        let [plus, start, at, frame] = bench.places();
        let minus = bench.ground;
        bench.net.ideal(plus, minus, Volts(12.6)).expect("no loop of sources");
        bench.ohms(plus, start, 144.0 / 21.0);
        bench.ohms(start, at, part);
        bench.ohms(at, minus, whole - part);
        bench.ohms(at, frame, fault.max(1e-6));
        let black = if black_on_frame { frame } else { minus };
        bench.ohms(start, black, METER);
        bench.volts(start, black)
    };
    (read(true), read(false))
}

/// Own formula, on the solver: from a dead short to 10 kΩ the place stays within 0.2 %, with a 10 MΩ meter.
#[test]
fn the_drop_ratio_hardly_feels_the_resistance_of_the_fault() {
    for fault in [0.0, 0.5, 50.0, 10_000.0] {
        let (part, whole) = drops(fault);
        let exact = |value| Measured::exact(Volts(value));
        let place = drop_ratio(exact(part), exact(whole), Metres(3.1)).expect("a place");
        assert!((place.at.0 - 1.2).abs() < 0.0024, "{fault} ohm: {}", place.at.0);
    }
}

/// A green crimp of 100 Ω passes the meter's current and not the lamp's.
#[test]
fn a_green_crimp_reads_well_until_it_is_loaded() {
    let lamp = socket_lamp(Volts(12.6), Watts(21.0)).expect("a lamp").hot;
    let read = |load: Option<Ohms>| {
        let mut bench = Bench::new();
        let [plus, pin] = bench.places();
        let frame = bench.ground;
        bench.net.ideal(plus, frame, Volts(12.6)).expect("no loop of sources");
        bench.ohms(plus, pin, 100.0);
        bench.ohms(pin, frame, METER);
        if let Some(load) = load {
            bench.ohms(pin, frame, load.0);
        }
        bench.volts(pin, frame)
    };
    assert!(read(None) > 12.59, "unloaded it reads the supply");
    assert!(read(Some(lamp)) < 1.0, "under a 21 W lamp it does not");
}

/// Parallel law, computed: ohms between the wires of a CAN pair with the power off, on the solver. Terminators of 120 Ω by
/// open driver documentation (seen), of 100 to 130 Ω by ISO 11898-2 (from memory).
#[test]
fn a_can_pair_by_its_terminators() {
    let read = |resistances: &[f64]| {
        let mut bench = Bench::new();
        let [high] = bench.places();
        let low = bench.ground;
        for ohms in resistances {
            bench.ohms(high, low, *ohms);
        }
        let circuit = Circuit::new(&bench.net, low);
        let solution = circuit.solve(&circuit.values(&bench.net));
        circuit.ohms(&solution, &circuit.resistances(&solution), high).expect("connected").0
    };
    let mut nodes = vec![120.0, 120.0];
    nodes.extend([30_000.0; 30]);
    let cases: [(&[f64], f64); 6] = [
        (&[120.0, 120.0], 60.0),
        (&[120.0], 120.0),
        (&[120.0, 120.0, 120.0], 40.0),
        (&[100.0, 100.0], 50.0),
        (&[130.0, 130.0], 65.0),
        (&nodes, 56.60),
    ];
    for (resistances, ohms) in cases {
        assert!((read(resistances) - ohms).abs() < 5e-3, "{resistances:?}");
    }
}

/// The lamp in the fuse's socket takes the supply and keeps the current within any harness wire, on the solver too.
#[test]
fn the_lamp_takes_what_the_short_would() {
    let lamp = socket_lamp(Volts(12.6), Watts(21.0)).expect("a lamp");
    for (short, lit) in [(0.05, true), (5.0, true), (500.0, false)] {
        let mut bench = Bench::new();
        let [plus, wire] = bench.places();
        let frame = bench.ground;
        bench.net.ideal(plus, frame, Volts(12.6)).expect("no loop of sources");
        bench.ohms(plus, wire, lamp.hot.0);
        bench.ohms(wire, frame, short);
        let over_lamp = bench.volts(plus, wire);
        assert!(over_lamp / lamp.hot.0 <= lamp.most.0);
        assert_eq!(over_lamp >= 6.3, lit && short <= lamp.lit_up_to.0, "{short} ohm");
    }
}
