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

/// Most names that are looked through: who has more of them is better served by the place than by a guess.
const MOST: usize = 4_000;

/// The nearest name; of this many letters one may differ.
fn within<'n>(written: &str, names: impl IntoIterator<Item = &'n str>, letters: usize) -> Option<&'n str> {
    let written = lowered(written);
    let allowed = (written.len() / letters).max(1);
    let wanted = letters_of(&written);
    names
        .into_iter()
        .take(MOST)
        // Each letter more or less is a change already; of a plain name its bytes say so.
        .filter(|name| !name.is_ascii() || name.len().min(LONGEST).abs_diff(written.len()) <= allowed)
        .map(|name| (lowered(name), name))
        .filter(|(letters, _)| letters.len().abs_diff(written.len()) <= allowed)
        // A change takes at most one letter away and brings at most one in.
        .filter(|(letters, _)| (letters_of(letters) ^ wanted).count_ones() as usize <= 2 * allowed)
        .map(|(letters, name)| (distance(&written, &letters), name))
        .filter(|(far, _)| *far <= allowed)
        .min_by_key(|(far, _)| *far)
        .map(|(_, name)| name)
}

/// Most letters of a name that are compared.
const LONGEST: usize = 64;

fn lowered(name: &str) -> Vec<char> {
    name.chars().flat_map(char::to_lowercase).take(LONGEST).collect()
}

/// Which letters occur, one bit for those that are alike in their last six bits.
fn letters_of(name: &[char]) -> u64 {
    name.iter().fold(0, |bits, letter| bits | 1 << (u32::from(*letter) & 63))
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

    /// What is left out before the distance is worked out would not have been near.
    #[test]
    fn nothing_near_is_left_out_unseen() {
        let names =
            ["bar-volts", "Bar-Volts", "bra-volts", "bär-volts", "bar-vlt", "bar--volts", "x", "ÄÖ", ""];
        for written in ["bar-volts", "BAR-VOLTS", "bar-volt", "ba-rvolts", "xbar-voltsx", "äö", "y"] {
            for (letters, allowed) in [2, 3].map(|n| (n, (lowered(written).len() / n).max(1))) {
                let near = |name: &&str| distance(&lowered(written), &lowered(name)) <= allowed;
                for name in names {
                    let found = within(written, [name], letters).is_some();
                    assert_eq!(found, near(&name), "{written} {name}");
                }
            }
        }
    }
}
