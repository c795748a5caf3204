//! One job in several files: copies of it, and places in which it was continued.
//!
//! The hash of the first line is the job's own, wherever its file is copied to and whatever it is called there. Two
//! chains with the same first hash are the same up to some event; then one of them ends, or they part. Nothing is ever
//! merged: which end is gone on with is for a person to say.

use std::collections::{HashMap, HashSet};
use std::path::Path;

use super::journal::{ChainHash, FileLayer, Head, JournalError, Recovered, read_journal_by};
use super::place::{JobPlace, jobs_in};
use crate::walk::Moment;

/// So much of the beginning of a file is looked at before all of it is read: number, moment and version of its opening.
const PEEKED: u64 = 256;

/// One file of a job, as a chain of hashes and moments.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobFile {
    /// What the job is called in it.
    pub name: String,
    chain: Vec<(ChainHash, Moment)>,
}

/// How one file of a job stands beside another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Beside {
    /// They are two jobs.
    Another,
    /// The same to the last event.
    Same,
    /// It holds all of the other, and so many more events.
    Ahead(u64),
    /// The other holds all of it, and so many more events.
    Behind(u64),
    /// The same up to this event, and from there each goes its own way.
    Parted {
        /// The last event that they share, counted from 1.
        after: u64,
    },
}

impl JobFile {
    /// What can be read of a file; `None` where that is no event.
    #[must_use]
    pub fn of<E>(name: String, found: &Recovered<E>) -> Option<Self> {
        let chain: Vec<_> = found.records.iter().map(|record| (record.hash, record.at)).collect();
        (!chain.is_empty()).then_some(Self { name, chain })
    }

    /// How many events it holds.
    #[must_use]
    pub fn events(&self) -> u64 {
        self.chain.len() as u64
    }

    /// The moment of an event, counted from 1.
    #[must_use]
    pub fn moment(&self, event: u64) -> Option<Moment> {
        let at = usize::try_from(event).ok()?.checked_sub(1)?;
        self.chain.get(at).map(|(_, at)| *at)
    }

    /// How many events the two share.
    #[must_use]
    pub fn shared(&self, other: &Self) -> u64 {
        let pairs = self.chain.iter().zip(&other.chain);
        pairs.take_while(|((one, _), (two, _))| one == two).count() as u64
    }

    /// How it stands beside another.
    #[must_use]
    pub fn beside(&self, other: &Self) -> Beside {
        match self.shared(other) {
            0 => Beside::Another,
            shared if shared == self.events() && shared == other.events() => Beside::Same,
            shared if shared == other.events() => Beside::Ahead(self.events() - shared),
            shared if shared == self.events() => Beside::Behind(other.events() - shared),
            after => Beside::Parted { after },
        }
    }
}

/// The files of one job, two or more.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Copies {
    /// The files that no other goes on from, each with an end of its own: more than one where the job has parted.
    pub ends: Vec<JobFile>,
    /// Names of the files that say nothing which an end does not say, each with how many events that end has more, and
    /// which end it is.
    pub older: Vec<(String, u64, usize)>,
    /// How many events all ends share.
    pub shared: u64,
}

impl Copies {
    /// Sorts the files of one job; `None` where it is only one.
    #[must_use]
    pub fn among(mut files: Vec<JobFile>) -> Option<Self> {
        if files.len() < 2 {
            return None;
        }
        files.sort_by(|a, b| b.chain.len().cmp(&a.chain.len()).then_with(|| a.name.cmp(&b.name)));
        let (mut ends, mut older): (Vec<JobFile>, Vec<(String, u64, usize)>) = (Vec::new(), Vec::new());
        for file in files {
            let beyond = ends.iter().enumerate().find_map(|(at, end)| match file.beside(end) {
                Beside::Same => Some((0, at)),
                Beside::Behind(missing) => Some((missing, at)),
                _ => None,
            });
            match beyond {
                Some((missing, end)) => older.push((file.name, missing, end)),
                None => ends.push(file),
            }
        }
        let shared = ends.iter().map(|end| end.shared(&ends[0])).min().unwrap_or(0);
        Some(Self { ends, older, shared })
    }

    /// True where the job was continued in more than one place.
    #[must_use]
    pub fn has_parted(&self) -> bool {
        self.ends.len() > 1
    }

    /// The names of all files.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        let ends = self.ends.iter().map(|end| end.name.as_str());
        ends.chain(self.older.iter().map(|(name, ..)| name.as_str()))
    }

    /// What there is to say: which file ends where and when, and what to do.
    #[must_use]
    pub fn lines(&self) -> Vec<String> {
        if !self.has_parted() {
            return self.older_lines();
        }
        let end = |file: &JobFile| {
            let more = file.events() - self.shared;
            let last = file.moment(file.events()).map_or_else(String::new, |at| at.to_string());
            format!("  {} has {more} more, the last at {last}", file.name)
        };
        let when = self.ends[0].moment(self.shared).map_or_else(String::new, |at| at.to_string());
        let places = self.ends.len();
        let mut lines = vec![format!(
            "One job, continued in {places} places: the same to event {}, at {when}, and then each its own way.",
            self.shared
        )];
        lines.extend(self.ends.iter().map(end));
        lines.extend(self.older_lines());
        lines.push(format!(
            "Nothing is merged. Choose the one that the machine stands by; write into it, as notes, what the other says \
             (`loomwalk job show {}`); then take the other out of this folder.",
            self.ends[1].name
        ));
        lines
    }

    fn older_lines(&self) -> Vec<String> {
        let told = |(name, missing, end): &(String, u64, usize)| {
            let end = &self.ends[*end].name;
            match missing {
                0 => format!("{name} is a copy of {end}, the same to the last event."),
                1 => format!("{name} is an older copy of {end}, 1 event short. Go on with {end}."),
                more => format!("{name} is an older copy of {end}, {more} events short. Go on with {end}."),
            }
        };
        self.older.iter().map(told).collect()
    }
}

