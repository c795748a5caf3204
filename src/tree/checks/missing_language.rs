//! `missing-language`: a text that lacks a language which the file uses.
//!
//! Two circles of texts, because they have two kinds of readers. What an operator hears (title, telephone questions
//! and their answers) must be in every language of the file. What the mechanic reads is held only against the
//! languages in which at least half of the texts for the mechanic are written: a single sentence that is spoken to
//! somebody at the machine does not make a file one for mechanics of that language.

use std::collections::{BTreeMap, BTreeSet};

use crate::diag::{FileId, Place, Problems, Text, Weight};

use super::super::model::{Kind, Step, Tree};
use super::subject::{Subject, answers_of};
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "missing-language", weight: Weight::Warning, doc: include_str!("missing-language.md"), run };

/// A text, whether an operator hears it, and where it stands.
struct Said<'t> {
    text: &'t Text,
    heard: bool,
    place: Place,
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
    let said = all_said(subject.tree);
    let mut used: BTreeMap<FileId, Used<'_>> = BTreeMap::new();
    for one in &said {
        let of_file = used.entry(one.place.file_id()).or_default();
        of_file.anywhere.extend(one.text.languages());
        if !one.heard {
            of_file.for_mechanic += 1;
            for lang in one.text.languages() {
                *of_file.by_mechanic.entry(lang).or_insert(0) += 1;
            }
        }
    }
    let mut unread: BTreeMap<(FileId, &str), Vec<&Place>> = BTreeMap::new();
    for one in &said {
        let Some(of_file) = used.get(&one.place.file_id()) else { continue };
        let usual = |(_, many): &(&&str, &usize)| **many * 2 >= of_file.for_mechanic;
        let wanted: Vec<&str> = if one.heard {
            of_file.anywhere.iter().copied().collect()
        } else {
            of_file.by_mechanic.iter().filter(usual).map(|(lang, _)| *lang).collect()
        };
        for lang in wanted.into_iter().filter(|lang| !is_in(one.text, lang)) {
            if one.heard {
                tell_heard(one, lang, problems);
            } else {
                unread.entry((one.place.file_id(), lang)).or_default().push(&one.place);
            }
        }
    }
    for ((_, lang), places) in unread {
        tell_unread(lang, &places, problems);
    }
}

/// A text written once for all counts as English.
fn is_in(text: &Text, lang: &str) -> bool {
    text.languages().any(|code| code == lang) || (lang == "en" && text.languages().next().is_none())
}

fn tell_heard(one: &Said<'_>, lang: &str, problems: &mut Problems) {
    problems.error(RULE.name, one.place.clone()).says(
        format!("this is said to an operator and is not there in `{lang}`, which the file uses"),
        "Whoever does not understand the question answers something, and the van is loaded for it.",
        format!("`{{en: …, {}: …}}`", if lang == "en" { "es" } else { lang }),
    );
}

fn tell_unread(lang: &str, places: &[&Place], problems: &mut Problems) {
    let Some(first) = places.first() else { return };
    let others = match places.len() - 1 {
        0 => String::new(),
        1 => " and in one more text".to_owned(),
        more => format!(" and in {more} more texts"),
    };
    RULE.at((*first).clone(), problems).says(
        format!("`{lang}` is missing here{others}, and the file uses it"),
        "The mechanic who reads that language gets half of the tree in another one.",
        format!("`{{en: …, {}: …}}` in each", if lang == "en" { "es" } else { lang }),
    );
}

fn all_said(tree: &Tree) -> Vec<Said<'_>> {
    let title = Place::Route(tree.file, Vec::new(), crate::diag::Side::Value).key("title");
    let mut said = vec![Said { text: &tree.title, heard: true, place: title }];
    for (_, step) in tree.iter() {
        let heard = matches!(&step.kind, Kind::Ask(ask) if ask.phone);
        said.extend(texts(step).into_iter().map(|(text, place)| Said { text, heard, place }));
    }
    // Copies of a group stand in one place.
    let mut seen = BTreeSet::new();
    said.retain(|one| !one.text.is_empty() && seen.insert(one.place.clone()));
    said
}

fn texts(step: &Step) -> Vec<(&Text, Place)> {
    let (repair, mut keyed): (_, Vec<(&str, Option<&Text>)>) = match &step.kind {
        Kind::Ask(ask) => (None, vec![("ask", Some(&ask.question))]),
        Kind::Look(look) => (None, vec![("look", Some(&look.what))]),
        Kind::Do(action) => (None, vec![("do", action.action.as_ref())]),
        Kind::Find(find) => (find.repair.as_ref(), vec![("cause", find.cause.as_ref())]),
        Kind::Refer(refer) => {
            (None, vec![("refer", Some(&refer.why)), ("waits-for", refer.waits_for.as_ref())])
        }
        Kind::Read(_) | Kind::Gate(_) | Kind::Close(_) => (None, Vec::new()),
    };
    keyed.push(("text", step.text.as_ref()));
    keyed.push(("caution", step.caution.as_ref()));
    let keyed = keyed.into_iter().filter_map(|(key, text)| Some((text?, step.place.key(key))));
    let in_repair = repair.and_then(|r| r.text.as_ref()).map(|t| (t, step.place.key("repair").key("text")));
    let answers = answers_of(step).iter().map(|answer| {
        (&answer.text, step.place.key("answers").key(&answer.id).key("text"))
    });
    keyed.chain(in_repair).chain(answers).collect()
}
