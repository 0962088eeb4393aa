//! Pictures as plain data.
//!
//! A picture is a [`DisplayList`]: lines, arcs, polygons, text and arrows on a page, in page units (CSS pixels),
//! x to the right and y **down**. It knows no screen and no file. Two back ends draw it: [`svg`] turns it into text,
//! the live window paints it. What the trainer sees is what the sheet prints.
//!
//! - [`list`]: the items and the list itself; [`page`], [`pen`], [`text`]: what they are made of;
//! - [`frame`]: from ground coordinates (metres, y to the left of travel) to the page;
//! - [`palette`]: colours by role, light and dark; colour never carries meaning alone, so every role that means
//!   something also has a line style, a marker or a hatch ([`series_style`], [`grade`]);
//! - [`text_width`]: how wide a text is in the shipped font, so that labels can be kept apart;
//! - [`ticks`]: round numbers for axes, in the units of the trade;
//! - [`plan_view`], [`unrolled`], [`strips`], [`why`], [`picture`]: the pictures of a pass, drawn from its set-up, record and outcome;
//! - [`close_up`]: what was turned, seen close;
//! - [`labels`]: labels that keep off one another;
//! - [`readings`]: readings against the model that was fitted to them;
//! - [`chart`]: line charts, strips over one clock, heat maps, bars, parallel coordinates, small multiples.

pub mod chart;
pub mod close_up;
pub mod frame;
pub mod grade;
mod hatch;
pub mod labels;
pub mod list;
pub mod page;
pub mod palette;
mod path;
pub mod pen;
pub mod picture;
pub mod plan_view;
pub mod readings;
pub mod series_style;
pub mod strips;
pub mod svg;
pub mod text;
pub mod text_width;
pub mod ticks;
pub mod unrolled;
pub mod why;
pub mod words;

pub use frame::Frame;
pub use hatch::{dash_runs, hatch_lines};
pub use list::{
    Anchor, Baseline, Cap, Dash, DisplayList, Fill, Hatch, HatchKind, Item, Marker, Pos, Rect, Shape, Stroke,
    Text, Weight, pos,
};
pub use palette::{Paint, Rgb, Role, Theme};
pub use series_style::SeriesStyle;
