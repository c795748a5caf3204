//! The solver against recorded results of a general circuit simulator and an exact rational solve,
//! published circuits, a dense solve of a general linear-algebra library, and its own properties.

use loomwalk::machine::{Branch, Circuit, Network, Place, Solution, Values};
use loomwalk::units::{Amps, Ohms, Volts};
use proptest::prelude::*;
use serde_json::Value;
use std::collections::HashMap;

/// A recorded harness: the network, its branches and places by name.
struct Harness {
    network: Network,
    places: HashMap<String, Place>,
    branches: HashMap<String, Branch>,
    ground: Place,
    record: Value,
}

fn harness(name: &str) -> Harness {
    let path = format!("{}/tests/vectors/circuit/{name}.json", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).expect("the vectors are there");
    let record: Value = serde_json::from_str(&text).expect("the vectors are JSON");
    let mut network = Network::new();
    let ground = network.place();
    let mut places = HashMap::from([(text_of(&record["ground"]), ground)]);
    for node in record["nodes"].as_array().expect("nodes") {
        let place = network.place();
        places.insert(text_of(node), place);
    }
    let mut branches = HashMap::new();
    for element in record["elements"].as_array().expect("elements") {
        let end = |key: &str| places[&text_of(&element[key])];
        let number = |key: &str| element[key].as_f64().expect("a number");
        let id = text_of(&element["id"]);
        match element["kind"].as_str().expect("a kind") {
            "vsource" => {
                network.ideal(end("p"), end("n"), Volts(number("volts"))).expect("no loop");
            }
            "isource" => {
                let branch = network.current(end("from"), end("to"), Amps(number("amps")));
                branches.insert(id, branch.expect("a current"));
            }
            _ => {
                let branch = network.resistor(end("a"), end("b"), Ohms(number("ohms")));
                branches.insert(id, branch.expect("a resistance"));
            }
        }
    }
    let added: Vec<(String, String, String)> = record["faults"]
        .as_array()
        .expect("faults")
        .iter()
        .flat_map(|fault| fault["mods"].as_array().expect("mods"))
        .filter(|change| change["op"] == "add_resistor")
        .map(|change| (pair_id(change), text_of(&change["a"]), text_of(&change["b"])))
        .collect();
    for (id, a, b) in added {
        let (a, b) = (places[&a], places[&b]);
        branches
            .entry(id)
            .or_insert_with(|| network.resistor(a, b, Ohms(f64::INFINITY)).expect("an open branch"));
    }
    Harness { network, places, branches, ground, record }
}

fn text_of(value: &Value) -> String {
    value.as_str().expect("a text").to_owned()
}

fn pair_id(change: &Value) -> String {
    format!("{}~{}", text_of(&change["a"]), text_of(&change["b"]))
}

/// Sets what a recorded fault changes.
fn set(harness: &Harness, values: &mut Values, fault: &Value) {
    for change in fault["mods"].as_array().expect("mods") {
        let branch = match change["op"].as_str().expect("an operation") {
            "set_ohms" => harness.branches[change["element"].as_str().expect("an element")],
            "add_resistor" => harness.branches[&pair_id(change)],
            other => panic!("an operation the vectors do not document: {other}"),
        };
        values.set_ohms(branch, Ohms(change["ohms"].as_f64().expect("ohms"))).expect("a resistance");
    }
}

