//! Problems as text for people and as JSON for programs.
//!
//! Text: the place; the line with the value marked; `Wrong:`, `At the machine:`, `Write:`; then the path if one shows
//! it. JSON: one object a problem, positions from 1.

use std::fmt::Write as _;

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use serde_json::{Value, json};

use super::place::{Locator, Span, floor_char};
use super::problem::Problem;
use super::source::Files;
use super::text::{visible, visible_line};

/// Whether a text may carry colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paint {
    /// Letters only.
    Plain,
    /// With terminal colours.
    Colour,
}

/// Longest line of source shown; of a longer one only the part around the mark.
const WIDEST: usize = 160;

/// One problem as an author reads it.
#[must_use]
pub fn problem_text(problem: &Problem, files: &Files, locator: &mut Locator<'_>, paint: Paint) -> String {
    let file = problem.place.file_id();
    let span = locator.span(&problem.place);
    let at = locator.position(file, span.start);
    let name = files.get(file).map_or("", |s| s.name.as_str());
    let mut text = format!(
        "{}:{}:{}  {}  {}\n",
        visible_line(name),
        at.line,
        at.column,
        problem.weight.word(),
        problem.rule
    );
    if let Some(source) = files.get(file)
        && span != Span::default()
    {
        text.push_str(&marked_line(&source.text, span, at.line, paint));
    }
    for (label, said) in
        [("Wrong:", &problem.wrong), ("At the machine:", &problem.at_machine), ("Write:", &problem.write)]
    {
        if !said.is_empty() {
            let _ = writeln!(text, "  {label:<15} {}", visible_line(said));
        }
    }
    if !problem.path.is_empty() {
        text.push_str("  The way there:\n");
        for (step, what) in &problem.path {
            let gap = if what.is_empty() { "" } else { "   " };
            let _ = writeln!(text, "    {}{gap}{}", visible_line(step), visible_line(what));
        }
    }
    text
}

/// The line that a span begins in, with the span (at most to the end of that line) marked.
fn marked_line(text: &str, span: Span, line: usize, paint: Paint) -> String {
    let start = floor_char(text, span.start as usize);
    let from = text[..start].rfind('\n').map_or(0, |at| at + 1);
    let to = text[start..].find('\n').map_or(text.len(), |at| start + at);
    let end = floor_char(text, span.end as usize).clamp(start, to);
    let shown_from = floor_char(text, from.max(start.saturating_sub(WIDEST / 2)));
    let shown_to = floor_char(text, to.min(shown_from + WIDEST));
    let before = visible(&text[shown_from..start]).into_owned();
    let marked = visible(&text[start..end.min(shown_to).max(start)]).into_owned();
    let after = visible(&text[end.min(shown_to).max(start)..shown_to]).into_owned();
    // What has no width is marked at the character that stands there, which may take several bytes.
    let width = if marked.is_empty() { after.chars().next().map_or(0, char::len_utf8) } else { marked.len() };
    let mut source = format!("{before}{marked}{after}");
    source.truncate(source.trim_end_matches('\r').len());
    let mark = before.len().min(source.len())..(before.len() + width).min(source.len());
    let snippet = Snippet::source(source).line_start(line).annotation(AnnotationKind::Primary.span(mark));
    let renderer = match paint {
        Paint::Plain => Renderer::plain(),
        Paint::Colour => Renderer::styled(),
    };
    let mut drawn = renderer.render(&[Group::with_level(Level::ERROR).element(snippet)]);
    drawn.push('\n');
    drawn
}

/// One problem for programs: rule, severity, position, message, help, path.
#[must_use]
pub fn problem_json(problem: &Problem, locator: &mut Locator<'_>) -> Value {
    let file = problem.place.file_id();
    let span = locator.span(&problem.place);
    let (from, to) = (locator.position(file, span.start), locator.position(file, span.end));
    json!({
        "rule": problem.rule,
        "severity": problem.weight.word(),
        "line": from.line,
        "column": from.column,
        "end_line": to.line,
        "end_column": to.column,
        "message": problem.wrong,
        "why": problem.at_machine,
        "help": problem.write,
        "path": problem.path.iter().map(|(step, _)| step).collect::<Vec<_>>(),
    })
}

#[cfg(test)]
mod tests {
    use super::super::{FileId, Limits, Nodes, Place, Problems, Source};
    use super::*;

    fn told(text: &str) -> String {
        let mut files = Files::default();
        let id = files.add(Source::new("a.yaml", text));
        let mut problems = Problems::default();
        let _ = Nodes::default().parse_yaml(text, id, Limits::default(), &mut problems);
        let mut locator = Locator::new(&files);
        problems.list().iter().map(|p| problem_text(p, &files, &mut locator, Paint::Plain)).collect()
    }

    #[test]
    fn a_double_key_is_shown_in_its_line() {
        insta::assert_snapshot!(told("a: 1\nb: {x: 1, x: 2}\n"), @r"
        a.yaml:2:11  refused  double-key
          |
        2 | b: {x: 1, x: 2}
          |           ^
          Wrong:          `x` stands twice in one map
          At the machine: Only one of the two could count, and nobody could tell which at the machine.
          Write:          one of the two, or another name
        ");
    }

    #[test]
    fn what_was_cut_and_what_is_refused() {
        insta::assert_snapshot!(told("a: use wire #4\nb: &x off\n"), @r#"
        a.yaml:1:13  warning  cut-by-hash
          |
        1 | a: use wire #4
          |             ^^
          Wrong:          the text ends before `#4`: from there on it is a comment
          At the machine: The mechanic would see only half of the sentence.
          Write:          the whole text in quotes
        a.yaml:2:7  refused  yaml-feature
          |
        2 | b: &x off
          |       ^^^
          Wrong:          an anchor (`&…`) is not taken here
          At the machine: What stands on the page is what is walked; nothing is to be filled in from elsewhere.
          Write:          the text in full, or a shared group of steps
        a.yaml:2:7  warning  bare-switch-word
          |
        2 | b: &x off
          |       ^^^
          Wrong:          `off` stands without quotes
          At the machine: It is read here as the word it is, but other tools read it as true or false.
          Write:          `"off"`
        "#);
    }

    #[test]
    fn a_route_leads_to_bytes() {
        let mut files = Files::default();
        let id = files
            .add(Source::new("a.yaml", "steps:\n  one:\n    bands:\n      - {go: a}\n      - {go: bé}\n"));
        let place = Place::Route(id, Vec::new(), super::super::Side::Value)
            .key("steps")
            .key("one")
            .key("bands")
            .item(1)
            .key("go");
        let mut locator = Locator::new(&files);
        let span = locator.span(&place);
        let at = locator.position(id, span.start);
        assert_eq!((at.line, at.column), (5, 14));
        assert_eq!(locator.position(FileId(0), span.end).column, 16);
    }
}
