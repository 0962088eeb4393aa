//! Where a class is in a lesson: which step, and whether the answer has been shown.

/// What a step asks of the class.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum StepKind {
    /// It only shows something.
    #[default]
    Show,
    /// It asks a question, whose answer is shown on demand.
    Ask,
}

/// Position in a lesson.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LessonState {
    steps: Vec<StepKind>,
    at: usize,
    revealed: Vec<bool>,
}

/// What a move did.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Moved {
    /// Another step is shown: set it up.
    Step,
    /// The answer is shown now.
    Answer,
    /// Nothing: it was the last or the first step.
    Nothing,
}

impl LessonState {
    /// At the first step. `None` for a lesson without steps.
    pub fn new(steps: Vec<StepKind>) -> Option<LessonState> {
        let revealed = vec![false; steps.len()];
        (!steps.is_empty()).then_some(LessonState { steps, at: 0, revealed })
    }

    /// Index of the step shown.
    pub const fn at(&self) -> usize {
        self.at
    }

    /// How many steps there are.
    pub fn count(&self) -> usize {
        self.steps.len()
    }

    /// «3 of 8».
    pub fn progress(&self) -> String {
        format!("{} of {}", self.at + 1, self.count())
    }

    /// Whether this step asks and its answer is still hidden.
    pub fn waits_for_answer(&self) -> bool {
        self.steps[self.at] == StepKind::Ask && !self.revealed[self.at]
    }

    /// Whether the answer of this step is shown.
    pub fn answer_shown(&self) -> bool {
        self.steps[self.at] == StepKind::Ask && self.revealed[self.at]
    }

    /// On: first the answer if one is hidden, then the next step.
    pub fn advance(&mut self) -> Moved {
        if self.waits_for_answer() {
            return self.reveal();
        }
        if self.at + 1 == self.count() {
            return Moved::Nothing;
        }
        self.at += 1;
        Moved::Step
    }

    /// Back one step. Answers that were shown stay shown.
    pub fn back(&mut self) -> Moved {
        if self.at == 0 {
            return Moved::Nothing;
        }
        self.at -= 1;
        Moved::Step
    }

    /// Shows the answer.
    pub fn reveal(&mut self) -> Moved {
        if !self.waits_for_answer() {
            return Moved::Nothing;
        }
        self.revealed[self.at] = true;
        Moved::Answer
    }

    /// Goes to a step; one past the last is the last.
    pub fn go_to(&mut self, step: usize) -> Moved {
        let step = step.min(self.count() - 1);
        if step == self.at {
            return Moved::Nothing;
        }
        self.at = step;
        Moved::Step
    }

    /// From the start, all answers hidden.
    pub fn restart(&mut self) -> Moved {
        self.at = 0;
        self.revealed.fill(false);
        Moved::Step
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lesson() -> LessonState {
        LessonState::new(vec![StepKind::Show, StepKind::Ask, StepKind::Show]).expect("three steps")
    }

    #[test]
    fn verif_next_shows_the_answer_before_it_goes_on() {
        let mut l = lesson();
        assert_eq!(l.advance(), Moved::Step);
        assert!(l.waits_for_answer() && !l.answer_shown());
        assert_eq!(l.advance(), Moved::Answer);
        assert_eq!((l.at(), l.answer_shown()), (1, true));
        assert_eq!(l.advance(), Moved::Step);
        assert_eq!(l.advance(), Moved::Nothing);
        assert_eq!(l.progress(), "3 of 3");
    }

    #[test]
    fn verif_back_keeps_answers_and_restart_hides_them() {
        let mut l = lesson();
        assert_eq!(l.back(), Moved::Nothing);
        l.go_to(1);
        assert_eq!(l.reveal(), Moved::Answer);
        assert_eq!(l.reveal(), Moved::Nothing);
        l.advance();
        assert_eq!(l.back(), Moved::Step);
        assert!(l.answer_shown());
        l.restart();
        l.advance();
        assert!(l.waits_for_answer());
        assert_eq!(l.go_to(99), Moved::Step);
        assert_eq!(l.at(), 2);
    }

    #[test]
    fn verif_a_step_that_only_shows_has_no_answer() {
        let mut l = lesson();
        assert_eq!(l.reveal(), Moved::Nothing);
        assert!(!l.answer_shown());
        assert_eq!(LessonState::new(vec![]), None);
    }
}
