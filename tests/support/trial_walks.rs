//! Seeded walks at simulated machines, and how well belief does on them. The machines are not the belief's own model:
//! severities lie between the knots, lengths are off by up to 5 %, the meter by anything within its class, and people
//! misread 3 of 100.
//!
//! What is hidden is drawn by share from the faults that finds of the tree name; the list is the same, so that priors
//! are those of the draw. On the screens what comes and goes is listed also where no find names it.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use loomwalk::machine::Today;
use loomwalk::practice::{Bench, Dice, Practice, Specimen, Wanted};
use loomwalk::reason::{Evidence, Lineup, Listed, Outlook, Ranking, Said, SeenAt, Who, rank};
use loomwalk::tree::Kind;
use loomwalk::units::{Celsius, Measure, Meter, Volts};
use loomwalk::walk::{Declined, Details, Event, Input, Moment, Now, Walk, Walker};

pub(crate) use super::yard::Yard;

#[path = "trial_groups.rs"]
mod trial_groups;
use trial_groups::Groups;

/// How often a reading or an answer is misread.
const MISREAD: f64 = 0.03;
/// A cell in which a listed fault has less is odd for it.
const ODD: f64 = 0.05;
const BINS: usize = 10;
/// How often belief takes the fault to be on no list, and how often it is so in the table of what was stated and right.
const NOT_LISTED: f64 = 0.05;
/// Belief's allowances for who misreads a meter, and who says what contradicts the model.
const SLIP: f64 = 0.02;
const CONTRADICTS: f64 = 0.03;

/// What was seen on one walk.
struct Trial {
    hidden: String,
    seen: Vec<SeenAt>,
    misread: bool,
}

/// What was stated about as often.
#[derive(Debug, Default, Clone, Copy)]
pub(crate) struct Bin {
    walks: usize,
    weight: f64,
    stated: f64,
    right: f64,
}

/// How belief did.
#[derive(Debug, Default, Clone)]
pub(crate) struct Tally {
    pub(crate) walks: usize,
    pub(crate) clean: usize,
    pub(crate) clean_leads: usize,
    /// The same, with groups as if every test were asked of every fault.
    pub(crate) clean_leads_by_test: usize,
    /// The sum of what the best group has for who knows that nothing was misread, over clean walks.
    pub(crate) clean_at_best: f64,
    /// Faults listed, and those that share their group, on the whole path and by test.
    pub(crate) faults: [usize; 3],
    pub(crate) false_walks: usize,
    pub(crate) false_in_three: usize,
    pub(crate) odd_walks: usize,
    pub(crate) odd_fits_none: usize,
    /// By stated probability: how many, and in walks of which one in twenty hides what is on no list the weight of all,
    /// what was stated and what was right.
    pub(crate) bins: [Bin; BINS],
    /// Clean walks whose group did not lead, by what was hidden and what led.
    pub(crate) missed: BTreeMap<(String, String), usize>,
}

fn number(count: usize) -> f64 {
    f64::from(u32::try_from(count).expect("few"))
}

fn part(some: usize, all: usize) -> f64 {
    if all == 0 { 1.0 } else { number(some) / number(all) }
}

impl Tally {
    pub(crate) fn leads(&self) -> f64 {
        part(self.clean_leads, self.clean)
    }

    pub(crate) fn in_three(&self) -> f64 {
        part(self.false_in_three, self.false_walks)
    }

    pub(crate) fn fits_none(&self) -> f64 {
        part(self.odd_fits_none, self.odd_walks)
    }

    /// The largest difference between stated and right, over bins of at least this many.
    pub(crate) fn off(&self, least: usize) -> f64 {
        let full = self.bins.iter().filter(|bin| bin.walks >= least);
        full.map(|bin| (bin.stated - bin.right).abs() / bin.weight).fold(0.0, f64::max)
    }

