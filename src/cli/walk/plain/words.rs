//! The words of plain mode, at any prompt.

use crate::walk::PageKind;

/// What a typed line asks for beside an answer.
pub(super) enum Word {
    Back,
    Note(String),
    Cannot(String),
    Repeat,
    Where,
    Own,
    Repair(String),
    Left(String),
    Job(String),
    Wait(String),
    Take,
    Hide,
    Help,
    Quit,
}

/// With what a prompt begins.
pub(super) fn kind_word(kind: PageKind) -> &'static str {
    match kind {
        PageKind::Ask => "Question",
        PageKind::Look => "Look",
        PageKind::Read => "Reading",
        PageKind::Do => "Do",
        PageKind::Gate => "Gate",
        PageKind::Find => "Found",
        PageKind::Close | PageKind::Refer | PageKind::Ended => "End",
        PageKind::Waiting => "Waiting",
    }
}

/// True if it was said that it is done.
pub(super) fn is_yes(typed: &str) -> bool {
    matches!(typed.to_lowercase().as_str(), "1" | "yes" | "y" | "done" | "sí" | "si" | "s")
}

/// The word that a typed line begins with, if it is one.
pub(super) fn word_of(typed: &str) -> Option<Word> {
    let (word, rest) = typed.split_once(' ').unwrap_or((typed, ""));
    let rest = rest.trim().to_owned();
    Some(match word {
        "back" => Word::Back,
        "note" => Word::Note(rest),
        "cannot" => Word::Cannot(rest),
        "repeat" => Word::Repeat,
        "where" => Word::Where,
        "own" => Word::Own,
        "repair" => Word::Repair(rest),
        "left" => Word::Left(rest),
        "job" => Word::Job(rest),
        "wait" => Word::Wait(rest),
        "take" => Word::Take,
        "hide" => Word::Hide,
        "help" => Word::Help,
        "quit" | "exit" => Word::Quit,
        _ => return None,
    })
}
