//! The archive as one page: the same sums, the findings as a plot with the numbers beside it.

use std::fmt::Write as _;

use super::lines::{jobs, lists, minutes, of, proofs, right};
use super::sums::Archive;
use crate::diag::{Lang, visible_line};
use crate::safety::Words;

const STYLE: &str = "body{font:16px/1.4 sans-serif;max-width:60em;margin:2em auto;padding:0 1em;color:#111;background:#fff}\
table{border-collapse:collapse;width:100%}th,td{text-align:left;padding:.3em .6em;border-bottom:1px solid #bbb}\
td.n{text-align:right}rect{fill:#333}@media print{body{margin:0}}";

const ARCHIVE: Words = Words { en: "Archive", es: "Archivo" };
const CANNOT: Words = Words {
    en: "Gates answered \u{201c}cannot\u{201d}",
    es: "Controles en los que se respondió \u{201c}no se puede\u{201d}",
};
const FINDINGS: Words = Words { en: "Findings", es: "Hallazgos" };
const NONE_YET: Words = Words { en: "None yet.", es: "Ninguno aún." };
const FAULT: Words = Words { en: "Fault", es: "Falla" };
const OF: Words = Words { en: "Machine, tree", es: "Máquina, árbol" };
const JOBS: Words = Words { en: "Jobs", es: "Trabajos" };

/// The page, in a language; everything that comes from files is neutralised.
#[must_use]
pub fn archive_html(archive: &Archive, suspects: Option<(usize, usize)>, lang: &Lang) -> String {
    let code = if lang.code() == "es" { "es" } else { "en" };
    let title = ARCHIVE.in_lang(lang);
    let mut page = format!(
        "<!doctype html>\n<html lang=\"{code}\"><head><meta charset=\"utf-8\"><title>{title}</title><style>{STYLE}</style></head><body>\n<h1>{title}</h1>\n",
    );
    let said = [Some(jobs(archive.jobs.len(), lang)), minutes(archive, lang)];
    paragraphs(said.into_iter().flatten(), &mut page);
    findings(archive, lang, &mut page);
    let said = [Some(proofs(archive, lang)), suspects.map(|counts| right(counts, lang))];
    paragraphs(said.into_iter().flatten(), &mut page);
    let cannot: Vec<String> = archive.gates_cannot().iter().map(|(gate, n)| format!("{gate}: {n}")).collect();
    list(CANNOT.in_lang(lang), cannot, &mut page);
    for (title, all) in lists(archive, lang) {
        list(&title, all, &mut page);
    }
    page.push_str("</body></html>\n");
    page
}

fn paragraphs(all: impl Iterator<Item = String>, page: &mut String) {
    for said in all {
        let _ = writeln!(page, "<p>{}</p>", safe(&said));
    }
}

fn findings(archive: &Archive, lang: &Lang, page: &mut String) {
    let all = archive.findings();
    let _ = writeln!(page, "<h2>{}</h2>", FINDINGS.in_lang(lang));
    if all.is_empty() {
        let _ = writeln!(page, "<p>{}</p>", NONE_YET.in_lang(lang));
        return;
    }
    let most = all.iter().map(|(_, count)| *count).max().unwrap_or(1);
    let [fault, of_what, jobs] = [FAULT, OF, JOBS].map(|words| words.in_lang(lang));
    let _ = writeln!(
        page,
        "<table><thead><tr><th>{fault}</th><th>{of_what}</th><th>{jobs}</th><th></th></tr></thead><tbody>"
    );
    for ((machine, tree, fault), count) in &all {
        let width = (count * 200).div_ceil(most);
        let _ = writeln!(
            page,
            "<tr><td>{}</td><td>{}</td><td class=\"n\">{count}</td><td><svg width=\"200\" height=\"12\" role=\"img\" aria-label=\"{count}\"><rect width=\"{width}\" height=\"12\"/></svg></td></tr>",
            safe(fault),
            safe(&of(machine, tree))
        );
    }
    page.push_str("</tbody></table>\n");
}

fn list(title: &str, all: Vec<String>, page: &mut String) {
    if all.is_empty() {
        return;
    }
    let _ = writeln!(page, "<h2>{title}</h2>\n<ul>");
    for line in all {
        let _ = writeln!(page, "<li>{}</li>", safe(&line));
    }
    page.push_str("</ul>\n");
}

fn safe(text: &str) -> String {
    visible_line(text).replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
