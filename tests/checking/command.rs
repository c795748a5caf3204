//! `check` and `explain` as a shell sees them: exit codes, streams, JSON, and which files may be read.

use std::path::Path;

use assert_cmd::Command;
use serde_json::Value;
use tempfile::TempDir;

use super::whole;

fn loomwalk() -> Command {
    Command::cargo_bin("loomwalk").expect("the program is built")
}

fn folder() -> TempDir {
    tempfile::tempdir().expect("a folder")
}

fn write(folder: &Path, name: &str, text: &[u8]) -> String {
    let path = folder.join(name);
    std::fs::create_dir_all(path.parent().expect("a parent")).expect("room");
    std::fs::write(&path, text).expect("room");
    path.to_string_lossy().into_owned()
}

/// A walk that may be refused by nothing: a question by telephone and its two ends.
const SOUND: &str = "first:\n  ask: Did it sound?\n  phone: true\n  answers:\n    did: {text: It did, go: done}\n    \
                     not: {text: It did not, go: away}\n";

fn json_of(output: &std::process::Output) -> Value {
    serde_json::from_slice(&output.stdout).expect("JSON on standard output")
}

#[test]
fn a_sound_tree_ends_with_nothing() {
    let dir = folder();
    let file = write(dir.path(), "a/sound.yaml", whole(SOUND).as_bytes());
    let done = loomwalk().args(["check", "--strict", &file]).assert().code(0);
    assert_eq!(String::from_utf8_lossy(&done.get_output().stdout), "nothing wrong in 1 file\n");
    assert!(done.get_output().stderr.is_empty());
}

#[test]
fn a_byte_order_mark_is_let_pass() {
    let dir = folder();
    let text = format!("\u{feff}{}", whole(SOUND));
    let file = write(dir.path(), "a/sound.yaml", text.as_bytes());
    loomwalk().args(["check", "--strict", &file]).assert().code(0);
}

#[test]
fn a_refused_tree_ends_with_one_and_its_problems_are_on_standard_output() {
    let dir = folder();
    let text = whole(SOUND).replace("go: away", "go: awya");
    let file = write(dir.path(), "a/bad.yaml", text.as_bytes());
    let done = loomwalk().args(["check", &file]).assert().code(1);
    let said = String::from_utf8_lossy(&done.get_output().stdout).into_owned();
    assert!(said.contains("bad.yaml:11:35  refused  dangling-name"), "{said}");
    assert!(said.contains("1 refused in 1 file"), "{said}");
}

#[test]
fn json_has_the_printed_fields() {
    let dir = folder();
    let text = whole(SOUND).replace("go: away", "go: awya");
    let file = write(dir.path(), "a/bad.yaml", text.as_bytes());
    let done = loomwalk().args(["check", "--format", "json", &file]).assert().code(1);
    let json = json_of(done.get_output());
    assert_eq!(json["format"], 1);
    let one = &json["files"][0];
    assert_eq!(one["file"], file.as_str());
    assert_eq!(one["kind"], "tree");
    assert!(one.get("faults").is_none() && one.get("minutes").is_none(), "only with --faults");
    let problem = &one["problems"][0];
    for (field, value) in [("line", 11), ("column", 35), ("end_line", 11), ("end_column", 39)] {
        assert_eq!(problem[field], value, "{field} of {problem}");
    }
    assert_eq!(problem["rule"], "dangling-name");
    assert_eq!(problem["severity"], "refused");
    assert!(problem["message"].is_string() && problem["help"].is_string());
    assert_eq!(problem["path"], serde_json::json!([]));
}

#[test]
fn warnings_count_only_when_strict() {
    let dir = folder();
    let text = whole(SOUND).replace("not:", "no:").replace("It did not", "no");
    let file = write(dir.path(), "a/warned.yaml", text.as_bytes());
    loomwalk().args(["check", &file]).assert().code(0);
    loomwalk().args(["check", "--strict", &file]).assert().code(1);
}

#[test]
fn a_cycle_is_told_with_its_steps() {
    let dir = folder();
    let text = whole(SOUND).replace("go: away", "go: first");
    let file = write(dir.path(), "a/round.yaml", text.as_bytes());
    let done = loomwalk().args(["check", "--format", "json", &file]).assert().code(1);
    let json = json_of(done.get_output());
    let rules: Vec<_> = json["files"][0]["problems"].as_array().expect("a list").clone();
    assert_eq!(rules[0]["rule"], "cycle");
    assert_eq!(rules[0]["path"], serde_json::json!(["first", "first"]));
}

