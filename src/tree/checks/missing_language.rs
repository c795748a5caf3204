//! `missing-language`: a text that lacks a language which the file uses.
//!
//! Two circles of texts, because they have two kinds of readers. What an operator hears (title, telephone questions
//! and their answers) must be in every language of the file. What the mechanic reads is held only against the
//! languages in which at least half of the texts for the mechanic are written: a single sentence that is spoken to
//! somebody at the machine does not make a file one for mechanics of that language.

use std::collections::{BTreeMap, BTreeSet, HashSet};

use crate::diag::{FileId, Place, Problems, Text, Weight};

use super::super::model::{Kind, Step, Tree};
use super::subject::{Subject, Worded, texts_of};
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "missing-language", weight: Weight::Warning, doc: include_str!("missing-language.md"), run };

/// A text, whether an operator hears it, and where it stands.
#[derive(Clone, Copy)]
struct Said<'t> {
    text: &'t Text,
    heard: bool,
    file: FileId,
    at: At<'t>,
}

/// Where a text stands; a place is made of it where there is something to tell.
#[derive(Clone, Copy)]
enum At<'t> {
    Title,
    Step(&'t Step, Worded<'t>),
}

impl Said<'_> {
    fn place(&self) -> Place {
        match &self.at {
            At::Title => Place::Route(self.file, Vec::new(), crate::diag::Side::Value).key("title"),
            At::Step(step, worded) => worded.place(step),
        }
    }
}

/// The languages of one file: of all its texts, and of those for the mechanic.
#[derive(Default)]
struct Used<'t> {
    anywhere: BTreeSet<&'t str>,
    by_mechanic: BTreeMap<&'t str, usize>,
    /// How many texts there are for the mechanic.
    for_mechanic: usize,
}

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    // Most large trees are written in no language by name; then nothing can be missing.
    if !subject.has_languages {
        return;
    }
    let mut used: BTreeMap<FileId, Used<'_>> = BTreeMap::new();
    for one in all_said(subject.tree) {
        let of_file = used.entry(one.file).or_default();
        of_file.anywhere.extend(one.text.languages());
        if !one.heard {
            of_file.for_mechanic += 1;
            for lang in one.text.languages() {
                *of_file.by_mechanic.entry(lang).or_insert(0) += 1;
            }
        }
    }
    // The first text that lacks a language, and how many more do.
    let mut unread: BTreeMap<(FileId, &str), (Said<'_>, usize)> = BTreeMap::new();
    for one in all_said(subject.tree) {
        let Some(of_file) = used.get(&one.file) else { continue };
        let usual = |(_, many): &(&&str, &usize)| **many * 2 >= of_file.for_mechanic;
        let wanted: Vec<&str> = if one.heard {
            of_file.anywhere.iter().copied().collect()
        } else {
            of_file.by_mechanic.iter().filter(usual).map(|(lang, _)| *lang).collect()
        };
        for lang in wanted.into_iter().filter(|lang| !is_in(one.text, lang)) {
            if one.heard {
                tell_heard(&one, lang, problems);
            } else {
                let known = unread.entry((one.file, lang));
                known.and_modify(|(_, more)| *more += 1).or_insert((one, 0));
            }
        }
    }
    for ((_, lang), (first, more)) in unread {
        tell_unread(lang, &first, more, problems);
    }
}

/// A text written once for all counts as English.
fn is_in(text: &Text, lang: &str) -> bool {
    text.languages().any(|code| code == lang) || (lang == "en" && text.languages().next().is_none())
}

fn tell_heard(one: &Said<'_>, lang: &str, problems: &mut Problems) {
    problems.error(RULE.name, one.place()).says(
        format!("this is said to an operator and is not there in `{lang}`, which the file uses"),
        "Whoever does not understand the question answers something, and the van is loaded for it.",
        format!("`{{en: …, {}: …}}`", if lang == "en" { "es" } else { lang }),
    );
}

fn tell_unread(lang: &str, first: &Said<'_>, more: usize, problems: &mut Problems) {
    let others = match more {
        0 => String::new(),
        1 => " and in one more text".to_owned(),
        more => format!(" and in {more} more texts"),
    };
    RULE.at(first.place(), problems).says(
        format!("`{lang}` is missing here{others}, and the file uses it"),
        "The mechanic who reads that language gets half of the tree in another one.",
        format!("`{{en: …, {}: …}}` in each", if lang == "en" { "es" } else { lang }),
    );
}

/// Every text, one after the other: in a large tree they are too many to be kept side by side.
fn all_said(tree: &Tree) -> impl Iterator<Item = Said<'_>> {
    let title = Some(&tree.title).filter(|title| !title.is_empty());
    let title = title.map(|text| Said { text, heard: true, file: tree.file, at: At::Title });
    // Copies of a group stand in one place; a step of the tree itself has a name of its own.
    let mut seen = HashSet::new();
    let of_steps = tree.iter().flat_map(move |(_, step)| {
        let heard = matches!(&step.kind, Kind::Ask(ask) if ask.phone);
        let is_copy = step.id.contains('/');
        let mut said = Vec::new();
        for worded in texts_of(step).filter(|worded| !worded.text.is_empty()) {
            if !is_copy || seen.insert((&step.place, worded.keys())) {
                let file = step.place.file_id();
                said.push(Said { text: worded.text, heard, file, at: At::Step(step, worded) });
            }
        }
        said
    });
    title.into_iter().chain(of_steps)
}
