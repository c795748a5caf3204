//! A job in one line: what a listing says of it, computed from its events alone.
//!
//! It asks neither whether the tree may still be walked nor whether the events could have happened,
//! so that a folder of ten thousand jobs is listed in seconds and a damaged job is listed too.

use super::journal::Recovered;
use super::kept::Kept;
use crate::tree::CloseAs;
use crate::units::Minutes;
use crate::walk::{Details, EndedAs, Event, Lapse, Moment, Walker};

/// How far a job is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Under way, or left in the middle.
    Open,
    /// It waits: for a part, for somebody, for tomorrow.
    Waiting,
    /// It has ended.
    Ended(EndedAs),
}

impl Standing {
    /// The word for it in JSON and CSV.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Waiting => "waiting",
            Self::Ended(EndedAs::Closed(CloseAs::Repaired)) => "repaired",
            Self::Ended(EndedAs::Closed(CloseAs::NotReproduced)) => "not-reproduced",
            Self::Ended(EndedAs::Closed(CloseAs::Temporary)) => "temporary",
            Self::Ended(EndedAs::Referred) => "referred",
            Self::Ended(EndedAs::Guarded) => "guarded",
        }
    }
}

impl Condition {
    /// The word for it in JSON and CSV.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Whole => "whole",
            Self::Torn => "torn",
            Self::Damaged => "damaged",
        }
    }
}

/// Whether the journal is as it was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Condition {
    /// Every byte belongs to an event that chains.
    Whole,
    /// Its last line was not finished.
    Torn,
    /// Something in it does not chain.
    Damaged,
}

/// A job in one line.
#[derive(Debug, Clone, PartialEq)]
pub struct Summary {
    /// The job's name.
    pub name: String,
    /// Whether its journal is as it was written.
    pub condition: Condition,
    /// How many events can be read.
    pub events: u64,
    /// What its first event says; None when it cannot be read.
    pub begun: Option<Begun>,
    /// How far it is.
    pub standing: Standing,
    /// What it waits for, as it was said; empty where it does not wait, or nobody said.
    pub waits_for: String,
}

/// What is known of a job that began.
#[derive(Debug, Clone, PartialEq)]
pub struct Begun {
    /// The tree's id.
    pub tree: String,
    /// Its revision.
    pub revision: u32,
    /// The version of the program that began it.
    pub version: String,
    /// Who walks; practice is no job.
    pub walker: Walker,
    /// What is known beside the walk.
    pub details: Details,
    /// When it began.
    pub started: Moment,
    /// When the last thing happened.
    pub last: Moment,
    /// The time worked: waits, and the time between leaving and taking up again, left out.
    pub worked: Minutes,
}

/// What a listing asks of a line of a journal.
pub trait Listable {
    /// The event.
    fn event(&self) -> &Event;
    /// On the first line, the version of the program that opened the job.
    fn version(&self) -> Option<&str>;
}

impl Listable for Kept {
    fn event(&self) -> &Event {
        Self::event(self)
    }

    fn version(&self) -> Option<&str> {
        match self {
            Self::Opened(opening) => Some(&opening.version),
            Self::Walk(_) => None,
        }
    }
}

impl Summary {
    /// Folds what was recovered of a job of this name.
    #[must_use]
    pub fn of<E: Listable>(name: String, found: &Recovered<E>) -> Self {
        let condition = match (found.damage.is_empty() && !found.records.is_empty(), found.torn) {
            (false, _) => Condition::Damaged,
            (true, Some(_)) => Condition::Torn,
            (true, None) => Condition::Whole,
        };
        let events = found.records.len() as u64;
        let standing = found
            .records
            .iter()
            .fold(Standing::Open, |so_far, record| stands_after(so_far, record.event.event()));
        let waits_for = if standing == Standing::Waiting { last_wait(found) } else { String::new() };
        Self { name, condition, events, begun: begun(found), standing, waits_for }
    }

    /// How it stands in words, with what it waits for: `waiting: a clamp`.
    #[must_use]
    pub fn stands(&self) -> String {
        let word = self.standing.word().replace('-', " ");
        if self.waits_for.is_empty() { word } else { format!("{word}: {}", self.waits_for) }
    }
}

fn last_wait<E: Listable>(found: &Recovered<E>) -> String {
    let why = |event: &Event| match event {
        Event::Waits { why } => Some(why.clone()),
        _ => None,
    };
    found.records.iter().rev().find_map(|record| why(record.event.event())).unwrap_or_default()
}

fn stands_after(before: Standing, event: &Event) -> Standing {
    match (before, event) {
        (_, Event::Ended { how, .. }) => Standing::Ended(*how),
        (Standing::Ended(how), _) => Standing::Ended(how),
        (_, Event::Waits { .. }) => Standing::Waiting,
        (_, Event::Stayed | Event::Lapsed { .. } | Event::Resumed { .. }) => Standing::Open,
        (before, _) => before,
    }
}

