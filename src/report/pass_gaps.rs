//! Gaps in words: where, how high, how long, how much is missing.
//!
//! Gaps of neighbouring height bands that lie over each other are one gap to the eye: they are told together, by the longest.

use super::words::Words;
use crate::coverage::{Gap, Outcome};
use crate::geometry::Vec2;
use crate::vehicle::{Vehicle, Zone};

/// Gaps told one by one; the rest is counted.
const TOLD: usize = 8;
/// Nearer to the centreline than this is «the centre», m.
const CENTRE_M: f64 = 0.005;

/// Gaps that lie over each other in neighbouring bands.
#[derive(Debug, Clone)]
struct GapGroup {
    /// The longest.
    worst: Gap,
    z_low_m: f64,
    z_high_m: f64,
    bands: (usize, usize),
    count: usize,
    /// Least and greatest shortfall of its gaps.
    short_by: (f64, f64),
}

/// Whether two gaps of neighbouring bands share at least half of the shorter one. The outlines differ a little between bands, so places are
/// compared as shares of the perimeter.
fn overlie(a: &Gap, b: &Gap, perimeter_of: &dyn Fn(usize) -> f64) -> bool {
    let share = |g: &Gap| (g.start_m / perimeter_of(g.band), g.end_m / perimeter_of(g.band));
    let ((a0, a1), (b0, b1)) = (share(a), share(b));
    [-1.0, 0.0, 1.0].iter().any(|turn| {
        let common = a1.min(b1 + turn) - a0.max(b0 + turn);
        common > 0.5 * (a1 - a0).min(b1 - b0)
    })
}

fn grouped(outcome: &Outcome) -> Vec<GapGroup> {
    let perimeter_of =
        |band: usize| outcome.coverage.bands.iter().find(|b| b.band == band).map_or(1.0, |b| b.perimeter_m);
    let mut groups: Vec<GapGroup> = Vec::new();
    // Longest first, so the first of a group is its worst; repeated until no gap finds a group, as neighbours may come later in the list.
    let mut left: Vec<&Gap> = outcome.gaps.iter().collect();
    // Lengths that print alike go by zone, so that left and right keep their order.
    let millimetres = |g: &Gap| (1000.0 * g.length_m()).round() as i64;
    left.sort_by_key(|g| (std::cmp::Reverse(millimetres(g)), g.band, g.zone, (1000.0 * g.start_m) as i64));
    while !left.is_empty() {
        let first = left.remove(0);
        let mut group = GapGroup {
            worst: *first,
            z_low_m: first.z_low_m,
            z_high_m: first.z_high_m,
            bands: (first.band, first.band),
            count: 1,
            short_by: (first.short_by, first.short_by),
        };
        while let Some(i) = left.iter().position(|g| {
            let beside = g.band + 1 == group.bands.0 || g.band == group.bands.1 + 1;
            beside && g.zone == group.worst.zone && overlie(g, &group.worst, &perimeter_of)
        }) {
            let next = left.remove(i);
            group.bands = (group.bands.0.min(next.band), group.bands.1.max(next.band));
            group.z_low_m = group.z_low_m.min(next.z_low_m);
            group.z_high_m = group.z_high_m.max(next.z_high_m);
            group.short_by = (group.short_by.0.min(next.short_by), group.short_by.1.max(next.short_by));
            group.count += 1;
        }
        groups.push(group);
    }
    groups
}

/// One sentence for each gap, the longest first.
pub(super) fn gap_sentences(outcome: &Outcome, vehicle: &Vehicle, words: Words) -> Vec<String> {
    let groups = grouped(outcome);
    let mut sentences: Vec<String> = groups.iter().take(TOLD).map(|g| sentence(g, vehicle, words)).collect();
    if groups.len() > TOLD {
        let rest = groups.len() - TOLD;
        let longest = groups[TOLD].worst.length_m();
        let (noun, upto) = if rest == 1 { ("gap", "of") } else { ("gaps", "of up to") };
        sentences.push(format!("and {rest} more {noun} {upto} {}", words.length_text(longest)));
    }
    sentences
}

fn sentence(group: &GapGroup, vehicle: &Vehicle, words: Words) -> String {
    let gap = &group.worst;
    let heights = words.heights(group.z_low_m, group.z_high_m);
    let length = words.length_text(gap.length_m());
    let upto = if group.count > 1 { "up to " } else { "" };
    format!(
        "{}, {heights} above the floor: {upto}{length} missed, {}; {}",
        gap.zone.name(),
        extent(gap, vehicle, words),
        shortfall(group.short_by)
    )
}

