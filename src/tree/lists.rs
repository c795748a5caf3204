//! Many short lists, one for each step, that lie in one: made at once, and given back at once.
//!
//! A list of its own for each of a hundred thousand steps costs more time to be freed than to be filled.

/// Short lists by number.
#[derive(Debug, Clone)]
pub(super) struct Lists<T> {
    all: Vec<T>,
    /// Where each list ends in the one.
    ends: Vec<usize>,
}

impl<T> Default for Lists<T> {
    fn default() -> Self {
        Self { all: Vec::new(), ends: Vec::new() }
    }
}

impl<T> Lists<T> {
    /// No lists yet, and room for so many.
    pub(super) fn with_room_for(lists: usize) -> Self {
        Self { all: Vec::with_capacity(lists), ends: Vec::with_capacity(lists) }
    }

    /// Puts one more list behind the last.
    pub(super) fn push(&mut self, list: impl IntoIterator<Item = T>) {
        self.all.extend(list);
        self.ends.push(self.all.len());
    }

    /// The list with this number.
    pub(super) fn get(&self, at: usize) -> &[T] {
        let start = if at == 0 { 0 } else { self.ends[at - 1] };
        &self.all[start..self.ends[at]]
    }

    /// All lists, in their order.
    pub(super) fn iter(&self) -> impl Iterator<Item = &[T]> {
        (0..self.ends.len()).map(|at| self.get(at))
    }

    /// Puts items at the ends of lists: each with the number of its list, those numbers rising.
    pub(super) fn append(&mut self, items: Vec<(usize, T)>) {
        let mut items = items.into_iter().peekable();
        let mut old = std::mem::take(&mut self.all).into_iter();
        let mut start = 0;
        for (at, end) in self.ends.iter_mut().enumerate() {
            self.all.extend(old.by_ref().take(*end - start));
            start = *end;
            while let Some((_, item)) = items.next_if(|(list, _)| *list == at) {
                self.all.push(item);
            }
            *end = self.all.len();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn items_come_to_the_ends_of_their_lists() {
        let mut lists = Lists::with_room_for(4);
        let mut apart = vec![vec![1, 2], vec![], vec![3], vec![]];
        for list in &apart {
            lists.push(list.clone());
        }
        let added = vec![(0, 7), (1, 8), (1, 9), (3, 10)];
        for (at, item) in &added {
            apart[*at].push(*item);
        }
        lists.append(added);
        assert_eq!(lists.iter().map(<[i32]>::to_vec).collect::<Vec<_>>(), apart);
    }
}