/// Source: tests/vectors/circuit, ngspice 39 and an exact rational solve of the binary values.
#[test]
fn every_recorded_fault_is_within_ten_picovolts_of_the_exact_solve() {
    for name in ["harness-alder", "harness-birch", "harness-cedar"] {
        let harness = harness(name);
        let circuit = Circuit::new(&harness.network, harness.ground);
        let healthy = circuit.values(&harness.network);
        let faults = harness.record["faults"].as_array().expect("faults");
        assert!(faults.len() > 100, "{name} has its faults");
        let (mut worst_exact, mut worst_simulator) = (0.0_f64, 0.0_f64);
        for fault in faults {
            let mut values = healthy.clone();
            set(&harness, &mut values, fault);
            let solution = circuit.solve(&values);
            let exact = fault["volts_exact"].as_object().expect("volts");
            assert_eq!(exact.len() + 1, harness.network.places());
            for (node, volts) in exact {
                let ours = solution.volts(harness.places[node]).expect("nothing floats").value();
                let simulator = fault["volts_ngspice"][node].as_f64().expect("volts");
                worst_exact = worst_exact.max((ours - volts.as_f64().expect("volts")).abs());
                worst_simulator = worst_simulator.max((ours - simulator).abs());
            }
        }
        assert!(worst_exact < 1e-11, "{name}: {worst_exact:e} V from the exact solve");
        // The simulator's own distance from the exact solve is 5.3e-9 V at most here.
        assert!(worst_simulator < 1e-8, "{name}: {worst_simulator:e} V from the simulator");
    }
}

fn near(a: Option<Volts>, volts: f64, tolerance: f64) {
    let a = a.expect("not floating").value();
    assert!((a - volts).abs() <= tolerance, "{a} V, not {volts} V");
}

/// Source: T. R. Kuphaldt, Lessons in Electric Circuits, vol. I, two-battery network (dcnet.sml):
/// drops 20, 8 and 1 V, currents 5, 4 and 1 A.
#[test]
fn two_batteries_as_printed() {
    let mut net = Network::new();
    let (ground, b1, b2, common) = (net.place(), net.place(), net.place(), net.place());
    net.ideal(b1, ground, Volts(28.0)).expect("a source");
    net.ideal(b2, ground, Volts(7.0)).expect("a source");
    let r1 = net.resistor(b1, common, Ohms(4.0)).expect("R1");
    let r2 = net.resistor(common, ground, Ohms(2.0)).expect("R2");
    let r3 = net.resistor(common, b2, Ohms(1.0)).expect("R3");
    let circuit = Circuit::new(&net, ground);
    let values = circuit.values(&net);
    let solution = circuit.solve(&values);
    near(solution.between(b1, common), 20.0, 1e-9);
    near(solution.volts(common), 8.0, 1e-9);
    near(solution.between(common, b2), 1.0, 1e-9);
    for (branch, amps) in [(r1, 5.0), (r2, 4.0), (r3, 1.0)] {
        assert!((circuit.amps(&values, &solution, branch).value() - amps).abs() < 1e-9);
    }
}

/// Source: Lessons in Electric Circuits, vol. I, voltmeter impact (dcmeter.sml): a 10 MΩ meter on the
/// lower of two 250 MΩ at 24 V shows 0.8889 V, not 12; the combination is 9.615 MΩ.
#[test]
fn voltmeter_loading_as_printed() {
    let mut net = Network::new();
    let (ground, top, middle) = (net.place(), net.place(), net.place());
    net.ideal(top, ground, Volts(24.0)).expect("a source");
    net.resistor(top, middle, Ohms(250e6)).expect("upper");
    net.resistor(middle, ground, Ohms(250e6)).expect("lower");
    let meter = net.resistor(middle, ground, Ohms(f64::INFINITY)).expect("the meter's place");
    let circuit = Circuit::new(&net, ground);
    let mut values = circuit.values(&net);
    let solution = circuit.solve(&values);
    near(solution.volts(middle), 12.0, 1e-9);
    let thevenin = circuit.ohms(&solution, &circuit.resistances(&solution), middle).expect("a path");
    assert!((thevenin.value() - 125e6).abs() < 1e-3);
    values.set_ohms(meter, Ohms(10e6)).expect("10 MΩ");
    let solution = circuit.solve(&values);
    near(solution.volts(middle), 0.8889, 1e-4);
    near(solution.between(top, middle), 23.1111, 1e-4);
    near(solution.volts(middle), 12.0 / (1.0 + 125.0 / 10.0), 1e-9);
}

