//! Opens the window and runs frames.
//!
//! A [`Screen`] builds each frame with egui; everything seen goes through egui's painter. Between frames the window
//! sleeps: a frame is drawn after an input, when the screen or egui asks for one, or when a [`Waker`] wakes it.

use std::cell::RefCell;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::rc::Rc;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use macroquad::miniquad;
use macroquad::prelude::{clear_background, get_dropped_files, get_screen_data, next_frame};

use super::capture::Pixels;
use super::desktop::{Waker, check_display};
use super::input::Collector;
use super::mesh::{MOST_INDICES, MOST_VERTICES, Painter};
use super::{WindowError, look};
use crate::drawing::{Role, Theme};

/// How the window is opened.
#[derive(Debug, Clone, PartialEq)]
pub struct WindowOptions {
    /// Title.
    pub title: String,
    /// Width in points.
    pub width: u32,
    /// Height in points.
    pub height: u32,
    /// Points to pixels; the desktop's own value when missing.
    pub scale: Option<f32>,
    /// Theme at the start.
    pub theme: Theme,
    /// Whether it starts in full screen.
    pub full_screen: bool,
}

impl Default for WindowOptions {
    fn default() -> WindowOptions {
        WindowOptions {
            title: "brusharm".to_owned(),
            width: 1280,
            height: 800,
            scale: None,
            theme: Theme::Light,
            full_screen: false,
        }
    }
}

/// The time of a frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clock {
    /// Seconds since the window opened.
    pub now_s: f64,
    /// Seconds since the frame before, at most [`Clock::MOST_STEP_S`]: after a sleep the picture must not jump.
    pub step_s: f64,
    /// Movements of the pointer since the frame before.
    pub moves: u32,
    /// The same frame is laid out once more: its events have been taken already.
    pub again: bool,
}

impl Clock {
    /// The longest step that a frame may make, seconds.
    pub const MOST_STEP_S: f64 = 0.1;
}

/// What a frame asks of the window.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Requests {
    /// Close the window.
    pub quit: bool,
    /// Go to full screen, or back.
    pub full_screen: Option<bool>,
    /// Change the theme.
    pub theme: Option<Theme>,
    /// Hand the finished frame's pixels to [`Screen::captured`].
    pub capture: bool,
    /// Draw the next frame at once: something moves.
    pub animate: bool,
    /// Lay this frame out once more before it is drawn: what it shows has just come.
    pub again: bool,
}

/// What the window shows.
pub trait Screen {
    /// Builds one frame. May be called more than once for the same frame when egui wants to lay it out again.
    fn frame(&mut self, ui: &mut egui::Ui, clock: Clock, requests: &mut Requests);

    /// A file was dropped on the window.
    fn dropped(&mut self, path: PathBuf);

    /// The pixels that were asked for.
    fn captured(&mut self, pixels: Pixels);

    /// The frame has become triangles, which took so long.
    fn triangles(&mut self, took: Duration) {
        let _ = took;
    }

    /// The frame is on the screen. How long the driver took can be told only when another frame follows at once.
    fn on_screen(&mut self, took: Option<Duration>) {
        let _ = took;
    }

    /// Nothing is to be done before `until`; something new may end the pause.
    fn pause(&mut self, until: Instant) {
        std::thread::sleep(until.saturating_duration_since(Instant::now()));
    }
}

/// Opens the window and shows `make`'s screen until it is closed.
///
/// `make` gets the waker that background work uses to have a frame drawn.
///
/// # Errors
/// [`WindowError::NoDisplay`] or [`WindowError::CannotOpen`] when no window can be shown here, and
/// [`WindowError::Stopped`] when a fault ended it. It never panics.
pub fn open(
    options: WindowOptions,
    make: impl FnOnce(Waker) -> Box<dyn Screen> + 'static,
) -> Result<(), WindowError> {
    check_display()?;
    let outcome: Rc<RefCell<Option<String>>> = Rc::default();
    let report = Rc::clone(&outcome);
    let quiet = QuietPanics::start();
    let opened = quiet.clone();
    let config = config(&options);
    let run = catch_unwind(AssertUnwindSafe(move || {
        macroquad::Window::from_config(config, async move {
            opened.stop();
            if let Err(reason) = frames(options, make).await {
                *report.borrow_mut() = Some(reason);
            }
        });
    }));
    let was_open = quiet.stopped();
    quiet.stop();
    match (run, outcome.take()) {
        (Ok(()), None) => Ok(()),
        (Ok(()), Some(reason)) => Err(WindowError::CannotOpen { reason }),
        (Err(payload), _) => {
            let text = payload.downcast_ref::<String>().cloned();
            let reason = text
                .or_else(|| payload.downcast_ref::<&str>().map(|text| (*text).to_owned()))
                .unwrap_or_else(|| "no reason was given".to_owned());
            Err(if was_open { WindowError::Stopped { reason } } else { WindowError::CannotOpen { reason } })
        }
    }
}

