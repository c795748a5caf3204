//! The beginning of the tree, and the whole of it as text.

use std::fmt::Write as _;

use super::super::{words, yaml};
use super::{Composer, Written};
use crate::tree::Shows;

impl Composer<'_> {
    /// The questions of the symptom itself; the id of the first step.
    pub(super) fn opening(&mut self, root: &str) -> String {
        let mut next = root.to_owned();
        let asked: Vec<(String, Shows)> = self.head.symptom.clone();
        let can_be_asked = |shows: Shows| shows != Shows::Unheld;
        for (name, shows) in asked.iter().rev().filter(|(_, shows)| can_be_asked(*shows)) {
            let (so, not_so) = match shows {
                Shows::Works => (next.clone(), self.another_tree()),
                _ => (self.not_reproduced(), next.clone()),
            };
            let id = self.fresh(&yaml::slug(&format!("{name} now")));
            let lines = vec![
                format!("ask: {}", words::function_asked(self.ways.machine, name)),
                "phone: true".to_owned(),
                format!("observe: {}", yaml::word(name)),
                "minutes: 0".to_owned(),
                "answers:".to_owned(),
                format!("  so: {{text: {}, means: works, go: {so}}}", yaml::both(words::YES.0, words::YES.1)),
                format!(
                    "  not-so: {{text: {}, means: fails, go: {not_so}}}",
                    yaml::both(words::NO.0, words::NO.1)
                ),
                format!("cannot: {next}"),
            ];
            let comment = vec![
                "The complaint itself: it is said in any case, and takes no time of its own.".to_owned(),
            ];
            self.steps.push(Written { id: id.clone(), comment, lines, apart: String::new() });
            next = id;
        }
        next
    }

    pub(super) fn not_reproduced(&mut self) -> String {
        self.once("not-reproduced", || {
            vec![
                "close: not-reproduced".to_owned(),
                format!(
                    "text: {}",
                    yaml::both(
                        "Call again when it fails, and say what you were doing.",
                        "Llame otra vez cuando falle y diga qué estaba haciendo."
                    )
                ),
            ]
        })
    }

    pub(super) fn another_tree(&mut self) -> String {
        self.once("another-tree", || {
            vec![
                "refer:".to_owned(),
                format!("  en: {}", yaml::quoted("That is another symptom, and this tree does not apply.")),
                format!("  es: {}", yaml::quoted("Ese es otro síntoma y este árbol no sirve.")),
            ]
        })
    }

    pub(super) fn file(self, start: &str, root: &str) -> String {
        let machine = self.ways.machine;
        let wrong: Vec<String> = self
            .head
            .symptom
            .iter()
            .map(|(name, shows)| match shows {
                Shows::Fails => format!("no-{name}"),
                Shows::Unheld => format!("{name}-not-held"),
                Shows::Works => String::new(),
            })
            .filter(|part| !part.is_empty())
            .collect();
        let name = self.wanted.name.clone().unwrap_or_else(|| yaml::slug(&wrong.join("-")));
        let mut out = String::new();
        let _ = writeln!(
            out,
            "# Drafted from {}: the tests, their order and their gates come from the model of the circuits.",
            self.head.machine
        );
        let _ = writeln!(
            out,
            "# Reword the texts, say where things are, and leave the ids alone. After a change: loomwalk check --faults --strict"
        );
        let _ = writeln!(out, "# Shares are of 100, over all faults that show this symptom.");
        let _ = writeln!(
            out,
            "loomwalk: 1\ntree: {}\ntitle: {}\nrevision: 1",
            yaml::word(&name),
            words::title(machine, &self.head.symptom)
        );
        let _ = writeln!(
            out,
            "machine: {}\n{}\nsetup: {}",
            yaml::word(&self.head.machine),
            self.head.symptom_line(),
            yaml::pairs(&self.head.setup)
        );
        let _ = writeln!(out, "start: {start}");
        if start != root {
            let _ = writeln!(
                out,
                "again-from: {root}          # another round begins where the complaint is known"
            );
        }
        out += "\nsteps:\n";
        for step in self.steps.iter().rev() {
            for line in &step.comment {
                let _ = writeln!(out, "  # {line}");
            }
            let _ = writeln!(out, "  {}:", step.id);
            for line in &step.lines {
                let _ = writeln!(out, "    {line}");
            }
            out.push('\n');
        }
        out.truncate(out.trim_end().len());
        out.push('\n');
        out
    }
}
