//! Pinned set-ups A, B and C: frozen with their solved passes, to be compared with the one being changed.

use std::sync::Arc;

use crate::drawing::{Role, SeriesStyle};

/// A place for a pinned set-up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Slot {
    /// A.
    A,
    /// B.
    B,
    /// C.
    C,
}

impl Slot {
    /// All slots in order.
    pub const ALL: [Slot; 3] = [Slot::A, Slot::B, Slot::C];

    /// Its letter.
    pub const fn letter(self) -> &'static str {
        match self {
            Slot::A => "A",
            Slot::B => "B",
            Slot::C => "C",
        }
    }

    /// Colour role.
    pub const fn role(self) -> Role {
        match self {
            Slot::A => Role::SetupA,
            Slot::B => Role::SetupB,
            Slot::C => Role::SetupC,
        }
    }

    /// Colour, dash and marker of its lines.
    pub const fn style(self) -> SeriesStyle {
        self.role().style()
    }
}

/// A pinned set-up: what it is called and what was solved for it, as one.
#[derive(Debug)]
pub struct Pin<T> {
    /// What makes it different, in words: «lower bearing 1/8 in to wall».
    pub name: String,
    /// The set-up with its pass.
    pub record: Arc<T>,
}

impl<T> Clone for Pin<T> {
    fn clone(&self) -> Pin<T> {
        Pin { name: self.name.clone(), record: Arc::clone(&self.record) }
    }
}

/// The three slots.
#[derive(Debug)]
pub struct Pins<T> {
    slots: [Option<Pin<T>>; 3],
}

impl<T> Default for Pins<T> {
    fn default() -> Pins<T> {
        Pins { slots: [None, None, None] }
    }
}

impl<T> Pins<T> {
    /// Pins into a slot; what was there is given back.
    pub fn pin(&mut self, slot: Slot, name: impl Into<String>, record: Arc<T>) -> Option<Pin<T>> {
        self.slots[slot as usize].replace(Pin { name: name.into(), record })
    }

    /// Empties a slot.
    pub fn unpin(&mut self, slot: Slot) -> Option<Pin<T>> {
        self.slots[slot as usize].take()
    }

    /// Empties all slots.
    pub fn clear(&mut self) {
        self.slots = [None, None, None];
    }

    /// What is in a slot.
    pub const fn get(&self, slot: Slot) -> Option<&Pin<T>> {
        self.slots[slot as usize].as_ref()
    }

    /// The first empty slot.
    pub fn free(&self) -> Option<Slot> {
        Slot::ALL.into_iter().find(|slot| self.get(*slot).is_none())
    }

    /// The pinned ones in order.
    pub fn iter(&self) -> impl Iterator<Item = (Slot, &Pin<T>)> {
        Slot::ALL.into_iter().filter_map(|slot| Some((slot, self.get(slot)?)))
    }

    /// Whether nothing is pinned.
    pub fn is_empty(&self) -> bool {
        self.iter().next().is_none()
    }
}

/// One row of a difference table: a quantity over the set-ups, as it is to be shown.
#[derive(Debug, Clone, PartialEq)]
pub struct Difference {
    /// What is compared: «tail gap».
    pub name: String,
    /// One value for each set-up, the reference first; `None` where there is none.
    pub values: Vec<Option<f64>>,
    /// The smallest difference that matters, in the same unit as the values; not negative.
    pub matters_from: f64,
}

impl Difference {
    /// The difference of each set-up from the reference (the first), `None` where either is missing.
    pub fn changes(&self) -> Vec<Option<f64>> {
        let reference = self.values.first().copied().flatten();
        self.values.iter().map(|value| Some((*value)? - reference?)).collect()
    }

    /// Whether any set-up differs from the reference by something that matters, or is missing where it is not.
    pub fn differs(&self) -> bool {
        let reference = self.values.first().copied().flatten();
        self.values.iter().any(|value| match (value, reference) {
            (Some(value), Some(reference)) => {
                (value - reference).abs() >= self.matters_from.max(f64::MIN_POSITIVE)
            }
            (None, None) => false,
            _ => true,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_slots_fill_in_order_and_give_back() {
        let mut pins = Pins::default();
        for (slot, value) in Slot::ALL.into_iter().zip(10..) {
            assert_eq!(pins.free(), Some(slot));
            assert!(pins.pin(slot, slot.letter(), Arc::new(value)).is_none());
        }
        assert_eq!(pins.free(), None);
        let old = pins.pin(Slot::B, "again", Arc::new(99)).expect("B was taken");
        assert_eq!((*old.record, old.name.as_str()), (11, "B"));
        let seen: Vec<(Slot, i32)> = pins.iter().map(|(slot, pin)| (slot, *pin.record)).collect();
        assert_eq!(seen, [(Slot::A, 10), (Slot::B, 99), (Slot::C, 12)]);
        pins.unpin(Slot::A);
        assert_eq!(pins.free(), Some(Slot::A));
        pins.clear();
        assert!(pins.is_empty());
    }

    #[test]
    fn verif_a_pin_keeps_its_record_while_others_go_on() {
        let record = Arc::new(vec![1, 2, 3]);
        let mut pins = Pins::default();
        pins.pin(Slot::A, "first", Arc::clone(&record));
        drop(record);
        assert_eq!(pins.get(Slot::A).map(|pin| pin.record.len()), Some(3));
    }

    #[test]
    fn verif_differences_are_from_the_first() {
        let row = |values: &[Option<f64>]| Difference {
            name: "tail gap".into(),
            values: values.to_vec(),
            matters_from: 0.5,
        };
        let gap = row(&[Some(4.0), Some(4.2), Some(1.0), None]);
        assert_eq!(gap.changes()[2..], [Some(-3.0), None]);
        assert!(gap.differs());
        assert!(!row(&[Some(4.0), Some(4.2)]).differs());
        assert!(row(&[Some(4.0), None]).differs());
        assert!(!row(&[None, None]).differs());
        let exact = Difference { matters_from: 0.0, ..row(&[Some(4.0), Some(4.0)]) };
        assert!(!exact.differs());
    }
}
