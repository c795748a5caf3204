//! Reports: what each reader gets, that no text of a job gets through as anything but text, and that the demo is what the
//! program makes today.
//!
//! What a reader gets is the project's own contract; how HTML, Markdown tables and JSON are written is checked against
//! the HTML standard (13.1.2 elements), the GFM specification (4.10 tables) and RFC 8259.

use std::path::{Path, PathBuf};

use assert_cmd::Command;
use loomwalk::diag::{Files, Source, visible};
use loomwalk::job::{
    ChainHash, JournalState, Kept, Reader, Record, Recovered, Report, html, json, json_text, markdown, replay,
};
use loomwalk::safety::{Confirm, Shown};
use loomwalk::tree::{Kind, examine};
use loomwalk::units::{Measure, Reading};
use loomwalk::walk::{Code, Details, Event, Input, Moment, Now, OwnReading, Walk, Walker};
use proptest::prelude::*;

const TREE: &str = r#"loomwalk: 1
tree: bar-input
title: TITLE
revision: 2
symptom: {lift: fails}
start: tried
steps:
  tried:
    ask: Does it lift?
    phone: true
    answers:
      no: {text: ANSWER, go: make-safe}
      yes: {text: It does, go: make-safe}
  make-safe: {gates: [park, lower-arms, lockout, raise-cab, live-test], go: bar-volts}
  bar-volts:
    read: volts
    red: A1:7
    zone: under-cab
    with: {key: "on"}
    bands:
      - {below: 1.5 V, means: bar seen down, go: hand-over}
      - {above: 1.5 V, means: MEANS, go: hand-over}
  hand-over: {gates: [lockout, leave], go: handed}
  handed: {refer: REFER, waits-for: a controller}
"#;

/// The tree with these words in it, each character of them written by its number.
fn tree(word: &str) -> String {
    let quoted = word.encode_utf16().map(|unit| format!("\\u{unit:04x}")).collect::<Vec<_>>().concat();
    let filled = |text: String, name: &str| text.replace(name, &format!("\"x{quoted}x\""));
    ["TITLE", "ANSWER", "MEANS", "REFER"].into_iter().fold(TREE.to_owned(), filled)
}

/// A walk to its end, everything that can carry words carrying this one.
struct Walked {
    walk: Walk,
    records: Vec<Record<Kept>>,
    at: Moment,
}

impl Walked {
    fn new(word: &str) -> Self {
        let source = Source::new("bar-input.yaml", tree(word));
        let mut files = Files::default();
        files.add(source.clone());
        let examined = examine(&source, &());
        assert!(!examined.problems.refused(), "{:?}", examined.problems.list());
        let course = examined.walkable().expect("it may be walked");
        let details = Details {
            number: Some(word.to_owned()),
            customer: Some(word.to_owned()),
            complaint: Some(word.to_owned()),
            serial: Some(word.to_owned()),
            ..Details::default()
        };
        let begun = Event::Begun {
            tree: "bar-input".to_owned(),
            revision: 2,
            lang: "en".to_owned(),
            walker: Walker::Person,
            details,
        };
        let mut walked = Self { walk: Walk::new(&course), records: Vec::new(), at: Moment::default() };
        walked.walk.apply(&begun, walked.at).expect("it begins");
        walked.keep(Kept::opening(&files, begun));
        walked
    }

    fn keep(&mut self, event: Kept) {
        let seq = self.records.len() as u64 + 1;
        self.records.push(Record { seq, at: self.at, event, hash: ChainHash::of(b"") });
    }

    fn say(&mut self, input: Input) {
        self.at = self.at.later(20_000);
        for event in self.walk.accept(input, self.at).expect("it fits") {
            self.walk.apply(&event, self.at).expect("it can happen");
            self.keep(Kept::from(event));
        }
    }

    fn to_its_end(word: &str) -> Self {
        let mut walked = Self::new(word);
        let text = || word.to_owned();
        walked.say(Input::Note(format!("n{word}")));
        walked.say(Input::Wait(text()));
        walked.say(Input::Stayed);
        walked.say(Input::CodeLeft(Code { spn: 520_301, fmi: 4, text: text() }));
        walked.say(Input::Repaired(vec![(text(), text()), ("parts".to_owned(), text())]));
        let reading = Reading::parse("0.03", Measure::Volts.unit()).expect("a reading");
        walked.say(Input::Own(OwnReading {
            red: text(),
            black: Some(text()),
            with: vec![(text(), text())],
            reading,
        }));
        while !matches!(walked.walk.now(), Now::Ended(_)) {
            let input = walked.next(word);
            walked.say(input);
        }
        walked.say(Input::Left(text()));
        walked
    }

