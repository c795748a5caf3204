//! Help: the keys of the screen it was asked on, and how the usual tests are done.
//!
//! The cards are common practice in our own words; they have no source.

use super::Leaf;
use crate::diag::Lang;
use crate::safety::Words;
use crate::tui::keys::{EVERYWHERE, Place, Press, keys_at};
use crate::tui::session::Session;
use crate::tui::sheet::Sheet;
use crate::tui::theme::Role;
use crate::tui::words::{MORE, say};

const TITLE: Words =
    say("HELP   the keys here, and how it is done", "AYUDA   las teclas de aquí, y cómo se hace");
const LIST: Words =
    say("the numbered list of what else can be done", "la lista numerada de lo demás que se puede hacer");
const DIGITS: Words = say(
    "Answers and items go by their digit. At a gate only the item marked > counts, and only a key pressed after it was \
     shown. The maker's instructions, the site's rules and local codes come first.",
    "Las respuestas y los puntos van por su cifra. En un control solo cuenta el punto marcado >, y solo una tecla pulsada \
     después de mostrarse. Las instrucciones del fabricante, las reglas del lugar y las normas locales van primero.",
);

/// Screens on top of others, from which the help cannot be asked for.
const ELSEWHERE: [(Words, Place); 7] = [
    (say("Where lines are filled in", "Donde se llenan líneas"), Place::Form),
    (say("In a note", "En una nota"), Place::Note),
    (say("In a numbered list", "En una lista numerada"), Place::List),
    (say("In practice", "En la práctica"), Place::Practice),
    (say("In a review", "En una revisión"), Place::Review),
    (say("In the circuit", "En el circuito"), Place::Circuit),
    (say("In help, report and archive", "En ayuda, informe y archivo"), Place::Leaf),
];

const CARDS: [(Words, Words); 5] = [
    (
        say("Back-probe", "Sondear por detrás"),
        say(
            "The plug stays together. Slide a thin blunt probe in from behind, along the wire and past its seal, until it \
             touches the contact. Do not spread the contact, and do not pierce the insulation: water follows the hole. \
             Take the probe out before anything moves.",
            "El conector queda unido. Meta por detrás una sonda fina y roma, a lo largo del cable y pasando su sello, \
             hasta tocar el contacto. No abra el contacto ni perfore el aislamiento: el agua sigue el agujero. Saque la \
             sonda antes de que algo se mueva.",
        ),
    ),
    (
        say("Drop under load", "Caída con carga"),
        say(
            "With the load switched on, put one lead on each side of the joint, switch or wire in question. A good one \
             shows next to nothing; what the meter shows there is missing at the load. Without current a bad joint looks \
             good.",
            "Con el consumo encendido, ponga una punta a cada lado de la unión, interruptor o cable en duda. Si está \
             bien, casi no marca; lo que marca ahí le falta al consumo. Sin corriente, una mala unión parece buena.",
        ),
    ),
    (
        say("Half-split", "Partir por la mitad"),
        say(
            "Read near the middle of the circuit instead of at its start. Good there: the trouble lies on the far side. \
             Bad there: on the near side. Take the half that is left and do it again.",
            "Mida cerca del medio del circuito y no al principio. Si ahí está bien, el problema está del otro lado. Si \
             está mal, de este lado. Tome la mitad que queda y hágalo otra vez.",
        ),
    ),
    (
        say("Live-dead-live", "Viva, muerta, viva"),
        say(
            "Before you trust a dead reading: the meter on a source that is surely live, then on the point that should be \
             dead, then on the live source again. A meter that failed in between shows dead everywhere.",
            "Antes de fiarse de una lectura muerta: el medidor en una fuente que seguro tiene tensión, después en el \
             punto que debe estar muerto, después otra vez en la fuente. Un medidor que falló entremedio marca muerto en \
             todas partes.",
        ),
    ),
    (
        say("Wiggle", "Mover el mazo"),
        say(
            "Leave the meter connected where you can see it. Move the harness a hand's width at a time, from one end to \
             the other, then each plug. Where the reading jumps, stop and look. Nobody near what could move.",
            "Deje el medidor conectado donde lo vea. Mueva el mazo un palmo cada vez, de una punta a la otra, después \
             cada conector. Donde la lectura salte, pare y mire. Nadie cerca de lo que pueda moverse.",
        ),
    ),
];

/// The help of a place.
pub(in crate::tui) fn help(session: &Session, of: Place) -> Leaf {
    let lang = session.lang();
    Leaf::new(session.word(TITLE), move |sheet| {
        let everywhere = EVERYWHERE.iter().map(|row| (row.press, row.label));
        keys(sheet, keys_at(of).map(|row| (row.press, row.label)).chain(everywhere), &lang);
        sheet.blank();
        sheet.text(Role::Plain, 1, DIGITS.in_lang(&lang));
        for (title, text) in CARDS {
            sheet.blank();
            sheet.text(Role::Strong, 1, title.in_lang(&lang));
            sheet.text(Role::Plain, 3, text.in_lang(&lang));
        }
        for (title, place) in ELSEWHERE {
            sheet.blank();
            sheet.text(Role::Strong, 1, title.in_lang(&lang));
            keys(sheet, keys_at(place).map(|row| (row.press, row.label)), &lang);
        }
    })
}

fn keys(sheet: &mut Sheet, rows: impl Iterator<Item = (Press, Words)>, lang: &Lang) {
    for (press, label) in rows {
        let label = if label == MORE { LIST } else { label };
        let key = format!("   {}", press.name(lang));
        sheet.hanging((Role::Strong, &key), 16, (Role::Plain, label.in_lang(lang)));
    }
}