/// Which job a file is of, and where it ends, as a listing keeps it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ends {
    /// The hash of its first line: the job's own.
    pub first: ChainHash,
    /// The head.
    pub last: Head,
}

impl Ends {
    /// Of what was recovered; `None` where that is no event.
    #[must_use]
    pub fn of<E>(found: &Recovered<E>) -> Option<Self> {
        Some(Self { first: found.records.first()?.hash, last: found.head() })
    }
}

/// Jobs that lie in more than one of these files. Only those are read a second time, and of several with the same head
/// only one.
#[must_use]
pub fn copies_among(layer: &dyn FileLayer, files: &[(&JobPlace, Ends)]) -> Vec<Copies> {
    let mut groups: HashMap<ChainHash, Vec<(&JobPlace, Head)>> = HashMap::new();
    for (place, ends) in files {
        groups.entry(ends.first).or_default().push((place, ends.last));
    }
    let mut all: Vec<Copies> = groups
        .into_values()
        .filter(|group| group.len() > 1)
        .filter_map(|group| {
            let mut read: HashMap<ChainHash, Vec<(ChainHash, Moment)>> = HashMap::new();
            let files = group.into_iter().filter_map(|(place, head)| {
                let chain = match read.get(&head.hash) {
                    Some(known) => known.clone(),
                    None => read.entry(head.hash).or_insert(chain_of(layer, place)?.chain).clone(),
                };
                Some(JobFile { name: place.name(), chain })
            });
            Copies::among(files.collect())
        })
        .collect();
    all.sort_by(|a, b| a.ends[0].name.cmp(&b.ends[0].name));
    all
}

/// Where another file of this job in these folders goes on from where it ends, or has parted from it: what is to be
/// told before it is gone on with.
///
/// # Errors
/// When the job itself cannot be read. Files beside it that cannot be read are passed over.
pub fn gone_on_elsewhere(
    layer: &dyn FileLayer,
    place: &JobPlace,
    folders: &[&Path],
) -> Result<Option<Copies>, JournalError> {
    let own = read_journal_by(layer, place, nothing)?;
    let Some(own) = JobFile::of(place.name(), &own) else { return Ok(None) };
    let Ok(beginning) = layer.read(place.file(), PEEKED) else { return Ok(None) };
    let mut files = vec![own.clone()];
    let folders: HashSet<&Path> = folders.iter().copied().collect();
    for folder in folders {
        let there = jobs_in(layer, folder).unwrap_or_default();
        let others = there.into_iter().filter(|other| other.file() != place.file());
        let same =
            others.filter(|other| layer.read(other.file(), PEEKED).is_ok_and(|read| read == beginning));
        let named = |other: JobPlace| {
            let mut file = chain_of(layer, &other)?;
            // Elsewhere the same name may be another file: it is told with its folder.
            if file.name == own.name {
                file.name = other.file().display().to_string();
            }
            Some(file)
        };
        files.extend(
            same.filter_map(named)
                .filter(|file| matches!(own.beside(file), Beside::Behind(_) | Beside::Parted { .. })),
        );
    }
    Ok(Copies::among(files))
}

fn chain_of(layer: &dyn FileLayer, place: &JobPlace) -> Option<JobFile> {
    JobFile::of(place.name(), &read_journal_by(layer, place, nothing).ok()?)
}

/// Reads nothing of an event: only the chain is asked for.
#[expect(clippy::unnecessary_wraps, reason = "the form that a reader of events has")]
fn nothing(_: &str) -> Result<(), String> {
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(name: &str, chain: &[&str]) -> JobFile {
        let link = |(minute, text): (i64, &&str)| {
            (ChainHash::of(text.as_bytes()), Moment { wall_ms: minute * 60_000, ..Moment::default() })
        };
        JobFile { name: name.to_owned(), chain: (0..).zip(chain).map(link).collect() }
    }

    #[test]
    fn two_files_stand_beside_each_other_as_their_chains_do() {
        let whole = file("a", &["1", "2", "3"]);
        for (other, beside) in [
            (file("b", &["1", "2", "3"]), Beside::Same),
            (file("b", &["1", "2"]), Beside::Ahead(1)),
            (file("b", &["1", "2", "3", "4", "5"]), Beside::Behind(2)),
            (file("b", &["1", "2", "x"]), Beside::Parted { after: 2 }),
            (file("b", &["x", "2", "3"]), Beside::Another),
        ] {
            assert_eq!(whole.beside(&other), beside, "{other:?}");
        }
    }

    #[test]
    fn ends_are_told_with_their_time_and_what_to_do() {
        let files = vec![
            file("old", &["1", "2"]),
            file("a", &["1", "2", "3", "4"]),
            file("b", &["1", "2", "x"]),
            file("again", &["1", "2", "x"]),
        ];
        let copies = Copies::among(files).expect("several");
        assert!(copies.has_parted());
        assert_eq!(
            copies.lines().join("\n"),
            "One job, continued in 2 places: the same to event 2, at 1970-01-01 00:01, and then each its own way.\n  \
             a has 2 more, the last at 1970-01-01 00:03\n  \
             again has 1 more, the last at 1970-01-01 00:02\n\
             b is a copy of again, the same to the last event.\n\
             old is an older copy of a, 2 events short. Go on with a.\n\
             Nothing is merged. Choose the one that the machine stands by; write into it, as notes, what the other says \
             (`loomwalk job show again`); then take the other out of this folder."
        );
        assert_eq!(Copies::among(vec![file("a", &["1"])]), None);
    }
}
