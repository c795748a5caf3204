//! Drawings: well-formed by a general XML parser, everything there once, nothing over anything else.
//!
//! Which circuits a function hangs on, and which way their current flows, was worked out by hand from the machine file.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use assert_cmd::Command;
use loomwalk::diag::{FileId, Lang, Source};
use loomwalk::draw::{Shape, circuit_dot, circuit_svg, lines, lines_at, lines_of, tree_dot, tree_svg};
use loomwalk::machine::{Machine, Today, load_machine};
use loomwalk::tree::{Shipped, StepIx, Tree, load};
use roxmltree::{Document, Node};

const SMALL: &str = r#"loomwalk: 1
tree: drawn
title: {en: Horn dead, es: Bocina muda}
start: does-it
steps:
  does-it:
    ask: {en: Does it sound at all?, es: ¿Suena algo?}
    answers:
      yes-it-does: {text: {en: It sounds, es: Suena}, go: away}
      silent: {text: {en: Silent, es: Muda}, go: at-horn}
    cannot: at-horn
  at-horn:
    read: volts
    red: H3:1
    black: GND4
    bands:
      - {below: 1 V, means: nothing comes through, go: wire-open}
      - {from: 1 V, to: 9 V, means: it is lost on the way, go: wire-open}
      - {above: 9 V, means: the horn is dead, go: horn-open}
      - {jumps: true, go: wire-open}
  wire-open: {find: [W66 open], cause: 'rubbed on the "bracket"', go: away}
  horn-open: {find: [H3 open], cause: worn, go: away}
  away: {refer: Somebody who has one}
"#;

fn tern() -> Machine {
    load_machine(include_str!("../trees/tern/machine.yaml"), FileId(0)).machine.expect("it loads")
}

fn shipped() -> Vec<Tree> {
    let trees = Shipped::names().into_iter().filter(|name| !name.ends_with("/machine"));
    let loaded = trees.filter_map(|name| load(&Shipped::named(&name)?, &Shipped).tree);
    loaded.collect()
}

fn tree(text: &str) -> Tree {
    let loaded = load(&Source::new("drawn.yaml", text), &());
    loaded.tree.unwrap_or_else(|| panic!("{:#?}", loaded.problems.list()))
}

/// What carries a box: its name, and left, top, width, height.
type Boxed = (String, [f64; 4]);

fn boxes(svg: &str, name: &str) -> Vec<Boxed> {
    let document = Document::parse(svg).expect("well-formed");
    let boxed = |node: Node<'_, '_>| {
        let numbers = node.attribute("data-box")?.split(' ').map(|n| n.parse().expect("a number"));
        let numbers: Vec<f64> = numbers.collect();
        Some((node.attribute(name)?.to_owned(), numbers.try_into().expect("four numbers")))
    };
    document.descendants().filter_map(boxed).collect()
}

fn size(svg: &str) -> (f64, f64) {
    let document = Document::parse(svg).expect("well-formed");
    let number =
        |name| document.root_element().attribute(name).and_then(|n| n.parse().ok()).expect("a number");
    (number("width"), number("height"))
}

/// Nothing lies over anything else or beyond the edge.
fn clear(svg: &str, boxes: &[Boxed]) {
    let (width, height) = size(svg);
    for (at, (name, [x, y, w, h])) in boxes.iter().enumerate() {
        assert!(*x >= 0.0 && *y >= 0.0 && x + w <= width && y + h <= height, "{name} is off the page");
        for (other, [x2, y2, w2, h2]) in &boxes[at + 1..] {
            let apart = x + w <= x2 + 0.1 || x2 + w2 <= x + 0.1 || y + h <= y2 + 0.1 || y2 + h2 <= y + 0.1;
            assert!(apart, "{name} lies over {other}");
        }
    }
}

