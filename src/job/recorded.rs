//! A walk and its journal together: what happens is on the disk before it counts.

use super::journal::{Disk, Head, Held, Holder, Journal, JournalError};
use super::kept::Kept;
use super::place::JobPlace;
use super::replay::{ReplayFault, replay};
use crate::safety::Words;
use crate::tree::Walkable;
use crate::walk::{Declined, Event, Impossible, Input, Moment, Walk};

static DISK: Disk = Disk;

/// Why something could not be recorded.
#[derive(Debug, thiserror::Error)]
pub enum RecordFault {
    /// It could not have happened here.
    #[error("{0}; nothing was recorded")]
    Impossible(#[from] Impossible),
    /// The journal could not be read or written.
    #[error(transparent)]
    Journal(#[from] JournalError),
    /// What the journal holds cannot be gone on with.
    #[error(transparent)]
    Replay(#[from] ReplayFault),
}

/// A walk and the journal that everything goes into before it counts.
pub struct Recorded {
    walk: Walk,
    journal: Journal<'static, Kept>,
    gone_on: Option<GoneOn>,
}

/// A job was taken up again.
#[derive(Clone)]
struct GoneOn {
    /// The bytes at its end that were no whole line, and were cut.
    cut: Option<u64>,
    /// Since when it had waited, and for what.
    waited: Option<(Moment, String)>,
}

const GONE_ON: Words = Words {
    en: "Gone on with. Nothing at the machine is taken for granted; the gates are asked again.",
    es: "Se sigue. Nada en la máquina se da por hecho; los controles se preguntan otra vez.",
};
const WAITED: Words = Words { en: "It waited since", es: "Esperaba desde el" };
const CUT: Words = Words {
    en: "bytes at the end, a line that was never finished, were cut; all that had been recorded is there.",
    es: "bytes al final, una línea sin terminar, se cortaron; todo lo registrado está.",
};

impl std::fmt::Debug for Recorded {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Recorded").field("job", &self.journal.place().name()).finish_non_exhaustive()
    }
}

impl Recorded {
    /// A new job, its first event on the disk.
    ///
    /// # Errors
    /// When the name is taken, or the disk does not take it.
    pub fn begin(
        course: &Walkable,
        place: &JobPlace,
        first: &Event,
        holder: &Holder,
    ) -> Result<Self, RecordFault> {
        let at = holder.since;
        let mut walk = Walk::new(course);
        walk.apply(first, at)?;
        let opening = Kept::opening(&course.tree().files, first.clone());
        let journal = Held::new_job(&DISK, place, holder)?.begin(at, &opening)?;
        Ok(Self { walk, journal, gone_on: None })
    }

    /// A job gone on with: the walk as its events leave it, and then resumed, conditions lapsed.
    ///
    /// # Errors
    /// When the journal is damaged, or its tree would be refused today.
    pub fn go_on(place: &JobPlace, holder: &Holder) -> Result<Self, RecordFault> {
        let at = holder.since;
        let held = Held::open_job(&DISK, place, holder)?;
        let found = held.recover::<Kept>()?;
        let mut walk = replay(&found.records)?.walk_on()?;
        let waited = walk.waits_for().map(|(since, why)| (since, why.to_owned()));
        let cut = found.torn.map(|torn| torn.bytes);
        let resumed = Event::Resumed { cut };
        walk.apply(&resumed, at).map_err(ReplayFault::Impossible)?;
        let journal = held.go_on(&found, at, &Kept::from(resumed))?;
        Ok(Self { walk, journal, gone_on: Some(GoneOn { cut, waited }) })
    }

    /// The walk as far as it has come.
    #[must_use]
    pub const fn walk(&self) -> &Walk {
        &self.walk
    }

    /// What is said when a job is gone on with; nothing of a new one.
    #[must_use]
    pub fn gone_on(&self) -> Option<String> {
        let lang = self.walk.lang();
        let GoneOn { cut, waited } = self.gone_on.as_ref()?;
        let waited = waited.as_ref().map(|(since, why)| {
            let why = if why.is_empty() { String::new() } else { format!(": {why}") };
            format!("{} {since}{why}.", WAITED.in_lang(&lang))
        });
        let cut = cut.map(|bytes| format!("{bytes} {}", CUT.in_lang(&lang)));
        let said = waited.into_iter().chain([GONE_ON.in_lang(&lang).to_owned()]).chain(cut);
        Some(said.collect::<Vec<_>>().join(" "))
    }

    /// Where the job lies.
    #[must_use]
    pub fn place(&self) -> &JobPlace {
        self.journal.place()
    }

    /// The head of its journal.
    #[must_use]
    pub fn head(&self) -> Head {
        self.journal.head()
    }

    /// Journals an event, then lets the walk take it in.
    ///
    /// # Errors
    /// When it could not have happened, or the disk does not take it; the walk is then as it was.
    pub fn record(&mut self, event: &Event, at: Moment) -> Result<(), RecordFault> {
        // Tried on a copy first, so that nothing is journalled that could not have happened.
        let mut next = self.walk.clone();
        next.apply(event, at)?;
        self.journal.append(at, &Kept::from(event.clone()))?;
        self.walk = next;
        Ok(())
    }

    /// Says something to the walk; what is accepted is journalled before it shows.
    ///
    /// # Errors
    /// As [`Recorded::record`]. What the walk declines is no error.
    pub fn say(&mut self, input: Input, at: Moment) -> Result<Result<(), Declined>, RecordFault> {
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
