//! The state as JSON, one key a line, for tests that drive the window from outside.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::command::Dialog;
use super::desk::{Run, StudyKind};
use super::edits::reading_text;
use super::solved::SolvedPass;
use super::timing::{Part, Timing};
use super::{App, Arrows};
use crate::coverage::headline;
use crate::drawing::Theme;

/// Where named controls and canvases are: left, top, width, height in points.
pub type Spots = BTreeMap<String, [f32; 4]>;

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
    put("readings", json!(app.readings().word()));
    let find = app.find();
    put(
        "causes",
        json!(match &find.causes {
            super::find::Causes::None => "none",
            super::find::Causes::Working => "working",
            super::find::Causes::Ready(..) => "ready",
            super::find::Causes::Failed(_) => "failed",
        }),
    );
    put(
        "causes_ranked",
        json!(find.ranked.as_ref().map(|ranked| ranked.told.seen.len() + ranked.told.fine.len())),
    );
    put("cause_shown", json!(find.shown.is_some()));
    if let super::fit::Readings::Fitted(fitted) = app.readings() {
        put("readings_values", json!(fitted.lines.len()));
        put("readings_left_out", json!(fitted.lines.iter().filter(|line| !line.counted).count()));
    }
    let desk = &app.desk;
    put("desk", json!(if desk.open { desk.page.name() } else { "closed" }));
    for kind in StudyKind::ALL {
        let word = match desk.run(kind) {
            Run::Working(..) => "working",
            Run::Stopped(_) => "stopped",
            Run::Failed(..) => "failed",
            Run::Idle if desk.found_key(kind).is_none() => "none",
            Run::Idle if app.is_stale(kind) => "of before",
            Run::Idle => "ready",
        };
        put(&format!("study:{}", kind.word()), json!(word));
    }
    put("desk_said", json!(app.desk_said().join(" | ")));
    put("map", json!(app.views.map));
    put("map_front", json!(app.views.map_front));
    put("column_front", json!(app.views.column_front));
    put("map_from_a", json!(app.views.from_a && app.map_against().is_some()));
    put("scales_held", json!(app.views.scales_held));
    put("map_scale", json!(app.map_scale(app.views.quantity)));
    put("pressure_scale_pa", json!(app.pressure_scale_pa()));
    put("nose_m", json!((app.playback.position_m() * 1e4).round() / 1e4));
    put("full_screen", json!(app.views.full_screen));
    put("forces", json!(app.views.arrows == Arrows::Shown));
    put("camera", json!(format!("{:?}", app.camera.mode()).to_lowercase()));
    put("after", json!(app.playback.mark_before().map(|mark| &mark.name)));
    put("large_type", json!(app.views.large));
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
    put("search", json!(app.views.search));
    put("settings_found", json!(app.settings_found().len()));
    put(
        "changed",
        json!(app.changed().iter().map(crate::report::Turned::text).collect::<Vec<_>>().join(" | ")),
    );
    put("chosen", json!(app.chosen()));
    put("refused", json!(app.refused().map(|refused| &refused.text)));
    put("file_trouble", json!(app.file_trouble()));
    put("solve_trouble", json!(app.solve_trouble()));
    put("told", json!(app.told()));
    put("spot", json!(app.spot()));
    if let Some(pass) = app.shown() {
        put("shown_edits", json!(pass.edits.len()));
        put("conveyor_m_s", json!(pass.setup.conveyor_speed_m_s));
        put("fine", json!(pass.is_fine()));
        if !timing.drag.path.is_empty() {
            put("drag:shown", json!(shown_value(pass, &timing.drag.path)));
        }
        put("verdict", json!(headline(&pass.outcome.verdicts).map(|(verdict, _)| verdict.name())));
        put("gaps", json!(pass.outcome.gaps.len()));
        for unit in crate::pass::instant(&pass.setup, &pass.record, app.t_s()) {
            let swing = (unit.phi_rad.to_degrees() * 100.0).round() / 100.0;
            put(&format!("swing_deg:{}", unit.side.name()), json!(swing));
        }
    }
    for part in Part::ALL {
        put(&format!("ms:{}", part.name()), json!(timing.median_ms(part)));
    }
    put("pictures_timed", json!(timing.count(Part::OneCore)));
    let drag = &timing.drag;
    put("drag:path", json!(drag.path));
    put("drag:held", json!(drag.held));
    put("drag:moves", json!(drag.moves));
    put("drag:asked", json!(drag.asked));
    put("drag:applied", json!(drag.applied));
    put("drag:refused", json!(drag.refused));
    put("drag:pictures", json!(drag.pictures));
    put("drag:frames", json!(drag.frames));
    put("drag:frames_per_s", json!(drag.frames_per_s().map(|rate| (rate * 10.0).round() / 10.0)));
    put("drag:last", json!(drag.last_asked));
    put("lesson", json!(app.lesson().map(|run| run.state.progress())));
    if let Some(run) = app.lesson() {
        put("lesson_heading", json!(run.texts.heading));
        put("lesson_caption", json!(run.texts.caption));
        put("lesson_waiting", json!(run.waiting));
        put("lesson_answer_shown", json!(run.state.answer_shown()));
    }
    let present = &app.present;
    put("present", json!(present.on));
    put("two_plans", json!(present.two_plans));
    put("recap", json!(present.recap));
    put("speed", json!(app.playback.speed()));
    if present.on {
        let banner = app.banner();
        put("banner_turned", json!(banner.as_ref().map(|banner| &banner.turned)));
        put("banner_did", json!(banner.as_ref().map(super::present::Banner::did)));
        put("letters_smallest", json!(present.letters.smallest));
        put("letters_cut", json!(present.letters.cut.join(" | ")));
        put("banner_names", json!(banner.as_ref().map(|banner| &banner.names)));
    }
    for (name, [x, y, w, h]) in spots {
        put(&format!("at:{name}"), json!(format!("{x:.0} {y:.0} {w:.0} {h:.0}")));
    }
    serde_json::to_string_pretty(&map).map_or_else(|_| String::new(), |text| text + "\n")
}

/// The value of a setting in a solved pass, as written.
fn shown_value(pass: &SolvedPass, path: &str) -> Option<String> {
    let setting = pass.scenario.setting(path).ok()?;
    setting.read(&pass.scenario).map(|reading| reading_text(&reading))
}