    /// Notes what was stated of a walk that counts this much; a walk on no list is the same walk once more.
    fn note(&mut self, stated: f64, right: bool, weight: f64) {
        let above = |bin: &usize| stated * 10.0 >= f64::from(u32::try_from(*bin).expect("few"));
        let bin = &mut self.bins[(0..BINS).rfind(above).unwrap_or(0)];
        bin.walks += usize::from(weight > 0.5);
        bin.weight += weight;
        bin.stated += weight * stated;
        bin.right += weight * f64::from(u8::from(right));
    }

    pub(crate) fn add(&mut self, other: &Self) {
        self.walks += other.walks;
        self.clean += other.clean;
        self.clean_leads += other.clean_leads;
        self.clean_leads_by_test += other.clean_leads_by_test;
        self.clean_at_best += other.clean_at_best;
        for (mine, theirs) in self.faults.iter_mut().zip(other.faults) {
            *mine += theirs;
        }
        self.false_walks += other.false_walks;
        self.false_in_three += other.false_in_three;
        self.odd_walks += other.odd_walks;
        self.odd_fits_none += other.odd_fits_none;
        for (mine, theirs) in self.bins.iter_mut().zip(&other.bins) {
            mine.walks += theirs.walks;
            mine.weight += theirs.weight;
            mine.stated += theirs.stated;
            mine.right += theirs.right;
        }
        for (pair, count) in &other.missed {
            *self.missed.entry(pair.clone()).or_default() += count;
        }
    }

    pub(crate) fn table(&self) -> String {
        let mut table = String::new();
        let mut line = |text: String| writeln!(table, "{text}").expect("a string takes it");
        let percent = |x: f64| 100.0 * x;
        line(format!("walks {}", self.walks));
        line(format!("true group leads, nothing misread: {:.1} % of {}", percent(self.leads()), self.clean));
        line(format!(
            "  with groups by test instead of by path: {:.1} %; who knows that nothing was misread can expect {:.1} %",
            percent(part(self.clean_leads_by_test, self.clean)),
            percent(self.clean_at_best / number(self.clean))
        ));
        line(format!(
            "  faults listed {}, of which share their group: by path {}, by test {}",
            self.faults[0], self.faults[1], self.faults[2]
        ));
        line(format!(
            "one reading in ten falsified, in the first three: {:.1} % of {}",
            percent(self.in_three()),
            self.false_walks
        ));
        line(format!(
            "on no list, two odd readings, fits none: {:.1} % of {}",
            percent(self.fits_none()),
            self.odd_walks
        ));
        line("stated      walks  stated  right".to_owned());
        for (nth, bin) in self.bins.iter().enumerate().filter(|(_, bin)| bin.weight > 0.0) {
            let of = |sum: f64| sum / bin.weight;
            let (low, high) = (nth * 10, nth * 10 + 10);
            line(format!(
                "{low:>3} to {high:>3} {:>7}  {:>6.3} {:>6.3}",
                bin.walks,
                of(bin.stated),
                of(bin.right)
            ));
        }
        let mut missed: Vec<_> = self.missed.iter().collect();
        missed.sort_by_key(|(_, count)| std::cmp::Reverse(**count));
        for ((hidden, led), count) in missed.into_iter().take(12) {
            line(format!("missed {count:>5}: {hidden}; led: {led}"));
        }
        table
    }
}

/// How much is tried.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Extent {
    pub(crate) days: u64,
    /// Walks a day.
    pub(crate) walks: u64,
    /// Paths drawn under each fault to see which faults are one group.
    pub(crate) paths: usize,
}

