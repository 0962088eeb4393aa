//! What was painted: the smallest letters, and texts that are not seen whole.

use crate::window::app::present::Letters;

/// Looks through everything painted in this frame.
pub(super) fn painted(ctx: &egui::Context) -> Letters {
    let layers: Vec<egui::LayerId> = ctx.memory(|memory| memory.layer_ids().collect());
    let mut found = Letters { smallest: f32::INFINITY, cut: Vec::new() };
    ctx.graphics(|graphics| {
        let background = egui::LayerId::background();
        let others = layers.into_iter().filter(|layer| *layer != background);
        for layer in std::iter::once(background).chain(others) {
            for entry in graphics.get(layer).into_iter().flat_map(|list| list.all_entries()) {
                look(&entry.shape, entry.clip_rect, &mut found);
            }
        }
    });
    if found.smallest.is_infinite() {
        found.smallest = 0.0;
    }
    found
}

fn look(shape: &egui::Shape, clip: egui::Rect, found: &mut Letters) {
    match shape {
        egui::Shape::Vec(shapes) => shapes.iter().for_each(|shape| look(shape, clip, found)),
        egui::Shape::Text(text) if !text.galley.text().trim().is_empty() => {
            let sizes = text.galley.job.sections.iter().map(|section| section.format.font_id.size);
            found.smallest = sizes.fold(found.smallest, f32::min);
            // An edge may be half a pixel out.
            let whole = clip.expand(1.0).contains_rect(text.visual_bounding_rect());
            if (!whole || text.galley.elided) && !found.cut.iter().any(|own| own == text.galley.text()) {
                found.cut.push(text.galley.text().to_owned());
            }
        }
        _ => {}
    }
}
