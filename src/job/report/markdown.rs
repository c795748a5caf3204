//! The report as Markdown: headings, tables, lists. What came from a file or a person is escaped.

use std::fmt::Write as _;

use crate::diag::visible_line;

use super::{Block, Report, Sheet};

/// The whole report.
#[must_use]
pub fn markdown(report: &Report<'_>) -> String {
    of_sheet(&report.sheet())
}

pub(super) fn of_sheet(sheet: &Sheet) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "# {}", escaped(&sheet.title));
    for section in &sheet.sections {
        let _ = writeln!(out, "\n## {}\n", escaped(&section.title));
        for (nth, block) in section.blocks.iter().enumerate() {
            if nth > 0 {
                out.push('\n');
            }
            write_block(&mut out, block);
        }
    }
    out
}

fn write_block(out: &mut String, block: &Block) {
    match block {
        Block::Facts(facts) => {
            for (label, value) in facts {
                let value = if value.trim().is_empty() { "________".to_owned() } else { escaped(value) };
                let _ = writeln!(out, "- **{}:** {value}", escaped(label));
            }
        }
        Block::Table(heads, rows) => {
            let _ = writeln!(out, "| {} |", heads.iter().map(|h| escaped(h)).collect::<Vec<_>>().join(" | "));
            let _ = writeln!(out, "|{}", " --- |".repeat(heads.len()));
            for row in rows {
                let _ =
                    writeln!(out, "| {} |", row.iter().map(|c| escaped(c)).collect::<Vec<_>>().join(" | "));
            }
        }
        Block::Lines(lines) => {
            for line in lines {
                let _ = writeln!(out, "- {}", escaped(line));
            }
        }
        Block::Path(stops) => {
            for (nth, stop) in stops.iter().enumerate() {
                let gap = if stop.outcome.is_empty() { "" } else { ": " };
                let _ = writeln!(
                    out,
                    "{}. {} {}{gap}{}",
                    nth + 1,
                    stop.kind,
                    escaped(&stop.step),
                    escaped(&stop.outcome)
                );
            }
        }
        Block::Signatures(lines) => {
            for line in lines {
                let _ = writeln!(
                    out,
                    "\n\n\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_  {}",
                    escaped(line)
                );
            }
        }
    }
}

/// Text that Markdown must not read as its own: on one line, nothing hidden, every mark escaped, also those that only
/// count at the beginning of a line.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    let shown = visible_line(text);
    let shown = shown.trim();
    let number = shown.bytes().take_while(u8::is_ascii_digit).count();
    for (at, c) in shown.char_indices() {
        let begins_line = at == 0 && matches!(c, '-' | '+' | '=');
        let ends = shown[at..].chars().nth(1).is_none_or(char::is_whitespace);
        let begins_list = at == number && number > 0 && ends && matches!(c, '.' | ')');
        if begins_line
            || begins_list
            || matches!(c, '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '|' | '#' | '~' | '!' | '&')
        {
            out.push('\\');
        }
        out.push(c);
    }
    out
}
