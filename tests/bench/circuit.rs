//! How long a fault takes: changing, eliminating and solving one recorded harness of 39 places for a
//! hundred faults, beside a dense solve of the same by a general linear-algebra library, and beside the loop of a
//! general circuit simulator (ngspice, where it is installed) over the same changes; and how long the fault check of the
//! largest shipped tree takes.
//!
//! Run with `cargo bench --bench circuit`.

use divan::{Bencher, black_box};
use loomwalk::author::{check, check_faults, kind_of};
use loomwalk::diag::FileId;
use loomwalk::machine::{Branch, Circuit, Network, Place, Solution, Today, Values, load_machine};
use loomwalk::reason::{Effort, plan_tree};
use loomwalk::tree::{Course, FileKind, Shipped};
use loomwalk::units::{Amps, Ohms, Volts};
use nalgebra::{DMatrix, DVector};
use serde_json::Value;
use std::collections::HashMap;
use std::fmt::Write as _;
use std::io::Write as _;
use std::process::Command;
use std::time::{Duration, Instant};

const RECORD: &str = include_str!("../vectors/circuit/harness-birch.json");

fn main() {
    divan::main();
    // With a filter only what it names.
    if std::env::args().skip(1).all(|argument| argument.starts_with("--")) {
        simulator();
    }
}

/// The simulator's own loop, in one process: a fault is altered, solved and taken back, a hundred times. What loading
/// the program takes is left out, by running it once with the loop and once without.
fn simulator() {
    let timed = |rounds: usize| {
        let mut least = None;
        for _ in 0..5 {
            let path = std::env::temp_dir().join(format!("loomwalk-circuit-{}.cir", std::process::id()));
            std::fs::write(&path, deck(rounds)).ok()?;
            let begun = Instant::now();
            let done = Command::new("ngspice").arg("-b").arg(&path).output().ok();
            let took = begun.elapsed();
            let _ = std::fs::remove_file(&path);
            let done = done?;
            assert!(
                rounds == 0 || String::from_utf8_lossy(&done.stdout).contains("v(n1) ="),
                "it solved nothing"
            );
            least = Some(least.map_or(took, |least: Duration| least.min(took)));
        }
        least
    };
    // Ten rounds of a hundred faults, so that the loop stands out from the start of the program.
    match timed(0).zip(timed(10)) {
        Some((idle, busy)) => {
            let hundred = busy.saturating_sub(idle) / 10;
            let _ = writeln!(std::io::stdout(), "ngspice, its loop over the same 100 faults: {hundred:.1?}");
        }
        None => {
            let _ = writeln!(std::io::stdout(), "ngspice is not installed: no comparison with its loop");
        }
    }
}

/// The recorded harness as a netlist with a loop over its faults.
fn deck(rounds: usize) -> String {
    let record: Value = serde_json::from_str(RECORD).expect("the vectors are JSON");
    let text = |value: &Value| value.as_str().expect("a name").to_owned();
    let ground = text(&record["ground"]);
    let nodes: Vec<String> = record["nodes"].as_array().expect("nodes").iter().map(text).collect();
    let node = |name: &str| match nodes.iter().position(|own| own == name) {
        Some(at) if name != ground => format!("n{}", at + 1),
        _ => "0".to_owned(),
    };
    let (mut lines, mut names) = (vec!["* a harness".to_owned()], HashMap::new());
    for (at, element) in record["elements"].as_array().expect("elements").iter().enumerate() {
        let end = |key: &str| node(&text(&element[key]));
        lines.push(match element["kind"].as_str().expect("a kind") {
            "vsource" => format!("V{at} {} {} {}", end("p"), end("n"), element["volts"]),
            "isource" => format!("I{at} {} {} {}", end("from"), end("to"), element["amps"]),
            _ => {
                names.insert(
                    text(&element["id"]),
                    (format!("R{at}"), element["ohms"].as_f64().expect("ohms")),
                );
                format!("R{at} {} {} {}", end("a"), end("b"), element["ohms"])
            }
        });
    }
    let mut faults = String::new();
    for fault in record["faults"].as_array().expect("faults").iter().take(100) {
        let (mut there, mut back) = (String::new(), String::new());
        for change in fault["mods"].as_array().expect("mods") {
            let ohms = change["ohms"].as_f64().expect("ohms").min(1e12);
            let (name, usual) = if change["op"] == "set_ohms" {
                names[change["element"].as_str().expect("a name")].clone()
            } else {
                let (a, b) = (text(&change["a"]), text(&change["b"]));
                let count = lines.len();
                let (name, _) = names.entry(format!("{a}~{b}")).or_insert_with(|| {
                    lines.push(format!("R{count} {} {} 1e12", node(&a), node(&b)));
                    (format!("R{count}"), 1e12)
                });
                (name.clone(), 1e12)
            };
            let _ = writeln!(there, "alter {name} = {ohms}");
            let _ = writeln!(back, "alter {name} = {usual}");
        }
        let _ = write!(faults, "{there}op\n{back}");
    }
    let all = faults.repeat(rounds);
    format!("{}\n.control\nop\nprint v(n1)\n{all}quit\n.endc\n.end\n", lines.join("\n"))
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
    let record: Value = serde_json::from_str(RECORD).expect("the vectors are JSON");
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

/// The fault check of the largest shipped tree, with a weak and a strong battery too; and the plan beside it.
#[divan::bench(sample_count = 10)]
fn fault_check_of_the_largest_shipped_tree(bencher: Bencher) {
    let course = largest();
    bencher.bench_local(|| black_box(check_faults(&course)).is_some());
}

#[divan::bench(sample_count = 5)]
fn plan_of_the_largest_shipped_tree(bencher: Bencher) {
    let course = largest();
    bencher.bench_local(|| black_box(plan_tree(&course, Effort::Check)).is_some());
}

/// The shipped tree with the most steps, shared groups written out.
fn largest() -> Course {
    let all = Shipped::names().into_iter().filter_map(|name| Shipped::named(&name));
    let trees = all.filter(|source| kind_of(&source.text) == FileKind::Tree);
    let courses = trees.filter_map(|source| check(&source, &Shipped).course);
    courses.max_by_key(|course| course.tree().steps.len()).expect("there are some")
}
