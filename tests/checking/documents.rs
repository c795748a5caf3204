//! The rules' documents: each rule has one, each document a rule, and the examples do what they say.

use std::collections::BTreeSet;
use std::path::Path;

use loomwalk::diag::{Problem, Weight};
use loomwalk::safety::{SafetyRule, Vocabulary};
use loomwalk::tree::{self, Document, documents};

use super::{here, source, whole};

/// Everything told about an example but what the safety check says, which has documents of its own.
fn told(example: &str) -> Vec<Problem> {
    let loaded = tree::load(&source(whole(example)), &Vec::new());
    let checked = tree::check(&loaded, Some(&Vocabulary::built_in()));
    loaded.problems.into_list().into_iter().chain(checked.into_list()).collect()
}

fn with_examples() -> impl Iterator<Item = Document> {
    documents().into_iter().filter(|document| document.example("Bad").is_some())
}

#[test]
fn a_bad_example_raises_its_rule_and_no_other() {
    for document in with_examples() {
        let problems = told(document.example("Bad").expect("filtered"));
        let rules: BTreeSet<&str> = problems.iter().map(|p| p.rule).collect();
        assert_eq!(rules, BTreeSet::from([document.rule]), "{}: {problems:#?}", document.rule);
        let heaviest = problems.iter().map(|p| p.weight).max().expect("at least one");
        let stated = if document.rule == "missing-language" { Weight::Error } else { document.weight };
        assert_eq!(heaviest, stated, "{}", document.rule);
    }
}

#[test]
fn a_good_example_raises_nothing() {
    for document in with_examples() {
        let good = document.example("Good").unwrap_or_else(|| panic!("{} has a good example", document.rule));
        let problems = told(good);
        assert!(problems.is_empty(), "{}: {problems:#?}", document.rule);
    }
}

#[test]
fn every_document_has_the_fixed_headings() {
    for document in documents() {
        let headings: Vec<&str> = document.text.lines().filter_map(|l| l.strip_prefix("## ")).collect();
        let expected: &[&str] = match document.rule {
            "too-large" => &["What", "At the machine"],
            _ if document.example("Bad").is_some() => &["What", "At the machine", "Bad", "Good"],
            _ => &["What", "At the machine", "Write"],
        };
        assert_eq!(headings, expected, "{}", document.rule);
        assert!(document.text.starts_with(&format!("# {}\n", document.rule)), "{}", document.rule);
        assert!(!document.summary().is_empty(), "{}", document.rule);
    }
}

/// The names of rules in the source: first argument of `refuse`, `error` and `warn`, and `name:` of a rule.
fn names_in_source(folder: &Path, names: &mut BTreeSet<String>) {
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            names_in_source(&path, names);
        } else if path.extension().is_some_and(|e| e == "rs") {
            let text = std::fs::read_to_string(&path).expect("source is UTF-8");
            let text = text.split("#[cfg(test)]").next().unwrap_or_default();
            for lead in [".refuse(", ".error(", ".warn(", "Rule { name: ", "Rule {\n    name: ", "=> (\n"] {
                for (_, rest) in text.match_indices(lead).map(|(at, _)| text.split_at(at + lead.len())) {
                    let Some(name) = rest.trim_start().strip_prefix('"').and_then(|r| r.split('"').next())
                    else {
                        continue;
                    };
                    names.insert(name.to_owned());
                }
            }
        }
    }
}

#[test]
fn every_rule_has_a_document_and_every_document_a_rule() {
    let mut used = BTreeSet::new();
    for room in ["diag", "machine", "tree", "author"] {
        names_in_source(&here().join("src").join(room), &mut used);
    }
    used.extend(SafetyRule::ALL.iter().map(|rule| rule.name().to_owned()));
    let documented: BTreeSet<String> = documents().into_iter().map(|d| d.rule.to_owned()).collect();
    let without: Vec<_> = used.difference(&documented).collect();
    let of_nothing: Vec<_> = documented.difference(&used).collect();
    assert!(without.is_empty(), "rules without a document: {without:?}");
    assert!(of_nothing.is_empty(), "documents without a rule: {of_nothing:?}");
}

#[test]
fn every_file_of_a_document_is_used() {
    let known: BTreeSet<String> = documents().into_iter().map(|d| format!("{}.md", d.rule)).collect();
    for folder in ["src/tree/checks", "src/tree/checks/docs"] {
        for entry in std::fs::read_dir(here().join(folder)).expect("a folder") {
            let name = entry.expect("an entry").file_name().to_string_lossy().into_owned();
            if Path::new(&name).extension().is_some_and(|e| e == "md") {
                assert!(known.contains(&name), "{folder}/{name}");
            }
        }
    }
}

#[test]
fn rules_are_named_by_one_convention() {
    for document in documents() {
        let name = document.rule;
        assert!(name.chars().all(|c| c.is_ascii_lowercase() || c == '-'), "{name}");
        assert!(
            !name.starts_with("no-") || ["no-zone", "no-leads"].contains(&name),
            "{name}: name the fault"
        );
    }
}
