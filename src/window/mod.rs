//! The live window. The only place with graphics code and with 32-bit floats.
//!
//! The parts from the screen inwards:
//! - [`backend`]: opens the window and runs frames; panels, text and pictures all go through egui;
//! - [`input`], `mesh`: what the window sends to egui, and how egui's triangles reach the graphics card;
//! - [`desktop`]: wakes the sleeping window from other threads, switches to full screen, says whether there is a display; `drops`: files dropped on it;
//! - [`paint`], [`look`]: draws a [`crate::drawing::DisplayList`]; fonts and colours of the panels;
//! - [`capture`]: a picture of the window as PNG.
//!
//! When nothing moves, no frame is drawn: the window sleeps until the next event, timer or wake.
//!
//! The rest is plain state that needs no window and is tested without one:
//! [`playback`] (time), [`undo`], [`pins`] (set-ups A, B, C), [`lesson_state`], [`solver`] (background solving),
//! [`reload`] (file watching), [`start`] (what the start page offers), [`recent`] (files opened lately), [`view2d`] (pan, zoom, follow), [`keys`] (shortcuts and their help).

pub mod app;
pub mod backend;
pub mod capture;
pub mod desktop;
mod drops;
mod error;
pub mod input;
pub mod keys;
pub mod lesson_state;
pub mod look;
mod mesh;
pub mod paint;
pub mod pins;
pub mod playback;
pub mod recent;
pub mod reload;
pub mod screen;
pub mod solver;
pub mod start;
pub mod undo;
pub mod view2d;

pub use backend::{Clock, Requests, Screen, WindowOptions, open};
pub use desktop::Waker;
pub use egui::Ui;
pub use error::WindowError;
