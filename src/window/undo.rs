//! Undo and redo of changes to a value, one entry for each thing a person did: a drag is one, however many values it
//! went through.

/// The most entries kept.
const MOST: usize = 500;

/// The present value, and what came before and after it.
#[derive(Debug, Clone, PartialEq)]
pub struct History<T> {
    now: T,
    past: Vec<Entry<T>>,
    future: Vec<Entry<T>>,
    /// What the newest entry may still take in: set while a drag goes on.
    open: Option<String>,
    /// Where the vehicle stands, m: what is changed now is changed there.
    place_m: f64,
}

#[derive(Debug, Clone, PartialEq)]
struct Entry<T> {
    /// The value on the other side of the change.
    value: T,
    /// What the change was.
    label: String,
    /// Where the vehicle stood when it was made, m.
    place_m: f64,
}

impl<T: Clone + PartialEq> History<T> {
    /// A history without changes.
    pub const fn new(value: T) -> History<T> {
        History { now: value, past: Vec::new(), future: Vec::new(), open: None, place_m: 0.0 }
    }

    /// The present value.
    pub const fn now(&self) -> &T {
        &self.now
    }

    /// Changes the value in one go. Nothing happens when it is the same.
    pub fn change(&mut self, value: T, label: impl Into<String>) {
        self.open = None;
        self.push(value, label.into());
    }

    /// Changes the value as part of a drag: as long as the label stays the same and [`History::settle`] is not called,
    /// all changes are one entry.
    pub fn drag(&mut self, value: T, label: impl Into<String>) {
        let label = label.into();
        if self.open.as_ref() == Some(&label) {
            self.now = value;
            self.future.clear();
            // Dragged back to where it began: nothing was done.
            if self.past.last().is_some_and(|entry| entry.value == self.now) {
                self.past.pop();
                self.open = None;
            }
        } else if value != self.now {
            self.push(value, label.clone());
            self.open = Some(label);
        }
    }

    /// Ends a drag: the next change is an entry of its own.
    pub fn settle(&mut self) {
        self.open = None;
    }

    /// Says where the vehicle stands, m: the place of the changes that come now.
    pub const fn stand_at(&mut self, place_m: f64) {
        self.place_m = place_m;
    }

    /// Where the vehicle stood, m, when the change was made that was taken back or done again last.
    pub const fn place_m(&self) -> f64 {
        self.place_m
    }

    /// What undo would take back.
    pub fn undo_label(&self) -> Option<&str> {
        self.past.last().map(|entry| entry.label.as_str())
    }

    /// What redo would do again.
    pub fn redo_label(&self) -> Option<&str> {
        self.future.last().map(|entry| entry.label.as_str())
    }

    /// Takes back the last change. `false` when there is none.
    pub fn undo(&mut self) -> bool {
        self.open = None;
        let Some(entry) = self.past.pop() else { return false };
        let value = std::mem::replace(&mut self.now, entry.value);
        self.place_m = entry.place_m;
        self.future.push(Entry { value, ..entry });
        true
    }

    /// Does the last change that was taken back again. `false` when there is none.
    pub fn redo(&mut self) -> bool {
        self.open = None;
        let Some(entry) = self.future.pop() else { return false };
        let value = std::mem::replace(&mut self.now, entry.value);
        self.place_m = entry.place_m;
        self.past.push(Entry { value, ..entry });
        true
    }

    fn push(&mut self, value: T, label: String) {
        if value == self.now {
            return;
        }
        let value = std::mem::replace(&mut self.now, value);
        self.past.push(Entry { value, label, place_m: self.place_m });
        if self.past.len() > MOST {
            self.past.remove(0);
        }
        self.future.clear();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_undo_and_redo_walk_the_changes() {
        let mut h = History::new(1);
        h.change(2, "air +1 psi");
        h.change(3, "pin one hole in");
        h.change(3, "nothing");
        assert_eq!(h.undo_label(), Some("pin one hole in"));
        assert!(h.undo() && *h.now() == 2);
        assert!(h.undo() && *h.now() == 1);
        assert!(!h.undo() && *h.now() == 1);
        assert_eq!(h.redo_label(), Some("air +1 psi"));
        assert!(h.redo() && h.redo() && *h.now() == 3);
        assert!(!h.redo());
    }

    #[test]
    fn verif_a_drag_is_one_entry() {
        let mut h = History::new(0);
        for value in 1..=9 {
            h.drag(value, "bearing offset");
        }
        h.settle();
        h.drag(20, "bearing offset");
        assert!(h.undo() && *h.now() == 9);
        assert!(h.undo() && *h.now() == 0);
        assert!(h.redo() && *h.now() == 9);
    }

    #[test]
    fn verif_a_change_keeps_the_place_where_it_was_made() {
        let mut h = History::new(0);
        h.stand_at(3.0);
        h.drag(1, "air");
        h.stand_at(4.0);
        h.drag(2, "air");
        h.settle();
        h.stand_at(9.0);
        h.change(5, "pin");
        h.stand_at(20.0);
        assert!(h.undo() && h.place_m() == 9.0);
        // A drag is one entry, made where it began.
        assert!(h.undo() && h.place_m() == 3.0);
        assert!(h.redo() && h.place_m() == 3.0);
        assert!(h.redo() && h.place_m() == 9.0);
    }

    #[test]
    fn verif_another_label_ends_the_drag() {
        let mut h = History::new(0);
        h.drag(1, "air");
        h.drag(2, "pin");
        h.drag(3, "pin");
        assert!(h.undo() && *h.now() == 1);
        assert!(h.undo() && *h.now() == 0);
    }

    #[test]
    fn verif_a_drag_back_to_the_start_leaves_no_entry() {
        let mut h = History::new(5);
        h.drag(6, "air");
        h.drag(5, "air");
        assert_eq!(h.undo_label(), None);
        h.drag(7, "air");
        assert!(h.undo() && *h.now() == 5);
    }

    #[test]
    fn verif_a_change_forgets_what_was_taken_back() {
        let mut h = History::new(0);
        h.change(1, "a");
        h.undo();
        h.change(2, "b");
        assert_eq!(h.redo_label(), None);
        assert!(!h.redo() && *h.now() == 2);
    }

    #[test]
    fn verif_the_oldest_entries_go_first() {
        let mut h = History::new(0);
        (1..=MOST as i32 + 50).for_each(|i| h.change(i, "step"));
        let undone = std::iter::from_fn(|| h.undo().then_some(())).count();
        assert_eq!((undone, *h.now()), (MOST, 50));
    }
}
