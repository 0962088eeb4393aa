//! From the ground to the page.
//!
//! Ground frame: metres, x downstream, y to the left of travel (so the ground is right-handed seen from above).
//! Page: y down. A [`Frame`] turns one into the other with one scale for both axes, so circles stay circles.

use super::list::{Pos, Rect, pos};

/// Which way the direction of travel points on the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Travel {
    /// Vehicles move to the right; the left of travel is up.
    #[default]
    Right,
    /// Vehicles move up the page; the left of travel is to the left.
    Up,
    /// Vehicles move to the left; the left of travel is down.
    Left,
}

/// A map from ground metres to page units: page = origin + scale · turn(ground − focus).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Ground point shown at `origin`, metres.
    pub focus_m: [f64; 2],
    /// Page position of the focus.
    pub origin: Pos,
    /// Page units per metre, over 0.
    pub scale_per_m: f64,
    /// Direction of travel on the page.
    pub travel: Travel,
}

impl Frame {
    /// The frame that shows the whole ground rectangle from `low_m` to `high_m`, centred and as large as fits in `page`.
    pub fn fit(low_m: [f64; 2], high_m: [f64; 2], page: Rect, travel: Travel) -> Frame {
        let (along, across) = ((high_m[0] - low_m[0]).max(1e-6), (high_m[1] - low_m[1]).max(1e-6));
        let (wide, tall) = if travel == Travel::Up { (across, along) } else { (along, across) };
        Frame {
            focus_m: [(low_m[0] + high_m[0]) / 2.0, (low_m[1] + high_m[1]) / 2.0],
            origin: page.centre(),
            scale_per_m: (page.width / wide).min(page.height / tall).max(1e-9),
            travel,
        }
    }

    /// Page position of a ground point.
    pub fn page_from_ground(&self, point_m: [f64; 2]) -> Pos {
        let (dx, dy) = (point_m[0] - self.focus_m[0], point_m[1] - self.focus_m[1]);
        let turned = self.page_direction_from_ground([dx, dy]);
        self.origin.shifted(turned[0] * self.scale_per_m, turned[1] * self.scale_per_m)
    }

    /// Ground point under a page position, metres.
    pub fn ground_from_page(&self, at: Pos) -> [f64; 2] {
        let (px, py) = ((at.x - self.origin.x) / self.scale_per_m, (at.y - self.origin.y) / self.scale_per_m);
        let [dx, dy] = match self.travel {
            Travel::Right => [px, -py],
            Travel::Up => [-py, -px],
            Travel::Left => [-px, py],
        };
        [self.focus_m[0] + dx, self.focus_m[1] + dy]
    }

    /// Page direction (y down) of a ground direction, same length.
    pub fn page_direction_from_ground(&self, [dx, dy]: [f64; 2]) -> [f64; 2] {
        match self.travel {
            Travel::Right => [dx, -dy],
            Travel::Up => [-dy, -dx],
            Travel::Left => [-dx, dy],
        }
    }

    /// Page angle (clockwise as seen, from +x) of a ground angle (from downstream towards the left of travel), radians.
    pub fn page_angle_from_ground(&self, angle_rad: f64) -> f64 {
        use std::f64::consts::{FRAC_PI_2, PI};
        match self.travel {
            Travel::Right => -angle_rad,
            Travel::Up => -angle_rad - FRAC_PI_2,
            Travel::Left => PI - angle_rad,
        }
    }

    /// Page length of a ground length in metres.
    pub fn length(&self, length_m: f64) -> f64 {
        length_m * self.scale_per_m
    }

    /// The page positions of a chain of ground points.
    pub fn chain(&self, points_m: impl IntoIterator<Item = [f64; 2]>) -> Vec<Pos> {
        points_m.into_iter().map(|p| self.page_from_ground(p)).collect()
    }

    /// The frame zoomed by `factor` about a page position that keeps its ground point.
    pub fn zoomed(&self, factor: f64, about: Pos) -> Frame {
        let origin =
            pos(about.x + (self.origin.x - about.x) * factor, about.y + (self.origin.y - about.y) * factor);
        Frame { origin, scale_per_m: self.scale_per_m * factor, ..*self }
    }

    /// The frame moved on the page.
    pub fn panned(&self, dx: f64, dy: f64) -> Frame {
        Frame { origin: self.origin.shifted(dx, dy), ..*self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::elementary::Elementary;

    #[test]
    fn verif_frame_round_trip_and_handedness() {
        for travel in [Travel::Right, Travel::Up, Travel::Left] {
            let frame = Frame::fit([-3.0, -2.0], [6.0, 2.0], Rect::new(10.0, 20.0, 640.0, 480.0), travel);
            let ground = [1.25, -0.75];
            let back = frame.ground_from_page(frame.page_from_ground(ground));
            assert!((back[0] - ground[0]).abs() < 1e-12 && (back[1] - ground[1]).abs() < 1e-12);
            // Seen from above the ground is right-handed and the page (y down) is left-handed: the map mirrors.
            let [ax, ay] = frame.page_direction_from_ground([1.0, 0.0]);
            let [bx, by] = frame.page_direction_from_ground([0.0, 1.0]);
            assert_eq!(ax * by - ay * bx, -1.0);
            // An angle turned by the frame points the same way as the direction turned by it.
            let angle = 0.4_f64;
            let [dx, dy] = frame.page_direction_from_ground([angle.cosine(), angle.sine()]);
            let turned = frame.page_angle_from_ground(angle);
            assert!((turned.cosine() - dx).abs() < 1e-12 && (turned.sine() - dy).abs() < 1e-12, "{travel:?}");
        }
    }

    #[test]
    fn verif_zoom_keeps_the_point_under_the_cursor() {
        let frame = Frame::fit([0.0, 0.0], [4.0, 2.0], Rect::new(0.0, 0.0, 400.0, 300.0), Travel::Right);
        let cursor = pos(123.0, 45.0);
        let zoomed = frame.zoomed(1.7, cursor);
        let (before, after) = (frame.ground_from_page(cursor), zoomed.ground_from_page(cursor));
        assert!((before[0] - after[0]).abs() < 1e-12 && (before[1] - after[1]).abs() < 1e-12);
        assert!((zoomed.scale_per_m / frame.scale_per_m - 1.7).abs() < 1e-12);
    }

    #[test]
    fn verif_fit_shows_the_whole_rectangle_in_its_middle() {
        let page = Rect::new(10.0, 20.0, 300.0, 300.0);
        for travel in [Travel::Right, Travel::Up, Travel::Left] {
            let frame = Frame::fit([-1.0, -1.0], [5.0, 2.0], page, travel);
            let corners = frame.chain([[-1.0, -1.0], [5.0, -1.0], [5.0, 2.0], [-1.0, 2.0]]);
            assert!(corners.iter().all(|c| page.inset(-1e-9).contains(*c)), "{travel:?}");
            assert!((frame.scale_per_m - 50.0).abs() < 1e-9);
        }
    }
}
