//! The camera of the plan view: fit, free pan and zoom, or follow the vehicle.

use crate::drawing::frame::Travel;
use crate::drawing::{Frame, Pos, Rect};

/// How the camera chooses what it shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Mode {
    /// Everything, as large as fits; kept when the page changes its size.
    #[default]
    Fit,
    /// Where the user left it.
    Free,
    /// The vehicle stays where it is on the page.
    Follow,
}

/// Smallest and largest scale, page units per metre.
const SCALE_LIMITS: [f64; 2] = [5.0, 4000.0];

/// The camera.
#[derive(Debug, Clone, PartialEq)]
pub struct View2d {
    mode: Mode,
    travel: Travel,
    scene_m: [[f64; 2]; 2],
    page: Rect,
    frame: Frame,
    /// The followed vehicle's position along the lane when it was last seen, metres.
    vehicle_m: f64,
}

impl View2d {
    /// A camera that fits the scene (lowest and highest corner, ground metres) into the page.
    pub fn new(scene_m: [[f64; 2]; 2], page: Rect, travel: Travel) -> View2d {
        let frame = Frame::fit(scene_m[0], scene_m[1], page, travel);
        View2d { mode: Mode::Fit, travel, scene_m, page, frame, vehicle_m: 0.0 }
    }

    /// From ground to page.
    pub const fn frame(&self) -> &Frame {
        &self.frame
    }

    /// The page.
    pub const fn page(&self) -> Rect {
        self.page
    }

    /// Shows one part of the ground (lowest and highest corner, metres) as large as fits, and stays there.
    pub fn show_box(&mut self, box_m: [[f64; 2]; 2]) {
        self.mode = Mode::Free;
        self.frame = Frame::fit(box_m[0], box_m[1], self.page, self.travel);
    }

    /// How it chooses.
    pub const fn mode(&self) -> Mode {
        self.mode
    }

    /// Sets page and scene of this frame. A fitted camera fits again; the others keep what is in the middle.
    pub fn set_page(&mut self, page: Rect, scene_m: [[f64; 2]; 2]) {
        let (before, after) = (self.page.centre(), page.centre());
        (self.page, self.scene_m) = (page, scene_m);
        if self.mode == Mode::Fit {
            self.frame = Frame::fit(scene_m[0], scene_m[1], page, self.travel);
        } else {
            self.frame = self.frame.panned(after.x - before.x, after.y - before.y);
        }
    }

    /// Shows everything.
    pub fn fit(&mut self) {
        self.mode = Mode::Fit;
        self.frame = Frame::fit(self.scene_m[0], self.scene_m[1], self.page, self.travel);
    }

    /// Moves by a drag on the page. A following camera goes on following from there.
    pub fn pan(&mut self, dx: f64, dy: f64) {
        if self.mode == Mode::Fit {
            self.mode = Mode::Free;
        }
        self.frame = self.frame.panned(dx, dy);
    }

    /// Zooms about a page position, whose ground point stays under it.
    pub fn zoom(&mut self, factor: f64, about: Pos) {
        if !(factor.is_finite() && factor > 0.0) {
            return;
        }
        if self.mode == Mode::Fit {
            self.mode = Mode::Free;
        }
        let scale = (self.frame.scale_per_m * factor).clamp(SCALE_LIMITS[0], SCALE_LIMITS[1]);
        self.frame = self.frame.zoomed(scale / self.frame.scale_per_m, about);
    }

    /// Starts following the vehicle from where it is on the page now, or stops.
    pub fn set_follow(&mut self, follow: bool, vehicle_m: f64) {
        self.mode = if follow { Mode::Follow } else { Mode::Free };
        self.vehicle_m = vehicle_m;
    }

    /// Tells the camera where the vehicle is along the lane, metres.
    pub fn vehicle_at(&mut self, vehicle_m: f64) {
        if self.mode == Mode::Follow && vehicle_m.is_finite() {
            self.frame.focus_m[0] += vehicle_m - self.vehicle_m;
        }
        self.vehicle_m = vehicle_m;
    }

    /// Brings a ground point to the middle of the page at the present scale.
    pub fn centre_on(&mut self, point_m: [f64; 2]) {
        let (here, middle) = (self.frame.page_from_ground(point_m), self.page.centre());
        self.pan(middle.x - here.x, middle.y - here.y);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::pos;

    const SCENE: [[f64; 2]; 2] = [[-4.0, -2.0], [6.0, 2.0]];

    fn view() -> View2d {
        View2d::new(SCENE, Rect::new(0.0, 0.0, 800.0, 400.0), Travel::Right)
    }

    fn close(a: Pos, b: Pos) -> bool {
        a.distance(b) < 1e-9
    }

    #[test]
    fn verif_a_fitted_view_fits_again_when_the_page_changes() {
        let mut v = view();
        let small = Rect::new(0.0, 0.0, 400.0, 400.0);
        v.set_page(small, SCENE);
        assert!((v.frame().scale_per_m - 40.0).abs() < 1e-9);
        v.pan(10.0, 0.0);
        assert_eq!(v.mode(), Mode::Free);
        v.set_page(Rect::new(0.0, 0.0, 800.0, 400.0), SCENE);
        assert!((v.frame().scale_per_m - 40.0).abs() < 1e-9, "a free view keeps its scale");
        v.fit();
        assert!((v.frame().scale_per_m - 80.0).abs() < 1e-9);
    }

    #[test]
    fn verif_zoom_keeps_the_point_and_its_limits() {
        let mut v = view();
        let cursor = pos(123.0, 45.0);
        let ground = v.frame().ground_from_page(cursor);
        for factor in [1.5, 1e9, 1e-12, f64::NAN, -2.0] {
            v.zoom(factor, cursor);
            assert!(close(v.frame().page_from_ground(ground), cursor), "{factor}");
            let scale = v.frame().scale_per_m;
            let limits = SCALE_LIMITS[0] * 0.999_999..=SCALE_LIMITS[1] * 1.000_001;
            assert!(limits.contains(&scale), "{scale}");
        }
    }

    #[test]
    fn verif_follow_keeps_the_vehicle_where_it_is_on_the_page() {
        let mut v = view();
        v.vehicle_at(1.0);
        let ground = |x: f64| [x, 0.0];
        v.set_follow(true, 1.0);
        let before = v.frame().page_from_ground(ground(1.0));
        for x in [1.2, 3.0, 40.0] {
            v.vehicle_at(x);
            assert!(close(v.frame().page_from_ground(ground(x)), before));
        }
        v.pan(25.0, -5.0);
        v.vehicle_at(41.0);
        assert!(
            close(v.frame().page_from_ground(ground(41.0)), before.shifted(25.0, -5.0)),
            "a drag moves the anchor"
        );
        v.set_follow(false, 41.0);
        let still = v.frame().page_from_ground(ground(0.0));
        v.vehicle_at(50.0);
        assert!(close(v.frame().page_from_ground(ground(0.0)), still));
    }

    #[test]
    fn verif_centre_on_brings_a_point_to_the_middle() {
        let mut v = view();
        v.zoom(3.0, pos(0.0, 0.0));
        v.centre_on([2.0, 1.0]);
        assert!(close(v.frame().page_from_ground([2.0, 1.0]), pos(400.0, 200.0)));
    }
}
