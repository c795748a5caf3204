//! Plain mode to the end: from the call to the closed job, through a pipe and through a terminal.
//!
//! The lines that are typed are worked out beside the program: an answers file says what happens, and a walk of the same
//! tree in the library says at each page which words a person would type for it.

use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use loomwalk::diag::{FileId, Problems, Source};
use loomwalk::tree::{Shipped, Walkable, examine};
use loomwalk::walk::{Answers, Details, Event, Input, Moment, Now, PageKind, Script, Turn, Walk, Walker};
use portable_pty::{CommandBuilder, PtySize, native_pty_system};
use serde_json::Value;

const PATIENCE: Duration = Duration::from_mins(1);

fn here(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

/// What a person types, and the question that stands last before it.
struct Typed {
    question: String,
    lines: Vec<String>,
}

/// The last words before something is typed here.
fn question(walk: &Walk) -> String {
    let page = walk.page();
    match page.kind {
        PageKind::Ask | PageKind::Look => "Which number?".to_owned(),
        PageKind::Read => "You read?".to_owned(),
        PageKind::Do => "Done?".to_owned(),
        PageKind::Find => "Go on?".to_owned(),
        PageKind::Close if walk.codes_to_ask() => "or not looked.".to_owned(),
        PageKind::Close | PageKind::Refer => "End it?".to_owned(),
        PageKind::Gate => page.items[live(walk)].text.chars().take(40).collect(),
        PageKind::Waiting | PageKind::Ended => String::new(),
    }
}

/// The live item of the gate, counted by its own items.
fn live(walk: &Walk) -> usize {
    match walk.now() {
        Now::Gate(at) => {
            assert!(at.item < walk.gate_items(at.gate, at.step, at.why).len());
            at.item
        }
        Now::Check(_, live) => *live,
        _ => 0,
    }
}

/// The lines for what a script says here.
fn lines_for(input: &Input, walk: &Walk, initials: &mut bool) -> Vec<String> {
    match input {
        Input::Answer(id) => {
            let at = walk.page().choices.iter().position(|choice| choice.id == *id).expect("an answer");
            vec![(at + 1).to_string()]
        }
        Input::Reading(typed) => vec![typed.clone()],
        Input::Done => vec!["1".to_owned()],
        Input::Cannot(why) => vec![format!("cannot {why}")],
        Input::Confirm { item, by, typed } => {
            let mut lines = vec![typed.clone().unwrap_or_else(|| (item + 1).to_string())];
            if !std::mem::replace(initials, true) {
                lines.push(by.clone());
            }
            lines
        }
        Input::Note(text) => vec![format!("note {text}")],
        Input::Left(text) => vec![format!("left {text}")],
        Input::Own(own) => {
            vec![
                "own".to_owned(),
                own.red.clone(),
                own.black.clone().unwrap_or_default(),
                own.reading.text().to_owned(),
            ]
        }
        Input::Repaired(said) => said.iter().map(|(key, value)| format!("repair {key} {value}")).collect(),
        Input::CodeLeft(code) => vec![format!("{} {}", code.spn, code.fmi)],
        Input::NoCodeLeft => vec!["none".to_owned()],
        other => panic!("no line for {other:?}"),
    }
}

/// What is known of the job, as it is typed.
fn known(details: &Details) -> Vec<String> {
    let said = serde_json::to_value(details).expect("JSON");
    let word = |key: &str| match key {
        "volts" => details.volts.map(|v| v.to_string()),
        "meter" => details.meter.map(|m| m.to_string()),
        _ => said.get(key).map(|v| v.as_str().map_or_else(|| v.to_string(), str::to_owned)),
    };
    Details::KEYS.iter().filter_map(|key| Some(format!("job {key} {}", word(key)?))).collect()
}

/// Everything that is typed in a whole job.
fn typed(course: &Walkable, answers: &Path) -> Vec<Typed> {
    let text = std::fs::read_to_string(answers).expect("answers");
    let mut problems = Problems::default();
    let mut answers = Answers::read(&text, FileId(0), &mut problems);
    assert!(!problems.refused());
    // Nobody waits for a clock here.
    answers.entries.iter_mut().for_each(|entry| entry.after = None);
    let start = Moment { wall_ms: 1_772_437_200_000, offset_min: 0, mono_ms: 0 };
    let mut walk = Walk::new(course);
    let tree = course.tree();
    let begun = Event::Begun {
        tree: tree.id.clone(),
        revision: tree.revision,
        lang: "en".to_owned(),
        walker: Walker::Person,
        details: answers.details.clone(),
    };
    walk.apply(&begun, start).expect("it begins");
    let mut script = Script::new(answers, start);
    let mut all = vec![Typed { question: question(&walk), lines: known(&script.answers().details) }];
    let mut initials = false;
    while let Turn::Say(input, _) = script.next(&walk).expect("the script fits") {
        let lines = lines_for(&input, &walk, &mut initials);
        all.push(Typed { question: question(&walk), lines });
        let at = start.later(1000 * (all.len() as u64));
        for event in walk.accept(*input, at).expect("it is taken") {
            walk.apply(&event, at).expect("it happens");
        }
    }
    assert!(matches!(walk.now(), Now::Ended(_)), "the script ends the job");
    all
}

fn program(jobs: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_loomwalk"));
    command.env("XDG_CONFIG_HOME", jobs);
    command
}

/// The events of a job by their kinds, with what was answered, read and confirmed; without times and names.
fn kinds(file: &Path) -> Vec<String> {
    let text = std::fs::read_to_string(file).expect("a journal");
    let event = |line: &str| serde_json::from_str::<Value>(line).expect("JSON")["event"].clone();
    text.lines().skip(1).map(|line| event(line).to_string()).collect()
}

/// The journal is whole, and a report can be made of it that says this.
fn is_whole_and_reported(jobs: &Path, says: &[&str]) {
    let verified =
        program(jobs).args(["job", "verify", "0318", "--jobs"]).arg(jobs).output().expect("it runs");
    assert!(verified.status.success(), "{verified:?}");
    let report = program(jobs)
        .args(["report", "0318", "--for", "shop", "--jobs"])
        .arg(jobs)
        .output()
        .expect("it runs");
    assert!(report.status.success(), "{report:?}");
    let text = String::from_utf8_lossy(&report.stdout);
    for words in says {
        assert!(text.contains(words), "no `{words}` in the report\n{text}");
    }
}

fn through_a_pipe(tree: &str, lines: &[String], jobs: &Path) -> Output {
    through_a_pipe_in("en", tree, lines, jobs)
}

fn through_a_pipe_in(lang: &str, tree: &str, lines: &[String], jobs: &Path) -> Output {
    let mut child = program(jobs)
        .args(["walk", tree, "--plain", "--lang", lang, "--job", "0318", "--jobs"])
        .arg(jobs)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut stdin = child.stdin.take().expect("a pipe");
    let text = lines.join("\n") + "\n";
    let writer = std::thread::spawn(move || stdin.write_all(text.as_bytes()));
    let output = child.wait_with_output().expect("it ends");
    writer.join().expect("a thread").expect("all lines go in");
    output
}

/// A shipped tree from the telephone to the closed job, with what the demo's answers say; the journal then holds the
/// same events as the demo's.
#[test]
fn a_shipped_tree_is_walked_through_a_pipe_from_the_call_to_the_closed_job() {
    let name = "tern/no-lift-no-tilt";
    let mut all = typed(&shipped(name), &here("demo/no-lift.answers.yaml"));
    // Suspects are said up to the first reading; then somebody comes who should not hear of them.
    let first = all.iter().position(|step| step.question == "You read?").expect("a reading");
    all[first].lines.push("hide".to_owned());
    let lines: Vec<String> = all.into_iter().flat_map(|t| t.lines).collect();
    let jobs = tempfile::tempdir().expect("a folder");
    let output = through_a_pipe(name, &lines, jobs.path());
    let out = String::from_utf8_lossy(&output.stdout);
    assert!(output.status.success(), "{output:?}");
    assert!(out.contains("End. Closed: repaired and proved."), "{out}");
    assert!(!out.contains("Not taken"), "{out}");
    let (before, after) = out.split_once("Suspects are hidden.").expect("hidden");
    assert!(before.contains("Ruled out") && !after.contains("Ruled out"), "{out}");
    is_as_the_demo(jobs.path());
}

fn shipped(name: &str) -> Walkable {
    examine(&Shipped::named(name).expect("a tree"), &Shipped).walkable().expect("it may be walked")
}

/// The job holds the same events as the demo's, and its report says what the demo's says.
fn is_as_the_demo(jobs: &Path) {
    let (plain, demo) = (kinds(&jobs.join("0318.job.jsonl")), kinds(&here("demo/no-lift.job.jsonl")));
    let bare = |events: Vec<String>| {
        // What only the answers file says otherwise: controls beside an own reading, several lines of a sheet at once,
        // and all that is known of the job in its first event.
        let others = ["\"own-reading\"", "\"repaired\"", "\"details\""];
        let kept = |e: &String| others.iter().all(|k| !e.contains(k));
        events.into_iter().filter(kept).collect::<Vec<_>>()
    };
    assert_eq!(bare(plain), bare(demo));
    is_whole_and_reported(
        jobs,
        &["Repaired and proved", "its liner gone", "Code still there: SPN 520303 FMI 3", "Ilse Brandt"],
    );
}

/// Bytes as they come from the terminal.
struct Heard {
    bytes: Receiver<Vec<u8>>,
    text: String,
    from: usize,
}

impl Heard {
    /// Waits for these words after those waited for before.
    fn waits_for(&mut self, words: &str) {
        let until = Instant::now() + PATIENCE;
        loop {
            if let Some(at) = self.text[self.from..].find(words) {
                self.from += at + words.len();
                return;
            }
            let left = until.saturating_duration_since(Instant::now());
            let Ok(bytes) = self.bytes.recv_timeout(left) else {
                panic!("no `{words}` after\n{}", &self.text[self.from..]);
            };
            self.text.push_str(&String::from_utf8_lossy(&bytes));
        }
    }
}

/// Types everything into a pseudo-terminal, each line once its question has been heard; gives what was heard.
fn through_a_terminal(tree: &str, typed: &[Typed], jobs: &Path) -> String {
    let size = PtySize { rows: 24, cols: 200, pixel_width: 0, pixel_height: 0 };
    let pty = native_pty_system().openpty(size).expect("a pseudo-terminal");
    let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_loomwalk"));
    command.args(["walk", tree, "--plain", "--job", "0318"]);
    command.args(["--jobs", &jobs.to_string_lossy()]);
    command.env("XDG_CONFIG_HOME", jobs);
    let mut child = pty.slave.spawn_command(command).expect("the program starts");
    let mut reader = pty.master.try_clone_reader().expect("a reader");
    let mut writer = pty.master.take_writer().expect("a writer");
    let (send, bytes) = channel();
    std::thread::spawn(move || {
        let mut buffer = [0; 4096];
        while let Ok(n @ 1..) = reader.read(&mut buffer) {
            if send.send(buffer[..n].to_vec()).is_err() {
                break;
            }
        }
    });
    let mut heard = Heard { bytes, text: String::new(), from: 0 };
    for step in typed.iter().filter(|step| !step.lines.is_empty()) {
        heard.waits_for(&step.question);
        for line in &step.lines {
            writer.write_all(format!("{line}\n").as_bytes()).expect("a line goes in");
        }
    }
    heard.waits_for("End. Closed");
    heard.waits_for("Head ");
    assert!(!heard.text.contains("Not taken"), "{}", heard.text);
    assert!(child.wait().expect("it ends").success());
    heard.text
}

#[test]
fn a_tree_is_walked_on_a_terminal_line_by_line_to_the_closed_job() {
    let file = here("tests/good_trees/charging-volts.yaml");
    let source = Source::new("charging-volts.yaml", std::fs::read_to_string(&file).expect("a tree"));
    let course = examine(&source, &Vec::<Source>::new()).walkable().expect("it may be walked");
    let typed = typed(&course, &here("tests/good_trees/charging-volts.answers.yaml"));
    let jobs = tempfile::tempdir().expect("a folder");
    let heard = through_a_terminal(&file.to_string_lossy(), &typed, jobs.path());
    assert!(!heard.contains("codes are still there"), "nothing here sets codes\n{heard}");
    is_whole_and_reported(jobs.path(), &["What it was", "Made safe"]);
}

/// The same tree as through the pipe, with what the demo's answers say: to its repair, its proofs and its closed job. The
/// customer stands beside it, so that suspects stay unsaid.
#[test]
fn a_shipped_tree_is_walked_on_a_terminal_to_its_repair_and_closed_job() {
    let name = "tern/no-lift-no-tilt";
    let mut typed = typed(&shipped(name), &here("demo/no-lift.answers.yaml"));
    typed[0].lines.insert(0, "hide".to_owned());
    let jobs = tempfile::tempdir().expect("a folder");
    let heard = through_a_terminal(name, &typed, jobs.path());
    assert!(heard.contains("End. Closed: repaired and proved."), "{heard}");
    assert!(heard.contains("Do. Repair what was found") && !heard.contains("Ruled out"), "{heard}");
    is_as_the_demo(jobs.path());
}

/// A reading is judged as it was written and by the mechanic's own meter, which is entered once: it is kept with the job,
/// and for the next one.
#[test]
fn a_reading_is_judged_by_the_meter_before_it_is_recorded() {
    let file = here("tests/good_trees/charging-volts.yaml");
    let source = Source::new("charging-volts.yaml", std::fs::read_to_string(&file).expect("a tree"));
    let course = examine(&source, &Vec::<Source>::new()).walkable().expect("it may be walked");
    let mut lines = vec!["job meter rubbish".to_owned(), "job meter 2%+5, leads 0.2 ohm".to_owned()];
    for step in typed(&course, &here("tests/good_trees/charging-volts.answers.yaml")) {
        if step.question == "You read?" {
            let at_the_reading = [
                "rubbish",
                // Nothing here has 14,200 V: asked, and measured again.
                "14200",
                "",
                // 13.1 V is off by 0.26 V + 0.5 V at most, so that 13.2 V is within what it may be.
                "13.1",
                "",
                "13.1",
                "2",
                "13.1",
                "2 it charged the lamp bright",
            ];
            lines.extend(at_the_reading.map(str::to_owned));
        } else {
            lines.extend(step.lines);
        }
    }
    let jobs = tempfile::tempdir().expect("a folder");
    let output = through_a_pipe(&file.to_string_lossy(), &lines, jobs.path());
    let out = String::from_utf8_lossy(&output.stdout);
    for words in [
        "Write 0.5%+2, or good (fine, plain, rough)",
        "The meter: 2%+5, leads 0.2 ohm. The next job has it too.",
        "Not taken: `rubbish` is not a number, and this takes volts.",
        "14200 V or 14200 mV? Look at the range of the meter.",
        "Too close to an edge to call. Measure again on a better range, or decide and say why.",
        ". it charges\n",
        "Not taken: a reason is needed",
        "End. ",
    ] {
        assert!(out.contains(words), "no `{words}` in\n{out}");
    }
    let journal = kinds(&jobs.path().join("0318.job.jsonl")).join("\n");
    assert!(journal.contains(r#""accuracy":"2%+5","leads":0.2"#), "{journal}");
    assert_eq!(journal.matches("\"reading\":").count(), 1, "what was asked about is not recorded\n{journal}");
    let kept = loomwalk::tui::meter_kept(&jobs.path().join("loomwalk/settings.yaml"));
    assert_eq!(kept.map(|meter| meter.to_string()).as_deref(), Some("2%+5, leads 0.2 ohm"));
}

/// What is typed wrongly is said in place, nothing of it is recorded, and the question stands again.
#[test]
fn what_is_typed_wrongly_is_not_taken_and_not_recorded() {
    let jobs = tempfile::tempdir().expect("a folder");
    let lines = ["7", "perhaps", "2", "own", "A1:7", "", "1e400 V"].map(str::to_owned);
    let output = through_a_pipe("tern/no-lift-no-tilt", &lines, jobs.path());
    let out = String::from_utf8_lossy(&output.stdout);
    assert!(out.contains("Not taken: 7 is none of the answers."), "{out}");
    assert!(out.contains("Not taken: perhaps is none of the answers."), "{out}");
    assert!(out.contains("Not taken: that is no reading."), "{out}");
    // Whatever was said, the question stands last.
    assert!(out.trim_end().ends_with("Which number?"), "{out}");
    assert_eq!(kinds(&jobs.path().join("0318.job.jsonl")).len(), 1, "the one answer alone is recorded");
}

/// In Spanish every line of the program's own is Spanish; only the words that are typed are the same.
#[test]
fn what_is_said_and_refused_in_spanish_is_spanish() {
    let jobs = tempfile::tempdir().expect("a folder");
    let typed = [
        "7",
        "help",
        "where",
        "hide",
        "hide",
        "job volts much",
        "job weight 3",
        "own",
        "A1:7",
        "",
        "12 furlongs",
        "note",
        "",
        "cannot",
        "porque no",
    ];
    let output = through_a_pipe_in("es", "tern/no-lift-no-tilt", &typed.map(str::to_owned), jobs.path());
    let out = String::from_utf8_lossy(&output.stdout);
    for words in [
        "En todo momento: back, note,",
        "No se tomó: 7 no es ninguna de las respuestas.",
        "No se tomó: `much` no es un número, y aquí van voltios. Escriba 12.6 V, o 30 mV.",
        "No se tomó: un trabajo no tiene `weight`",
        "No se tomó: eso no es una lectura.",
        "No se tomó: la nota está vacía.",
        "back: al paso anterior.",
        "Los sospechosos se dicen otra vez.",
        "¿Qué número?",
    ] {
        assert!(out.contains(words), "no `{words}` in\n{out}");
    }
    for english in
        ["Not taken", "Which number", "Say ", "likeliest", " takes ", "The way", "At any", "Job ", " kept"]
    {
        assert!(!out.contains(english), "`{english}` in\n{out}");
    }
}
