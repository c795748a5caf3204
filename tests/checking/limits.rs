//! The limits that `trees/README.md` states: what is over one is refused with one problem, and before any work is done on
//! it.
//!
//! How long that takes is the machine's affair; what is held here is that it takes a small part of what the same file
//! takes within its limits, so that it holds on a loaded machine and in a debug build.

use std::fmt::Write as _;
use std::time::{Duration, Instant};

use loomwalk::author;
use loomwalk::diag::{FileId, Place, Problem, Source, Span};
use loomwalk::tree::MOST_STEPS;

use super::source;

fn told(text: String) -> (Vec<&'static str>, Duration) {
    let source = source(text);
    let began = Instant::now();
    let report = author::check(&source, &Vec::new());
    (report.problems.iter().map(|p| p.rule).collect(), began.elapsed())
}

/// A tree that runs a group of so many steps so many times.
fn groups(steps: usize, runs: usize) -> String {
    let mut text = String::from(
        "loomwalk: 1\ntree: row\ntitle: Groups\nstart: r0\ngroups:\n  many:\n    start: g0\n    steps:\n",
    );
    for at in 0..steps {
        let next = if at + 1 == steps { "back".to_owned() } else { format!("g{}", at + 1) };
        let _ = writeln!(text, "      g{at}: {{do: Wipe the plug., zone: outside, go: {next}}}");
    }
    text.push_str("steps:\n");
    for at in 0..runs {
        let next = if at + 1 == runs { "done".to_owned() } else { format!("r{}", at + 1) };
        let _ = writeln!(text, "  r{at}: {{run: many, go: {next}}}");
    }
    text.push_str("  done: {close: not-reproduced}\n");
    text
}

#[test]
fn a_small_file_of_many_steps_is_refused_before_they_are_written_out() {
    let runs = MOST_STEPS / 1_000 + 1;
    let (rules, refused) = told(groups(1_000, runs));
    assert_eq!(rules, ["too-large"]);
    // A twentieth of the steps, and they are written out.
    let (within, checked) = told(groups(1_000, runs / 20));
    assert!(!within.contains(&"too-large"), "{within:?}");
    assert!(refused < checked, "{refused:?} for the refusal, {checked:?} for a twentieth of the work");
}

#[test]
fn groups_that_run_groups_are_counted_through() {
    let mut text = String::from("loomwalk: 1\ntree: row\ntitle: Groups\nstart: r\ngroups:\n");
    for at in 0..8 {
        let _ = writeln!(text, "  x{at}:\n    start: s0\n    steps:");
        for step in 0..10 {
            let next = if step == 9 { "back".to_owned() } else { format!("s{}", step + 1) };
            let what =
                if at == 7 { "do: Wipe., zone: outside".to_owned() } else { format!("run: x{}", at + 1) };
            let _ = writeln!(text, "      s{step}: {{{what}, go: {next}}}");
        }
    }
    text.push_str("steps:\n  r: {run: x0, go: done}\n  done: {close: not-reproduced}\n");
    assert_eq!(told(text).0, ["too-large"], "ten to the eighth");
}

/// A group that is named with a slip is taken for the one that was meant; this must not let more be written out than
/// what is named as it should be.
#[test]
fn groups_that_are_only_meant_are_not_written_out_without_end() {
    let named = |name: &str| {
        let runs = groups(1_500, 99).replace("{run: many,", &format!("{{run: {name},"));
        let began = Instant::now();
        let report = author::check(&source(runs), &Vec::new());
        let steps = report.course.map_or(0, |course| course.tree().steps.len());
        (report.problems.first().map(|p| p.rule), steps, began.elapsed())
    };
    let (rule, steps, _) = named("manny");
    assert_eq!(rule, Some("dangling-name"));
    assert!(steps <= MOST_STEPS, "{steps}");
    assert_eq!(named("\" many \"").1, named("many").1, "blanks around a name are no way round the limit");
}

#[test]
fn a_group_in_itself_is_no_large_tree() {
    let text = "loomwalk: 1\ntree: row\ntitle: Groups\nstart: r\ngroups:\n  x:\n    start: s\n    steps:\n      \
                s: {run: x, go: back}\nsteps:\n  r: {run: x, go: done}\n  done: {close: not-reproduced}\n";
    let (rules, _) = told(text.to_owned());
    assert!(rules.contains(&"group-in-itself") && !rules.contains(&"too-large"), "{rules:?}");
}

