//! From the window's events to egui's.
//!
//! Window events come in physical pixels; egui wants points. Keys that egui has no name for are left out.
//! Copy, cut and paste become egui's own events.

use egui::{Event, Key, Modifiers, MouseWheelSource, MouseWheelUnit, PointerButton, TouchPhase, pos2, vec2};
use macroquad::miniquad::{EventHandler, KeyCode, KeyMods, MouseButton};

/// Collects the events of one frame.
#[derive(Debug, Default)]
pub struct Collector {
    /// Events for egui, in order.
    pub events: Vec<Event>,
    /// Modifier keys after the last event.
    pub modifiers: Modifiers,
    /// Whether the window has the keyboard.
    pub focused: bool,
    /// Movements of the pointer, also those that count as one in a frame.
    pub moves: u32,
    pointer: egui::Pos2,
    pixels_per_point: f32,
}

impl Collector {
    /// A collector for a focused window.
    pub fn new() -> Collector {
        Collector { focused: true, pixels_per_point: 1.0, ..Collector::default() }
    }

    /// Sets how many physical pixels make a point.
    pub const fn set_pixels_per_point(&mut self, pixels_per_point: f32) {
        self.pixels_per_point = pixels_per_point;
    }

    fn at(&mut self, x: f32, y: f32) -> egui::Pos2 {
        self.pointer = pos2(x / self.pixels_per_point, y / self.pixels_per_point);
        self.pointer
    }

    fn set_modifiers(&mut self, modifiers: Modifiers) {
        if self.modifiers != modifiers {
            self.modifiers = modifiers;
            self.events.push(Event::ModifiersChanged(modifiers));
        }
    }

    fn button(&mut self, button: MouseButton, x: f32, y: f32, pressed: bool) {
        // An unknown button is how «the pointer entered» and a wake arrive: nothing to tell egui.
        let Some(button) = pointer_button(button) else { return };
        let (pos, modifiers) = (self.at(x, y), self.modifiers);
        self.events.push(Event::PointerMoved(pos));
        self.events.push(Event::PointerButton { pos, button, pressed, modifiers });
    }

    fn key(&mut self, code: KeyCode, mods: KeyMods, pressed: bool, repeat: bool) {
        let mut modifiers = modifiers(mods);
        // The state that comes with a modifier key's own event is from before it.
        match code {
            KeyCode::LeftShift | KeyCode::RightShift => modifiers.shift = pressed,
            KeyCode::LeftControl | KeyCode::RightControl => {
                modifiers.ctrl = pressed;
                modifiers.command = if cfg!(target_os = "macos") { modifiers.command } else { pressed };
            }
            KeyCode::LeftAlt | KeyCode::RightAlt => modifiers.alt = pressed,
            _ => {}
        }
        self.set_modifiers(modifiers);
        if pressed && modifiers.command {
            match code {
                KeyCode::C => self.events.push(Event::Copy),
                KeyCode::X => self.events.push(Event::Cut),
                KeyCode::V => {
                    if let Some(text) = macroquad::miniquad::window::clipboard_get() {
                        self.events.push(Event::Paste(text.replace("\r\n", "\n")));
                    }
                }
                _ => {}
            }
        }
        if let Some(key) = egui_key(code, modifiers.shift) {
            self.events.push(Event::Key {
                key,
                physical_key: egui_key(code, false),
                pressed,
                repeat,
                modifiers,
            });
        }
    }
}

impl EventHandler for Collector {
    fn update(&mut self) {}

    fn draw(&mut self) {}

    fn mouse_motion_event(&mut self, x: f32, y: f32) {
        let pos = self.at(x, y);
        self.moves = self.moves.saturating_add(1);
        // Several moves in one frame count as one.
        if let Some(Event::PointerMoved(last)) = self.events.last_mut() {
            *last = pos;
        } else {
            self.events.push(Event::PointerMoved(pos));
        }
    }

    fn mouse_wheel_event(&mut self, x: f32, y: f32) {
        // Some systems count a notch as 1, some as 120.
        let lines = |delta: f32| if delta.abs() >= 30.0 { delta / 120.0 } else { delta };
        self.events.push(Event::MouseWheel {
            unit: MouseWheelUnit::Line,
            delta: vec2(lines(x), lines(y)),
            phase: TouchPhase::Move,
            source: MouseWheelSource::Wheel,
            modifiers: self.modifiers,
        });
    }