#[test]
fn what_cannot_be_read_ends_with_two_and_one_clear_line() {
    let dir = folder();
    let not_text = write(dir.path(), "a/latin.yaml", b"loomwalk: 1\ntitle: se\xf1al\n");
    let deep =
        write(dir.path(), "a/deep.yaml", format!("a: {}{}\n", "[".repeat(200), "]".repeat(200)).as_bytes());
    let missing = dir.path().join("nowhere.yaml").to_string_lossy().into_owned();
    let a_folder = dir.path().to_string_lossy().into_owned();
    for (file, said) in [
        (&missing, "there is no such file"),
        (&a_folder, "it is a folder"),
        (&not_text, "it is not UTF-8 text"),
        (&deep, "deep.yaml:1:67: lists and maps lie more than 64 deep here; write a flatter form"),
    ] {
        for format in ["text", "json"] {
            let done = loomwalk().args(["check", "--format", format, file]).assert().code(2);
            let stderr = String::from_utf8_lossy(&done.get_output().stderr).into_owned();
            assert!(stderr.contains(said), "{file}: {stderr}");
            assert_eq!(stderr.lines().count(), 1, "{file}: {stderr}");
        }
    }
}

#[test]
fn a_file_larger_than_the_limit_is_not_read() {
    let dir = folder();
    let path = dir.path().join("large.yaml");
    let file = std::fs::File::create(&path).expect("room");
    file.set_len((64 << 20) + 1).expect("a file with a hole");
    let done = loomwalk().arg("check").arg(&path).assert().code(2);
    assert!(String::from_utf8_lossy(&done.get_output().stderr).contains("larger than 64 MiB"));
}

/// Whatever the command, a tree that asks for too much by what it uses is refused before anything is done with it.
#[test]
fn a_tree_that_uses_too_much_is_refused_in_one_line() {
    let dir = folder();
    let group = |at: usize| {
        let what = if at == 7 { "do: Wipe., zone: outside".to_owned() } else { format!("run: x{}", at + 1) };
        let steps: Vec<_> = (0..10).map(|step| format!("s{step}: {{{what}, go: back}}")).collect();
        format!("  x{at}: {{start: s0, steps: {{{}}}}}\n", steps.join(", "))
    };
    let tens = (0..8).map(group).collect::<Vec<_>>().concat();
    write(dir.path(), "shared/tens.yaml", format!("loomwalk: 1\ngroups:\n{tens}").as_bytes());
    let text = "loomwalk: 1\ntree: t\ntitle: T\nuse: [../shared/tens.yaml]\nstart: r\nsteps:\n  \
                r: {run: x0, go: done}\n  done: {close: not-reproduced}\n";
    let tree = write(dir.path(), "a/tree.yaml", text.as_bytes());
    for command in [&["check"][..], &["draw"], &["phone"], &["walk", "--plain"]] {
        let done = loomwalk().args(command).arg(&tree).assert().code(2);
        let stderr = String::from_utf8_lossy(&done.get_output().stderr).into_owned();
        let said = "tree.yaml:6:1: there are more than 150000 steps, groups written out; write several smaller files";
        assert!(stderr.contains(said) && stderr.lines().count() == 1, "{command:?}: {stderr}");
    }
}

#[test]
fn the_other_files_are_checked_all_the_same() {
    let dir = folder();
    let sound = write(dir.path(), "a/sound.yaml", whole(SOUND).as_bytes());
    let done = loomwalk().args(["check", "--format", "json", "/nowhere/x.yaml", &sound]).assert().code(2);
    let json = json_of(done.get_output());
    assert_eq!(json["files"].as_array().expect("a list").len(), 1);
}

#[test]
fn standard_input_is_read_as_a_dash() {
    loomwalk().args(["check", "-"]).write_stdin(whole(SOUND)).assert().code(0);
    loomwalk().args(["check", "-"]).write_stdin("loomwalk: 1\ntree: [\n").assert().code(1);
}

const GROUP: &str = "loomwalk: 1\ngroups:\n  ask-it:\n    start: q\n    steps:\n      q: {do: Wait., zone: outside, go: back}\n";

fn using(name: &str) -> String {
    let text = whole(SOUND).replace("go: away}", "go: more}\n  more: {run: ask-it, go: away}");
    text.replace("start: first", &format!("use: [{name}]\nstart: first"))
}

/// What is told about a tree that uses a file by this name.
fn told_of_use(dir: &Path, name: &str, more: &[&str]) -> Vec<Value> {
    let file = write(dir, "trees/tern/tree.yaml", using(name).as_bytes());
    let done = loomwalk().args(["check", "--format", "json"]).args(more).arg(&file).output().expect("runs");
    let json = json_of(&done);
    let list = json["files"][0]["problems"].as_array().expect("a list").clone();
    list.into_iter().filter(|p| p["rule"] == "unread-file").collect()
}

