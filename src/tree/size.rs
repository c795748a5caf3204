//! How large a tree is, before any of it is written out or even taken apart: a small file can ask for more than a laptop
//! can hold, and so can the files that it uses.

use std::collections::{HashMap, HashSet};

use crate::diag::{
    Blocks, FileId, Files, Glanced, Limit, Limits, Named, Node, Over, Place, Position, Problems, Row,
    RowGroups, Rows, Sources, Span, glance,
};

use super::expand::Group;

/// Most steps of a tree, groups written out.
pub const MOST_STEPS: usize = 150_000;

/// How steps are counted before a file is taken apart.
const ROWS: Rows =
    Rows { under: "steps", most: MOST_STEPS, groups: "groups", group: "run", list: "gates", others: "use" };

/// What a tree, and each file with steps of its own, may have.
pub(super) const LIMITS: Limits = Limits { rows: Some(ROWS), ..Limits::OF_A_FILE };

/// What is written out of more than that.
pub(super) const WRITTEN_OUT: Limit = ROWS.written_out();

/// A tree that is over a limit, with what it uses or alone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Beyond {
    /// The byte of its own file.
    pub at: usize,
    /// The same as line and column.
    pub position: Position,
    limit: Limit,
    /// The file in which it is passed, if it is another, and where.
    other: Option<(String, Position)>,
}

impl Beyond {
    /// What is wrong there.
    #[must_use]
    pub fn wrong(&self) -> String {
        let wrong = self.limit.wrong();
        match &self.other {
            Some((name, at)) => format!("`{name}` is over a limit, at {}:{}: {wrong}", at.line, at.column),
            None => wrong,
        }
    }

    /// What to write instead.
    #[must_use]
    pub const fn write(&self) -> &'static str {
        self.limit.write()
    }

    /// Tells it in this file.
    pub(super) fn refuse(&self, file: FileId, problems: &mut Problems) {
        let at = u32::try_from(self.at).unwrap_or(u32::MAX);
        let place = Place::Bytes(file, Span { start: at, end: at });
        self.limit.refuse_as(self.wrong(), place, problems);
    }
}

impl From<Over> for Beyond {
    fn from(Over { limit, at, position }: Over) -> Self {
        Self { at, position, limit, other: None }
    }
}

/// Glances over a tree, or any file that may be one, and over what it uses: where they pass a limit, if that can be seen
/// without taking them apart. What cannot be read is left to whoever reads it.
///
/// # Errors
/// The first limit that is passed.
pub fn glance_over(name: &str, text: &mut Blocks<'_>, sources: &dyn Sources) -> Result<(), Beyond> {
    glance_for(ROWS, name, text, sources)
}

fn glance_for(rows: Rows, name: &str, text: &mut Blocks<'_>, sources: &dyn Sources) -> Result<(), Beyond> {
    let mut left = Limits { rows: Some(rows), ..LIMITS };
    let own = glance_within(&mut left, text)?;
    // The steps of a file that is used are its groups' alone.
    left.rows = Some(Rows { most: usize::MAX, ..rows });
    let mut groups = RowGroups::default();
    let mut seen = HashSet::from([name.to_owned()]);
    for Named { name: wanted, at, position } in own.others {
        if !seen.insert(Files::resolve(name, &wanted)) {
            continue;
        }
        let mut found = Ok(Glanced::default());
        // What cannot be read is told by whoever takes it in.
        let _ = sources.skim(name, &wanted, &mut |text| found = glance_within(&mut left, text));
        match found {
            Ok(used) => groups.join(used.groups),
            Err(Over { limit, position: there, .. }) => {
                return Err(Beyond { at, position, limit, other: Some((wanted, there)) });
            }
        }
    }
    groups.join(own.groups);
    match own.begins {
        Some((at, position)) if own.own.written_out(&groups) > rows.most => {
            Err(Beyond { at, position, limit: rows.written_out(), other: None })
        }
        _ => Ok(()),
    }
}

/// Glances over a text that may have as much as is left, and takes what it has from that.
fn glance_within(left: &mut Limits, text: &mut Blocks<'_>) -> Result<Glanced, Over> {
    let mut is_too_long = false;
    let mut bytes = left.bytes;
    let mut bounded = |room: &mut [u8]| {
        let read = text(room);
        is_too_long |= read > bytes;
        bytes = bytes.saturating_sub(read);
        if is_too_long { 0 } else { read }
    };
    let found = glance(&mut bounded, left);
    let together = |over: Over| match over.limit {
        Limit::Nodes(most) if most < LIMITS.nodes => Over { limit: Limit::Together, ..over },
        _ => over,
    };
    match found.map_err(together)? {
        _ if is_too_long => {
            Err(Over { limit: Limit::Together, at: 0, position: Position { line: 1, column: 1 } })
        }
        found => {
            left.bytes = bytes;
            left.nodes -= found.nodes;
            Ok(found)
        }
    }
}

