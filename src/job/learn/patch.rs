//! A machine file with other shares: comments, order and everything else stay as they are.

use std::fmt::Write as _;

use crate::diag::{Entry, FileId, Limits, Node, Nodes, Problems};

/// Why a machine file cannot be patched.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotPatched {
    /// It is no YAML map.
    #[error("the machine file cannot be read")]
    Unread,
    /// Its faults stand on one line.
    #[error("`faults` stands in braces on one line; write one fault a line, and learn again")]
    InBraces,
}

/// One change of the text: these bytes become those.
struct Edit {
    from: usize,
    to: usize,
    text: String,
}

/// The text with these shares: what stands there is changed in its place, what is missing is added at the end of
/// `faults`. `is_called` says whether a name in the file means the fault.
///
/// # Errors
/// When the text is no machine file, or its faults stand in braces.
pub fn patched(
    text: &str,
    shares: &[(String, f64)],
    is_called: impl Fn(&str, &str) -> bool,
) -> Result<String, NotPatched> {
    let mut problems = Problems::default();
    let nodes = Nodes::default();
    let root =
        nodes.parse_yaml(text, FileId(0), Limits::default(), &mut problems).ok_or(NotPatched::Unread)?;
    let top = root.map().ok_or(NotPatched::Unread)?;
    let section = top.iter().find(|entry| entry.key == "faults");
    let entries: &[Entry<'_>] = section.and_then(|entry| entry.value.map()).unwrap_or(&[]);
    let in_braces = section.is_some_and(|entry| text[at(entry.value.span.start)..].starts_with('{'));
    if in_braces && !entries.is_empty() {
        return Err(NotPatched::InBraces);
    }
    let mut edits = Vec::new();
    let mut missing = String::new();
    let indent = entries.first().map_or(2, |entry| column(text, at(entry.key_span.start)));
    for (fault, share) in shares {
        match entries.iter().find(|entry| is_called(entry.key, fault)) {
            Some(entry) => edits.push(changed(text, entry, *share)),
            None => {
                let _ = writeln!(missing, "{}{fault}: {{share: {}}}", " ".repeat(indent), number(*share));
            }
        }
    }
    if !missing.is_empty() {
        edits.push(added(text, section, entries, missing));
    }
    edits.sort_by_key(|edit| std::cmp::Reverse(edit.from));
    let mut whole = text.to_owned();
    for edit in edits {
        whole.replace_range(edit.from..edit.to, &edit.text);
    }
    Ok(whole)
}

/// The share of an entry that is there, changed or put in.
fn changed(text: &str, entry: &Entry<'_>, share: f64) -> Edit {
    let share = number(share);
    if let Some(node) = entry.value.get("share") {
        return Edit { from: at(node.span.start), to: at(node.span.end), text: share };
    }
    let start = at(entry.value.span.start);
    match entry.value.map().and_then(<[Entry<'_>]>::first) {
        Some(_) if text[start..].starts_with('{') => {
            Edit { from: start + 1, to: start + 1, text: format!("share: {share}, ") }
        }
        Some(first) => {
            let key = at(first.key_span.start);
            Edit { from: key, to: key, text: format!("share: {share}\n{}", " ".repeat(column(text, key))) }
        }
        // Nothing, or empty braces.
        None => {
            let key_end = at(entry.key_span.end);
            let colon = text[key_end..].find(':').map_or(key_end, |n| key_end + n + 1);
            let end = if text[start..].starts_with('{') { at(entry.value.span.end) } else { colon };
            Edit { from: colon, to: end.max(colon), text: format!(" {{share: {share}}}") }
        }
    }
}

/// Lines added after the last fault, or a section at the end of the file.
fn added(text: &str, section: Option<&Entry<'_>>, entries: &[Entry<'_>], lines: String) -> Edit {
    let line_end = |from: usize| text[from..].find('\n').map(|n| from + n + 1);
    let last = entries.last().map(|entry| end_of(&entry.value).max(at(entry.key_span.end)));
    let after = section.and_then(|entry| last.or(Some(at(entry.key_span.end))));
    let Some(byte) = after else {
        let gap = if text.ends_with('\n') { "\n" } else { "\n\n" };
        return Edit { from: text.len(), to: text.len(), text: format!("{gap}faults:\n{lines}") };
    };
    match line_end(byte) {
        Some(end) => Edit { from: end, to: end, text: lines },
        None => Edit { from: text.len(), to: text.len(), text: format!("\n{lines}") },
    }
}

/// Where the last thing of a node ends; a block's own span may reach over the lines after it.
fn end_of(node: &Node<'_>) -> usize {
    match (node.map(), node.list()) {
        (Some([.., last]), _) => end_of(&last.value).max(at(last.key_span.end)),
        (_, Some([.., last])) => end_of(last),
        _ => at(node.span.end),
    }
}

/// How far from the start of its line a byte stands.
fn column(text: &str, byte: usize) -> usize {
    byte - text[..byte].rfind('\n').map_or(0, |line| line + 1)
}

/// A place in the text.
const fn at(byte: u32) -> usize {
    byte as usize
}

/// A share to three digits, without zeros that say nothing.
fn number(share: f64) -> String {
    if share <= 0.0 {
        return "0".to_owned();
    }
    #[allow(clippy::cast_possible_truncation)] // the order of magnitude of a share
    let digits = (2 - share.log10().floor() as i32).clamp(0, 9);
    let text = format!("{share:.*}", usize::try_from(digits).unwrap_or(0));
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn patch(text: &str, shares: &[(&str, f64)]) -> String {
        let shares: Vec<(String, f64)> = shares.iter().map(|(f, s)| ((*f).to_owned(), *s)).collect();
        patched(text, &shares, |key, fault| key == fault).expect("it can be patched")
    }

    #[test]
    fn comments_and_order_stay() {
        let text = "machine: m\nfaults:   # ours\n  B open: {share: 6}   # seen often\n  # a word\n  A: {title: t, share: 2, stops: [lift]}\nzones: {}\n";
        let now = patch(text, &[("A", 2.5), ("B open", 0.012_34), ("C wet", 3.0)]);
        assert_eq!(
            now,
            "machine: m\nfaults:   # ours\n  B open: {share: 0.0123}   # seen often\n  # a word\n  A: {title: t, share: 2.5, stops: [lift]}\n  C wet: {share: 3}\nzones: {}\n"
        );
    }

    #[test]
    fn a_share_is_put_where_there_was_none() {
        assert_eq!(
            patch("faults:\n  A: {stops: [x]}\n", &[("A", 1.0)]),
            "faults:\n  A: {share: 1, stops: [x]}\n"
        );
        assert_eq!(
            patch("faults:\n  A:\n    stops: [x]\n  B: {share: 1}\n", &[("A", 10.0)]),
            "faults:\n  A:\n    share: 10\n    stops: [x]\n  B: {share: 1}\n"
        );
        assert_eq!(patch("machine: m", &[("A", 100.4)]), "machine: m\n\nfaults:\n  A: {share: 100}\n");
        assert_eq!(patch("faults:\n  A: {}\n", &[("A", 2.0)]), "faults:\n  A: {share: 2}\n");
    }

    #[test]
    fn braces_are_refused() {
        let shares = [("B".to_owned(), 1.0)];
        let refused = patched("faults: {A: {share: 2}}\n", &shares, |a, b| a == b);
        assert_eq!(refused, Err(NotPatched::InBraces));
    }
}
