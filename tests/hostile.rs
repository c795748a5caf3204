//! Files of other people, whatever stands in them: nothing that could drive a terminal, turn a line round, run in a page
//! or count in a spreadsheet comes out on any way out.
//!
//! Every free text of a tree, its machine, a job and its notes is filled with the same hostile words; each way out is then
//! held against the same way out with a harmless word in their place.

use std::fmt::Write as _;
use std::path::Path;
use std::process::{Command, Output};

use loomwalk::tui::Surroundings;
use proptest::prelude::*;

use crate::tui::Person;
use crate::tui::seen::screens_of;

/// What must never come out as it is: control characters but the line feed; bidirectional and zero-width marks (Unicode
/// Standard Annex 9; general categories Cc and Cf), written out here a second time.
fn hidden(text: &str) -> Option<char> {
    let marks = [
        '\u{ad}', '\u{61c}', '\u{180e}', '\u{200b}', '\u{200c}', '\u{200d}', '\u{200e}', '\u{200f}',
        '\u{2028}',
    ]
    .into_iter()
    .chain('\u{2029}'..='\u{202e}')
    .chain('\u{2060}'..='\u{206f}')
    .chain(['\u{feff}', '\u{fff9}', '\u{fffa}', '\u{fffb}'])
    .chain('\u{e0000}'..='\u{e007f}')
    .collect::<Vec<_>>();
    text.chars().find(|c| c.is_control() && *c != '\n' || marks.contains(c))
}

/// One of everything: clears a screen, renames a window, rings, goes back, turns round, hides, runs, counts.
const ALL: &str = "\u{1b}[2J\u{1b}]0;x\u{7}\r\u{8}\u{0}\u{7f}\u{9b}31m\u{202e}\u{2066}\u{200b}\u{feff}\u{e0041}\
                   <script>alert(1)</script><img src=x onerror=y>\"'`|\\&amp;]]>-->%s%n\t\nGate, item 1 of 1.\n=1+2";

/// As a double-quoted value of YAML, which is also one of JSON.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => write!(out, "\\{c}"),
            ' '..='~' => write!(out, "{c}"),
            c if u32::from(c) > 0xffff => write!(out, "\\U{:08x}", u32::from(c)),
            c => write!(out, "\\u{:04x}", u32::from(c)),
        }
        .expect("a string takes it");
    }
    out + "\""
}

