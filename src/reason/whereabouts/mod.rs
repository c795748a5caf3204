//! Where the trouble can still be: the suspects along the wire, what was ruled out, and what would be
//! quickest now; computed from what was seen in a round of a walk, and from nothing else.

mod account;
mod along;
mod lines;
mod observed;
mod worker;

pub use account::Moved;
pub use along::{Along, faults_said};
pub use lines::WireLine;
pub use observed::{Observed, RoundBefore, Said, SeenAt};
pub use worker::Suggester;

use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;

use super::chance::Probability;
use super::evidence::{Evidence, Listed};
use super::lineup::Lineup;
use super::outlook::Outlook;
use super::ranking::{Likely, Ranking, RuledOut, Who, rank, ruled_out};
use super::suggest::{Chart, Choice, Done, Moves, Standing, Suggestion, Weighed, Worth, choose, normalised};
use crate::machine::{Day, FaultId, FaultKind, Today};
use crate::tree::Course;
use crate::units::{Meter, Minutes};
use along::{along_the_wire, by_name};

/// A suspect where it sits.
#[derive(Debug, Clone, PartialEq)]
pub struct OnWire {
    /// The fault, by its name.
    pub fault: String,
    /// Where it sits, and what is wrong there.
    pub along: Along,
    /// How probable it is now.
    pub probability: Probability,
    /// In words.
    pub likely: Likely,
    /// Has what was seen ruled it out?
    pub ruled_out: bool,
}

/// Where the trouble can still be.
#[derive(Debug, Clone, PartialEq)]
pub struct Whereabouts {
    /// Every listed fault, in the order in which the current flows.
    pub suspects: Vec<OnWire>,
    /// How probable something is that is not in this tree.
    pub not_listed: Probability,
    /// What was seen fits none of the faults this tree knows.
    pub fits_none: bool,
    /// What the last thing seen ruled out; none before anything was seen.
    pub by_last: Option<RuledOut>,
    /// What would be quickest now; none where the tree's own way is.
    pub suggestion: Option<Suggestion>,
}

/// What a reading says at a step in a situation, worked out once.
type Known = RefCell<HashMap<String, Option<Evidence>>>;

/// The suspects of one tree on one day, ready to be held against any number of rounds.
pub struct Suspicion<'a, 'm> {
    worth: Worth<'a, 'm>,
    /// Places in the list, and where each sits.
    along: Vec<(usize, Along)>,
    known: Known,
    day: Option<&'a Day<'m>>,
    meter: Meter,
    /// The suspects together with one that was repaired.
    beside: RefCell<HashMap<FaultId, Rc<Lineup<'a, 'm>>>>,
}

impl<'a, 'm> Suspicion<'a, 'm> {
    /// Prepares a tree and its machine on a day; without a machine the shape of the tree says what it can.
    #[must_use]
    pub fn new(course: &'a Course, day: Option<&'a Day<'m>>, meter: Meter) -> Self {
        let lineup = match day {
            Some(day) => Lineup::modelled(Outlook::new(course.tree(), day, course.vocabulary(), meter)),
            None => Lineup::by_shape(course.tree()),
        };
        let along = match lineup.modelled_faults() {
            Some((outlook, faults)) => along_the_wire(outlook, faults),
            None => lineup.listed().iter().map(|listed| by_name(&listed.fault)).enumerate().collect(),
        };
        let worth = Worth::new(Chart::of(lineup), Moves::over(course));
        Self { worth, along, known: RefCell::default(), day, meter, beside: RefCell::default() }
    }

    fn lineup(&self) -> &Lineup<'a, 'm> {
        self.worth.chart.lineup()
    }

    /// Where the trouble can still be after what was seen; none where the tree names no fault.
    #[must_use]
    pub fn whereabouts(&self, observed: &Observed) -> Option<Whereabouts> {
        let evidence = self.evidence(observed);
        let given: Vec<&Evidence> = evidence.iter().collect();
        let listed = self.lineup().listed();
        let ranking = rank(listed, &given).ok()?;
        let suspects: Vec<OnWire> =
            self.along.iter().filter_map(|(at, along)| on_wire(listed, &ranking, *at, along)).collect();
        let suggestion = self.suggestion(observed, &ranking);
        Some(Whereabouts {
            suspects,
            not_listed: ranking.of(Who::NotListed).map_or(Probability(0.0), |line| line.probability),
            fits_none: ranking.fits_none(),
            by_last: (!given.is_empty()).then(|| ruled_out(listed, &given).ok()).flatten(),
            suggestion,
        })
    }

