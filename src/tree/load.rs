//! From the text of a tree file to a [`Tree`]: the head, the files it uses, its steps.
//!
//! All problems are told at once; a tree comes back whenever its steps could be read at all.

use std::collections::HashMap;
use std::sync::Arc;

use crate::diag::{
    Entries, FileId, Files, Form, LARGE, Leg, Limit, Limits, Node, Nodes, Place, Problems, Side, Source,
    Sources, Span, Text, blocks_of,
};

use crate::machine::{Machine, load_machine};
use crate::safety::OwnSafety;

use super::expand::{Drafts, Group};
use super::forms;
use super::model::{Setup, Shows, StepIx, Tree};
use super::size::{LIMITS, MOST_STEPS, WRITTEN_OUT, glance_over, steps_in};
use super::steps::build;

/// What a file is, by its own word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileKind {
    /// A tree.
    Tree,
    /// A machine.
    Machine,
    /// Groups of steps shared between trees.
    Shared,
}

impl FileKind {
    /// The word in JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Tree => "tree",
            Self::Machine => "machine",
            Self::Shared => "shared",
        }
    }

    /// Tells the kind of a parsed file; a file that is none of them counts as a tree.
    #[must_use]
    pub fn of(root: &Node<'_>) -> Self {
        if root.get("tree").is_some() || root.get("steps").is_some() {
            Self::Tree
        } else if root.get("machine").is_some() {
            Self::Machine
        } else if root.get("groups").is_some() {
            Self::Shared
        } else {
            Self::Tree
        }
    }
}

/// A tree as far as it could be read, its texts, and every problem in them.
pub struct Loaded {
    /// The tree; `None` if there is nothing that could be walked or looked at.
    pub tree: Option<Tree>,
    /// The texts read: the tree first.
    pub files: Files,
    /// All problems of form and names.
    pub problems: Problems,
}

/// Loads a tree and what it uses.
#[must_use]
pub fn load(source: &Source, sources: &dyn Sources) -> Loaded {
    let mut files = Files::default();
    let mut problems = Problems::default();
    let tree = load_into(source, sources, &mut files, &mut problems);
    Loaded { tree, files, problems }
}

fn load_into(
    source: &Source,
    sources: &dyn Sources,
    files: &mut Files,
    problems: &mut Problems,
) -> Option<Tree> {
    let file = files.add(source.clone());
    if is_large(source) {
        seen_within(source, sources, file, problems)?;
    }
    let nodes = Nodes::default();
    let root = nodes.parse_glanced(&source.text, file, LIMITS, problems)?;
    let head = Entries::open(&root, file, &forms::TREE, problems)?;
    check_format(&head, problems);
    let shared = shared_sources(&head, &source.name, sources, files, problems);
    if !is_large(source) && shared.iter().any(|(_, used)| is_large(used)) {
        seen_within(source, sources, file, problems)?;
    }
    let machine = head.word("machine", problems).map(str::to_owned);
    let machine_file = machine.as_deref().and_then(|wanted| {
        fetch(&source.name, wanted, "machine", &head, sources, problems).map(|found| files.add(found))
    });
    let (model, own) = read_machine(machine_file, &head, files, problems);
    let parsed = taken_apart(source, (&root, &nodes), &shared, problems);
    let mut groups: HashMap<String, Group<'_, '_>> = HashMap::new();
    for (id, root) in &parsed {
        if let Some(entries) = Entries::open(root, *id, &forms::SHARED, problems) {
            check_format(&entries, problems);
            collect_groups(&entries, &mut groups, problems);
        }
    }
    collect_groups(&head, &mut groups, problems);
    let steps = head.get("steps")?;
    if steps_in(steps, &groups) > MOST_STEPS {
        WRITTEN_OUT.refuse(head.key_place("steps"), problems);
        return None;
    }
    let (drafts, list) = Drafts::expand(steps, file, &groups, problems)?;
    let built = build(&drafts, list, problems);
    let start = named_step(&head, "start", &drafts, problems);
    let again_from = match head.get("again-from") {
        Some(_) => named_step(&head, "again-from", &drafts, problems),
        None => start,
    };
    let symptom = read_symptom(&head, problems);
    Some(Tree {
        id: head.word("tree", problems).unwrap_or_default().to_owned(),
        title: head.get("title").and_then(|n| Text::read(n, file, problems)).unwrap_or_default(),
        revision: whole(&head, "revision", problems).unwrap_or(1),
        machine,
        machine_file,
        model,
        own,
        symptom,
        setup: read_setup(head.get("setup"), &head, problems),
        // A start that leads nowhere was told; the steps can still be looked at, though not the ways to them.
        begins: start.is_some(),
        start: start.unwrap_or(StepIx(0)),
        again_from: again_from.or(start).unwrap_or(StepIx(0)),
        steps: built,
        file,
        files: files.clone(),
        by_id: drafts.into_ids(),
    })
}