    fn next(&self, word: &str) -> Input {
        match self.walk.now() {
            Now::Gate(at) => {
                let items = self.walk.gate_items(at.gate, at.step, at.why);
                let typed = match items[at.item].confirm {
                    Confirm::Typed(Shown::Dead) => Some("0.00 V".to_owned()),
                    Confirm::Typed(_) => Some("12.6 V".to_owned()),
                    _ => None,
                };
                Input::Confirm { item: at.item, by: format!("K{word}"), typed }
            }
            Now::Step(ix) => match &self.walk.course().tree().step(*ix).kind {
                Kind::Ask(ask) => Input::Answer(ask.answers[0].id.clone()),
                Kind::Read(_) => Input::Reading("4.97 V".to_owned()),
                _ => Input::Done,
            },
            other => panic!("{other:?}"),
        }
    }

    /// The report in the three forms.
    fn reported(&self, name: &str, reader: Reader) -> [String; 3] {
        let replayed = replay(&self.records).expect("a walk");
        assert_eq!(replayed.impossible, None);
        let found = Recovered {
            records: self.records.clone(),
            damage: Vec::new(),
            torn: None,
            stranded: 0,
            bytes: 0,
        };
        let journal = JournalState::of(&found.verdict(), &replayed).telling(&self.records);
        let report = Report { name, walk: &replayed.walk, version: &replayed.version, journal, reader };
        [markdown(&report), html(&report), json_text(&json(&report))]
    }
}

const READERS: [Reader; 3] = [Reader::Customer, Reader::Office, Reader::Shop];

/// The tags of a page, each as it stands between `<` and `>`.
fn tags(page: &str) -> Vec<&str> {
    page.split('<').skip(1).map(|rest| rest.split_once('>').expect("a tag ends").0).collect()
}

/// The cells of each row of each table: pipes that are not escaped.
fn cells(line: &str) -> usize {
    let mut escaped = false;
    let mut pipes = 0;
    for c in line.chars() {
        if c == '|' && !escaped {
            pipes += 1;
        }
        escaped = c == '\\' && !escaped;
    }
    pipes
}

/// The shape of a Markdown text: what begins each line, and the cells of what is a table.
fn shape(text: &str) -> Vec<(String, usize)> {
    let lead = |line: &str| line.chars().take_while(|c| "#|-*_\\ ".contains(*c)).take(2).collect::<String>();
    text.lines()
        .map(|line| if line.starts_with('|') { ("|".to_owned(), cells(line)) } else { (lead(line), 0) })
        .collect()
}

fn nasty() -> impl Strategy<Value = String> {
    let piece = prop::sample::select(vec![
        "<script>alert(1)</script>",
        "<img src=x onerror=y>",
        "\"",
        "'",
        "&amp;",
        "</td>",
        "-->",
        "|",
        "\\|",
        "\\",
        "\u{1b}[2J",
        "\u{7}",
        "\u{9b}31m",
        "\u{202e}",
        "\u{2066}",
        "\u{feff}",
        "\u{200b}",
        "\u{7f}",
        "\n",
        "\r\n",
        "\t",
        "\n# head",
        "\n- item",
        "\n| a | b |",
        "\n```",
        "![x](http://example.org/x.png)",
        "[x](y)",
        "`",
        "*b*",
        "_i_",
        "~~",
        "=1+2",
        "@x",
        ",",
        "1. ",
        "- ",
        "Ω",
        "dedos",
        " ",
    ]);
    prop::collection::vec(piece, 1..6).prop_map(|pieces| pieces.concat())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn text_stays_text_in_every_form(word in nasty()) {
        let walked = Walked::to_its_end(&word);
        let plain = Walked::to_its_end("w");
        for reader in READERS {
            let [md, page, data] = walked.reported(&word, reader);
            let [plain_md, plain_page, _] = plain.reported("w", reader);
            for text in [&md, &page, &data] {
                prop_assert_eq!(visible(text), text.as_str(), "something hidden got through");
            }
            prop_assert_eq!(without_class(&tags(&page)), without_class(&tags(&plain_page)));
            prop_assert_eq!(shape(&md).len(), shape(&plain_md).len());
            let tables = |text: &str| shape(text).into_iter().filter(|(lead, _)| lead == "|").collect::<Vec<_>>();
            prop_assert_eq!(tables(&md), tables(&plain_md), "{}", md);
            let heads = |text: &str| text.lines().filter(|line| line.starts_with('#')).count();
            prop_assert_eq!(heads(&md), heads(&plain_md));
            prop_assert!(!md.contains("\n```"));
            for mark in ["<", "[", "`", "*b", "_i"] {
                let bare = md.match_indices(mark).filter(|(at, _)| !md[..*at].ends_with('\\')).count();
                let plain_bare = plain_md.match_indices(mark).filter(|(at, _)| !plain_md[..*at].ends_with('\\')).count();
                prop_assert_eq!(bare, plain_bare, "{} is not escaped: {}", mark, md);
            }
            let back: serde_json::Value = serde_json::from_str(&data).expect("JSON");
            prop_assert_eq!(back["complaint"].as_str(), Some(word.as_str()), "the words are kept whole");
        }
    }
}