/// A large file that its groups push over the limit is refused by the glance too, before it is taken apart.
#[test]
fn groups_of_a_large_file_are_counted_before_it_is_taken_apart() {
    let large = |runs: usize| {
        let text = groups(1_000, runs);
        let (head, steps) = text.split_at(text.find("steps:\n  r0").expect("the steps"));
        let further = (0..20_000).fold(String::new(), |text, n| {
            text + &format!("  s{n}: {{do: Wipe the plug., zone: outside, go: s{}}}\n", n + 1)
        });
        format!("{head}steps:\n{further}{}", steps.trim_start_matches("steps:\n"))
    };
    let (rules, refused) = told(large(131));
    assert_eq!(rules, ["too-large"]);
    let (within, checked) = told(large(1));
    assert!(!within.contains(&"too-large"), "{within:?}");
    assert!(
        refused < checked / 4,
        "{refused:?} for the refusal, {checked:?} for what it would have taken apart"
    );
}

/// A tree on this text that uses these files, and how long it took to tell what is wrong with it.
fn told_with(text: String, used: &[(&str, String)]) -> (Vec<Problem>, Duration) {
    let sources: Vec<Source> =
        used.iter().map(|(name, text)| Source::new(format!("trees/tern/{name}"), text.clone())).collect();
    let source = source(text);
    let began = Instant::now();
    (author::check(&source, &sources).problems, began.elapsed())
}

/// Groups apart from the tree that runs them, as a file of their own.
fn apart(text: &str) -> (String, String) {
    let (from, to) =
        (text.find("groups:").expect("the groups"), text.find("steps:\n  r0").expect("the steps"));
    let shared = format!("loomwalk: 1\n{}", &text[from..to]);
    (format!("{}use: [more.yaml, apart.yaml]\n{}", &text[..from], &text[to..]), shared)
}

/// What a tree runs may stand in another file: counted before either is taken apart, whichever of the two is large.
#[test]
fn groups_of_another_file_are_counted_before_anything_is_taken_apart() {
    let more = "loomwalk: 1\ngroups: {few: {start: g0, steps: {g0: {do: Wipe., zone: outside, go: back}}}}\n";
    for (steps, runs, fewer) in [(7_500, 21, 1), (15, 10_001, 500)] {
        let refused = |runs: usize| {
            let (tree, shared) = apart(&groups(steps, runs));
            assert!(tree.len().max(shared.len()) > 256 << 10 || runs == fewer, "one of the two is large");
            told_with(tree, &[("more.yaml", more.to_owned()), ("apart.yaml", shared)])
        };
        let (problems, took) = refused(runs);
        let [problem] = problems.as_slice() else { panic!("{problems:?}") };
        assert_eq!(problem.wrong, "there are more than 150000 steps, groups written out");
        let (within, checked) = refused(fewer);
        assert!(within.iter().all(|problem| problem.rule != "too-large"), "{within:?}");
        assert!(took < checked, "{took:?} for the refusal, {checked:?} for a twentieth of the steps");
    }
}

/// A limit passed in a file that is used is told where it is used, with the place.
#[test]
fn a_limit_passed_in_another_file_is_told() {
    let (tree, shared) = apart(&groups(10, 10_000));
    let deep = format!("{shared}title:\n  {}x{}\n", "[".repeat(64), "]".repeat(64));
    let line = deep.lines().count();
    let (problems, _) = told_with(tree.clone(), &[("apart.yaml", deep)]);
    let deepest = problems.iter().find(|problem| problem.rule == "too-deep").expect("too deep");
    assert_eq!(
        deepest.wrong,
        format!("`apart.yaml` is over a limit, at {line}:66: lists and maps lie more than 64 deep here")
    );
    let at = tree.find("apart.yaml").and_then(|at| u32::try_from(at).ok()).expect("where it is used");
    assert_eq!(deepest.place, Place::Bytes(FileId(0), Span { start: at, end: at }));
}

