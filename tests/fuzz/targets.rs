//! What is done with bytes that a stranger hands in: each way in, taken as far as the program would take it.
//!
//! The tests run these over the corpus and its mutations; `guided/` lets a coverage-guided fuzzer drive them. A target
//! fails by panicking; each also asserts what must hold whatever came in.

use loomwalk::author::check;
use loomwalk::codes::decode_text;
use loomwalk::diag::{
    FileId, Files, Glanced, Limits, Locator, Over, Paint, Problem, Problems, Rows, Source, Weight, blocks_of,
    glance, problem_json, problem_text, visible,
};
use loomwalk::job::{
    ChainHash, JournalState, Kept, Reader, Record, Recovered, Report, html, json, json_text, markdown,
    recover, replay,
};
use loomwalk::machine::{Probes, Today, load_machine};
use loomwalk::tree::{Shipped, glance_over};
use loomwalk::units::{Measure, Meter, Reading};
use loomwalk::walk::{Answers, Moment};

/// A way in: its name, which is also its folder of the corpus, and what is done with the bytes.
pub(crate) type Target = (&'static str, fn(&[u8]));

/// Every way in.
pub(crate) const TARGETS: [Target; 7] = [
    ("tree", tree),
    ("machine", machine),
    ("journal", journal),
    ("events", events),
    ("reading", reading),
    ("dm1", dm1),
    ("answers", answers),
];

/// No byte that a terminal obeys is left in what is shown.
fn harmless(shown: &str) {
    let obeyed = |c: char| {
        (c.is_control() && c != '\n' && c != '\t')
            || "\u{202a}\u{202b}\u{202c}\u{202d}\u{202e}\u{2066}\u{2067}\u{2068}\u{2069}".contains(c)
    };
    assert!(!shown.chars().any(obeyed), "a terminal would obey this: {shown:?}");
}

/// A tree, loaded and checked beside the shipped files, every problem rendered; what the glance calls over a limit is
/// refused, and it counts no more steps than there are.
pub(crate) fn tree(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let name = "shipped:/tern/stranger.yaml";
    let report = check(&Source::new(name, text), &Shipped);
    told(&report.problems, &report.files);
    if report.worst() == Some(Weight::Refused) {
        return;
    }
    assert_eq!(glance_over(name, &mut blocks_of(text), &Shipped), Ok(()));
    let steps = report.course.map_or(0, |course| course.tree().steps.len());
    let brought = glanced(text, steps).expect("no more entries than steps");
    assert!(brought.own.written_out(&brought.groups) <= steps, "more than {steps} steps");
}

/// What is seen of a tree that may have so many steps, the same at once and byte by byte.
fn glanced(text: &str, most: usize) -> Result<Glanced, Over> {
    let rows = Rows { under: "steps", most, groups: "groups", group: "run", list: "gates", others: "use" };
    let limits = Limits { rows: Some(rows), ..Limits::default() };
    let mut all = blocks_of(text);
    let seen = glance(&mut |room| all(&mut room[..1]), &limits);
    assert_eq!(seen, glance(&mut blocks_of(text), &limits), "byte by byte and at once");
    seen
}

/// Every problem, as text and as JSON.
fn told(problems: &[Problem], files: &Files) {
    let mut locator = Locator::new(files);
    for problem in problems {
        harmless(&problem_text(problem, files, &mut locator, Paint::Plain));
        let _ = problem_json(problem, &mut locator);
    }
}

/// A machine file, loaded and solved: the healthy machine and its first faults at every point, finite numbers only.
pub(crate) fn machine(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let loaded = load_machine(text, FileId(0));
    let Some(machine) = loaded.machine else { return };
    let day = machine.day(Today::default());
    let Ok(setup) = machine.setup(&[], None) else { return };
    let rig = day.rig(&setup);
    for fault in machine.fault_ids().take(12) {
        let case = day.case(&[machine.knot(fault, None)]);
        let settled = case.settle(&rig);
        let meter = case.ohmmeter(&rig);
        for red in machine.point_ids().take(40) {
            let probes = Probes { red, black: machine.frame() };
            let shown = settled.volts(probes);
            assert!(shown.least.value().is_finite() && shown.most.value().is_finite());
            assert!(meter.ohms(probes).is_none_or(|ohms| ohms.value().is_finite()));
        }
    }
}

/// A journal, recovered, replayed and reported to every reader; every byte accounted for.
pub(crate) fn journal(bytes: &[u8]) {
    let found = recover::<Kept>(bytes);
    let whole = found.whole_bytes();
    assert!(whole <= bytes.len() as u64);
    assert!(!found.verdict().is_whole() || whole == bytes.len() as u64, "bytes that nobody accounts for");
    reported(&found);
}

/// The opening of a job on a tree that stands alone.
const OPENING: &str = include_str!("opening.json");

/// Events that chain, as somebody would make them who wants a journal to hold: one a line, `[milliseconds, event]`,
/// after the opening of a job.
pub(crate) fn events(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let opening: Kept = serde_json::from_str(OPENING).expect("an opening");
    let mut records = vec![record(1, 0, opening)];
    for line in text.lines().take(200) {
        let Ok((ms, event)) = serde_json::from_str::<(u32, Kept)>(line) else { return };
        records.push(record(records.len() as u64 + 1, u64::from(ms), event));
    }
    reported(&Recovered { records, damage: Vec::new(), torn: None, stranded: 0, bytes: bytes.len() as u64 });
}

fn record(seq: u64, mono_ms: u64, event: Kept) -> Record<Kept> {
    let at = Moment { wall_ms: 1_772_437_200_000, offset_min: 0, mono_ms: 0 }.later(mono_ms);
    Record { seq, at, event, hash: ChainHash::of(&seq.to_le_bytes()) }
}

/// What was recovered, replayed and reported to every reader.
fn reported(found: &Recovered<Kept>) {
    let Ok(replayed) = replay(&found.records) else { return };
    let state = JournalState::of(&found.verdict(), &replayed).telling(&found.records);
    for reader in [Reader::Customer, Reader::Office, Reader::Shop] {
        let report = Report {
            name: "0318",
            walk: &replayed.walk,
            version: &replayed.version,
            journal: state.clone(),
            reader,
        };
        harmless(&markdown(&report));
        assert!(!html(&report).contains("<script"), "a script in a report");
        let text = json_text(&json(&report));
        assert!(serde_json::from_str::<serde_json::Value>(&text).is_ok());
    }
}

/// A reading in every measure: finite, echoed, and the same again from its journal form.
pub(crate) fn reading(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    for measure in Measure::ALL {
        let Ok(read) = Reading::parse(text, measure.unit()) else { continue };
        assert!(read.value().is_none_or(|value| value.value().is_finite()));
        let line = serde_json::to_string(&read).expect("a journal form");
        assert_eq!(serde_json::from_str::<Reading>(&line).expect("the journal form reads"), read);
        harmless(&visible(&read.echo(measure.unit()).to_string()));
        let _ = Meter::default().estimate(&read);
    }
}

/// A message of trouble codes as typed.
pub(crate) fn dm1(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    match decode_text(text) {
        Ok(message) => assert!(message.dtcs.iter().all(|dtc| !dtc.meaning(&[]).is_empty())),
        Err(error) => harmless(&visible(&error.to_string())),
    }
}

/// A file of answers.
pub(crate) fn answers(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let mut files = Files::default();
    let file = files.add(Source::new("answers.yaml", text));
    let mut problems = Problems::default();
    let _ = Answers::read(text, file, &mut problems);
    told(&problems.into_list(), &files);
}
