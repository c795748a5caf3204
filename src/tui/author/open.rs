//! What lies over the text: the numbered list, problems, steps, help, a question.

use super::Author;
use super::keys::{AuthorMessage, AuthorPlace};

/// What lies over the text.
pub(super) enum Open {
    /// Nothing: the text is written.
    Nothing,
    /// The numbered list.
    Numbers,
    /// A list to choose from.
    List(Listed),
    /// Help, scrolled by so many rows.
    Help(usize),
    /// Leave with something unsaved?
    Leaving,
    /// The file was changed by somebody else, or is gone.
    Elsewhere(bool),
}

/// What a list is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum ListOf {
    Problems,
    Steps,
}

impl ListOf {
    pub(super) const fn title(self) -> &'static str {
        match self {
            Self::Problems => "What is wrong",
            Self::Steps => "Steps",
        }
    }
}

/// A list with a cursor, filtered by what is typed.
pub(super) struct Listed {
    pub(super) of: ListOf,
    /// What is shown, and where it leads.
    pub(super) rows: Vec<(String, (usize, usize))>,
    pub(super) at: usize,
    pub(super) filter: String,
}

impl Listed {
    /// The rows that the filter leaves.
    pub(super) fn shown(&self) -> Vec<&(String, (usize, usize))> {
        let wanted = self.filter.to_lowercase();
        self.rows.iter().filter(|(text, _)| text.to_lowercase().contains(&wanted)).collect()
    }
}

impl Open {
    pub(super) fn place(&self) -> AuthorPlace {
        match self {
            Self::Nothing => AuthorPlace::Text,
            Self::List(_) => AuthorPlace::List,
            Self::Help(_) => AuthorPlace::Leaf,
            Self::Numbers | Self::Leaving | Self::Elsewhere(_) => AuthorPlace::Numbers,
        }
    }

    /// All problems, the cursor at the one before or under the text's.
    pub(super) fn problems(author: &Author) -> Self {
        let rows: Vec<(String, (usize, usize))> = author
            .problems()
            .iter()
            .map(|n| (format!("{:4}  {:7}  {}", n.from.0 + 1, n.weight.word(), n.wrong), n.from))
            .collect();
        let here = author.text.cursor();
        let at = rows.iter().rposition(|(_, place)| *place <= here).unwrap_or(0);
        Self::List(Listed { of: ListOf::Problems, rows, at, filter: String::new() })
    }

    /// All steps, the cursor at the one that is being written.
    pub(super) fn steps(author: &Author) -> Self {
        let steps = author.seen.steps.as_deref().unwrap_or_default();
        let row = |step: &crate::author::StepSeen| {
            let leads: Vec<&str> = step.leads.iter().map(|(_, to)| to.as_str()).collect();
            (
                format!("{:4}  {:6}  {}  -> {}", step.line + 1, step.kind, step.id, leads.join(", ")),
                (step.line, 2),
            )
        };
        let rows: Vec<(String, (usize, usize))> = steps.iter().map(row).collect();
        let here = author.text.cursor().0;
        let at = rows.iter().rposition(|(_, place)| place.0 <= here).unwrap_or(0);
        Self::List(Listed { of: ListOf::Steps, rows, at, filter: String::new() })
    }

    /// The list that is open as it is now that the text was looked over; what was typed and marked stays.
    pub(super) fn seen_again(author: &Author) -> Option<Self> {
        let Self::List(before) = &author.open else { return None };
        let Self::List(now) = (match before.of {
            ListOf::Problems => Self::problems(author),
            ListOf::Steps => Self::steps(author),
        }) else {
            return None;
        };
        let at = if before.rows.is_empty() { now.at } else { before.at };
        Some(Self::List(Listed { at, filter: before.filter.clone(), ..now }))
    }

    /// Moves in what is open; the place to go to, if one was chosen.
    pub(super) fn hear(&mut self, message: AuthorMessage, page: usize) -> Option<(usize, usize)> {
        match self {
            Self::List(list) => {
                let lowest = list.shown().len().saturating_sub(1);
                match message {
                    AuthorMessage::Up => list.at = list.at.min(lowest).saturating_sub(1),
                    AuthorMessage::Down => list.at = (list.at + 1).min(lowest),
                    AuthorMessage::PageUp => list.at = list.at.saturating_sub(page),
                    AuthorMessage::PageDown => list.at = (list.at + page).min(lowest),
                    AuthorMessage::Type(c) => {
                        list.filter.push(c);
                        list.at = 0;
                    }
                    AuthorMessage::Erase => {
                        list.filter.pop();
                        list.at = 0;
                    }
                    AuthorMessage::Enter => return list.shown().get(list.at.min(lowest)).map(|row| row.1),
                    _ => {}
                }
            }
            Self::Help(scroll) => match message {
                AuthorMessage::Up => *scroll = scroll.saturating_sub(1),
                AuthorMessage::Down => *scroll += 1,
                AuthorMessage::PageUp => *scroll = scroll.saturating_sub(page),
                AuthorMessage::PageDown => *scroll += page,
                _ => {}
            },
            _ => {}
        }
        None
    }
}