/// Walks on some days.
pub(crate) fn tally(yard: &Yard, extent: Extent, seed: u64) -> Tally {
    let mut tally = Tally::default();
    let groups = groups(yard, extent.paths, seed);
    tally.faults = [groups[0].count(), groups[0].shared(), groups[1].shared()];
    for nth in 0..extent.days {
        let mut dice = Dice::new(seed ^ (nth.wrapping_add(1)).wrapping_mul(0x9E37_79B9));
        let nominal = yard.family.parts().supply.volts.value();
        let volts = (nominal * dice.between(0.97, 1.03) * 100.0).round() / 100.0;
        let today = Today {
            volts: Some(Volts(volts)),
            celsius: Celsius(dice.between(0.0, 30.0).round()),
            ..Today::default()
        };
        tally.add(&one_day(yard, &groups, today, (extent.walks, &mut dice)));
    }
    tally
}

/// On the machine's own day: by path, and as if every test were asked.
fn groups(yard: &Yard, paths: usize, seed: u64) -> [Groups; 2] {
    let course = yard.course.course();
    let day = yard.family.day(Today::default());
    let lineup = Lineup::modelled(Outlook::new(course.tree(), &day, course.vocabulary(), Meter::default()));
    Groups::pathwise(&lineup, course.vocabulary(), paths, &mut Dice::new(seed))
}

fn one_day(yard: &Yard, groups: &[Groups; 2], today: Today, (walks, dice): (u64, &mut Dice)) -> Tally {
    let course = yard.course.course();
    let day = yard.family.day(today);
    let lineup = Lineup::modelled(Outlook::new(course.tree(), &day, course.vocabulary(), Meter::default()));
    let mut tally = Tally::default();
    let mut trials = Vec::new();
    for _ in 0..walks {
        let wanted = Wanted { today: Some(today), ..Wanted::default() };
        let Some(specimen) = Specimen::draw(course.tree(), &yard.family, &yard.pool, wanted, dice) else {
            continue;
        };
        trials.push(walked(yard, &specimen, MISREAD, dice));
        let falsified = walked(yard, &specimen, 0.0, dice);
        trials.push(Trial { seen: falsify(&falsified.seen, dice), misread: true, ..falsified });
    }
    let [one_group, by_test] = [groups[0].on(&lineup), groups[1].on(&lineup)];
    let judge = Judge { lineup: &lineup, list: named(&lineup), one_group, by_test };
    for pair in trials.chunks(2) {
        judge.plain(&pair[0], &mut tally);
        judge.falsified(&pair[1], &mut tally);
        judge.not_listed(&pair[0], &mut tally);
    }
    tally
}

/// One walk by the tree's own order to its first finding or end.
fn walked(yard: &Yard, specimen: &Specimen, misread: f64, dice: &mut Dice) -> Trial {
    let course = yard.course.course();
    let day = specimen.day();
    let bench = Bench::new(specimen, &day, (course.tree(), course.vocabulary())).without_misreading();
    let mut practice = Practice::new(dice.apart());
    let mut walk = yard.walk.clone();
    let mut at = Moment::default();
    let begun = Event::Begun {
        tree: course.tree().id.clone(),
        revision: course.tree().revision,
        lang: "en".to_owned(),
        walker: Walker::Script,
        details: Details { ..specimen.details() },
    };
    walk.apply(&begun, at).expect("it begins");
    let mut was_misread = false;
    for _ in 0..400 {
        let Some(mut input) = next_input(&walk, specimen, &bench, &mut practice) else { break };
        if dice.happens(misread)
            && let Some(other) = taken_wrongly(&walk, &input, dice)
        {
            input = other;
            was_misread = true;
        }
        at = at.later(1000);
        if !say(&mut walk, input, at) || walk.round() > 1 {
            break;
        }
    }
    Trial { hidden: specimen.hidden_name().to_owned(), seen: walk.seen_in(1), misread: was_misread }
}