/// Files that are each within the limits are not let past them together.
#[test]
fn a_tree_and_what_it_uses_have_the_limits_together() {
    let (tree, shared) = apart(&groups(10, 10));
    let long = |half: &str| format!("{half}# {}\n", "x".repeat(33 << 20));
    let rules = |tree: String, shared: String| {
        let (problems, _) = told_with(tree, &[("apart.yaml", shared)]);
        problems.iter().any(|problem| problem.wrong.contains("more than 64 MiB or 5000000 values"))
    };
    assert!(!rules(tree.clone(), long(&shared)), "one large file");
    assert!(!rules(long(&tree), shared.clone()), "one large tree");
    assert!(rules(long(&tree), long(&shared)), "two halves");
}

/// Sixty-four deep is let pass, one more is told once, and what follows it is not read.
#[test]
fn depth_is_told_where_it_begins() {
    // The file's own map is the first; a title may then hold sixty-three lists in one another.
    let nested = |deep: usize, more: usize| {
        let lists = format!("{}x{}", "[".repeat(deep), "]".repeat(deep));
        let rest = "[".repeat(more);
        format!(
            "loomwalk: 1\ntree: deep\ntitle: {lists}\nstart: a\nsteps: {{a: {{close: not-reproduced}}}}\n{rest}"
        )
    };
    assert!(!told(nested(63, 0)).0.contains(&"too-deep"));
    assert_eq!(told(nested(64, 0)).0, ["too-deep"]);
    let (_, short) = told(nested(200, 0));
    let (rules, long) = told(format!("loomwalk: 1\ntitle: {}", "{a: ".repeat(1_000_000)));
    assert_eq!(rules, ["too-deep"]);
    assert!(long < short + Duration::from_secs(2), "{long:?} for a million, {short:?} for two hundred");
}

fn rows(count: usize) -> String {
    let step =
        |row: String, n: usize| row + &format!("  s{n}: {{do: Wipe., zone: outside, go: s{}}}\n", n + 1);
    let row = (0..count - 1).fold(String::new(), step);
    format!(
        "loomwalk: 1\ntree: row\ntitle: A row\nstart: s0\nsteps:\n{row}  s{}: {{close: not-reproduced}}\n",
        count - 1
    )
}

/// Steps written out are counted before the file is taken apart, and the place is that of the first beyond.
#[test]
fn steps_written_out_are_refused_before_they_are_taken_apart() {
    let text = rows(MOST_STEPS + 1);
    let first_beyond = format!("  s{MOST_STEPS}:");
    let expected = text.find(&first_beyond).map(|at| at + 2);
    let source = source(text);
    let began = Instant::now();
    let report = author::check(&source, &Vec::new());
    let refused = began.elapsed();
    let rules: Vec<_> = report.problems.iter().map(|p| p.rule).collect();
    assert_eq!(rules, ["too-large"]);
    let problem = &report.problems[0];
    assert!(problem.wrong.contains("150000 steps") && problem.write.contains("smaller"), "{problem:?}");
    let span = loomwalk::diag::Locator::new(&report.files).span(&problem.place);
    assert_eq!(Some(span.start as usize), expected);
    // A twentieth of the steps is taken apart and checked.
    let (within, checked) = told(rows(MOST_STEPS / 20));
    assert!(!within.contains(&"too-large"), "{within:?}");
    assert!(refused < checked, "{refused:?} for the refusal, {checked:?} for a twentieth of the work");
}

#[test]
fn values_are_counted_before_the_file_is_taken_apart() {
    let list = |count: usize| format!("loomwalk: 1\ntree: row\ntitle: [{}x]\n", "x,".repeat(count));
    let (rules, refused) = told(list(5_000_000));
    assert_eq!(rules, ["too-large"]);
    let (within, checked) = told(list(250_000));
    assert!(!within.contains(&"too-large"), "{within:?}");
    assert!(refused < checked, "{refused:?} for the refusal, {checked:?} for a twentieth of the work");
}

/// In a file that is nothing but mistakes, what was meant is not looked for without end: ten times the mistakes take
/// about ten times as long, not a hundred times.
#[test]
fn a_file_of_mistakes_alone_takes_no_longer_than_its_size() {
    let keys = |count: usize| {
        (0..count).fold("loomwalk: 1\ntree: row\n".to_owned(), |text, n| text + &format!("k{n}: x\n"))
    };
    let (_, few) = told(keys(4_000));
    let (rules, many) = told(keys(40_000));
    assert!(rules.contains(&"unknown-key"));
    assert!(many < few * 30, "{many:?} for ten times what took {few:?}");
}
