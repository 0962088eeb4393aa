//! The display list and its SVG: exact text kept in `tests/snapshots`, and the width table held against the font file.

use brusharm::drawing::list::MIN_TEXT_SIZE;
use brusharm::drawing::svg::svg;
use brusharm::drawing::text_width::{UNITS_PER_EM, advance_units, known_non_ascii};
use brusharm::drawing::{
    Anchor, Baseline, Dash, DisplayList, Fill, Hatch, HatchKind, Item, Marker, Paint, Rect, Role,
    SeriesStyle, Shape, Stroke, Text, Theme, Weight, pos,
};

/// When the environment variable `PICTURE_DIR` names a folder, the picture is also left there to be looked at.
fn leave(name: &str, list: &DisplayList) {
    if let Some(folder) = std::env::var_os("PICTURE_DIR") {
        for (theme, word) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
            let path = std::path::Path::new(&folder).join(format!("{name}-{word}.svg"));
            std::fs::write(path, svg(list, theme)).expect("the picture folder can be written");
        }
    }
}

/// One of everything the list can hold.
fn gallery() -> DisplayList {
    let mut list = DisplayList::new(640.0, 360.0);
    list.title = "One of everything".into();
    list.description = "Lines, arcs, areas, hatches, markers & text <all kinds>.".into();
    let dashes = [Dash::Solid, Dash::Dashed, Dash::Dotted, Dash::DashDot, Dash::Long, Dash::DashDotDot];
    for (i, dash) in dashes.into_iter().enumerate() {
        let y = 20.0 + 14.0 * i as f64;
        list.line(pos(20.0, y), pos(180.0, y), Stroke::new(2.0, Role::Ink).dashed(dash));
    }
    for i in 0..8 {
        let (style, x) = (SeriesStyle::nth(i), 30.0 + 20.0 * i as f64);
        list.mark(pos(x, 120.0), style.marker, 12.0, style.role).tip = Some(format!("marker {i}"));
    }
    list.push(Shape::Arc {
        centre: pos(240.0, 70.0),
        radius: 40.0,
        start_rad: -0.4,
        sweep_rad: 4.4,
        stroke: Stroke::new(3.0, Role::LeftUnit).round(),
    });
    list.circle(
        pos(330.0, 70.0),
        40.0,
        Fill::solid(Role::Vehicle).with_hatch(Hatch::new(HatchKind::Dots, 7.0, Role::Muted)),
        Some(Stroke::new(1.5, Role::VehicleEdge)),
    );
    let kinds = [
        HatchKind::Rising,
        HatchKind::Falling,
        HatchKind::Cross,
        HatchKind::Level,
        HatchKind::Upright,
        HatchKind::Dots,
    ];
    for (i, kind) in kinds.into_iter().enumerate() {
        let area = Rect::new(20.0 + 64.0 * i as f64, 145.0, 54.0, 40.0);
        list.rect(area, Fill::hatch(Hatch::new(kind, 6.0, Role::Ink)), Some(Stroke::new(1.0, Role::Ink)));
    }
    let notch =
        [(420.0, 30.0), (520.0, 30.0), (520.0, 110.0), (470.0, 60.0), (420.0, 110.0)].map(|(x, y)| pos(x, y));
    list.polygon(
        notch.to_vec(),
        Fill::solid(Role::Washed.faint(0.3)),
        Some(Stroke::new(2.0, Role::Washed)),
    )
    .key = Some("notch".into());
    list.arrow(pos(540.0, 110.0), pos(620.0, 40.0), Stroke::new(2.5, Role::Force));
    for i in 0..64 {
        let area = Rect::new(20.0 + 9.0 * f64::from(i), 200.0, 9.5, 24.0);
        list.rect(area, Fill::solid(Paint::scale(f64::from(i) / 63.0)), None);
    }
    let mut inner = DisplayList::new(0.0, 0.0);
    inner.circle(pos(20.0, 245.0), 60.0, Fill::solid(Role::Friction.faint(0.5)), None);
    list.clipped(Rect::new(20.0, 240.0, 90.0, 50.0), inner.items);
    list.line(pos(300.0, 235.0), pos(300.0, 340.0), Stroke::new(1.0, Role::Grid));
    for (i, (anchor, word)) in
        [(Anchor::Start, "start"), (Anchor::Middle, "middle"), (Anchor::End, "end")].into_iter().enumerate()
    {
        let at = pos(300.0, 250.0 + 18.0 * i as f64);
        list.push(
            Text::new(at, 13.0, Role::Ink, format!("{word} −1/8 in ⅜ φ")).anchored(anchor, Baseline::Middle),
        );
    }
    list.line(pos(150.0, 320.0), pos(620.0, 320.0), Stroke::new(1.0, Role::Grid));
    let heights = [Baseline::Alphabetic, Baseline::Middle, Baseline::Top, Baseline::Bottom];
    for (i, baseline) in heights.into_iter().enumerate() {
        let at = pos(160.0 + 120.0 * i as f64, 320.0);
        let text =
            Text::new(at, 15.0, Role::Ink, format!("Hxgq {baseline:?}")).anchored(Anchor::Start, baseline);
        list.push(if i % 2 == 1 { text.bold() } else { text });
    }
    let turned = Text::new(pos(622.0, 255.0), 13.0, Role::Muted, "turned a quarter")
        .anchored(Anchor::Middle, Baseline::Middle)
        .rotated(-std::f64::consts::FRAC_PI_2);
    list.push(turned);
    list.push(Text::new(pos(450.0, 270.0), 20.0, Role::Warn, "halo").bold().with_halo(Role::Paper));
    list
}