#[test]
fn files_are_used_inside_the_root_only() {
    let dir = folder();
    write(dir.path(), "trees/common/group.yaml", GROUP.as_bytes());
    write(dir.path(), "elsewhere/group.yaml", GROUP.as_bytes());
    let inside = "../common/group.yaml";
    let outside = "../../elsewhere/group.yaml";
    assert!(told_of_use(dir.path(), inside, &[]).is_empty());
    assert!(told_of_use(dir.path(), outside, &[])[0]["message"].to_string().contains("lies outside"));
    let root = dir.path().to_string_lossy().into_owned();
    assert!(told_of_use(dir.path(), outside, &["--root", &root]).is_empty());
    let absolute = dir.path().join("elsewhere/group.yaml");
    let told = told_of_use(dir.path(), &absolute.to_string_lossy(), &[]);
    assert!(told[0]["message"].to_string().contains("lies outside"));
    let told = told_of_use(dir.path(), "../../elsewhere/not-there.yaml", &[]);
    assert!(told[0]["message"].to_string().contains("lies outside"), "nothing is said of what is outside");
    let told = told_of_use(dir.path(), "../common/not-there.yaml", &[]);
    assert!(told[0]["message"].to_string().contains("there is no file"));
    let told = told_of_use(dir.path(), "../common", &[]);
    assert!(told[0]["message"].to_string().contains("it is a folder"));
}

#[cfg(unix)]
#[test]
fn a_link_that_leads_out_is_followed_and_refused() {
    let dir = folder();
    let secret = write(dir.path(), "elsewhere/group.yaml", GROUP.as_bytes());
    std::fs::create_dir_all(dir.path().join("trees/common")).expect("room");
    std::os::unix::fs::symlink(secret, dir.path().join("trees/common/link.yaml")).expect("a link");
    let told = told_of_use(dir.path(), "../common/link.yaml", &[]);
    assert!(told[0]["message"].to_string().contains("lies outside"));
}

#[test]
fn a_problem_in_a_used_file_names_that_file() {
    let dir = folder();
    write(dir.path(), "trees/common/group.yaml", GROUP.replace("zone: outside", "zoen: outside").as_bytes());
    let file = write(dir.path(), "trees/tern/tree.yaml", using("../common/group.yaml").as_bytes());
    let done = loomwalk().args(["check", "--format", "json", &file]).assert().code(1);
    let json = json_of(done.get_output());
    let problems = json["files"][0]["problems"].as_array().expect("a list");
    let told = problems.iter().find(|p| p["rule"] == "unknown-key").expect("told");
    assert!(told["file"].as_str().expect("named").ends_with("common/group.yaml"));
}

#[test]
fn a_shared_file_is_checked_on_its_own() {
    let dir = folder();
    let group = GROUP.replace("go: back", "go: hurt").replace("Wait.", "\"Wait at {plug}.\"");
    let good = write(dir.path(), "common/good.yaml", group.as_bytes());
    let done = loomwalk().args(["check", "--strict", "--format", "json", &good]).assert().code(0);
    assert_eq!(json_of(done.get_output())["files"][0]["kind"], "shared");
    let bad = GROUP.replace("zone: outside", "zone: undercab").replace("go: back", "go: bakc");
    let bad = write(dir.path(), "common/bad.yaml", bad.as_bytes());
    let done = loomwalk().args(["check", "--format", "json", &bad]).assert().code(1);
    let json = json_of(done.get_output());
    let problems = json["files"][0]["problems"].as_array().expect("a list").clone();
    let rules: Vec<_> = problems.iter().map(|p| p["rule"].as_str().expect("a name")).collect();
    assert_eq!(rules, ["unknown-zone"], "{problems:#?}");
    assert!(problems[0].get("file").is_none(), "it is the file itself");
}

#[test]
fn explain_prints_a_rule_and_guesses_at_a_slip() {
    let done = loomwalk().args(["explain", "band-gap"]).assert().code(0);
    let said = String::from_utf8_lossy(&done.get_output().stdout).into_owned();
    for part in ["# band-gap", "## What", "## At the machine", "## Bad", "## Good", "refused"] {
        assert!(said.contains(part), "{part} in {said}");
    }
    let done = loomwalk().args(["explain", "band-gpa"]).assert().code(2);
    assert!(String::from_utf8_lossy(&done.get_output().stderr).contains("`band-gap`"));
}

#[test]
fn explain_lists_every_rule_by_weight() {
    let done = loomwalk().arg("explain").assert().code(0);
    let said = String::from_utf8_lossy(&done.get_output().stdout).into_owned();
    for document in loomwalk::tree::documents() {
        assert!(said.contains(&format!("  {}  ", document.rule)), "{}", document.rule);
    }
    let at = |weight: &str| said.find(&format!("{weight}: ")).expect("a heading");
    assert!(at("refused") < at("error") && at("error") < at("warning"));
}
