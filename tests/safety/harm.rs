//! Eleven ways to hurt someone, each refused for its own reason; and jobs that must stay possible.

use loomwalk::safety::{
    Ammeter, Closing, Deed, Drive, Gate, Heat, Line, Moves, Place, Power, Reach, Source, StepKind,
    Vocabulary, Watch, Watched, WhenIsolated, Zone,
};
use loomwalk::tree::{EdgeKind, Flow, FlowEdge, FlowGraph, FlowNode};

fn gate(name: &str) -> Deed {
    Deed::Gate(loomwalk::safety::GateId::BuiltIn(Gate::named(name).expect("a gate")))
}

/// The gates of this list, a step each.
fn gates(names: &str) -> Vec<Vec<Deed>> {
    names.split_whitespace().map(|name| vec![gate(name)]).collect()
}

fn at(zone: Zone, deeds: Vec<Deed>) -> Vec<Vec<Deed>> {
    vec![std::iter::once(Deed::BeIn(Place::In(zone))).chain(deeds).collect()]
}

fn watch(drive: Drive, moves: Vec<Moves>, zone: Zone) -> Vec<Vec<Deed>> {
    at(zone, vec![Deed::Watch(Watch { drive, moves, from: Some(zone), why: Watched::Asked })])
}

fn lift() -> Vec<Vec<Deed>> {
    watch(Drive::Engine, vec![Moves::Arms], Zone::Seat)
}

fn volts(zone: Zone) -> Vec<Vec<Deed>> {
    let key_on = Power::Live.only().or(Power::Running.only());
    at(zone, vec![Deed::Step(StepKind::Read), Deed::ReadFed(Source::With(key_on))])
}

fn unplug(name: &str) -> Deed {
    Deed::Unplug { plug: name.into(), line: Line::Signal }
}

fn plug(name: &str) -> Deed {
    Deed::Plug { plug: name.into(), line: Line::Signal }
}

fn repair(zone: Zone) -> Vec<Vec<Deed>> {
    at(zone, vec![Deed::Step(StepKind::Do), Deed::Repair(Heat::Needed)])
}

fn chain(parts: Vec<Vec<Vec<Deed>>>) -> FlowGraph<'static> {
    let nodes: Vec<FlowNode> =
        parts.into_iter().flatten().map(|deeds| FlowNode { deeds: deeds.into() }).collect();
    let edges =
        (1..nodes.len()).map(|to| FlowEdge { from: to - 1, to, kind: EdgeKind::Go, shows: vec![] }).collect();
    FlowGraph { start: 0, nodes, edges }
}

/// The rules that are broken, with the step at which each is.
fn broken(graph: &FlowGraph) -> Vec<(usize, &'static str)> {
    let mut vocabulary = Vocabulary::built_in();
    graph.learn(&mut vocabulary).expect("few names");
    let flow = Flow::over(graph, &vocabulary).expect("a sound graph");
    flow.violations().iter().map(|violation| (violation.node, violation.demand.rule.name())).collect()
}

fn rules(parts: Vec<Vec<Vec<Deed>>>) -> Vec<&'static str> {
    broken(&chain(parts)).into_iter().map(|(_, rule)| rule).collect()
}

const SAFE: &str = "park lower-arms lockout raise-cab";
const BACK: &str = "lower-cab put-back release-lockout";

fn end() -> Vec<Vec<Deed>> {
    vec![vec![Deed::Close(Closing::NotReproduced)]]
}

#[test]
fn one_a_second_round_under_the_cab_with_the_arms_left_up() {
    let mut graph = chain(vec![
        gates("park lower-arms raise-cab live-test"),
        volts(Zone::UnderCab),
        gates("park"),
        gates(BACK),
        gates("run-up"),
        lift(),
    ]);
    assert_eq!(broken(&graph), []);
    let proof = graph.nodes.len() - 1;
    // The second round begins at the live test: the author thinks that the cab is still up.
    graph.edges.push(FlowEdge { from: proof, to: 4, kind: EdgeKind::Again, shows: vec![] });
    let rules: Vec<&str> =
        broken(&graph).into_iter().filter(|(node, _)| *node == 4).map(|(_, r)| r).collect();
    assert_eq!(rules, ["under-cab-not-supported", "under-cab-arms-raised", "under-cab-running"]);
}

#[test]
fn two_the_engine_recharges_the_pressure() {
    let open = || at(Zone::Outside, vec![Deed::OpenHydraulics]);
    let released = "park lower-arms lower-cab live-test release-pressure";
    assert_eq!(rules(vec![gates(released), open()]), Vec::<&str>::new());
    let ran = gates("put-back run-up lower-arms");
    assert_eq!(rules(vec![gates(released), ran, open()]), ["hydraulics-pressurised"]);
}

