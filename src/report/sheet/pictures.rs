//! The still pictures of the sheet: the plan view at the key instant and the unrolled map, each drawn for a phone, for print and for
//! a desk, so that no letter is ever smaller than it should be. Their words are put into the language of the sheet.

use super::numbers;
use super::request::SheetRequest;
use super::words::{Words, fill};
use super::{Picture, criteria};
use crate::coverage::Solved;
use crate::drawing::list::{Item, Shape, Text};
use crate::drawing::plan_view::{Ghost, PlanOptions, PlanScene, PlanShow, plan_view};
use crate::drawing::text_width::ellipsize;
use crate::drawing::unrolled::{UnrolledOptions, unrolled_map};
use crate::drawing::{DisplayList, Role};

/// Size of the letters, page units: a little over the smallest allowed, for pictures that are drawn a little smaller than they are.
const TEXT: f64 = 11.3;
/// Sizes of the plan view: phone, print, desk.
const PLAN: [(f64, f64); 3] = [(352.0, 250.0), (290.0, 214.0), (440.0, 312.0)];
/// Sizes of the map.
const MAP: [(f64, f64); 3] = [(352.0, 250.0), (420.0, 214.0), (556.0, 312.0)];
/// The set-up found, as a ghost; a colour that no unit and no washing has.
pub(super) const GHOST: Role = Role::Series(3);

pub(super) fn pictures(request: &SheetRequest<'_>, still_s: f64, words: &Words) -> Vec<Picture> {
    let pass = request.left.pass;
    let scene = PlanScene { solved: pass, t_s: still_s };
    vec![plan(request, &scene, pass, words), map(request, &scene, words)]
}

/// Event nearest to an instant: its name and unit.
fn nearest_event(pass: &Solved, t_s: f64, words: &Words) -> (String, &'static str) {
    let events = pass.outcome.units.iter().flat_map(|u| u.events.iter().map(move |e| (u.side, e)));
    let nearest = events.min_by(|a, b| (a.1.time_s - t_s).abs().total_cmp(&(b.1.time_s - t_s).abs()));
    nearest.map_or_else(Default::default, |(side, event)| {
        (words.term(event.name.name()).to_owned(), criteria::side(side, words))
    })
}

fn picture(
    sizes: [(f64, f64); 3],
    caption: String,
    words: &Words,
    draw: impl Fn(f64, f64) -> DisplayList,
) -> Picture {
    let [phone, print, desk] = sizes.map(|(width, height)| {
        let mut list = draw(width, height);
        list.title.clone_from(&caption);
        list.description.clear();
        list.items.iter_mut().for_each(|item| say(item, words));
        list
    });
    Picture { phone, print, desk, caption }
}

fn plan(request: &SheetRequest<'_>, scene: &PlanScene<'_>, pass: &Solved, words: &Words) -> Picture {
    let found = request.found.map(|f| f.pass);
    let ghosts: Vec<Ghost<'_>> =
        found.iter().map(|f| Ghost { name: words.as_found, role: GHOST, solved: f }).collect();
    let (event, unit) = nearest_event(pass, scene.t_s, words);
    let mut caption = fill(words.plan_caption, &[&event, unit, &numbers::time(scene.t_s)]);
    if found.is_some() {
        caption.push(' ');
        caption.push_str(words.ghost_caption);
    }
    picture(PLAN, caption, words, |width, height| {
        let mut options = PlanOptions::new(width, height, request.units);
        options.text_size = TEXT;
        options.show =
            PlanShow { labels: false, legend: false, struts: false, looks: false, ..PlanShow::default() };
        plan_view(scene, &ghosts, &options)
    })
}

fn map(request: &SheetRequest<'_>, scene: &PlanScene<'_>, words: &Words) -> Picture {
    picture(MAP, words.map_caption.to_owned(), words, |width, height| {
        let mut options = UnrolledOptions::new(width, height, request.units);
        options.text_size = TEXT;
        options.cursor = false;
        unrolled_map(scene, &options).list
    })
}

/// Puts the words of an item into the language of the sheet and drops what only a screen with a pointer shows.
pub(super) fn say(item: &mut Item, words: &Words) {
    item.tip = None;
    item.key = None;
    match &mut item.shape {
        Shape::Group { items, .. } => items.iter_mut().for_each(|item| say(item, words)),
        Shape::Text(text) => translate(text, words),
        _ => {}
    }
}

/// A text of a picture in the language of the sheet: looked up whole, or by the words around its number. A translation that is longer than
/// the text it replaces is cut where it would run into its neighbour.
fn translate(text: &mut Text, words: &Words) {
    let width = text.width();
    let said = translated(&text.text, words);
    if said != text.text {
        // One that was cut already fills its room.
        let room = if text.text.ends_with('…') { width } else { SHORT_WORD.max(1.4 * width) };
        text.text = ellipsize(&said, text.size, text.weight, room);
    }
}

/// A word up to this wide need not be cut, page units.
const SHORT_WORD: f64 = 56.0;

/// Words that stand before or after a number in pictures.
const AROUND: [&str; 6] = ["gap up to ", "gap ", "asked ", "height, ", " washed", "contact pressure, "];

fn translated(text: &str, words: &Words) -> String {
    // Some words have a shorter form where there is little room.
    let short = format!("picture: {text}");
    let shorter = words.term(&short);
    if shorter != short {
        return shorter.to_owned();
    }
    if words.terms.iter().any(|(own, _)| *own == text) {
        return words.term(text).to_owned();
    }
    // «47.81 s · nose at 27 ft 6.7 in», «left side · 100 % washed».
    if let Some((before, after)) = text.split_once(" · ") {
        let after = match after.strip_prefix("nose at ") {
            Some(place) => format!("{} {place}", words.nose_at.to_lowercase()),
            None => translated(after, words),
        };
        return format!("{} · {after}", translated(before, words));
    }
    for around in AROUND {
        let term = words.term(around);
        if let Some(number) = text.strip_prefix(around) {
            return format!("{term}{number}");
        }
        if let Some(number) = text.strip_suffix(around) {
            return format!("{number}{term}");
        }
    }
    // The line under the map, which may have been cut short.
    match text.split_once(" from the middle") {
        Some((unit, _)) => format!(
            "{unit} {}",
            words.term("from the middle of nose and tail, and from the nose along the sides")
        ),
        None => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::translated;
    use crate::report::sheet::words::Language;

    #[test]
    fn verif_texts_of_pictures_are_translated_around_their_numbers() {
        let spanish = Language::Spanish.words();
        assert_eq!(translated("left side · 100 % washed", spanish), "lado izq. · 100 % lavado");
        assert_eq!(translated("gap up to 7.8 in", spanish), "hueco hasta 7.8 in");
        assert_eq!(translated("47.81 s · nose at 27 ft 6.7 in", spanish), "47.81 s · frente en 27 ft 6.7 in");
        assert_eq!(translated("5 ft", spanish), "5 ft");
        let english = Language::English.words();
        for text in ["left side · 100 % washed", "gap up to 7.8 in", "asked 9", "height, in", "travel"] {
            assert_eq!(translated(text, english), text);
        }
    }
}
