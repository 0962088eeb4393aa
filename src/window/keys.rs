//! Keyboard shortcuts: one table, used both to act on a key and to write the help.

use egui::{Event, InputState, Key, Modifiers};

/// What a shortcut does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[allow(missing_docs, reason = "each action is described in the table below, which is also the help")]
pub enum Action {
    PlayPause,
    StepBack,
    StepForward,
    PreviousEvent,
    NextEvent,
    ToStart,
    ToEnd,
    Slower,
    Faster,
    Loop,
    ClockKind,
    ZoomIn,
    ZoomOut,
    PanLeft,
    PanRight,
    PanUp,
    PanDown,
    Fit,
    Follow,
    Forces,
    NextMapQuantity,
    PinA,
    PinB,
    PinC,
    UnpinAll,
    PreviousSetting,
    NextSetting,
    FieldStepDown,
    FieldStepUp,
    ResetSetting,
    Search,
    Undo,
    Redo,
    Open,
    SaveAs,
    MakeSheet,
    Desk,
    CopyCommand,
    SavePng,
    SaveSvg,
    LessonNext,
    LessonBack,
    LessonReveal,
    Present,
    TwoPlans,
    PlayTail,
    Theme,
    Units,
    LargeType,
    FullScreen,
    Help,
    Close,
    Quit,
}

/// A key with its modifiers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Chord {
    /// Ctrl, or Cmd on a Mac.
    pub command: bool,
    /// Shift.
    pub shift: bool,
    /// The key.
    pub key: Key,
}

impl Chord {
    const fn plain(key: Key) -> Chord {
        Chord { command: false, shift: false, key }
    }

    const fn shift(key: Key) -> Chord {
        Chord { command: false, shift: true, key }
    }

    const fn command(key: Key) -> Chord {
        Chord { command: true, shift: false, key }
    }

    const fn command_shift(key: Key) -> Chord {
        Chord { command: true, shift: true, key }
    }

    fn matches(self, key: Key, modifiers: Modifiers) -> bool {
        // A sign such as ? or + comes with shift on most layouts: shift is part of the sign then.
        let sign = matches!(self.key, Key::Questionmark | Key::Plus | Key::Colon);
        key == self.key
            && modifiers.command == self.command
            && !modifiers.alt
            && (sign || modifiers.shift == self.shift)
    }

    /// As written in the help: «Ctrl+Shift+Z».
    pub fn label(self) -> String {
        let mut parts: Vec<&str> = Vec::new();
        if self.command {
            parts.push(if cfg!(target_os = "macos") { "Cmd" } else { "Ctrl" });
        }
        if self.shift {
            parts.push("Shift");
        }
        parts.push(match self.key {
            Key::ArrowLeft => "←",
            Key::ArrowRight => "→",
            Key::ArrowUp => "↑",
            Key::ArrowDown => "↓",
            Key::Minus => "−",
            Key::Plus => "+",
            Key::Equals => "=",
            Key::Comma => ",",
            Key::Period => ".",
            Key::OpenBracket => "[",
            Key::CloseBracket => "]",
            Key::Questionmark => "?",
            Key::PageUp => "Page Up",
            Key::PageDown => "Page Down",
            Key::Escape => "Esc",
            other => other.name(),
        });
        parts.join("+")
    }

    /// Keys that belong to a focused slider, button or list: arrows, space, enter.
    const fn belongs_to_widgets(self) -> bool {
        !self.command
            && matches!(
                self.key,
                Key::ArrowLeft | Key::ArrowRight | Key::ArrowUp | Key::ArrowDown | Key::Space | Key::Enter
            )
    }

    /// Keys that write text, or move in it.
    const fn belongs_to_text(self) -> bool {
        let editing = matches!(self.key, Key::Z | Key::Y | Key::A | Key::C | Key::X | Key::V);
        let function = matches!(
            self.key,
            Key::F1
                | Key::F2
                | Key::F3
                | Key::F4
                | Key::F5
                | Key::F6
                | Key::F7
                | Key::F8
                | Key::F9
                | Key::F10
                | Key::F11
                | Key::F12
                | Key::Escape
        );
        !function && (!self.command || editing)
    }
}

