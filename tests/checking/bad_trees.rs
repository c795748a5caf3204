//! Authors' mistakes: each whole message, as an author reads it at midnight, is held as a snapshot.
//!
//! A file may begin with `# uses: NAME` to have a shared file beside it.

use std::fmt::Write as _;

use loomwalk::author;
use loomwalk::diag::{Locator, Paint, Source, problem_text};

use super::{here, yaml_files};

/// Files that hold more than one mistake, or one that is told where it was made and where it hurts.
const SEVERAL: [(&str, usize); 6] = [
    ("code-that-works", 2),
    ("high-voltage", 2),
    ("lock-left-on", 2),
    ("proof-skipped", 5),
    ("several-mistakes", 4),
    ("unheld-closed", 2),
];

fn told(name: &str, text: String, sources: &Vec<Source>) -> String {
    let report = author::check(&Source::new(name, text), sources);
    let mut locator = Locator::new(&report.files);
    let mut said = String::new();
    for problem in &report.problems {
        let _ = writeln!(said, "{}", problem_text(problem, &report.files, &mut locator, Paint::Plain));
    }
    said
}

#[test]
fn every_message_as_it_is_read() {
    let folder = here().join("tests/bad_trees");
    let shared: Vec<Source> = yaml_files(&folder.join("common"))
        .iter()
        .map(|path| {
            let name = path.file_name().expect("a name").to_string_lossy().into_owned();
            Source::new(format!("common/{name}"), std::fs::read_to_string(path).expect("UTF-8"))
        })
        .collect();
    let files = yaml_files(&folder);
    assert!(files.len() >= 50, "{} kinds of mistakes", files.len());
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path(here().join("tests/snapshots/bad_trees"));
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.bind(|| {
        for file in files {
            let stem = file.file_stem().expect("a name").to_string_lossy().into_owned();
            let text = std::fs::read_to_string(&file).expect("UTF-8");
            let said = told(&format!("{stem}.yaml"), text, &shared);
            let problems = said.matches("  Wrong:").count();
            let expected = SEVERAL.iter().find(|(name, _)| *name == stem).map_or(1, |(_, many)| *many);
            assert_eq!(problems, expected, "{stem}: one mistake is one problem\n{said}");
            insta::assert_snapshot!(stem, said);
        }
    });
}
