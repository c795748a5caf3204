//! "Did you mean": the nearest of some names, by the optimal string alignment distance
//! (insert, delete, change, swap neighbours; Damerau 1964, Levenshtein 1966).

/// The name nearest to what was written, if it is near enough to be meant: at most a third of its letters differ.
#[must_use]
pub fn nearest<'n>(written: &str, names: impl IntoIterator<Item = &'n str>) -> Option<&'n str> {
    within(written, names, 3)
}

/// The nearest of names that something else than their letters speaks for already: half of the letters may differ.
pub(super) fn nearest_of_few<'n>(written: &str, names: impl IntoIterator<Item = &'n str>) -> Option<&'n str> {
    within(written, names, 2)
}

/// The nearest name; of this many letters one may differ.
fn within<'n>(written: &str, names: impl IntoIterator<Item = &'n str>, letters: usize) -> Option<&'n str> {
    let written: Vec<char> = written.chars().take(64).flat_map(char::to_lowercase).collect();
    let allowed = (written.len() / letters).max(1);
    names
        .into_iter()
        .map(|name| (name.to_lowercase().chars().take(64).collect::<Vec<_>>(), name))
        // Each letter more or less is a change already.
        .filter(|(letters, _)| letters.len().abs_diff(written.len()) <= allowed)
        .map(|(letters, name)| (distance(&written, &letters), name))
        .filter(|(far, _)| *far <= allowed)
        .min_by_key(|(far, _)| *far)
        .map(|(_, name)| name)
}

fn distance(a: &[char], b: &[char]) -> usize {
    let mut before: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for (i, from) in a.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, to) in b.iter().enumerate() {
            let change = last[j] + usize::from(from != to);
            let mut fewest = change.min(last[j + 1] + 1).min(row[j] + 1);
            if i > 0 && j > 0 && *from == b[j - 1] && a[i - 1] == *to {
                fewest = fewest.min(before[j - 1] + 1);
            }
            row.push(fewest);
        }
        before = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_is_understood_and_a_stranger_is_not() {
        let names = ["lockout", "lower-cab", "raise-cab"];
        assert_eq!(nearest("lockuot", names), Some("lockout"));
        assert_eq!(nearest("lower_cab", names), Some("lower-cab"));
        assert_eq!(nearest("hydraulics", names), None);
        assert_eq!(nearest("", names), None);
    }
}