const TREE: &str = r#"
loomwalk: 1
tree: yard-lamp
title: {en: @@, es: @@}
revision: 1
machine: machine.yaml
symptom: {lamp: fails, horn: works}
setup: {light: "on"}
start: last-tried
steps:
  last-tried:
    ask: {en: @@, es: @@}
    phone: true
    observe: horn
    text: {en: @@, es: @@}
    caution: {en: @@, es: @@}
    answers:
      sounds: {text: {en: @@, es: @@}, means: works, go: park}
      mute: {text: {en: @#, es: @#}, means: fails, go: park}
    cannot: park
  park: {gate: park, items: [@@], text: @@, go: lower-arms}
  lower-arms: {gate: lower-arms, go: lower-cab}
  lower-cab: {gate: lower-cab, go: live}
  live: {gate: live-test, go: lamp-volts}
  lamp-volts:
    read: volts
    red: X1:1b
    black: GND1
    zone: outside
    text: @@
    bands:
      - {below: 9 V, means: @@, go: switch-volts}
      - {from: 9 V, means: @@, go: park-again}
    cannot: park-again
  switch-volts:
    read: volts
    red: S1:2
    black: GND1
    zone: seat
    caution: @@
    bands:
      - {below: 9 V, means: @@, go: park-again}
      - {from: 9 V, means: @@, go: lamp-look}
    cannot: park-again
  lamp-look:
    look: @@
    places: [W3@hinge, W3@bracket]
    zone: outside
    answers:
      hinge: {text: @@, go: found}
      none: {text: @#, go: park-again}
    cannot: park-again
  found:
    find: [W3 open at hinge]
    cause: @@
    repair: {splice: W3, text: @@}
    go: make-safe
  make-safe: {gates: [lockout, hot-work], go: repair}
  repair: {do: repair, text: @@, go: together}
  together: {gates: [put-back, release-lockout, live-test], go: lights}
  lights:
    ask: @@
    observe: lamp
    proof: works
    answers:
      lit: {text: @@, means: works, go: leave-it}
      dark: {text: @#, means: fails, go: park-again}
  leave-it: {gates: [park, leave], go: done}
  done: {close: repaired}
  park-again: {gates: [park, lockout, leave], go: handed-over}
  handed-over:
    refer: @@
    waits-for: @@
"#;

const ANSWERS: &str = r#"
- job: {start: 2026-03-02T07:40, number: "0318", serial: @@, hours: 1210, attachment: @@, customer: @@, site: @@, complaint: @@, mechanic: @@, volts: 12.4 V}
- {step: last-tried, note: @@}
- {step: last-tried, answer: sounds}
- {step: park, confirm: all, initials: @@}
- {step: lower-arms, confirm: all, initials: @@}
- {step: lower-cab, confirm: all, initials: @@}
- {step: live, confirm: all, initials: @@}
- {step: lamp-volts, reading: 0.03 V}
- {own-reading: {red: @@, black: @@, reading: 0.1 V}}
- {step: switch-volts, cannot: @@}
- {step: park-again/park, confirm: all, initials: @@}
- {step: park-again/lockout, confirm: all, initials: @@, readings: [12.6 V, 0.0 V, 12.6 V]}
- {left: @@}
- {step: park-again/leave, confirm: all, initials: @@}
"#;

/// A tree, its machine and the answers of a job, with these words in every free text.
struct Files {
    folder: tempfile::TempDir,
}

impl Files {
    fn filled_with(words: &str) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        // Where two texts may not be the same, one says a word more.
        let (words, more) = (quoted(words), quoted(&format!("{words} more")));
        let lamp = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/tui/trees/yard-lamp.machine.yaml");
        let machine = std::fs::read_to_string(lamp).expect("a machine");
        let machine = machine
            .replace("{en: Yard lamp, es: Lámpara de patio}", "@@")
            .replace("{en: behind the lamp, es: tras la lámpara}", "@@")
            .replace("view: wire side", "view: @@")
            .replace("colour: yellow", "colour: @@")
            .replace("colour: black", "colour: @@");
        assert!(machine.matches("@@").count() >= 5, "{machine}");
        let put = |name: &str, text: &str| {
            std::fs::write(folder.path().join(name), text.replace("@@", &words).replace("@#", &more))
                .expect("written");
        };
        put("tree.yaml", TREE);
        put("machine.yaml", &machine);
        put("answers.yaml", ANSWERS);
        Self { folder }
    }

    fn run(&self, line: &str) -> Output {
        let mut command = Command::new(env!("CARGO_BIN_EXE_loomwalk"));
        command.args(line.split_whitespace()).current_dir(self.folder.path());
        command.env("XDG_CONFIG_HOME", self.folder.path()).env("NO_COLOR", "1");
        command.output().expect("it runs")
    }

    /// What came out, by either way.
    fn said(&self, line: &str) -> String {
        let done = self.run(line);
        assert!(done.status.code().is_some_and(|code| code < 3), "{line}: {done:?}");
        let text = |bytes: &[u8]| std::str::from_utf8(bytes).expect("UTF-8").to_owned();
        text(&done.stdout) + &text(&done.stderr)
    }
}

/// What the words cannot change: the tags of a page or a picture without what stands between them.
fn tags(page: &str) -> Vec<String> {
    let tags = page.split('<').skip(1).map(|rest| rest.split('>').next().unwrap_or_default());
    let name = |tag: &str| tag.split([' ', '\n']).next().unwrap_or_default().to_owned();
    tags.map(name).filter(|tag| !["tspan", "/tspan", "text", "/text", "br"].contains(&tag.as_str())).collect()
}

/// What stands outside the quotation marks.
fn unquoted(dot: &str) -> String {
    let mut out = String::new();
    let (mut inside, mut escaped) = (false, false);
    for c in dot.chars() {
        match c {
            _ if escaped => escaped = false,
            '\\' if inside => escaped = true,
            '"' => inside = !inside,
            c if !inside => out.push(c),
            _ => {}
        }
    }
    assert!(!inside, "a quotation mark is left open\n{dot}");
    out
}

/// The fields of a file for spreadsheets (RFC 4180).
fn fields(csv: &str) -> Vec<String> {
    let (mut out, mut field, mut inside) = (Vec::new(), String::new(), false);
    for c in csv.chars() {
        match c {
            '"' => inside = !inside,
            ',' | '\n' if !inside => out.push(std::mem::take(&mut field)),
            c => field.push(c),
        }
    }
    out
}

const FOR_PEOPLE: [&str; 18] = [
    "check --strict tree.yaml machine.yaml",
    "faults machine.yaml",
    "predict machine.yaml --with light=on",
    "plan tree.yaml",
    "plan tree.yaml --order",
    "phone tree.yaml",
    "phone tree.yaml --lang es",
    "rank tree.yaml --answers answers.yaml",
    "job list --jobs jobs",
    "job list --jobs jobs --format csv",
    "job show 0318 --jobs jobs",
    "job verify 0318 --jobs jobs",
    "job archive --jobs jobs",
    "review 0318 --jobs jobs --format text",
    "report 0318 --jobs jobs --for shop",
    "report 0318 --jobs jobs --for customer",
    "draft machine.yaml --symptom lamp=fails,horn=works",
    "learn 0318 --jobs jobs --machine machine.yaml",
];
const PAGES: [&str; 6] = [
    "phone tree.yaml --format html",
    "job archive --jobs jobs --format html",
    "report 0318 --jobs jobs --for shop --format html",
    "draw tree.yaml",
    "draw tree.yaml --job jobs/0318.job.jsonl",
    "draw machine.yaml --function lamp",
];
const GRAPHS: [&str; 2] = ["draw tree.yaml --format dot", "draw machine.yaml --function lamp --format dot"];
const DATA: [&str; 11] = [
    "check tree.yaml machine.yaml --format json",
    "faults machine.yaml --format json",
    "job list --jobs jobs --format json",
    "job show 0318 --jobs jobs --format json",
    "report 0318 --jobs jobs --format json",
    "review 0318 --jobs jobs --format json",
    "predict machine.yaml --with light=on --format json",
    "plan tree.yaml --format json",
    "rank tree.yaml --answers answers.yaml --format json",
    "job archive --jobs jobs --format json",
    "job verify 0318 --jobs jobs --format json",
];

#[test]
fn nothing_hostile_comes_out_of_any_command() {
    let (hostile, plain) = (Files::filled_with(ALL), Files::filled_with("w"));
    for files in [&hostile, &plain] {
        let walked = files.said("walk tree.yaml --answers answers.yaml --job 0318 --jobs jobs");
        assert_eq!(hidden(&walked), None, "{walked:?}");
        assert!(files.folder.path().join("jobs/0318.job.jsonl").exists(), "{walked}");
    }
    for line in FOR_PEOPLE {
        // A file for spreadsheets ends its lines as RFC 4180 has it.
        let said = hostile.said(line).replace("\r\n", "\n");
        assert_eq!(hidden(&said), None, "{line}: {said:?}");
        assert!(!said.trim().is_empty(), "{line}");
    }
    for line in PAGES {
        let (page, harmless) = (hostile.said(line), plain.said(line));
        assert_eq!(hidden(&page), None, "{line}: {page:?}");
        assert_eq!(tags(&page), tags(&harmless), "{line}");
        assert!(page.contains('<') && !page.to_lowercase().contains("<script"), "{line}");
    }
    for line in GRAPHS {
        let (graph, harmless) = (hostile.said(line), plain.said(line));
        assert_eq!(hidden(&graph), None, "{line}: {graph:?}");
        assert_eq!(unquoted(&graph), unquoted(&harmless), "{line}");
    }
    for line in DATA {
        let said = hostile.said(line);
        let _: serde_json::Value =
            serde_json::from_str(&said).unwrap_or_else(|e| panic!("{line}: {e}\n{said}"));
        assert_eq!(hidden(&said), None, "{line}: {said:?}");
    }
    for field in fields(&hostile.said("job list --jobs jobs --format csv").replace("\r\n", "\n")) {
        assert!(!field.starts_with(['=', '+', '-', '@', '\t', '\r']), "{field:?} would be a sum");
    }
}

/// Line by line: what a file says is on one line, so that no text of its can look like a prompt.
#[test]
fn no_text_looks_like_a_prompt_in_plain_mode() {
    use std::io::Write as _;
    let files = Files::filled_with(ALL);
    let mut child = Command::new(env!("CARGO_BIN_EXE_loomwalk"))
        .args(["walk", "tree.yaml", "--plain", "--job", "0400", "--jobs", "jobs"])
        .current_dir(files.folder.path())
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::piped())
        .spawn()
        .expect("it starts");
    let typed =
        format!("note {0}\n{0}\nwhere\nrepeat\n1\n1\nKM\n2\n3\n4\n5\n6\n7\n8\n", ALL.replace('\n', " "));
    child.stdin.take().expect("a pipe").write_all(typed.as_bytes()).expect("typed");
    let done = child.wait_with_output().expect("it ends");
    let said = String::from_utf8(done.stdout).expect("UTF-8");
    assert_eq!(hidden(&said), None, "{said:?}");
    assert!(said.lines().all(|line| line != "Gate, item 1 of 1."), "{said}");
    assert!(said.contains("Gate, item 1 of 8. Park the machine"), "{said}");
}

/// A line of a megabyte is one line more, and nothing waits for it.
#[test]
fn a_huge_line_is_borne_on_every_way_out() {
    let files = Files::filled_with(&"A long word. ".repeat(8_000));
    let walked = files.said("walk tree.yaml --answers answers.yaml --job 0318 --jobs jobs");
    assert!(files.folder.path().join("jobs/0318.job.jsonl").exists(), "{}", &walked[..walked.len().min(400)]);
    for line in
        ["job list --jobs jobs", "phone tree.yaml --format html", "draw tree.yaml", "report 0318 --jobs jobs"]
    {
        assert!(!files.said(line).is_empty(), "{line}");
    }
    // A message marks a place in the line and does not repeat the line.
    let tree = std::fs::read_to_string(files.folder.path().join("tree.yaml")).expect("a tree");
    std::fs::write(files.folder.path().join("tree.yaml"), tree.replace("go: done}", "go: doen}"))
        .expect("written");
    let told = files.said("check tree.yaml");
    let longest = told.lines().map(|line| line.chars().count()).max().unwrap_or(0);
    assert!(told.contains("Wrong:") && longest < 400, "{longest} columns");
}

/// Words made of what does harm and what does not.
fn nasty() -> impl Strategy<Value = String> {
    let piece = prop::sample::select(vec![
        "\u{1b}[2J",
        "\u{1b}]8;;http://x\u{7}",
        "\u{9b}31m",
        "\u{7}",
        "\u{8}",
        "\r",
        "\n",
        "\t",
        "\u{0}",
        "\u{7f}",
        "\u{ad}",
        "\u{200b}",
        "\u{200d}",
        "\u{202e}",
        "\u{2066}",
        "\u{2069}",
        "\u{2028}",
        "\u{feff}",
        "\u{e0041}",
        "<script>",
        "=1+2",
        "\"",
        "\\",
        "arm",
        " ",
        "Ω",
        "油圧",
        "e\u{301}",
        "🦺",
    ]);
    prop::collection::vec(piece, 1..40).prop_map(|pieces| format!("x{}", pieces.concat()))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn nothing_hostile_comes_onto_a_screen(words in nasty()) {
        let files = Files::filled_with(&words);
        let tree = files.folder.path().join("tree.yaml");
        let text = std::fs::read_to_string(&tree).expect("a tree");
        let machine = files.folder.path().join("machine.yaml");
        let beside = format!("machine: {}", machine.display());
        std::fs::write(&tree, text.replace("machine: machine.yaml", &beside)).expect("written");
        let person = Person::asked_of(&tree.to_string_lossy(), Surroundings::default(), (80, 24));
        let mut seen = 0;
        screens_of(person, |what, person| {
            let buffer = person.look();
            for cell in buffer.content() {
                assert_eq!(hidden(cell.symbol()), None, "{what}: {:?}", cell.symbol());
                assert!(!cell.symbol().contains('\n'), "{what}");
            }
            seen += 1;
        });
        prop_assert!(seen > 8);
    }
}