/// The corners of each way that is drawn between boxes, the rounded ones as they were before.
fn ways(svg: &str) -> Vec<Vec<(f64, f64)>> {
    let document = Document::parse(svg).expect("well-formed");
    let is_way =
        |node: &Node<'_, '_>| node.attribute("marker-end").is_some() && node.tag_name().name() == "path";
    let corners = |node: Node<'_, '_>| {
        let path = node.attribute("d").expect("a path").replace(['M', 'L', 'Q'], " ").replace('V', " V ");
        let mut at: Vec<(f64, f64)> = Vec::new();
        let mut words = path.split_whitespace();
        while let Some(word) = words.next() {
            let number = |word: Option<&str>| word.and_then(|w| w.parse::<f64>().ok()).expect("a number");
            let next = match word {
                "V" => (at[at.len() - 1].0, number(words.next())),
                x => (number(Some(x)), number(words.next())),
            };
            at.push(next);
        }
        at
    };
    document.descendants().filter(is_way).map(corners).collect()
}

/// A way goes level or upright, save for a rounded corner, begins and ends at a box's edge, and goes over none.
fn goes_round(name: &str, way: &[(f64, f64)], boxes: &[Boxed]) {
    let at_edge = |(x, y): (f64, f64)| {
        boxes.iter().any(|(_, [left, top, width, height])| {
            let beside = (x - left).abs() < 0.2 || (x - left - width).abs() < 0.2;
            let upon = (y - top).abs() < 0.2 || (y - top - height).abs() < 0.2;
            (beside && *top <= y && y <= top + height) || (upon && *left <= x && x <= left + width)
        })
    };
    assert!(at_edge(way[0]) && at_edge(way[way.len() - 1]), "{name}: {way:?} hangs in the air");
    for pair in way.windows(2) {
        let ((x1, y1), (x2, y2)) = (pair[0], pair[1]);
        assert!((x1 - x2).abs() < 3.2 || (y1 - y2).abs() < 3.2, "{name}: {way:?} is slanted");
        for (step, [left, top, width, height]) in boxes {
            let over = x1.min(x2) < left + width - 0.2
                && x1.max(x2) > left + 0.2
                && y1.min(y2) < top + height - 0.2
                && y1.max(y2) > top + 0.2;
            assert!(!over, "{name}: {way:?} goes over {step}");
        }
    }
}

#[test]
fn ways_are_level_or_upright_and_go_over_no_box() {
    for tree in shipped().into_iter().chain([of_sixty_steps(), tree(SMALL)]) {
        let svg = tree_svg(&tree, &Lang::default(), &[]).expect("not too large");
        let (drawn, ways) = (boxes(&svg, "data-step"), ways(&svg));
        assert!(ways.len() + 1 >= drawn.len(), "{}", tree.id);
        for way in &ways {
            goes_round(&tree.id, way, &drawn);
        }
    }
}

#[test]
fn every_step_of_every_shipped_tree_is_drawn_once() {
    let trees = shipped();
    assert!(trees.len() >= 2);
    for tree in trees {
        for lang in ["en", "es"] {
            let svg = tree_svg(&tree, &Lang::new(lang), &[]).expect("not too large");
            let drawn = boxes(&svg, "data-step");
            let names: BTreeSet<&str> = drawn.iter().map(|(name, _)| name.as_str()).collect();
            let wanted: BTreeSet<&str> = tree.steps.iter().map(|step| step.id.as_str()).collect();
            assert_eq!((drawn.len(), names), (tree.steps.len(), wanted), "{}", tree.id);
            clear(&svg, &drawn);
        }
        let dot = tree_dot(&tree, &Lang::default(), &[]);
        assert_eq!(dot.matches(" [label=").count() - dot.matches(" -> ").count(), tree.steps.len());
    }
}

