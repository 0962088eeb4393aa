//! Advance widths of the shipped font (Inter 3.019, Regular and SemiBold), so that a picture can be laid out
//! without loading a font.
//!
//! Widths are in font design units, 2816 to the em. Kerning is left out: it only ever makes a run a little
//! narrower. A character that the table lacks counts as one em, which is wider than any letter.
//! The table is checked against the font file's own `hmtx` table by `tests/drawing.rs`.

/// Design units to the em of the shipped font.
pub const UNITS_PER_EM: f64 = 2816.0;
/// Height of a capital over the baseline, as a share of the text size.
pub const CAP_HEIGHT_EM: f64 = 2048.0 / UNITS_PER_EM;
/// Height of the tallest letters over the baseline, as a share of the text size.
pub const ASCENT_EM: f64 = 2728.0 / UNITS_PER_EM;
/// Depth of the lowest letters under the baseline, as a share of the text size, positive.
pub const DESCENT_EM: f64 = 680.0 / UNITS_PER_EM;

/// Weight of the letters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Weight {
    /// Regular.
    #[default]
    Regular,
    /// SemiBold.
    Bold,
}

/// Width of one character in design units, or `None` when the table lacks it.
pub fn advance_units(character: char, weight: Weight) -> Option<u16> {
    let code = character as u32;
    if (32..127).contains(&code) {
        let index = (code - 32) as usize;
        return Some(match weight {
            Weight::Regular => ASCII_REGULAR[index],
            Weight::Bold => ASCII_SEMIBOLD[index],
        });
    }
    let index = OTHERS.binary_search_by_key(&character, |entry| entry.0).ok()?;
    Some(match weight {
        Weight::Regular => OTHERS[index].1,
        Weight::Bold => OTHERS[index].2,
    })
}

/// Width of a one-line text in page units at the given size, kerning left out.
pub fn text_width(text: &str, size: f64, weight: Weight) -> f64 {
    let units: f64 = text.chars().map(|c| advance_units(c, weight).map_or(UNITS_PER_EM, f64::from)).sum();
    units / UNITS_PER_EM * size
}

/// The text cut to fit `width` page units, with an ellipsis when something was cut.
///
/// Returns an empty string when not even the ellipsis fits.
pub fn ellipsize(text: &str, size: f64, weight: Weight, width: f64) -> String {
    if text_width(text, size, weight) <= width {
        return text.to_owned();
    }
    let mut kept: Vec<char> = text.chars().collect();
    while kept.pop().is_some() {
        let candidate: String = kept.iter().collect::<String>().trim_end().to_owned() + "…";
        if text_width(&candidate, size, weight) <= width {
            return candidate;
        }
    }
    String::new()
}

/// The text broken at spaces into lines no wider than `width`; a single word wider than that stands alone.
pub fn wrap(text: &str, size: f64, weight: Weight, width: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        if let Some(last) = lines.last_mut() {
            let longer = format!("{last} {word}");
            if text_width(&longer, size, weight) <= width {
                *last = longer;
                continue;
            }
        }
        lines.push(word.to_owned());
    }
    lines
}

/// The characters outside ASCII that the table knows, for the check against the font file.
pub fn known_non_ascii() -> impl Iterator<Item = char> {
    OTHERS.iter().map(|entry| entry.0)
}