/// The steps of a map of steps, groups written out; what is not understood counts as one.
pub(super) fn steps_in(steps: &Node<'_>, groups: &HashMap<String, Group<'_, '_>>) -> usize {
    let mut counted = RowGroups::default();
    for (name, group) in groups {
        if let Some(steps) = group.entries.get("steps") {
            counted.add(name.as_bytes(), row(steps));
        }
    }
    row(steps).written_out(&counted)
}

fn row(steps: &Node<'_>) -> Row {
    let mut row = Row::default();
    for entry in steps.map().unwrap_or_default() {
        if let Some(gates) = entry.value.get("gates") {
            row.takes(gates.one_or_many().len());
        } else if let Some(name) = entry.value.get("run").and_then(Node::scalar) {
            row.takes_group(name.as_bytes());
        } else {
            row.takes(1);
        }
    }
    row
}

#[cfg(test)]
mod tests {
    use super::super::{Shipped, load};
    use super::*;
    use crate::diag::{Source, blocks_of};

    fn is_beyond(most: usize, source: &Source, sources: &dyn Sources) -> bool {
        glance_for(Rows { most, ..ROWS }, &source.name, &mut blocks_of(&source.text), sources).is_err()
    }

    /// Steps of a tree that nobody refuses to read.
    fn steps(source: &Source, sources: &dyn Sources) -> Option<usize> {
        let loaded = load(source, sources);
        let tree = loaded.tree.filter(|_| !loaded.problems.refused())?;
        Some(tree.steps.len())
    }

    #[test]
    fn the_glance_counts_as_many_steps_as_each_shipped_tree_has() {
        let mut trees = 0;
        for name in Shipped::names() {
            let source = Shipped::named(&name).expect("a shipped file");
            let Some(steps) = steps(&source, &Shipped) else { continue };
            assert!(!is_beyond(steps, &source, &Shipped), "{name} has {steps} steps");
            assert!(is_beyond(steps - 1, &source, &Shipped), "{name} has {steps} steps");
            trees += 1;
        }
        assert!(trees >= 12, "{trees}");
    }

    /// A tree and what it uses, with one line or word of either left out, doubled, or moved: as long as nobody refuses
    /// to read it, it has no fewer steps than the glance counts.
    #[test]
    fn no_altered_tree_that_is_taken_is_called_over_a_limit_that_it_is_within() {
        let tree = "loomwalk: 1\ntree: t\ntitle: T\nuse: [a.yaml, \"b.yaml\"]\nstart: r\ngroups:\n  own:\n    \
                    start: s\n    steps:\n      s: {run: few, go: u}\n      u: {do: Wipe., zone: outside, go: back}\n\
                    steps:\n  r: {run: own, go: q}\n  q:\n    run: few\n    go: p\n  p: {run: many, go: g}\n  \
                    g: {gates: [park, lower-arms], go: done}\n  done: {close: not-reproduced}\n";
        let few = "loomwalk: 1\ngroups:\n  few:\n    start: s\n    steps:\n      s: {do: Wipe., zone: outside, go: t}\n      \
                   t: {do: Wipe., zone: outside, go: back}\n";
        let many = "loomwalk: 1\ngroups: {many: {start: s, steps: {s: {run: few, go: t}, t: {do: Wipe., zone: \
                    outside, go: u}, u: {run: few, go: back}}}}\n";
        let texts = [tree, few, many];
        let (mut taken, mut tried) = (0, 0);
        for which in 0..texts.len() {
            for altered in altered(texts[which]) {
                let mut texts = texts.map(str::to_owned);
                texts[which] = altered;
                let [tree, few, many] = texts;
                let source = Source::new("t.yaml", tree);
                let sources = vec![Source::new("a.yaml", few), Source::new("b.yaml", many)];
                tried += 1;
                let Some(steps) = steps(&source, &sources) else { continue };
                taken += 1;
                assert!(!is_beyond(steps, &source, &sources), "{steps} steps: {}\n{sources:?}", source.text);
            }
        }
        assert!(taken > 60, "{taken} of {tried} were taken");
    }

    /// A text with each line and each word left out in turn, doubled, in quotes, or with blanks and a comment behind it.
    fn altered(text: &str) -> Vec<String> {
        let lines: Vec<&str> = text.split_inclusive('\n').collect();
        let mut all = vec![text.to_owned(), text.replace('\n', "\r\n"), text.replace('\n', "\n\n")];
        for (at, line) in lines.iter().enumerate() {
            let with = |line: &str| [&lines[..at].concat(), line, &lines[at + 1..].concat()].concat();
            all.extend([with(""), with(&line.repeat(2)), with(&format!("{}  # as ever\n", line.trim_end()))]);
            for (from, word) in line
                .match_indices(|c: char| c.is_alphanumeric())
                .filter(|(from, _)| !line[..*from].ends_with(|c: char| c.is_alphanumeric() || c == '-'))
            {
                let long =
                    line[from..].find(|c: char| !c.is_alphanumeric() && c != '-').unwrap_or(word.len());
                let (before, rest) = line.split_at(from);
                let (word, behind) = rest.split_at(long);
                for other in [format!("\"{word}\""), format!("'{word}'"), format!(" {word} "), String::new()]
                {
                    all.push(with(&format!("{before}{other}{behind}")));
                }
            }
        }
        all
    }
}