#[test]
fn kinds_are_told_by_shape_and_by_word() {
    let tree = shipped().remove(0);
    let svg = tree_svg(&tree, &Lang::default(), &[]).expect("not too large");
    let document = Document::parse(&svg).expect("well-formed");
    let mut shapes: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for node in document.descendants().filter(|node| node.has_attribute("data-kind")) {
        let kind = node.attribute("data-kind").expect("a kind").to_owned();
        let words: Vec<&str> = node.descendants().filter_map(|n| n.text()).collect();
        assert!(words.iter().any(|w| *w == kind || w.starts_with("proof")), "{kind}: {words:?}");
        let outline = node.children().filter(|n| n.attribute("class") == Some("box"));
        let form = |n: Node<'_, '_>| format!("{} {}", n.tag_name().name(), n.attribute("rx").unwrap_or("-"));
        shapes.entry(kind).or_default().insert(outline.map(form).collect::<Vec<_>>().join(", "));
    }
    assert!(shapes.values().all(|forms| forms.len() == 1), "{shapes:?}");
    for kind in ["gate", "find", "read"] {
        let alike = shapes.iter().filter(|(other, forms)| *other != kind && **forms == shapes[kind]);
        assert_eq!(alike.count(), 0, "{kind}: {shapes:?}");
    }
}

/// A tree of sixty steps in the shape that trees have: readings that part, findings, one repair behind them.
fn of_sixty_steps() -> Tree {
    let mut text = "loomwalk: 1\ntree: sixty\ntitle: Sixty\nstart: r1\nsteps:\n".to_owned();
    for at in 1..=19 {
        let (low, high) = (2 * at, 2 * at + 1);
        let way = |at: i32| if at <= 19 { format!("r{at}") } else { format!("f{at}") };
        let _ = write!(
            text,
            "  r{at}:\n    read: volts\n    red: A1:{at}\n    bands:\n      - {{below: 1.5 V, means: nothing comes through, go: {}}}\n      - {{from: 1.5 V, means: it comes through, go: {}}}\n",
            way(low),
            way(high)
        );
    }
    for at in 20..=39 {
        let _ = writeln!(
            text,
            "  f{at}: {{find: [W{at} open, X{at}:1 open], cause: it rubbed, go: r-{}}}",
            at % 10
        );
    }
    for at in 0..10 {
        let _ = writeln!(text, "  r-{at}: {{do: Mend the wire and bind it where it rubbed., go: lock-{at}}}");
        let _ = writeln!(text, "  lock-{at}: {{do: Put the covers back., go: done}}");
    }
    text.push_str("  done: {refer: Somebody proves it}\n");
    tree(&text)
}

/// A3 is 420 mm by 297 mm (ISO 216), printed with 10 mm left on every side.
#[test]
fn sixty_steps_are_readable_on_a3() {
    let tree = of_sixty_steps();
    assert_eq!(tree.steps.len(), 60);
    let svg = tree_svg(&tree, &Lang::default(), &[]).expect("not too large");
    let (width, height) = size(&svg);
    let (long, short) = (width.max(height), width.min(height));
    let millimetres = (400.0 / long).min(277.0 / short);
    // The text is 10 px high; 2 mm is the size of a telephone directory (common practice, no source).
    let text = 10.0 * millimetres;
    assert!(text >= 2.0, "{text:.2} mm, {width} by {height}");
}

#[test]
fn hostile_words_stay_words() {
    let tree = tree(
        "loomwalk: 1\ntree: bad\ntitle: \"</title><script>alert(1)</script>\"\nstart: a\nsteps:\n  a:\n    ask: \"\\u001b[31m \\u202e ]]> & <b>\\\"'\"\n    answers:\n      x: {text: \"\\\\ \\\" -> }\", go: b}\n      y: {text: plain, go: b}\n  b: {refer: \"<!-- \\ufffe -->\"}\n",
    );
    let svg = tree_svg(&tree, &Lang::new("\"><x"), &[]).expect("not too large");
    let document = Document::parse(&svg).expect("well-formed");
    let known = ["svg", "title", "style", "defs", "marker", "path", "rect", "text", "g", "circle"];
    for node in document.descendants().filter(Node::is_element) {
        assert!(known.contains(&node.tag_name().name()), "{:?}", node.tag_name());
    }
    assert!(!svg.contains('\u{1b}') && !svg.contains('\u{202e}'));
    let dot = tree_dot(&tree, &Lang::default(), &[]);
    assert!(!dot.contains('\u{1b}') && !dot.contains('\u{202e}'));
    for line in dot.lines() {
        let bare = line.replace("\\\\", "").replace("\\\"", "");
        assert_eq!(bare.matches('"').count() % 2, 0, "{line}");
    }
}

