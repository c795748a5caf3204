//! Ends of a job, and waits: how the machine was left and who was told is kept, and a job taken up again days later goes
//! on by what was known, its clock without the days between.

use std::path::Path;

use assert_cmd::Command;
use loomwalk::diag::{Files, Problems, Source, SourceError, Sources};
use loomwalk::job::{Disk, Kept, Summary};
use loomwalk::job::{
    Holder, JobName, JobPlace, JournalState, Reader, Recorded, Report, Standing, markdown, read_journal,
    replay,
};
use loomwalk::tree::{Shipped, Walkable, examine};
use loomwalk::walk::{Answers, Event, Input, ItemState, Moment, Now, PageKind, Script, Turn, Walker};

const DAY_MS: i64 = 24 * 60 * 60 * 1000;

fn holder(at: Moment) -> Holder {
    Holder { process: 1, host: None, since: at }
}

struct Beside;

impl Sources for Beside {
    fn fetch(&self, _: &str, wanted: &str) -> Result<Source, SourceError> {
        Err(SourceError::Missing { name: wanted.to_owned() })
    }
}

fn shipped(name: &str) -> Walkable {
    let source = Shipped::named(name).expect("it is inside");
    examine(&source, &Shipped).walkable().expect("it may be walked")
}

fn good(name: &str) -> (Walkable, String) {
    let file =
        |ending: &str| std::fs::read_to_string(format!("tests/good_trees/{name}{ending}")).expect("there");
    let examined = examine(&Source::new(format!("{name}.yaml"), file(".yaml")), &Beside);
    (examined.walkable().expect("it may be walked"), file(".answers.yaml"))
}

/// A job in a folder, begun or gone on with.
struct Job {
    recorded: Recorded,
    at: Moment,
}

impl Job {
    fn begin(course: &Walkable, place: &JobPlace, text: &str) -> (Self, Script) {
        let (script, at, details) = script(text);
        let tree = course.tree();
        let first = Event::Begun {
            tree: tree.id.clone(),
            revision: tree.revision,
            lang: "en".to_owned(),
            walker: Walker::Script,
            details,
        };
        let recorded = Recorded::begin(course, place, &first, &holder(at)).expect("begun");
        (Self { recorded, at }, script)
    }

    fn walk_by(&mut self, script: &mut Script) {
        loop {
            match script.next(self.recorded.walk()).unwrap_or_else(|parted| panic!("{}", parted.why)) {
                Turn::Over => return,
                Turn::Say(input, at) => {
                    self.at = at;
                    self.hear(*input, script);
                }
            }
        }
    }

    fn hear(&mut self, input: Input, script: &mut Script) {
        if let Err(declined) = self.recorded.say(input, self.at).expect("recorded") {
            script.heard(&declined).unwrap_or_else(|parted| panic!("{}", parted.why));
        }
    }

    /// The rest of a script, at moments of this job's own clock.
    fn finish(&mut self, script: &mut Script) {
        loop {
            match script.next(self.recorded.walk()).unwrap_or_else(|parted| panic!("{}", parted.why)) {
                Turn::Over => return,
                Turn::Say(input, _) => {
                    self.at = self.at.later(30_000);
                    self.hear(*input, script);
                }
            }
        }
    }

    fn say(&mut self, input: Input) {
        self.at = self.at.later(30_000);
        self.recorded.say(input, self.at).expect("recorded").expect("accepted");
    }

    /// Confirms every gate on the way back to a step; a reading that one item does not take, another does.
    fn confirm_all(&mut self) {
        while let page = self.recorded.walk().page()
            && page.kind == PageKind::Gate
        {
            let item = page.items.iter().position(|item| item.state == ItemState::Live).expect("a live item");
            self.at = self.at.later(20_000);
            let confirm = |typed: Option<&str>| Input::Confirm {
                item,
                by: "KM".to_owned(),
                typed: typed.map(str::to_owned),
            };
            let taken = [None, Some("12.4 V"), Some("0.0 V")]
                .into_iter()
                .any(|typed| self.recorded.say(confirm(typed), self.at).expect("recorded").is_ok());
            assert!(taken, "{}: {:?}", page.title, page.items[item].text);
        }
    }
}

/// A script, when it begins, and what it says of the job.
fn script(text: &str) -> (Script, Moment, loomwalk::walk::Details) {
    let mut files = Files::default();
    let mut problems = Problems::default();
    let id = files.add(Source::new("answers.yaml", text));
    let answers = Answers::read(text, id, &mut problems);
    assert!(!problems.refused(), "{:?}", problems.list());
    let start = Moment { wall_ms: answers.start_ms.expect("a start"), offset_min: 0, mono_ms: 0 };
    let details = answers.details.clone();
    (Script::new(answers, start), start, details)
}

