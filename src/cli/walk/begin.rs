//! Beginning a job, or going on with one: the journal open, the walk folded up to its last event.

use std::path::Path;

use super::WalkArgs;
use crate::cli::Failure;
use crate::job::{Disk, Held, Holder, JobName, JobPlace, Journal, JournalError, Kept, Replayed, replay};
use crate::tree::Walkable;
use crate::walk::{Declined, Details, Event, Input, Moment, Walk, Walker};

/// A walk and the journal that everything goes into before it counts.
pub(super) struct Recorded {
    pub(super) walk: Walk,
    pub(super) journal: Journal<'static, Kept>,
}

static DISK: Disk = Disk;

impl Recorded {
    /// Journals an event, then lets the walk take it in.
    pub(super) fn record(&mut self, event: &Event, at: Moment) -> Result<(), Failure> {
        // Tried on a copy first, so that nothing is journalled that could not have happened.
        let mut next = self.walk.clone();
        next.apply(event, at).map_err(|e| Failure::usage(format!("{e}; nothing was recorded")))?;
        self.journal.append(at, &Kept::from(event.clone()))?;
        self.walk = next;
        Ok(())
    }

    /// Says something to the walk; what is accepted is journalled before it shows.
    pub(super) fn say(&mut self, input: Input, at: Moment) -> Result<Result<(), Declined>, Failure> {
        let events = match self.walk.accept(input, at) {
            Ok(events) => events,
            Err(declined) => {
                if let Declined::Lapsed(cause) = declined {
                    self.record(&Event::Lapsed { cause }, at)?;
                }
                return Ok(Err(declined));
            }
        };
        for event in events {
            self.record(&event, at)?;
        }
        Ok(Ok(()))
    }
}

/// Where the job of these arguments lies; a name is made up if none was given.
pub(super) fn job_place(args: &WalkArgs, tree: &str, at: Moment) -> Result<JobPlace, Failure> {
    if let Some(name) = &args.job
        && args.resume
    {
        return args.jobs.place(Path::new(name));
    }
    let folder = args.jobs.path()?;
    let asked = |name: &str| name.parse::<JobName>().map_err(Failure::usage);
    if let Some(name) = &args.job {
        return Ok(JobPlace::named(&folder, &asked(name)?));
    }
    if args.resume {
        return Err(
            Failure::usage("which job is to go on?").hint("`--job NAME`; `loomwalk job list` shows them")
        );
    }
    for nth in 1..1000 {
        let suffix = if nth == 1 { String::new() } else { format!("-{nth}") };
        let place = JobPlace::named(&folder, &asked(&format!("{}-{tree}{suffix}", at.date()))?);
        if !place.file().exists() {
            return Ok(place);
        }
    }
    Err(Failure::usage("a thousand jobs of this tree today; give this one a name with `--job NAME`"))
}

fn holder(at: Moment) -> Holder {
    let host = std::env::var("HOSTNAME").or_else(|_| std::env::var("COMPUTERNAME")).ok();
    Holder { process: std::process::id(), host, since: at }
}

/// The event that begins the walk of a course.
pub(super) fn begun(course: &Walkable, lang: &str, walker: Walker, details: Details) -> Event {
    let tree = course.tree();
    Event::Begun { tree: tree.id.clone(), revision: tree.revision, lang: lang.to_owned(), walker, details }
}

/// A new job, its first event on the disk.
pub(super) fn new_job(
    course: &Walkable,
    place: &JobPlace,
    first: &Event,
    at: Moment,
) -> Result<Recorded, Failure> {
    let mut walk = Walk::new(course);
    walk.apply(first, at).map_err(Failure::usage)?;
    let opening = Kept::opening(&course.tree().files, first.clone());
    let journal = Held::new_job(&DISK, place, &holder(at))
        .and_then(|held| held.begin(at, &opening))
        .map_err(|error| match error {
            JournalError::Exists { .. } => {
                Failure::from(error).hint("`--resume` goes on with it; `--job NAME` gives another name")
            }
            other => Failure::from(other),
        })?;
    Ok(Recorded { walk, journal })
}

/// A job gone on with: the walk as its events leave it, and then resumed, conditions lapsed.
pub(super) fn go_on(place: &JobPlace, at: Moment) -> Result<Recorded, Failure> {
    let held = Held::open_job(&DISK, place, &holder(at))?;
    let found = held.recover::<Kept>()?;
    let mut walk = replay(&found.records).and_then(Replayed::walk_on).map_err(Failure::looked)?;
    let resumed = Event::Resumed { cut: found.torn.map(|torn| torn.bytes) };
    walk.apply(&resumed, at).map_err(|e| Failure::looked(format!("{}: {e}", place.name())))?;
    let journal = held.go_on(&found, at, &Kept::from(resumed))?;
    Ok(Recorded { walk, journal })
}