/// Source: Lessons in Electric Circuits, vol. I, series faults (`s_and_p.sml`): shorted R2 gives 60 mA,
/// open R2 gives no current and the whole supply across the break. The three resistances are from
/// memory, consistent with the printed 20 mA and 60 mA.
#[test]
fn series_faults_as_printed() {
    let mut net = Network::new();
    let p: Vec<Place> = (0..4).map(|_| net.place()).collect();
    net.ideal(p[1], p[0], Volts(9.0)).expect("a source");
    let r1 = net.resistor(p[1], p[2], Ohms(100.0)).expect("R1");
    let r2 = net.resistor(p[2], p[3], Ohms(300.0)).expect("R2");
    net.resistor(p[3], p[0], Ohms(50.0)).expect("R3");
    let circuit = Circuit::new(&net, p[0]);
    let mut values = circuit.values(&net);
    for (ohms, amps, across) in [(300.0, 0.02, 6.0), (1e-9, 0.06, 0.0), (f64::INFINITY, 0.0, 9.0)] {
        values.set_ohms(r2, Ohms(ohms)).expect("a resistance");
        let solution = circuit.solve(&values);
        assert!((circuit.amps(&values, &solution, r1).value() - amps).abs() < 1e-6);
        near(solution.between(p[2], p[3]), across, 1e-6);
    }
}

/// Source: Lessons in Electric Circuits, vol. I, shunt (dcmeter.sml): 12 V, 1 Ω, 15 kΩ: 0.7999 mV.
#[test]
fn shunt_as_printed() {
    let mut net = Network::new();
    let (ground, top, shunt) = (net.place(), net.place(), net.place());
    net.ideal(top, ground, Volts(12.0)).expect("a source");
    net.resistor(top, shunt, Ohms(15e3)).expect("the load");
    net.resistor(shunt, ground, Ohms(1.0)).expect("the shunt");
    let circuit = Circuit::new(&net, ground);
    near(circuit.solve(&circuit.values(&net)).volts(shunt), 7.999e-4, 1e-7);
}

/// The resistance between CAN-H and CAN-L, power off, of resistors in parallel across the pair.
fn pair_ohms(resistors: &[f64]) -> Option<f64> {
    let mut net = Network::new();
    let (high, low) = (net.place(), net.place());
    for ohms in resistors {
        net.resistor(high, low, Ohms(*ohms)).expect("a terminator");
    }
    let circuit = Circuit::new(&net, low);
    let solution = circuit.solve(&circuit.values(&net));
    circuit.ohms(&solution, &circuit.resistances(&solution), high).map(Ohms::value)
}

/// Source: 120 Ω at each end of the line (ISO 11898-2; Zephyr documentation); values by the parallel law.
#[test]
fn can_pair_resistances() {
    let close = |resistors: &[f64], ohms: f64| {
        let ours = pair_ohms(resistors).expect("a path");
        assert!((ours - ohms).abs() < 0.005, "{ours} Ω, not {ohms} Ω");
    };
    close(&[120.0, 120.0], 60.0);
    close(&[120.0], 120.0);
    close(&[120.0, 120.0, 120.0], 40.0);
    close(&[100.0, 100.0], 50.0);
    close(&[130.0, 130.0], 65.0);
    let nodes: Vec<f64> = [120.0, 120.0].into_iter().chain([30e3; 30]).collect();
    close(&nodes, 56.60);
    close(&[120.0, 120.0, 1e-6], 0.0);
    assert_eq!(pair_ohms(&[f64::INFINITY]), None, "no terminator and nothing else is over range");
}

/// A random network: places, branches with ohms and volts, and what is joined or ideally held.
#[derive(Debug, Clone)]
struct Random {
    places: usize,
    branches: Vec<(usize, usize, f64, f64)>,
    ideals: Vec<(usize, usize, f64)>,
}

