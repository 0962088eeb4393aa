//! Stacked strips: several quantities over one clock, with named events and a cursor through all of them.

use super::axis::{Axis, Plot, draw_level, draw_upright, level_height, upright_most, upright_ticks, widest};
use super::legend::{Sample, sample_legend};
use super::line::{Limit, Series, draw_content, label_width};
use super::{Chart, MARGIN, Sheet};
use crate::drawing::list::{
    Anchor, Baseline, Dash, DisplayList, Fill, Item, Rect, Stroke, Text, Weight, pos,
};
use crate::drawing::palette::Role;
use crate::drawing::text_width::{ellipsize, text_width};

/// One strip.
#[derive(Debug, Clone, PartialEq)]
pub struct Strip {
    /// Upright axis.
    pub y: Axis,
    /// Lines; series of the same name share one legend entry over all strips.
    pub series: Vec<Series>,
    /// Limits.
    pub limits: Vec<Limit>,
    /// Share of the height, over 0.
    pub weight: f64,
}

impl Strip {
    /// A strip of one share.
    pub const fn new(y: Axis, series: Vec<Series>) -> Strip {
        Strip { y, series, limits: Vec::new(), weight: 1.0 }
    }
}

/// Something that happened at one place of the shared axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// Where on the level axis.
    pub at: f64,
    /// What happened.
    pub name: String,
    /// Key for clicks, if any.
    pub key: Option<String>,
}

/// Stacked strips.
#[derive(Debug, Clone, PartialEq)]
pub struct Strips {
    /// Words and size.
    pub sheet: Sheet,
    /// The shared level axis.
    pub x: Axis,
    /// Strips from the top.
    pub strips: Vec<Strip>,
    /// Events, drawn through all strips.
    pub events: Vec<Event>,
    /// Whether their names stand over the strips; they are always there on hover.
    pub event_names: bool,
    /// Cursor on the level axis.
    pub cursor: Option<f64>,
}

/// Entries of a legend.
type Entries = Vec<(String, Sample)>;

/// Most rows of event names over the strips; names that find no room are numbered and listed at the foot.
const MOST_ROWS: usize = 6;

impl Strips {
    /// Strips without events or cursor.
    pub const fn new(sheet: Sheet, x: Axis, strips: Vec<Strip>) -> Strips {
        Strips { sheet, x, strips, events: Vec::new(), event_names: true, cursor: None }
    }