#[test]
fn three_cranking_with_hands_under_the_cab() {
    let crank = Deed::PowerIs(Power::Running.only());
    let found = rules(vec![gates("park lower-arms raise-cab live-test"), at(Zone::UnderCab, vec![crank])]);
    assert_eq!(found, ["setup-contradicts"]);
    let started = gates("park lower-arms lower-cab put-back run-up");
    let found = rules(vec![started, at(Zone::UnderCab, vec![])]);
    assert_eq!(found, ["under-cab-not-supported", "under-cab-arms-raised", "under-cab-running"]);
}

/// By whatever gate the power is brought back: only `release-lockout` takes the lock off, and only
/// `put-back` makes whole what was cut.
#[test]
fn four_cut_then_started_without_the_lock_taken_off() {
    let cut = || at(Zone::Outside, vec![Deed::Cut(WhenIsolated::NoModel)]);
    for by in ["park", "lower-arms", "support-arms", "live-test"] {
        let before = || gates("park lower-arms lower-cab lockout");
        let found = rules(vec![before(), cut(), gates(by), gates("run-up")]);
        assert_eq!(found, ["start-not-whole", "start-locked-out"], "through {by}");
        let found = rules(vec![before(), cut(), gates("put-back"), gates(by), gates("run-up")]);
        assert_eq!(found, ["start-locked-out"], "put back, through {by}");
        let found =
            rules(vec![before(), cut(), gates("put-back release-lockout"), gates(by), gates("run-up")]);
        assert_eq!(found, Vec::<&str>::new(), "lock taken off, through {by}");
    }
}

#[test]
fn five_a_drive_test_and_still_parked() {
    let drive = watch(Drive::Engine, vec![Moves::Travel], Zone::Seat);
    let started = gates("park lower-arms lower-cab put-back run-up");
    let found = rules(vec![started.clone(), drive.clone(), gates("lower-arms")]);
    assert_eq!(found, ["gate-not-parked"]);
    assert_eq!(rules(vec![started, drive, gates("park lower-arms")]), Vec::<&str>::new());
}

#[test]
fn six_the_first_question_moves_the_arms() {
    let found = rules(vec![lift()]);
    for rule in ["seat-cab-up", "watch-power", "watch-cab-up", "watch-not-whole", "watch-not-parked"] {
        assert!(found.contains(&rule), "{rule}");
    }
}

#[test]
fn seven_no_zone_is_said() {
    let look = vec![vec![Deed::Step(StepKind::Look), Deed::BeIn(Place::Unsaid)]];
    assert_eq!(rules(vec![gates(SAFE), look]), ["no-zone"]);
}

#[test]
fn eight_referred_with_the_cab_up_and_the_key_on() {
    let refer = vec![vec![Deed::Refer]];
    assert_eq!(rules(vec![gates("park lower-arms raise-cab live-test"), refer]), ["refer-not-left"]);
}

#[test]
fn nine_an_interlock_bridged_and_the_engine_started() {
    let bridge = || at(Zone::Outside, vec![Deed::Bridge { bridge: "bar".into() }]);
    let unbridge = || at(Zone::Outside, vec![Deed::Unbridge { bridge: "bar".into() }]);
    let safe = || gates("park lower-arms lower-cab put-back");
    assert_eq!(rules(vec![safe(), bridge(), gates("run-up")]), ["start-not-whole"]);
    assert_eq!(rules(vec![safe(), bridge(), gates("put-back run-up")]), ["gate-bridge-on"]);
    assert_eq!(rules(vec![safe(), bridge(), gates("leave"), vec![vec![Deed::Refer]]]), ["bridge-left"]);
    assert_eq!(rules(vec![safe(), bridge(), unbridge(), gates("put-back run-up")]), Vec::<&str>::new());
}

#[test]
fn ten_closed_with_the_lock_still_on() {
    let found = rules(vec![gates("park lower-arms lower-cab lockout put-back leave"), end()]);
    assert_eq!(found, ["close-locked"]);
}

#[test]
fn eleven_heat_before_hot_work() {
    let heat = || at(Zone::Outside, vec![Deed::Heat]);
    assert_eq!(rules(vec![gates(SAFE), heat()]), ["heat-early"]);
    assert_eq!(rules(vec![gates(SAFE), gates("hot-work"), heat()]), Vec::<&str>::new());
    assert_eq!(
        rules(vec![gates(SAFE), gates("hot-work live-test"), heat()]),
        ["heat-early"],
        "power came on"
    );
}

