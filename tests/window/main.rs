//! The window without a window: panels through egui's test harness, and what the canvases hold as SVG.
#![cfg(feature = "window")]

mod bench;
mod desk;
mod looks;
mod panels;
mod pictures;
mod present;
