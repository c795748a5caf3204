//! A machine file on the command line: read, loaded, its problems told.

use std::io::Write;

use super::Failure;
use super::disk::Root;
use crate::diag::{Files, Locator, Paint, Weight, problem_text};
use crate::machine::{Machine, load_machine};

/// The machine of a path or shipped name; a file that is refused is told problem by problem, exit 1.
pub(super) fn machine(root: &Root, name: &str) -> Result<Machine, Failure> {
    let opened = root.open(name)?;
    let mut files = Files::default();
    let text = opened.source.text.clone();
    let id = files.add(opened.source);
    let loaded = load_machine(&text, id);
    if let Some(machine) = loaded.machine {
        return Ok(machine);
    }
    let mut locator = Locator::new(&files);
    let mut err = std::io::stderr().lock();
    let refused = loaded.problems.list().iter().filter(|p| p.weight == Weight::Refused);
    let mut count = 0;
    for problem in refused {
        count += 1;
        let _ = writeln!(err, "{}", problem_text(problem, &files, &mut locator, Paint::Plain));
    }
    Err(Failure::looked(format!(
        "nothing can be computed from this machine file: {count} problems refuse it"
    )))
}