/// Whether a text is worth a glance before it is taken apart; one that is larger than any may be is not.
fn is_large(source: &Source) -> bool {
    (LARGE..=LIMITS.bytes).contains(&source.text.len())
}

/// Tells what is seen at a glance to be over a limit; `None` if something is.
fn seen_within(source: &Source, sources: &dyn Sources, file: FileId, problems: &mut Problems) -> Option<()> {
    let seen = glance_over(&source.name, &mut blocks_of(&source.text), sources);
    seen.map_err(|beyond| beyond.refuse(file, problems)).ok()
}

/// The files under `use`, taken apart: together with the tree they may have as much as any file.
fn taken_apart<'s>(
    source: &Source,
    (root, nodes): (&Node<'_>, &'s Nodes),
    shared: &'s [(FileId, Source)],
    problems: &mut Problems,
) -> Vec<(FileId, Node<'s>)> {
    let mut left = Limits::OF_A_FILE;
    let mut has = |text: &str, node: &Node<'_>| {
        left.bytes = left.bytes.saturating_sub(text.len());
        left.nodes = left.nodes.saturating_sub(node.values());
        left
    };
    let mut may_have = if shared.is_empty() { Limits::OF_A_FILE } else { has(&source.text, root) };
    let mut parsed = Vec::new();
    for (id, used) in shared {
        if used.text.len() > may_have.bytes {
            Limit::Together.refuse(Place::file(*id), problems);
        } else if let Some(node) = nodes.parse_glanced(&used.text, *id, may_have, problems) {
            may_have = has(&used.text, &node);
            parsed.push((*id, node));
        }
    }
    parsed
}

fn check_format(head: &Entries<'_, '_>, problems: &mut Problems) {
    if let Some(node) = head.get("loomwalk")
        && node.scalar() != Some("1")
    {
        problems.refuse("format-number", Place::Bytes(head.file, node.span)).says(
            "this program reads format 1",
            "A file of another format could be misread, and a misread gate can hurt.",
            "`loomwalk: 1`, after holding the file against the guide for authors",
        );
    }
}

/// Reads the files under `use`, each once.
fn shared_sources(
    head: &Entries<'_, '_>,
    from: &str,
    sources: &dyn Sources,
    files: &mut Files,
    problems: &mut Problems,
) -> Vec<(FileId, Source)> {
    let mut found = Vec::new();
    for (wanted, place) in head.words("use", problems) {
        if files.find(&Files::resolve(from, wanted)).is_some() {
            continue;
        }
        match sources.fetch(from, wanted) {
            Ok(source) => found.push((files.add(source.clone()), source)),
            Err(error) => unread(place, &error, problems),
        }
    }
    found
}

/// Reads the machine file. Its own problems are told with it; here only that it cannot be used.
fn read_machine(
    file: Option<FileId>,
    head: &Entries<'_, '_>,
    files: &Files,
    problems: &mut Problems,
) -> (Option<Arc<Machine>>, OwnSafety) {
    let Some((file, found)) = file.and_then(|id| Some((id, files.get(id)?))) else {
        return (None, OwnSafety::default());
    };
    let loaded = load_machine(&found.text, file);
    let refused = loaded.problems.list().iter().find(|p| p.weight == crate::diag::Weight::Refused);
    if let Some(first) = refused {
        let span = head.get("machine").map_or_else(Span::default, |n| n.span);
        problems.refuse("machine-refused", Place::Bytes(head.file, span)).says(
            format!("the machine file is refused itself, first of all: {}", first.wrong),
            "Zones, sources and suspects come from it; without it nothing here can be relied on.",
            "the machine file mended; `loomwalk check` on it tells everything that is wrong there",
        );
    }
    (loaded.machine.map(Arc::new), loaded.safety)
}

fn fetch(
    from: &str,
    wanted: &str,
    key: &str,
    head: &Entries<'_, '_>,
    sources: &dyn Sources,
    problems: &mut Problems,
) -> Option<Source> {
    match sources.fetch(from, wanted) {
        Ok(source) => Some(source),
        Err(error) => {
            let span = head.get(key).map_or_else(Span::default, |n| n.span);
            unread(Place::Bytes(head.file, span), &error, problems);
            None
        }
    }
}

fn unread(place: Place, error: &crate::diag::SourceError, problems: &mut Problems) {
    problems.refuse("unread-file", place).says(
        error.to_string(),
        "Part of the tree is missing, and with it maybe a gate.",
        "a name relative to this file, inside the folder that holds the trees",
    );
}

