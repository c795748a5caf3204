//! The quantiles of a share of which so many jobs told: of the beta distribution.
//!
//! The regularised incomplete beta function by its continued fraction (DLMF 8.17.22, after Lentz), turned where that
//! converges faster (DLMF 8.17.4); ln Γ by Stirling's series, shifted up (DLMF 5.11.1). The quantile by halving.

/// The share below which the truth lies with this probability, for parameters above zero.
pub(super) fn quantile(probability: f64, a: f64, b: f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if below(middle, a, b) < probability { low = middle } else { high = middle }
    }
    f64::midpoint(low, high)
}

/// The probability that the share is below `x`.
pub(super) fn below(x: f64, a: f64, b: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    if x >= 1.0 {
        return 1.0;
    }
    let front = (ln_gamma(a + b) - ln_gamma(a) - ln_gamma(b) + a * x.ln() + b * (-x).ln_1p()).exp();
    if x < (a + 1.0) / (a + b + 2.0) {
        front * fraction(x, a, b) / a
    } else {
        1.0 - front * fraction(1.0 - x, b, a) / b
    }
}

#[allow(clippy::many_single_char_names)] // the names of the formula
fn fraction(x: f64, a: f64, b: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let guard = |value: f64| if value.abs() < TINY { TINY } else { value };
    let mut c = 1.0;
    let mut d = 1.0 / guard(1.0 - (a + b) * x / (a + 1.0));
    let mut product = d;
    for count in 1..10_000 {
        let m = f64::from(count);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        d = 1.0 / guard(1.0 + even * d);
        c = guard(1.0 + even / c);
        product *= d * c;
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        d = 1.0 / guard(1.0 + odd * d);
        c = guard(1.0 + odd / c);
        let step = d * c;
        product *= step;
        if (step - 1.0).abs() < 1e-15 {
            break;
        }
    }
    product
}

fn ln_gamma(x: f64) -> f64 {
    let (mut shifted, mut up) = (x, 0.0);
    while shifted < 12.0 {
        up += shifted.ln();
        shifted += 1.0;
    }
    let square = 1.0 / (shifted * shifted);
    let series = (1.0 / 12.0 - square * (1.0 / 360.0 - square * (1.0 / 1260.0 - square / 1680.0))) / shifted;
    (shifted - 0.5) * shifted.ln() - shifted + 0.5 * std::f64::consts::TAU.ln() + series - up
}

#[cfg(test)]
mod tests {
    use super::*;

    // Closed forms: I(x; 1, b) = 1 − (1 − x)^b, I(x; a, 1) = x^a (DLMF 8.17.7 and its turn).
    #[test]
    fn closed_forms_hold() {
        for b in [0.3, 1.0, 2.5, 40.0, 2000.0] {
            for x in [1e-4, 0.01, 0.2, 0.5, 0.9] {
                assert!((below(x, 1.0, b) - (1.0 - (1.0_f64 - x).powf(b))).abs() < 1e-12, "{x} 1 {b}");
                assert!((below(x, b, 1.0) - x.powf(b)).abs() < 1e-12, "{x} {b} 1");
            }
        }
    }

    // For whole numbers it is a binomial tail: I(x; a, n − a + 1) = Σ_{j≥a} C(n, j) x^j (1 − x)^{n−j} (DLMF 8.17.5).
    #[test]
    fn whole_numbers_are_a_binomial_tail() {
        for (a, n, x) in [(3_i32, 10_i32, 0.25_f64), (1, 7, 0.6), (20, 50, 0.4)] {
            let mut choose = 1.0;
            let mut tail = 0.0;
            for j in 0..=n {
                if j >= a {
                    tail += choose * x.powi(j) * (1.0 - x).powi(n - j);
                }
                choose = choose * f64::from(n - j) / f64::from(j + 1);
            }
            assert!((below(x, f64::from(a), f64::from(n - a + 1)) - tail).abs() < 1e-12, "{a} {n} {x}");
        }
    }

    // √π and (n − 1)!.
    #[test]
    fn the_gamma_function_is_known_at_some_places() {
        assert!((ln_gamma(0.5) - 0.5 * std::f64::consts::PI.ln()).abs() < 1e-12);
        assert!((ln_gamma(11.0) - 3_628_800.0_f64.ln()).abs() < 1e-11);
    }

    #[test]
    fn a_quantile_is_where_the_probability_is() {
        for (a, b) in [(0.05, 30.0), (0.7, 9.0), (6.2, 2003.8), (400.0, 1600.0)] {
            for p in [0.05, 0.5, 0.95] {
                let x = quantile(p, a, b);
                assert!(x < 1e-15 || (below(x, a, b) - p).abs() < 1e-9, "{a} {b} {p}: {x}");
            }
        }
    }
}