/// Whether a cell is short depends on its words, and is no structure.
fn without_class(tags: &[&str]) -> Vec<String> {
    tags.iter().map(|tag| tag.replace(" class=\"s\"", "")).collect()
}

#[test]
fn a_page_fetches_and_runs_nothing() {
    let page =
        &Walked::to_its_end("<script src=\"https://example.org/x.js\">").reported("j", Reader::Shop)[1];
    for tag in tags(page) {
        let name = tag.trim_start_matches('/').split(' ').next().expect("a name");
        assert!(
            !["script", "link", "img", "iframe", "object", "embed", "base", "form"].contains(&name),
            "{tag}"
        );
        for attribute in [" src=", " href=", " on", " srcset=", " data=", " action="] {
            assert!(!tag.contains(attribute), "{tag}");
        }
    }
    assert!(!page.contains("url(") && !page.contains("@import"));
    assert!(page.contains("@page"));
    // Every head of a table says of what it is the head.
    assert!(
        tags(page)
            .iter()
            .filter(|t| t.starts_with("th"))
            .all(|t| t.starts_with("thead") || t.contains("scope="))
    );
}

#[test]
fn each_reader_gets_what_is_theirs() {
    let walked = Walked::to_its_end("w");
    let [customer, office, shop] = READERS.map(|reader| walked.reported("0318", reader)[0].clone());
    insta::assert_snapshot!("report_customer", customer);
    insta::assert_snapshot!("report_office", office);
    insta::assert_snapshot!("report_shop", shop);
    let data: serde_json::Value =
        serde_json::from_str(&walked.reported("0318", Reader::Shop)[2]).expect("JSON");
    insta::assert_snapshot!("report_shop_json", format!("{data:#}"));
}

fn program(args: &[&str]) -> Command {
    let mut command = Command::cargo_bin("loomwalk").expect("the program is built");
    command.current_dir(env!("CARGO_MANIFEST_DIR")).args(args);
    command
}

