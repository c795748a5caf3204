//! What all screens look at: the job under way, the trees and jobs at hand, and what was said last.

use std::cell::OnceCell;
use std::path::PathBuf;

use super::open_jobs::OpenJobs;
use super::screens::{BySeat, PracticeScreen};
use super::suspects::Suspects;
use super::theme::{Letters, Palette};
use super::words::say;
use crate::diag::{FileId, Lang, Limits, Nodes, Problems, Text, Weight};
use crate::draw::seat_of;
use crate::job::{Disk, Holder, JobName, JobPlace, RecordFault, Recorded, Shelf, gone_on_elsewhere};
use crate::practice::{Asked, prepared};
use crate::reason::{Likely, OnWire, Whereabouts};
use crate::safety::Words;
use crate::tree::{BandKind, Kind, Leads, Shipped, Walkable, examine};
use crate::units::Meter;
use crate::walk::{Declined, Details, Event, Input, Moment, Now, Outcome, Page, Walk, Walker, band_words};

/// What the caller knows of the surroundings.
#[derive(Debug, Clone, Default)]
pub struct Surroundings {
    /// The folder of the jobs.
    pub jobs: PathBuf,
    /// The apprentice's own folder; practice from the start screen needs one.
    pub practice: Option<PathBuf>,
    /// The computer's name, where it is known.
    pub host: Option<String>,
    /// The language of new jobs.
    pub lang: String,
    /// The palette.
    pub palette: Palette,
    /// The letters.
    pub letters: Letters,
    /// The mechanic's meter, entered for an earlier job.
    pub meter: Option<Meter>,
    /// The file that keeps what was chosen once.
    pub settings: Option<PathBuf>,
}

/// A tree on the shelf.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct OnShelf {
    pub(super) name: String,
    pub(super) machine: String,
    pub(super) title: String,
}

/// What all screens look at.
#[derive(Debug)]
pub(super) struct Session {
    pub(super) around: Surroundings,
    recorded: Option<Recorded>,
    /// The page where the walk is, laid out once for each place it comes to.
    page: OnceCell<Option<Page>>,
    /// The tree that the program was started with, before its job has begun.
    pub(super) given: Option<Walkable>,
    suspects: Suspects,
    /// A customer looks over the shoulder.
    pub(super) hides_suspects: bool,
    pub(super) initials: Option<String>,
    pub(super) shelf: Vec<OnShelf>,
    pub(super) jobs: OpenJobs,
    /// One line about what was said last.
    pub(super) said: Option<String>,
    pub(super) at: Moment,
}

impl Session {
    pub(super) fn new(around: Surroundings, at: Moment) -> Self {
        Self {
            around,
            recorded: None,
            page: OnceCell::new(),
            given: None,
            suspects: Suspects::default(),
            hides_suspects: false,
            initials: None,
            shelf: Vec::new(),
            jobs: OpenJobs::default(),
            said: None,
            at,
        }
    }

    /// The language of the walk under way, or of what is to come.
    pub(super) fn lang(&self) -> Lang {
        self.walk().map_or_else(|| Lang::new(&self.around.lang), Walk::lang)
    }

