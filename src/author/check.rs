//! Checks a file of any kind: the one function that the command, the editor and the tests call.
//!
//! Same texts in, same problems out, in the order of their places: the file's own first.

use std::collections::HashSet;

use crate::diag::{FileId, Files, Limits, Locator, Nodes, Place, Problem, Problems, Source, Sources, Weight};
use crate::machine::load_machine;
use crate::tree::{self, Course, FileKind};

use super::shared;

/// What is wrong with a file and with what it uses.
#[derive(Debug)]
pub struct Report {
    /// What the file is, by its own words.
    pub kind: FileKind,
    /// The file itself among [`Report::files`].
    pub file: FileId,
    /// The texts read.
    pub files: Files,
    /// Everything wrong with it, in the order of places.
    pub problems: Vec<Problem>,
    /// How many more problems there were than are kept.
    pub beyond: usize,
    /// The tree with what its steps do, as far as it could be read, if the file is one.
    pub course: Option<Course>,
}

impl Report {
    /// How many problems weigh this much.
    #[must_use]
    pub fn count(&self, weight: Weight) -> usize {
        self.problems.iter().filter(|problem| problem.weight == weight).count()
    }

    /// The heaviest weight among the problems.
    #[must_use]
    pub fn worst(&self) -> Option<Weight> {
        self.problems.iter().map(|problem| problem.weight).max()
    }
}

/// Checks a file and, as far as it takes part, what the file uses.
#[must_use]
pub fn check(source: &Source, sources: &dyn Sources) -> Report {
    let kind = kind_of(&source.text);
    let seen = match kind {
        FileKind::Tree => tree(source, sources),
        FileKind::Machine => machine(source),
        FileKind::Shared => shared::check(source),
    };
    let beyond = seen.problems.beyond;
    let problems = in_order(seen.problems.into_list(), seen.file, &seen.files);
    Report { kind, file: seen.file, files: seen.files, problems, beyond, course: seen.course }
}

/// What the check of one kind of file comes back with.
pub(super) struct Seen {
    pub(super) file: FileId,
    pub(super) files: Files,
    pub(super) problems: Problems,
    pub(super) course: Option<Course>,
}

fn tree(source: &Source, sources: &dyn Sources) -> Seen {
    let examined = tree::examine(source, sources);
    Seen { file: FileId(0), files: examined.files, problems: examined.problems, course: examined.course }
}

fn machine(source: &Source) -> Seen {
    let mut files = Files::default();
    let file = files.add(source.clone());
    let loaded = load_machine(&source.text, file);
    Seen { file, files, problems: loaded.problems, course: None }
}

/// What a file is, by its own words: mostly by a key that begins a line; only a file that has none of those is taken
/// apart for this.
#[must_use]
pub fn kind_of(text: &str) -> FileKind {
    let begins = |key: &str| {
        text.starts_with(key)
            || memchr::memmem::find_iter(text.as_bytes(), key)
                .any(|at| at > 0 && text.as_bytes()[at - 1] == b'\n')
    };
    if begins("steps:") || begins("tree:") {
        FileKind::Tree
    } else if begins("machine:") {
        FileKind::Machine
    } else if begins("groups:") {
        FileKind::Shared
    } else {
        let nodes = Nodes::default();
        let root = nodes.parse_yaml(text, FileId(0), Limits::default(), &mut Problems::default());
        root.as_ref().map_or(FileKind::Tree, FileKind::of)
    }
}

/// Sorts problems by place, the file's own first, and leaves each once.
fn in_order(problems: Vec<Problem>, main: FileId, files: &Files) -> Vec<Problem> {
    let mut locator = Locator::new(files);
    locator.seek(problems.iter().map(|problem| &problem.place));
    let mut placed: Vec<_> = problems
        .into_iter()
        .map(|mut problem| {
            let file = problem.place.file_id();
            let span = locator.span(&problem.place);
            // Whoever shows it need not look for it again.
            problem.place = Place::Bytes(file, span);
            ((file != main, file, span.start, std::cmp::Reverse(problem.weight), problem.rule), span, problem)
        })
        .collect();
    placed.sort_by(|one, other| one.0.cmp(&other.0));
    let mut seen = HashSet::new();
    placed.retain(|(at, span, problem)| seen.insert((at.1, *span, problem.rule, problem.wrong.clone())));
    placed.into_iter().map(|(_, _, problem)| problem).collect()
}
