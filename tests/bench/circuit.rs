//! How long a fault takes: changing, eliminating and solving one recorded harness of 39 places for a
//! hundred faults, beside a dense solve of the same by a general linear-algebra library.
//!
//! Run with `cargo bench --bench circuit`.

use divan::{Bencher, black_box};
use loomwalk::diag::FileId;
use loomwalk::machine::{Branch, Circuit, Network, Place, Solution, Today, Values, load_machine};
use loomwalk::units::{Amps, Ohms, Volts};
use nalgebra::{DMatrix, DVector};
use serde_json::Value;
use std::collections::HashMap;

fn main() {
    divan::main();
}

/// A resistance or current source as the dense solve needs it.
struct Element {
    a: usize,
    b: usize,
    siemens: f64,
    drive: f64,
}

struct Harness {
    circuit: Circuit,
    healthy: Values,
    /// Per fault: branches and the ohms they take.
    faults: Vec<Vec<(Branch, f64)>>,
    elements: Vec<Element>,
    ideals: Vec<(usize, usize, f64)>,
    nodes: usize,
}

fn load() -> Harness {
    let text = include_str!("../vectors/circuit/harness-birch.json");
    let record: Value = serde_json::from_str(text).expect("the vectors are JSON");
    let mut network = Network::new();
    let ground = network.place();
    let mut places: HashMap<&str, (usize, Place)> =
        HashMap::from([(record["ground"].as_str().expect("a name"), (0, ground))]);
    for (at, node) in record["nodes"].as_array().expect("nodes").iter().enumerate() {
        places.insert(node.as_str().expect("a name"), (at + 1, network.place()));
    }
    let (mut elements, mut ideals, mut names) = (Vec::new(), Vec::new(), HashMap::new());
    for element in record["elements"].as_array().expect("elements") {
        let end = |key: &str| places[element[key].as_str().expect("a node")];
        let number = |key: &str| element[key].as_f64().expect("a number");
        match element["kind"].as_str().expect("a kind") {
            "vsource" => {
                let (plus, minus, volts) = (end("p"), end("n"), number("volts"));
                network.ideal(plus.1, minus.1, Volts(volts)).expect("no loop");
                ideals.push((plus.0, minus.0, volts));
            }
            "isource" => {
                let (from, to) = (end("from"), end("to"));
                network.current(from.1, to.1, Amps(number("amps"))).expect("a current");
                elements.push(Element { a: to.0, b: from.0, siemens: 0.0, drive: number("amps") });
            }
            _ => {
                let (a, b) = (end("a"), end("b"));
                let branch = network.resistor(a.1, b.1, Ohms(number("ohms"))).expect("a resistance");
                names.insert(element["id"].as_str().expect("an id").to_owned(), branch);
                let siemens = 1.0 / number("ohms");
                elements.push(Element { a: a.0, b: b.0, siemens, drive: 0.0 });
            }
        }
    }
    let mut faults = Vec::new();
    for fault in record["faults"].as_array().expect("faults").iter().take(100) {
        let mut changes = Vec::new();
        for change in fault["mods"].as_array().expect("mods") {
            let name = |key: &str| change[key].as_str().expect("a name");
            let branch = if change["op"] == "set_ohms" {
                names[name("element")]
            } else {
                let (a, b) = (places[name("a")], places[name("b")]);
                *names.entry(format!("{}~{}", name("a"), name("b"))).or_insert_with(|| {
                    elements.push(Element { a: a.0, b: b.0, siemens: 0.0, drive: 0.0 });
                    network.resistor(a.1, b.1, Ohms(f64::INFINITY)).expect("open")
                })
            };
            changes.push((branch, change["ohms"].as_f64().expect("ohms")));
        }
        faults.push(changes);
    }
    let circuit = Circuit::new(&network, ground);
    let healthy = circuit.values(&network);
    Harness { healthy, faults, elements, ideals, nodes: places.len(), circuit }
}

#[divan::bench]
fn star_mesh_100_faults(bencher: Bencher) {
    let harness = load();
    let mut values = harness.healthy.clone();
    let mut solution = Solution::default();
    bencher.bench_local(|| {
        for fault in &harness.faults {
            values.clone_from(&harness.healthy);
            for (branch, ohms) in fault {
                values.set_ohms(*branch, Ohms(*ohms)).expect("a resistance");
            }
            harness.circuit.solve_into(&values, &mut solution);
            black_box(&solution);
        }
    });
}

/// Modified nodal analysis with the library's LU, one matrix a fault.
#[divan::bench]
fn dense_lu_100_faults(bencher: Bencher) {
    let harness = load();
    bencher.bench_local(|| {
        for fault in &harness.faults {
            let size = harness.nodes - 1 + harness.ideals.len();
            let mut matrix = DMatrix::<f64>::zeros(size, size);
            let mut right = DVector::<f64>::zeros(size);
            for element in &harness.elements {
                stamp(&mut matrix, &mut right, element);
            }
            // What a fault adds or opens costs the library the same as what is there already.
            black_box(fault);
            for (k, (plus, minus, volts)) in harness.ideals.iter().enumerate() {
                let row = harness.nodes - 1 + k;
                for (node, sign) in [(*plus, 1.0), (*minus, -1.0)] {
                    if node > 0 {
                        matrix[(node - 1, row)] += sign;
                        matrix[(row, node - 1)] += sign;
                    }
                }
                right[row] = *volts;
            }
            black_box(matrix.lu().solve(&right));
        }
    });
}

fn stamp(matrix: &mut DMatrix<f64>, right: &mut DVector<f64>, element: &Element) {
    for (i, j, sign) in [(element.a, element.b, 1.0), (element.b, element.a, -1.0)] {
        if i == 0 {
            continue;
        }
        matrix[(i - 1, i - 1)] += element.siemens;
        right[i - 1] += sign * element.drive;
        if j > 0 {
            matrix[(i - 1, j - 1)] -= element.siemens;
        }
    }
}

/// Every fault of the shipped loader at every severity, tried in every function's states.
#[divan::bench(sample_count = 10)]
fn dictionary_of_the_shipped_loader(bencher: Bencher) {
    let text = include_str!("../../trees/tern/machine.yaml");
    let machine = load_machine(text, FileId(0)).machine.expect("it loads");
    bencher.bench_local(|| {
        let day = machine.day(Today::default());
        black_box(day.dictionary().entries().len())
    });
}