    /// Everything that was seen: of earlier rounds with what was repaired in the machine too, then of this one.
    fn evidence(&self, observed: &Observed) -> Vec<Evidence> {
        let before = observed.before.iter().flat_map(|round| self.earlier(round));
        let now = observed.seen.iter().filter_map(|seen| self.says(seen));
        before.chain(now).collect()
    }

    /// What an earlier round says, P(seen | what was repaired and the suspect, both in the machine). Without a
    /// machine, and where what was repaired comes and goes, it says nothing.
    fn earlier(&self, round: &RoundBefore) -> Vec<Evidence> {
        let Some(day) = self.day else { return Vec::new() };
        let machine = day.machine();
        let known = round.repaired.iter().filter_map(|name| machine.fault_named(name));
        let steady = |fault: &FaultId| !matches!(machine.fault(*fault).kind, FaultKind::Intermittent(_));
        let known: Vec<FaultId> = known.filter(steady).collect();
        let Some(repaired) = self.likeliest(&known, round) else { return Vec::new() };
        let mut beside = self.beside.borrow_mut();
        let lineup = beside.entry(repaired).or_insert_with(|| {
            let course = self.worth.moves.course();
            let outlook = Outlook::new(course.tree(), day, course.vocabulary(), self.meter);
            Rc::new(Lineup::modelled_beside(outlook, Some(machine.knot(repaired, None))))
        });
        round.seen.iter().filter_map(|seen| says(lineup, seen)).collect()
    }

    /// Which of the faults of a finding it was, by what that round saw.
    fn likeliest(&self, faults: &[FaultId], round: &RoundBefore) -> Option<FaultId> {
        let seen: Vec<Evidence> = round.seen.iter().filter_map(|seen| self.says(seen)).collect();
        let (_, listed) = self.lineup().modelled_faults()?;
        let ranking = rank(self.lineup().listed(), &seen.iter().collect::<Vec<_>>()).ok()?;
        let in_order = ranking.suspects.iter().filter_map(|line| match line.who {
            Who::Listed(at) => Some(listed[at]),
            Who::NotListed => None,
        });
        in_order.into_iter().find(|fault| faults.contains(fault)).or_else(|| faults.first().copied())
    }

    fn says(&self, seen: &SeenAt) -> Option<Evidence> {
        let key = format!("{seen:?}");
        if let Some(known) = self.known.borrow().get(&key) {
            return known.clone();
        }
        let evidence = says(self.lineup(), seen);
        self.known.borrow_mut().insert(key, evidence.clone());
        evidence
    }

    fn suggestion(&self, observed: &Observed, ranking: &Ranking) -> Option<Suggestion> {
        let here = observed.at?;
        let standing = Standing {
            state: observed.state.clone(),
            now: observed.situation.clone(),
            zone: observed.zone.clone(),
        };
        let spot = self.worth.moves.number(standing);
        let left = self.left(observed, ranking);
        let on_tree = observed.seen.iter().filter(|seen| !matches!(seen.said, Said::Own(..)));
        let done: Vec<Done> = on_tree.map(|seen| (seen.step, seen.situation.clone())).collect();
        let choice = choose(&self.worth, here, spot, &left, &done)?;
        Some(self.told(choice))
    }

