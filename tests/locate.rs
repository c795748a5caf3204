//! Where along the wire: bridges, drops and ohms against their formulas, and what a meter cannot resolve.

use loomwalk::repair::{
    Conductor, Copper, Joint, LocateError, Measured, Opening, PlaceOnWire, Rub, Strand, drop_ratio,
    half_split, loaded_drop, murray, rank_rubs, socket_lamp, two_ended, varley,
};
use loomwalk::units::{Amps, Metres, Minutes, Ohms, SquareMillimetres, Volts, Watts, WireSize};

fn ohms(value: f64) -> Measured<Ohms> {
    Measured::exact(Ohms(value))
}

fn within(got: f64, wanted: f64, off: f64) {
    assert!((got - wanted).abs() <= off, "{got} is not {wanted} within {off}");
}

/// Source: textbook exercise, seen; its answer computed, since it is not printed there: two equal conductors of 300 m,
/// arms 2 and 1, x = 2 · 300 · 1/3 = 200 m.
#[test]
fn murray_of_the_textbook() {
    let leg = murray(ohms(1.0), ohms(2.0), ohms(600.0)).expect("balanced");
    let place = leg.along(Ohms(1.0)).expect("a resistance");
    within(place.at.0, 200.0, 1e-9);
    let same = murray(ohms(332.0), ohms(668.0), ohms(54.07)).expect("balanced");
    within(same.ohms.0, 17.951, 5e-4);
}

/// Source: Varley's formula from memory, numbers computed: equal arms, R = 54.07, S = 18.168 give 17.951.
#[test]
fn varley_with_equal_arms() {
    let leg = varley([ohms(1.0), ohms(1.0)], ohms(54.07), ohms(18.168)).expect("balanced");
    within(leg.ohms.0, 17.951, 1e-9);
    let unequal = varley([ohms(2.0), ohms(1.0)], ohms(54.07), ohms(0.1085)).expect("balanced");
    within(unequal.ohms.0, (54.07 - 2.0 * 0.1085) / 3.0, 1e-9);
    let beyond = varley([ohms(1.0), ohms(1.0)], ohms(54.07), ohms(80.0));
    assert!(matches!(beyond, Err(LocateError::Outside { .. })));
}

/// The bridge formulas' uncertainty against finite differences of the formulas themselves.
#[test]
fn uncertainty_of_the_bridges_is_the_derivative() {
    let limit = 0.01;
    let read = |value: f64| Measured { value: Ohms(value), limit: Ohms(limit) };
    let spread =
        |slopes: &[f64]| slopes.iter().map(|d| (d * limit / 3.0_f64.sqrt()).powi(2)).sum::<f64>().sqrt();
    let murray_at = [3.32, 6.68, 54.07];
    let wanted = spread(&slopes(|[a, b, whole]| a / (a + b) * whole, murray_at));
    let [arm_a, arm_b, whole] = murray_at.map(read);
    within(murray(arm_a, arm_b, whole).expect("balanced").standard.0, wanted, 1e-6);
    let varley_at = [1.3, 0.9, 54.07, 18.168];
    let wanted = spread(&slopes(|[p, q, whole, set]| (q * whole - p * set) / (p + q), varley_at));
    let [arm_p, arm_q, whole, set] = varley_at.map(read);
    within(varley([arm_p, arm_q], whole, set).expect("balanced").standard.0, wanted, 1e-6);
}

/// The slope of a formula in each of its arguments.
fn slopes<const N: usize>(formula: impl Fn([f64; N]) -> f64, at: [f64; N]) -> [f64; N] {
    let step = 1e-6;
    std::array::from_fn(|n| {
        let mut moved = at;
        moved[n] += step;
        (formula(moved) - formula(at)) / step
    })
}

/// Own arithmetic: 21 mV of 63 mV over 3.1 m, each within 0.5 % and 2 mV (u = a/√3, JCGM 100:2008 4.3.7, from memory).
#[test]
fn the_drop_ratio_and_its_interval() {
    let read = |volts: f64| Measured { value: Volts(volts), limit: Volts(volts * 0.005 + 0.002) };
    let place = drop_ratio(read(0.021), read(0.063), Metres(3.1)).expect("a place");
    within(place.at.0, 3.1 / 3.0, 1e-9);
    let (near, whole) = ((0.021 * 0.005 + 0.002) / 0.021, (0.063 * 0.005 + 0.002) / 0.063);
    let standard = 3.1 / 3.0 * f64::hypot(near, whole) / 3.0_f64.sqrt();
    within(place.standard.0, standard, 1e-9);
    within(place.from.0, 3.1 / 3.0 - 2.0 * standard, 1e-9);
    within(place.to.0, 3.1 / 3.0 + 2.0 * standard, 1e-9);
    assert!(place.is_resolved());
    let swapped = drop_ratio(read(0.063), read(0.021), Metres(3.1));
    assert!(matches!(swapped, Err(LocateError::Outside { .. })));
}

/// Own check: a weak current leaves only the last digit of the meter, and the program says that it cannot tell.
#[test]
fn a_drop_below_the_last_digits_is_not_a_place() {
    let read = |volts: f64| Measured { value: Volts(volts), limit: Volts(0.002) };
    let place = drop_ratio(read(0.001), read(0.003), Metres(3.1)).expect("a place");
    assert!(!place.is_resolved());
    assert!(place.from.0 >= 0.0 && place.to.0 <= 3.1, "cut to the wire");
}

