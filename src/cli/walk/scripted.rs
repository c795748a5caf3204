//! Walking by an answers file.

use std::io::Write;
use std::path::Path;

use super::begin::{begun, go_on, job_place, new_job};
use super::{WalkArgs, walkable};
use crate::cli::disk::read_any;
use crate::cli::{Ending, Failure, Outcome};
use crate::diag::{Files, Locator, Paint, Place, Problems, problem_text, visible_line};
use crate::job::{Kept, Record, Recorded};
use crate::tui::Clock;
use crate::walk::{Answers, Declined, Event, Moment, Now, Parted, Script, Turn, Walk, Walker};

/// Walks by the file, from the start or on from where the job stopped.
pub(super) fn run(args: &WalkArgs, file: &Path, clock: Clock, out: &mut dyn Write) -> Outcome {
    let (answers, files) = read_answers(file)?;
    let now = clock.now();
    let start = match answers.start_ms {
        Some(ms) => Moment { wall_ms: ms, offset_min: 0, mono_ms: 0 },
        None => Moment { mono_ms: 0, ..now },
    };
    let details = answers.details.clone();
    let mut script = Script::new(answers, start);
    let mut recorded = if args.resume {
        let place = job_place(args, "", start)?;
        let mut recorded = go_on_by(&place, &mut script, start, &files)?;
        walk_on(&mut recorded, &mut script, &files)?;
        recorded
    } else {
        let course = walkable(args)?;
        let place = job_place(args, &course.tree().id, start)?;
        let first = begun(&course, &args.lang, Walker::Script, details);
        let mut recorded = new_job(&course, &place, &first, start)?;
        walk_on(&mut recorded, &mut script, &files)?;
        recorded
    };
    tell(&mut recorded, out)?;
    Ok(Ending::Fine)
}

fn read_answers(file: &Path) -> Result<(Answers, Files), Failure> {
    let source = read_any(file)?;
    let mut files = Files::default();
    let mut problems = Problems::default();
    let id = files.add(source.clone());
    let answers = Answers::read(&source.text, id, &mut problems);
    if problems.refused() {
        let mut locator = Locator::new(&files);
        let mut err = std::io::stderr().lock();
        for problem in problems.list() {
            let _ = writeln!(err, "{}", problem_text(problem, &files, &mut locator, Paint::Plain));
        }
        return Err(Failure::usage(format!("{} cannot be walked by", file.display())));
    }
    Ok((answers, files))
}

/// Goes on with a job: what is journalled already is matched against the script and skipped.
fn go_on_by(
    place: &crate::job::JobPlace,
    script: &mut Script,
    start: Moment,
    files: &Files,
) -> Result<Recorded, Failure> {
    let held = crate::job::read_journal::<Kept>(&crate::job::Disk, place)?;
    skip_journalled(&held.records, script, files)?;
    let last = held.records.last().map_or(start, |r| r.at);
    let clock = script.clock();
    let at = if clock.mono_ms >= last.mono_ms { clock } else { last };
    go_on(place, at)
}

/// Lets the script say again what the journal holds, and holds the one against the other.
fn skip_journalled(events: &[Record<Kept>], script: &mut Script, files: &Files) -> Result<(), Failure> {
    let Some((_, rest)) = events.split_first() else { return Ok(()) };
    let mut walk =
        crate::job::replay(&events[..1]).and_then(crate::job::Replayed::walk_on).map_err(Failure::looked)?;
    let mut at = 0;
    while at < rest.len() {
        let (event, moment) = (rest[at].event.event(), &rest[at].at);
        if matches!(event, Event::Resumed { .. } | Event::Lapsed { .. }) {
            take(&mut walk, event, *moment)?;
            at += 1;
            continue;
        }
        let turn = script.next(&walk).map_err(|p| parted(&p, files))?;
        let Turn::Say(input, _) = turn else {
            return Err(Failure::usage("the job holds more than this answers file says"));
        };
        match walk.accept(*input, *moment) {
            Ok(said) => {
                for one in said {
                    if at >= rest.len() {
                        break;
                    }
                    let (event, moment) = (rest[at].event.event(), &rest[at].at);
                    if one != *event {
                        return Err(Failure::usage(format!(
                            "the job and this answers file part at event {}",
                            at + 2
                        )));
                    }
                    take(&mut walk, event, *moment)?;
                    at += 1;
                }
            }
            Err(declined) => script.heard(&declined).map_err(|p| parted(&p, files))?,
        }
    }
    Ok(())
}

fn take(walk: &mut Walk, event: &Event, at: Moment) -> Result<(), Failure> {
    walk.apply(event, at).map_err(|e| Failure::looked(format!("this journal cannot be what happened: {e}")))
}

fn walk_on(recorded: &mut Recorded, script: &mut Script, files: &Files) -> Result<(), Failure> {
    loop {
        if matches!(recorded.walk().now(), Now::Ended(_)) && script.is_over() {
            return Ok(());
        }
        match script.next(recorded.walk()).map_err(|p| parted(&p, files))? {
            Turn::Over => return Ok(()),
            Turn::Say(input, at) => {
                if let Err(declined) = recorded.say(*input, at)? {
                    if let Declined::Lapsed(_) = declined {
                        continue;
                    }
                    script.heard(&declined).map_err(|p| parted(&p, files))?;
                }
            }
        }
    }
}

/// Where the walk and its answers file part: one line with the place, exit 2; the job is kept.
fn parted(parted: &Parted, files: &Files) -> Failure {
    let file: &Place = &parted.place;
    let mut locator = Locator::new(files);
    let span = locator.span(file);
    let at = locator.position(file.file_id(), span.start);
    let name = files.get(file.file_id()).map_or("", |s| s.name.as_str());
    Failure::usage(format!("{name}:{}: {}", at.line, parted.why)).hint("the job is kept as far as it came")
}

fn tell(recorded: &mut Recorded, out: &mut dyn Write) -> Result<(), Failure> {
    let place = recorded.place();
    writeln!(out, "Job {}: {}", place.name(), visible_line(&place.file().display().to_string()))?;
    let page = recorded.walk().page();
    let where_now = match recorded.walk().now() {
        Now::Ended(_) => page.title,
        _ => format!("open, at {}", recorded.walk().step_id()),
    };
    writeln!(out, "{}", visible_line(&where_now))?;
    writeln!(out, "Head {}", recorded.head().printed())?;
    Ok(())
}
