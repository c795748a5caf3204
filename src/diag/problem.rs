//! A problem as plain data: which rule, how heavy, where, and the three things an author needs to hear.

use super::place::Place;

/// How heavy a problem is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weight {
    /// Worth a look; the file can be used.
    Warning,
    /// Senseless or untrue; the file can be used, and the check fails.
    Error,
    /// The file cannot be walked, practised or resumed by any mode or flag.
    Refused,
}

impl Weight {
    /// The word on screen and in JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Warning => "warning",
            Self::Error => "error",
            Self::Refused => "refused",
        }
    }
}

/// One mistake of an author.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// The rule's stable name, as `explain` takes it.
    pub rule: &'static str,
    /// How heavy it is.
    pub weight: Weight,
    /// Where it stands.
    pub place: Place,
    /// What is wrong.
    pub wrong: String,
    /// Why it matters at the machine.
    pub at_machine: String,
    /// What to write.
    pub write: String,
    /// The steps that lead into it, first to last, where a path shows it; each may say what happened there.
    pub path: Vec<(String, String)>,
}

/// Most problems kept of one load; what comes after is counted only.
const MOST: usize = 1_000;

/// The problems found so far.
#[derive(Debug, Clone, Default)]
pub struct Problems {
    list: Vec<Problem>,
    /// How many more there were than are kept.
    pub beyond: usize,
}

/// A problem that has its place and still lacks its words.
#[must_use]
pub struct Pending<'p> {
    problems: &'p mut Problems,
    rule: &'static str,
    weight: Weight,
    place: Place,
    path: Vec<(String, String)>,
}

impl Pending<'_> {
    /// Adds the steps that lead into it.
    pub fn path(mut self, path: Vec<(String, String)>) -> Self {
        self.path = path;
        self
    }

    /// Says what is wrong, why it matters at the machine, and what to write; the problem is then recorded.
    pub fn says(self, wrong: impl Into<String>, at_machine: impl Into<String>, write: impl Into<String>) {
        self.problems.push(Problem {
            rule: self.rule,
            weight: self.weight,
            place: self.place,
            wrong: wrong.into(),
            at_machine: at_machine.into(),
            write: write.into(),
            path: self.path,
        });
    }
}

impl Problems {
    /// Begins a problem that keeps the file from being walked.
    pub fn refuse(&mut self, rule: &'static str, place: Place) -> Pending<'_> {
        self.begin(rule, Weight::Refused, place)
    }

    /// Begins a problem that fails the check.
    pub fn error(&mut self, rule: &'static str, place: Place) -> Pending<'_> {
        self.begin(rule, Weight::Error, place)
    }

    /// Begins a warning.
    pub fn warn(&mut self, rule: &'static str, place: Place) -> Pending<'_> {
        self.begin(rule, Weight::Warning, place)
    }

    /// Begins a problem of this weight.
    pub fn begin(&mut self, rule: &'static str, weight: Weight, place: Place) -> Pending<'_> {
        Pending { problems: self, rule, weight, place, path: Vec::new() }
    }

    /// Records a finished problem.
    pub fn push(&mut self, problem: Problem) {
        if self.list.len() < MOST {
            self.list.push(problem);
        } else {
            self.beyond += 1;
        }
    }

    /// Takes back what a later look at the same place says better.
    pub(super) fn take_back(&mut self, rule: &str, place: &Place) {
        self.list.retain(|problem| problem.rule != rule || problem.place != *place);
    }

    /// Takes over another's problems.
    pub fn extend(&mut self, other: Self) {
        self.beyond += other.beyond;
        for problem in other.list {
            self.push(problem);
        }
    }

    /// True if anything here keeps the file from being walked.
    #[must_use]
    pub fn refused(&self) -> bool {
        self.list.iter().any(|p| p.weight == Weight::Refused)
    }

    /// All that are kept, in the order found.
    #[must_use]
    pub fn list(&self) -> &[Problem] {
        &self.list
    }

    /// All that are kept.
    #[must_use]
    pub fn into_list(self) -> Vec<Problem> {
        self.list
    }

    /// Whether what was probably meant is still looked for: in a file that is nothing but mistakes it helps nobody, and
    /// would take longer than all else.
    #[must_use]
    pub fn can_guess(&self) -> bool {
        self.count() < MOST
    }

    /// How many were found, kept or not.
    #[must_use]
    pub fn count(&self) -> usize {
        self.list.len() + self.beyond
    }

    /// True if nothing was found.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }
}