/// 0.1 Ω is 4 m of 0.75 mm²: ohms from both ends cannot tell where on 1.9 m, millivolts can.
#[test]
fn a_tenth_of_an_ohm_is_four_metres() {
    let wire = Copper::at_20(WireSize::Area(SquareMillimetres(0.75)), Strand::Stranded);
    let per_metre = wire.per_metre().expect("a size");
    within(0.1 / per_metre.0, 4.26, 0.01);
    let read = |value: f64| Measured { value: Ohms(value), limit: Ohms(0.1) };
    let conductor = Conductor { length: Metres(1.9), per_metre };
    let found = two_ended(read(0.5), read(0.5), conductor).expect("a place");
    assert!(!found.place.is_resolved());
    assert!(found.place.to.0 - found.place.from.0 >= 1.9 - 1e-9);
}

/// The fault's own resistance drops out of the two-ended reading.
#[test]
fn ohms_from_both_ends() {
    let conductor = Conductor { length: Metres(40.0), per_metre: Ohms(0.02345) };
    for fault in [0.0, 0.5, 50.0] {
        let (start, end) = (0.02345 * 11.0 + fault, 0.02345 * 29.0 + fault);
        let found = two_ended(ohms(start), ohms(end), conductor).expect("a place");
        within(found.place.at.0, 11.0, 1e-6);
        within(found.fault.0, fault, 1e-9);
    }
    assert!(two_ended(ohms(5.0), ohms(0.1), conductor).is_err(), "beyond the end");
}

/// Shannon's entropy: halving tells one bit; a dear opening loses to a cheap one that tells a little less.
#[test]
fn half_split_weighs_bits_and_minutes() {
    let opening =
        |name: &str, after, minutes| Opening { name: name.into(), after, minutes: Minutes(minutes) };
    let shares = [1.0, 1.0, 1.0, 1.0];
    let openings =
        [opening("X1", 1, 2.0), opening("X2", 2, 2.0), opening("X3", 3, 2.0), opening("ends", 4, 1.0)];
    let ranked = half_split(&shares, &openings).expect("shares");
    assert_eq!(ranked[0].name, "X2");
    within(ranked[0].bits, 1.0, 1e-12);
    within(ranked[1].bits, 0.811_278, 1e-6);
    assert_eq!(ranked.len(), 3, "an opening that leaves everything on one side tells nothing");
    let dear = [opening("X2", 2, 10.0), opening("X3", 3, 2.0)];
    assert_eq!(half_split(&shares, &dear).expect("shares")[0].name, "X3");
    let skewed = [8.0, 1.0, 1.0, 1.0];
    assert_eq!(half_split(&skewed, &openings).expect("shares")[0].name, "X1");
    assert!(half_split(&[0.0, 0.0], &openings).is_err());
}

/// A 21 W lamp is 6.86 Ω at 12 V: it limits a dead short to 1.8 A, less than any harness wire's rating.
#[test]
fn a_lamp_in_the_fuse_socket_limits_the_current() {
    let lamp = socket_lamp(Volts(12.6), Watts(21.0)).expect("a lamp");
    within(lamp.hot.0, 144.0 / 21.0, 1e-9);
    within(lamp.most.0, 12.6 / (144.0 / 21.0), 1e-9);
    assert!(lamp.most.0 < 2.0);
    let truck = socket_lamp(Volts(25.2), Watts(21.0)).expect("a lamp");
    assert!(truck.most.0 < 1.0);
    assert!(socket_lamp(Volts(12.6), Watts(0.0)).is_err());
    assert!(socket_lamp(Volts(12.6), Watts(1e-308)).is_err(), "no resistance is infinite");
}

#[test]
fn the_loaded_drop_ranks_the_joints() {
    let joint = |name: &str, volts: f64| Joint {
        name: name.into(),
        drop: Measured { value: Volts(volts), limit: Volts(0.02) },
    };
    let joints = [joint("X20:1", 0.01), joint("GND3", 1.2), joint("F7", 0.11)];
    let found = loaded_drop(Amps(1.75), &joints, Volts(0.1)).expect("a load");
    let names: Vec<&str> = found.iter().map(|j| j.name.as_str()).collect();
    assert_eq!(names, ["GND3", "F7", "X20:1"]);
    within(found[0].ohms.0, 1.2 / 1.75, 1e-9);
    assert_eq!(found.iter().map(|j| j.too_much).collect::<Vec<_>>(), [Some(true), None, Some(false)]);
    assert!(loaded_drop(Amps(0.0), &joints, Volts(0.1)).is_err());
}

#[test]
fn the_interval_names_the_rubs_in_it() {
    let read = |volts: f64| Measured { value: Volts(volts), limit: Volts(volts * 0.005 + 0.0001) };
    let place: PlaceOnWire = drop_ratio(read(0.0380), read(0.0600), Metres(1.9)).expect("a place");
    let rub = |name: &str, at: f64, share: f64| Rub { name: name.into(), at: Metres(at), share };
    let rubs = [rub("hose-crossing", 1.6, 4.0), rub("pivot-clamp", 1.2, 4.0), rub("seat-post", 0.3, 40.0)];
    let ranked = rank_rubs(&place, &rubs);
    assert_eq!(ranked[0].name, "pivot-clamp");
    assert!(ranked[0].inside && ranked[0].probability > 0.99);
    assert!(!ranked[1].inside && !ranked[2].inside);
    within(ranked.iter().map(|r| r.probability).sum(), 1.0, 1e-12);
    let blunt = Measured { value: Volts(0.003), limit: Volts(0.002) };
    let blunt = drop_ratio(blunt, Measured { value: Volts(0.005), limit: Volts(0.002) }, Metres(1.9));
    assert!(rank_rubs(&blunt.expect("a place"), &rubs).iter().filter(|r| r.inside).count() == 3);
}
