//! The report as one self-contained HTML page that prints: no script, nothing fetched, every text escaped.
//!
//! The path stands as one small drawing a stop, joined by a line, with its words beside it, so that a page break never
//! cuts a drawing and the words never depend on it.

use std::fmt::Write as _;

use crate::diag::visible;

use super::path::Stop;
use super::words::w;
use super::{Block, Report, Sheet};

const STYLE: &str = "\
@page { margin: 16mm 15mm; }
html { font: 10.5pt/1.45 'Liberation Sans', Arial, sans-serif; color: #111; background: #fff; }
body { max-width: 180mm; margin: 8mm auto; padding: 0 4mm; }
h1 { font-size: 17pt; line-height: 1.2; margin: 0 0 2mm; border-bottom: 0.7mm solid #111; padding-bottom: 2mm; }
h2 { font-size: 12pt; margin: 7mm 0 2mm; break-after: avoid; }
table { border-collapse: collapse; width: 100%; margin: 0 0 3mm; }
th, td { text-align: left; vertical-align: top; padding: 1mm 2mm; border-bottom: 0.2mm solid #999; overflow-wrap: anywhere; }
thead th { overflow-wrap: normal; border-bottom: 0.5mm solid #111; font-weight: bold; }
tr { break-inside: avoid; }
td.s { white-space: nowrap; }
table.long { font-size: 9.5pt; line-height: 1.3; }
table.long td { padding: 0.5mm 2mm; }
table.facts th { width: 45mm; font-weight: bold; }
table.facts td:empty::after { content: ''; display: block; border-bottom: 0.2mm dotted #555; height: 1.2em; }
section.first { border: 0.4mm solid #111; padding: 2mm 4mm; margin-top: 4mm; }
section.first h2 { margin-top: 1mm; }
section.first table { margin: 0; }
section.first tr:last-child th, section.first tr:last-child td { border-bottom: 0; }
ul { margin: 1mm 0 3mm; padding-left: 5mm; }
table.path td { border-bottom: 0; padding-top: 0; padding-bottom: 0; vertical-align: middle; }
table.path td.mark { width: 26mm; padding: 0; }
table.path svg { display: block; }
p.sign { margin: 13mm 0 0; border-top: 0.3mm solid #111; width: 80mm; padding-top: 1mm; }
";

/// A cell of so many characters stands on one line.
const SHORT: usize = 16;

/// A table of more rows is set closer, so that a job takes fewer sheets.
const LONG: usize = 12;

/// The whole page.
#[must_use]
pub fn html(report: &Report<'_>) -> String {
    of_sheet(&report.sheet())
}

pub(super) fn of_sheet(sheet: &Sheet) -> String {
    let lang = &sheet.lang;
    let title = escaped(&sheet.title);
    let mut out = format!(
        "<!DOCTYPE html>\n<html lang=\"{}\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" \
         content=\"width=device-width\">\n<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; \
         style-src 'unsafe-inline'\">\n<title>{title}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n<h1>{title}</h1>\n",
        if lang.code() == "es" { "es" } else { "en" }
    );
    for (nth, section) in sheet.sections.iter().enumerate() {
        let class = if nth == 0 { " class=\"first\"" } else { "" };
        let _ = writeln!(out, "<section{class}>\n<h2>{}</h2>", escaped(&section.title));
        if section.has_path() {
            let hint = w(lang, "From the top down, as it was walked.", "De arriba abajo, como se recorrió.");
            let _ = writeln!(out, "<p>{hint}</p>");
        }
        for block in &section.blocks {
            write_block(&mut out, block);
        }
        out.push_str("</section>\n");
    }
    out.push_str("</body>\n</html>\n");
    out
}

fn write_block(out: &mut String, block: &Block) {
    match block {
        Block::Facts(facts) => {
            out.push_str("<table class=\"facts\"><tbody>\n");
            for (label, value) in facts {
                let _ = writeln!(
                    out,
                    "<tr><th scope=\"row\">{}</th><td>{}</td></tr>",
                    escaped(label),
                    escaped(value)
                );
            }
            out.push_str("</tbody></table>\n");
        }
        Block::Table(heads, rows) => {
            let class = if rows.len() > LONG { " class=\"long\"" } else { "" };
            let _ = write!(out, "<table{class}><thead><tr>");
            for head in heads {
                let _ = write!(out, "<th scope=\"col\">{}</th>", escaped(head));
            }
            out.push_str("</tr></thead><tbody>\n");
            for row in rows {
                out.push_str("<tr>");
                for cell in row {
                    // A short cell, such as a time, is not to be broken for the sake of a long one.
                    let class = if cell.chars().count() <= SHORT { " class=\"s\"" } else { "" };
                    let _ = write!(out, "<td{class}>{}</td>", escaped(cell));
                }
                out.push_str("</tr>\n");
            }
            out.push_str("</tbody></table>\n");
        }
        Block::Lines(lines) => {
            out.push_str("<ul>\n");
            for line in lines {
                let _ = writeln!(out, "<li>{}</li>", escaped(line));
            }
            out.push_str("</ul>\n");
        }
        Block::Path(stops) => write_path(out, stops),
        Block::Signatures(lines) => {
            for line in lines {
                let _ = writeln!(out, "<p class=\"sign\">{}</p>", escaped(line));
            }
        }
    }
}

fn write_path(out: &mut String, stops: &[Stop]) {
    out.push_str("<table class=\"path\"><tbody>\n");
    for (nth, stop) in stops.iter().enumerate() {
        let mark = crate::draw::stop_mark(stop.kind, nth == 0, nth + 1 == stops.len());
        let gap = if stop.outcome.is_empty() { "" } else { " — " };
        let _ = writeln!(
            out,
            "<tr><td class=\"mark\">{mark}</td><td>{}{gap}{}</td></tr>",
            escaped(&stop.step),
            escaped(&stop.outcome)
        );
    }
    out.push_str("</tbody></table>\n");
}

/// Text as text: nothing hidden, nothing that HTML could take for a tag, an entity or the end of an attribute.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    for c in visible(text).chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c => out.push(c),
        }
    }
    out
}
