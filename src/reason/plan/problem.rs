//! The planner's question: suspects with shares, tests with minutes and outcomes, the conditions
//! a test is done under, and the finds at which the search may stop.
//!
//! Formulation: test sequencing as in Pattipati & Alexandridis, IEEE Trans. SMC 20(4):872–887
//! (1990, from memory), with a condition state beside the suspect set and finds as leaves.

use crate::reason::Share;
use crate::units::Minutes;

/// Where a test can be done, and the condition state it leaves behind.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stand {
    /// The condition state in force while the test is done.
    pub state: usize,
    /// The condition state afterwards.
    pub leaves: usize,
}

/// A test: its own minutes, and what each suspect would make it show.
#[derive(Debug, Clone, PartialEq)]
pub struct Test {
    /// Minutes of the test itself, without gates.
    pub minutes: Minutes,
    /// The outcome each suspect gives, by suspect; equal numbers are the same outcome.
    pub outcomes: Vec<usize>,
    /// The condition states it can be done in; empty: in any, which it leaves as it was.
    pub stands: Vec<Stand>,
}

/// Condition states and the minutes of the gates between them.
#[derive(Debug, Clone, PartialEq)]
pub struct Conditions {
    travel: Vec<Vec<f64>>,
    start: usize,
}

/// Why a planning question cannot be put.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ProblemError {
    /// There is nothing to plan for.
    #[error("no suspects")]
    NoSuspects,
    /// A share is negative or not a number.
    #[error("suspect {suspect}: a share of {share}; it must be 0 or more")]
    BadShare {
        /// Which suspect.
        suspect: usize,
        /// The share as given.
        share: f64,
    },
    /// No suspect has any share.
    #[error("all shares are 0")]
    NoShare,
    /// A test's minutes are negative or not a number.
    #[error("test {test}: {minutes} min; minutes must be 0 or more")]
    BadMinutes {
        /// Which test.
        test: usize,
        /// The minutes as given.
        minutes: f64,
    },
    /// A test lists more or fewer outcomes than there are suspects.
    #[error("test {test}: {given} outcomes for {suspects} suspects")]
    OutcomeCount {
        /// Which test.
        test: usize,
        /// How many outcomes it lists.
        given: usize,
        /// How many suspects there are.
        suspects: usize,
    },
    /// A condition state that does not exist.
    #[error("test {test}: condition state {state} of {states}")]
    NoSuchState {
        /// Which test.
        test: usize,
        /// The state named.
        state: usize,
        /// How many there are.
        states: usize,
    },
    /// Gate minutes that are negative, not a number or not a square table.
    #[error("gate minutes must be a square table of numbers that are 0 or more")]
    BadGates,
    /// More groups of suspects than the planner holds.
    #[error("{groups} groups of suspects that tests tell apart; the planner holds {most}")]
    TooMany {
        /// How many groups there are.
        groups: usize,
        /// How many fit.
        most: usize,
    },
    /// Finds are not given for every suspect.
    #[error("finds for {given} of {suspects} suspects")]
    FindCount {
        /// How many suspects have a list of finds.
        given: usize,
        /// How many suspects there are.
        suspects: usize,
    },
    /// Some suspects can only be told apart by tests whose conditions cannot be reached.
    #[error("no gates lead to the tests that would tell the suspects apart")]
    OutOfReach,
}

impl Conditions {
    /// One state, no gates: the plain problem.
    #[must_use]
    pub fn none() -> Self {
        Self { travel: vec![vec![0.0]], start: 0 }
    }

    /// States with the minutes of the gates from each to each; `None` where no gate leads.
    /// Ways over other states are found here (Floyd 1962, Warshall 1962).
    ///
    /// # Errors
    /// [`ProblemError::BadGates`] for a table that is not square or holds anything but minutes
    /// of 0 or more, or a start outside it.
    pub fn new(gates: &[Vec<Option<Minutes>>], start: usize) -> Result<Self, ProblemError> {
        let states = gates.len();
        let square = gates.iter().all(|row| row.len() == states);
        let sound = gates.iter().flatten().flatten().all(|m| m.value() >= 0.0 && m.value().is_finite());
        if !square || !sound || start >= states {
            return Err(ProblemError::BadGates);
        }
        let minutes = |m: &Option<Minutes>| m.map_or(f64::INFINITY, Minutes::value);
        let mut travel: Vec<Vec<f64>> = gates.iter().map(|row| row.iter().map(minutes).collect()).collect();
        (0..states).for_each(|state| travel[state][state] = 0.0);
        for over in 0..states {
            for from in 0..states {
                for to in 0..states {
                    let around = travel[from][over] + travel[over][to];
                    travel[from][to] = travel[from][to].min(around);
                }
            }
        }
        Ok(Self { travel, start })
    }

