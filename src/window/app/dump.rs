//! The state as JSON, one key a line, for tests that drive the window from outside.

use std::collections::BTreeMap;
use std::time::Duration;

use serde_json::{Value, json};

use super::App;
use super::command::Dialog;
use crate::coverage::headline;
use crate::drawing::Theme;

/// Where named controls and canvases are: left, top, width, height in points.
pub type Spots = BTreeMap<String, [f32; 4]>;

/// How long things take, as a person waits for them.
#[derive(Debug, Clone, Default)]
pub struct Timing {
    solved_ms: Vec<f64>,
    built_ms: Vec<f64>,
}

/// The most times kept.
const MOST_TIMES: usize = 400;

impl Timing {
    /// From a change of a setting to its pass.
    pub fn solved(&mut self, took: Duration) {
        keep(&mut self.solved_ms, took);
    }

    /// A frame was built: panels laid out, pictures made.
    pub fn built(&mut self, took: Duration) {
        keep(&mut self.built_ms, took);
    }
}

fn keep(times: &mut Vec<f64>, took: Duration) {
    if times.len() == MOST_TIMES {
        times.remove(0);
    }
    times.push(took.as_secs_f64() * 1e3);
}

fn median(times: &[f64]) -> Option<f64> {
    let mut sorted = times.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len() / 2).map(|ms| (ms * 100.0).round() / 100.0)
}

/// The state, the number of frames drawn so far left out so that an idle window writes nothing.
pub fn dump(app: &App, spots: &Spots, timing: &Timing) -> String {
    let mut map: BTreeMap<String, Value> = BTreeMap::new();
    let mut put = |key: &str, value: Value| {
        map.insert(key.to_owned(), value);
    };
    put("file", json!(app.path().display().to_string()));
    put("title", json!(app.title()));
    put("solving", json!(app.solving()));
    put("units", json!(app.units.word()));
    put("theme", json!(if app.theme == Theme::Dark { "dark" } else { "light" }));
    put("time_s", json!((app.t_s() * 1e4).round() / 1e4));
    put("clock", json!((app.playback.clock() * 1e4).round() / 1e4));
    put("clock_kind", json!(format!("{:?}", app.playback.kind()).to_lowercase()));
    put("playing", json!(app.playback.playing()));
    put("column", json!(app.views.column.name()));
    put("map", json!(app.views.map));
    put("map_quantity", json!(app.views.quantity.name()));
    put(
        "dialog",
        json!(match app.views.dialog {
            Dialog::None => "none",
            Dialog::Help => "help",
            Dialog::SaveAs => "save",
            Dialog::Open => "open",
        }),
    );
    put("pins", json!(app.pins.iter().map(|(slot, _)| slot.letter()).collect::<String>()));
    for (slot, pin) in app.pins.iter() {
        put(&format!("pin:{}", slot.letter()), json!(pin.name));
    }
    for (path, text) in app.edits() {
        put(&format!("edit:{path}"), json!(text));
    }
    put("edits", json!(app.edits().len()));
    put("undo", json!(app.undo_label()));
    put("redo", json!(app.redo_label()));
    put("chosen", json!(app.chosen()));
    put("refused", json!(app.refused().map(|refused| &refused.text)));
    put("file_trouble", json!(app.file_trouble()));
    put("solve_trouble", json!(app.solve_trouble()));
    put("told", json!(app.told()));
    put("spot", json!(app.spot()));
    if let Some(pass) = app.shown() {
        put("shown_edits", json!(pass.edits.len()));
        put("conveyor_m_s", json!(pass.setup.conveyor_speed_m_s));
        let ms = |s: f64| json!((s * 1e5).round() / 100.0);
        put("solve_ms", ms(pass.times.total_s()));
        put("solve_run_ms", ms(pass.times.run_s));
        put("solve_measure_ms", ms(pass.times.measure_s));
        put("solve_series_ms", ms(pass.times.series_s));
        put("verdict", json!(headline(&pass.outcome.verdicts).map(|(verdict, _)| verdict.name())));
        put("gaps", json!(pass.outcome.gaps.len()));
        for unit in crate::pass::instant(&pass.setup, &pass.record, app.t_s()) {
            let swing = (unit.phi_rad.to_degrees() * 100.0).round() / 100.0;
            put(&format!("swing_deg:{}", unit.side.name()), json!(swing));
        }
    }
    put("median_solve_wait_ms", json!(median(&timing.solved_ms)));
    put("median_frame_build_ms", json!(median(&timing.built_ms)));
    put("lesson", json!(app.lesson().map(|run| run.state.progress())));
    if let Some(run) = app.lesson() {
        put("lesson_heading", json!(run.texts.heading));
        put("lesson_caption", json!(run.texts.caption));
        put("lesson_waiting", json!(run.waiting));
        put("lesson_answer_shown", json!(run.state.answer_shown()));
    }
    for (name, [x, y, w, h]) in spots {
        put(&format!("at:{name}"), json!(format!("{x:.0} {y:.0} {w:.0} {h:.0}")));
    }
    serde_json::to_string_pretty(&map).map_or_else(|_| String::new(), |text| text + "\n")
}
