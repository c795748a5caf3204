//! The safety rules written down a second time, in plain text, with a small reader of its own.
//!
//! Each line: a deed, what it needs, rule by rule, and what it does. The program must agree with
//! every line in every state of the machine; the path enumeration walks these lines, not the
//! program's tables.

use loomwalk::safety::{
    Ammeter, CabKind, Closing, Deed, Drive, Gate, GateId, Heat, LeakSearch, Line, LostBy, Moves, NamedKind,
    OwnCondition, OwnGate, OwnNeed, OwnSafety, Place, Power, Reach, Source, State, StepKind, Vocabulary,
    Watch, Watched, WhenIsolated, Zone,
};

/// Every facet of the tests with its values, in the order of their bits.
pub(crate) const FACETS: [(&str, &[&str]); 20] = [
    ("power", &["running", "live", "off", "isolated"]),
    ("cab", &["down", "raised", "supported"]),
    ("arms", &["raised", "down", "supported"]),
    ("pressure", &["charged", "released"]),
    ("parked", &["no", "yes"]),
    ("lock", &["on", "off"]),
    ("whole", &["no", "yes"]),
    ("touched", &["no", "yes"]),
    ("stuck", &["no", "yes"]),
    ("left", &["no", "yes"]),
    ("hot", &["no", "yes"]),
    ("found", &["no", "yes"]),
    ("repaired", &["no", "yes"]),
    ("slew-lock", &["out", "in"]),
    ("stands", &["none", "on"]),
    ("apart:X1", &["no", "yes"]),
    ("apart:X2", &["no", "yes"]),
    ("tied:bar", &["no", "yes"]),
    ("bridged:b", &["no", "yes"]),
    ("fitted:B+", &["no", "yes"]),
];

/// A bit mask of values for each facet of [`FACETS`].
pub(crate) type Masks = [u8; FACETS.len()];

/// Facet and allowed values.
pub(crate) type Term = (usize, u8);

