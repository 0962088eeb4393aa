//! The still pictures of the sheet: the plan view at the telling instant and the unrolled map, each for a narrow and a wide page.

use super::from_scenario::SheetRequest;
use super::numbers;
use super::words::{Words, fill};
use super::{Picture, SheetPass, criteria};
use crate::drawing::plan_view::{Ghost, PlanOptions, PlanScene, PlanShow, plan_view};
use crate::drawing::unrolled::{UnrolledOptions, unrolled_map};
use crate::drawing::{DisplayList, Role};
use crate::units::UnitSystem;

/// Width of a picture on a phone and on half a printed page, page units.
const NARROW: f64 = 352.0;
/// Width of a picture on a desk.
const WIDE: f64 = 496.0;

pub(super) fn pictures(request: &SheetRequest<'_>, still_s: f64, words: &Words) -> Vec<Picture> {
    let pass = &request.left.pass;
    vec![plan(request, pass, still_s, words), map(request, pass, still_s, words)]
}

/// Event nearest to an instant: its name and unit.
fn nearest_event(pass: &SheetPass<'_>, t_s: f64, words: &Words) -> (String, String) {
    let events = pass.outcome.units.iter().flat_map(|u| u.events.iter().map(move |e| (u.side, e)));
    let nearest = events.min_by(|a, b| (a.1.time_s - t_s).abs().total_cmp(&(b.1.time_s - t_s).abs()));
    nearest.map_or_else(Default::default, |(side, event)| {
        (words.term(event.name.name()).to_owned(), criteria::side(side, words).to_owned())
    })
}

fn plan(request: &SheetRequest<'_>, pass: &SheetPass<'_>, t_s: f64, words: &Words) -> Picture {
    let scene = PlanScene { setup: pass.setup, record: pass.record, outcome: pass.outcome, settings: pass.coverage, t_s };
    let found = request.found.map(|f| f.pass);
    let ghosts: Vec<Ghost<'_>> = found
        .iter()
        .map(|f| Ghost { name: words.as_found, role: Role::SetupC, setup: f.setup, record: f.record })
        .collect();
    let draw = |width: f64, height: f64| plan_drawing(&scene, &ghosts, width, height, request.units);
    let (event, unit) = nearest_event(pass, t_s, words);
    Picture {
        narrow: draw(NARROW, 232.0),
        wide: draw(WIDE, 320.0),
        caption: fill(words.plan_caption, &[&event, &unit, &numbers::time(t_s)]),
    }
}

fn plan_drawing(scene: &PlanScene<'_>, ghosts: &[Ghost<'_>], width: f64, height: f64, units: UnitSystem) -> DisplayList {
    let mut options = PlanOptions::new(width, height, units);
    options.text_size = 11.0;
    options.show = PlanShow { labels: false, legend: false, struts: false, ..PlanShow::default() };
    plan_view(scene, ghosts, &options)
}

fn map(request: &SheetRequest<'_>, pass: &SheetPass<'_>, t_s: f64, words: &Words) -> Picture {
    let scene = PlanScene { setup: pass.setup, record: pass.record, outcome: pass.outcome, settings: pass.coverage, t_s };
    let draw = |width: f64, height: f64| {
        let mut options = UnrolledOptions::new(width, height, request.units);
        options.text_size = 11.0;
        options.cursor = false;
        unrolled_map(&scene, &options).list
    };
    Picture { narrow: draw(NARROW, 232.0), wide: draw(WIDE, 320.0), caption: words.map_caption.to_owned() }
}