    /// Draws the strips. The chart's plots are the strips from the top.
    pub fn draw(&self) -> Chart {
        let size = self.sheet.text_size;
        let (mut list, mut top) = self.sheet.open();
        let room = self.sheet.width - 2.0 * MARGIN;
        let (entries, own) = self.legends(room, size);
        if entries.len() > 1 {
            top = sample_legend(&mut list, pos(MARGIN, top), room, size, &entries) + 0.2 * size;
        }
        let values = self.strips.iter().flat_map(|s| &s.series).flat_map(|s| s.points.iter().map(|p| p[0]));
        let x_range = self.x.settled(values, (room / (5.0 * size)).max(2.0) as usize);

        // Tick labels of all strips share one column, so that the clocks line up.
        let guess = self.strip_height(top, self.sheet.height - MARGIN - level_height(&self.x, size));
        let prepared: Vec<_> = self
            .strips
            .iter()
            .map(|strip| {
                let height = guess * strip.weight;
                let values = strip.series.iter().flat_map(|s| s.points.iter().map(|p| p[1]));
                let limits = strip.limits.iter().map(|limit| limit.value);
                let range = strip.y.settled(values.chain(limits), upright_most(height, size).min(5));
                (range, upright_ticks(range, strip.y.steps, height * 0.8, size))
            })
            .collect();
        let left = MARGIN + prepared.iter().map(|(_, t)| widest(t, size)).fold(0.0, f64::max) + 0.6 * size;
        let width = (self.sheet.width - MARGIN - left).max(20.0);
        let across = Plot::new(Rect::new(left, top, width, 1.0), x_range, [0.0, 1.0]);

        let (rows, names) = self.place_events(&across, size);
        let rows = if self.event_names { rows } else { 0 };
        let names_top = top;
        top += rows as f64 * 1.35 * size + if rows > 0 { 0.4 * size } else { 0.0 };
        let listed: Vec<String> = names
            .iter()
            .filter(|n| n.row.is_none() && self.event_names)
            .map(|n| format!("{} {}", n.number, n.event.name))
            .collect();
        let foot = super::wrap(&listed.join("   "), size, Weight::Regular, room);
        let below = foot.len() as f64 * 1.35 * size;
        let bottom = self.sheet.height - MARGIN - level_height(&self.x, size) - below;

        let unit = self.strip_height(top, bottom);
        let (mut plots, mut labels) = (Vec::new(), Vec::new());
        let mut y = top;
        let mut own_at = Vec::new();
        for ((strip, (range, found)), own) in self.strips.iter().zip(&prepared).zip(&own) {
            own_at.push((pos(left + label_width(&strip.y.label(), size) + 1.6 * size, y), own));
            let name = ellipsize(&strip.y.label(), size, Weight::Regular, width);
            let label = Text::new(pos(left, y), size, Role::Ink, name).anchored(Anchor::Start, Baseline::Top);
            labels.push(label.with_halo(Role::Paper));
            y += LABEL_EM * size;
            let area = Rect::new(left, y, width, (unit * strip.weight).max(8.0));
            let plot = Plot::new(area, x_range, *range);
            let last = plots.len() + 1 == self.strips.len();
            draw_level(&mut list, &plot, &self.x, size, last);
            draw_upright(&mut list, &plot, &spread(found, &plot, size), size);
            draw_content(&mut list, &plot, &[], &strip.limits, &strip.series, size);
            plots.push(plot);
            y += area.height + GAP_EM * size;
        }
        let (first, last) = (names_top, plots.last().map_or(top, |p| p.area.bottom()));
        self.draw_events(&mut list, &names, first, last, size);
        labels.into_iter().for_each(|label| {
            list.push(label);
        });
        for (at, own) in own_at {
            if !own.is_empty() {
                // Event lines run behind, not through, the samples.
                let back = Rect::new(at.x - 0.4 * size, at.y - 0.2 * size, row_width(own, size), 1.15 * size);
                list.rect(back, Fill::solid(Role::Paper), None);
                sample_legend(&mut list, at, f64::INFINITY, size, own);
            }
        }
        for (i, line) in foot.iter().enumerate() {
            let at = pos(MARGIN, self.sheet.height - MARGIN - below + (i as f64 + 0.3) * 1.35 * size);
            list.push(Text::new(at, size, Role::Muted, line.clone()).anchored(Anchor::Start, Baseline::Top));
        }
        if let Some(cursor) = self.cursor.filter(|c| across.x.shows(*c)) {
            let x = across.x.at(cursor);
            list.line(pos(x, top), pos(x, last), Stroke::new(2.0, Role::Highlight));
            let tip = vec![pos(x - 6.0, top - 8.0), pos(x + 6.0, top - 8.0), pos(x, top)];
            list.polygon(tip, crate::drawing::list::Fill::solid(Role::Highlight), None);
        }
        Chart { list, plots }
    }

    /// The legend over all strips, and for each strip the entries that stand beside its label: lines that no other strip shows, when there
    /// are several of them and room for them.
    fn legends(&self, room: f64, size: f64) -> (Entries, Vec<Entries>) {
        let entry = |line: &Series| (line.name.clone(), Sample::Line(line.style, true));
        let strips_with =
            |name: &str| self.strips.iter().filter(|s| s.series.iter().any(|line| line.name == name)).count();
        let mut shared: Entries = Vec::new();
        let mut own = Vec::new();
        for strip in &self.strips {
            let alone: Vec<_> =
                strip.series.iter().filter(|line| strips_with(&line.name) == 1).map(entry).collect();
            // Tick labels take some of the room; six characters are more than they need.
            let free = room - 6.0 * size - label_width(&strip.y.label(), size);
            let beside = self.strips.len() > 1 && alone.len() > 1 && row_width(&alone, size) <= free;
            for line in &strip.series {
                let kept = beside && strips_with(&line.name) == 1;
                if !kept && !shared.iter().any(|(name, _)| *name == line.name) {
                    shared.push(entry(line));
                }
            }
            own.push(if beside { alone } else { Vec::new() });
        }
        (shared, own)
    }

    /// Height of one share, page units.
    fn strip_height(&self, top: f64, bottom: f64) -> f64 {
        let size = self.sheet.text_size;
        let count = self.strips.len() as f64;
        let free = bottom - top - count * LABEL_EM * size - (count - 1.0).max(0.0) * GAP_EM * size;
        let weights: f64 = self.strips.iter().map(|strip| strip.weight).sum();
        (free / weights.max(1e-9)).max(8.0)
    }