fn random() -> impl Strategy<Value = Random> {
    (3usize..24).prop_flat_map(|places| {
        let ohms = prop_oneof![
            6 => (-3.0f64..5.0).prop_map(|e| 10f64.powf(e)),
            1 => Just(f64::INFINITY),
            1 => Just(1e9),
        ];
        let volts = prop_oneof![3 => Just(0.0), 1 => -30.0f64..30.0];
        let branches = prop::collection::vec((0..places, 0..places, ohms, volts), 1..60);
        let ideals = prop::collection::vec((0..places, 0..places, -30.0f64..30.0), 0..4);
        (Just(places), branches, ideals).prop_map(|(places, branches, ideals)| Random {
            places,
            branches,
            ideals,
        })
    })
}

/// Builds the network with its places numbered by `number`; loops of ideal sources are left out.
fn build(random: &Random, number: impl Fn(usize) -> usize) -> (Network, Vec<Place>, Vec<Branch>) {
    let mut net = Network::new();
    let mut at: Vec<Option<Place>> = vec![None; random.places];
    let mut wanted: Vec<(usize, usize)> = (0..random.places).map(|p| (number(p), p)).collect();
    wanted.sort_unstable();
    for (_, place) in wanted {
        at[place] = Some(net.place());
    }
    let places: Vec<Place> = at.into_iter().map(|p| p.expect("numbered")).collect();
    for (plus, minus, volts) in &random.ideals {
        let _ = net.ideal(places[*plus], places[*minus], Volts(*volts));
    }
    let branches = random
        .branches
        .iter()
        .map(|(a, b, ohms, volts)| {
            let source = (Volts(*volts), Ohms(*ohms));
            net.source(places[*a], places[*b], source).expect("a branch")
        })
        .collect();
    (net, places, branches)
}

/// The volts by a dense solve with full pivoting: modified nodal analysis, the floating parts held
/// by a tie at their first place. None where the library finds the matrix singular.
fn dense(random: &Random, floats: &[bool]) -> Option<Vec<f64>> {
    let n = random.places;
    let mut held = Network::new();
    let places: Vec<Place> = (0..n).map(|_| held.place()).collect();
    let ideals: Vec<&(usize, usize, f64)> = random
        .ideals
        .iter()
        .filter(|(p, m, v)| {
            // A second source on an already held pair, agreeing or not, adds no equation.
            let mut trial = held.clone();
            let free = trial.ideal(places[*p], places[*m], Volts(v + 1.0)).is_ok();
            free && p != m && held.ideal(places[*p], places[*m], Volts(*v)).is_ok()
        })
        .collect();
    let size = n + ideals.len();
    let mut matrix = nalgebra::DMatrix::<f64>::zeros(size, size);
    let mut right = nalgebra::DVector::<f64>::zeros(size);
    for (a, b, ohms, volts) in &random.branches {
        let (g, q) = (1.0 / ohms, volts / ohms);
        for (i, j, sign) in [(*a, *b, 1.0), (*b, *a, -1.0)] {
            matrix[(i, i)] += g;
            matrix[(i, j)] -= g;
            right[i] += sign * q;
        }
    }
    for (k, (plus, minus, volts)) in ideals.iter().enumerate() {
        for (place, sign) in [(*plus, 1.0), (*minus, -1.0)] {
            matrix[(place, n + k)] += sign;
            matrix[(n + k, place)] += sign;
        }
        right[n + k] = *volts;
    }
    for place in 0..n {
        if place == 0 || floats[place] {
            matrix.row_mut(place).fill(0.0);
            matrix[(place, place)] = 1.0;
            right[place] = 0.0;
        }
    }
    matrix.full_piv_lu().solve(&right).map(|v| v.iter().copied().take(n).collect())
}

/// Which places no conducting branch or ideal source joins to place 0: a plain graph search.
fn floating(random: &Random) -> Vec<bool> {
    let mut reached = vec![false; random.places];
    reached[0] = true;
    for _ in 0..random.places {
        let links = random.branches.iter().filter(|b| b.2.is_finite()).map(|b| (b.0, b.1));
        for (a, b) in links.chain(random.ideals.iter().map(|i| (i.0, i.1))) {
            let either = reached[a] || reached[b];
            reached[a] |= either;
            reached[b] |= either;
        }
    }
    reached.into_iter().map(|r| !r).collect()
}