    fn mouse_button_down_event(&mut self, button: MouseButton, x: f32, y: f32) {
        self.button(button, x, y, true);
    }

    fn mouse_button_up_event(&mut self, button: MouseButton, x: f32, y: f32) {
        self.button(button, x, y, false);
    }

    fn char_event(&mut self, character: char, mods: KeyMods, _repeat: bool) {
        if !character.is_control() && !mods.ctrl && !mods.logo && !is_private(character) {
            self.events.push(Event::Text(character.to_string()));
        }
    }

    fn key_down_event(&mut self, code: KeyCode, mods: KeyMods, repeat: bool) {
        self.key(code, mods, true, repeat);
    }

    fn key_up_event(&mut self, code: KeyCode, mods: KeyMods) {
        self.key(code, mods, false, false);
    }

    fn window_minimized_event(&mut self) {
        // Sent when the keyboard goes elsewhere: let go of everything held.
        self.focused = false;
        self.set_modifiers(Modifiers::NONE);
        self.events.push(Event::WindowFocused(false));
        self.events.push(Event::PointerGone);
    }

    fn window_restored_event(&mut self) {
        self.focused = true;
        self.events.push(Event::WindowFocused(true));
    }

    fn touch_event(&mut self, _phase: macroquad::miniquad::TouchPhase, _id: u64, _x: f32, _y: f32) {
        // Touches already arrive as mouse events.
    }
}

/// Characters that some systems send for keys without a letter.
fn is_private(character: char) -> bool {
    matches!(character, '\u{e000}'..='\u{f8ff}' | '\u{f0000}'..)
}

fn pointer_button(button: MouseButton) -> Option<PointerButton> {
    match button {
        MouseButton::Left => Some(PointerButton::Primary),
        MouseButton::Right => Some(PointerButton::Secondary),
        MouseButton::Middle => Some(PointerButton::Middle),
        MouseButton::Unknown => None,
    }
}

fn modifiers(mods: KeyMods) -> Modifiers {
    let mac = cfg!(target_os = "macos");
    Modifiers {
        alt: mods.alt,
        ctrl: mods.ctrl,
        shift: mods.shift,
        mac_cmd: mac && mods.logo,
        command: if mac { mods.logo } else { mods.ctrl },
    }
}

