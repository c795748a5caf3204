//! Shares from closed jobs.
//!
//! The machine file's shares count like so many jobs (their weight); the jobs are added, and the sum of the shares of
//! all faults that the jobs could have told stays what it was. A job's count is split over the faults of its finding by
//! their present shares, unless the repair sheet says which was seen. Inside: a Dirichlet distribution, whose parts are
//! beta distributed; the interval is from its 5th to its 95th hundredth.

mod beta;
mod counts;
mod patch;
mod words;

pub use counts::{Counted, NotCounted, counted};
pub use patch::{NotPatched, patched};
pub use words::{learned_json, learned_lines};

/// How many jobs the machine file's shares count for, if nobody says (our choice, no source).
pub const PRIOR_JOBS: f64 = 10.0;

/// A fault and its share.
#[derive(Debug, Clone, PartialEq)]
pub struct LearnedShare {
    /// The fault.
    pub fault: String,
    /// As the machine file has it.
    pub before: f64,
    /// With the jobs.
    pub after: f64,
    /// How many jobs counted for it; parts of jobs where a finding names several.
    pub jobs: f64,
}

/// Faults that no finding tells apart, and what is known of them together.
#[derive(Debug, Clone, PartialEq)]
pub struct LearnedGroup {
    /// The faults.
    pub faults: Vec<String>,
    /// The jobs that found one of them.
    pub jobs: f64,
    /// Their share of all, from 0 to 1: by the machine file.
    pub before: f64,
    /// With the jobs.
    pub after: f64,
    /// Between these the truth lies with nine chances of ten.
    pub interval: (f64, f64),
}

/// What was learned.
#[derive(Debug, Clone, PartialEq)]
pub struct Learned {
    /// How many jobs counted.
    pub jobs: usize,
    /// How many jobs the machine file's shares counted for.
    pub weight: f64,
    /// The faults that the jobs could have told, in the order given.
    pub shares: Vec<LearnedShare>,
    /// Groups, the likeliest first.
    pub groups: Vec<LearnedGroup>,
}

/// Learns shares: `before` are the machine's faults with their shares, `jobs` those that count.
#[must_use]
pub fn learn(before: &[(String, f64)], jobs: &[Counted], weight: f64) -> Learned {
    let place = |name: &String| before.iter().position(|(fault, _)| fault == name);
    let sets: Vec<Vec<usize>> = jobs
        .iter()
        .flat_map(|job| &job.could_tell)
        .map(|set| set.iter().filter_map(place).collect())
        .collect();
    let groups = joined(before.len(), &sets);
    let told: Vec<usize> = groups.iter().flatten().copied().collect();
    let sum: f64 = told.iter().map(|at| before[*at].1).sum();
    let mut counts = vec![0.0; before.len()];
    for job in jobs {
        let faults: Vec<usize> = match &job.seen {
            Some(seen) => place(seen).into_iter().collect(),
            None => job.faults.iter().filter_map(place).collect(),
        };
        let of: f64 = faults.iter().map(|at| before[*at].1).sum();
        for at in &faults {
            let part = if of > 0.0 { before[*at].1 / of } else { 1.0 / count(faults.len()) };
            counts[*at] += part;
        }
    }
    let all: f64 = counts.iter().sum::<f64>() + weight;
    let prior = |at: usize| if sum > 0.0 { weight * before[at].1 / sum } else { 0.0 };
    let mut order = told;
    order.sort_unstable();
    let shares = order
        .iter()
        .map(|at| LearnedShare {
            fault: before[*at].0.clone(),
            before: before[*at].1,
            after: sum * (prior(*at) + counts[*at]) / all,
            jobs: counts[*at],
        })
        .collect();
    let mut groups: Vec<LearnedGroup> = groups
        .iter()
        .map(|group| {
            let found: f64 = group.iter().map(|at| counts[*at]).sum();
            let before_jobs: f64 = group.iter().map(|at| prior(*at)).sum();
            // What the file gives no share at all still may be: a thousandth of a job.
            let a = (before_jobs + found).max(1e-3);
            let b = (all - a).max(1e-3);
            LearnedGroup {
                faults: group.iter().map(|at| before[*at].0.clone()).collect(),
                jobs: found,
                before: if weight > 0.0 { before_jobs / weight } else { 0.0 },
                after: (before_jobs + found) / all,
                interval: (beta::quantile(0.05, a, b), beta::quantile(0.95, a, b)),
            }
        })
        .collect();
    groups.sort_by(|a, b| b.after.total_cmp(&a.after));
    Learned { jobs: jobs.len(), weight, shares, groups }
}

/// Sets that share a member are one; members of none are left out. In the order of their first members.
fn joined(count: usize, sets: &[Vec<usize>]) -> Vec<Vec<usize>> {
    let mut group_of: Vec<Option<usize>> = vec![None; count];
    for set in sets {
        let Some(first) = set.first() else { continue };
        let target = group_of[*first].unwrap_or(*first);
        for at in set {
            match group_of[*at] {
                Some(old) if old != target => {
                    group_of.iter_mut().filter(|g| **g == Some(old)).for_each(|g| *g = Some(target));
                }
                _ => group_of[*at] = Some(target),
            }
        }
    }
    let mut groups: Vec<(usize, Vec<usize>)> = Vec::new();
    for (at, group) in group_of.iter().enumerate() {
        let Some(group) = group else { continue };
        match groups.iter_mut().find(|(known, _)| known == group) {
            Some((_, members)) => members.push(at),
            None => groups.push((*group, vec![at])),
        }
    }
    groups.into_iter().map(|(_, members)| members).collect()
}

#[allow(clippy::cast_precision_loss)] // faults of one finding
fn count(of: usize) -> f64 {
    of as f64
}