fn collect_groups<'n, 'a>(
    head: &Entries<'n, 'a>,
    groups: &mut HashMap<String, Group<'n, 'a>>,
    problems: &mut Problems,
) {
    let Some(node) = head.get("groups") else { return };
    let Some(entries) = node.map() else {
        wrong_kind(Place::Bytes(head.file, node.span), "`groups` is a map of groups by name", problems);
        return;
    };
    for entry in entries {
        let place = Place::Bytes(head.file, entry.key_span);
        let Some(group) = Entries::open(&entry.value, head.file, &forms::GROUP, problems) else { continue };
        if groups.contains_key(entry.key) {
            problems.refuse("name-used-twice", place).says(
                format!("there is a group `{}` already", entry.key),
                "The one or the other would be walked, and nobody could tell which.",
                "another name",
            );
            continue;
        }
        groups.insert(entry.key.to_string(), Group { entries: group, name: entry.key.to_string() });
    }
}

fn named_step(
    head: &Entries<'_, '_>,
    key: &str,
    drafts: &Drafts<'_, '_>,
    problems: &mut Problems,
) -> Option<StepIx> {
    let name = head.word(key, problems)?;
    let span = head.get(key).map_or_else(Span::default, |n| n.span);
    drafts.top(name).or_else(|| drafts.dangling(name, Place::Bytes(head.file, span), problems))
}

fn read_symptom(head: &Entries<'_, '_>, problems: &mut Problems) -> Vec<(String, Shows)> {
    let words = [("works", Shows::Works), ("fails", Shows::Fails), ("unheld", Shows::Unheld)];
    let Some(node) = head.get("symptom") else { return Vec::new() };
    let Some(entries) = node.map() else {
        wrong_kind(
            Place::Bytes(head.file, node.span),
            "`symptom` is a map of functions, each with works, fails or unheld",
            problems,
        );
        return Vec::new();
    };
    let mut symptom = Vec::new();
    for entry in entries {
        let written = entry.value.scalar().unwrap_or_default();
        match words.iter().find(|(w, _)| *w == written) {
            Some((_, shows)) => symptom.push((entry.key.to_string(), *shows)),
            None => problems.refuse("unknown-word", Place::Bytes(head.file, entry.value.span)).says(
                format!("a function in a symptom works, fails or is unheld; `{written}` is none of them"),
                "Suspects are drawn from the symptom; a wrong one points at the wrong part.",
                "`works`, `fails` or `unheld` (works when it should be held)",
            ),
        }
    }
    symptom
}

/// Reads a map of controls and states.
pub(super) fn read_setup(node: Option<&Node<'_>>, at: &Entries<'_, '_>, problems: &mut Problems) -> Setup {
    let Some(node) = node else { return Setup::new() };
    let Some(entries) = node.map() else {
        wrong_kind(
            Place::Bytes(at.file, node.span),
            "controls and their states, as `{key: \"on\", bar: down}`",
            problems,
        );
        return Setup::new();
    };
    let mut setup = Setup::new();
    for entry in entries {
        match entry.value.scalar().map(str::trim) {
            Some(state) if !state.is_empty() => setup.push((entry.key.to_string(), state.to_owned())),
            _ => wrong_kind(
                Place::Bytes(at.file, entry.value.span),
                "the state of one control is one word",
                problems,
            ),
        }
    }
    setup
}

pub(super) fn wrong_kind(place: Place, wanted: &str, problems: &mut Problems) {
    problems.refuse("wrong-kind", place).says(
        format!("wanted here: {wanted}"),
        "What cannot be read is not shown at the machine.",
        wanted.to_owned(),
    );
}

/// A whole number under a key.
pub(super) fn whole(at: &Entries<'_, '_>, key: &str, problems: &mut Problems) -> Option<u32> {
    let node = at.get(key)?;
    let number = node.scalar().and_then(|text| text.trim().parse().ok());
    if number.is_none() {
        wrong_kind(Place::Bytes(at.file, node.span), "a whole number", problems);
    }
    number
}

/// The route to a key of a file, as checks name places.
pub(super) fn route(file: FileId, legs: &[&'static str]) -> Place {
    Place::Route(file, legs.iter().map(|leg| Leg::Key((*leg).into())).collect(), Side::Value)
}

/// The form of a step by the key that tells its kind.
pub(super) fn form_of(node: &Node<'_>) -> Option<(&'static str, &'static Form)> {
    forms::KINDS.iter().find(|(key, _)| node.get(key).is_some()).copied()
}
