//! Text for people, in one or more languages, and text made safe to show.

use std::borrow::Cow;

use super::node::{Node, Value};
use super::place::Place;
use super::problem::Problems;
use super::source::FileId;

/// A language, by its two-letter code (ISO 639-1).
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
#[serde(transparent)]
pub struct Lang(pub String);

impl Default for Lang {
    fn default() -> Self {
        Self("en".to_owned())
    }
}

impl Lang {
    /// The language with this code.
    #[must_use]
    pub fn new(code: &str) -> Self {
        Self(code.to_owned())
    }

    /// The code itself.
    #[must_use]
    pub fn code(&self) -> &str {
        &self.0
    }
}

/// A text as an author wrote it: once for all languages, or by language.
#[derive(Debug, Clone, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
#[serde(from = "Written", into = "Written")]
pub struct Text(Words);

/// Most texts of most trees are written once: these need no list.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Words {
    Once(String),
    ByLanguage(Box<[(String, String)]>),
}

impl Default for Words {
    fn default() -> Self {
        Self::ByLanguage(Box::default())
    }
}

/// A text as journals carry it: pairs of language code and wording; one that is written once stands under "".
#[derive(serde::Serialize, serde::Deserialize)]
#[serde(rename = "Text")]
struct Written {
    wordings: Vec<(String, String)>,
}

impl From<Written> for Text {
    fn from(Written { mut wordings }: Written) -> Self {
        if let [(code, text)] = wordings.as_mut_slice()
            && code.is_empty()
        {
            return Self(Words::Once(std::mem::take(text)));
        }
        Self(Words::ByLanguage(wordings.into()))
    }
}

impl From<Text> for Written {
    fn from(text: Text) -> Self {
        let wordings = match text.0 {
            Words::Once(text) => vec![(String::new(), text)],
            Words::ByLanguage(wordings) => wordings.into_vec(),
        };
        Self { wordings }
    }
}

impl Text {
    /// A text that is the same in every language.
    #[must_use]
    pub fn plain(text: impl Into<String>) -> Self {
        Self(Words::Once(text.into()))
    }

    /// A text in English and Spanish.
    #[must_use]
    pub fn both(en: &str, es: &str) -> Self {
        Self(Words::ByLanguage([("en".into(), en.into()), ("es".into(), es.into())].into()))
    }

    /// The wording in this language, else in English, else the first there is.
    #[must_use]
    pub fn in_lang(&self, lang: &Lang) -> &str {
        self.in_code(lang.code())
    }

    /// The English wording (or the only one).
    #[must_use]
    pub fn en(&self) -> &str {
        self.in_code("en")
    }

    fn in_code(&self, code: &str) -> &str {
        let wordings = match &self.0 {
            Words::Once(text) => return text,
            Words::ByLanguage(wordings) => wordings,
        };
        let find = |code: &str| wordings.iter().find(|(c, _)| c == code);
        find(code)
            .or_else(|| find("en"))
            .or_else(|| find(""))
            .or_else(|| wordings.first())
            .map_or("", |(_, text)| text.as_str())
    }

    /// The language codes it is written in; empty if it was written once for all.
    pub fn languages(&self) -> impl Iterator<Item = &str> {
        let wordings = match &self.0 {
            Words::Once(_) => &[],
            Words::ByLanguage(wordings) => &**wordings,
        };
        wordings.iter().map(|(code, _)| code.as_str()).filter(|code| !code.is_empty())
    }

    /// Each wording with its language code; the code is empty where the text was written once for all.
    pub fn wordings(&self) -> impl Iterator<Item = (&str, &str)> {
        let (once, wordings) = match &self.0 {
            Words::Once(text) => (Some(("", text.as_str())), &[][..]),
            Words::ByLanguage(wordings) => (None, &**wordings),
        };
        once.into_iter().chain(wordings.iter().map(|(code, text)| (code.as_str(), text.as_str())))
    }

    /// The text with `change` applied to each wording.
    #[must_use]
    pub fn map(&self, change: impl Fn(&str) -> String) -> Self {
        Self(match &self.0 {
            Words::Once(text) => Words::Once(change(text)),
            Words::ByLanguage(wordings) => {
                Words::ByLanguage(wordings.iter().map(|(code, text)| (code.clone(), change(text))).collect())
            }
        })
    }