/// Each is a whole job, to its end.
#[test]
fn jobs_that_must_stay_possible() {
    let under = || at(Zone::UnderCab, vec![]);
    let leave_and_close = || [gates("leave"), end()].concat();
    let refer = || vec![vec![Deed::Refer]];
    let fit = |points: [&str; 2]| {
        at(Zone::EngineBay, points.map(|point| Deed::Fit { point: point.into() }).to_vec())
    };
    let unfit = |points: [&str; 2]| {
        at(Zone::EngineBay, points.map(|point| Deed::Unfit { point: point.into() }).to_vec())
    };
    let by_leads = Deed::ReadByLeads { points: vec!["B+".into(), "B-".into()], from: Some(Zone::Seat) };
    let drain = at(Zone::EngineBay, vec![Deed::Step(StepKind::Read), Deed::ReadFeedCurrent(Ammeter::Clamp)]);
    let tie = at(Zone::Seat, vec![Deed::Tie { control: "bar".into(), reach: Reach::SeatOrTied }]);
    let untie = at(Zone::Seat, vec![Deed::Untie { control: "bar".into(), reach: Reach::SeatOrTied }]);
    let set = Deed::SetControl { control: "bar".into(), reach: Reach::SeatOrTied };
    let jobs = [
        (
            "isolator under the cab",
            vec![
                gates("park lower-arms raise-cab lockout hot-work"),
                repair(Zone::UnderCab),
                gates(BACK),
                leave_and_close(),
            ],
        ),
        (
            "parasitic drain with the key out",
            vec![gates("park"), drain, gates("lower-arms lower-cab put-back"), leave_and_close()],
        ),
        ("resumed with the cab up", vec![gates(SAFE), under(), gates(BACK), leave_and_close()]),
        (
            "unplugging with the key out",
            vec![
                gates("park lower-arms lower-cab"),
                at(Zone::Outside, vec![unplug("X14")]),
                at(Zone::Outside, vec![plug("X14")]),
                gates("put-back"),
                leave_and_close(),
            ],
        ),
        (
            "arms stuck raised",
            vec![
                gates("park support-arms raise-cab"),
                under(),
                gates("lower-cab"),
                at(Zone::UnderArms, vec![]),
                gates("leave"),
                refer(),
            ],
        ),
        (
            "hydraulics opened after the pressure was released",
            vec![
                gates("park lower-arms lower-cab live-test release-pressure lockout"),
                at(Zone::Outside, vec![Deed::OpenHydraulics]),
                gates("put-back release-lockout"),
                leave_and_close(),
            ],
        ),
        (
            "charging voltage with the engine running",
            vec![
                gates("park lower-arms lower-cab put-back"),
                fit(["B+", "B-"]),
                gates("run-up"),
                vec![vec![Deed::Step(StepKind::Read), Deed::BeIn(Place::In(Zone::Seat)), by_leads]],
                gates("lower-arms"),
                unfit(["B+", "B-"]),
                leave_and_close(),
            ],
        ),
        (
            "live test under a supported cab, a control tied",
            vec![
                gates("park lower-arms lower-cab"),
                tie,
                gates("raise-cab live-test"),
                at(Zone::UnderCab, vec![set]),
                gates("park lower-cab"),
                untie,
                gates("put-back"),
                leave_and_close(),
            ],
        ),
        (
            "a drive test",
            vec![
                gates("park lower-arms lower-cab put-back run-up"),
                watch(Drive::Engine, vec![Moves::Travel], Zone::Seat),
                gates("park lower-arms"),
                leave_and_close(),
            ],
        ),
        ("waiting for a part with the cab up", vec![gates(SAFE), gates("leave"), refer()]),
        ("nothing but phone questions", vec![vec![vec![Deed::Step(StepKind::PhoneAsk)]], end()]),
    ];
    for (job, parts) in jobs {
        assert_eq!(rules(parts), Vec::<&str>::new(), "{job}");
    }
}

#[test]
fn cannot_at_the_very_first_gate_leads_to_keep_away_and_refer() {
    let mut graph = chain(vec![gates("park keep-away"), vec![vec![Deed::Refer]]]);
    assert_eq!(broken(&graph), [(1, "gate-not-stuck")], "it is no way round the gates");
    graph.edges[0].kind = EdgeKind::Cannot;
    assert_eq!(broken(&graph), []);
    graph.nodes[2].deeds = vec![Deed::Close(Closing::Temporary)].into();
    let found: Vec<&str> = broken(&graph).into_iter().map(|(_, rule)| rule).collect();
    assert_eq!(found, ["close-cab-up", "close-not-whole"], "but nothing is closed that way");
}