type PanicHook = Box<dyn Fn(&std::panic::PanicHookInfo<'_>) + Sync + Send + 'static>;

/// Keeps panics off the terminal while the window library opens the window: it panics where it should return an
/// error, and [`open`] turns that into one. Stopped as soon as the window is up.
#[derive(Clone)]
struct QuietPanics {
    before: Arc<Mutex<Option<PanicHook>>>,
}

impl QuietPanics {
    fn start() -> QuietPanics {
        let before = std::panic::take_hook();
        std::panic::set_hook(Box::new(|_| {}));
        QuietPanics { before: Arc::new(Mutex::new(Some(before))) }
    }

    fn stopped(&self) -> bool {
        self.before.lock().is_ok_and(|before| before.is_none())
    }

    /// Puts the hook back that was there before; a second call does nothing.
    fn stop(&self) {
        let before = self.before.lock().ok().and_then(|mut before| before.take());
        if let Some(before) = before {
            std::panic::set_hook(before);
        }
    }
}

fn config(options: &WindowOptions) -> macroquad::conf::Conf {
    macroquad::conf::Conf {
        miniquad_conf: miniquad::conf::Conf {
            window_title: options.title.clone(),
            window_width: options.width as i32,
            window_height: options.height as i32,
            high_dpi: true,
            fullscreen: options.full_screen,
            icon: None,
            platform: miniquad::conf::Platform {
                blocking_event_loop: true,
                linux_wm_class: "brusharm",
                ..miniquad::conf::Platform::default()
            },
            ..miniquad::conf::Conf::default()
        },
        update_on: Some(macroquad::conf::UpdateTrigger {
            key_down: true,
            mouse_down: true,
            mouse_up: true,
            mouse_motion: true,
            mouse_wheel: true,
            specific_key: None,
            touch: true,
        }),
        draw_call_vertex_capacity: MOST_VERTICES,
        draw_call_index_capacity: MOST_INDICES,
        ..macroquad::conf::Conf::default()
    }
}

/// How long a frame lasts at least while something moves: no display needs more than this.
const SHORTEST_FRAME: Duration = Duration::from_micros(7_500);
/// How often a frame is drawn when nothing can wake the window.
const POLL: Duration = Duration::from_millis(40);

async fn frames(options: WindowOptions, make: impl FnOnce(Waker) -> Box<dyn Screen>) -> Result<(), String> {
    let ctx = egui::Context::default();
    look::install(&ctx);
    look::use_theme(&ctx, options.theme);
    ctx.options_mut(|o| o.zoom_with_keyboard = false);
    let mut painter = Painter::new()?;
    let waker = Waker::start(&options.title);
    let drops = super::drops::watch(&options.title, &waker);
    let mut screen = make(waker.clone());
    let mut collector = Collector::new();
    // The window was made in pixels; its size is meant in points.
    let scale = options.scale.unwrap_or_else(miniquad::window::dpi_scale);
    if (scale - 1.0).abs() > 0.01 && !options.full_screen {
        let pixels = |points: u32| (points as f32 * scale).round() as u32;
        miniquad::window::set_window_size(pixels(options.width), pixels(options.height));
    }
    let subscriber = macroquad::input::utils::register_input_subscriber();
    let start = Instant::now();
    let mut last_s = 0.0;
    // When the frame before was handed to the driver, when this one follows at once.
    let mut handed_over: Option<Instant> = None;
    loop {
        let began = Instant::now();
        screen.on_screen(handed_over.take().map(|since| began.saturating_duration_since(since)));
        // Points to pixels of the desktop, or as asked for; macroquad's own units differ from both.
        let desktop_scale = miniquad::window::dpi_scale();
        let pixels_per_point = options.scale.unwrap_or(desktop_scale).clamp(0.5, 8.0);
        collector.set_pixels_per_point(pixels_per_point);
        macroquad::input::utils::repeat_all_miniquad_input(&mut collector, subscriber);
        let own = get_dropped_files().into_iter().filter_map(|file| file.path);
        for path in drops.try_iter().chain(own) {
            screen.dropped(path);
        }
        let now_s = start.elapsed().as_secs_f64();
        let clock = Clock {
            now_s,
            step_s: (now_s - last_s).clamp(0.0, Clock::MOST_STEP_S),
            moves: std::mem::take(&mut collector.moves),
            again: false,
        };
        last_s = now_s;

        let (width, height) = miniquad::window::screen_size();
        let size = egui::vec2(width, height) / pixels_per_point;
        let mut input = egui::RawInput {
            screen_rect: Some(egui::Rect::from_min_size(egui::Pos2::ZERO, size)),
            max_texture_side: Some(4096),
            time: Some(now_s),
            focused: collector.focused,
            events: std::mem::take(&mut collector.events),
            ..egui::RawInput::default()
        };
        let viewport = input.viewports.entry(egui::ViewportId::ROOT).or_default();
        viewport.native_pixels_per_point = Some(pixels_per_point);

        let mut requests = Requests::default();
        let mut stepped = false;
        let mut lay_out = |input: egui::RawInput, requests: &mut Requests| {
            ctx.run_ui(input, |ui| {
                // A second layout of the same frame must not move time again, nor count its events twice.
                let clock =
                    if stepped { Clock { step_s: 0.0, moves: 0, again: true, ..clock } } else { clock };
                stepped = true;
                screen.frame(ui, clock, requests);
            })
        };
        let quiet = egui::RawInput { events: Vec::new(), ..input.clone() };
        let mut output = lay_out(input, &mut requests);
        painter.take_textures(&mut output.textures_delta);
        let mut delay = repaint_delay(&output);
        let mut replaced = egui::TexturesDelta::default();
        if std::mem::take(&mut requests.again) {
            answer(&output.platform_output);
            replaced = std::mem::take(&mut output.textures_delta);
            output = lay_out(quiet, &mut requests);
            painter.take_textures(&mut output.textures_delta);
            delay = delay.min(repaint_delay(&output));
        }
        let laid_out = Instant::now();
        let primitives = ctx.tessellate(std::mem::take(&mut output.shapes), output.pixels_per_point);
        screen.triangles(laid_out.elapsed());
        let theme = if ctx.theme() == egui::Theme::Dark { Theme::Dark } else { Theme::Light };
        let ground = Role::Paper.rgb(theme);
        clear_background(macroquad::color::Color::from_rgba(ground.0, ground.1, ground.2, 255));
        painter.draw(primitives, output.pixels_per_point / desktop_scale, desktop_scale);
        if requests.capture {
            let image = get_screen_data();
            screen.captured(Pixels::from_screen(
                u32::from(image.width),
                u32::from(image.height),
                &image.bytes,
            ));
        }
        painter.free_textures(&mut replaced);
        painter.free_textures(&mut output.textures_delta);
        answer(&output.platform_output);
        if requests.quit {
            return Ok(());
        }
        if let Some(on) = requests.full_screen {
            waker.full_screen(on);
        }
        if let Some(theme) = requests.theme {
            look::use_theme(&ctx, theme);
        }
        let at_once = requests.animate || requests.theme.is_some() || requests.capture || delay.is_zero();
        if at_once {
            screen.pause(began + SHORTEST_FRAME);
            miniquad::window::schedule_update();
            handed_over = Some(Instant::now());
        } else {
            plan_next(began, delay, &waker);
        }
        next_frame().await;
    }
}

/// When egui wants the next frame.
fn repaint_delay(output: &egui::FullOutput) -> Duration {
    output.viewport_output.get(&egui::ViewportId::ROOT).map_or(Duration::MAX, |v| v.repaint_delay)
}

/// Sees to it that the next frame comes when it is wanted, and no sooner.
fn plan_next(began: Instant, delay: Duration, waker: &Waker) {
    if !waker.works() {
        std::thread::sleep(POLL.min(delay).saturating_sub(began.elapsed()));
        miniquad::window::schedule_update();
    } else {
        waker.asleep();
        if delay < Duration::from_secs(3600) {
            waker.wake_at(Instant::now() + delay);
        }
    }
}

/// What egui wants done: pointer shape, clipboard.
fn answer(output: &egui::PlatformOutput) {
    use egui::CursorIcon as E;
    use miniquad::CursorIcon as M;
    let icon = match output.cursor_icon {
        E::Text | E::VerticalText => M::Text,
        E::PointingHand => M::Pointer,
        E::Crosshair | E::Cell => M::Crosshair,
        E::Help => M::Help,
        E::Wait | E::Progress => M::Wait,
        E::Move | E::Grab | E::Grabbing | E::AllScroll => M::Move,
        E::NotAllowed | E::NoDrop => M::NotAllowed,
        E::ResizeHorizontal | E::ResizeEast | E::ResizeWest | E::ResizeColumn => M::EWResize,
        E::ResizeVertical | E::ResizeNorth | E::ResizeSouth | E::ResizeRow => M::NSResize,
        E::ResizeNeSw | E::ResizeNorthEast | E::ResizeSouthWest => M::NESWResize,
        E::ResizeNwSe | E::ResizeNorthWest | E::ResizeSouthEast => M::NWSEResize,
        _ => M::Default,
    };
    miniquad::window::set_mouse_cursor(icon);
    for command in &output.commands {
        if let egui::OutputCommand::CopyText(text) = command {
            miniquad::window::clipboard_set(text);
        }
    }
}
