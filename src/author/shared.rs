//! Checks a shared file on its own: a small tree that runs each of its groups is laid around it.
//!
//! What the file leaves open, the small tree gives: parameters, named ends, groups of other files. Problems of the
//! small tree itself are nobody's and are left out, and so are rules about what comes before a group.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use crate::diag::{FileId, Limits, Node, Nodes, Problem, Problems, Source, SourceError, Sources, nearest};
use crate::safety::Vocabulary;
use crate::tree;

use super::check::Seen;

/// Rules about what lies before a step, which a group alone cannot show.
const NOT_ALONE: [&str; 2] = ["repair-without-find", "compare-misfit"];

/// Name of the small tree, which no file can have.
const AROUND: &str = "\u{0}around";

pub(super) fn check(source: &Source) -> Seen {
    let mut ignored = Problems::default();
    let nodes = Nodes::default();
    let root = nodes.parse_yaml(&source.text, FileId(0), Limits::default(), &mut ignored);
    let around = tree_around(root.as_ref());
    let mut loaded = tree::load(&Source::new(AROUND, around), &Only(source));
    let built_in = Vocabulary::built_in();
    let told = tree::check(&loaded, Some(&built_in));
    loaded.problems.extend(told);
    let beyond = loaded.problems.beyond;
    let mut problems = Problems::default();
    problems.beyond = beyond;
    let file = FileId(1);
    let own = |problem: &Problem| problem.place.file_id() == file && !NOT_ALONE.contains(&problem.rule);
    loaded.problems.into_list().into_iter().filter(own).for_each(|problem| problems.push(problem));
    Seen { file, files: loaded.files, problems, course: None }
}

/// One file, by whatever name it is asked for.
struct Only<'s>(&'s Source);

impl Sources for Only<'_> {
    fn fetch(&self, _from: &str, _wanted: &str) -> Result<Source, SourceError> {
        Ok(self.0.clone())
    }
}

/// A tree that asks which group to run, and runs it.
fn tree_around(root: Option<&Node<'_>>) -> String {
    let groups = root.and_then(|root| root.get("groups")).and_then(Node::map).unwrap_or_default();
    let defined: BTreeSet<&str> = groups.iter().map(|group| group.key).collect();
    let mut open = BTreeSet::new();
    let (mut answers, mut runs) = (String::new(), String::new());
    for (at, group) in groups.iter().enumerate() {
        let needs = Needs::of(&group.value);
        open.extend(needs.runs.into_iter().filter(|run| !defined.contains(run.as_str())));
        let ends: Vec<String> = needs.ends.iter().map(|end| format!("{}: end", quoted(end))).collect();
        let params = needs.params.iter().map(|p| {
            let zone = needs.zoned.contains(p);
            format!("{}: {}", quoted(p), if zone { "outside".to_owned() } else { quoted(p) })
        });
        let params: Vec<String> = params.collect();
        let _ = writeln!(answers, "      a{at}: {{text: {at}, go: run{at}}}");
        let _ = writeln!(
            runs,
            "  run{at}: {{run: {}, go: end, cannot: end, for: {{{}}}, exits: {{{}}}}}",
            quoted(group.key),
            params.join(", "),
            ends.join(", "),
        );
    }
    let stubs: String = open.iter().map(|name| stub(name)).collect();
    let groups = if stubs.is_empty() { String::new() } else { format!("groups:\n{stubs}") };
    format!(
        "loomwalk: 1\ntree: around\ntitle: around\nuse: [shared]\nstart: which\n{groups}steps:\n  which:\n    \
         ask: which\n    answers:\n{answers}{runs}  end: {{close: not-reproduced}}\n"
    )
}

/// A group of another file: it may be run, and comes back.
fn stub(name: &str) -> String {
    format!("  {}: {{start: s, steps: {{s: {{do: something, zone: outside, go: back}}}}}}\n", quoted(name))
}

/// A name as YAML; JSON strings are YAML too.
fn quoted(name: &str) -> String {
    serde_json::Value::from(name).to_string()
}

/// What a group leaves open.
#[derive(Default)]
struct Needs {
    ends: BTreeSet<String>,
    params: BTreeSet<String>,
    /// Parameters that stand for a zone.
    zoned: BTreeSet<String>,
    runs: BTreeSet<String>,
}

impl Needs {
    fn of(group: &Node<'_>) -> Self {
        let mut needs = Self::default();
        let steps = group.get("steps").and_then(Node::map).unwrap_or_default();
        let own: BTreeSet<&str> = steps.iter().map(|step| step.key).collect();
        let mut row: Vec<(&str, &Node<'_>)> = vec![("", group)];
        while let Some((key, node)) = row.pop() {
            if let Some(word) = node.scalar() {
                needs.take(key, word, &own);
            }
            row.extend(node.list().unwrap_or_default().iter().map(|item| (key, item)));
            for entry in node.map().unwrap_or_default() {
                let key = if key == "exits" { "go" } else { entry.key };
                row.push((key, &entry.value));
            }
        }
        needs
    }

    fn take(&mut self, key: &str, word: &str, own: &BTreeSet<&str>) {
        self.params.extend(braced(word));
        if key == "zone" {
            self.zoned.extend(braced(word));
        }
        match key {
            "run" => {
                self.runs.insert(word.to_owned());
            }
            // A name that is nearly one of the group's own steps is a slip, and no end.
            "go" | "cannot"
                if !own.contains(word)
                    && !matches!(word, "back" | "again")
                    && nearest(word, own.iter().copied()).is_none() =>
            {
                self.ends.insert(word.to_owned());
            }
            _ => {}
        }
    }
}

fn braced(text: &str) -> Vec<String> {
    text.split('{').skip(1).filter_map(|rest| Some(rest.split_once('}')?.0.to_owned())).collect()
}