/// One line of the table.
#[derive(Debug, Clone, Copy)]
pub struct Shortcut {
    /// What it does.
    pub action: Action,
    /// The keys; any of them.
    pub chords: &'static [Chord],
    /// Heading in the help.
    pub group: &'static str,
    /// Line in the help.
    pub help: &'static str,
}

const fn row(action: Action, chords: &'static [Chord], group: &'static str, help: &'static str) -> Shortcut {
    Shortcut { action, chords, group, help }
}

const TIME: &str = "Time";
const VIEW: &str = "Plan view";
const SETTINGS: &str = "Settings";
const COMPARE: &str = "Side by side";
const LESSON: &str = "Lesson";
const PRESENT: &str = "Presentation";
const GENERAL: &str = "General";

/// Every shortcut, in the order of the help.
pub const SHORTCUTS: &[Shortcut] = &[
    row(Action::PlayPause, &[Chord::plain(Key::Space)], TIME, "play or stop"),
    row(Action::StepBack, &[Chord::plain(Key::ArrowLeft)], TIME, "one step back"),
    row(Action::StepForward, &[Chord::plain(Key::ArrowRight)], TIME, "one step on"),
    row(Action::PreviousEvent, &[Chord::shift(Key::ArrowLeft)], TIME, "to the event before"),
    row(Action::NextEvent, &[Chord::shift(Key::ArrowRight)], TIME, "to the next event"),
    row(Action::ToStart, &[Chord::plain(Key::Home)], TIME, "to the start"),
    row(Action::ToEnd, &[Chord::plain(Key::End)], TIME, "to the end"),
    row(Action::Slower, &[Chord::plain(Key::Comma)], TIME, "slower"),
    row(Action::Faster, &[Chord::plain(Key::Period)], TIME, "faster"),
    row(Action::PlayTail, &[Chord::plain(Key::C)], TIME, "play the chase of the tail at a quarter speed"),
    row(Action::Loop, &[Chord::plain(Key::L)], TIME, "start again at the end, or not"),
    row(Action::ClockKind, &[Chord::plain(Key::K)], TIME, "shared clock: time or vehicle position"),
    row(Action::ZoomIn, &[Chord::plain(Key::Plus), Chord::plain(Key::Equals)], VIEW, "zoom in"),
    row(Action::ZoomOut, &[Chord::plain(Key::Minus)], VIEW, "zoom out"),
    row(Action::PanLeft, &[Chord::command(Key::ArrowLeft)], VIEW, "move the view left"),
    row(Action::PanRight, &[Chord::command(Key::ArrowRight)], VIEW, "move the view right"),
    row(Action::PanUp, &[Chord::command(Key::ArrowUp)], VIEW, "move the view up"),
    row(Action::PanDown, &[Chord::command(Key::ArrowDown)], VIEW, "move the view down"),
    row(Action::Fit, &[Chord::plain(Key::Num0)], VIEW, "show everything"),
    row(Action::Follow, &[Chord::plain(Key::V)], VIEW, "follow the vehicle, or not"),
    row(Action::Forces, &[Chord::plain(Key::F)], VIEW, "force and friction arrows, or none"),
    row(Action::NextMapQuantity, &[Chord::plain(Key::M)], VIEW, "coverage map: next quantity"),
    row(Action::PreviousSetting, &[Chord::plain(Key::ArrowUp)], SETTINGS, "the setting above"),
    row(Action::NextSetting, &[Chord::plain(Key::ArrowDown)], SETTINGS, "the setting below"),
    row(Action::FieldStepDown, &[Chord::plain(Key::OpenBracket)], SETTINGS, "one field step less"),
    row(Action::FieldStepUp, &[Chord::plain(Key::CloseBracket)], SETTINGS, "one field step more"),
    row(Action::ResetSetting, &[Chord::plain(Key::Backspace)], SETTINGS, "as in the file"),
    row(Action::Search, &[Chord::command(Key::F)], SETTINGS, "look for a setting"),
    row(Action::Undo, &[Chord::command(Key::Z)], SETTINGS, "take back"),
    row(Action::Redo, &[Chord::command_shift(Key::Z), Chord::command(Key::Y)], SETTINGS, "do again"),
    row(Action::PinA, &[Chord::plain(Key::Num1)], COMPARE, "pin as A, or let A go"),
    row(Action::PinB, &[Chord::plain(Key::Num2)], COMPARE, "pin as B, or let B go"),
    row(Action::PinC, &[Chord::plain(Key::Num3)], COMPARE, "pin as C, or let C go"),
    row(Action::UnpinAll, &[Chord::plain(Key::Num9)], COMPARE, "let all pinned set-ups go"),
    row(
        Action::LessonNext,
        &[Chord::plain(Key::PageDown), Chord::plain(Key::N)],
        LESSON,
        "next: answer, then step",
    ),
    row(Action::LessonBack, &[Chord::plain(Key::PageUp), Chord::plain(Key::B)], LESSON, "back one step"),
    row(Action::LessonReveal, &[Chord::plain(Key::A)], LESSON, "show the answer"),
    row(Action::Present, &[Chord::plain(Key::P)], PRESENT, "presentation view, for a class, or not"),
    row(Action::TwoPlans, &[Chord::plain(Key::S)], PRESENT, "two set-ups beside each other, or one"),
    row(Action::Open, &[Chord::command(Key::O)], GENERAL, "open a file"),
    row(Action::SaveAs, &[Chord::command(Key::S)], GENERAL, "save as a new file"),
    row(
        Action::MakeSheet,
        &[Chord::command_shift(Key::S)],
        GENERAL,
        "make the set-up sheet: found as in the file, left as set",
    ),
    row(Action::Desk, &[Chord::plain(Key::E)], GENERAL, "the desk: studies of what is set, or not"),
    row(
        Action::CopyCommand,
        &[Chord::command(Key::E)],
        GENERAL,
        "copy what is set as a command for a terminal",
    ),
    row(Action::SavePng, &[Chord::command(Key::P)], GENERAL, "save the picture as PNG"),
    row(Action::SaveSvg, &[Chord::command_shift(Key::P)], GENERAL, "save the picture as SVG"),
    row(Action::Theme, &[Chord::plain(Key::D)], GENERAL, "light or dark"),
    row(Action::Units, &[Chord::plain(Key::U)], GENERAL, "US customary or SI"),
    row(Action::LargeType, &[Chord::plain(Key::T)], GENERAL, "large type, for a class"),
    row(Action::FullScreen, &[Chord::plain(Key::F11)], GENERAL, "full screen, or not"),
    row(Action::Help, &[Chord::plain(Key::Questionmark), Chord::plain(Key::F1)], GENERAL, "these shortcuts"),
    row(Action::Close, &[Chord::plain(Key::Escape)], GENERAL, "close what is open"),
    row(Action::Quit, &[Chord::command(Key::Q)], GENERAL, "quit"),
];