fn place(folder: &Path, name: &str) -> JobPlace {
    JobPlace::named(folder, &JobName::new(name).expect("a plain name"))
}

/// The line of a listing, and the reports for office and customer.
fn told(place: &JobPlace) -> (Summary, String) {
    let found = read_journal::<Kept>(&Disk, place).expect("read");
    assert!(found.verdict().is_whole());
    let replayed = replay(&found.records).expect("it replays");
    assert_eq!(replayed.impossible, None);
    let journal = JournalState::of(&found.verdict(), &replayed);
    let (walk, version) = (&replayed.walk, replayed.version.as_str());
    let report = Report { name: &place.name(), walk, version, journal, reader: Reader::Shop };
    (Summary::of(place.name(), &found), markdown(&report))
}

fn list(folder: &Path) -> String {
    let mut command = Command::cargo_bin("loomwalk").expect("the program is built");
    let output = command.args(["job", "list", "--jobs"]).arg(folder).output().expect("it runs");
    String::from_utf8(output.stdout).expect("text")
}

/// The likeliest first, with their probabilities.
fn suspects(recorded: &Recorded) -> Vec<(String, f64)> {
    let found = recorded.walk().observed().whereabouts().expect("a modelled machine");
    let mut all: Vec<_> = found.suspects.into_iter().map(|s| (s.fault, s.probability.value())).collect();
    all.sort_by(|a, b| b.1.total_cmp(&a.1));
    all.truncate(5);
    all
}

/// Answers without their times: they go by the clock of the job.
fn untimed(text: &str) -> String {
    let line = |line: &str| match line.split_once(", after: ") {
        Some((before, _)) => format!("{before}}}"),
        None => line.to_owned(),
    };
    let lines = text.lines().filter(|line| !line.trim_start().starts_with("after: "));
    lines.map(line).collect::<Vec<_>>().join("\n")
}

#[test]
fn a_job_that_waits_says_for_what_and_goes_on_days_later_by_what_was_known() {
    let folder = tempfile::tempdir().expect("a folder");
    let course = shipped("tern/no-lift-no-tilt");
    let demo = std::fs::read_to_string("demo/no-lift.answers.yaml").expect("there");
    let (known, rest) = demo.split_once("- {step: door-volts, reading").expect("two parts");
    let rest = untimed(&format!("- job: {{start: 2026-03-05T08:00}}\n- {{step: door-volts, reading{rest}"));
    for (why, days) in
        [("a clamp with a liner", 3), ("the hail", 1), ("the customer is away", 9), ("called away", 30)]
    {
        let place = place(folder.path(), &format!("d{days}"));
        let (mut job, mut script_known) = Job::begin(&course, &place, known);
        job.walk_by(&mut script_known);
        job.say(Input::Wait(why.to_owned()));
        job.say(Input::Left("Cab up and pinned, tagged; Ilse Brandt was told".to_owned()));
        let to_the_end = days == 3;
        let known_of = |job: &Job| if to_the_end { suspects(&job.recorded) } else { Vec::new() };
        let before = (known_of(&job), job.recorded.walk().minutes_worked());
        let at = job.at;
        drop(job);
        let (summary, report) = told(&place);
        assert_eq!((summary.standing, summary.waits_for.as_str()), (Standing::Waiting, why));
        let since = at.date();
        assert!(
            report.contains(&format!("The job waits, since {since} "))
                && report.contains(&format!(": {why}")),
            "{report}"
        );
        assert!(report.contains("Ilse Brandt was told"), "{report}");
        assert!(list(folder.path()).contains(&format!("waiting: {why}")), "{}", list(folder.path()));

        // Another start of the laptop: the forward clock begins anew.
        let later = Moment { wall_ms: at.wall_ms + days * DAY_MS, offset_min: 0, mono_ms: 7 };
        let recorded = Recorded::go_on(&place, &holder(later)).expect("it goes on");
        let told_first = recorded.gone_on().expect("told");
        assert!(told_first.starts_with("It waited since "), "{told_first}");
        assert!(told_first.contains(&format!(": {why}. Gone on with.")), "{told_first}");
        let mut job = Job { recorded, at: later };
        assert_eq!(known_of(&job), before.0, "what was known is known");
        assert!((job.recorded.walk().minutes_worked() - before.1).abs() < 1e-9, "days are no work");
        let waited = job.recorded.walk().minutes_waited();
        let days_and_a_half_minute = f64::from(u32::try_from(days).expect("few")) * 24.0 * 60.0 + 0.5;
        assert!((waited - days_and_a_half_minute).abs() < 1e-9, "{waited} min waited in {days} days");
        // The cab was left up: how it stands is asked before anything, and then the gates.
        assert!(matches!(job.recorded.walk().now(), Now::Stands(_)), "{:?}", job.recorded.walk().now());
        job.say(Input::Answer("held".to_owned()));
        assert_eq!(job.recorded.walk().page().kind, PageKind::Gate, "nothing is in force that was days ago");
        if !to_the_end {
            continue;
        }
        job.confirm_all();
        // Whether the bar is still tied nobody knows either: no gate says so, the step that tied it does.
        assert_eq!(job.recorded.walk().step_id(), "tie-bar");
        let needed = job.recorded.walk().page().needed_for.expect("the reason");
        assert!(needed.ends_with("door-volts"), "{needed}");
        job.say(Input::Done);
        job.confirm_all();
        assert_eq!(job.recorded.walk().step_id(), "door-volts", "and on it goes where it was");
        job.finish(&mut script(&rest).0);
        let worked = job.recorded.walk().minutes_worked();
        assert!(worked > before.1 && worked < 24.0 * 60.0, "{worked}");
        drop(job);
        let (summary, report) = told(&place);
        assert_eq!(summary.standing.word(), "repaired", "{report}");
        assert!(summary.waits_for.is_empty());
        let listed = summary.begun.expect("it began").worked.value();
        assert!((listed - worked).abs() < 1e-6, "{listed} and {worked}");
    }
}