#[test]
fn the_same_tree_is_drawn_in_the_same_bytes() {
    let draw = || tree_svg(&of_sixty_steps(), &Lang::default(), &[]).expect("not too large");
    assert_eq!(draw(), draw());
}

#[test]
fn too_large_a_tree_is_told() {
    let mut text = "loomwalk: 1\ntree: long\ntitle: Long\nstart: s0\nsteps:\n".to_owned();
    for at in 0..1_000 {
        let _ = writeln!(text, "  s{at}: {{do: On., go: s{}}}", at + 1);
    }
    text.push_str("  s1000: {refer: Away}\n");
    let long = tree_svg(&tree(&text), &Lang::default(), &[]).expect_err("one step too many");
    assert_eq!(long.to_string(), "the tree has 1001 steps; at most 1000 are drawn");
}

#[test]
fn a_small_tree_as_dot() {
    let tree = tree(SMALL);
    insta::assert_snapshot!(tree_dot(&tree, &Lang::default(), &[StepIx(0), StepIx(1)]));
}

#[test]
fn circuits_flow_as_their_current_does() {
    let machine = tern();
    let day = machine.day(Today::default());
    let all = lines(&day);
    let line = |name: &str| all.iter().find(|line| line.name == name).expect("a line");
    let names = |name: &str| line(name).stands.iter().map(|stand| stand.name.clone()).collect::<Vec<_>>();
    // Back to the battery, though the file begins at it.
    assert_eq!(names("battery-earth"), ["GND0", "W1", "B-"]);
    assert_eq!(names("battery-feed"), ["B+", "J1", "S0", "P1"]);
    // Out of the pull-up, through the switch, to the frame.
    assert_eq!(names("bar-signal"), ["A1:7", "W31", "X14:3", "W32", "S4", "W33", "GND2"]);
    let rubs: Vec<(&str, f64)> =
        line("bar-signal").stands[1].rubs.iter().map(|r| (r.name.as_str(), r.share)).collect();
    assert_eq!(rubs, [("pivot-clamp", 1.2 / 1.9), ("hose-crossing", 1.6 / 1.9)]);
    let earth = line("battery-earth").stands[1].points.clone();
    let ends = earth.iter().map(|id| machine.parts().points[id.at()].name.as_str()).collect::<Vec<_>>();
    assert_eq!(ends, ["W1:2", "W1:1"]);
    assert_eq!(line("bar-signal").stands[6].shape, Shape::Ground);
    let splice = &line("main-feed").stands[3];
    assert_eq!(
        (splice.name.as_str(), splice.meets.as_slice()),
        ("SP1", &["key-feed", "start-line", "horn"].map(String::from)[..])
    );
}

#[test]
fn a_function_hangs_on_these_circuits() {
    let machine = tern();
    let day = machine.day(Today::default());
    let of = |function: &str| {
        let id = machine.function(function).expect("a function");
        lines_of(&day, &[id]).into_iter().map(|line| line.name).collect::<Vec<_>>()
    };
    let fed =
        ["battery-earth", "battery-feed", "main-feed", "key-feed", "controller-feed", "controller-earth"];
    assert_eq!(of("lift"), [&fed[..], &["bar-signal", "door-signal", "lift-valve"]].concat());
    assert_eq!(of("display"), fed);
    assert_eq!(
        of("crank"),
        ["battery-earth", "battery-feed", "main-feed", "start-line", "solenoid-feed", "starter"]
    );
    assert_eq!(of("horn"), ["battery-earth", "battery-feed", "main-feed", "horn"]);
    assert_eq!(of("fuel"), ["battery-earth", "battery-feed", "main-feed", "key-feed", "fuel"]);
}

