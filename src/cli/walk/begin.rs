//! Beginning a job, or going on with one: the journal open, the walk folded up to its last event.

use std::path::Path;

use super::WalkArgs;
use crate::cli::Failure;
use crate::job::{Disk, Holder, JobName, JobPlace, JournalError, RecordFault, Recorded, gone_on_elsewhere};
use crate::tree::Walkable;
use crate::walk::{Details, Event, Moment, Walker};

impl From<RecordFault> for Failure {
    fn from(fault: RecordFault) -> Self {
        match fault {
            RecordFault::Journal(error) => error.into(),
            RecordFault::Replay(error) => Self::looked(error),
            RecordFault::Impossible(error) => Self::usage(format!("{error}; nothing was recorded")),
        }
    }
}

/// Where the job of these arguments lies; a name is made up if none was given.
pub(super) fn job_place(args: &WalkArgs, tree: &str, at: Moment) -> Result<JobPlace, Failure> {
    if let Some(name) = &args.job
        && args.resume
    {
        let place = args.jobs.place(Path::new(name))?;
        if !args.even_so {
            is_the_only_end(args, &place)?;
        }
        return Ok(place);
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

/// A job that has gone on in another file is not gone on with before that was told.
fn is_the_only_end(args: &WalkArgs, place: &JobPlace) -> Result<(), Failure> {
    let own = args.jobs.path().unwrap_or_default();
    let elsewhere = gone_on_elsewhere(&Disk, place, &[place.folder(), &own])?;
    let Some(copies) = elsewhere else { return Ok(()) };
    let mut lines = copies.lines().into_iter();
    let told = Failure::looked(lines.next().unwrap_or_default());
    let told = lines.fold(told, Failure::hint);
    Err(told.hint("Nothing was recorded. `--even-so` goes on with this one as it is."))
}

pub(in crate::cli) fn holder(at: Moment) -> Holder {
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
    Recorded::begin(course, place, first, &holder(at)).map_err(|fault| match fault {
        RecordFault::Journal(error @ JournalError::Exists { .. }) => {
            Failure::from(error).hint("`--resume` goes on with it; `--job NAME` gives another name")
        }
        other => other.into(),
    })
}

/// A job gone on with: the walk as its events leave it, and then resumed, conditions lapsed.
pub(super) fn go_on(place: &JobPlace, at: Moment) -> Result<Recorded, Failure> {
    Ok(Recorded::go_on(place, &holder(at))?)
}