const ASCII_REGULAR: [u16; 95] = [
    792, 784, 1136, 1776, 1796, 2288, 1800, 624, 1020, 1020, 1408, 1856, 788, 1296, 776, 1004, 1760, 1308,
    1704, 1792, 1808, 1712, 1756, 1608, 1736, 1756, 776, 788, 1856, 1856, 1856, 1428, 2636, 1904, 1832, 2048,
    2024, 1684, 1652, 2092, 2084, 744, 1528, 1836, 1584, 2504, 2120, 2144, 1788, 2144, 1800, 1796, 1808,
    2088, 1904, 2672, 1808, 1872, 1760, 1020, 1004, 1020, 1320, 1272, 1400, 1588, 1748, 1572, 1748, 1640,
    1016, 1716, 1664, 668, 668, 1532, 668, 2448, 1648, 1680, 1716, 1716, 1048, 1472, 1024, 1636, 1568, 2288,
    1520, 1568, 1524, 1020, 920, 1020, 1856,
];
const ASCII_SEMIBOLD: [u16; 95] = [
    699, 870, 1115, 1811, 1828, 2376, 1866, 600, 1108, 1108, 1530, 1894, 831, 1312, 818, 1066, 1878, 1354,
    1750, 1835, 1875, 1781, 1825, 1653, 1819, 1825, 818, 831, 1894, 1894, 1894, 1532, 2814, 2038, 1851, 2094,
    2040, 1711, 1649, 2126, 2095, 774, 1579, 1906, 1594, 2552, 2086, 2182, 1812, 2184, 1832, 1828, 1858,
    2066, 2038, 2835, 1944, 1984, 1838, 1108, 1066, 1108, 1355, 1318, 1400, 1618, 1775, 1626, 1775, 1669,
    1062, 1761, 1726, 734, 734, 1602, 734, 2528, 1717, 1712, 1759, 1759, 1117, 1546, 1070, 1713, 1622, 2358,
    1584, 1622, 1582, 1108, 1008, 1108, 1894,
];
const OTHERS: [(char, u16, u16); 85] = [
    ('\u{a0}', 792, 699),     // space
    ('\u{ab}', 1520, 1682),   // «
    ('\u{b0}', 1280, 1290),   // °
    ('\u{b1}', 1856, 1894),   // ±
    ('\u{b2}', 1184, 1190),   // ²
    ('\u{b3}', 1212, 1234),   // ³
    ('\u{b5}', 1752, 1835),   // µ
    ('\u{b7}', 776, 818),     // ·
    ('\u{bb}', 1520, 1688),   // »
    ('\u{bc}', 2488, 2480),   // ¼
    ('\u{bd}', 2608, 2589),   // ½
    ('\u{be}', 2672, 2702),   // ¾
    ('\u{c4}', 1904, 2038),   // Ä
    ('\u{c5}', 1904, 2038),   // Å
    ('\u{c6}', 2788, 2863),   // Æ
    ('\u{c9}', 1684, 1711),   // É
    ('\u{d6}', 2144, 2182),   // Ö
    ('\u{d7}', 1856, 1894),   // ×
    ('\u{d8}', 2144, 2182),   // Ø
    ('\u{dc}', 2088, 2066),   // Ü
    ('\u{df}', 1716, 1818),   // ß
    ('\u{e1}', 1588, 1618),   // á
    ('\u{e4}', 1588, 1618),   // ä
    ('\u{e5}', 1588, 1618),   // å
    ('\u{e6}', 2604, 2583),   // æ
    ('\u{e7}', 1572, 1626),   // ç
    ('\u{e9}', 1640, 1669),   // é
    ('\u{ed}', 668, 734),     // í
    ('\u{f1}', 1648, 1717),   // ñ
    ('\u{f3}', 1680, 1712),   // ó
    ('\u{f6}', 1680, 1712),   // ö
    ('\u{f7}', 1856, 1894),   // ÷
    ('\u{f8}', 1680, 1712),   // ø
    ('\u{fa}', 1636, 1713),   // ú
    ('\u{fc}', 1636, 1713),   // ü
    ('\u{394}', 1904, 2038),  // Δ
    ('\u{3a3}', 1776, 1854),  // Σ
    ('\u{3b1}', 1804, 1825),  // α
    ('\u{3b2}', 1668, 1700),  // β
    ('\u{3b4}', 1520, 1734),  // δ
    ('\u{3b8}', 1520, 1738),  // θ
    ('\u{3bb}', 1648, 1690),  // λ
    ('\u{3bc}', 1752, 1835),  // μ
    ('\u{3c1}', 1608, 1646),  // ρ
    ('\u{3c3}', 1776, 1851),  // σ
    ('\u{3c4}', 1328, 1494),  // τ
    ('\u{3c6}', 2060, 2270),  // φ
    ('\u{3c8}', 2104, 2210),  // ψ
    ('\u{3c9}', 2284, 2518),  // ω
    ('\u{2009}', 512, 461),   // space
    ('\u{2013}', 1408, 1408), // –
    ('\u{2014}', 2816, 2816), // —
    ('\u{2018}', 560, 642),   // ‘
    ('\u{2019}', 520, 602),   // ’
    ('\u{201c}', 1072, 1149), // “
    ('\u{201d}', 1072, 1147), // ”
    ('\u{2022}', 1584, 1398), // •
    ('\u{2026}', 2312, 2270), // …
    ('\u{2032}', 620, 730),   // ′
    ('\u{2033}', 1140, 1298), // ″
    ('\u{215b}', 2624, 2626), // ⅛
    ('\u{215c}', 2808, 2848), // ⅜
    ('\u{215d}', 2800, 2837), // ⅝
    ('\u{215e}', 2496, 2547), // ⅞
    ('\u{2190}', 2688, 2688), // ←
    ('\u{2191}', 2688, 2688), // ↑
    ('\u{2192}', 2688, 2688), // →
    ('\u{2193}', 2688, 2688), // ↓
    ('\u{21ba}', 2688, 2688), // ↺
    ('\u{21bb}', 2688, 2688), // ↻
    ('\u{2212}', 1856, 1894), // −
    ('\u{221a}', 1776, 1858), // √
    ('\u{221e}', 2620, 2719), // ∞
    ('\u{2248}', 1856, 1894), // ≈
    ('\u{2264}', 1856, 1894), // ≤
    ('\u{2265}', 1856, 1894), // ≥
    ('\u{25a0}', 2576, 2576), // ■
    ('\u{25b2}', 2840, 2914), // ▲
    ('\u{25b6}', 2576, 2653), // ▶
    ('\u{25bc}', 2840, 2914), // ▼
    ('\u{25c0}', 2576, 2653), // ◀
    ('\u{25c6}', 2960, 2979), // ◆
    ('\u{25cf}', 2576, 2576), // ●
    ('\u{2713}', 2480, 2480), // ✓
    ('\u{2717}', 2480, 2480), // ✗
];