#[test]
fn a_point_is_found_in_its_lines() {
    let machine = tern();
    let all = lines(&machine.day(Today::default()));
    let at = |name: &str| {
        let found = lines_at(&machine, &all, machine.point(name).expect("a point"));
        found.into_iter().map(|at| all[at].name.clone()).collect::<Vec<_>>()
    };
    assert_eq!(at("W31@pivot-clamp"), ["bar-signal"]);
    assert_eq!(at("X14:4b"), ["door-signal"]);
    // The end of a wire is the pin that it goes to.
    assert_eq!(at("W31:1"), ["bar-signal"]);
    assert_eq!(at("SP4"), ["park-signal", "start-line"]);
}

#[test]
fn every_circuit_is_drawn_with_all_that_stands_in_it() {
    for text in [
        include_str!("../trees/tern/machine.yaml"),
        include_str!("../trees/wren/machine.yaml"),
        include_str!("../trees/heron/machine.yaml"),
    ] {
        let machine = load_machine(text, FileId(0)).machine.expect("it loads");
        let day = machine.day(Today::default());
        let all = lines(&day);
        let svg = circuit_svg(machine.title.en(), &all, &Lang::default());
        let drawn = boxes(&svg, "data-stand");
        let wanted: usize = machine.parts().chains.iter().map(|chain| chain.items.len()).sum();
        assert_eq!(drawn.len(), wanted, "{}", machine.name);
        clear(&svg, &drawn);
        let dot = circuit_dot(&machine, &all, &Lang::default());
        assert_eq!(dot.matches(" -- ").count(), machine.parts().elements.len(), "{}", machine.name);
    }
}

fn run(args: &[&str]) -> (i32, String, String) {
    let mut command = Command::cargo_bin("loomwalk").expect("the program");
    let output = command.current_dir(env!("CARGO_MANIFEST_DIR")).args(args).output().expect("it runs");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("UTF-8");
    (output.status.code().expect("an exit code"), text(output.stdout), text(output.stderr))
}

#[test]
fn a_walked_path_is_laid_over_its_tree() {
    let (code, svg, err) = run(&["draw", "tern/no-lift-no-tilt", "--job", "demo/no-lift.job.jsonl"]);
    assert_eq!((code, err.as_str()), (0, ""));
    let document = Document::parse(&svg).expect("well-formed");
    let walked = document.descendants().filter(|node| node.attribute("class") == Some("step gone"));
    let mut visits = BTreeMap::new();
    for node in walked {
        let tab = node.children().find(|n| n.attribute("class") == Some("nth")).expect("a tab");
        for nth in tab.text().expect("numbers").split(", ") {
            visits.insert(
                nth.parse::<usize>().expect("a number"),
                node.attribute("data-step").expect("a step"),
            );
        }
    }
    let order: Vec<&str> = visits.values().copied().collect();
    assert_eq!(visits.keys().copied().collect::<Vec<_>>(), (1..=order.len()).collect::<Vec<_>>());
    assert_eq!(order.first(), Some(&"last-tried"));
    assert!(order.contains(&"make-safe/lockout"), "{order:?}");
}

#[test]
fn what_cannot_be_drawn_is_told() {
    let said = |args: &[&str], code: i32, words: &str| {
        let (left, out, err) = run(args);
        assert_eq!((left, out.as_str()), (code, ""), "{err}");
        assert!(err.contains(words), "{err}");
    };
    said(&["draw", "tern/no-crank", "--job", "demo/no-lift.job.jsonl"], 2, "walked the tree");
    said(&["draw", "tern/machine", "--job", "demo/no-lift.job.jsonl"], 2, "`--job` is for trees");
    said(&["draw", "tern/machine", "--function", "fly"], 2, "there is no function `fly`");
    said(&["draw", "tern/no-crank", "--function", "lift"], 2, "is for machine files");
    said(&["draw", "trees/common/repair.yaml"], 2, "shared");
    let (code, out, _) =
        run(&["draw", "tern/machine", "--function", "horn", "--format", "dot", "--lang", "es"]);
    assert_eq!(code, 0);
    assert!(out.starts_with("graph \"tern\" {") && out.contains("bocina"), "{out}");
}
