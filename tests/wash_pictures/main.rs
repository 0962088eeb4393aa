//! The pictures of a pass, drawn from real passes of an invented machine: structure, legibility and exact text.

mod demo;
mod looks;
mod page;
mod plan;
mod series;
mod unrolled;

use brusharm::drawing::list::MIN_TEXT_SIZE;
use brusharm::drawing::svg::svg;
use brusharm::drawing::{DisplayList, Item, Theme};

/// When the environment variable `PICTURE_DIR` names a folder, the picture is also left there to be looked at.
fn leave(name: &str, list: &DisplayList) {
    if let Some(folder) = std::env::var_os("PICTURE_DIR") {
        for (theme, word) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
            let path = std::path::Path::new(&folder).join(format!("{name}-{word}.svg"));
            std::fs::write(path, svg(list, theme)).expect("the picture folder can be written");
        }
    }
}

/// No text outside the page, under the least size, or over another one; says how many texts there were.
fn assert_legible(name: &str, list: &DisplayList) -> usize {
    let texts = list.texts();
    let page = list.page();
    for (i, text) in texts.iter().enumerate() {
        assert!(text.size >= MIN_TEXT_SIZE, "{name}: «{}» is too small", text.text);
        assert!(!text.text.is_empty(), "{name}: an empty text");
        let own = text.bounds();
        assert!(
            own.x >= page.x
                && own.y >= page.y
                && own.right() <= page.right()
                && own.bottom() <= page.bottom(),
            "{name}: «{}» leaves the page: {own:?}",
            text.text
        );
        for other in &texts[i + 1..] {
            assert!(
                !own.inset(0.2).overlaps(&other.bounds().inset(0.2)),
                "{name}: «{}» lies over «{}»",
                text.text,
                other.text
            );
        }
    }
    texts.len()
}

/// Keys of all items that have one.
fn keys(list: &DisplayList) -> Vec<String> {
    let mut found = Vec::new();
    list.items.iter().for_each(|item| item.walk(&mut |i: &Item| found.extend(i.key.clone())));
    found
}

/// The item with this key.
fn item<'a>(list: &'a DisplayList, key: &str) -> &'a Item {
    let mut found = None;
    for outer in &list.items {
        outer.walk(&mut |i| {
            if i.key.as_deref() == Some(key) {
                found = Some(i);
            }
        });
    }
    found.unwrap_or_else(|| panic!("no item «{key}»"))
}