    /// True if nothing is written in it.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.wordings().all(|(_, text)| text.trim().is_empty())
    }

    /// Reads a text from a file: a single value, or `{en: …, es: …}`.
    pub fn read(node: &Node<'_>, file: FileId, problems: &mut Problems) -> Option<Self> {
        match &node.value {
            Value::Scalar(text, _) if !text.trim().is_empty() => Some(Self::plain(text.trim())),
            Value::Map(entries) if !entries.is_empty() => {
                let mut wordings = Vec::new();
                for entry in *entries {
                    match entry.value.scalar() {
                        Some(text) if is_code(entry.key) && !text.trim().is_empty() => {
                            wordings.push((entry.key.to_string(), text.trim().to_owned()));
                        }
                        _ => problems.refuse("text-form", Place::Bytes(file, entry.key_span)).says(
                            format!("`{}` is not a language with its text", entry.key),
                            "A text that cannot be shown leaves the mechanic guessing.",
                            "the text itself, or `{en: …, es: …}`",
                        ),
                    }
                }
                (!wordings.is_empty()).then(|| Self(Words::ByLanguage(wordings.into())))
            }
            _ => {
                problems.refuse("text-form", Place::Bytes(file, node.span)).says(
                    format!("a text is wanted here, this is {}", node.kind()),
                    "A text that cannot be shown leaves the mechanic guessing.",
                    "the text itself, or `{en: …, es: …}`",
                );
                None
            }
        }
    }
}

fn is_code(key: &str) -> bool {
    key.len() == 2 && key.bytes().all(|b| b.is_ascii_lowercase())
}

/// The text with everything neutralised that could drive a terminal or reverse a line: control characters
/// (but line feeds), escape, bidirectional and zero-width marks are shown by their code as `<1B>`.
#[must_use]
pub fn visible(text: &str) -> Cow<'_, str> {
    if text.chars().all(|c| c == '\n' || !is_hidden(c)) {
        return Cow::Borrowed(text);
    }
    let mut shown = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        match c {
            '\t' => shown.push(' '),
            '\n' => shown.push('\n'),
            c if is_hidden(c) => {
                use std::fmt::Write as _;
                let _ = write!(shown, "<{:02X}>", u32::from(c));
            }
            c => shown.push(c),
        }
    }
    Cow::Owned(shown)
}

/// As [`visible`], on one line: line feeds become spaces.
#[must_use]
pub fn visible_line(text: &str) -> Cow<'_, str> {
    if text.contains('\n') {
        Cow::Owned(visible(text.replace("\r\n", " ").replace('\n', " ").trim()).into_owned())
    } else {
        visible(text)
    }
}

/// JSON in which nothing can drive a terminal or reverse a line: what is hidden is written by its number, which says the
/// same (RFC 8259, section 7). Line feeds stand between its values only.
#[must_use]
pub fn visible_json(json: &str) -> Cow<'_, str> {
    use std::fmt::Write as _;
    if json.chars().all(|c| c == '\n' || !is_hidden(c)) {
        return Cow::Borrowed(json);
    }
    let mut shown = String::with_capacity(json.len() + 8);
    for c in json.chars() {
        if c == '\n' || !is_hidden(c) {
            shown.push(c);
            continue;
        }
        for unit in c.encode_utf16(&mut [0; 2]) {
            let _ = write!(shown, "\\u{unit:04x}");
        }
    }
    Cow::Owned(shown)
}

/// Characters that move, hide or reorder what a reader sees (Unicode categories Cc and the Cf that do so).
fn is_hidden(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{00AD}' | '\u{061C}' | '\u{180E}' | '\u{200B}'..='\u{200F}' | '\u{2028}'..='\u{202E}'
            | '\u{2060}'..='\u{206F}' | '\u{FEFF}' | '\u{FFF9}'..='\u{FFFB}' | '\u{E0000}'..='\u{E007F}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_hidden_gets_through() {
        assert_eq!(visible("lift \u{1b}[2J arm\u{202e}s"), "lift <1B>[2J arm<202E>s");
        assert_eq!(visible("plain Ω text"), "plain Ω text");
        assert_eq!(visible_line("two\nlines"), "two lines");
    }

    #[test]
    fn a_text_falls_back_to_english() {
        let text = Text::both("arms", "brazos");
        assert_eq!(text.in_lang(&Lang::new("es")), "brazos");
        assert_eq!(text.in_lang(&Lang::new("fr")), "arms");
        assert_eq!(Text::plain("x").in_lang(&Lang::new("es")), "x");
    }

    /// Journals and archives of before carry texts in this form.
    #[test]
    fn a_text_stands_in_a_journal_as_its_wordings() {
        for (text, written) in [
            (Text::plain("x"), r#"{"wordings":[["","x"]]}"#),
            (Text::both("arms", "brazos"), r#"{"wordings":[["en","arms"],["es","brazos"]]}"#),
            (Text::default(), r#"{"wordings":[]}"#),
        ] {
            assert_eq!(serde_json::to_string(&text).expect("JSON"), written);
            assert_eq!(serde_json::from_str::<Text>(written).expect("a text"), text);
        }
    }
}
