//! The schema for editors against the loader: what ships is let in, what a schema can catch is caught.

use jsonschema::Validator;
use loomwalk::author;
use loomwalk::diag::{FileId, Limits, Node, Nodes, Problems, Style, Value as Yaml};
use loomwalk::tree::{FileKind, documents};
use serde_json::{Map, Number, Value};

use super::{here, whole, yaml_files};

/// Rules of the loader that a schema can say too. (`wrong-kind` where it is about a number is one; about the number
/// of leads it is not.)
const SAID_BY_SCHEMA: [&str; 5] = ["unknown-key", "missing-key", "unknown-word", "step-kind", "text-form"];

/// What an editor's YAML tool makes of a text, by the core schema of YAML 1.2.
fn as_json(node: &Node<'_>) -> Value {
    match &node.value {
        Yaml::Scalar(text, Style::Plain) => plain(text),
        Yaml::Scalar(text, _) => Value::from(*text),
        Yaml::List(items) => items.iter().map(as_json).collect(),
        Yaml::Map(entries) => {
            let pairs = entries.iter().map(|e| (e.key.to_string(), as_json(&e.value)));
            Value::Object(pairs.collect::<Map<_, _>>())
        }
    }
}

fn plain(text: &str) -> Value {
    match text {
        "" | "~" | "null" | "Null" | "NULL" => Value::Null,
        "true" | "True" | "TRUE" => Value::Bool(true),
        "false" | "False" | "FALSE" => Value::Bool(false),
        _ => {
            let whole = text.parse::<i64>().ok().map(Number::from);
            let looks_real = text.bytes().all(|b| b.is_ascii_digit() || b"+-.eE".contains(&b));
            let real = || text.parse::<f64>().ok().filter(|_| looks_real).and_then(Number::from_f64);
            whole.or_else(real).map_or_else(|| Value::from(text), Value::Number)
        }
    }
}

fn parsed(text: &str) -> Option<(FileKind, Value)> {
    let nodes = Nodes::default();
    let root = nodes.parse_yaml(text, FileId(0), Limits::default(), &mut Problems::default())?;
    Some((FileKind::of(&root), as_json(&root)))
}

fn validator(kind: FileKind) -> Validator {
    let schema = match kind {
        FileKind::Tree => author::tree_schema(),
        FileKind::Shared => author::shared_schema(),
        FileKind::Machine => author::machine_schema(),
    };
    jsonschema::draft202012::new(&schema).expect("a schema")
}

#[test]
fn the_schema_is_one() {
    for schema in [author::tree_schema(), author::shared_schema(), author::machine_schema()] {
        assert!(jsonschema::draft202012::meta::is_valid(&schema));
    }
}

#[test]
fn every_shipped_file_is_let_in() {
    let trees = here().join("trees");
    let folders = std::fs::read_dir(&trees).expect("a folder").map(|e| e.expect("an entry").path());
    for file in folders.filter(|path| path.is_dir()).flat_map(|folder| yaml_files(&folder)) {
        let text = std::fs::read_to_string(&file).expect("UTF-8");
        let (kind, json) = parsed(&text).expect("YAML");
        let validator = validator(kind);
        let wrong: Vec<String> =
            validator.iter_errors(&json).map(|e| format!("{}: {e}", e.instance_path())).collect();
        assert!(wrong.is_empty(), "{}: {wrong:#?}", file.display());
    }
}

#[test]
fn every_good_example_is_let_in() {
    let validator = validator(FileKind::Tree);
    for document in documents() {
        let Some(good) = document.example("Good") else { continue };
        let (_, json) = parsed(&whole(good)).expect("YAML");
        assert!(validator.is_valid(&json), "{}: {json:#}", document.rule);
    }
}

