//! The cheapest gates to what is needed: held against a search that tries every sequence of gates.

use loomwalk::safety::{
    Closing, Deed, Demand, Drive, Gate, GateId, Moves, Place, State, Vocabulary, Watch, Watched, Way, Zone,
    changes, demands, way_to,
};
use loomwalk::units::Minutes;

use super::spec::{self, Masks};

fn names(way: &Way, vocabulary: &Vocabulary) -> Vec<String> {
    match way {
        Way::Gates { gates, .. } => gates.iter().map(|gate| gate.name(vocabulary).to_owned()).collect(),
        Way::InForce => vec!["in force".to_owned()],
        Way::None => vec!["none".to_owned()],
    }
}

fn with(text: &str) -> Masks {
    let mut masks = spec::at_start();
    for text in text.split_whitespace() {
        let (facet, value) = spec::term(text);
        masks[facet] = value;
    }
    masks
}

fn watch_lift() -> Deed {
    let (drive, moves) = (Drive::Engine, vec![Moves::Arms]);
    Deed::Watch(Watch { drive, moves, from: Some(Zone::Seat), why: Watched::Asked })
}

#[test]
fn the_way_a_mechanic_would_go() {
    let vocabulary = spec::vocabulary();
    let zone = |zone| Deed::BeIn(Place::In(zone));
    let cases: Vec<(&str, Deed, &[&str])> = vec![
        ("", zone(Zone::Outside), &["in force"]),
        ("", zone(Zone::EngineBay), &["park"]),
        ("", zone(Zone::UnderCab), &["park", "lower-arms", "raise-cab"]),
        ("power=off parked=yes arms=supported", zone(Zone::UnderCab), &["raise-cab"]),
        ("power=live parked=yes arms=down cab=supported", zone(Zone::UnderCab), &["in force"]),
        ("power=running parked=yes cab=down", zone(Zone::UnderArms), &["support-arms"]),
        ("", Deed::OpenHydraulics, &["park", "lower-arms", "lower-cab", "release-pressure"]),
        (
            "parked=yes power=isolated arms=down cab=down lock=on",
            Deed::OpenHydraulics,
            &["park", "release-pressure"],
        ),
        ("parked=yes arms=down cab=down", zone(Zone::EngineBay), &["park"]),
        ("parked=yes cab=down", zone(Zone::EngineBay), &["park"]),
        ("", Deed::Heat, &["park", "lower-arms", "lockout", "hot-work"]),
        (
            "parked=yes arms=down power=isolated cab=supported lock=on",
            watch_lift(),
            &["lower-cab", "put-back", "release-lockout", "run-up"],
        ),
        ("apart:X1=yes", watch_lift(), &["none"]),
        ("bridged:b=yes whole=no", watch_lift(), &["none"]),
        (
            "touched=yes",
            Deed::Close(Closing::NotReproduced),
            &["park", "lower-arms", "lower-cab", "put-back", "leave"],
        ),
        ("touched=yes", Deed::Refer, &["park", "lower-arms", "lower-cab", "leave"]),
        ("", Deed::Refer, &["in force"]),
        ("touched=yes fitted:B+=yes", Deed::Close(Closing::NotReproduced), &["none"]),
        ("", zone(Zone::UnderMachine), &["park", "lower-arms", "set-on-stands"]),
        ("", Deed::BeIn(Place::Unsaid), &["none"]),
    ];
    for (state, deed, expected) in cases {
        let start = spec::state_of(&with(state), &vocabulary);
        let way = way_to(&start, &demands(&deed, &vocabulary), &vocabulary);
        assert_eq!(names(&way, &vocabulary), expected, "{deed:?} from {state:?}");
    }
}

/// Where the power is not known, `park` comes first; no gate is done again for what is so already.
fn is_sensible(gate: GateId, state: &State, vocabulary: &Vocabulary) -> bool {
    let masks = spec::masks_of(state, vocabulary);
    let is_so = |text: &str| spec::surely(spec::term(text), &masks);
    let is_power_known = ["running", "live", "off", "isolated"].iter().any(|p| is_so(&format!("power={p}")));
    match gate.name(vocabulary) {
        "park" => true,
        "lower-arms" => is_power_known && !is_so("arms=down"),
        "support-arms" => is_power_known && !is_so("arms=supported"),
        "release-pressure" => is_power_known && !is_so("pressure=released"),
        "release-lockout" => is_power_known && !is_so("lock=off"),
        _ => is_power_known,
    }
}