#[test]
fn regress_gallery_svg() {
    let list = gallery();
    leave("gallery", &list);
    insta::assert_snapshot!("gallery_light", svg(&list, Theme::Light));
    assert_eq!(svg(&list, Theme::Dark), svg(&list, Theme::Dark));
    assert_ne!(svg(&list, Theme::Dark), svg(&list, Theme::Light), "the theme shows");
}

#[test]
fn verif_hover_finds_the_topmost_item() {
    let list = gallery();
    assert_eq!(list.at(pos(470.0, 50.0), 0.0).and_then(|item| item.key.as_deref()), Some("notch"));
    // In the notch, outside the area: nothing.
    assert_eq!(list.at(pos(470.0, 90.0), 2.0), None);
    assert_eq!(list.at(pos(31.0, 121.0), 0.0).and_then(|item| item.tip.as_deref()), Some("marker 0"));
}

#[test]
fn verif_placing_moves_every_kind_of_item() {
    let list = gallery();
    let mut moved = DisplayList::new(900.0, 600.0);
    moved.place(&list, pos(100.0, 50.0));
    let mut back = DisplayList::new(640.0, 360.0);
    back.place(&moved, pos(-100.0, -50.0));
    (back.title, back.description) = (list.title.clone(), list.description.clone());
    assert_eq!(svg(&back, Theme::Light), svg(&list, Theme::Light));
    assert_ne!(moved.items[0], list.items[0]);
}

#[test]
fn verif_texts_keep_the_smallest_size() {
    let texts_seen = gallery().texts().len();
    assert!(texts_seen >= 9);
    assert!(gallery().texts().iter().all(|text| text.size >= MIN_TEXT_SIZE));
}

#[test]
fn verif_keys_survive_as_data() {
    let mut list = DisplayList::new(10.0, 10.0);
    list.push(Item::from(Text::new(pos(0.0, 9.0), 11.0, Role::Ink, "<&>")).keyed("a\"b").tipped("x<y"));
    let text = svg(&list, Theme::Light);
    assert!(text.contains("<g data-key=\"a&quot;b\"><title>x&lt;y</title>"), "{text}");
    assert!(text.contains(">&lt;&amp;&gt;</text>"), "{text}");
}

/// Big-endian fields of a font file (ISO/IEC 14496-22, «Open Font Format»).
struct Font<'a>(&'a [u8]);

impl Font<'_> {
    fn u16(&self, at: usize) -> usize {
        usize::from(u16::from_be_bytes([self.0[at], self.0[at + 1]]))
    }

    fn u32(&self, at: usize) -> usize {
        self.u16(at) << 16 | self.u16(at + 2)
    }

    fn table(&self, tag: &[u8; 4]) -> usize {
        let count = self.u16(4);
        let record = (0..count).map(|i| 12 + 16 * i).find(|at| &self.0[*at..*at + 4] == tag);
        self.u32(record.expect("the font has the table") + 8)
    }

    /// Glyph of a character in the segment mapping (cmap format 4).
    fn glyph(&self, code: usize) -> usize {
        let cmap = self.table(b"cmap");
        let subtables = self.u16(cmap + 2);
        let at = (0..subtables)
            .map(|i| cmap + self.u32(cmap + 4 + 8 * i + 4))
            .find(|at| self.u16(*at) == 4)
            .expect("the font has a format 4 mapping");
        let doubled = self.u16(at + 6);
        let (ends, starts) = (at + 14, at + 16 + doubled);
        let (deltas, offsets) = (starts + doubled, starts + 2 * doubled);
        let segment = (0..doubled).step_by(2).find(|s| self.u16(ends + s) >= code).expect("a last segment");
        if self.u16(starts + segment) > code {
            return 0;
        }
        let offset = self.u16(offsets + segment);
        let delta = self.u16(deltas + segment);
        if offset == 0 {
            return (code + delta) & 0xffff;
        }
        match self.u16(offsets + segment + offset + 2 * (code - self.u16(starts + segment))) {
            0 => 0,
            glyph => (glyph + delta) & 0xffff,
        }
    }

    fn advance(&self, glyph: usize) -> usize {
        let long = self.u16(self.table(b"hhea") + 34);
        self.u16(self.table(b"hmtx") + 4 * glyph.min(long - 1))
    }
}

#[test]
fn val_width_table_is_the_fonts_own() {
    // Reference: the `hmtx` tables of Inter 3.019 as shipped in assets/ (read here by the layout of ISO/IEC 14496-22).
    let faces: [(&[u8], Weight); 2] = [
        (include_bytes!("../assets/Inter-Regular.otf"), Weight::Regular),
        (include_bytes!("../assets/Inter-SemiBold.otf"), Weight::Bold),
    ];
    for (bytes, weight) in faces {
        let font = Font(bytes);
        assert_eq!(font.u16(font.table(b"head") + 18) as f64, UNITS_PER_EM);
        let mut checked = 0;
        for c in (' '..='~').chain(known_non_ascii()) {
            let glyph = font.glyph(c as usize);
            assert_ne!(glyph, 0, "the font lacks {c:?}");
            assert_eq!(
                Some(font.advance(glyph)),
                advance_units(c, weight).map(usize::from),
                "{c:?} {weight:?}"
            );
            checked += 1;
        }
        assert!(checked > 150, "{checked}");
    }
}

#[test]
fn verif_markers_draw_in_svg() {
    for marker in [
        Marker::Disc,
        Marker::Square,
        Marker::Up,
        Marker::Down,
        Marker::Diamond,
        Marker::Cross,
        Marker::Plus,
        Marker::Ring,
    ] {
        let mut list = DisplayList::new(20.0, 20.0);
        list.mark(pos(10.0, 10.0), marker, 10.0, Role::Ink);
        let with = svg(&list, Theme::Light);
        list.items.clear();
        assert!(with.len() > svg(&list, Theme::Light).len() + 20, "{marker:?}");
    }
}
