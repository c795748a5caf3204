//! What an apprentice has practised, one line a sitting, kept beside the logs and nowhere else; and the pair that comes
//! back because one was taken for the other.

use serde::{Deserialize, Serialize};

use super::dice::Dice;
use crate::diag::Lang;

/// One sitting, as it is remembered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Sat {
    /// The tree.
    pub tree: String,
    /// The day, as `2026-03-02`.
    pub day: String,
    /// What was hidden.
    pub hidden: String,
    /// It was found.
    pub found: bool,
    /// What it was taken for, if it was.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub took: Vec<String>,
}

/// A fault that comes again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Again {
    /// What is hidden this time.
    pub hidden: String,
    /// Why, in a line for afterwards.
    pub why: String,
}

/// Reads what is remembered; a line that cannot be read is left out.
#[must_use]
pub fn remembered(text: &str) -> Vec<Sat> {
    text.lines().filter_map(|line| serde_json::from_str(line).ok()).collect()
}

/// A sitting as its line.
///
/// # Panics
/// Never: a sitting is plain data.
#[must_use]
pub fn line_of(sat: &Sat) -> String {
    serde_json::to_string(sat).expect("plain data")
}

/// Every other time, one of a pair that was confused on this tree and not told apart since: the one that was hidden, or
/// the one that it was taken for.
#[must_use]
pub fn comes_again(history: &[Sat], tree: &str, dice: &mut Dice, lang: &Lang) -> Option<Again> {
    let here: Vec<&Sat> = history.iter().filter(|sat| sat.tree == tree).collect();
    let told_apart = |at: usize, pair: &Sat| {
        let is_of_pair = |sat: &Sat| sat.hidden == pair.hidden || pair.took.contains(&sat.hidden);
        here[at + 1..].iter().any(|later| is_of_pair(later) && later.found && later.took.is_empty())
    };
    let open: Vec<&Sat> = here
        .iter()
        .enumerate()
        .filter(|(at, sat)| !sat.took.is_empty() && !told_apart(*at, sat))
        .map(|(_, sat)| *sat)
        .collect();
    if open.is_empty() || !dice.happens(0.5) {
        return None;
    }
    let pair = open[dice.one_of(open.len())];
    let hidden = if dice.happens(0.5) { &pair.hidden } else { &pair.took[dice.one_of(pair.took.len())] };
    let (was, took) = (&pair.hidden, pair.took.join("; "));
    let why = if lang.code() == "es" {
        format!("Otra vez, porque usted tomó {was} por {took}.")
    } else {
        format!("Again, because you took {was} for {took}.")
    };
    Some(Again { hidden: hidden.clone(), why })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sat(hidden: &str, found: bool, took: &[&str]) -> Sat {
        Sat {
            tree: "no-lift".to_owned(),
            day: "2026-03-02".to_owned(),
            hidden: hidden.to_owned(),
            found,
            took: took.iter().map(|t| (*t).to_owned()).collect(),
        }
    }

    #[test]
    fn a_pair_that_was_confused_comes_back_until_it_is_told_apart() {
        let again = |history: &[Sat]| {
            (0..200)
                .filter_map(|seed| comes_again(history, "no-lift", &mut Dice::new(seed), &Lang::default()))
                .collect::<Vec<_>>()
        };
        let confused = [sat("A open", true, &["B open"])];
        let all = again(&confused);
        // Every other time: Binomial(200, 1/2), mean 100, standard deviation 7.
        assert!((70..130).contains(&all.len()), "{}", all.len());
        assert!(all.iter().any(|a| a.hidden == "A open") && all.iter().any(|a| a.hidden == "B open"));
        assert!(all.iter().all(|a| a.why == "Again, because you took A open for B open."));
        let apart = [sat("A open", true, &["B open"]), sat("B open", true, &[])];
        assert_eq!(again(&apart), []);
        let gave_up = [sat("A open", true, &["B open"]), sat("B open", false, &[])];
        assert!(!again(&gave_up).is_empty());
        assert_eq!(comes_again(&confused, "another", &mut Dice::new(1), &Lang::default()), None);
    }

    #[test]
    fn what_cannot_be_read_is_left_out() {
        let good = line_of(&sat("A open", true, &[]));
        let text = format!("{good}\nnot json\n\n{good}\n");
        assert_eq!(remembered(&text).len(), 2);
    }
}
