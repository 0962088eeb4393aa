//! What the window asks of the desktop that macroquad has no safe call for: wake the sleeping window from another
//! thread or at a given time, and switch to full screen and back.
//!
//! The window sleeps in the window system's own queue of events, so only an event can wake it. On Linux a helper
//! thread with a connection of its own sends one: a made-up «pointer entered» event, which redraws and changes
//! nothing else (`input.rs` ignores it). Elsewhere, or when the helper finds no window, [`Waker::works`] is false and
//! the frame loop polls instead of sleeping.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::{Duration, Instant};

/// What the helper thread is asked to do.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Ask {
    Wake,
    WakeAt(Instant),
    Nudge,
    FullScreen(bool),
}

/// When a window that fell asleep is nudged, after that.
///
/// The window library counts the waiting events and then waits for one more than that: an event that came while the last frame was drawn is
/// taken out of the queue, but acted on only after another event. A nudge is an event that means nothing and costs no frame. The first may
/// come while the frame is still being finished and be counted with the others; the later ones then help.
const NUDGES: [Duration; 3] =
    [Duration::from_millis(4), Duration::from_millis(40), Duration::from_millis(250)];

/// Wakes the window from any thread. Cheap to clone; harmless once the window is gone.
#[derive(Debug, Clone)]
pub struct Waker {
    asks: Sender<Ask>,
    works: Arc<AtomicBool>,
}

impl Waker {
    /// A waker that reaches nothing: for tests and for systems without a helper.
    pub fn deaf() -> Waker {
        Waker { asks: channel().0, works: Arc::new(AtomicBool::new(false)) }
    }

    /// Starts the helper for the window with this title. It looks for the window for a few seconds.
    pub(super) fn start(title: &str) -> Waker {
        let (asks, inbox) = channel();
        let works = Arc::new(AtomicBool::new(false));
        let (flag, title) = (Arc::clone(&works), title.to_owned());
        let spawned = std::thread::Builder::new()
            .name("window waker".into())
            .spawn(move || helper(&inbox, &title, &flag));
        if spawned.is_err() {
            return Waker::deaf();
        }
        Waker { asks, works }
    }

    /// Draws a frame soon.
    pub fn wake(&self) {
        // The helper ends with the window; a wake after that has nothing to do.
        let _ = self.asks.send(Ask::Wake);
    }

    /// Draws a frame at `when`, at the latest. An earlier time that was asked for stays.
    pub fn wake_at(&self, when: Instant) {
        let _ = self.asks.send(Ask::WakeAt(when));
    }

    /// Tells that the window goes to sleep now: an event that came during its last frame must not be left lying.
    pub(super) fn asleep(&self) {
        let _ = self.asks.send(Ask::Nudge);
    }

    /// Whether a wake reaches the window; when not, the frame loop must poll.
    pub fn works(&self) -> bool {
        self.works.load(Ordering::Relaxed)
    }

    /// Asks the desktop for full screen or back.
    pub(super) fn full_screen(&self, on: bool) {
        if self.works() {
            let _ = self.asks.send(Ask::FullScreen(on));
        } else {
            macroquad::miniquad::window::set_fullscreen(on);
        }
    }
}

/// The earlier of a time that may be set and a new one.
fn sooner(set: Option<Instant>, new: Instant) -> Option<Instant> {
    Some(set.map_or(new, |old| old.min(new)))
}

fn helper(inbox: &Receiver<Ask>, title: &str, works: &AtomicBool) {
    let Some(desktop) = Desktop::find(title, Duration::from_secs(5)) else { return };
    works.store(true, Ordering::Relaxed);
    // Whatever was asked before the window was found may have been missed: draw once.
    let mut due: Option<Instant> = Some(Instant::now());
    let mut nudges: Vec<Instant> = Vec::new();
    loop {
        let next = due.into_iter().chain(nudges.last().copied()).min();
        let wait =
            next.map_or(Duration::from_secs(3600), |when| when.saturating_duration_since(Instant::now()));
        let done = match inbox.recv_timeout(wait) {
            Ok(Ask::Wake) => desktop.wake(),
            Ok(Ask::WakeAt(when)) => {
                due = sooner(due, when);
                true
            }
            Ok(Ask::Nudge) => {
                let now = Instant::now();
                nudges = NUDGES.iter().rev().map(|after| now + *after).collect();
                true
            }
            Ok(Ask::FullScreen(on)) => desktop.full_screen(on),
            Err(RecvTimeoutError::Timeout) => {
                let now = Instant::now();
                if due.is_some_and(|when| when <= now) {
                    due = None;
                    desktop.wake()
                } else if nudges.last().is_some_and(|when| *when <= now) {
                    nudges.pop();
                    desktop.nudge()
                } else {
                    true
                }
            }
            Err(RecvTimeoutError::Disconnected) => return,
        };
        if !done {
            works.store(false, Ordering::Relaxed);
            return;
        }
    }
}

