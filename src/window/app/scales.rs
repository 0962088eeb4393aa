//! What the colours of the map and of the contact pressure mean. Held, the same colour is the same number before and after a change, now and in what
//! is pinned; let go, they follow what is shown.

use std::sync::Arc;

use super::App;
use super::command::Effect;
use super::solved::SolvedPass;
use crate::drawing::unrolled::{MapQuantity, full_scale};
use crate::window::pins::Slot;

impl App {
    /// Holds the scales of what is shown from now on, or lets them go.
    pub(super) fn hold_scales(&mut self, on: bool) -> Vec<Effect> {
        self.views.scales_held = on;
        if on {
            self.scaled_by = self.shown().cloned();
        }
        Vec::new()
    }

    /// A fresh pass is shown: it gives the scales where none does yet.
    pub(super) fn scale_by(&mut self, pass: &Arc<SolvedPass>) {
        if self.scaled_by.is_none() {
            self.scaled_by = Some(Arc::clone(pass));
        }
    }

    /// The pass that the scales are read from.
    fn scaling(&self) -> Option<&Arc<SolvedPass>> {
        if self.views.scales_held { self.scaled_by.as_ref() } else { self.shown() }
    }

    /// Full scale of the contact pressure, Pa.
    pub fn pressure_scale_pa(&self) -> Option<f64> {
        self.scaling().map(|pass| pass.pressure_scale_pa)
    }

    /// Full scale of the map in the unit its quantity is shown in.
    pub fn map_scale(&self, quantity: MapQuantity) -> Option<f64> {
        self.scaling().map(|pass| full_scale(&pass.scene(0.0), quantity, self.units))
    }

    /// What the map holds what is shown against: A, where it is another set-up on the same outline.
    pub fn map_against(&self) -> Option<Arc<SolvedPass>> {
        let (now, a) = (self.shown()?, &self.pins.get(Slot::A)?.record);
        let alike = crate::drawing::unrolled::comparable(&now.solved, &a.solved);
        (!Arc::ptr_eq(now, a) && alike).then(|| Arc::clone(a))
    }
}
