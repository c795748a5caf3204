//! A file as its author sees it while writing: what is wrong and where, which steps there are and where each leads.
//!
//! The steps are read from the YAML alone, so that they are there while names are still missing.

use crate::diag::{FileId, Limits, Locator, Node, Nodes, Position, Problems, Source, Sources, Weight};
use crate::tree::Course;

use super::check::check;

/// What is wrong, told for one place of the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Noticed {
    /// Where it begins: line and column, from 0.
    pub from: (usize, usize),
    /// Where it ends.
    pub to: (usize, usize),
    /// How heavy it is.
    pub weight: Weight,
    /// The rule.
    pub rule: &'static str,
    /// What is wrong.
    pub wrong: String,
    /// Why it matters at the machine.
    pub at_machine: String,
    /// What to write.
    pub write: String,
}

/// One step under its id, with where it leads.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StepSeen {
    /// Its id.
    pub id: String,
    /// Its kind, by its own key: `read`, `gates`, `run`.
    pub kind: String,
    /// Its line, from 0.
    pub line: usize,
    /// Where it leads: by which answer or band, to which step.
    pub leads: Vec<(String, String)>,
}

/// All of it.
#[derive(Debug, Default)]
pub struct Overview {
    /// What is wrong with the file itself, in the order of places; then what is wrong with the files that it uses.
    pub noticed: Vec<Noticed>,
    /// How much more is wrong than is kept.
    pub beyond: usize,
    /// The steps, in file order; none while the YAML cannot be read.
    pub steps: Option<Vec<StepSeen>>,
    /// The first step, as the file names it.
    pub start: Option<String>,
    /// The tree, if it may be walked and has a machine: what the fault check takes.
    pub course: Option<Course>,
}

/// Looks a text over.
#[must_use]
pub fn overview(source: &Source, sources: &dyn Sources) -> Overview {
    let report = check(source, sources);
    let mut locator = Locator::new(&report.files);
    let refused = report.count(Weight::Refused) > 0;
    let mut noticed = Vec::with_capacity(report.problems.len());
    for problem in &report.problems {
        let span = locator.span(&problem.place);
        let file = problem.place.file_id();
        let own = file == report.file;
        let at = |position: Position| (position.line.saturating_sub(1), position.column.saturating_sub(1));
        let (from, to) = if own {
            (at(locator.position(file, span.start)), at(locator.position(file, span.end)))
        } else {
            ((0, 0), (0, 0))
        };
        let elsewhere =
            report.files.get(file).filter(|_| !own).map_or(String::new(), |f| format!("{}: ", f.name));
        noticed.push(Noticed {
            from,
            to,
            weight: problem.weight,
            rule: problem.rule,
            wrong: format!("{elsewhere}{}", problem.wrong),
            at_machine: problem.at_machine.clone(),
            write: problem.write.clone(),
        });
    }
    let course = report.course.filter(|course| !refused && course.tree().model.is_some());
    let (steps, start) = steps(&source.text).unzip();
    Overview { noticed, beyond: report.beyond, steps, start: start.flatten(), course }
}

/// The steps of a tree or the groups' steps of a shared file, as far as the YAML can be read, and the first step's name.
fn steps(text: &str) -> Option<(Vec<StepSeen>, Option<String>)> {
    let nodes = Nodes::default();
    let root = nodes.parse_yaml(text, FileId(0), Limits::default(), &mut Problems::default())?;
    let mut found = Vec::new();
    let lines = LineStarts::of(text);
    let groups = root.get("groups").and_then(Node::map).unwrap_or_default();
    let own = root.get("steps").into_iter().chain(groups.iter().filter_map(|group| group.value.get("steps")));
    for entry in own.filter_map(Node::map).flatten() {
        let mut leads = Vec::new();
        follow(&entry.value, "", &mut leads);
        let kind = entry.value.map().and_then(|map| map.first()).map_or("", |first| first.key);
        found.push(StepSeen {
            id: entry.key.to_string(),
            kind: kind.to_owned(),
            line: lines.line(entry.key_span.start as usize),
            leads,
        });
    }
    let start = root.get("start").and_then(Node::scalar).map(str::to_owned);
    Some((found, start))
}

/// Where the lines of a text begin.
struct LineStarts(Vec<usize>);

impl LineStarts {
    fn of(text: &str) -> Self {
        Self(std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect())
    }

    fn line(&self, byte: usize) -> usize {
        self.0.partition_point(|start| *start <= byte).saturating_sub(1)
    }
}

/// Every `go`, `cannot` and named exit below a step, with what leads there.
fn follow(node: &Node<'_>, label: &str, leads: &mut Vec<(String, String)>) {
    for entry in node.map().unwrap_or_default() {
        let key = entry.key;
        match (key, entry.value.scalar()) {
            ("go", Some(to)) => leads.push((label.to_owned(), to.to_owned())),
            ("cannot", Some(to)) => leads.push(("cannot".to_owned(), to.to_owned())),
            _ => {}
        }
        match key {
            "answers" => {
                for answer in entry.value.map().unwrap_or_default() {
                    follow(&answer.value, answer.key, leads);
                }
            }
            "bands" => {
                for band in entry.value.list().unwrap_or_default() {
                    follow(band, &band_words(band), leads);
                }
            }
            "exits" => {
                for exit in entry.value.map().unwrap_or_default() {
                    if let Some(to) = exit.value.scalar() {
                        leads.push((exit.key.to_string(), to.to_owned()));
                    }
                }
            }
            _ => {}
        }
    }
}

/// A band as it is written, without where it leads: `below 1.5 V`, `like healthy`.
fn band_words(band: &Node<'_>) -> String {
    let said = band.map().unwrap_or_default().iter().filter(|e| !matches!(e.key, "go" | "means"));
    let words = said.map(|e| {
        let value = e.value.scalar().map_or_else(
            || {
                let items = e.value.list().unwrap_or_default().iter().filter_map(Node::scalar);
                items.collect::<Vec<_>>().join(", ")
            },
            str::to_owned,
        );
        format!("{} {value}", e.key)
    });
    words.collect::<Vec<_>>().join(" ")
}
