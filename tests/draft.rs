//! Drafted trees, held against the same check that an author's tree is held against. Those of the shipped machines, which
//! take minutes without optimisation, are held against the trees that people wrote by `cargo bench --bench draft`.

use loomwalk::author::{Wanted, check, check_faults, draft};
use loomwalk::diag::{Source, SourceError, Sources};
use loomwalk::tree::Shows;

/// The machine file beside the tree.
struct Beside(Source);

impl Sources for Beside {
    fn fetch(&self, _from: &str, _wanted: &str) -> Result<Source, SourceError> {
        Ok(self.0.clone())
    }
}

fn example() -> Source {
    Source::new("machine.yaml", include_str!("machines/example.yaml"))
}

fn wanted(symptom: &[(&str, Shows)]) -> Wanted {
    let symptom = symptom.iter().map(|(name, shows)| ((*name).to_owned(), *shows)).collect();
    Wanted { symptom, name: None, machine: "machine.yaml".to_owned() }
}

/// What is wrong with a draft, strictly, its fault check included; and how much one repair puts right.
fn flaws(text: &str, machine: &Source) -> (Vec<String>, f64) {
    let report = check(&Source::new("draft.yaml", text), &Beside(machine.clone()));
    let mut flaws: Vec<String> = report.problems.iter().map(|p| format!("{}: {}", p.rule, p.wrong)).collect();
    let told = report.course.as_ref().and_then(check_faults).expect("a tree with a machine");
    flaws.extend(told.problems.iter().map(|p| format!("{}: {}", p.rule, p.wrong)));
    let figures = &told.check.figures;
    for (word, count) in [
        ("wrong", figures.wrong),
        ("no branch", figures.no_branch),
        ("unnamed", figures.unnamed),
        ("depends", figures.depends),
    ] {
        if count > 0 {
            flaws.push(format!("{count} {word}"));
        }
    }
    // Whoever is on the telephone may not know: there is a way on then too.
    let asked = text.split("\n\n").filter(|step| step.contains("phone: true"));
    flaws.extend(asked.filter(|step| !step.contains("cannot:")).map(|step| format!("no way on: {step}")));
    (flaws, figures.one_repair.value())
}

/// What fails unsafe shows in the state that must hold it, and nobody can ask for it by telephone: a machine in order is
/// told apart by the readings alone, and is not repaired.
#[test]
fn a_draft_for_what_is_not_held_reads_in_the_held_state_and_repairs_no_healthy_machine() {
    let text = draft(&example(), &wanted(&[("lift", Shows::Unheld)])).expect("a draft");
    let (flaws, one_repair) = flaws(&text, &example());
    assert!(flaws.is_empty(), "{flaws:#?}\n{text}");
    assert!(one_repair > 0.99, "to one repair only {one_repair}");
    assert!(text.contains("bar: up") || text.contains("door: open"), "{text}");
}

#[test]
fn a_draft_passes_the_strict_check_with_every_fault_as_it_is_written() {
    let symptom = wanted(&[("lift", Shows::Fails), ("display", Shows::Works)]);
    let text = draft(&example(), &symptom).expect("a draft");
    let (flaws, one_repair) = flaws(&text, &example());
    assert!(flaws.is_empty(), "{flaws:#?}\n{text}");
    // Two stretches of the feed have their joint where no zone is given: nothing can be read between them.
    assert!(one_repair > 0.98, "to one repair only {one_repair}");
    insta::assert_snapshot!(text);
}

/// Every gate of a draft is there because safety asks for it: without it the tree is refused.
#[test]
fn a_draft_has_no_gate_that_nothing_asks_for() {
    let symptom = wanted(&[("lift", Shows::Fails), ("display", Shows::Works)]);
    let text = draft(&example(), &symptom).expect("a draft");
    let lines: Vec<&str> = text.lines().collect();
    let mut cut = 0;
    for (at, line) in lines.iter().enumerate() {
        let Some(list) = line.trim().strip_prefix("gates: [").and_then(|rest| rest.strip_suffix(']')) else {
            continue;
        };
        let gates: Vec<&str> = list.split(", ").collect();
        for gate in &gates {
            let rest: Vec<&str> = gates.iter().copied().filter(|own| own != gate).collect();
            let mut mutant: Vec<String> = lines.iter().map(|line| (*line).to_owned()).collect();
            // A list that is empty now is passed by a question that asks nothing.
            mutant[at] = if rest.is_empty() {
                "    run: nothing".to_owned()
            } else {
                format!("    gates: [{}]", rest.join(", "))
            };
            let text = mutant.join("\n");
            let text = text.replacen("\nsteps:\n", "\ngroups:\n  nothing: {start: a, steps: {a: {ask: a, phone: true, answers: {a: {text: a, go: back}, b: {text: b, go: back}}}}}\nsteps:\n", 1);
            let report = check(&Source::new("draft.yaml", text), &Beside(example()));
            assert!(
                report.problems.iter().any(|p| p.weight == loomwalk::diag::Weight::Refused),
                "line {}: without `{gate}` the tree is still walked",
                at + 1
            );
            cut += 1;
        }
    }
    assert!(cut > 10, "only {cut} gates were cut");
}

#[test]
fn what_cannot_be_drafted_says_why() {
    let said =
        |symptom: &[(&str, Shows)]| draft(&example(), &wanted(symptom)).expect_err("no draft").to_string();
    insta::assert_snapshot!(
        [
            said(&[("lfit", Shows::Fails)]),
            said(&[("lift", Shows::Works)]),
            said(&[("lift", Shows::Fails), ("lift", Shows::Works)]),
        ]
        .join("\n"),
        @r"
    there is no function `lfit` (`lift`, if that is meant); the machine has lift, display
    nothing fails in this symptom: one function at least has to be `fails` or `unheld`
    no fault of the machine file shows this symptom
    "
    );
    let unsound = Source::new("machine.yaml", "loomwalk: 1\nmachine: x\n");
    assert!(draft(&unsound, &wanted(&[("lift", Shows::Fails)])).is_err());
}