type Table = Vec<(GateId, Vec<Demand>, Vec<loomwalk::safety::Change>)>;

/// The fewest minutes over every sequence of at most `left` gates, by trying them all.
fn cheapest(state: &State, needed: &[Demand], left: usize, all: (&Table, &Vocabulary)) -> Option<f64> {
    let (table, vocabulary) = all;
    if needed.iter().all(|demand| demand.holds(state, vocabulary)) {
        return Some(0.0);
    }
    let mut best: Option<f64> = None;
    for (gate, demands, changes) in table {
        let is_open = left > 0 && demands.iter().all(|demand| demand.holds(state, vocabulary));
        if !is_open || !is_sensible(*gate, state, vocabulary) {
            continue;
        }
        let mut next = state.clone();
        next.apply_all(changes, vocabulary);
        if let Some(rest) = cheapest(&next, needed, left - 1, all) {
            let minutes = rest + gate.minutes(vocabulary).value();
            best = Some(best.map_or(minutes, |best| best.min(minutes)));
        }
    }
    best
}

#[test]
fn no_shorter_sequence_of_gates_is_cheaper() {
    let vocabulary = spec::vocabulary();
    let built_in = Gate::ALL.into_iter().filter(|gate| *gate != Gate::KeepAway).map(GateId::BuiltIn);
    let row = |gate| {
        let deed = Deed::Gate(gate);
        (gate, demands(&deed, &vocabulary), changes(&deed, &vocabulary))
    };
    let table: Table = built_in.map(row).collect();
    let deeds = [
        Deed::BeIn(Place::In(Zone::UnderCab)),
        Deed::BeIn(Place::In(Zone::UnderArms)),
        Deed::Heat,
        Deed::Refer,
        Deed::Gate(GateId::BuiltIn(Gate::ReleasePressure)),
        Deed::Gate(GateId::BuiltIn(Gate::RunUp)),
    ];
    let states = [
        "touched=yes",
        "touched=yes parked=yes power=running cab=down arms=raised whole=yes",
        "touched=yes parked=yes power=isolated cab=supported arms=down lock=on",
        "touched=yes parked=yes power=live cab=supported arms=supported lock=on",
    ];
    for state in states {
        let start = spec::state_of(&with(state), &vocabulary);
        for deed in &deeds {
            let needed = demands(deed, &vocabulary);
            let minutes = match way_to(&start, &needed, &vocabulary) {
                Way::InForce => Minutes(0.0),
                Way::Gates { gates, minutes } => {
                    let mut state = start.clone();
                    for gate in gates {
                        let deed = Deed::Gate(gate);
                        assert!(demands(&deed, &vocabulary).iter().all(|d| d.holds(&state, &vocabulary)));
                        state.apply_all(&changes(&deed, &vocabulary), &vocabulary);
                    }
                    assert!(needed.iter().all(|demand| demand.holds(&state, &vocabulary)));
                    minutes
                }
                Way::None => panic!("there is a way to {deed:?}"),
            };
            // Four gates are tried in full; a longer way has only to be no dearer than those.
            if let Some(by_trying) = cheapest(&start, &needed, 4, (&table, &vocabulary)) {
                assert!(minutes.value() <= by_trying, "{deed:?} from {state}: {minutes:?}, {by_trying}");
            }
        }
    }
}

/// A machine that cannot be made safe: `keep-away` opens once the walk is stuck, and `refer` behind it.
#[test]
fn where_there_is_no_way_keep_away_opens() {
    let vocabulary = spec::vocabulary();
    let keep_away = Deed::Gate(GateId::BuiltIn(Gate::KeepAway));
    let mut state = spec::state_of(&with("touched=yes arms=raised"), &vocabulary);
    let open =
        |state: &State, deed: &Deed| demands(deed, &vocabulary).iter().all(|d| d.holds(state, &vocabulary));
    assert!(!open(&state, &keep_away));
    assert_eq!(way_to(&state, &demands(&keep_away, &vocabulary), &vocabulary), Way::None);
    state.apply(loomwalk::safety::STUCK, &vocabulary);
    assert!(open(&state, &keep_away));
    state.apply_all(&changes(&keep_away, &vocabulary), &vocabulary);
    assert!(open(&state, &Deed::Refer));
    assert!(!open(&state, &Deed::Close(Closing::Temporary)), "never closed that way");
}