fn next_input(walk: &Walk, specimen: &Specimen, bench: &Bench<'_>, practice: &mut Practice) -> Option<Input> {
    let says = |practice: &mut Practice| practice.says(walk, specimen, bench, "T");
    match walk.now() {
        Now::Step(ix) => match &walk.course().tree().step(*ix).kind {
            Kind::Find(_) | Kind::Close(_) | Kind::Refer(_) => None,
            Kind::Do(_) => Some(Input::Done),
            _ => says(practice).or_else(|| Some(Input::Cannot("the model cannot tell".to_owned()))),
        },
        Now::Gate(gate) => {
            let plainly = Input::Confirm { item: gate.item, by: "T".to_owned(), typed: None };
            says(practice).or(Some(plainly))
        }
        Now::Check(_, item) => Some(Input::Confirm { item: *item, by: "T".to_owned(), typed: None }),
        _ => None,
    }
}

/// Says it; of a reading too close to an edge the likeliest band is decided on. False where nothing leads on.
fn say(walk: &mut Walk, input: Input, at: Moment) -> bool {
    let typed = if let Input::Reading(typed) = &input { Some(typed.clone()) } else { None };
    let events = match (walk.accept(input, at), typed) {
        (Ok(events), _) => events,
        (Err(Declined::TooClose(chances)), Some(typed)) => {
            let likeliest = chances.iter().max_by(|a, b| a.chance.total_cmp(&b.chance)).expect("bands");
            let decided = Input::Decide { typed, band: likeliest.band, why: "likeliest".to_owned() };
            let Ok(events) = walk.accept(decided, at) else { return false };
            events
        }
        _ => match walk.accept(Input::Cannot("not taken".to_owned()), at) {
            Ok(events) => events,
            Err(_) => return false,
        },
    };
    events.iter().all(|event| walk.apply(event, at).is_ok())
}

/// Another answer, or another reading, at a step that asks for one.
fn taken_wrongly(walk: &Walk, input: &Input, dice: &mut Dice) -> Option<Input> {
    let Now::Step(ix) = walk.now() else { return None };
    match (&walk.course().tree().step(*ix).kind, input) {
        (Kind::Ask(ask), Input::Answer(id)) => {
            let others: Vec<_> = ask.answers.iter().filter(|a| a.id != *id).collect();
            (!others.is_empty()).then(|| Input::Answer(others[dice.one_of(others.len())].id.clone()))
        }
        (Kind::Look(look), Input::Answer(id)) => {
            let others: Vec<_> = look.answers.iter().filter(|a| a.id != *id).collect();
            (!others.is_empty()).then(|| Input::Answer(others[dice.one_of(others.len())].id.clone()))
        }
        (Kind::Read(read), Input::Reading(_)) => Some(Input::Reading(any_reading(read.measure, dice)?)),
        _ => None,
    }
}

/// Whatever a meter could show.
fn any_reading(measure: Measure, dice: &mut Dice) -> Option<String> {
    match measure {
        Measure::Volts => Some(format!("{:.2} V", dice.between(-1.0, 15.0))),
        Measure::Ohms if dice.happens(0.2) => Some("OL".to_owned()),
        Measure::Ohms => Some(format!("{:.1} ohm", 10_f64.powf(dice.between(-1.0, 6.0)))),
        Measure::Amps => Some(format!("{:.2} A", dice.between(0.0, 20.0))),
        _ => None,
    }
}

/// One reading in ten is another one.
fn falsify(seen: &[SeenAt], dice: &mut Dice) -> Vec<SeenAt> {
    let other = |seen: &SeenAt, dice: &mut Dice| {
        let Said::Reading(reading, band) = &seen.said else { return seen.clone() };
        if !dice.happens(0.1) {
            return seen.clone();
        }
        let text = any_reading(reading.measure(), dice);
        let read =
            text.and_then(|text| loomwalk::units::Reading::parse(&text, reading.measure().unit()).ok());
        read.map_or_else(|| seen.clone(), |read| SeenAt { said: Said::Reading(read, *band), ..seen.clone() })
    };
    seen.iter().map(|seen| other(seen, dice)).collect()
}