    /// Words in that language.
    pub(super) fn word(&self, words: Words) -> &'static str {
        words.in_lang(&self.lang())
    }

    /// The job under way.
    pub(super) const fn job(&self) -> Option<&Recorded> {
        self.recorded.as_ref()
    }

    /// The walk under way.
    pub(super) fn walk(&self) -> Option<&Walk> {
        self.recorded.as_ref().map(Recorded::walk)
    }

    /// Says something to the walk; nothing without one.
    pub(super) fn say(&mut self, input: Input) -> Option<Result<Result<(), Declined>, RecordFault>> {
        self.page = OnceCell::new();
        let at = self.at;
        Some(self.recorded.as_mut()?.say(input, at))
    }

    /// Records what happened by itself; nothing without a walk.
    pub(super) fn record(&mut self, event: &Event) -> Option<Result<(), RecordFault>> {
        self.page = OnceCell::new();
        let at = self.at;
        Some(self.recorded.as_mut()?.record(event, at))
    }

    /// Lays the job aside; it is kept.
    pub(super) fn lay_aside(&mut self) {
        self.recorded = None;
        self.page = OnceCell::new();
    }

    /// Looks again at what lies on the shelf and in the folder of jobs.
    pub(super) fn look_around(&mut self) {
        if self.shelf.is_empty() {
            let names = Shipped::names();
            self.shelf = names.iter().filter_map(|name| on_shelf(name, &self.around.lang)).collect();
        }
        self.jobs.look(&self.around.jobs);
    }

    /// The page where the walk is.
    pub(super) fn page(&self) -> Option<&Page> {
        self.page.get_or_init(|| self.walk().map(Walk::page)).as_ref()
    }

    fn holder(&self) -> Holder {
        Holder { process: std::process::id(), host: self.around.host.clone(), since: self.at }
    }

    /// Begins a job of this tree, named as asked, by its number, or from the day.
    pub(super) fn begin(
        &mut self,
        course: &Walkable,
        name: Option<&JobName>,
        details: Details,
    ) -> Result<(), String> {
        let tree = course.tree();
        let details = Details { meter: details.meter.or(self.around.meter), ..details };
        let by_number = details.number.as_deref().and_then(|number| number.parse::<JobName>().ok());
        let is_free = |name: &JobName| !JobPlace::named(&self.around.jobs, name).file().exists();
        let place = self.new_place(&tree.id, name.or(by_number.as_ref().filter(|name| is_free(name))))?;
        let first = Event::Begun {
            tree: tree.id.clone(),
            revision: tree.revision,
            lang: self.around.lang.clone(),
            walker: Walker::Person,
            details,
        };
        self.take(Recorded::begin(course, &place, &first, &self.holder()))
    }

    fn new_place(&self, tree: &str, name: Option<&JobName>) -> Result<JobPlace, String> {
        if let Some(name) = name {
            return Ok(JobPlace::named(&self.around.jobs, name));
        }
        for nth in 1..1000 {
            let suffix = if nth == 1 { String::new() } else { format!("-{nth}") };
            let name: JobName = format!("{}-{tree}{suffix}", self.at.date())
                .parse()
                .map_err(|e: crate::job::NameError| e.to_string())?;
            let place = JobPlace::named(&self.around.jobs, &name);
            if !place.file().exists() {
                return Ok(place);
            }
        }
        Err("a thousand jobs of this tree today".to_owned())
    }

    /// Practice on a tree of the shelf.
    pub(super) fn practised(&self, tree: &str) -> Result<PracticeScreen, String> {
        let folder = self.around.practice.as_ref().ok_or("there is no folder for practice")?;
        let own = Shelf::new(folder);
        let asked = Asked { lang: self.around.lang.clone(), ..Asked::default() };
        let sitting = prepared(&shipped(tree)?, &own, &asked, &self.holder()).map_err(|e| e.to_string())?;
        Ok(PracticeScreen::new(sitting, own))
    }

    /// A job that has gone on in another file of the folder is not gone on with before that was told.
    pub(super) fn is_the_only_end(place: &JobPlace) -> Result<(), String> {
        let elsewhere =
            gone_on_elsewhere(&Disk, place, &[place.folder()]).map_err(|error| error.to_string())?;
        let Some(first) = elsewhere.and_then(|copies| copies.lines().into_iter().next()) else {
            return Ok(());
        };
        Err(format!("{first} `loomwalk job list` says what to do."))
    }

    /// Goes on with a job.
    pub(super) fn go_on(&mut self, place: &JobPlace) -> Result<(), String> {
        self.take(Recorded::go_on(place, &self.holder()))?;
        self.said = self.recorded.as_ref().and_then(Recorded::gone_on);
        Ok(())
    }

    fn take(&mut self, opened: Result<Recorded, RecordFault>) -> Result<(), String> {
        self.recorded = Some(opened.map_err(|fault| fault.to_string())?);
        self.page = OnceCell::new();
        self.initials = None;
        Ok(())
    }

    /// Where the suspects that are left sit.
    pub(super) fn by_seat(&self) -> BySeat {
        let machine = self.walk().and_then(|walk| walk.course().tree().model.as_deref());
        let (Some(machine), Some(found)) = (machine, self.whereabouts()) else { return Vec::new() };
        let left = found.suspects.iter().filter(|suspect| !suspect.ruled_out);
        let seat = |suspect: &OnWire| {
            let seat = seat_of(machine, machine.fault_named(&suspect.fault)?)?;
            Some((seat, suspect.probability.value(), suspect.likely == Likely::Likeliest))
        };
        left.filter_map(seat).collect()
    }

    /// Where the trouble can still be, as far as it is known and may be shown.
    pub(super) fn whereabouts(&self) -> Option<&Whereabouts> {
        let found = self.walk().and_then(|walk| self.suspects.found(walk));
        found.filter(|_| !self.hides_suspects)
    }

    /// Lets the worker think about the walk if it has come on.
    pub(super) fn think(&mut self) {
        match &self.recorded {
            Some(job) => self.suspects.ask(job.walk()),
            None => self.suspects.forget(),
        }
    }

    /// What the worker is at.
    pub(super) fn suspects(&mut self) -> &mut Suspects {
        &mut self.suspects
    }

    /// Minutes worked up to now; waiting, the clock stands still.
    pub(super) fn minutes(&self) -> u64 {
        let Some(walk) = self.walk() else { return 0 };
        let stands = matches!(walk.now(), Now::Waiting(_) | Now::Ended(_));
        let since = if stands { 0 } else { self.at.since(walk.last()) / 60_000 };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "minutes are small and positive"
        )]
        let worked = walk.minutes_worked() as u64;
        worked + since
    }

    /// What the last reading was taken for.
    pub(super) fn band_told(&self) -> Option<String> {
        let walk = self.walk()?;
        let visit = walk.visits().iter().rev().find(|v| matches!(v.outcome, Outcome::Read { .. }))?;
        let Outcome::Read { reading, band, .. } = &visit.outcome else { return None };
        let Kind::Read(read) = &walk.course().tree().step(visit.step).kind else { return None };
        let band = read.bands.get(*band)?;
        let means = band.means.as_ref().map_or("", |t| t.in_lang(&walk.lang()));
        // The reading before this screen; without its place it would be taken for the one that is asked for now.
        let at = match &read.leads {
            Leads::RedBlack { red, .. } => red.as_str(),
            Leads::Across(first, _) => first,
            Leads::Around(what) | Leads::At(what) => what,
        };
        let before = self.word(say("Before, at", "Antes, en"));
        Some(match &band.kind {
            BandKind::Range(range) if means.is_empty() => {
                format!("{before} {at}: {reading}, {}", band_words(*range, &walk.lang()))
            }
            BandKind::Range(range) => {
                format!("{before} {at}: {reading}, {}: {means}", band_words(*range, &walk.lang()))
            }
            BandKind::Like(_) => format!("{before} {at}: {reading}, {means}"),
        })
    }
}

