//! Files from strangers: every way in, over a corpus and over what a seeded mutator makes of it.
//!
//! `guided/` holds the same targets for a coverage-guided fuzzer; what it found stands in the corpus.

mod mutate;
mod targets;

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use mutate::Mutator;
use targets::{TARGETS, Target};

/// How long each target is fed with mutations in a run of the tests.
const A_WHILE: Duration = Duration::from_millis(400);

/// The seeds of a target: its folder of the corpus, and what other tests keep of its kind.
fn seeds(name: &str) -> Vec<(PathBuf, Vec<u8>)> {
    let tests = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests");
    let beside: &[&str] = match name {
        "tree" => &["good_trees", "bad_trees"],
        "machine" => &["machines"],
        "answers" => &["good_trees"],
        _ => &[],
    };
    let own = tests.join("fuzz/corpus").join(name);
    let mut files: Vec<PathBuf> = beside.iter().flat_map(|folder| files_in(&tests.join(folder))).collect();
    files.retain(|path| (name == "answers") == path.to_string_lossy().ends_with(".answers.yaml"));
    files.extend(files_in(&own));
    files.sort();
    files.into_iter().map(|path| (path.clone(), std::fs::read(&path).expect("a seed"))).collect()
}

fn files_in(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).expect("a folder of seeds");
    entries.map(|entry| entry.expect("an entry").path()).filter(|path| path.is_file()).collect()
}

/// Feeds a target with its corpus, then with mutations of it.
fn feed((name, target): Target) {
    let seeds = seeds(name);
    assert!(!seeds.is_empty(), "{name} has no seeds");
    let holds = |bytes: &[u8]| std::panic::catch_unwind(|| target(bytes)).is_ok();
    for (path, bytes) in &seeds {
        assert!(holds(bytes), "{} makes {name} fail", path.display());
    }
    let mut mutator = Mutator::new(20_261_126, seeds.into_iter().map(|(_, bytes)| bytes).collect());
    let begun = Instant::now();
    while begun.elapsed() < A_WHILE {
        let bytes = mutator.next();
        if !holds(&bytes) {
            let kept = std::env::temp_dir().join(format!("loomwalk-{name}-fails"));
            std::fs::write(&kept, &bytes).expect("room for the bytes");
            panic!("{} makes {name} fail; put it into tests/fuzz/corpus/{name}", kept.display());
        }
    }
}

#[test]
fn trees_of_strangers() {
    feed(TARGETS[0]);
}

#[test]
fn machines_of_strangers() {
    feed(TARGETS[1]);
}

#[test]
fn journals_of_strangers() {
    feed(TARGETS[2]);
}

#[test]
fn events_that_chain() {
    feed(TARGETS[3]);
}

#[test]
fn readings_codes_and_answers_of_strangers() {
    for target in &TARGETS[4..] {
        feed(*target);
    }
}