/// «2.0 in left to 15.2 in right of centre», «from 9.6 in to 1 ft 2 in behind the nose», «from … to …» when it runs round a corner.
fn extent(gap: &Gap, vehicle: &Vehicle, words: Words) -> String {
    let Some(outline) = vehicle.bands.get(gap.band).and_then(|b| b.body()) else { return String::new() };
    let perimeter = outline.chain.length_m();
    if gap.length_m() > perimeter - 1e-6 {
        return "all the way round".to_owned();
    }
    let (start, end) = (gap.start_m.rem_euclid(perimeter), gap.end_m.rem_euclid(perimeter));
    // A hair inside the gap, so that a border between zones counts for the gap's own side.
    let (zone_a, zone_b) = (outline.tag_at(start + 1e-6).zone, outline.tag_at(end - 1e-6).zone);
    let (a, b) = (outline.chain.point_at(start), outline.chain.point_at(end));
    match (zone_a, zone_b) {
        (Zone::Nose, Zone::Nose) | (Zone::Tail, Zone::Tail) => across(a.y, b.y, words),
        (Zone::LeftSide, Zone::LeftSide) | (Zone::RightSide, Zone::RightSide) => {
            let (near, far) = if a.x >= b.x { (a, b) } else { (b, a) };
            format!(
                "from {} to {} behind the nose tip",
                words.length_text(-near.x),
                words.length_text(-far.x)
            )
        }
        _ => format!("from {} to {}", place(zone_a, a, words), place(zone_b, b, words)),
    }
}

/// Extent across the nose or tail, from y to y, positive left.
fn across(y0: f64, y1: f64, words: Words) -> String {
    let (low, high) = (y0.min(y1), y0.max(y1));
    let far = |y: f64| words.length_text(y.abs());
    if high.abs() < CENTRE_M {
        format!("from the centre to {} right of it", far(low))
    } else if low.abs() < CENTRE_M {
        format!("from the centre to {} left of it", far(high))
    } else if low < 0.0 && high > 0.0 {
        format!("{} left to {} right of centre", far(high), far(low))
    } else if low > 0.0 {
        format!("{} to {} left of centre", far(low), far(high))
    } else {
        format!("{} to {} right of centre", far(high), far(low))
    }
}

fn place(zone: Zone, p: Vec2, words: Words) -> String {
    match zone {
        Zone::Nose | Zone::Tail => {
            let side = if p.y > 0.0 { "left" } else { "right" };
            if p.y.abs() < CENTRE_M {
                format!("the centre of the {}", zone.name())
            } else {
                format!("{} {side} of centre on the {}", words.length_text(p.y.abs()), zone.name())
            }
        }
        Zone::LeftSide | Zone::RightSide => {
            format!("{} behind the nose tip on the {}", words.length_text(-p.x), zone.name())
        }
    }
}

fn shortfall((least, most): (f64, f64)) -> String {
    let done = |short: f64| 100.0 * (1.0 - short);
    if least > 0.9995 {
        return "never touched".to_owned();
    }
    let (low, high) = (done(most), done(least));
    if most > 0.9995 {
        return format!("never touched in part, at best {high:.0} % of the washing it needs");
    }
    if (high - low).abs() < 1.0 {
        format!("it gets {high:.0} % of the washing it needs")
    } else {
        format!("it gets {low:.0} to {high:.0} % of the washing it needs")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::UnitSystem;

    #[test]
    fn verif_extents_across_name_both_ends() {
        let us = Words::new(UnitSystem::Us);
        let inch = 0.0254;
        assert_eq!(across(2.0 * inch, -15.2 * inch, us), "2.0 in left to 15.2 in right of centre");
        assert_eq!(across(20.0 * inch, 4.0 * inch, us), "4.0 in to 20.0 in left of centre");
        assert_eq!(across(-4.0 * inch, -20.0 * inch, us), "4.0 in to 20.0 in right of centre");
        assert_eq!(across(0.0, -4.0 * inch, us), "from the centre to 4.0 in right of it");
        assert_eq!(across(4.0 * inch, 0.001, us), "from the centre to 4.0 in left of it");
    }

    #[test]
    fn verif_shortfall_in_words() {
        assert_eq!(shortfall((1.0, 1.0)), "never touched");
        assert_eq!(shortfall((0.6, 0.6)), "it gets 40 % of the washing it needs");
        assert_eq!(shortfall((0.5, 0.75)), "it gets 25 to 50 % of the washing it needs");
        assert_eq!(shortfall((0.5, 1.0)), "never touched in part, at best 50 % of the washing it needs");
    }
}