fn solved(random: &Random) -> (Network, Vec<Place>, Vec<Branch>, Circuit, Values, Solution) {
    let (net, places, branches) = build(random, |p| p);
    let circuit = Circuit::new(&net, places[0]);
    let values = circuit.values(&net);
    let solution = circuit.solve(&values);
    (net, places, branches, circuit, values, solution)
}

/// The largest voltage a network of these sources can show: for relative tolerances.
fn scale(random: &Random) -> f64 {
    let branches = random.branches.iter().filter(|b| b.2.is_finite()).map(|b| b.3.abs());
    1.0 + branches.chain(random.ideals.iter().map(|i| i.2.abs())).sum::<f64>()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn the_dense_solve_agrees(random in random()) {
        let (_, places, _, _, _, solution) = solved(&random);
        let floats = floating(&random);
        if random.ideals.iter().any(|(p, m, _)| floats[*p] || floats[*m]) {
            return Ok(());
        }
        if let Some(volts) = dense(&random, &floats) {
            for (place, expected) in places.iter().zip(volts) {
                if let Some(ours) = solution.volts(*place) {
                    // The dense solve loses digits to the spread of the conductances (1e12 here).
                    prop_assert!((ours.value() - expected).abs() < 1e-3 * scale(&random));
                }
            }
        }
    }

    #[test]
    fn what_floats_is_what_a_graph_search_does_not_reach(random in random()) {
        let (_, places, _, _, _, solution) = solved(&random);
        for (place, floats) in places.iter().zip(floating(&random)) {
            prop_assert_eq!(solution.floats(*place), floats);
            prop_assert_eq!(solution.volts(*place).is_none(), floats);
        }
    }

    #[test]
    fn kirchhoffs_currents_add_up(random in random()) {
        let (_, places, branches, circuit, values, solution) = solved(&random);
        let mut sums = vec![0.0; places.len()];
        let mut sizes = vec![0.0; places.len()];
        for (branch, (a, b, ohms, _)) in branches.iter().zip(&random.branches) {
            let amps = circuit.amps(&values, &solution, *branch).value();
            prop_assert!(amps.is_finite());
            for (place, sign) in [(*a, 1.0), (*b, -1.0)] {
                sums[place] += sign * amps;
                sizes[place] += if ohms.is_finite() { scale(&random) / ohms } else { 0.0 };
            }
        }
        let ideal: Vec<usize> = random.ideals.iter().flat_map(|i| [i.0, i.1]).collect();
        for place in (1..places.len()).filter(|p| !ideal.contains(p) && !ideal.contains(&0)) {
            prop_assert!(sums[place].abs() <= 1e-12 * sizes[place] + 1e-15, "{} of {}", sums[place], sizes[place]);
        }
    }

    #[test]
    fn sources_superpose(random in random()) {
        let (_, places, branches, circuit, values, all) = solved(&random);
        if !random.ideals.is_empty() {
            return Ok(());
        }
        let mut sum = vec![0.0; places.len()];
        for (branch, (_, _, ohms, volts)) in branches.iter().zip(&random.branches) {
            let mut alone = values.clone();
            alone.kill_sources();
            alone.set_source(*branch, (Volts(*volts), Ohms(*ohms))).expect("a branch");
            let solution = circuit.solve(&alone);
            for (total, place) in sum.iter_mut().zip(&places) {
                *total += solution.volts(*place).map_or(0.0, Volts::value);
            }
        }
        for (total, place) in sum.iter().zip(&places) {
            if let Some(volts) = all.volts(*place) {
                prop_assert!((volts.value() - total).abs() < 1e-9 * scale(&random));
            }
        }
    }

    #[test]
    fn the_order_of_the_places_does_not_matter(random in random(), seed in any::<u64>()) {
        let (_, places, _, _, _, solution) = solved(&random);
        let shuffle = |p: usize| {
            let mixed = (p as u64 + 1).wrapping_mul(seed | 1).rotate_left(17).wrapping_mul(0x9E37_79B9_7F4A_7C15);
            usize::try_from(mixed >> 20).expect("fits")
        };
        let (net, moved, _) = build(&random, shuffle);
        let circuit = Circuit::new(&net, moved[0]);
        let other = circuit.solve(&circuit.values(&net));
        for (here, there) in places.iter().zip(&moved) {
            match (solution.volts(*here), other.volts(*there)) {
                (Some(a), Some(b)) => {
                    prop_assert!((a.value() - b.value()).abs() < 1e-10 * scale(&random));
                }
                (a, b) => prop_assert_eq!(a.is_some(), b.is_some()),
            }
        }
    }

    #[test]
    fn infinite_ohms_are_an_open(random in random()) {
        let (net, places, branches) = build(&random, |p| p);
        let circuit = Circuit::new(&net, places[0]);
        let (mut infinite, mut open) = (circuit.values(&net), circuit.values(&net));
        infinite.set_ohms(branches[0], Ohms(f64::INFINITY)).expect("open");
        open.open(branches[0]);
        let mut without = random.clone();
        without.branches.remove(0);
        let (bare, at, _) = build(&without, |p| p);
        let bare_circuit = Circuit::new(&bare, at[0]);
        let gone = bare_circuit.solve(&bare_circuit.values(&bare));
        prop_assert_eq!(circuit.solve(&infinite), circuit.solve(&open));
        let opened = circuit.solve(&open);
        for place in &places {
            match (opened.volts(*place), gone.volts(*place)) {
                (Some(a), Some(b)) => prop_assert!((a.value() - b.value()).abs() < 1e-10 * scale(&random)),
                (a, b) => prop_assert_eq!(a.is_some(), b.is_some()),
            }
        }
    }

    /// Changes one after the other, each solved into what the last left: the same to the last bit as from
    /// the beginning, also after a detour over another network.
    #[test]
    fn solving_again_is_solving_from_the_beginning(
        random in random(),
        changes in prop::collection::vec((any::<prop::sample::Index>(), prop::option::of(1e-3..1e6_f64), any::<bool>()), 1..12),
    ) {
        let (_, _, branches, circuit, healthy, _) = solved(&random);
        let (_, _, _, elsewhere, others, _) = solved(&random);
        let (mut values, mut used) = (healthy.clone(), Solution::default());
        for (which, ohms, back) in changes {
            if back {
                values.clone_from(&healthy);
                elsewhere.solve_into(&others, &mut used);
            }
            let branch = branches[which.index(branches.len())];
            values.set_ohms(branch, Ohms(ohms.unwrap_or(f64::INFINITY))).expect("a resistance");
            circuit.solve_into(&values, &mut used);
            prop_assert_eq!(&used, &circuit.solve(&values));
        }
    }

    #[test]
    fn resistances_are_what_one_ampere_shows(random in random()) {
        let mut dead = random.clone();
        dead.branches.iter_mut().for_each(|b| b.3 = 0.0);
        dead.ideals.iter_mut().for_each(|i| i.2 = 0.0);
        let (net, places, _, circuit, _, solution) = solved(&dead);
        let resistances = circuit.resistances(&solution);
        for place in places.iter().skip(1) {
            let mut pushed = net.clone();
            pushed.current(places[0], *place, Amps(1.0)).expect("a current");
            let other = Circuit::new(&pushed, places[0]);
            let shown = other.solve(&other.values(&pushed)).volts(*place);
            match (circuit.ohms(&solution, &resistances, *place), shown) {
                (Some(r), Some(v)) => {
                    prop_assert!((r.value() - v.value()).abs() <= 1e-9 * (r.value() + 1e-12));
                }
                (r, v) => prop_assert_eq!(r.is_some(), v.is_some()),
            }
        }
    }
}
