//! The normal distribution, to double precision.
//!
//! erfc by the rational Chebyshev approximations of W. J. Cody, "Rational Chebyshev approximations for the error
//! function", Mathematics of Computation 23 (1969) 631–637; the coefficients are written from memory and held by
//! tests against independent values.

use std::f64::consts::FRAC_1_SQRT_2;

const SMALL: ([f64; 5], [f64; 4]) = (
    [
        3.161_123_743_870_565_6,
        113.864_154_151_050_16,
        377.485_237_685_302,
        3_209.377_589_138_469_5,
        0.185_777_706_184_603_15,
    ],
    [23.601_290_952_344_122, 244.024_637_934_444_17, 1_282.616_526_077_372_3, 2_844.236_833_439_171],
);

const MIDDLE: ([f64; 9], [f64; 8]) = (
    [
        0.564_188_496_988_670_1,
        8.883_149_794_388_375,
        66.119_190_637_141_63,
        298.635_138_197_400_1,
        881.952_221_241_769,
        1_712.047_612_634_070_7,
        2_051.078_377_826_071_6,
        1_230.339_354_797_997_2,
        2.153_115_354_744_038_3e-8,
    ],
    [
        15.744_926_110_709_835,
        117.693_950_891_312_5,
        537.181_101_862_009_9,
        1_621.389_574_566_690_3,
        3_290.799_235_733_459_7,
        4_362.619_090_143_247,
        3_439.367_674_143_721_6,
        1_230.339_354_803_749_5,
    ],
);

const LARGE: ([f64; 6], [f64; 5]) = (
    [
        0.305_326_634_961_232_36,
        0.360_344_899_949_804_45,
        0.125_781_726_111_229_26,
        0.016_083_785_148_742_275,
        6.587_491_615_298_378e-4,
        0.016_315_387_137_302_097,
    ],
    [
        2.568_520_192_289_822,
        1.872_952_849_923_460_4,
        0.527_905_102_951_428_5,
        0.060_518_341_312_441_32,
        0.002_335_204_976_268_691_8,
    ],
);

const FRAC_1_SQRT_PI: f64 = 0.564_189_583_547_756_3;

/// The complementary error function, to about 1e-15 of its value.
#[must_use]
pub fn erfc(x: f64) -> f64 {
    let size = x.abs();
    if size <= 0.468_75 {
        return 1.0 - erf_small(x);
    }
    let tail = if size <= 4.0 { erfc_middle(size) } else { erfc_large(size) };
    if x < 0.0 { 2.0 - tail } else { tail }
}

/// The probability that a standard normal variable is at most `z`.
#[must_use]
pub fn normal_cdf(z: f64) -> f64 {
    0.5 * erfc(-z * FRAC_1_SQRT_2)
}

/// The probability that a standard normal variable lies from `low` to `high`; both may be infinite.
///
/// Taken on the side where nothing cancels, so that far tails keep their figures.
#[must_use]
pub fn normal_between(low: f64, high: f64) -> f64 {
    if low >= high {
        0.0
    } else if low > 0.0 {
        normal_cdf(-low) - normal_cdf(-high)
    } else {
        normal_cdf(high) - normal_cdf(low)
    }
}

fn erf_small(x: f64) -> f64 {
    let (a, b) = &SMALL;
    let square = x * x;
    let (mut above, mut below) = (a[4] * square, square);
    for i in 0..3 {
        above = (above + a[i]) * square;
        below = (below + b[i]) * square;
    }
    x * (above + a[3]) / (below + b[3])
}

fn erfc_middle(size: f64) -> f64 {
    let (c, d) = &MIDDLE;
    let (mut above, mut below) = (c[8] * size, size);
    for i in 0..7 {
        above = (above + c[i]) * size;
        below = (below + d[i]) * size;
    }
    gauss(size) * (above + c[7]) / (below + d[7])
}

fn erfc_large(size: f64) -> f64 {
    if size > 27.3 {
        return 0.0;
    }
    let (p, q) = &LARGE;
    let square = 1.0 / (size * size);
    let (mut above, mut below) = (p[5] * square, square);
    for i in 0..4 {
        above = (above + p[i]) * square;
        below = (below + q[i]) * square;
    }
    let correction = square * (above + p[4]) / (below + q[4]);
    gauss(size) * (FRAC_1_SQRT_PI - correction) / size
}

/// exp(−x²), with the square split so that its rounding does not grow in the exponential.
fn gauss(size: f64) -> f64 {
    let coarse = (size * 16.0).trunc() / 16.0;
    let rest = (size - coarse) * (size + coarse);
    (-coarse * coarse).exp() * (-rest).exp()
}
