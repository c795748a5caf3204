//! How words, names and lists of a draft are written in YAML.
//!
//! Whatever is written here is read back as the same text: what could be taken for anything else stands in quotes.

/// A word where a block map has it: plain if no reader could misread it.
pub(super) fn word(text: &str) -> String {
    if is_plain(text, "") { text.to_owned() } else { quoted(text) }
}

/// A word inside `[…]` or `{…}`.
pub(super) fn inner(text: &str) -> String {
    if is_plain(text, ",[]{}:") { text.to_owned() } else { quoted(text) }
}

/// A list in one line.
pub(super) fn list<'w>(words: impl IntoIterator<Item = &'w str>) -> String {
    let words: Vec<String> = words.into_iter().map(inner).collect();
    format!("[{}]", words.join(", "))
}

/// Controls and their states in one line.
pub(super) fn pairs(pairs: &[(String, String)]) -> String {
    let pairs: Vec<String> = pairs.iter().map(|(c, s)| format!("{}: {}", inner(c), inner(s))).collect();
    format!("{{{}}}", pairs.join(", "))
}

/// A text in quotes.
pub(super) fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            '\n' | '\r' | '\t' => out.push(' '),
            _ => out.push(c),
        }
    }
    out + "\""
}

/// A text in English and Spanish.
pub(super) fn both(en: &str, es: &str) -> String {
    format!("{{en: {}, es: {}}}", quoted(en), quoted(es))
}

fn is_plain(text: &str, forbidden: &str) -> bool {
    const WORDS: [&str; 8] = ["on", "off", "yes", "no", "true", "false", "null", "y"];
    let sound = |c: char| c.is_alphanumeric() || " -_.:/@+,".contains(c);
    text.starts_with(|c: char| c.is_alphanumeric())
        && text.chars().all(|c| sound(c) && !forbidden.contains(c))
        && !text.contains(": ")
        && !text.ends_with([':', ' '])
        && !WORDS.contains(&text.to_lowercase().as_str())
        && !text.starts_with(|c: char| c.is_ascii_digit())
}

/// A name made of letters, digits and hyphens, as step ids are.
pub(super) fn slug(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars().flat_map(char::to_lowercase) {
        if c.is_ascii_alphanumeric() {
            out.push(c);
        } else if !out.ends_with('-') && !out.is_empty() {
            out.push('-');
        }
    }
    out.trim_end_matches('-').chars().take(52).collect()
}
