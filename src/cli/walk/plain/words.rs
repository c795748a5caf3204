//! The words of plain mode, at any prompt.

use crate::safety::Words;
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

/// What each word does, one a line.
pub(super) const HELP: [Words; 13] = [
    say("back: to the step before.", "back: al paso anterior."),
    say("note: writes one down.", "note: anota una nota."),
    say("cannot: it cannot be done, or you do not know.", "cannot: no se puede hacer, o no lo sabe."),
    say("repeat: says the step again.", "repeat: dice el paso otra vez."),
    say(
        "where: what is in force, the suspects, and the way here.",
        "where: lo que está en vigor, los sospechosos y el camino hasta aquí.",
    ),
    say("own: a reading off the tree.", "own: una lectura fuera del árbol."),
    say(
        "job: what is known of the job, as: job serial 4417.",
        "job: lo que se sabe del trabajo, como: job serial 4417.",
    ),
    say("left: how the machine stands, and who was told.", "left: cómo queda la máquina y a quién se avisó."),
    say(
        "repair: puts a line of the repair sheet right.",
        "repair: corrige una línea de la hoja de reparación.",
    ),
    say("wait: stops the clock.", "wait: para el reloj."),
    say("take: takes the suggestion.", "take: toma la sugerencia."),
    say(
        "hide: suspects stay unsaid, until hide is said again.",
        "hide: no se dicen los sospechosos, hasta decir hide otra vez.",
    ),
    say("Answers and items go by their number.", "Las respuestas y los puntos van por su número."),
];

const fn say(en: &'static str, es: &'static str) -> Words {
    Words { en, es }
}

/// With what a prompt begins.
pub(super) const fn kind_word(kind: PageKind) -> Words {
    let (en, es) = match kind {
        PageKind::Ask => ("Question", "Pregunta"),
        PageKind::Look => ("Look", "Mirar"),
        PageKind::Read => ("Reading", "Lectura"),
        PageKind::Do => ("Do", "Hacer"),
        PageKind::Gate => ("Gate", "Control"),
        PageKind::Find => ("Found", "Hallado"),
        PageKind::Close | PageKind::Refer | PageKind::Ended => ("End", "Fin"),
        PageKind::Waiting => ("Waiting", "En espera"),
    };
    Words { en, es }
}

/// Before the line of what is in force.
pub(super) const MACHINE_NOW: Words = Words { en: "Machine now", es: "Máquina ahora" };

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