fn begun<E: Listable>(found: &Recovered<E>) -> Option<Begun> {
    let (first, last) = (found.records.first()?, found.records.last()?);
    let version = first.event.version()?;
    let Event::Begun { tree, revision, walker, details, .. } = first.event.event() else { return None };
    let details = found
        .records
        .iter()
        .rev()
        .find_map(|record| match record.event.event() {
            Event::Details { details } => Some(details),
            _ => None,
        })
        .unwrap_or(details);
    Some(Begun {
        tree: tree.clone(),
        revision: *revision,
        version: version.to_owned(),
        walker: *walker,
        details: details.clone(),
        started: first.at,
        last: last.at,
        worked: worked(found),
    })
}

#[expect(clippy::cast_precision_loss, reason = "2^53 ms are 285,000 years")]
fn worked<E: Listable>(found: &Recovered<E>) -> Minutes {
    let (mut milliseconds, mut waits) = (0, false);
    for pair in found.records.windows(2) {
        let event = pair[1].event.event();
        let comes_back =
            matches!(event, Event::Resumed { .. } | Event::Stayed | Event::Lapsed { cause: Lapse::LeftIt });
        if !waits && !comes_back {
            milliseconds += pair[1].at.since(pair[0].at);
        }
        waits = matches!(event, Event::Waits { .. }) || (waits && !comes_back);
    }
    Minutes(milliseconds as f64 / 60_000.0)
}

#[cfg(test)]
mod tests {
    use super::super::journal::{ChainHash, Record, Torn};
    use super::*;

    fn found(events: &[(u64, Event)]) -> Recovered<Kept> {
        let begun = Event::Begun {
            tree: "no-lift".to_owned(),
            revision: 3,
            lang: "en".to_owned(),
            walker: Walker::Person,
            details: Details::default(),
        };
        let opening = Kept::opening(&crate::diag::Files::default(), begun);
        let kept = std::iter::once((0, opening))
            .chain(events.iter().map(|(minute, event)| (*minute, Kept::from(event.clone()))));
        let records = kept.zip(1..).map(|((minute, event), seq)| Record {
            seq,
            at: Moment { mono_ms: minute * 60_000, ..Moment::default() },
            event,
            hash: ChainHash::of(b""),
        });
        let records = records.collect();
        Recovered { records, damage: Vec::new(), torn: None, stranded: 0, bytes: 0 }
    }

    fn summary(events: &[(u64, Event)]) -> Summary {
        Summary::of("0318".to_owned(), &found(events))
    }

    fn waits() -> Event {
        Event::Waits { why: "part".to_owned() }
    }

    fn said() -> Event {
        Event::Answered { step: "a".to_owned(), answer: "yes".to_owned() }
    }

    #[test]
    fn waits_and_absence_are_not_work() {
        let resumed = Event::Resumed { cut: None };
        let left = Event::Left { text: "tagged".to_owned() };
        let events = [
            (10, said()),
            (12, waits()),
            (40, left),
            (60, Event::Stayed),
            (61, said()),
            (500, resumed),
            (503, said()),
        ];
        let begun = summary(&events).begun.expect("it began");
        assert_eq!(begun.worked, Minutes(16.0));
        assert_eq!(begun.last.mono_ms, 503 * 60_000);
    }

    #[test]
    fn a_job_stands_where_its_last_events_left_it() {
        let ended = || Event::Ended { step: "z".to_owned(), how: EndedAs::Referred };
        let note = || Event::Note { step: "z".to_owned(), text: "n".to_owned() };
        for (events, standing) in [
            (vec![(1, said())], Standing::Open),
            (vec![(1, waits()), (2, note())], Standing::Waiting),
            (vec![(1, waits()), (2, Event::Resumed { cut: None })], Standing::Open),
            (
                vec![(1, ended()), (2, note()), (3, Event::Resumed { cut: None })],
                Standing::Ended(EndedAs::Referred),
            ),
        ] {
            assert_eq!(summary(&events).standing, standing, "{events:?}");
        }
    }

    #[test]
    fn the_last_details_count() {
        let details = Details { serial: Some("4417".to_owned()), ..Details::default() };
        let changed = Event::Details { details: details.clone() };
        assert_eq!(summary(&[(1, changed), (2, said())]).begun.expect("it began").details, details);
    }

    #[test]
    fn a_job_of_which_nothing_can_be_read_is_listed_as_damaged() {
        let mut nothing = found(&[]);
        nothing.records.clear();
        nothing.torn = Some(Torn { offset: 0, bytes: 5 });
        let summary = Summary::of("0318".to_owned(), &nothing);
        assert_eq!((summary.condition, summary.begun), (Condition::Damaged, None));
        let mut torn = found(&[]);
        torn.torn = Some(Torn { offset: 9, bytes: 5 });
        assert_eq!(Summary::of("0318".to_owned(), &torn).condition, Condition::Torn);
    }
}