/// One line of the rules.
pub(crate) struct Spec {
    pub(crate) deed: Deed,
    /// Rule, and alternatives of conjunctions; no alternative is never met.
    pub(crate) needs: Vec<(&'static str, Vec<Vec<Term>>)>,
    /// What it sets, facet by facet.
    pub(crate) does: Vec<Term>,
}

fn place_of(facet: &str) -> usize {
    FACETS.iter().position(|(name, _)| *name == facet).unwrap_or_else(|| panic!("facet {facet}"))
}

fn mask(facet: usize, values: &str) -> u8 {
    let all = FACETS[facet].1;
    if values == "?" {
        return u8::try_from((1u32 << all.len()) - 1).expect("few values");
    }
    values.split('|').fold(0, |mask, value| {
        let bit = all.iter().position(|v| *v == value).unwrap_or_else(|| panic!("value {value}"));
        mask | 1 << bit
    })
}

pub(crate) fn term(text: &str) -> Term {
    let (facet, values) = text.split_once('=').unwrap_or_else(|| panic!("term {text}"));
    (place_of(facet), mask(place_of(facet), values))
}

fn needs(text: &'static str) -> Vec<(&'static str, Vec<Vec<Term>>)> {
    let rules = text.split(';').map(str::trim).filter(|rule| !rule.is_empty());
    rules
        .map(|rule| {
            let (name, need) = rule.split_once(": ").unwrap_or_else(|| panic!("rule {rule}"));
            if need == "never" {
                return (name, Vec::new());
            }
            let all = |all: &str| all.split(" & ").map(term).collect();
            (name, need.split(" or ").map(all).collect())
        })
        .collect()
}

fn spec(deed: Deed, needs_text: &'static str, does: &str) -> Spec {
    Spec { deed, needs: needs(needs_text), does: does.split_whitespace().map(term).collect() }
}

fn gate(gate: Gate) -> Deed {
    Deed::Gate(GateId::BuiltIn(gate))
}

fn s(text: &str) -> String {
    text.to_owned()
}

/// A cab that tilts, a slewing part that can be locked, and stands.
pub(crate) fn machine() -> OwnSafety {
    let condition = |name: &str, values: [&str; 2], lost_by: Vec<LostBy>| OwnCondition {
        name: s(name),
        values: values.iter().map(|v| s(v)).collect(),
        at_start: vec![s(values[0])],
        lost_by,
    };
    let own = |name: &str, sets: (&str, &str)| OwnGate {
        name: s(name),
        needs: vec![OwnNeed { condition: s("parked"), values: vec![s("yes")] }],
        sets: vec![(s(sets.0), s(sets.1))],
        items: vec![loomwalk::diag::Text::plain("Pin in")],
        minutes: None,
    };
    OwnSafety {
        cab: CabKind::Tilts,
        conditions: vec![
            condition(
                "slew-lock",
                ["out", "in"],
                vec![LostBy::Running, LostBy::Moves(Moves::Own(s("slew")))],
            ),
            condition("stands", ["none", "on"], vec![LostBy::Moves(Moves::Travel)]),
        ],
        gates: vec![own("lock-slew", ("slew-lock", "in")), own("set-on-stands", ("stands", "on"))],
        zones: vec![],
    }
}

/// The vocabulary of the tests, with every name in [`FACETS`].
pub(crate) fn vocabulary() -> Vocabulary {
    let mut vocabulary = Vocabulary::new(&machine()).expect("the tests' machine is sound");
    for (kind, name) in [
        (NamedKind::Apart, "X1"),
        (NamedKind::Apart, "X2"),
        (NamedKind::Tied, "bar"),
        (NamedKind::Bridged, "b"),
        (NamedKind::Fitted, "B+"),
    ] {
        vocabulary.intern(kind, name).expect("few names");
    }
    vocabulary
}

/// At the start of a job, as the rules say.
pub(crate) fn at_start() -> Masks {
    let mut masks = [1; FACETS.len()];
    for text in ["power=?", "cab=?", "arms=?", "whole=?", "lock=off", "slew-lock=out", "stands=none"] {
        let (facet, mask) = term(text);
        masks[facet] = mask;
    }
    masks
}

/// The program's state with these values.
pub(crate) fn state_of(masks: &Masks, vocabulary: &Vocabulary) -> State {
    let mut state = State::at_start(vocabulary);
    for facet in vocabulary.facets() {
        let place = place_of(vocabulary.name(facet));
        let names: Vec<&str> =
            (0..8).filter(|bit| masks[place] >> bit & 1 == 1).map(|bit| FACETS[place].1[bit]).collect();
        let values = names
            .iter()
            .filter_map(|name| vocabulary.value(facet, name))
            .reduce(loomwalk::safety::Values::or);
        let values = values.expect("every facet has a value");
        state.apply(loomwalk::safety::Change::Set(facet, values), vocabulary);
    }
    state
}

/// The values that the program's state holds.
pub(crate) fn masks_of(state: &State, vocabulary: &Vocabulary) -> Masks {
    let mut masks = [0; FACETS.len()];
    for facet in vocabulary.facets() {
        let place = place_of(vocabulary.name(facet));
        let names = vocabulary.value_names(facet, state.values(facet, vocabulary));
        masks[place] = mask(place, &names.join("|"));
    }
    masks
}

pub(crate) fn holds(alternatives: &[Vec<Term>], masks: &Masks) -> bool {
    alternatives.iter().any(|all| all.iter().all(|term| surely(*term, masks)))
}

pub(crate) fn surely((facet, allowed): Term, masks: &Masks) -> bool {
    masks[facet] & !allowed == 0
}

/// What the lines say of the machine after the deeds, done or not.
pub(crate) fn after(specs: &[&Spec], is_done: bool, before: &Masks) -> Masks {
    let mut masks = *before;
    for spec in specs {
        for (facet, value) in &spec.does {
            // That it was touched, that it is no longer as it was left, that no proof stands: at once.
            let at_once = [term("touched=yes"), term("left=no")].contains(&(*facet, *value));
            masks[*facet] = if is_done || at_once { *value } else { mask(*facet, "?") };
        }
        if !is_done && matches!(spec.deed, Deed::Gate(_)) {
            masks[place_of("stuck")] = mask(place_of("stuck"), "yes");
        }
    }
    masks
}

const HANDS: &str = "touched=yes left=no";

fn hands(more: &str) -> String {
    format!("{HANDS} {more}")
}

/// The gate table.
pub(crate) fn gates() -> Vec<Spec> {
    vec![
        spec(gate(Gate::Park), "", &hands("parked=yes power=off hot=no")),
        spec(
            gate(Gate::LowerArms),
            "gate-not-parked: parked=yes",
            &hands("arms=down power=off pressure=charged hot=no"),
        ),
        spec(
            gate(Gate::SupportArms),
            "gate-not-parked: parked=yes",
            &hands("arms=supported power=off hot=no"),
        ),
        spec(
            gate(Gate::ReleasePressure),
            "gate-not-parked: parked=yes; gate-cab-not-down: cab=down; gate-arms-raised: arms=down|supported; \
             gate-power: power=live|off",
            &hands("pressure=released power=off hot=no"),
        ),
        spec(
            gate(Gate::Lockout),
            "gate-not-parked: parked=yes; gate-arms-raised: arms=down|supported; \
             gate-power: power=live|off|isolated",
            &hands("power=isolated lock=on"),
        ),
        spec(
            gate(Gate::RaiseCab),
            "gate-not-parked: parked=yes; gate-arms-raised: arms=down|supported; gate-power: power=off|isolated",
            &hands("cab=supported"),
        ),
        spec(
            gate(Gate::LowerCab),
            "gate-not-parked: parked=yes; gate-arms-raised: arms=down|supported; gate-power: power=off|isolated",
            &hands("cab=down"),
        ),
        spec(
            gate(Gate::LiveTest),
            "gate-not-parked: parked=yes; gate-cab-not-held: cab=down|supported; \
             gate-arms-raised: arms=down|supported; gate-power: power=off|isolated",
            &hands("power=live hot=no"),
        ),
        spec(
            gate(Gate::PutBack),
            "gate-not-parked: parked=yes; gate-power: power=off|isolated; \
             gate-plug-apart: apart:X1=no & apart:X2=no; gate-bridge-on: bridged:b=no; gate-tied: tied:bar=no",
            &hands("whole=yes"),
        ),
        spec(
            gate(Gate::ReleaseLockout),
            "gate-not-parked: parked=yes; gate-cab-not-down: cab=down; gate-not-whole: whole=yes; \
             gate-power: power=off|isolated",
            &hands("power=off lock=off hot=no"),
        ),
        spec(
            gate(Gate::RunUp),
            "start-not-parked: parked=yes; start-cab-up: cab=down; start-not-whole: whole=yes; \
             start-locked-out: lock=off; gate-power: power=live|off",
            &hands("power=running hot=no arms=raised pressure=charged slew-lock=?"),
        ),
        spec(
            gate(Gate::HotWork),
            "gate-not-parked: parked=yes; gate-power: power=isolated",
            &hands("hot=yes"),
        ),
        spec(
            gate(Gate::Leave),
            "gate-not-parked: parked=yes; gate-cab-not-held: cab=down|supported; \
             gate-arms-raised: arms=down|supported; gate-power: power=off|isolated",
            "touched=yes left=yes",
        ),
        spec(gate(Gate::KeepAway), "gate-not-stuck: stuck=yes", "touched=yes left=yes"),
        spec(
            Deed::Gate(GateId::Own(0)),
            "gate-need: parked=yes; gate-running: power=live|off|isolated",
            &hands("slew-lock=in"),
        ),
        spec(Deed::Gate(GateId::Own(1)), "gate-need: parked=yes", &hands("stands=on")),
    ]
}

/// The rules no author can switch off: zones.
pub(crate) fn zones() -> Vec<Spec> {
    let zone = |zone, needs_text| spec(Deed::BeIn(Place::In(zone)), needs_text, "");
    vec![
        zone(Zone::Outside, ""),
        zone(Zone::Seat, "seat-cab-up: cab=down"),
        zone(Zone::EngineBay, "engine-bay-running: power=live|off|isolated"),
        zone(
            Zone::UnderCab,
            "under-cab-not-supported: cab=supported; under-cab-arms-raised: arms=down|supported; \
             under-cab-running: power=off|isolated|live",
        ),
        zone(
            Zone::UnderArms,
            "under-arms-not-parked: parked=yes; under-arms-not-supported: arms=supported; \
             under-arms-power: power=off|isolated",
        ),
        zone(
            Zone::UnderMachine,
            "under-machine-not-parked: parked=yes; under-machine-no-stands: stands=on; \
             under-machine-arms-raised: arms=down|supported; under-machine-power: power=off|isolated",
        ),
        spec(Deed::BeIn(Place::Unsaid), "no-zone: never", ""),
        spec(
            Deed::BeIn(Place::Contradicted { written: Zone::Outside, by_machine: Zone::Seat }),
            "wrong-zone: never; seat-cab-up: cab=down",
            "",
        ),
    ]
}

fn watch(drive: Drive, moves: Vec<Moves>, from: Option<Zone>, why: Watched) -> Deed {
    Deed::Watch(Watch { drive, moves, from, why })
}

/// The rules no author can switch off: watching.
pub(crate) fn watching() -> Vec<Spec> {
    let engine = "watch-power: power=running; watch-cab-up: cab=down; watch-not-whole: whole=yes; \
                  watch-locked-out: lock=off; watch-not-parked: parked=yes";
    let setup = "moving-setup: power=running; moving-setup: cab=down; moving-setup: whole=yes; \
                 moving-setup: lock=off; moving-setup: parked=yes";
    vec![
        spec(
            watch(Drive::Engine, vec![Moves::Arms], Some(Zone::Seat), Watched::Asked),
            engine,
            &hands("arms=raised"),
        ),
        spec(
            watch(Drive::Engine, vec![Moves::Travel], Some(Zone::Outside), Watched::Asked),
            engine,
            &hands("parked=no stands=?"),
        ),
        spec(
            watch(Drive::Engine, vec![Moves::Own(s("slew"))], Some(Zone::Seat), Watched::BySetup),
            setup,
            &hands("slew-lock=?"),
        ),
        spec(
            watch(Drive::KeyOn, vec![], Some(Zone::Seat), Watched::Asked),
            "watch-power: power=live|running; watch-cab-up: cab=down; watch-not-whole: whole=yes; \
             watch-locked-out: lock=off; watch-not-parked: parked=yes",
            HANDS,
        ),
        spec(
            watch(Drive::KeyOn, vec![Moves::Arms], Some(Zone::UnderCab), Watched::Asked),
            "watch-power: power=live|running; watch-cab-up: cab=down; watch-not-whole: whole=yes; \
             watch-locked-out: lock=off; watch-not-parked: parked=yes; watch-from-danger: never",
            &hands("arms=raised"),
        ),
    ]
}

/// The rules no author can switch off: readings.
pub(crate) fn readings() -> Vec<Spec> {
    let both = vec![s("X1"), s("X2")];
    let live_or_running = Power::Live.only().or(Power::Running.only());
    let by_leads = |from| Deed::ReadByLeads { points: vec![s("B+")], from };
    vec![
        spec(
            Deed::ReadOhms { ends: both.clone() },
            "ohms-on-live: power=isolated or apart:X1=yes & apart:X2=yes",
            HANDS,
        ),
        spec(Deed::ReadOhms { ends: vec![] }, "ohms-on-live: power=isolated", HANDS),
        spec(
            Deed::ReadCanOhms { feeds: both },
            "can-ohms-fed: power=isolated or apart:X1=yes & apart:X2=yes",
            HANDS,
        ),
        spec(Deed::ReadCanOhms { feeds: vec![] }, "can-ohms-fed: power=isolated", HANDS),
        spec(Deed::ReadFed(Source::With(live_or_running)), "dead-meter: power=live|running", HANDS),
        spec(Deed::ReadFed(Source::None), "dead-meter: never", HANDS),
        spec(Deed::ReadFeedCurrent(Ammeter::Clamp), "", HANDS),
        spec(Deed::ReadFeedCurrent(Ammeter::InLineFused), "", HANDS),
        spec(Deed::ReadFeedCurrent(Ammeter::InLine), "feed-current-in-line: never", HANDS),
        spec(
            by_leads(Some(Zone::Seat)),
            "engine-running-leads: power=live|off|isolated or fitted:B+=yes",
            HANDS,
        ),
        spec(by_leads(Some(Zone::EngineBay)), "engine-running-leads: power=live|off|isolated", HANDS),
        spec(by_leads(None), "engine-running-leads: power=live|off|isolated", HANDS),
    ]
}

/// The rules no author can switch off: hands on the machine.
pub(crate) fn acts() -> Vec<Spec> {
    let (plug, control, bridge, point) = (s("X1"), s("bar"), s("b"), s("B+"));
    let unplug = |line| Deed::Unplug { plug: plug.clone(), line };
    let tie = |reach| Deed::Tie { control: control.clone(), reach };
    let set = |reach| Deed::SetControl { control: control.clone(), reach };
    let still = "unplug-live: power=off|isolated";
    vec![
        spec(unplug(Line::Signal), still, &hands("whole=no apart:X1=yes")),
        spec(unplug(Line::Feed), "undo-feed-live: power=isolated", &hands("whole=no apart:X1=yes")),
        spec(Deed::Plug { plug: s("X1"), line: Line::Signal }, still, &hands("apart:X1=no")),
        spec(Deed::Cut(WhenIsolated::Dead), "cut-live: power=isolated", &hands("whole=no")),
        spec(Deed::Cut(WhenIsolated::NoModel), "cut-live: power=isolated", &hands("whole=no")),
        spec(
            Deed::Cut(WhenIsolated::StillLive),
            "cut-live: power=isolated; still-live: never",
            &hands("whole=no"),
        ),
        spec(
            Deed::Bridge { bridge: bridge.clone() },
            "bridge-live: power=off|isolated",
            &hands("whole=no bridged:b=yes"),
        ),
        spec(Deed::Unbridge { bridge }, "bridge-live: power=off|isolated", &hands("bridged:b=no")),
        spec(
            Deed::Fit { point: point.clone() },
            "fit-leads-live: power=off|isolated",
            &hands("fitted:B+=yes"),
        ),
        spec(Deed::Unfit { point }, "", &hands("fitted:B+=no")),
        spec(
            Deed::OpenHydraulics,
            "hydraulics-pressurised: pressure=released; hydraulics-arms-raised: arms=down|supported; \
             hydraulics-power: power=off|isolated",
            &hands("whole=no hot=no"),
        ),
        spec(Deed::LookForLeaks(LeakSearch::CloseUp), "leak-by-hand: pressure=released", HANDS),
        spec(Deed::LookForLeaks(LeakSearch::CardAtADistance), "", HANDS),
        spec(tie(Reach::SeatOrTied), "tie-cab-up: cab=down", &hands("whole=no tied:bar=yes")),
        spec(tie(Reach::SeatOnly), "tie-impossible: never", &hands("whole=no tied:bar=yes")),
        spec(tie(Reach::Anywhere), "", &hands("whole=no tied:bar=yes")),
        spec(
            Deed::Untie { control: s("bar"), reach: Reach::SeatOrTied },
            "tie-cab-up: cab=down",
            &hands("tied:bar=no"),
        ),
        spec(set(Reach::SeatOrTied), "control-out-of-reach: cab=down or tied:bar=yes", HANDS),
        spec(set(Reach::SeatOnly), "control-out-of-reach: cab=down", HANDS),
        spec(set(Reach::Anywhere), "", HANDS),
        spec(Deed::Heat, "heat-early: hot=yes", HANDS),
        spec(
            Deed::Repair(Heat::Needed),
            "repair-not-isolated: power=isolated; heat-early: hot=yes",
            &hands("whole=no repaired=yes"),
        ),
        spec(
            Deed::Repair(Heat::NotNeeded),
            "repair-not-isolated: power=isolated",
            &hands("whole=no repaired=yes"),
        ),
    ]
}

/// The rules no author can switch off: steps and ends.
pub(crate) fn steps_and_ends() -> Vec<Spec> {
    let ended = "close-not-left: left=yes or touched=no; close-cab-up: cab=down or touched=no; \
                 close-not-whole: whole=yes or touched=no; close-locked: lock=off or touched=no; \
                 close-bridged: bridged:b=no or touched=no; close-leads-on: fitted:B+=no or touched=no";
    vec![
        spec(Deed::Step(StepKind::PhoneAsk), "", ""),
        spec(Deed::Step(StepKind::Find), "", ""),
        spec(Deed::Step(StepKind::Ask), "", "touched=yes"),
        spec(Deed::Step(StepKind::Look), "", HANDS),
        spec(Deed::Step(StepKind::Read), "", HANDS),
        spec(Deed::Step(StepKind::Do), "", HANDS),
        spec(Deed::PowerIs(Power::Running.only()), "setup-contradicts: power=running", ""),
        spec(Deed::Found, "", "found=yes repaired=no"),
        spec(Deed::Close(Closing::NotReproduced), ended, ""),
        spec(Deed::Close(Closing::Temporary), ended, ""),
        spec(Deed::Close(Closing::InterlockNotShown), "interlock-not-shown: never", ""),
        spec(
            Deed::Refer,
            "refer-not-left: left=yes or touched=no; bridge-left: bridged:b=no or stuck=yes",
            "",
        ),
        spec(Deed::Forbidden(loomwalk::safety::SafetyRule::HighVoltage), "high-voltage: never", ""),
    ]
}

/// Every line.
pub(crate) fn all() -> Vec<Spec> {
    let parts = [gates(), zones(), watching(), readings(), acts(), steps_and_ends()];
    parts.into_iter().flatten().collect()
}
