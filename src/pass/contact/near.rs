//! Which pieces of a band's outlines a brush of one radius could touch, by where it stands along the vehicle.

use super::visible_part::{self, VisiblePart, VisiblePiece};
use super::{ContactLaw, ContactSum, Span, SpanScratch, first_surface, several_runs, strips};
use crate::geometry::{Bounds, Vec2, on_hull};
use crate::vehicle::Outline;
use std::ops::Range;

/// Width of a cell of [`NearIndex`], m.
const CELL_M: f64 = 0.25;

/// Slices of the vehicle's length from which a brush of one radius could touch something.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cells {
    radius_m: f64,
    from_x_m: f64,
    pub count: usize,
}

impl Cells {
    /// Cells about all outlines.
    pub fn about<'a>(outlines: impl IntoIterator<Item = &'a Outline>, radius_m: f64) -> Cells {
        let bounds = outlines.into_iter().map(|outline| outline.chain.bounds());
        let (low, high) = bounds.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), b| {
            (low.min(b.min.x - radius_m), high.max(b.max.x + radius_m))
        });
        let count = if low < high { ((high - low) / CELL_M).ceil() as usize } else { 0 };
        Cells { radius_m, from_x_m: low, count }
    }

    /// Those from which a piece could be touched: a hair wider than the cell, for the rounding of its number.
    pub fn of(&self, bounds: &Bounds) -> Range<usize> {
        let reach_m = self.radius_m + 0.501 * CELL_M;
        let cell = |x_m: f64| ((x_m - self.from_x_m) / CELL_M - 0.5).clamp(0.0, self.count as f64);
        let first = cell(bounds.min.x - reach_m).ceil() as usize;
        first..((cell(bounds.max.x + reach_m).floor() as usize + 1).min(self.count)).max(first)
    }

    /// The one in which a brush at `c` stands.
    pub fn at(&self, c: Vec2) -> Option<usize> {
        let cell = (c.x - self.from_x_m) * (1.0 / CELL_M);
        (cell >= 0.0 && cell < self.count as f64).then_some(cell as usize)
    }

    /// How far across the vehicle a brush may stand to touch a piece, m.
    pub fn across_m(&self, bounds: &Bounds) -> [f64; 2] {
        [bounds.min.y - self.radius_m, bounds.max.y + self.radius_m]
    }
}

/// For one band and one brush radius: the pieces that could be touched from anywhere in a slice of the vehicle's length, so that an
/// evaluation looks at those alone. A slice may name too many, never too few.
#[derive(Debug, Clone)]
pub struct NearIndex {
    cells: Cells,
    /// Where each cell's pieces begin in `pieces`; one more than there are cells.
    starts: Vec<usize>,
    pieces: Vec<NearPiece>,
    /// Whether a piece lies on the hull of the band, by outline and piece: nothing can hide it.
    on_hull: Vec<Vec<bool>>,
    /// One convex outline: nothing in it can hide another part of it.
    plain: bool,
}

/// A piece that a brush in a cell may touch, while its own y is within these.
#[derive(Debug, Clone, Copy)]
struct NearPiece {
    outline: usize,
    piece: usize,
    on_hull: bool,
    y_m: [f64; 2],
}

impl NearIndex {
    /// Index of a band's outlines for a brush of radius R.
    pub fn new(outlines: &[Outline], radius_m: f64) -> Self {
        let cells = Cells::about(outlines, radius_m);
        let on_hull = on_hull(outlines.iter().map(|outline| &outline.chain));
        let all = || {
            outlines.iter().enumerate().flat_map(|(index, outline)| {
                let bounds = outline.chain.piece_bounds().iter().enumerate();
                bounds.map(move |(piece, bounds)| (index, piece, bounds))
            })
        };
        let mut starts = vec![0; cells.count + 1];
        for (_, _, bounds) in all() {
            cells.of(bounds).for_each(|cell| starts[cell + 1] += 1);
        }
        for cell in 0..cells.count {
            starts[cell + 1] += starts[cell];
        }
        let empty = NearPiece { outline: 0, piece: 0, on_hull: false, y_m: [0.0; 2] };
        let (mut pieces, mut next) = (vec![empty; starts[cells.count]], starts.clone());
        for (outline, piece, bounds) in all() {
            let (on_hull, y_m) = (on_hull[outline][piece], cells.across_m(bounds));
            for cell in cells.of(bounds) {
                pieces[next[cell]] = NearPiece { outline, piece, on_hull, y_m };
                next[cell] += 1;
            }
        }
        let plain = matches!(outlines, [only] if only.chain.is_convex());
        NearIndex { cells, starts, pieces, on_hull, plain }
    }

    fn at(&self, c: Vec2) -> impl Iterator<Item = &NearPiece> {
        let range = self.cells.at(c).map_or(0..0, |cell| self.starts[cell]..self.starts[cell + 1]);
        self.pieces[range].iter().filter(move |p| p.y_m[0] <= c.y && c.y <= p.y_m[1])
    }

