//! Texts for drawings: neutralised, escaped, cut to what a box holds.

use std::fmt::Write as _;

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use crate::diag::visible_line;

/// A text for SVG: on one line, nothing in it that could reverse, hide or end what stands around it.
pub(super) fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len() + 8);
    for c in visible_line(text).chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            // XML has no such characters.
            '\u{FFFE}' | '\u{FFFF}' => safe.push('\u{FFFD}'),
            c => safe.push(c),
        }
    }
    safe
}

/// A text for DOT, in quotes.
pub(super) fn quoted(lines: &[String]) -> String {
    let mut safe = String::from("\"");
    for (at, line) in lines.iter().enumerate() {
        if at > 0 {
            safe.push_str("\\n");
        }
        for c in visible_line(line).chars() {
            if matches!(c, '"' | '\\') {
                safe.push('\\');
            }
            safe.push(c);
        }
    }
    safe.push('"');
    safe
}

/// A text in at most so many lines of so many columns, at word ends where there are any; what does not fit ends in `…`.
pub(super) fn wrapped(text: &str, columns: usize, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let mut word = word.to_owned();
        while line.width() + usize::from(!line.is_empty()) + word.width() > columns {
            if line.is_empty() {
                let rest = word.split_off(fits(&word, columns));
                lines.push(std::mem::replace(&mut word, rest));
            } else {
                lines.push(std::mem::take(&mut line));
            }
        }
        if !line.is_empty() && !word.is_empty() {
            line.push(' ');
        }
        line.push_str(&word);
    }
    if !line.is_empty() {
        lines.push(line);
    }
    if lines.len() > most {
        lines.truncate(most);
        if let Some(last) = lines.last_mut() {
            last.truncate(fits(last, columns.saturating_sub(1)));
            last.push('…');
        }
    }
    lines
}

/// How many bytes of a text fit into so many columns; at least one character.
fn fits(text: &str, columns: usize) -> usize {
    let mut width = 0;
    for (at, c) in text.char_indices() {
        width += c.width().unwrap_or(0);
        if width > columns && at > 0 {
            return at;
        }
    }
    text.len()
}

/// A text element.
pub(super) fn text(svg: &mut String, (x, y): (f64, f64), class: &str, words: &str) {
    let _ = write!(svg, "<text x=\"{x:.1}\" y=\"{y:.1}\" class=\"{class}\">{}</text>", escaped(words));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_gets_out_of_its_text() {
        assert_eq!(escaped("<b>&\"'\u{1b}[1m"), "&lt;b&gt;&amp;&quot;&#39;&lt;1B&gt;[1m");
        assert_eq!(quoted(&["a\"b\\".into(), "c\nd".into()]), "\"a\\\"b\\\\\\nc d\"");
    }

    #[test]
    fn lines_are_no_wider_than_asked_for() {
        assert_eq!(wrapped("bar circuit open", 11, 3), ["bar circuit", "open"]);
        assert_eq!(wrapped("abcdefgh ij", 3, 9), ["abc", "def", "gh", "ij"]);
        assert_eq!(wrapped("one two three four", 9, 2), ["one two", "three…"]);
        assert!(wrapped("", 5, 2).is_empty());
        for line in wrapped("水が漏れる 水", 5, 9) {
            assert!(line.width() <= 5, "{line}");
        }
    }
}
