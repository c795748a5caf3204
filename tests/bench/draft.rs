//! Drafts beside the trees that people wrote for the same symptoms, and for symptoms that nobody wrote a tree for:
//! `cargo bench --bench draft`. Prints a table; it fails where a draft has anything wrong by the strict check with every
//! fault, comes down to one repair less often than the tree that is there, or takes over 5 % more expected minutes than
//! the best order of its own tests that the planner finds.

#![allow(clippy::print_stdout, reason = "a benchmark prints what it measured")]

use std::time::Instant;

use loomwalk::author::{Wanted, check, check_faults, draft};
use loomwalk::diag::{Source, SourceError, Sources};
use loomwalk::machine::FaultKind;
use loomwalk::reason::{Effort, plan_tree};
use loomwalk::tree::{Shipped, Shows};

/// Most expected minutes, as a part of the best order's.
const MOST: f64 = 1.05;

/// Symptoms beside those of the shipped trees.
const MORE: [(&str, &[(&str, Shows)]); 6] = [
    ("tern", &[("drive", Shows::Fails), ("display", Shows::Works)]),
    ("wren", &[("lamps", Shows::Fails)]),
    ("heron", &[("display", Shows::Fails)]),
    ("heron", &[("extend", Shows::Fails), ("display", Shows::Works)]),
    ("tern", &[("lift", Shows::Unheld)]),
    ("wren", &[("boom", Shows::Unheld)]),
];

/// The machine file, by whatever name it is asked for.
struct Beside(Source);

impl Sources for Beside {
    fn fetch(&self, _from: &str, _wanted: &str) -> Result<Source, SourceError> {
        Ok(self.0.clone())
    }
}

/// What a tree comes to.
struct Worth {
    wrong: Vec<String>,
    one_repair: f64,
    /// What does not come down to one repair and has an electrical trace.
    untold: Vec<String>,
    written: f64,
    best: f64,
}

fn worth(source: &Source, sources: &dyn Sources) -> Worth {
    let report = check(source, sources);
    let mut wrong: Vec<String> = report.problems.iter().map(|p| format!("{}: {}", p.rule, p.wrong)).collect();
    let course = report.course.as_ref().expect("a tree");
    let told = check_faults(course).expect("a tree with a machine");
    wrong.extend(told.problems.iter().map(|p| format!("{}: {}", p.rule, p.wrong)));
    let figures = &told.check.figures;
    let counts = [figures.wrong, figures.no_branch, figures.unnamed, figures.depends];
    if counts != [0; 4] {
        wrong.push(format!("wrong, without a branch, unnamed, if answers are right: {counts:?}"));
    }
    let model = course.tree().model.as_deref().expect("a machine");
    let together = told.check.by_fault.iter().filter(|end| !end.one_repair).map(|end| model.fault(end.fault));
    let untold = together.filter(|f| f.kind != FaultKind::Other).map(|f| f.name.clone()).collect();
    let plan = plan_tree(course, Effort::Check).expect("a plan");
    let (written, best) = (plan.as_written.value(), plan.best_found.value());
    Worth { wrong, one_repair: figures.one_repair.value(), untold, written, best }
}

/// A draft for a symptom of a shipped machine, judged; and the seconds that drafting took.
fn drafted(machine: &str, symptom: &[(String, Shows)]) -> (Worth, f64) {
    let file = Shipped::named(&format!("{machine}/machine")).expect("a shipped machine");
    let wanted = Wanted { symptom: symptom.to_vec(), name: None, machine: "machine.yaml".to_owned() };
    let begun = Instant::now();
    let text = draft(&file, &wanted).expect("a draft");
    let seconds = begun.elapsed().as_secs_f64();
    (worth(&Source::new("draft.yaml", text), &Beside(file)), seconds)
}

fn words(symptom: &[(String, Shows)]) -> String {
    let word = |shows: Shows| match shows {
        Shows::Works => "works",
        Shows::Fails => "fails",
        Shows::Unheld => "unheld",
    };
    symptom.iter().map(|(name, shows)| format!("{name}={}", word(*shows))).collect::<Vec<_>>().join(",")
}

fn main() {
    let mut short: Vec<String> = Vec::new();
    println!("to one repair, of 100; expected minutes as written, and in the best order of the same tests");
    println!("{:<24} {:>22} {:>28}", "", "by hand", "draft");
    let by_hand = Shipped::names().into_iter().filter_map(|name| {
        let source = Shipped::named(&name)?;
        let symptom = check(&source, &Shipped).course?.tree().symptom.clone();
        (!symptom.is_empty()).then_some((name, source, symptom))
    });
    for (name, source, symptom) in by_hand {
        let machine = name.split('/').next().unwrap_or_default();
        let (hand, (own, seconds)) = (worth(&source, &Shipped), drafted(machine, &symptom));
        let hundred = |worth: &Worth| 100.0 * worth.one_repair;
        println!(
            "{name:<24} {:>6.1} {:>6.1} / {:>5.1} {:>9.1} {:>6.1} / {:>5.1}   {seconds:.2} s",
            hundred(&hand),
            hand.written,
            hand.best,
            hundred(&own),
            own.written,
            own.best
        );
        if own.one_repair < hand.one_repair - 1e-9 {
            short.push(format!("{name}: to one repair {:.1}, by hand {:.1}", hundred(&own), hundred(&hand)));
        }
        short.extend(too_long(&name, &own));
    }
    for (machine, symptom) in MORE {
        let symptom: Vec<(String, Shows)> =
            symptom.iter().map(|(n, shows)| ((*n).to_owned(), *shows)).collect();
        let name = format!("{machine} {}", words(&symptom));
        let (own, seconds) = drafted(machine, &symptom);
        println!(
            "{name:<47} {:>9.1} {:>6.1} / {:>5.1}   {seconds:.2} s",
            100.0 * own.one_repair,
            own.written,
            own.best
        );
        short.extend(
            own.untold.iter().map(|fault| format!("{name}: {fault} is not told from another repair")),
        );
        short.extend(too_long(&name, &own));
    }
    assert!(short.is_empty(), "{short:#?}");
}

/// What is wrong with a draft, and minutes beyond the best order's.
fn too_long(name: &str, own: &Worth) -> Vec<String> {
    let mut short: Vec<String> = own.wrong.iter().map(|wrong| format!("{name}: {wrong}")).collect();
    if own.written > own.best * MOST {
        short.push(format!("{name}: {:.1} min, {:.1} in the best order", own.written, own.best));
    }
    short
}