    /// Whether each piece lies on the hull of the band, by outline and piece.
    pub(super) fn on_hull(&self) -> &[Vec<bool>] {
        &self.on_hull
    }

    fn visible_part(&self, outlines: &[Outline], p: &NearPiece, c: Vec2) -> Option<(VisiblePart, [bool; 2])> {
        visible_part::visible_part(&outlines[p.outline].chain.facets()[p.piece], c, self.cells.radius_m)
    }

    /// Looks at every piece that may be near; says whether one may hide another.
    fn look(&self, outlines: &[Outline], c: Vec2, scratch: &mut SpanScratch) -> bool {
        let SpanScratch { seen, .. } = scratch;
        seen.clear();
        for p in self.at(c) {
            if let Some((visible, at_ends)) = self.visible_part(outlines, p, c) {
                seen.push(VisiblePiece { outline: p.outline, piece: p.piece, visible, at_ends });
            }
        }
        !self.plain && several_runs(outlines, seen)
    }

    /// Spans of the band's outlines that strips of the index's radius centred at `c` touch, first surface only.
    pub fn find_spans<'r>(&self, outlines: &[Outline], c: Vec2, scratch: &'r mut SpanScratch) -> &'r [Span] {
        let may_hide = self.look(outlines, c, scratch);
        first_surface(outlines, c, may_hide, scratch)
    }

    /// Contact of a brush at `c` with a band's outlines, all spans together: what [`Self::find_spans`] and [`Span::contact`] add up to. `law` has the
    /// radius of the index.
    pub fn contact(
        &self,
        outlines: &[Outline],
        law: &ContactLaw,
        c: Vec2,
        velocity_m_s: Vec2,
        scratch: &mut SpanScratch,
    ) -> ContactSum {
        let may_hide = self.look(outlines, c, scratch);
        let mut sum = ContactSum::default();
        for span in first_surface(outlines, c, may_hide, scratch) {
            sum.add(&span.contact(law, velocity_m_s));
        }
        sum
    }

    /// Contact with what does not lie on the hull of the band: what other pieces may hide.
    pub(super) fn contact_within_hull(
        &self,
        outlines: &[Outline],
        law: &ContactLaw,
        c: Vec2,
        velocity_m_s: Vec2,
        scratch: &mut SpanScratch,
    ) -> ContactSum {
        let mut sum = ContactSum::default();
        if !self.at(c).any(|p| !p.on_hull && self.visible_part(outlines, p, c).is_some()) {
            return sum;
        }
        if self.look(outlines, c, scratch) {
            for span in first_surface(outlines, c, true, scratch) {
                if !self.on_hull[span.outline][span.piece] {
                    sum.add(&span.contact(law, velocity_m_s));
                }
            }
        } else {
            for piece_seen in &scratch.seen {
                if !self.on_hull[piece_seen.outline][piece_seen.piece] {
                    sum.add(&strips::contact(law, &piece_seen.visible, velocity_m_s));
                }
            }
        }
        sum
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::bay_and_box;
    use super::*;

    /// The index names what may be within reach: every piece nearer than that, wherever the brush is, and along the vehicle at most a cell more, across
    /// nothing more. A bay, and a box over it.
    #[test]
    fn verif_pieces_near_a_brush() {
        let outlines = bay_and_box();
        let radius_m = 0.6;
        let index = NearIndex::new(&outlines, radius_m);
        let (mut named, mut far) = (0, 0);
        for ix in -60..=60 {
            for iy in -20..=60 {
                let c = Vec2::new(0.0531 * f64::from(ix), 0.0507 * f64::from(iy));
                let got: Vec<(usize, usize)> = index.at(c).map(|p| (p.outline, p.piece)).collect();
                for (o, outline) in outlines.iter().enumerate() {
                    for (p, piece) in outline.chain.pieces().iter().enumerate() {
                        let bounds = piece.bounds();
                        let off = |at: f64, low: f64, high: f64| (low - at).max(at - high).max(0.0);
                        let along = off(c.x, bounds.min.x, bounds.max.x);
                        let across = off(c.y, bounds.min.y, bounds.max.y);
                        let is_named = got.contains(&(o, p));
                        if along < radius_m && across < radius_m {
                            assert!(is_named, "{o} {p} at {c:?}");
                            named += 1;
                        } else if along > radius_m + 1.01 * CELL_M || across > radius_m + 1e-12 {
                            assert!(!is_named, "{o} {p} at {c:?}");
                            far += 1;
                        }
                    }
                }
            }
        }
        assert!(named > 1000 && far > 1000, "{named} {far}");
        // One convex outline alone hides nothing of itself; a bay may, and so may two.
        assert!(NearIndex::new(&outlines[1..], radius_m).plain);
        assert!(!NearIndex::new(&outlines[..1], radius_m).plain && !index.plain);
        assert_eq!(NearIndex::new(&[], radius_m).at(Vec2::zeros()).count(), 0);
    }
}