/// The listed faults that some find names.
fn named(lineup: &Lineup<'_, '_>) -> Vec<usize> {
    let finds = lineup.tree().steps.iter().filter_map(|step| match &step.kind {
        Kind::Find(find) => Some(find),
        _ => None,
    });
    let names: Vec<&String> = finds.flat_map(|find| &find.faults).collect();
    let listed = lineup.listed();
    (0..listed.len()).filter(|at| names.contains(&&listed[*at].fault)).collect()
}

/// Holds trials against a lineup.
struct Judge<'l, 'a, 'm> {
    lineup: &'l Lineup<'a, 'm>,
    /// Those of it that can be hidden.
    list: Vec<usize>,
    /// By pair of listed faults: are they one group?
    one_group: Vec<Vec<bool>>,
    /// The same, as if every test were asked.
    by_test: Vec<Vec<bool>>,
}

impl Judge<'_, '_, '_> {
    /// What was seen, of these listed faults only.
    fn evidence(&self, trial: &Trial, list: &[usize]) -> Vec<Evidence> {
        let says = |seen: &SeenAt| match &seen.said {
            Said::Way(way) => self.lineup.answered(seen.step, *way, &seen.situation),
            Said::Reading(reading, _) => self.lineup.read(seen.step, reading, &seen.situation),
            Said::Own(off, reading) => self.lineup.read_off_tree(off, reading, &seen.situation),
        };
        let of = |seen: Evidence| Evidence {
            chances: list.iter().map(|at| seen.chances[*at].clone()).collect(),
            ..seen
        };
        trial.seen.iter().filter_map(says).map(of).collect()
    }

    fn hidden(&self, trial: &Trial) -> Option<usize> {
        self.list.iter().copied().find(|at| self.lineup.listed()[*at].fault == trial.hidden)
    }

    /// The suspects by their places in the lineup.
    fn ranking(&self, evidence: &[Evidence], list: &[usize]) -> Ranking {
        let listed: Vec<Listed> = list.iter().map(|at| self.lineup.listed()[*at].clone()).collect();
        let mut ranking = rank(&listed, &evidence.iter().collect::<Vec<_>>()).expect("it can be ranked");
        for line in &mut ranking.suspects {
            if let Who::Listed(at) = &mut line.who {
                *at = list[*at];
            }
        }
        ranking
    }

    fn plain(&self, trial: &Trial, tally: &mut Tally) {
        let Some(hidden) = self.hidden(trial) else { return };
        let ranking = self.ranking(&self.evidence(trial, &self.list), &self.list);
        let (head, stated) = self.head(&ranking);
        let leads = matches!(head, Who::Listed(head) if self.one_group[head][hidden]);
        tally.walks += 1;
        tally.note(stated, leads, 1.0 - NOT_LISTED);
        if trial.misread {
            return;
        }
        tally.clean += 1;
        tally.clean_leads += usize::from(leads);
        tally.clean_at_best += self.at_best(trial);
        let by_test = matches!(head, Who::Listed(head) if self.by_test[head][hidden]);
        tally.clean_leads_by_test += usize::from(by_test);
        if !leads {
            let led = match head {
                Who::Listed(head) => self.lineup.listed()[head].fault.clone(),
                Who::NotListed => "not in this tree".to_owned(),
            };
            *tally.missed.entry((trial.hidden.clone(), led)).or_default() += 1;
        }
    }

    /// What a group of listed faults has at most for who knows that nothing was misread and that the fault is listed:
    /// the same chances without slip, contradiction and *not in this tree*. On clean walks nobody can expect more.
    fn at_best(&self, trial: &Trial) -> f64 {
        let evidence = self.evidence(trial, &self.list);
        let clean = |seen: &Evidence, chance: f64| {
            let step = self.lineup.tree().step(self.lineup.tree().find(&seen.step).expect("a step"));
            match &step.kind {
                Kind::Read(_) => (chance - SLIP * seen.even.value()) / (1.0 - SLIP),
                Kind::Ask(_) => (chance - CONTRADICTS) / (1.0 - 2.0 * CONTRADICTS),
                _ => (chance - CONTRADICTS * seen.even.value()) / (1.0 - CONTRADICTS),
            }
        };
        let weight = |(nth, at): (usize, &usize)| {
            let spans = self.lineup.spans(*at);
            let at_one = |span: usize| -> f64 {
                let under = |seen: &Evidence| {
                    seen.chances[nth].get(span).map_or(seen.under(nth).value(), |c| c.value())
                };
                evidence.iter().map(|seen| clean(seen, under(seen)).max(0.0)).product()
            };
            self.lineup.listed()[*at].share.value() * (0..spans).map(at_one).sum::<f64>() / number(spans)
        };
        let weights: Vec<f64> = self.list.iter().enumerate().map(weight).collect();
        let group = |at: &usize| -> f64 {
            let same =
                |(other, weight): (&usize, &f64)| if self.one_group[*at][*other] { *weight } else { 0.0 };
            self.list.iter().zip(&weights).map(same).sum()
        };
        let all: f64 = weights.iter().sum();
        if all > 0.0 { self.list.iter().map(group).fold(0.0, f64::max) / all } else { 0.0 }
    }

    /// Whose group leads, and what that group is said to have: more than any other, *not in this tree* counted as one.
    fn head(&self, ranking: &Ranking) -> (Who, f64) {
        let one_group = |a: Who, b: Who| match (a, b) {
            (Who::Listed(a), Who::Listed(b)) => self.one_group[a][b],
            (a, b) => a == b,
        };
        let group = |who: Who| -> f64 {
            let of = ranking.suspects.iter().filter(|line| one_group(who, line.who));
            of.map(|line| line.probability.value()).sum()
        };
        let stated = ranking.suspects.iter().map(|line| (line.who, group(line.who)));
        stated.reduce(|most, next| if next.1 > most.1 { next } else { most }).expect("somebody leads")
    }

    fn falsified(&self, trial: &Trial, tally: &mut Tally) {
        let Some(hidden) = self.hidden(trial) else { return };
        let ranking = self.ranking(&self.evidence(trial, &self.list), &self.list);
        let mut groups: Vec<Who> = Vec::new();
        for line in &ranking.suspects {
            let known = groups.iter().any(|known| match (known, line.who) {
                (Who::Listed(a), Who::Listed(b)) => self.one_group[*a][b],
                (a, b) => *a == b,
            });
            if !known {
                groups.push(line.who);
            }
        }
        let is_hidden = |who: &Who| matches!(who, Who::Listed(at) if self.one_group[*at][hidden]);
        tally.false_walks += 1;
        tally.false_in_three += usize::from(groups.iter().take(3).any(is_hidden));
    }

    /// The hidden fault and its group are struck from the list: what was seen is then the work of a fault on no list.
    fn not_listed(&self, trial: &Trial, tally: &mut Tally) {
        let Some(hidden) = self.hidden(trial) else { return };
        let stays: Vec<usize> = self.list.iter().copied().filter(|at| !self.one_group[*at][hidden]).collect();
        if stays.is_empty() {
            return;
        }
        let evidence = self.evidence(trial, &stays);
        let ranking = self.ranking(&evidence, &stays);
        tally.note(self.head(&ranking).1, ranking.fits_none(), NOT_LISTED);
        let is_reading = |seen: &Evidence| {
            let step = self.lineup.tree().find(&seen.step).expect("a step");
            matches!(self.lineup.tree().step(step).kind, Kind::Read(_))
        };
        let odd = |seen: &&Evidence| {
            is_reading(seen) && (0..seen.chances.len()).all(|at| seen.under(at).value() < ODD)
        };
        if trial.misread || evidence.iter().filter(odd).count() < 2 {
            return;
        }
        tally.odd_walks += 1;
        tally.odd_fits_none += usize::from(ranking.fits_none());
    }
}