/// What stands on the shelf is read for its title only, so that the first frame does not wait; whether it may be walked is
/// found out when it is taken.
fn on_shelf(name: &str, lang: &str) -> Option<OnShelf> {
    let (machine, file) = name.rsplit_once('/')?;
    if machine == "common" || file == "machine" {
        return None;
    }
    let source = Shipped::named(name)?;
    let title = title_in(title_lines(&source.text)).or_else(|| title_in(&source.text));
    let title = title.map_or_else(|| file.to_owned(), |title| title.in_lang(&Lang::new(lang)).to_owned());
    Some(OnShelf { name: name.to_owned(), machine: machine.to_owned(), title })
}

/// The line of the title, and those indented under it; nothing if no line begins with it.
fn title_lines(text: &str) -> &str {
    let Some(from) = text.find("\ntitle:").map(|at| at + 1) else { return "" };
    let goes_on = |(at, _): &(usize, &str)| text[from..][at + 1..].starts_with([' ', '\n']);
    let ends = text[from..].match_indices('\n').find(|line| !goes_on(line));
    ends.map_or(&text[from..], |(at, _)| &text[from..from + at])
}

fn title_in(text: &str) -> Option<Text> {
    let mut problems = Problems::default();
    let nodes = Nodes::default();
    let node = nodes.parse_yaml(text, FileId(0), Limits::default(), &mut problems)?;
    Text::read(node.get("title")?, FileId(0), &mut problems)
}

/// A shipped tree that may be walked; or in one line why it may not.
pub(super) fn shipped(name: &str) -> Result<Walkable, String> {
    let source = Shipped::named(name).ok_or_else(|| format!("there is no tree {name}"))?;
    let examined = examine(&source, &Shipped);
    let first = examined.problems.list().iter().find(|p| p.weight == Weight::Refused);
    let why = first.map_or_else(String::new, |problem| format!(": {}", problem.wrong));
    examined.walkable().ok_or_else(|| format!("{name} is refused and cannot be walked{why}"))
}
