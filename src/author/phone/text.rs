//! The phone sheet as text, 80 columns, to be printed or filled in on the screen.

use std::fmt::Write as _;

use unicode_width::UnicodeWidthStr;

use crate::diag::visible_line;

use super::{Item, PhoneSheet};

const COLUMNS: usize = 78;
/// Lines on a page of A4 or letter paper at six to the inch.
const PAGE: usize = 60;
/// However many questions there are, this many things to load are named.
const LEAST_ITEMS: usize = 8;

/// The sheet as text.
#[must_use]
pub fn phone_text(sheet: &PhoneSheet) -> String {
    let mut out = String::new();
    let rule = "-".repeat(COLUMNS);
    let say = |en: &'static str, es: &'static str| sheet.say(en, es);
    wrapped(&mut out, &format!("{}: {}", say("Phone sheet", "Hoja de teléfono"), sheet.title), 0);
    for row in blanks(sheet) {
        let _ = writeln!(out, "{row}");
    }
    let _ = writeln!(out, "{rule}");
    for (at, question) in sheet.questions.iter().enumerate() {
        let number = at + 1;
        if let Some((on, answer)) = &question.only_if {
            let only = format!("{} {on} \"{answer}\":", say("Only if", "Solo si"));
            wrapped(&mut out, &format!("{number:2}  {only} {}", question.text), 4);
        } else {
            wrapped(&mut out, &format!("{number:2}  {}", question.text), 4);
        }
        for (answer, means) in &question.answers {
            let means = means.as_ref().map_or(String::new(), |means| format!("   -> {means}"));
            wrapped(&mut out, &format!("      [ ] {answer}{means}"), 10);
        }
        let _ = writeln!(out, "      [ ] {}", say("not known", "no se sabe"));
    }
    let _ = writeln!(out, "{rule}\n{}", say("In the operator's own words:", "En palabras del operador:"));
    let _ = writeln!(out, "\n{line}\n\n{line}\n{rule}", line = "_".repeat(COLUMNS));
    let _ = writeln!(
        out,
        "{}",
        say("To load, and how often of 100 it is needed", "Para cargar, y cuántas veces de 100 hace falta")
    );
    // The sheet is one page: what is needed least often gives way.
    let room = PAGE.saturating_sub(out.lines().count() + 4).max(LEAST_ITEMS);
    for item in sheet.load.iter().take(room) {
        wrapped(&mut out, &format!("{}  [ ] {}", often(item), item.name), 10);
    }
    if let Some(more) = sheet.load.len().checked_sub(room).filter(|more| *more > 0) {
        let _ = writeln!(
            out,
            "      {} {more} {}",
            say("and", "y"),
            say("more, needed less often", "más, menos veces")
        );
    }
    let _ = writeln!(out, "{rule}");
    wrapped(&mut out, sheet.never(), 0);
    out
}

/// How often of 100, right-aligned.
pub(super) fn often(item: &Item) -> String {
    match item.chance {
        Some(chance) if chance < 0.01 => "  <1".to_owned(),
        Some(chance) => format!("{:4.0}", chance * 100.0),
        None => "    ".to_owned(),
    }
}

/// The lines for who called, and about what.
fn blanks(sheet: &PhoneSheet) -> Vec<String> {
    let field = |label: &str, width: usize| {
        let room = width.saturating_sub(label.width() + 1);
        format!("{label} {}", "_".repeat(room))
    };
    sheet
        .fields()
        .chunks(2)
        .map(|pair| pair.iter().map(|label| field(label, 38)).collect::<Vec<_>>().join("  "))
        .collect()
}

/// Writes words in lines of [`COLUMNS`], the following ones indented.
fn wrapped(out: &mut String, text: &str, indent: usize) {
    let text = visible_line(text);
    let lead = text.len() - text.trim_start().len();
    let mut line = " ".repeat(lead);
    for word in text.split_whitespace() {
        if line.trim().is_empty() {
            line.push_str(word);
        } else if line.width() + 1 + word.width() > COLUMNS {
            let _ = writeln!(out, "{line}");
            line = " ".repeat(indent) + word;
        } else {
            line.push(' ');
            line.push_str(word);
        }
    }
    let _ = writeln!(out, "{line}");
}

impl PhoneSheet {
    pub(super) fn say(&self, en: &'static str, es: &'static str) -> &'static str {
        if self.lang.code() == "es" { es } else { en }
    }

    /// What is asked of every caller.
    pub(super) fn fields(&self) -> [&'static str; 6] {
        [
            self.say("Who calls", "Quién llama"),
            self.say("Telephone", "Teléfono"),
            self.say("Machine no.", "Máquina n.º"),
            self.say("Hours", "Horas"),
            self.say("Site", "Lugar"),
            self.say("Time", "Hora"),
        ]
    }

    /// What nobody is asked to do by telephone.
    pub(super) fn never(&self) -> &'static str {
        self.say(
            "Ask what was seen. Never ask anybody to measure, to bypass anything or to go near the machine.",
            "Pregunte qué se vio. No pida a nadie medir, puentear nada ni acercarse a la máquina.",
        )
    }
}