/// On the way to the cab as it was said to stand the power is locked out; the step that is the lockout asks no second time.
#[test]
fn a_job_left_at_its_lockout_with_the_cab_up_asks_for_it_once() {
    let folder = tempfile::tempdir().expect("a folder");
    let course = shipped("tern/no-lift-no-tilt");
    let demo = std::fs::read_to_string("demo/no-lift.answers.yaml").expect("there");
    let (known, _) = demo.split_once("- {step: unplug-for-door/lockout").expect("two parts");
    let place = place(folder.path(), "once");
    let (mut job, mut script) = Job::begin(&course, &place, known);
    job.walk_by(&mut script);
    assert_eq!(job.recorded.walk().step_id(), "unplug-for-door/lockout");
    let (at, before) = (job.at, job.recorded.walk().gates().len());
    drop(job);
    let later = Moment { wall_ms: at.wall_ms + DAY_MS, offset_min: 0, mono_ms: 7 };
    let recorded = Recorded::go_on(&place, &holder(later)).expect("it goes on");
    let mut job = Job { recorded, at: later };
    job.say(Input::Answer("held".to_owned()));
    job.confirm_all();
    let walk = job.recorded.walk();
    let vocabulary = walk.course().vocabulary();
    let asked: Vec<&str> = walk.gates()[before..].iter().map(|log| log.gate.name(vocabulary)).collect();
    assert_eq!(asked, ["park", "lower-arms", "lockout", "raise-cab", "lower-cab"]);
    assert_eq!(walk.step_id(), "x14-apart-door");
}

#[test]
fn every_end_says_how_the_machine_was_left_and_who_was_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let words = "Tag on the key switch; the foreman was told";
    for (tree, stands, report_says) in [
        ("hydraulics-opened", "temporary", "Works for now; not finished"),
        ("charging-volts", "not-reproduced", "The fault did not show; nothing was repaired."),
        ("part-awaited-cab-up", "referred", "Waits for: a controller"),
        ("cannot-at-the-first-gate", "referred", ""),
    ] {
        let (course, answers) = good(tree);
        let place = place(folder.path(), tree);
        let (mut job, mut script) = Job::begin(&course, &place, &answers);
        job.walk_by(&mut script);
        // Said at any time, and kept with its moment.
        job.say(Input::Left(words.to_owned()));
        let (at, worked) = (job.at, job.recorded.walk().minutes_worked());
        assert!(matches!(job.recorded.walk().now(), Now::Ended(_)), "{tree}");
        drop(job);
        let (summary, report) = told(&place);
        assert_eq!(summary.standing.word(), stands, "{tree}");
        assert!(report.contains(words) && report.contains(report_says), "{tree}: {report}");
        assert!(list(folder.path()).contains(&stands.replace('-', " ")));
        // Days later it opens as it ended: a note can be made, nothing else happens, and the days are no work.
        let later = Moment { wall_ms: at.wall_ms + 5 * DAY_MS, offset_min: 0, mono_ms: 0 };
        let mut again = Recorded::go_on(&place, &holder(later)).expect("it opens");
        assert!(matches!(again.walk().now(), Now::Ended(_)), "{tree}");
        assert!((again.walk().minutes_worked() - worked).abs() < 1e-9, "{tree}");
        let refused = again.say(Input::Done, later.later(1000)).expect("nothing fails");
        assert!(refused.is_err(), "{tree}: an ended job goes on");
        drop(again);
        assert_eq!(told(&place).0.standing.word(), stands, "{tree}");
    }
}
