//! The glance held against the parser, which counts what there is: never over a limit that a text is within, and the same
//! however the text comes in blocks.

use super::super::{Entry, FileId, Files, Locator, Node, Nodes, Problems, Source, Value};
use super::*;

const ROWS: Rows =
    Rows { under: "steps", most: 150_000, groups: "groups", group: "run", list: "gates", others: "use" };
const WIDE: Limits = Limits { bytes: 64 << 20, depth: 64, nodes: 5_000_000, rows: Some(ROWS) };

const fn at_most(steps: usize) -> Limits {
    Limits { rows: Some(Rows { most: steps, ..ROWS }), ..WIDE }
}

/// What is seen of a text that comes in blocks of so many bytes.
fn in_blocks(text: &str, long: usize, limits: &Limits) -> Result<Glanced, Over> {
    let mut all = blocks_of(text);
    glance(&mut |room| all(&mut room[..long]), limits)
}

/// Whether a text is seen to be over a limit. However it comes, the same is seen: byte by byte, in blocks of a few, and
/// at once; and the line and column are those of the byte.
fn is_over(text: &str, limits: &Limits) -> bool {
    let seen = glance(&mut blocks_of(text), limits);
    for long in [1, 2, 3, 7] {
        assert_eq!(in_blocks(text, long, limits), seen, "in blocks of {long}:\n{text}");
    }
    let places = match &seen {
        Err(over) => vec![(over.at, over.position)],
        Ok(brought) => {
            let others = brought.others.iter().map(|other| (other.at, other.position));
            brought.begins.into_iter().chain(others).collect()
        }
    };
    let mut files = Files::default();
    let file = files.add(Source::new("text", text));
    for (at, position) in places {
        let at = u32::try_from(at).expect("a small text");
        assert_eq!(Locator::new(&files).position(file, at), position, "byte {at} of\n{text}");
    }
    match (seen, limits.rows) {
        (Ok(brought), Some(rows)) => brought.own.written_out(&brought.groups) > rows.most,
        (seen, _) => seen.is_err(),
    }
}

/// The entries of a map of steps, those of the groups they name written out.
fn written_out(steps: Option<&Node<'_>>, groups: Option<&Node<'_>>, deep: usize) -> usize {
    let entries = steps.and_then(Node::map).unwrap_or_default();
    let each = entries.iter().map(|Entry { value, .. }| match (value.get("gates"), value.get("run")) {
        (Some(gates), _) => gates.one_or_many().len().max(1),
        (None, Some(Node { value: Value::Scalar(name, _), .. })) if deep < 3 => {
            let inner = groups.and_then(|groups| groups.get(name.trim())?.get("steps"));
            inner.map_or(1, |inner| written_out(Some(inner), groups, deep + 1))
        }
        _ => 1,
    });
    each.sum::<usize>().max(if deep == 0 { entries.len() } else { 0 })
}

/// Depth, values, and entries under `steps` with the groups written out, as the parser has them.
fn counted(root: &Node<'_>) -> (usize, usize, usize) {
    fn inner(node: &Node<'_>) -> (usize, usize) {
        let of = |parts: Vec<(usize, usize)>| {
            let depth = parts.iter().map(|part| part.0).max().unwrap_or(0);
            (depth + 1, parts.iter().map(|part| part.1).sum::<usize>() + 1)
        };
        match &node.value {
            Value::Scalar(..) => (0, 1),
            Value::List(items) => of(items.iter().map(inner).collect()),
            Value::Map(entries) => {
                let (depth, values) = of(entries.iter().map(|entry| inner(&entry.value)).collect());
                (depth, values + entries.len())
            }
        }
    }
    let (depth, values) = inner(root);
    (depth, values, written_out(root.get("steps"), root.get("groups"), 0))
}

/// Holds a text's glance against the parser: never over a limit that it is within. True if the glance also sees
/// that it is over the next smaller one.
fn held_against_the_parser(text: &str) -> Option<bool> {
    let mut problems = Problems::default();
    let nodes = Nodes::default();
    let root = nodes.parse_yaml(text, FileId(0), WIDE, &mut problems)?;
    if problems.refused() {
        return None;
    }
    let (depth, nodes, steps) = counted(&root);
    let limits = Limits { depth, nodes, ..at_most(steps) };
    assert!(!is_over(text, &limits), "{limits:?} of\n{text}");
    let over = |limits| is_over(text, &limits);
    Some(over(Limits { depth: depth.saturating_sub(1), ..WIDE }) && (steps == 0 || over(at_most(steps - 1))))
}

fn yaml_files(folder: &std::path::Path, found: &mut Vec<String>) {
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            yaml_files(&path, found);
        } else if path.extension().is_some_and(|end| end == "yaml") {
            found.extend(std::fs::read_to_string(path));
        }
    }
}

