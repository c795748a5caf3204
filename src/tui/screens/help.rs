//! Help: the keys of the screen it was asked on, and how the usual tests are done.
//!
//! The cards are common practice in our own words; they have no source.

use crate::tui::frame::Framed;
use crate::tui::keys::{EVERYWHERE, Place, keys_at};
use crate::tui::session::Session;
use crate::tui::theme::Role;

/// The place it was asked at.
#[derive(Debug)]
pub(in crate::tui) struct Help {
    pub(in crate::tui) scroll: usize,
    of: Place,
}

const CARDS: [(&str, &str); 5] = [
    (
        "Back-probe",
        "The plug stays together. Slide a thin blunt probe in from behind, along the wire and past its seal, until it \
         touches the contact. Do not spread the contact, and do not pierce the insulation: water follows the hole. \
         Take the probe out before anything moves.",
    ),
    (
        "Drop under load",
        "With the load switched on, put one lead on each side of the joint, switch or wire in question. A good one shows \
         next to nothing; what the meter shows there is missing at the load. Without current a bad joint looks good.",
    ),
    (
        "Half-split",
        "Read near the middle of the circuit instead of at its start. Good there: the trouble lies on the far side. \
         Bad there: on the near side. Take the half that is left and do it again.",
    ),
    (
        "Live-dead-live",
        "Before you trust a dead reading: the meter on a source that is surely live, then on the point that should be \
         dead, then on the live source again. A meter that failed in between shows dead everywhere.",
    ),
    (
        "Wiggle",
        "Leave the meter connected where you can see it. Move the harness a hand's width at a time, from one end to the \
         other, then each plug. Where the reading jumps, stop and look. Nobody near what could move.",
    ),
];

impl Help {
    pub(in crate::tui) const fn new(of: Place) -> Self {
        Self { scroll: 0, of }
    }

    pub(super) fn view(&self, session: &Session, width: u16) -> Framed {
        let mut framed = Framed::new(width, session.around.letters, Place::Help, "");
        framed.scroll = self.scroll;
        framed.head.text(Role::Strong, 1, "HELP   the keys here, and how it is done");
        let everywhere = EVERYWHERE.iter().map(|row| (row.press, row.label));
        for (press, label) in keys_at(self.of).map(|row| (row.press, row.label)).chain(everywhere) {
            let label = if label == "more" { "the numbered list of what else can be done" } else { label };
            framed.body.hanging((Role::Strong, &format!("   {}", press.name())), 16, (Role::Plain, label));
        }
        framed.body.blank();
        framed.body.text(
            Role::Plain,
            1,
            "Answers and items go by their digit. At a gate only the item marked > counts, and only a key pressed after it \
             was shown. The maker's instructions, the site's rules and local codes come first.",
        );
        for (title, text) in CARDS {
            framed.body.blank();
            framed.body.text(Role::Strong, 1, title);
            framed.body.text(Role::Plain, 3, text);
        }
        framed
    }
}
