//! Confidence of a share: Wilson's score interval.
//!
//! Law: `centre = (k + z²/2) / (n + z²)`, `half = z √(k (n − k)/n + z²/4) / (n + z²)`, `z` the normal quantile at `(1 + confidence) / 2`.
//!
//! Source: E. B. Wilson, J. Am. Stat. Assoc. 22(158):209-212 (1927); that it keeps its promise for small n and shares near 0 and 1: L. D. Brown,
//! T. T. Cai, A. DasGupta, Statistical Science 16(2):101-133 (2001). Both from memory; the numbers are checked against statsmodels.

use crate::elementary::Elementary;

/// A share with its interval, all from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Share {
    /// Cases that count.
    pub hits: u64,
    /// All cases.
    pub cases: u64,
    /// Hits over cases.
    pub share: f64,
    /// Low end of the interval.
    pub low: f64,
    /// High end of the interval.
    pub high: f64,
}

impl Share {
    /// Wilson's interval at a confidence between 0 and 1 (both excluded). `None` without cases, with more hits than cases or another confidence.
    pub fn wilson(hits: u64, cases: u64, confidence: f64) -> Option<Share> {
        if cases == 0 || hits > cases || !(confidence > 0.0 && confidence < 1.0) {
            return None;
        }
        let z = normal_quantile(0.5 * (1.0 + confidence));
        let (k, n) = (hits as f64, cases as f64);
        let centre = (k + 0.5 * z * z) / (n + z * z);
        let half = z * (k * (n - k) / n + 0.25 * z * z).sqrt() / (n + z * z);
        // At the ends the formula is exact but for rounding.
        let low = if hits == 0 { 0.0 } else { (centre - half).max(0.0) };
        let high = if hits == cases { 1.0 } else { (centre + half).min(1.0) };
        Some(Share { hits, cases, share: k / n, low, high })
    }

    /// Half the width of the interval.
    pub fn half_width(&self) -> f64 {
        0.5 * (self.high - self.low)
    }
}

/// The value a standard normal variate stays below with probability `p`; ±∞ at 1 and 0, NaN outside.
///
/// Source: M. J. Wichura, Algorithm AS 241 (PPND16), Applied Statistics 37(3):477-484 (1988); relative error about 1e-16. Coefficients from
/// memory, checked against SciPy.
pub fn normal_quantile(p: f64) -> f64 {
    let q = p - 0.5;
    if q.abs() <= 0.425 {
        let r = 0.180625 - q * q;
        return q * ratio(r, &CENTRE);
    }
    let tail = if q < 0.0 { p } else { 1.0 - p };
    if tail == 0.0 {
        return if q < 0.0 { f64::NEG_INFINITY } else { f64::INFINITY };
    }
    let r = (-tail.log_natural()).sqrt();
    let size = if r <= 5.0 { ratio(r - 1.6, &MIDDLE) } else { ratio(r - 5.0, &FAR) };
    if q < 0.0 { -size } else { size }
}

fn ratio(r: f64, [above, below]: &[[f64; 8]; 2]) -> f64 {
    let sum = |coefficients: &[f64; 8]| coefficients.iter().rev().fold(0.0, |sum, c| sum * r + c);
    sum(above) / sum(below)
}

const CENTRE: [[f64; 8]; 2] = [
    [
        3.387_132_872_796_366_5,
        133.141_667_891_784_38,
        1_971.590_950_306_551_3,
        13_731.693_765_509_46,
        45_921.953_931_549_87,
        67_265.770_927_008_7,
        33_430.575_583_588_13,
        2_509.080_928_730_122_7,
    ],
    [
        1.0,
        42.313_330_701_600_91,
        687.187_007_492_057_9,
        5_394.196_021_424_751,
        21_213.794_301_586_597,
        39_307.895_800_092_71,
        28_729.085_735_721_943,
        5_226.495_278_852_545,
    ],
];
const MIDDLE: [[f64; 8]; 2] = [
    [
        1.423_437_110_749_683_5,
        4.630_337_846_156_546,
        5.769_497_221_460_691,
        3.647_848_324_763_204_5,
        1.270_458_252_452_368_4,
        0.241_780_725_177_450_6,
        0.022_723_844_989_269_184,
        7.745_450_142_783_414e-4,
    ],
    [
        1.0,
        2.053_191_626_637_759,
        1.676_384_830_183_803_8,
        0.689_767_334_985_1,
        0.148_103_976_427_480_08,
        0.015_198_666_563_616_457,
        5.475_938_084_995_345e-4,
        1.050_750_071_644_416_9e-9,
    ],
];
const FAR: [[f64; 8]; 2] = [
    [
        6.657_904_643_501_103,
        5.463_784_911_164_114,
        1.784_826_539_917_291_3,
        0.296_560_571_828_504_87,
        0.026_532_189_526_576_124,
        0.001_242_660_947_388_078_4,
        2.711_555_568_743_487_6e-5,
        2.010_334_399_292_288_1e-7,
    ],
    [
        1.0,
        0.599_832_206_555_888,
        0.136_929_880_922_735_8,
        0.014_875_361_290_850_615,
        7.868_691_311_456_133e-4,
        1.846_318_317_510_054_8e-5,
        1.421_511_758_316_446e-7,
        2.044_263_103_389_939_8e-15,
    ],
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn val_quantiles_equal_scipy() {
        // SciPy 1.17.1, scipy.stats.norm.ppf.
        for (p, expected) in [
            (0.5, 0.0),
            (0.6, 0.253_347_103_135_799_7),
            (0.9, 1.281_551_565_544_600_4),
            (0.95, 1.644_853_626_951_472_2),
            (0.975, 1.959_963_984_540_054),
            (0.995, 2.575_829_303_548_900_4),
            (0.9995, 3.290_526_731_491_925_5),
            (1e-3, -3.090_232_306_167_813),
            (1e-10, -6.361_340_902_404_056),
            (0.024_25, -1.972_961_051_311_885),
        ] {
            held!((normal_quantile(p) - expected).abs(), 2e-15 * expected.abs().max(1.0), "{p}");
        }
        assert_eq!(normal_quantile(0.0), f64::NEG_INFINITY);
        assert_eq!(normal_quantile(1.0), f64::INFINITY);
        assert!(normal_quantile(1.5).is_nan());
    }

    #[test]
    fn val_wilson_equals_statsmodels() {
        // statsmodels 0.15.0, statsmodels.stats.proportion.proportion_confint(method="wilson").
        for (hits, cases, confidence, low, high) in [
            (0, 10, 0.95, 0.0, 0.277_532_799_862_889_2),
            (3, 10, 0.95, 0.107_791_267_406_300_99, 0.603_221_852_538_854_6),
            (10, 10, 0.95, 0.722_467_200_137_110_7, 1.0),
            (81, 263, 0.95, 0.255_288_519_878_274_2, 0.366_209_576_982_800_04),
            (81, 263, 0.99, 0.240_136_902_687_607_73, 0.385_282_502_318_229_86),
            (1, 29, 0.9, 0.007_730_807_972_737_994, 0.140_683_095_132_512_15),
            (950, 1000, 0.95, 0.934_686_179_755_749_2, 0.961_869_737_607_251_3),
        ] {
            let share = Share::wilson(hits, cases, confidence).unwrap();
            held!((share.low - low).abs(), 1e-14, "{share:?}");
            held!((share.high - high).abs(), 1e-14, "{share:?}");
        }
        assert_eq!(Share::wilson(0, 0, 0.95), None);
        assert_eq!(Share::wilson(2, 1, 0.95), None);
        assert_eq!(Share::wilson(1, 2, 1.0), None);
    }
}