fn texts() -> Vec<String> {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut found = Vec::new();
    for folder in ["trees", "tests/good_trees", "tests/bad_trees", "tests/machines", "tests/fuzz/corpus/tree"]
    {
        yaml_files(&root.join(folder), &mut found);
    }
    found
}

#[test]
fn every_file_of_ours_is_counted_as_the_parser_counts() {
    let seen: Vec<bool> = texts().iter().filter_map(|text| held_against_the_parser(text)).collect();
    assert!(seen.len() > 40, "{}", seen.len());
    let sure = seen.iter().filter(|sure| **sure).count();
    assert!(sure * 100 >= seen.len() * 98, "{sure} of {}", seen.len());
}

/// Each is what could be mistaken for structure, and is none.
#[test]
fn what_only_looks_like_structure_is_not_counted() {
    for text in [
        "steps:\n  a: \"b\n  c: d\n\n  e: f\"\n",
        "steps:\n  a: 'it''s\n  c: d'\n",
        "steps:\n  a: |\n    b: {[{[\n    c: - -\n  d: x\n",
        "steps:\n  a: plain\n    \"with a quote\n    - and a dash {\n  b: x\n",
        "steps:\n  # a: b\n  a: it's # 'b: [\n  b: \"x\" # [[[\n",
        "steps: {a: it's, b: 'c, d: e', \"f\": {g: a b\n  c}, h: [x, y#z, http://i]}\n",
        "a:\n- b\n- - c\n  - d\nsteps:\n- a: b\n  c: d\n- e: f\n",
        "{\"steps\": {\"a\": {\"b\": [1, 2]}, \"c\": \"d: e, f\"}}\n",
        "\u{feff}steps:\r\n  a:\r\n    - b\r\n\r\n  c: >-\r\n    d: e\r\n",
        "a: \"\\\"b: {\"\nsteps: {a: \"\\\\\", b: c}\n",
        "---\nsteps:\n  a: b\n",
        "groups:\n  g:\n    steps: {a: {do: x}, b: {do: y}}\n  h:\n    steps:\n      a: {run: g}\nsteps:\n  \
         a: {run: \"h\", go: b}\n  b:\n    run: g # twice\n  c:\n    gates:\n    - a\n    - b: c\n  d: {gates: [a, b]}\n",
        "groups: {g: {steps: {a: 1, b: 2}, start: {run: g}}}\nsteps:\n  a:\n    run: g\n      h\n  b: {x: {run: g}}\n  c: {run: 'g'''}\n",
        "steps:\n  a: {run: g}\n  b: {gates: {x: y, z: [a, b]}}\ngroups:\n  g: {start: a}\n",
        "steps: [{run: g}, {gates: [a, b]}]\ngroups: {g: {steps: [{run: g}]}}\n",
        "steps:\n  a:\n  b: ''\n  c: -1\n",
        "é: {ü: [ñ, [b]]}\nsteps: {ö: {run: g, gates: [ß]}}\nuse: [ä.yaml, 'ö.yaml']\n",
        "a\nb\n\n  c\n",
    ] {
        assert!(held_against_the_parser(text).is_some(), "no YAML: {text}");
    }
}

/// A small generator of numbers; the same each time.
fn next(state: &mut u64) -> usize {
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    usize::try_from(*state >> 33).unwrap_or(0)
}

#[test]
fn no_mutation_that_parses_is_called_over_a_limit_that_it_is_within() {
    let pieces = [
        "\"", "'", "{", "}", "[", "]", ": ", "- ", "\n", "\n  ", "\n    ", " #", "|\n", ">\n", ",", "a",
        "steps:", "\\", "\r\n", "\r", "\t", "&a ", "---\n", "use: ", "? ",
    ];
    let texts: Vec<String> =
        texts().into_iter().filter(|text| text.len() < 3_000 && text.is_ascii()).collect();
    let rounds = std::env::var("LOOMWALK_ROUNDS").ok().and_then(|r| r.parse().ok()).unwrap_or(3_000);
    let (mut state, mut taken) = (20_261_126, 0);
    for _ in 0..rounds {
        let text = &texts[next(&mut state) % texts.len()];
        let from = next(&mut state) % text.len();
        let mut piece = text[from..(from + 400).min(text.len())].to_owned();
        for _ in 0..=next(&mut state) % 4 {
            let at = next(&mut state) % (piece.len() + 1);
            if next(&mut state).is_multiple_of(3) && at < piece.len() {
                piece.remove(at);
            } else {
                piece.insert_str(at, pieces[next(&mut state) % pieces.len()]);
            }
        }
        taken += usize::from(held_against_the_parser(&piece).is_some());
    }
    assert!(taken * 20 > rounds, "{taken} of {rounds} were taken by the parser");
}