#[test]
fn what_a_schema_can_catch_is_caught() {
    let validator = validator(FileKind::Tree);
    for document in documents().iter().filter(|d| SAID_BY_SCHEMA.contains(&d.rule)) {
        let (_, json) = parsed(&whole(document.example("Bad").expect("an example"))).expect("YAML");
        assert!(!validator.is_valid(&json), "{}: {json:#}", document.rule);
    }
    let mut caught = 0;
    for file in yaml_files(&here().join("tests/bad_trees")) {
        let text = std::fs::read_to_string(&file).expect("UTF-8");
        let Some((FileKind::Tree, json)) = parsed(&text) else { continue };
        let source = loomwalk::diag::Source::new("trees/tern/bad.yaml", text);
        let told = author::check(&source, &Vec::new());
        let sayable = told.problems.iter().any(|p| SAID_BY_SCHEMA.contains(&p.rule));
        if sayable {
            assert!(!validator.is_valid(&json), "{}", file.display());
            caught += 1;
        }
    }
    assert!(caught >= 5, "{caught} files of bad trees are caught by the schema");
}

#[test]
fn every_key_says_what_it_is_for() {
    fn walk(value: &Value, bare: &mut Vec<String>) {
        if let Some(properties) = value.get("properties").and_then(Value::as_object) {
            bare.extend(
                properties.iter().filter(|(_, p)| p.get("description").is_none()).map(|(k, _)| k.clone()),
            );
        }
        value.as_object().into_iter().flatten().for_each(|(_, inner)| walk(inner, bare));
    }
    let mut bare = Vec::new();
    walk(&author::tree_schema(), &mut bare);
    walk(&author::machine_schema(), &mut bare);
    assert!(bare.is_empty(), "{bare:?}");
}

/// Mistakes of authors in a machine file: what stands in the example, what is written instead, and the rule that tells it.
const MACHINE_MISTAKES: [(&str, &str, &str); 14] = [
    ("cab: tilts", "cab: tilting", "unknown-word"),
    ("supply: {volts: 12.6 V", "supply: {volt: 12.6 V", "unknown-key"),
    ("isolator: S0}", "isolater: S0}", "unknown-key"),
    ("title: Tern compact loader", "titel: Tern compact loader", "unknown-key"),
    ("where: \"left cab post", "were: \"left cab post", "unknown-key"),
    ("    - pin: A1:1\n", "    - pinn: A1:1\n", "chain-item"),
    ("- {fuse: F7, rating: 10 A,", "- {fuse: F7, raiting: 10 A,", "unknown-key"),
    (
        "fed: {plus: A1:1, minus: A1:2, least: 9 V, ohms: 60 ohm}",
        "fed: {plus: A1:1, least: 9 V, ohms: 60 ohm}",
        "missing-key",
    ),
    ("drives: plus", "drives: up", "unknown-word"),
    ("when: {all: [{input: {bar: low}}", "when: {al: [{input: {bar: low}}", "unknown-key"),
    ("{all: [{input: {door: low}}", "{all: [{input: {door: lo}}", "dangling-name"),
    ("power: running\n", "power: runing\n", "unknown-word"),
    ("stops: [lift]", "stop: [lift]", "unknown-key"),
    ("pull-up: {volts: 5 V, ohms: 2k2}", "pull-up: {volts: 5 V}", "missing-key"),
];

#[test]
fn what_a_schema_can_catch_in_a_machine_file_is_caught() {
    let validator = validator(FileKind::Machine);
    let good = include_str!("../machines/example.yaml");
    let (_, json) = parsed(good).expect("YAML");
    let wrong: Vec<String> =
        validator.iter_errors(&json).map(|e| format!("{}: {e}", e.instance_path())).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
    for (right, written, rule) in MACHINE_MISTAKES {
        assert!(good.contains(right), "the example has no `{right}`");
        let text = good.replacen(right, written, 1);
        let (_, json) = parsed(&text).expect("YAML");
        assert!(!validator.is_valid(&json), "{written}: not caught by the schema");
        let told = loomwalk::machine::load_machine(&text, FileId(0)).problems;
        let rules: Vec<&str> = told.list().iter().map(|p| p.rule).collect();
        assert!(rules.contains(&rule), "{written}: told as {rules:?}");
    }
}