#[cfg(target_os = "linux")]
mod x11 {
    use std::time::{Duration, Instant};

    use x11rb::connection::{Connection, RequestConnection};
    use x11rb::protocol::xproto::{
        AtomEnum, ClientMessageEvent, ConnectionExt as _, ENTER_NOTIFY_EVENT, EnterNotifyEvent, EventMask,
        NotifyDetail, NotifyMode, Window,
    };
    use x11rb::rust_connection::RustConnection;

    /// A connection of our own to the display, and our window on it. Another window of the same title is woken too.
    pub(super) struct Desktop {
        connection: RustConnection,
        root: Window,
        windows: Vec<Window>,
        /// A kind of message that nobody knows.
        nothing: u32,
    }

    impl Desktop {
        pub(super) fn find(title: &str, patience: Duration) -> Option<Desktop> {
            let (connection, screen) = x11rb::connect(None).ok()?;
            let root = connection.setup().roots.get(screen)?.root;
            let windows = find_windows(&connection, root, title, patience);
            if windows.is_empty() {
                return None;
            }
            let nothing = atom(&connection, b"_BRUSHARM_NOTHING")?;
            Some(Desktop { connection, root, windows, nothing })
        }

        pub(super) fn wake(&self) -> bool {
            self.windows.iter().all(|window| {
                let event = EnterNotifyEvent {
                    response_type: ENTER_NOTIFY_EVENT,
                    detail: NotifyDetail::ANCESTOR,
                    root: self.root,
                    event: *window,
                    mode: NotifyMode::NORMAL,
                    ..EnterNotifyEvent::default()
                };
                // With no mask the event goes to the client that made the window: us.
                self.connection.send_event(false, *window, EventMask::NO_EVENT, event).is_ok()
            }) && self.connection.flush().is_ok()
        }

        /// Sends a message that means nothing.
        pub(super) fn nudge(&self) -> bool {
            self.windows.iter().all(|window| {
                let event = ClientMessageEvent::new(32, *window, self.nothing, [0; 5]);
                self.connection.send_event(false, *window, EventMask::NO_EVENT, event).is_ok()
            }) && self.connection.flush().is_ok()
        }

        /// Extended Window Manager Hints (freedesktop.org), «_NET_WM_STATE»: 1 adds, 0 removes.
        pub(super) fn full_screen(&self, on: bool) -> bool {
            let ask = |window: Window| -> Option<()> {
                let state = atom(&self.connection, b"_NET_WM_STATE")?;
                let full = atom(&self.connection, b"_NET_WM_STATE_FULLSCREEN")?;
                let event = ClientMessageEvent::new(32, window, state, [u32::from(on), full, 0, 1, 0]);
                let mask = EventMask::SUBSTRUCTURE_REDIRECT | EventMask::SUBSTRUCTURE_NOTIFY;
                self.connection.send_event(false, self.root, mask, event).ok()?;
                self.connection.flush().ok()
            };
            self.windows.last().is_some_and(|window| ask(*window).is_some())
        }
    }

