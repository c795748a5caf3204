//! Controllers: feed, pins, and later what they decide.

use super::draft::{Draft, Named};
use super::forms;
use super::head::{listed, named};
use crate::diag::{Entries, Entry, Place as FilePlace};
use crate::machine::logic::Logic;
use crate::machine::model::{
    Code, CodeName, Controller, ControllerId, Drive, Feed, Input, InputId, Output, OutputId, Owner, PointId,
    PullUp,
};
use crate::units::{Ohms, Volts};

impl Draft<'_> {
    /// Reads feed and pins; logic waits until the chains are known.
    pub(super) fn read_controllers(&mut self, top: &Entries<'_, '_>) {
        for entry in named(self, top, "controllers") {
            let Some(own) = self.open(&entry.value, &forms::CONTROLLER) else { continue };
            let id = ControllerId::new(self.parts.controllers.len());
            let at = FilePlace::Bytes(self.file, entry.key_span);
            if !self.claim(entry.key, Named::Controller(id), at.clone()) {
                continue;
            }
            let Some(how) = own.get("fed").and_then(|node| self.open(node, &forms::FED)) else { continue };
            let Some(feed) = self.feed(entry.key, id, &how) else { continue };
            let (title, zone) = (self.title(&own), self.zone(&own));
            self.parts.controllers.push(Controller {
                name: entry.key.to_string(),
                title,
                zone: zone.clone(),
                feed,
                inputs: Vec::new(),
                outputs: Vec::new(),
                inside: Vec::new(),
                codes: Vec::new(),
            });
            self.controller_at.push(at);
            self.read_inputs(id, &own);
            self.read_outputs(id, &own);
            self.read_inside(id, &own);
            for point in &mut self.parts.points {
                if point.owner == Owner::Controller(id) {
                    point.zone.clone_from(&zone);
                }
            }
        }
    }

    /// The point of a pin, written as `A1:7` or `7`; made where it is first named.
    fn own_pin(
        &mut self,
        controller: &str,
        id: ControllerId,
        written: &str,
        at: FilePlace,
    ) -> Option<PointId> {
        let name = match written.split_once(':') {
            Some((other, _)) if other != controller => {
                self.problems.refuse("unknown-pin", at).says(
                    format!("`{written}` is not a pin of {controller}"),
                    "Feed and pins of two boxes would be mixed up.",
                    format!("`{controller}:…`, or the pin's number alone"),
                );
                return None;
            }
            Some(_) => written.to_owned(),
            None => format!("{controller}:{written}"),
        };
        if let Some(point) = self.points.get(&name) {
            return Some(*point);
        }
        if !self.is_name(&name, at) {
            return None;
        }
        let place = self.new_place();
        Some(self.add_point(&name, Owner::Controller(id), place))
    }

    fn feed(&mut self, name: &str, id: ControllerId, fed: &Entries<'_, '_>) -> Option<Feed> {
        let pin = |draft: &mut Self, key: &str| {
            let written = draft.word(fed, key)?.to_owned();
            let at = draft.place(fed.get(key)?);
            draft.own_pin(name, id, &written, at)
        };
        let (plus, minus, wake) = (pin(self, "plus"), pin(self, "minus"), pin(self, "wake"));
        let least: Option<Volts> = self.quantity(fed, "least");
        let ohms: Option<Ohms> = self.quantity(fed, "ohms");
        let asleep: Option<Ohms> = self.quantity(fed, "asleep");
        if wake.is_some() != asleep.is_some() {
            self.problems.refuse("missing-key", fed.place()).says(
                "`wake` and `asleep` go together",
                "What the box draws while it sleeps would be a guess.",
                "both, as `wake: A1:3` and `asleep: 2k7`, or neither",
            );
        }
        let (plus, minus) = (plus?, minus?);
        if plus == minus {
            self.problems.refuse("floating-controller", fed.place()).says(
                format!("plus and minus of {name} are one pin"),
                "It could never be fed.",
                "two pins",
            );
            return None;
        }
        Some(Feed { plus, minus, least: least?, ohms: ohms?, sleep: wake.zip(asleep) })
    }

    fn read_inputs(&mut self, id: ControllerId, own: &Entries<'_, '_>) {
        let controller = self.parts.controllers[id.at()].name.clone();
        for entry in named(self, own, "inputs") {
            let Some(input) = self.open(&entry.value, &forms::INPUT) else { continue };
            let key_at = FilePlace::Bytes(self.file, entry.key_span);
            let pin = self.own_pin(&controller, id, entry.key, key_at);
            let limits = self.limits(&input);
            let pull_up = self.pull_up(&input);
            let pull_down = input.get("pull-down").and_then(|node| {
                if node.map().is_none() {
                    return self.quantity_of(node);
                }
                let form = self.open(node, &forms::PULL_DOWN)?;
                self.quantity(&form, "ohms")
            });
            let Some(name) = self.word(&input, "name").map(str::to_owned) else { continue };
            let (Some(pin), Some((low_below, high_from))) = (pin, limits) else { continue };
            let input_id = InputId::new(self.parts.inputs.len());
            if self.inputs.contains_key(&name) {
                let at = input.get("name").map_or_else(|| input.place(), |n| self.place(n));
                self.used_twice(&name, at);
                continue;
            }
            self.inputs.insert(name.clone(), input_id);
            let made = Input { name, controller: id, pin, pull_up, pull_down, low_below, high_from };
            self.parts.inputs.push(made);
            self.parts.controllers[id.at()].inputs.push(input_id);
        }
    }

    fn limits(&mut self, input: &Entries<'_, '_>) -> Option<(Option<Volts>, Option<Volts>)> {
        let low = input.get("low").and_then(|node| self.open(node, &forms::LOW));
        let low: Option<Volts> = low.and_then(|low| self.quantity(&low, "below"));
        let high = input.get("high").and_then(|node| self.open(node, &forms::HIGH));
        let high: Option<Volts> = high.and_then(|high| self.quantity(&high, "above"));
        if let (Some(l), Some(h)) = (low, high)
            && l.value() > h.value()
        {
            self.problems.refuse("limits-crossed", input.key_place("high")).says(
                format!("the input is low below {l} and high from {h}: both at once in between"),
                "Nobody could say what the controller reads there.",
                "the lower limit first, then a higher one",
            );
            return None;
        }
        Some((low, high))
    }

    fn pull_up(&mut self, input: &Entries<'_, '_>) -> Option<(PullUp, Ohms)> {
        let form = self.open(input.get("pull-up")?, &forms::PULL_UP)?;
        let volts: Option<Volts> = self.quantity(&form, "volts");
        let plus = form.one_of("to", &[("plus", PullUp::Plus)], self.problems);
        let ohms: Option<Ohms> = self.quantity(&form, "ohms");
        if form.get("volts").is_some() == form.get("to").is_some() {
            self.problems.refuse("missing-key", form.place()).says(
                "a pull-up goes to `volts` or `to: plus`, one of the two",
                "What an open wire would read is not known.",
                "`pull-up: {volts: 5 V, ohms: 2k2}`",
            );
        }
        volts.map(PullUp::Volts).or(plus).zip(ohms)
    }

    fn read_outputs(&mut self, id: ControllerId, own: &Entries<'_, '_>) {
        let controller = self.parts.controllers[id.at()].name.clone();
        for entry in named(self, own, "outputs") {
            let Some(output) = self.open(&entry.value, &forms::OUTPUT) else { continue };
            let key_at = FilePlace::Bytes(self.file, entry.key_span);
            let pin = self.own_pin(&controller, id, entry.key, key_at);
            let drives = self.drive(&output);
            let (ohms, limit) = (self.quantity(&output, "ohms"), self.quantity(&output, "limit"));
            let Some(name) = self.word(&output, "name").map(str::to_owned) else { continue };
            let (Some(pin), Some(drives), Some(ohms)) = (pin, drives, ohms) else { continue };
            let output_id = OutputId::new(self.parts.outputs.len());
            if self.outputs.contains_key(&name) {
                let at = output.get("name").map_or_else(|| output.place(), |n| self.place(n));
                self.used_twice(&name, at);
                continue;
            }
            self.outputs.insert(name.clone(), output_id);
            let made = Output { name, controller: id, pin, drives, ohms, limit, when: Logic::ALWAYS };
            self.parts.outputs.push(made);
            self.parts.controllers[id.at()].outputs.push(output_id);
        }
    }

    fn drive(&mut self, output: &Entries<'_, '_>) -> Option<Drive> {
        let volts: Option<Volts> = self.quantity(output, "volts");
        let words = [("plus", Drive::Plus), ("minus", Drive::Minus), ("rail", Drive::Rail(Volts(0.0)))];
        let drive = output.one_of("drives", &words, self.problems)?;
        let (missing, wrong) = match (drive, volts) {
            (Drive::Rail(_), Some(volts)) => return Some(Drive::Rail(volts)),
            (Drive::Rail(_), None) => ("`volts`", "a rail says at which volts it holds its pin"),
            (_, Some(_)) => ("no `volts`", "only a rail holds its pin at volts of its own"),
            (Drive::Plus | Drive::Minus, None) => {
                if output.get("when").is_some() {
                    return Some(drive);
                }
                ("`when`", "nothing says when this output is on")
            }
        };
        self.problems.refuse("missing-key", output.place()).says(
            wrong,
            "What stands at the pin would be a guess.",
            missing,
        );
        None
    }

    fn read_inside(&mut self, id: ControllerId, own: &Entries<'_, '_>) {
        let controller = self.parts.controllers[id.at()].name.clone();
        for node in listed(self, own, "inside") {
            let Some(inside) = self.open(node, &forms::INSIDE) else { continue };
            let ohms: Option<Ohms> = self.quantity(&inside, "ohms");
            let words = inside.words("pins", self.problems);
            let pins: Vec<PointId> =
                words.iter().filter_map(|(pin, at)| self.own_pin(&controller, id, pin, at.clone())).collect();
            match (pins.as_slice(), ohms) {
                ([a, b], Some(ohms)) if a != b => {
                    self.parts.controllers[id.at()].inside.push((*a, *b, ohms));
                }
                (_, None) => {}
                _ => self.problems.refuse("unknown-pin", inside.key_place("pins")).says(
                    "a resistance lies between two different pins",
                    "What an ohmmeter shows there would be a guess.",
                    "`pins: [20, 21]`",
                ),
            }
        }
    }

    /// Reads what outputs and codes wait for, once every load is known.
    pub(super) fn read_decisions(&mut self, top: &Entries<'_, '_>) {
        for entry in named(self, top, "controllers") {
            let Some(Named::Controller(id)) = self.names.get(entry.key).copied() else { continue };
            if id.at() < self.parts.controllers.len() {
                self.output_logic(entry);
                self.read_codes(id, entry);
            }
        }
    }

    fn output_logic(&mut self, controller: &Entry<'_>) {
        for entry in controller.value.get("outputs").and_then(|o| o.map()).unwrap_or_default() {
            let output = entry.value.get("name").and_then(|n| n.scalar());
            let Some(id) = output.and_then(|name| self.outputs.get(name.trim()).copied()) else { continue };
            if let Some(when) = entry.value.get("when").and_then(|node| self.logic(node)) {
                self.parts.outputs[id.at()].when = when;
            }
        }
    }

    fn read_codes(&mut self, id: ControllerId, controller: &Entry<'_>) {
        for node in controller.value.get("codes").and_then(|c| c.list()).unwrap_or_default() {
            let Some(code) = self.open(node, &forms::CODE) else { continue };
            let name = self.code_name(&code);
            let when = code.get("when").and_then(|node| self.logic(node));
            let text = self.text(&code, "text");
            if let (Some(name), Some(when)) = (name, when) {
                self.parts.controllers[id.at()].codes.push(Code { name, text, when });
            }
        }
    }

    fn code_name(&mut self, code: &Entries<'_, '_>) -> Option<CodeName> {
        let node = code.get("code")?;
        if node.map().is_none() {
            return self.word(code, "code").map(|word| CodeName::Own(word.to_owned()));
        }
        let spn = self.open(node, &forms::SPN)?;
        let mut number = |key: &str, most: u32| {
            let node = spn.get(key)?;
            let value = node.scalar().and_then(|text| text.trim().parse::<u32>().ok()).filter(|n| *n <= most);
            if value.is_none() {
                let place = self.place(node);
                self.problems.refuse("wrong-quantity", place).says(
                    format!("`{key}` is a whole number from 0 to {most}"),
                    "The code on the display could not be matched.",
                    format!("`{key}: 4`"),
                );
            }
            value
        };
        // SPN has 19 bits, FMI has 5 (SAE J1939-73).
        let (spn, fmi) = (number("spn", 0x7_FFFF), number("fmi", 31));
        Some(CodeName::Spn { spn: spn?, fmi: u8::try_from(fmi?).ok()? })
    }
}
