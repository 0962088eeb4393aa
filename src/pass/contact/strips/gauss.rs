//! Points and weights of Gauss–Legendre sums on −1…1: halves, and wholes of them.

/// Gauss–Legendre nodes on [0, 1] and their weights for 4, 6, 8 and 16 points on [−1, 1] (definition: Abramowitz & Stegun, 25.4.29; computed
/// by Newton's method on the Legendre recurrence in 50 digits; see the test).
pub(super) const HALF_4: [(f64, f64); 2] = [
    (0.339_981_043_584_856_26, 0.652_145_154_862_546_1),
    (0.861_136_311_594_052_6, 0.347_854_845_137_453_85),
];
pub(super) const HALF_6: [(f64, f64); 3] = [
    (0.238_619_186_083_196_9, 0.467_913_934_572_691_04),
    (0.661_209_386_466_264_5, 0.360_761_573_048_138_6),
    (0.932_469_514_203_152, 0.171_324_492_379_170_36),
];
pub(super) const HALF_8: [(f64, f64); 4] = [
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_27),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_48),
    (0.960_289_856_497_536_3, 0.101_228_536_290_376_26),
];
pub(super) const HALF_16: [(f64, f64); 8] = [
    (0.095_012_509_837_637_44, 0.189_450_610_455_068_5),
    (0.281_603_550_779_258_9, 0.182_603_415_044_923_58),
    (0.458_016_777_657_227_37, 0.169_156_519_395_002_54),
    (0.617_876_244_402_643_8, 0.149_595_988_816_576_74),
    (0.755_404_408_355_003, 0.124_628_971_255_533_88),
    (0.865_631_202_387_831_8, 0.095_158_511_682_492_79),
    (0.944_575_023_073_232_6, 0.062_253_523_938_647_894),
    (0.989_400_934_991_649_9, 0.027_152_459_411_754_096),
];
pub(super) const GAUSS_4: [(f64, f64); 4] = both_sides(HALF_4);
pub(super) const GAUSS_6: [(f64, f64); 6] = both_sides(HALF_6);
pub(super) const GAUSS_8: [(f64, f64); 8] = both_sides(HALF_8);
pub(super) const GAUSS_16: [(f64, f64); 16] = both_sides(HALF_16);

/// Those of 16 stretched by x → x (3 − x²)/2.
pub(super) const HALF_SOFT: [(f64, f64); 8] = {
    let mut soft = HALF_16;
    let mut i = 0;
    while i < 8 {
        let (x, w) = HALF_16[i];
        soft[i] = (x * (1.5 - 0.5 * x * x), w * 1.5 * (1.0 - x * x));
        i += 1;
    }
    soft
};
pub(super) const SOFT_16: [(f64, f64); 16] = both_sides(HALF_SOFT);

const fn both_sides<const H: usize, const N: usize>(half: [(f64, f64); H]) -> [(f64, f64); N] {
    let mut all = [(0.0, 0.0); N];
    let mut i = 0;
    while i < H {
        all[2 * i] = (-half[i].0, half[i].1);
        all[2 * i + 1] = half[i];
        i += 1;
    }
    all
}
