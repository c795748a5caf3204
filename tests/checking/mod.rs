//! `check`, `explain` and `schema`: every rule against its own document, every mistake against its whole message.

mod bad_trees;
mod command;
mod documents;
mod large;
mod limits;
mod schema;

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use loomwalk::diag::Source;

/// Steps that an example may lead to without writing them.
const SPARE: [(&str, &str); 4] = [
    ("leave", "{gate: leave, go: done}"),
    ("done", "{close: not-reproduced}"),
    ("away", "{refer: the dealer}"),
    ("repaired", "{close: repaired}"),
];

/// An example of a document as a whole file.
pub(crate) fn whole(example: &str) -> String {
    if example.starts_with("loomwalk:") || example.starts_with('#') {
        return example.to_owned();
    }
    let first = example.split(':').next().unwrap_or_default();
    let mut steps = String::new();
    for line in example.lines() {
        let _ = writeln!(steps, "  {line}");
    }
    for (name, step) in SPARE {
        if steps.contains(&format!("go: {name}")) || steps.contains(&format!("cannot: {name}")) {
            let _ = writeln!(steps, "  {name}: {step}");
        }
    }
    format!("loomwalk: 1\ntree: example\ntitle: An example\nstart: {first}\nsteps:\n{steps}")
}

pub(crate) fn source(text: String) -> Source {
    Source::new("trees/tern/example.yaml", text)
}

pub(crate) fn here() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The YAML files in a folder, sorted.
pub(crate) fn yaml_files(folder: &Path) -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == "yaml"))
        .collect();
    found.sort();
    found
}
