//! The documents of all rules: those of `check`, those that loaders hold, and those no author can switch off.
//!
//! Every document has the same headings: what, why at the machine, a bad example, a good one. An example is a whole
//! file if its first line is `loomwalk:` or a remark, else steps that are laid into a small tree.

use std::borrow::Cow;

use crate::diag::Weight;
use crate::safety::SafetyRule;

use super::{OF_STEP, OF_TREE};

/// What there is to say about one rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Document {
    /// The rule's stable name.
    pub rule: &'static str,
    /// How heavy it weighs.
    pub weight: Weight,
    /// Markdown under fixed headings.
    pub text: Cow<'static, str>,
}

impl Document {
    /// The YAML under a heading, if there is any: `Bad` or `Good`.
    #[must_use]
    pub fn example(&self, heading: &str) -> Option<&str> {
        let under = self.text.split_once(&format!("\n## {heading}\n"))?.1;
        let section = under.split("\n## ").next()?;
        let inside = section.split_once("```yaml\n")?.1;
        Some(inside.split_once("```")?.0)
    }

    /// The rule in one line: the first sentence under `What`.
    #[must_use]
    pub fn summary(&self) -> String {
        let under = self.text.split_once("\n## What\n").map_or("", |(_, after)| after).trim_start();
        let first = under.split("\n\n").next().unwrap_or_default().replace('\n', " ");
        first.split_inclusive(". ").next().unwrap_or_default().trim().to_owned()
    }
}

macro_rules! loaded {
    ($($weight:ident $name:literal)+) => {
        /// The rules that loaders hold, with their documents.
        const LOADED: &[(&str, Weight, &str)] =
            &[$(($name, Weight::$weight, include_str!(concat!("docs/", $name, ".md")))),+];
    };
}

loaded! {
    Refused "yaml-syntax"
    Refused "yaml-feature"
    Refused "double-key"
    Refused "empty-file"
    Refused "too-large"
    Refused "too-deep"
    Refused "format-number"
    Refused "unknown-key"
    Refused "missing-key"
    Refused "wrong-kind"
    Refused "unknown-word"
    Refused "text-form"
    Refused "empty-list"
    Refused "name-used-twice"
    Refused "unread-file"
    Refused "step-kind"
    Refused "step-name"
    Refused "dangling-name"
    Refused "group-in-itself"
    Refused "wrong-quantity"
    Refused "band-edges"
    Refused "no-leads"
    Refused "leads-twice"
    Refused "answer-means"
    Warning "bare-switch-word"
    Warning "cut-by-hash"
    Error "fault-found-wrong"
    Error "fault-no-branch"
    Error "fault-unnamed"
    Error "healthy-find"
    Error "impossible-find"
    Refused "hold-unproved"
    Warning "battery-edge"
    Refused "bad-name"
    Refused "chain-item"
    Warning "connector-not-described"
    Refused "floating-controller"
    Refused "format-version"
    Refused "held-when"
    Refused "limits-crossed"
    Refused "load-without-pull-in"
    Refused "machine-refused"
    Refused "own-safety"
    Refused "rub-beyond-wire"
    Refused "rub-crowded"
    Refused "rub-twice"
    Warning "short-circuit-chain"
    Refused "source-loop"
    Refused "too-many-names"
    Refused "unknown-name"
    Refused "unknown-pin"
    Refused "zero-length-wire"
}

/// Every rule's document, the heaviest rules first, then by name; each rule once.
#[must_use]
pub fn documents() -> Vec<Document> {
    let loaded = LOADED.iter().map(|(rule, weight, text)| Document {
        rule,
        weight: *weight,
        text: Cow::Borrowed(text),
    });
    let checked = OF_TREE.iter().chain(OF_STEP).map(|rule| Document {
        rule: rule.name,
        weight: rule.weight,
        text: Cow::Borrowed(rule.doc),
    });
    let safety = SafetyRule::ALL.iter().map(|rule| safety_document(*rule));
    let mut all: Vec<Document> = loaded.chain(checked).collect();
    for document in safety {
        if all.iter().all(|known| known.rule != document.rule) {
            all.push(document);
        }
    }
    all.sort_by(|one, other| other.weight.cmp(&one.weight).then(one.rule.cmp(other.rule)));
    all
}

fn safety_document(rule: SafetyRule) -> Document {
    let text = format!(
        "# {}\n\n## What\n\n{}\n\n## At the machine\n\n{}\n\n## Write\n\n{}\n",
        rule.name(),
        rule.wrong(),
        rule.at_machine(),
        capital(rule.write()),
    );
    Document { rule: rule.name(), weight: Weight::Refused, text: Cow::Owned(text) }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