fn text(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// Walks the demo's answers into this folder and writes its five reports beside the job.
fn make_demo(folder: &Path) -> Vec<PathBuf> {
    let jobs = folder.to_str().expect("a plain path");
    program(&["walk", "tern/no-lift-no-tilt", "--answers", "demo/no-lift.answers.yaml", "--job", "no-lift"])
        .args(["--jobs", jobs])
        .assert()
        .success();
    let reports = [("customer", "md"), ("office", "md"), ("shop", "md"), ("shop", "html"), ("shop", "json")];
    let mut made = vec![folder.join("no-lift.job.jsonl")];
    for (reader, form) in reports {
        let name = if form == "md" { format!("no-lift.{reader}.md") } else { format!("no-lift.{form}") };
        let file = folder.join(name);
        program(&["report", "no-lift", "--jobs", jobs, "--for", reader, "--format", form, "-o"])
            .arg(&file)
            .assert()
            .success();
        made.push(file);
    }
    made
}

/// The text but for the program's version and for the hashes, which cover it.
fn but_for_the_version(text: &str) -> String {
    let is_hash = |word: &str| word.len() == 64 && word.bytes().all(|b| b.is_ascii_hexdigit());
    let mut out = String::new();
    for word in text.split_inclusive(|c: char| !c.is_ascii_alphanumeric()) {
        let bare = word.trim_end_matches(|c: char| !c.is_ascii_alphanumeric());
        out.push_str(if is_hash(bare) { "HASH" } else { bare });
        out.push_str(&word[bare.len()..]);
    }
    let (before, after) = match out.split_once("\"version\":\"") {
        Some((before, after)) => {
            (before.to_owned(), after.split_once('"').expect("a version ends").1.to_owned())
        }
        None => (out, String::new()),
    };
    let told: Vec<String> = before
        .lines()
        .map(|line| match line.split_once(">loomwalk ").or_else(|| line.split_once("** loomwalk ")) {
            Some((label, _)) => label.to_owned(),
            None => line.to_owned(),
        })
        .collect();
    told.join("\n") + &after
}

/// With `LOOMWALK_DEMO=write` the demo is written anew instead of compared: after a change to the shipped trees, to the
/// reports, or to the answers.
#[test]
fn the_demo_is_what_the_program_makes() {
    let folder = tempfile::tempdir().expect("a folder");
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo");
    for file in make_demo(folder.path()) {
        let kept = demo.join(file.file_name().expect("a name"));
        if std::env::var("LOOMWALK_DEMO").as_deref() == Ok("write") {
            std::fs::write(&kept, text(&file)).expect("the demo can be written");
        }
        assert!(
            but_for_the_version(&text(&file)) == but_for_the_version(&text(&kept)),
            "{} is not what the program makes; LOOMWALK_DEMO=write cargo test demo writes it anew",
            kept.display()
        );
    }
}

#[test]
fn the_demo_job_is_whole_and_its_head_is_printed() {
    let shop = text(&Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/no-lift.shop.md"));
    let head = shop.split("**Events and head:** ").nth(1).expect("a head").lines().next().expect("a line");
    program(&["job", "verify", "demo/no-lift.job.jsonl", "--head", head]).assert().success();
}

/// A wire rubbed through: the sheet as the machine file fills it in and the mechanic put it right, what to take, the place
/// with its uncertainty, the cause, the proof both ways, and the code that is still there.
#[test]
fn the_report_of_a_rubbed_wire_has_its_repair_to_a_standard() {
    let shop = text(&Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/no-lift.shop.md"));
    for said in [
        "W35, 0.75 mm², green/grey",
        "A1:8 to X14:4a, 2.3 m, under-cab",
        "1.30 m (1.24 – 1.36 m) from the first end",
        "edge of the pivot clamp, its liner gone",
        "let a piece in across the place: two splices",
        "4.8/1.5 mm, 3:1, adhesive-lined",
        "uninsulated, 18 AWG in line (low profile)",
        "89 N on a sample crimp of the same wire and barrel, never on the repair",
        "0.3 m wire 0.75 mm² green/grey",
        "1 clamp or rub sleeve for the cause",
        "New clamp with liner, loom moved a hand off the pivot",
        "Code still there: SPN 520303 FMI 3",
    ] {
        assert!(shop.contains(said), "no `{said}`\n{shop}");
    }
    let proofs = shop.split("## Proof").nth(1).and_then(|rest| rest.split("\n## ").next()).expect("proofs");
    let proved: Vec<&str> = proofs.lines().filter(|line| line.ends_with("| proved |")).collect();
    assert!(proved.iter().any(|line| line.contains("do the arms lift")), "works: {proofs}");
    assert_eq!(proved.iter().filter(|line| line.contains("They stay")).count(), 2, "held: {proofs}");
}

#[test]
fn a_file_is_never_overwritten_unasked() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("r.md");
    let report = |more: &[&str]| {
        let mut command = program(&["report", "demo/no-lift.job.jsonl", "-o"]);
        command.arg(&file).args(more).assert()
    };
    std::fs::write(&file, "mine").expect("it can be written");
    report(&[]).code(2);
    assert_eq!(text(&file), "mine");
    report(&["--force"]).success();
    assert!(text(&file).starts_with("# Job 0318: "), "the job's number, not the file's name");
}

#[test]
fn a_file_has_the_form_that_its_name_says() {
    let folder = tempfile::tempdir().expect("a folder");
    let begins = |command: &[&str], name: &str, more: &[&str]| {
        let file = folder.path().join(name);
        program(command).arg("-o").arg(&file).args(more).assert().success();
        text(&file).chars().take(15).collect::<String>()
    };
    let report = ["report", "demo/no-lift.job.jsonl"];
    assert_eq!(begins(&report, "r.html", &[]), "<!DOCTYPE html>");
    assert_eq!(begins(&report, "R.HTML", &[]), "<!DOCTYPE html>");
    assert!(begins(&report, "r.json", &[]).starts_with('{'));
    assert!(begins(&report, "r.txt", &[]).starts_with("# Job 0318"));
    assert!(begins(&report, "asked.html", &["--format", "md"]).starts_with("# Job 0318"));
    assert_eq!(begins(&["phone", "tern/no-lift-no-tilt"], "p.html", &[]), "<!DOCTYPE html>");
}

/// `-o` puts a file in the place of what is there; a device or a pipe would be gone.
#[cfg(unix)]
#[test]
fn no_report_takes_the_place_of_a_pipe() {
    use std::os::unix::fs::FileTypeExt;
    let folder = tempfile::tempdir().expect("a folder");
    let pipe = folder.path().join("pipe");
    assert!(std::process::Command::new("mkfifo").arg(&pipe).status().expect("mkfifo").success());
    let link = folder.path().join("link");
    std::os::unix::fs::symlink(&pipe, &link).expect("a link");
    for there in [&pipe, &link] {
        let done =
            program(&["report", "demo/no-lift.job.jsonl", "--force", "-o"]).arg(there).assert().code(2);
        let said = String::from_utf8_lossy(&done.get_output().stderr).into_owned();
        assert!(said.contains("is no ordinary file"), "{said}");
    }
    assert!(std::fs::metadata(&pipe).expect("there").file_type().is_fifo());
}

/// A report is written beside the file that it is to replace: the old one is whole until the new one is.
#[cfg(unix)]
#[test]
fn a_report_cut_short_leaves_the_old_one() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("r.html");
    std::fs::write(&file, "mine").expect("room");
    // Beyond four blocks the system ends the program, or the write fails.
    let line = "ulimit -f 4; exec \"$0\" report demo/no-lift.job.jsonl --format html --force -o \"$1\"";
    let done = std::process::Command::new("sh")
        .args(["-c", line, env!("CARGO_BIN_EXE_loomwalk")])
        .arg(&file)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("it runs");
    assert!(!done.status.success());
    assert_eq!(text(&file), "mine");
}

/// What could not be written is never called done.
#[cfg(target_os = "linux")]
#[test]
fn a_full_output_is_told() {
    for words in
        [&["report", "demo/no-lift.job.jsonl"][..], &["--help"], &["--version"], &["explain", "band-gap"]]
    {
        let full = std::fs::OpenOptions::new().write(true).open("/dev/full").expect("the device");
        let done = std::process::Command::new(env!("CARGO_BIN_EXE_loomwalk"))
            .args(words)
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .stdout(full)
            .output()
            .expect("it runs");
        assert_eq!(done.status.code(), Some(2), "{words:?}");
        assert!(String::from_utf8_lossy(&done.stderr).contains("No space left"), "{words:?}");
    }
}

#[test]
fn what_is_left_of_a_job_is_reported_and_exits_1() {
    let bytes = std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/no-lift.job.jsonl"))
        .expect("the demo");
    // Torn in its last line: everything before it is told.
    let torn = program(&["report", "-"]).write_stdin(&bytes[..bytes.len() - 9]).assert().code(1);
    let said = String::from_utf8_lossy(&torn.get_output().stdout).into_owned();
    assert!(said.contains("Torn: ") && said.contains("W35 grounded at pivot-clamp"), "{said}");
    // A byte of its first line altered: no walk can be made, and that is said.
    let mut altered = bytes.clone();
    altered[40] ^= 1;
    for form in ["md", "html", "json"] {
        let left = program(&["report", "-", "--format", form]).write_stdin(altered.clone()).assert().code(1);
        let said = String::from_utf8_lossy(&left.get_output().stdout).into_owned();
        assert!(said.contains("Damaged: line 1") && said.contains("no event"), "{said}");
    }
    program(&["report", "-"]).write_stdin("").assert().code(1);
}

#[test]
fn the_job_itself_is_spared() {
    let folder = tempfile::tempdir().expect("a folder");
    let job = folder.path().join("copy.job.jsonl");
    std::fs::copy(Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/no-lift.job.jsonl"), &job)
        .expect("a copy");
    let before = text(&job);
    program(&["report"]).arg(&job).arg("-o").arg(&job).arg("--force").assert().code(2);
    assert_eq!(text(&job), before);
}