    /// The windows with this title, looked for until there is one.
    pub(in crate::window) fn find_windows(
        connection: &RustConnection,
        root: Window,
        title: &str,
        patience: Duration,
    ) -> Vec<Window> {
        let until = Instant::now() + patience;
        loop {
            let mut windows = Vec::new();
            named(connection, root, title, 4, &mut windows);
            if !windows.is_empty() || Instant::now() > until {
                return windows;
            }
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    fn atom(connection: &RustConnection, name: &[u8]) -> Option<u32> {
        Some(connection.intern_atom(false, name).ok()?.reply().ok()?.atom)
    }

    /// The windows under `parent` with this title, a few levels deep (window managers wrap windows in frames).
    fn named(
        connection: &RustConnection,
        parent: Window,
        title: &str,
        levels: usize,
        found: &mut Vec<Window>,
    ) {
        let Some(tree) = connection.query_tree(parent).ok().and_then(|request| request.reply().ok()) else {
            return;
        };
        for child in tree.children {
            let name = atom(connection, b"_NET_WM_NAME").and_then(|property| {
                let request = connection.get_property(false, child, property, AtomEnum::ANY, 0, 1024).ok()?;
                Some(request.reply().ok()?.value)
            });
            if name.as_deref() == Some(title.as_bytes()) {
                found.push(child);
            } else if levels > 0 {
                named(connection, child, title, levels - 1, found);
            }
        }
    }

    /// Whether the display of this name answers and can draw; the reason when not.
    pub(super) fn check(name: Option<&str>) -> Result<(), crate::window::WindowError> {
        use crate::window::WindowError;
        let shown = name.map_or("DISPLAY is not set".to_owned(), |name| format!("DISPLAY is «{name}»"));
        // A display number is a port over 6000; a larger one would overflow in the connection library.
        let number = name.and_then(|name| name.rsplit_once(':')).map(|(_, number)| number.split('.').next());
        if number.flatten().and_then(|n| n.parse::<u32>().ok()).is_some_and(|n| n > 59_535) {
            return Err(WindowError::NoDisplay {
                reason: format!("{shown}; there is no such display number"),
            });
        }
        let (connection, _) = x11rb::connect(name)
            .map_err(|error| WindowError::NoDisplay { reason: format!("{shown}; {error}") })?;
        match connection.extension_information("GLX") {
            Ok(Some(_)) => Ok(()),
            Ok(None) => Err(WindowError::CannotOpen {
                reason: format!("{shown}, and that display has no OpenGL (GLX)"),
            }),
            Err(error) => Err(WindowError::NoDisplay { reason: format!("{shown}; {error}") }),
        }
    }
}

#[cfg(target_os = "linux")]
use x11::Desktop;
#[cfg(target_os = "linux")]
pub(super) use x11::find_windows;

#[cfg(not(target_os = "linux"))]
struct Desktop;

#[cfg(not(target_os = "linux"))]
impl Desktop {
    fn find(_title: &str, _patience: Duration) -> Option<Desktop> {
        None
    }

    fn wake(&self) -> bool {
        false
    }

    fn nudge(&self) -> bool {
        false
    }

    fn full_screen(&self, _on: bool) -> bool {
        false
    }
}

/// Whether a window can be opened here, before it is tried; the reason when not.
///
/// # Errors
/// [`super::WindowError::NoDisplay`] or [`super::WindowError::CannotOpen`] on Linux. Elsewhere there is always a display.
pub fn check_display() -> Result<(), super::WindowError> {
    #[cfg(target_os = "linux")]
    {
        x11::check(std::env::var("DISPLAY").ok().as_deref())
    }
    #[cfg(not(target_os = "linux"))]
    {
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_an_earlier_wake_stays() {
        let now = Instant::now();
        let later = now + Duration::from_secs(5);
        assert_eq!(sooner(None, later), Some(later));
        assert_eq!(sooner(Some(later), now), Some(now));
        assert_eq!(sooner(Some(now), later), Some(now));
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn verif_a_missing_display_is_a_plain_error() {
        for name in [":59321", ":64999.0", ":99999999999", "no such place"] {
            let error = x11::check(Some(name)).expect_err("no display there");
            assert!(matches!(error, crate::window::WindowError::NoDisplay { .. }), "{error:?}");
            assert!(error.to_string().contains(name) && error.to_string().contains("DISPLAY"));
        }
    }

    #[test]
    fn verif_a_deaf_waker_is_harmless() {
        let waker = Waker::deaf();
        waker.wake();
        waker.wake_at(Instant::now());
        assert!(!waker.works());
    }
}