/// egui's name of a key. With shift held, keys that carry two signs give the upper one, as far as that is the same on
/// common layouts.
pub fn egui_key(code: KeyCode, shift: bool) -> Option<Key> {
    use KeyCode as C;
    Some(match code {
        C::Space => Key::Space,
        C::Apostrophe => Key::Quote,
        C::Comma => Key::Comma,
        C::Minus | C::KpSubtract => Key::Minus,
        C::Period | C::KpDecimal => Key::Period,
        C::Slash if shift => Key::Questionmark,
        C::Slash | C::KpDivide => Key::Slash,
        C::Semicolon if shift => Key::Colon,
        C::Semicolon => Key::Semicolon,
        C::Equal if shift => Key::Plus,
        C::Equal | C::KpEqual => Key::Equals,
        C::KpAdd => Key::Plus,
        C::LeftBracket => Key::OpenBracket,
        C::RightBracket => Key::CloseBracket,
        C::Backslash => Key::Backslash,
        C::GraveAccent => Key::Backtick,
        C::Escape => Key::Escape,
        C::Enter | C::KpEnter => Key::Enter,
        C::Tab => Key::Tab,
        C::Backspace | C::Back => Key::Backspace,
        C::Insert => Key::Insert,
        C::Delete => Key::Delete,
        C::Right => Key::ArrowRight,
        C::Left => Key::ArrowLeft,
        C::Down => Key::ArrowDown,
        C::Up => Key::ArrowUp,
        C::PageUp => Key::PageUp,
        C::PageDown => Key::PageDown,
        C::Home => Key::Home,
        C::End => Key::End,
        C::Key0 | C::Kp0 => Key::Num0,
        C::Key1 | C::Kp1 => Key::Num1,
        C::Key2 | C::Kp2 => Key::Num2,
        C::Key3 | C::Kp3 => Key::Num3,
        C::Key4 | C::Kp4 => Key::Num4,
        C::Key5 | C::Kp5 => Key::Num5,
        C::Key6 | C::Kp6 => Key::Num6,
        C::Key7 | C::Kp7 => Key::Num7,
        C::Key8 | C::Kp8 => Key::Num8,
        C::Key9 | C::Kp9 => Key::Num9,
        other => {
            // Letters and function keys have the same names on both sides.
            let name = format!("{other:?}");
            let letter = name.len() == 1;
            let function = name.starts_with('F') && name[1..].parse::<u8>().is_ok();
            return if letter || function { Key::from_name(&name) } else { None };
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const NONE: KeyMods = KeyMods { shift: false, ctrl: false, alt: false, logo: false };

    #[test]
    fn verif_keys_have_names() {
        assert_eq!(egui_key(KeyCode::A, false), Some(Key::A));
        assert_eq!(egui_key(KeyCode::Z, true), Some(Key::Z));
        assert_eq!(egui_key(KeyCode::F11, false), Some(Key::F11));
        assert_eq!(egui_key(KeyCode::Slash, true), Some(Key::Questionmark));
        assert_eq!(egui_key(KeyCode::Slash, false), Some(Key::Slash));
        assert_eq!(egui_key(KeyCode::Kp7, false), Some(Key::Num7));
        assert_eq!(egui_key(KeyCode::LeftShift, true), None);
        assert_eq!(egui_key(KeyCode::Unknown, false), None);
    }

    #[test]
    fn verif_a_click_is_a_move_and_a_press_in_points() {
        let mut collector = Collector::new();
        collector.set_pixels_per_point(2.0);
        collector.mouse_button_down_event(MouseButton::Left, 300.0, 80.0);
        let pos = pos2(150.0, 40.0);
        assert_eq!(collector.events[0], Event::PointerMoved(pos));
        let press = Event::PointerButton {
            pos,
            button: PointerButton::Primary,
            pressed: true,
            modifiers: Modifiers::NONE,
        };
        assert_eq!(collector.events[1..], [press]);
    }

    #[test]
    fn verif_a_wake_changes_nothing() {
        let mut collector = Collector::new();
        collector.mouse_button_up_event(MouseButton::Unknown, 0.0, 0.0);
        assert!(collector.events.is_empty());
    }

    #[test]
    fn verif_modifiers_follow_their_own_keys() {
        let mut collector = Collector::new();
        collector.key_down_event(KeyCode::LeftControl, NONE, false);
        assert!(collector.modifiers.ctrl && collector.modifiers.command != cfg!(target_os = "macos"));
        collector.key_down_event(KeyCode::C, KeyMods { ctrl: true, ..NONE }, false);
        assert_ne!(collector.events.contains(&Event::Copy), cfg!(target_os = "macos"));
        collector.key_up_event(KeyCode::LeftControl, KeyMods { ctrl: true, ..NONE });
        assert_eq!(collector.modifiers, Modifiers::NONE);
    }

    #[test]
    fn verif_text_leaves_out_control_characters_and_shortcuts() {
        let mut collector = Collector::new();
        collector.char_event('\u{8}', NONE, false);
        collector.char_event('s', KeyMods { ctrl: true, ..NONE }, false);
        assert!(collector.events.is_empty());
        collector.char_event('½', NONE, false);
        assert_eq!(collector.events, [Event::Text("½".into())]);
    }

    #[test]
    fn verif_wheel_notches_are_lines_on_every_system() {
        let mut collector = Collector::new();
        collector.mouse_wheel_event(0.0, 1.0);
        collector.mouse_wheel_event(0.0, -120.0);
        let deltas: Vec<f32> = collector
            .events
            .iter()
            .filter_map(|event| match event {
                Event::MouseWheel { delta, .. } => Some(delta.y),
                _ => None,
            })
            .collect();
        assert_eq!(deltas, [1.0, -1.0]);
    }
}
