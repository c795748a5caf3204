//! The steps around the cursor, the numbered list and the help.

use super::keys::{AUTHOR_KEYS, AuthorPlace, author_keys_at};
use crate::author::StepSeen;
use crate::tui::sheet::Sheet;
use crate::tui::theme::Role;

/// The step that is being written between what leads to it and where it leads; under it the next steps of the file.
pub(super) fn beside(
    steps: &[StepSeen],
    start: Option<&str>,
    line: usize,
    (mut sheet, rows): (Sheet, usize),
) -> Sheet {
    let Some(at) = steps.iter().rposition(|step| step.line <= line) else {
        sheet.text(Role::Plain, 0, if steps.is_empty() { "No steps yet." } else { "Before the first step." });
        return sheet;
    };
    let here = &steps[at];
    let leads_here = |from: &StepSeen| {
        let own = from.leads.iter().filter(|(_, to)| {
            *to == here.id || to.strip_prefix(&here.id).is_some_and(|rest| rest.starts_with('/'))
        });
        own.map(|(by, _)| (from.id.clone(), by.clone())).collect::<Vec<_>>()
    };
    let before: Vec<(String, String)> = steps.iter().flat_map(leads_here).collect();
    // What leads away matters more than what leads here.
    let room = rows.saturating_sub(here.leads.len() + 2).clamp(1, rows.max(1));
    for (from, by) in before.iter().take(room) {
        let by = if by.is_empty() { String::new() } else { format!(": {by}") };
        sheet.pieces(&[(Role::Plain, " "), (Role::Plain, from), (Role::Plain, &by)]);
    }
    if before.len() > room {
        sheet.pieces(&[(Role::Plain, &format!(" and {} more", before.len() - room))]);
    }
    if before.is_empty() {
        let said = if start == Some(here.id.as_str()) { " (the start)" } else { " (nothing leads here)" };
        sheet.pieces(&[(Role::Plain, said)]);
    }
    sheet.pieces(&[(Role::Live, &format!("> {}", here.id)), (Role::Plain, &format!("  {}", here.kind))]);
    for (by, to) in &here.leads {
        if by.is_empty() {
            sheet.pieces(&[(Role::Plain, "  -> "), (Role::Strong, to)]);
        } else {
            sheet.pieces(&[(Role::Plain, &format!("  {by} -> ")), (Role::Strong, to)]);
        }
    }
    if sheet.len() + 2 < rows {
        sheet.blank();
        sheet.pieces(&[(Role::Plain, &format!(" step {} of {}", at + 1, steps.len()))]);
    }
    sheet
}

/// What can be done, by number.
pub(super) fn numbers(mut sheet: Sheet) -> Sheet {
    for row in AUTHOR_KEYS {
        if let Some(number) = row.number {
            sheet.pieces(&[
                (Role::Strong, &format!("   {number}  ")),
                (Role::Plain, &format!("{:28}{}", row.label, row.press.name())),
            ]);
        }
    }
    sheet
}

/// Every key, by place.
pub(super) fn said_keys(mut sheet: Sheet) -> Sheet {
    let places = [
        (AuthorPlace::Text, "In the text"),
        (AuthorPlace::List, "In a list"),
        (AuthorPlace::Numbers, "At a question or the numbered list"),
    ];
    for (place, title) in places {
        sheet.text(Role::Strong, 1, title);
        for row in author_keys_at(place) {
            sheet.pieces(&[(Role::Plain, &format!("   {:10}{}", row.press.name(), row.label))]);
        }
    }
    sheet.text(Role::Strong, 1, "Marks before a line");
    sheet.pieces(&[(
        Role::Plain,
        "   !  refused: the tree cannot be walked      *  wrong      ?  to look at",
    )]);
    sheet.text(Role::Strong, 1, "Also");
    sheet.text(Role::Plain, 3, "A new line begins under the one before, one deeper after a colon. Arrows, Home, End, PgUp and PgDn move; with Ctrl by words, and to the ends. `loomwalk explain RULE` says more of a rule.");
    sheet
}
