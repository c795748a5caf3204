//! What the effects of the screens do to the session and to the screens on top of one another.

use super::app::App;
use super::screens::{Chosen, Effect, Form, List, Screen, help};
use super::session::{Session, shipped};
use super::settings;
use super::theme::Palette;
use super::words::{GATES_AGAIN, LAPSED, NOT_KEPT, NOT_RECORDED, NOT_TAKEN, RECORDED};
use crate::job::{JobName, JobPlace};
use crate::safety::Words;
use crate::units::Meter;
use crate::walk::{Declined, Event, Input, Lapse};

impl App {
    pub(super) fn take(&mut self, effect: Effect) {
        match effect {
            Effect::Say(input) => self.say(input),
            Effect::Close => {
                self.over.pop();
                self.shown = None;
            }
            Effect::Open(opens) => match opens(&self.session) {
                Ok(screen) => self.open(screen),
                Err(why) => self.session.said = Some(why),
            },
            Effect::Offer(title, entries) => {
                self.open(Screen::List(List::of(&title, entries).about_a_reading()));
            }
            Effect::Also(title, entries) => self.open(Screen::List(List::of(&title, entries))),
            Effect::Help => {
                let of = self.base_place();
                self.open(Screen::Leaf(help(&self.session, of)));
            }
            Effect::Fill(purpose) => self.open(Screen::Form(Form::new(purpose))),
            Effect::GoOn(name) => {
                let name = name.parse::<JobName>().map_err(|error| error.to_string());
                let done = name.and_then(|name| {
                    let place = JobPlace::named(&self.session.around.jobs, &name);
                    Session::is_the_only_end(&place)?;
                    self.session.go_on(&place)
                });
                self.opened(done);
            }
            Effect::Practise(tree) => match self.session.practised(&tree) {
                Ok(screen) => self.open(Screen::Practice(Box::new(screen))),
                Err(why) => self.session.said = Some(why),
            },
            Effect::Begin(chosen, details) => {
                let course = match chosen {
                    Chosen::Shelf(tree) => shipped(&tree),
                    Chosen::Given => self.session.given.clone().ok_or_else(String::new),
                };
                let meter = details.meter;
                let done = course.and_then(|course| self.session.begin(&course, None, *details));
                self.opened(done);
                self.keep_meter(meter);
            }
            Effect::Initials(by) => {
                self.session.initials = (!by.is_empty()).then_some(by);
                self.refresh();
            }
            Effect::Tell(said) => self.session.said = Some(said),
            Effect::HideSuspects => self.session.hides_suspects = !self.session.hides_suspects,
            Effect::Lapse => self.lapse(Lapse::Idle),
            Effect::Turn => self.turn(),
            Effect::ToStart => {
                self.session.lay_aside();
                self.session.look_around();
                self.refresh();
            }
            Effect::Leave => self.left = true,
        }
    }

    fn opened(&mut self, done: Result<(), String>) {
        self.refresh();
        self.session.said = done.err();
    }

    fn turn(&mut self) {
        let around = &mut self.session.around;
        around.palette = match around.palette {
            Palette::Dark => Palette::Light,
            Palette::Light => Palette::Dark,
            Palette::None => Palette::None,
        };
        if let Some(file) = &around.settings
            && let Err(error) = settings::keep(file, around.palette)
        {
            self.tell(NOT_KEPT, &error);
        }
    }

    /// A meter is entered once: the next job has it too.
    fn keep_meter(&mut self, meter: Option<Meter>) {
        let around = &mut self.session.around;
        if meter.is_none() || meter == around.meter {
            return;
        }
        around.meter = meter;
        if let (Some(file), Some(meter)) = (&around.settings, meter)
            && let Err(error) = settings::keep_meter(file, meter)
        {
            self.tell(NOT_KEPT, &error);
        }
    }

    fn tell(&mut self, words: Words, why: &dyn std::fmt::Display) {
        self.session.said = Some(format!("{}: {why}.", self.session.word(words)));
    }

    fn say_word(&mut self, words: Words) {
        self.session.said = Some(self.session.word(words).to_owned());
    }

    pub(super) fn lapse(&mut self, cause: Lapse) {
        let Some(done) = self.session.record(&Event::Lapsed { cause }) else { return };
        self.refresh();
        match done {
            Ok(()) => self.say_word(LAPSED),
            Err(fault) => self.tell(NOT_RECORDED, &fault),
        }
    }

    fn say(&mut self, input: Input) {
        let typed = match &input {
            Input::Reading(typed) => Some(typed.clone()),
            _ => None,
        };
        let is_reading = matches!(input, Input::Reading(_) | Input::Decide { .. });
        let is_kept = matches!(input, Input::Note(_) | Input::Own(_));
        let is_still_so = matches!(input, Input::StillSo);
        let Some(done) = self.session.say(input) else { return };
        match done {
            Ok(Ok(())) if is_still_so => {}
            Ok(Ok(())) if is_kept => self.say_word(RECORDED),
            Ok(Ok(())) => {
                self.refresh();
                self.session.said = if is_reading { self.session.band_told() } else { None };
            }
            Ok(Err(declined @ Declined::TooClose(_))) => {
                let list = List::too_close(&self.session, &typed.unwrap_or_default(), &declined);
                self.open(Screen::List(list));
            }
            Ok(Err(Declined::Lapsed(_))) => {
                self.refresh();
                self.say_word(GATES_AGAIN);
            }
            Ok(Err(declined)) => {
                let why = declined.in_lang(&self.session.lang());
                self.tell(NOT_TAKEN, &why);
            }
            Err(fault) => self.tell(NOT_RECORDED, &fault),
        }
    }
}
