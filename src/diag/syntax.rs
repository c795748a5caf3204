//! What the YAML parser objects to, in an author's words: what is wrong, and what to write.
//!
//! The parser's own sentence is kept for what the table does not know.

/// A part of the parser's sentence, what is wrong, what to write.
const SAID: &[(&str, &str, &str)] = &[
    (
        "mapping values are not allowed",
        "a second `: ` stands in this line, so that what is left of it looks like a key",
        "quotes around the whole text: `ask: \"Look: do the arms lift?\"`; or the key on a line of its own",
    ),
    (
        "did not find expected key",
        "here a `key:` is wanted that begins where the keys above it begin, and something else stands here",
        "what belongs to the line above at its end or indented under it; else `key: value` in the column of the keys above",
    ),
    (
        "trailing content after",
        "behind the closing quote the text goes on",
        "quotes around the whole text; a quote inside it as `\\\"`, and one left open further up closed there",
    ),
    ("unclosed quote", "a quote is opened here and never closed", "the closing quote at the end of the text"),
    (
        "unclosed bracket",
        "a bracket is opened here and never closed",
        "the closing `]` or `}` where the list or the map ends",
    ),
    ("mismatched bracket", "a bracket is closed by one of the other kind", "`]` for `[`, `}` for `{`"),
    (
        "misplaced bracket",
        "a bracket is closed here that was never opened",
        "no bracket here, or the opening one before",
    ),
    (
        "expected ',' or '}'",
        "inside `{ }` a comma or the closing `}` is missing before this",
        "`{text: Yes, go: next}`; a text with a comma, a colon or a bracket in it stands in quotes",
    ),
    (
        "expected ',' or ']'",
        "inside `[ ]` a comma or the closing `]` is missing before this",
        "`[park, lower-arms]`; a name with a comma or a bracket in it stands in quotes",
    ),
    (
        "expected '-' indicator",
        "this line stands among the items of a list and begins with no `- `",
        "`- ` before the item, in the column of the others",
    ),
    (
        "comments must be separated",
        "a `#` stands right behind something, and is then no comment",
        "a space before the `#`; or quotes around a text that has one in it",
    ),
    (
        "tab",
        "a tab stands here where spaces are meant",
        "spaces: one behind a colon, two for each step inwards",
    ),
    (
        "block sequence entries are not allowed",
        "an item with `- ` stands here where no list can begin",
        "the list on the lines below its key; or quotes around a text that begins with `- `",
    ),
    (
        "indentation",
        "this line begins in a column that fits nothing above it",
        "the same column as what it stands beside, two spaces further in than what it belongs to",
    ),
    (
        "simple key expected ':'",
        "this looks like a key, and no `:` follows it",
        "`key: value`; a text over several lines in quotes, or after `|`",
    ),
    (
        "unexpected EOF",
        "the file ends in the middle of a list or a map",
        "what is missing at the end: the closing `]` or `}`, or the rest of the text",
    ),
    ("unexpected character", "no text can begin with this sign", "quotes around the text"),
    (
        "unknown escape character",
        "a backslash stands before a letter that it does not go with",
        "`\\\\` for a backslash; or single quotes around the text",
    ),
];

/// What is wrong and what to write, by the parser's sentence and the line in which it stopped, up to there.
pub(super) fn in_words(said: &str, line: &str) -> (String, &'static str) {
    if is_glued(line) {
        return (
            "this is not YAML: behind a `:` the blank is missing, so that it makes no key".to_owned(),
            "one blank behind the colon of each key: `silent: {text: It is silent, go: safe}`",
        );
    }
    let known = SAID.iter().find(|(part, ..)| said.contains(part));
    known.map_or_else(
        || {
            (
                format!("this is not YAML: {said}"),
                "look at the indentation, at quotes left open, and for `: ` or ` #` inside a text without quotes",
            )
        },
        |(_, wrong, write)| (format!("this is not YAML: {wrong}"), *write),
    )
}

/// True if a line begins with a key whose value stands right behind the colon: `silent:{…`, `answers:[…`.
fn is_glued(line: &str) -> bool {
    let line = line.trim_start().trim_start_matches("- ");
    let key =
        line.split_once(':').filter(|(key, _)| !key.is_empty() && !key.contains([' ', '"', '\'', '{', '[']));
    key.is_some_and(|(_, rest)| rest.starts_with(['{', '[', '"']))
}