/// Who has the keyboard.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Focus {
    /// Nobody: all shortcuts work.
    #[default]
    None,
    /// A slider, button or list: its arrows, space and enter are its own.
    Widget,
    /// A text field: only function keys and shortcuts with Ctrl that do not edit text work.
    Text,
}

/// The action of a key press, if it has one under this focus.
pub fn action(key: Key, modifiers: Modifiers, focus: Focus) -> Option<Action> {
    SHORTCUTS.iter().find_map(|shortcut| {
        let hit = shortcut.chords.iter().any(|chord| {
            let taken = match focus {
                Focus::None => false,
                Focus::Widget => chord.belongs_to_widgets(),
                Focus::Text => chord.belongs_to_text(),
            };
            !taken && chord.matches(key, modifiers)
        });
        hit.then_some(shortcut.action)
    })
}

/// Takes the key presses that are shortcuts out of the input and gives their actions in order.
///
/// Each press counts with the modifiers held at that press, so that quick typing is not misread.
pub fn take_actions(input: &mut InputState, focus: Focus) -> Vec<Action> {
    let mut actions = Vec::new();
    input.events.retain(|event| {
        if let Event::Key { key, pressed: true, modifiers, .. } = event
            && let Some(action) = action(*key, *modifiers, focus)
        {
            actions.push(action);
            return false;
        }
        true
    });
    actions
}

/// The chords of an action as written in the help and in hover texts: «+ or =».
pub fn label(action: Action) -> String {
    let chords = SHORTCUTS.iter().find(|shortcut| shortcut.action == action).map_or(&[][..], |s| s.chords);
    chords.iter().map(|chord| chord.label()).collect::<Vec<_>>().join(" or ")
}

