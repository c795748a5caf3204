//! The phone sheet as one self-contained HTML page for a sheet of A4: no script, nothing fetched, every text escaped.

use std::fmt::Write as _;

use crate::diag::visible_line;

use super::PhoneSheet;
use super::text::often;

const STYLE: &str = "\
@page { size: A4; margin: 12mm 14mm; }
html { font: 10pt/1.35 'Liberation Sans', Arial, sans-serif; color: #111; background: #fff; }
body { max-width: 182mm; margin: 6mm auto; padding: 0 3mm; }
h1 { font-size: 15pt; margin: 0 0 2mm; border-bottom: 0.6mm solid #111; padding-bottom: 1mm; }
h2 { font-size: 11pt; margin: 3mm 0 1mm; break-after: avoid; }
dl.who { display: grid; grid-template-columns: auto 1fr auto 1fr; gap: 2mm 3mm; margin: 0 0 2mm; }
dl.who dd { margin: 0; border-bottom: 0.2mm solid #555; }
ol { margin: 0; padding-left: 7mm; }
ol > li { margin: 0 0 1.5mm; break-inside: avoid; }
ul { list-style: none; margin: 0.5mm 0 0; padding: 0; }
ul.answers { display: flex; flex-wrap: wrap; gap: 0 6mm; }
ul.load { columns: 2; column-gap: 8mm; }
ul.load > li { padding-left: 14mm; text-indent: -14mm; break-inside: avoid; }
.box::before { content: '\\2610\\00a0'; }
.means { color: #333; font-style: italic; }
.often { display: inline-block; width: 9mm; text-align: right; text-indent: 0; padding-right: 2mm; }
.room { height: 18mm; border-bottom: 0.2mm solid #555; background: repeating-linear-gradient(#fff 0 8.8mm, #777 8.8mm 9mm); }
p.never { border: 0.4mm solid #111; padding: 1mm 2mm; margin: 3mm 0 0; }
";

/// The sheet as a page.
#[must_use]
pub fn phone_html(sheet: &PhoneSheet) -> String {
    let say = |en: &'static str, es: &'static str| sheet.say(en, es);
    let title = format!("{}: {}", say("Phone sheet", "Hoja de teléfono"), sheet.title);
    let title = escaped(&title);
    let lang = if sheet.lang.code() == "es" { "es" } else { "en" };
    let mut out = format!(
        "<!DOCTYPE html>\n<html lang=\"{lang}\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" \
         content=\"width=device-width\">\n<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; \
         style-src 'unsafe-inline'\">\n<title>{title}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n<h1>{title}</h1>\n"
    );
    out += "<dl class=\"who\">\n";
    for label in sheet.fields() {
        let _ = writeln!(out, "<dt>{label}</dt><dd></dd>");
    }
    let _ = writeln!(out, "</dl>\n<h2>{}</h2>\n<ol>", say("Questions", "Preguntas"));
    for question in &sheet.questions {
        let only = question.only_if.as_ref().map_or(String::new(), |(on, answer)| {
            format!("<em>{} {on} “{}”:</em> ", say("Only if", "Solo si"), escaped(answer))
        });
        let _ = writeln!(out, "<li>{only}{}\n<ul class=\"answers\">", escaped(&question.text));
        for (answer, means) in &question.answers {
            let means = means
                .as_ref()
                .map_or(String::new(), |means| format!(" <span class=\"means\">{}</span>", escaped(means)));
            let _ = writeln!(out, "<li class=\"box\">{}{means}</li>", escaped(answer));
        }
        let _ = writeln!(out, "<li class=\"box\">{}</li>\n</ul></li>", say("not known", "no se sabe"));
    }
    let _ = writeln!(
        out,
        "</ol>\n<h2>{}</h2>\n<div class=\"room\"></div>\n<h2>{}</h2>\n<ul class=\"load\">",
        say("In the operator's own words", "En palabras del operador"),
        say("To load, and how often of 100 it is needed", "Para cargar, y cuántas veces de 100 hace falta")
    );
    for item in &sheet.load {
        let often = escaped(often(item).trim());
        let _ = writeln!(
            out,
            "<li><span class=\"often\">{often}</span><span class=\"box\">{}</span></li>",
            escaped(&item.name)
        );
    }
    let _ = writeln!(out, "</ul>\n<p class=\"never\">{}</p>\n</body>\n</html>", sheet.never());
    out
}

/// Text as HTML carries it, on one line and with nothing that a file could smuggle in.
fn escaped(text: &str) -> String {
    let mut out = String::new();
    for c in visible_line(text).chars() {
        match c {
            '&' => out += "&amp;",
            '<' => out += "&lt;",
            '>' => out += "&gt;",
            '"' => out += "&quot;",
            '\'' => out += "&#39;",
            _ => out.push(c),
        }
    }
    out
}