    /// Gives each event a row for its name (row 0 nearest the strips), or none where no row is free.
    ///
    /// A name may share no place with another name, and no event's line may run through it. Later events are placed
    /// first and so come lower: the names of a crowd rise to the left, like the steps of a stair.
    fn place_events(&self, across: &Plot, size: f64) -> (usize, Vec<Placed<'_>>) {
        let mut order: Vec<&Event> = self.events.iter().filter(|event| across.x.shows(event.at)).collect();
        order.sort_by(|a, b| a.at.total_cmp(&b.at));
        let mut placed: Vec<Placed<'_>> = Vec::new();
        for (index, event) in order.into_iter().enumerate().rev() {
            let width = label_width(&event.name, size) + 0.6 * size;
            let x = across.x.at(event.at);
            // A name near the right edge hangs to the left of its line.
            let hangs_left = x + width > across.area.right();
            let start = if hangs_left { x - width } else { x };
            let span = [start, start + width];
            let free = |row: &usize| {
                placed.iter().all(|other| {
                    let Some(theirs) = other.row else { return true };
                    let names_clear = theirs != *row || span[1] <= other.span[0] || other.span[1] <= span[0];
                    let under_their_line = other.x > span[0] && other.x < span[1] && theirs >= *row;
                    let over_their_name = x > other.span[0] && x < other.span[1] && theirs <= *row;
                    names_clear && !under_their_line && !over_their_name
                })
            };
            let row = (0..MOST_ROWS).find(free);
            placed.push(Placed { event, x, span, hangs_left, row, number: index + 1 });
        }
        placed.reverse();
        let rows = placed.iter().filter_map(|p| p.row).map(|row| row + 1).max().unwrap_or(0);
        let crowded = placed.iter().any(|p| p.row.is_none());
        (if crowded { rows + 1 } else { rows }, placed)
    }

    fn draw_events(&self, list: &mut DisplayList, names: &[Placed<'_>], top: f64, bottom: f64, size: f64) {
        let rows = names.iter().filter_map(|n| n.row).map(|row| row + 1).max().unwrap_or(0);
        let mut numbers_end = f64::NEG_INFINITY;
        for name in names {
            // Row 0 is nearest the strips.
            let level = match name.row {
                Some(row) => rows - 1 - row,
                None => rows,
            };
            let y = top + level as f64 * 1.35 * size;
            let line = Stroke::new(1.2, Role::Muted).dashed(Dash::Dotted);
            let mut inner = DisplayList::new(0.0, 0.0);
            inner.line(pos(name.x, if self.event_names { y } else { top }), pos(name.x, bottom), line);
            let shown = if name.row.is_some() { name.event.name.clone() } else { name.number.to_string() };
            let (at, anchor) = if name.hangs_left {
                (pos(name.x - 0.35 * size, y), Anchor::End)
            } else {
                (pos(name.x + 0.35 * size, y), Anchor::Start)
            };
            let text =
                Text::new(at, size, Role::Ink, shown).anchored(anchor, Baseline::Top).with_halo(Role::Paper);
            let clear = self.event_names && (name.row.is_some() || text.bounds().x > numbers_end);
            if name.row.is_none() && clear {
                numbers_end = text.bounds().right() + 0.2 * size;
            }
            if clear {
                inner.push(text);
            }
            let mut group: Item =
                crate::drawing::list::Shape::Group { clip: None, items: inner.items }.into();
            group.key = name.event.key.clone();
            let unit = if self.x.unit.is_empty() { String::new() } else { format!(" {}", self.x.unit) };
            let at = crate::drawing::ticks::plain(name.event.at, 2);
            group.tip = Some(format!("{} at {at}{unit}", name.event.name));
            list.push(group);
        }
    }
}

/// Width of a legend in one row.
fn row_width(entries: &[(String, Sample)], size: f64) -> f64 {
    entries.iter().map(|(name, _)| 4.4 * size + text_width(name, size, Weight::Regular)).sum()
}

/// Height of a strip's own label, in text sizes.
const LABEL_EM: f64 = 1.25;
/// Free height between strips, in text sizes.
const GAP_EM: f64 = 0.9;

struct Placed<'a> {
    event: &'a Event,
    x: f64,
    span: [f64; 2],
    hangs_left: bool,
    row: Option<usize>,
    number: usize,
}

/// The ticks whose labels keep clear of one another in a strip of this height.
fn spread(found: &[crate::drawing::ticks::Tick], plot: &Plot, size: f64) -> Vec<crate::drawing::ticks::Tick> {
    let mut keep = 1;
    while keep < found.len() && found.len() > 1 {
        let step = (plot.y.at(found[0].value) - plot.y.at(found[1].value)).abs() * keep as f64;
        if step >= 1.25 * size {
            break;
        }
        keep += 1;
    }
    found.iter().step_by(keep).cloned().collect()
}