/// The help: headings with their lines (keys, what they do).
pub fn help() -> Vec<(&'static str, Vec<(String, &'static str)>)> {
    let mut groups: Vec<(&'static str, Vec<(String, &'static str)>)> = Vec::new();
    for shortcut in SHORTCUTS {
        let line = (label(shortcut.action), shortcut.help);
        match groups.iter_mut().find(|(name, _)| *name == shortcut.group) {
            Some((_, lines)) => lines.push(line),
            None => groups.push((shortcut.group, vec![line])),
        }
    }
    groups
}

#[cfg(test)]
mod tests {
    use super::*;

    const CTRL: Modifiers = Modifiers { ctrl: true, command: true, ..Modifiers::NONE };

    #[test]
    fn verif_no_two_actions_share_a_key_and_none_is_listed_twice() {
        for (i, a) in SHORTCUTS.iter().enumerate() {
            assert!(!a.chords.is_empty() && !a.help.is_empty());
            for b in &SHORTCUTS[..i] {
                assert_ne!(a.action, b.action);
                assert!(
                    !a.chords.iter().any(|chord| b.chords.contains(chord)),
                    "{:?} {:?}",
                    a.action,
                    b.action
                );
                assert!(a.help != b.help);
            }
        }
    }

    #[test]
    fn verif_every_chord_does_what_its_line_says() {
        for shortcut in SHORTCUTS {
            for chord in shortcut.chords {
                let base = if chord.command { CTRL } else { Modifiers::NONE };
                let modifiers = Modifiers { shift: chord.shift, ..base };
                assert_eq!(
                    action(chord.key, modifiers, Focus::None),
                    Some(shortcut.action),
                    "{}",
                    chord.label()
                );
            }
        }
    }

    #[test]
    fn verif_signs_work_with_and_without_shift() {
        for shift in [false, true] {
            let modifiers = Modifiers { shift, ..Modifiers::NONE };
            assert_eq!(action(Key::Questionmark, modifiers, Focus::None), Some(Action::Help));
            assert_eq!(action(Key::Plus, modifiers, Focus::None), Some(Action::ZoomIn));
        }
    }

    #[test]
    fn verif_focus_keeps_keys_from_shortcuts() {
        assert_eq!(action(Key::ArrowLeft, Modifiers::NONE, Focus::Widget), None);
        assert_eq!(action(Key::L, Modifiers::NONE, Focus::Widget), Some(Action::Loop));
        assert_eq!(action(Key::L, Modifiers::NONE, Focus::Text), None);
        assert_eq!(action(Key::Z, CTRL, Focus::Text), None, "a text field takes back its own edits");
        assert_eq!(action(Key::S, CTRL, Focus::Text), Some(Action::SaveAs));
        assert_eq!(action(Key::F11, Modifiers::NONE, Focus::Text), Some(Action::FullScreen));
        assert_eq!(action(Key::Escape, Modifiers::NONE, Focus::Text), Some(Action::Close));
    }

    #[test]
    fn verif_presses_count_with_their_own_modifiers() {
        let press =
            |key, modifiers| Event::Key { key, physical_key: None, pressed: true, repeat: false, modifiers };
        let mut input = InputState::default();
        input.events = vec![
            press(Key::Z, CTRL),
            press(Key::Z, Modifiers { shift: true, ..CTRL }),
            Event::Text("z".into()),
            press(Key::J, Modifiers::NONE),
        ];
        assert_eq!(take_actions(&mut input, Focus::None), [Action::Undo, Action::Redo]);
        assert_eq!(input.events.len(), 2, "what is no shortcut stays");
    }

    #[test]
    fn verif_help_lists_every_shortcut_under_its_heading() {
        let lines: usize = help().iter().map(|(_, lines)| lines.len()).sum();
        assert_eq!(lines, SHORTCUTS.len());
        assert_eq!(help()[0].0, "Time");
        assert_eq!(
            label(Action::Redo),
            if cfg!(target_os = "macos") { "Cmd+Shift+Z or Cmd+Y" } else { "Ctrl+Shift+Z or Ctrl+Y" }
        );
    }
}