    /// How many states there are.
    #[must_use]
    pub fn states(&self) -> usize {
        self.travel.len()
    }

    pub(super) fn start(&self) -> usize {
        self.start
    }

    pub(in crate::reason) fn travel(&self, from: usize, to: usize) -> f64 {
        self.travel[from][to]
    }
}

/// A planning question: what the planner orders.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    shares: Vec<f64>,
    tests: Vec<Test>,
    finds: Vec<Vec<usize>>,
    conditions: Conditions,
}

impl Problem {
    /// Suspects by share (any scale) and the tests; every suspect is its own find, no conditions.
    ///
    /// # Errors
    /// Shares or minutes below 0, no share at all, or a test without an outcome for each suspect.
    pub fn new(shares: &[Share], tests: Vec<Test>) -> Result<Self, ProblemError> {
        let shares: Vec<f64> = shares.iter().map(|s| s.value()).collect();
        check_shares(&shares)?;
        check_tests(&tests, shares.len())?;
        let finds = (0..shares.len()).map(|suspect| vec![suspect]).collect();
        Ok(Self { shares, tests, finds, conditions: Conditions::none() })
    }

    /// The finds (or repairs) that name each suspect: the search may stop where one names all
    /// that are left.
    ///
    /// # Errors
    /// [`ProblemError::FindCount`] unless there is one list a suspect.
    pub fn with_finds(mut self, finds: Vec<Vec<usize>>) -> Result<Self, ProblemError> {
        if finds.len() != self.shares.len() {
            return Err(ProblemError::FindCount { given: finds.len(), suspects: self.shares.len() });
        }
        self.finds = finds;
        Ok(self)
    }

    /// The condition states that the tests' stands refer to.
    ///
    /// # Errors
    /// [`ProblemError::NoSuchState`] where a test stands in a state that does not exist.
    pub fn with_conditions(mut self, conditions: Conditions) -> Result<Self, ProblemError> {
        let states = conditions.states();
        for (test, stand) in
            self.tests.iter().enumerate().flat_map(|(t, test)| test.stands.iter().map(move |s| (t, s)))
        {
            let state = stand.state.max(stand.leaves);
            if state >= states {
                return Err(ProblemError::NoSuchState { test, state, states });
            }
        }
        self.conditions = conditions;
        Ok(self)
    }

    pub(super) fn shares(&self) -> &[f64] {
        &self.shares
    }

    pub(super) fn tests(&self) -> &[Test] {
        &self.tests
    }

    pub(super) fn finds(&self) -> &[Vec<usize>] {
        &self.finds
    }

    pub(in crate::reason) fn conditions(&self) -> &Conditions {
        &self.conditions
    }
}

fn check_shares(shares: &[f64]) -> Result<(), ProblemError> {
    if shares.is_empty() {
        return Err(ProblemError::NoSuspects);
    }
    if let Some(suspect) = shares.iter().position(|s| !s.is_finite() || *s < 0.0) {
        return Err(ProblemError::BadShare { suspect, share: shares[suspect] });
    }
    let total: f64 = shares.iter().sum();
    if total <= 0.0 || !total.is_finite() { Err(ProblemError::NoShare) } else { Ok(()) }
}

fn check_tests(tests: &[Test], suspects: usize) -> Result<(), ProblemError> {
    for (test, given) in tests.iter().enumerate() {
        let minutes = given.minutes.value();
        if !minutes.is_finite() || minutes < 0.0 {
            return Err(ProblemError::BadMinutes { test, minutes });
        }
        if given.outcomes.len() != suspects {
            return Err(ProblemError::OutcomeCount { test, given: given.outcomes.len(), suspects });
        }
    }
    Ok(())
}