    /// The cases that are left, by what their fault weighs now: of a fault those severities that went the
    /// ways taken, or all where none did.
    fn left(&self, observed: &Observed, ranking: &Ranking) -> Vec<Weighed> {
        let mut left = Vec::new();
        for suspect in ranking.suspects.iter().filter(|suspect| !suspect.ruled_out) {
            let Who::Listed(fault) = suspect.who else { continue };
            let all: Vec<_> = self.worth.chart.cases_of(fault).collect();
            let agrees: Vec<_> = all.iter().copied().filter(|case| self.went(observed, *case)).collect();
            let cases = if agrees.is_empty() { all } else { agrees };
            let part =
                suspect.probability.value() / f64::from(u32::try_from(cases.len()).unwrap_or(u32::MAX));
            let is_found = |case: &super::suggest::CaseIx| {
                let tree = self.worth.moves.course().tree();
                self.worth.fate(tree.start, self.worth.moves.start(), *case).right > 0.0
            };
            left.extend(cases.into_iter().filter(is_found).map(|case| (case, part)));
        }
        normalised(left)
    }

    fn went(&self, observed: &Observed, case: super::suggest::CaseIx) -> bool {
        observed.seen.iter().all(|seen| {
            let way = match &seen.said {
                Said::Way(way) | Said::Reading(_, way) => *way,
                Said::Own(..) => return true,
            };
            self.worth.goes(seen.step, &seen.situation, case, way)
        })
    }

    fn told(&self, choice: Choice) -> Suggestion {
        let sides: Vec<Vec<Weighed>> = choice.parts.into_iter().map(|part| part.cases).collect();
        let place = |fault: usize| self.along.iter().position(|(at, _)| *at == fault);
        let parts = sides.iter().map(|part| self.faults_of(part, &sides)).map(|faults| {
            let mut places: Vec<usize> = faults.into_iter().filter_map(place).collect();
            places.sort_unstable();
            places
        });
        Suggestion {
            step: choice.entry,
            test: choice.test,
            parts: parts.collect(),
            gates: choice.gates,
            minutes: Minutes(choice.minutes),
            reason: choice.reason,
            as_written: Minutes(choice.as_written),
            so: Minutes(choice.so),
        }
    }

    /// The faults of which most goes along this part.
    fn faults_of(&self, part: &[Weighed], parts: &[Vec<Weighed>]) -> Vec<usize> {
        let weight = |part: &[Weighed], fault: usize| -> f64 {
            part.iter().filter(|(case, _)| self.worth.chart.fault(*case) == fault).map(|(_, w)| w).sum()
        };
        let mut faults: Vec<usize> = part.iter().map(|(case, _)| self.worth.chart.fault(*case)).collect();
        faults.sort_unstable();
        faults.dedup();
        // Of equal parts the first has it, so that each fault is counted once.
        let first_of_most = |fault: &usize| {
            let most = parts.iter().map(|part| weight(part, *fault)).fold(0.0, f64::max);
            parts
                .iter()
                .find(|other| weight(other, *fault) >= most)
                .is_some_and(|first| std::ptr::eq(first.as_slice(), part))
        };
        faults.into_iter().filter(first_of_most).collect()
    }
}

/// What one thing seen says of the suspects of a lineup.
fn says(lineup: &Lineup<'_, '_>, seen: &SeenAt) -> Option<Evidence> {
    match &seen.said {
        Said::Way(way) => lineup.answered(seen.step, *way, &seen.situation),
        Said::Reading(reading, _) => lineup.read(seen.step, reading, &seen.situation),
        Said::Own(off, reading) => lineup.read_off_tree(off, reading, &seen.situation),
    }
}

fn on_wire(listed: &[Listed], ranking: &Ranking, at: usize, along: &Along) -> Option<OnWire> {
    let line = ranking.of(Who::Listed(at))?;
    Some(OnWire {
        fault: listed[at].fault.clone(),
        along: along.clone(),
        probability: line.probability,
        likely: line.likely,
        ruled_out: line.ruled_out,
    })
}

impl Observed {
    /// Where the trouble can still be, worked out from nothing: a [`Suggester`] keeps what it worked out.
    #[must_use]
    pub fn whereabouts(&self) -> Option<Whereabouts> {
        let day = self.day();
        Suspicion::new(&self.course, day.as_ref(), self.meter).whereabouts(self)
    }

    /// The machine of the tree today.
    fn day(&self) -> Option<Day<'_>> {
        self.course.tree().model.as_deref().map(|machine| machine.day(self.today))
    }

    fn same_day(&self, today: Today, meter: Meter) -> bool {
        self.today == today && self.meter == meter
    }
}
