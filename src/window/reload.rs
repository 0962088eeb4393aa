//! Notices that the scenario's file changed on disk, and keeps the last good scenario when the new one is bad.
//!
//! A file that is just being written is left alone until it has looked the same twice in a row.

use std::io;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{RecvTimeoutError, Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, SystemTime};

/// How a file looks from outside.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stamp {
    /// Time of the last change.
    pub changed: SystemTime,
    /// Length in bytes.
    pub length: u64,
}

/// The window's only way to the disk; the command that opens the window provides it.
pub trait Files: Send + Sync {
    /// How a file looks.
    ///
    /// # Errors
    /// The system's, for example when there is no such file.
    fn stamp(&self, path: &Path) -> io::Result<Stamp>;

    /// The text of a file.
    ///
    /// # Errors
    /// The system's, or when the file is not UTF-8.
    fn read(&self, path: &Path) -> io::Result<String>;

    /// Writes a file that must not be there yet.
    ///
    /// # Errors
    /// The system's; `AlreadyExists` when there is such a file.
    fn write_new(&self, path: &Path, bytes: &[u8]) -> io::Result<()>;

    /// Writes a file of the program's own (kept window state), whole, in place of what is there.
    ///
    /// # Errors
    /// The system's.
    fn replace(&self, path: &Path, bytes: &[u8]) -> io::Result<()>;

    /// The text of a file that a scenario or lesson names, by its name beside it.
    ///
    /// # Errors
    /// Why it cannot be read, in words.
    fn beside(&self, file: &Path, name: &str) -> Result<String, String>;

    /// Scenario and lesson files (`.ron`) in a folder, in order of name.
    fn scenarios(&self, folder: &Path) -> Vec<PathBuf>;
}

/// Decides from a row of looks at a file when it is time to read it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Watch {
    known: Option<Stamp>,
    last: Option<Stamp>,
}

impl Watch {
    /// A watch on a file that has been read when it looked like `known`.
    pub const fn new(known: Option<Stamp>) -> Watch {
        Watch { known, last: known }
    }

    /// Takes one look; `None` when the file could not be found. True when the file should be read now: it is another one, or gone for good.
    pub fn look(&mut self, seen: Option<Stamp>) -> bool {
        let quiet = seen == self.last;
        self.last = seen;
        if quiet && seen != self.known {
            self.known = seen;
            return true;
        }
        false
    }
}

/// A value that is replaced only by good news: the last good one, and what was wrong with anything newer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LastGood<T, E> {
    good: T,
    trouble: Option<E>,
}

impl<T, E> LastGood<T, E> {
    /// A good value.
    pub const fn new(good: T) -> LastGood<T, E> {
        LastGood { good, trouble: None }
    }

    /// Takes a new value, or keeps the old one and remembers what was wrong. True when the value was replaced.
    pub fn offer(&mut self, news: Result<T, E>) -> bool {
        match news {
            Ok(good) => {
                self.good = good;
                self.trouble = None;
                true
            }
            Err(trouble) => {
                self.trouble = Some(trouble);
                false
            }
        }
    }

    /// The last good value.
    pub const fn good(&self) -> &T {
        &self.good
    }

    /// What was wrong with the newest one, if it was bad.
    pub const fn trouble(&self) -> Option<&E> {
        self.trouble.as_ref()
    }
}

/// Watches one file from a thread of its own.
#[derive(Debug)]
pub struct Watcher {
    news: Arc<Mutex<Option<io::Result<String>>>>,
    path: PathBuf,
    // The thread ends when this is dropped.
    _stop: Sender<()>,
}

/// How often the file is looked at.
const EVERY: Duration = Duration::from_millis(250);

impl Watcher {
    /// Starts watching a file that looked like `known` when it was read. `ready` is called after each change.
    ///
    /// # Errors
    /// The system's message when no thread can be started.
    pub fn start(
        path: PathBuf,
        known: Option<Stamp>,
        files: Arc<dyn Files>,
        ready: impl Fn() + Send + 'static,
    ) -> io::Result<Watcher> {
        Watcher::every(EVERY, path, known, files, ready)
    }

    fn every(
        pause: Duration,
        path: PathBuf,
        known: Option<Stamp>,
        files: Arc<dyn Files>,
        ready: impl Fn() + Send + 'static,
    ) -> io::Result<Watcher> {
        let news = Arc::new(Mutex::new(None));
        let (stop, stopped) = channel::<()>();
        let (outbox, file) = (Arc::clone(&news), path.clone());
        std::thread::Builder::new().name("file watch".into()).spawn(move || {
            let mut watch = Watch::new(known);
            while stopped.recv_timeout(pause) == Err(RecvTimeoutError::Timeout) {
                if watch.look(files.stamp(&file).ok()) {
                    let text = files.read(&file);
                    *outbox.lock().unwrap_or_else(PoisonError::into_inner) = Some(text);
                    ready();
                }
            }
        })?;
        Ok(Watcher { news, path, _stop: stop })
    }

    /// The file.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The text of the file after a change that has not been taken yet.
    pub fn poll(&self) -> Option<io::Result<String>> {
        self.news.lock().unwrap_or_else(PoisonError::into_inner).take()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stamp(second: u64, length: u64) -> Option<Stamp> {
        Some(Stamp { changed: SystemTime::UNIX_EPOCH + Duration::from_secs(second), length })
    }

    #[test]
    fn verif_a_file_is_read_once_after_it_has_come_to_rest() {
        let mut watch = Watch::new(stamp(1, 10));
        assert!(!watch.look(stamp(1, 10)));
        assert!(!watch.look(stamp(2, 3)), "just changed");
        assert!(!watch.look(stamp(2, 12)), "still growing");
        assert!(watch.look(stamp(2, 12)), "at rest");
        assert!(!watch.look(stamp(2, 12)), "read already");
    }

    #[test]
    fn verif_a_file_that_is_replaced_is_read_and_one_that_is_gone_is_told_once() {
        let mut watch = Watch::new(stamp(1, 10));
        assert!(!watch.look(None), "perhaps it is being replaced");
        assert!(watch.look(None), "gone");
        assert!(!watch.look(None), "told already");
        assert!(!watch.look(stamp(5, 11)));
        assert!(watch.look(stamp(5, 11)));
        assert!(
            !watch.look(None) && !watch.look(stamp(5, 11)) && !watch.look(stamp(5, 11)),
            "the same file came back"
        );
    }

    #[test]
    fn verif_the_last_good_value_stays() {
        let mut value: LastGood<i32, &str> = LastGood::new(1);
        assert!(!value.offer(Err("line 3: unknown field")));
        assert_eq!((value.good(), value.trouble()), (&1, Some(&"line 3: unknown field")));
        assert!(value.offer(Ok(2)));
        assert_eq!((value.good(), value.trouble()), (&2, None));
    }

    struct Disk(Mutex<(u64, String)>);

    impl Files for Disk {
        fn stamp(&self, _: &Path) -> io::Result<Stamp> {
            let file = self.0.lock().expect("no panic holds it");
            Ok(Stamp {
                changed: SystemTime::UNIX_EPOCH + Duration::from_secs(file.0),
                length: file.1.len() as u64,
            })
        }

        fn read(&self, _: &Path) -> io::Result<String> {
            Ok(self.0.lock().expect("no panic holds it").1.clone())
        }

        fn write_new(&self, _: &Path, _: &[u8]) -> io::Result<()> {
            Err(io::ErrorKind::AlreadyExists.into())
        }

        fn replace(&self, _: &Path, _: &[u8]) -> io::Result<()> {
            Err(io::ErrorKind::PermissionDenied.into())
        }

        fn beside(&self, _: &Path, _: &str) -> Result<String, String> {
            Err("no other file".into())
        }

        fn scenarios(&self, _: &Path) -> Vec<PathBuf> {
            Vec::new()
        }
    }

    #[test]
    fn verif_the_watcher_brings_the_new_text() {
        let disk = Arc::new(Disk(Mutex::new((1, "old".into()))));
        let (rang, bell) = channel();
        let known = disk.stamp(Path::new("x")).ok();
        let files: Arc<dyn Files> = Arc::clone(&disk) as _;
        let watcher = Watcher::every(Duration::from_millis(1), "x".into(), known, files, move || {
            // The test may be over already.
            let _ = rang.send(());
        })
        .expect("a thread");
        assert!(watcher.poll().is_none());
        *disk.0.lock().expect("no panic holds it") = (2, "new text".into());
        bell.recv().expect("the change is noticed");
        assert_eq!(watcher.poll().and_then(Result::ok).as_deref(), Some("new text"));
        assert!(watcher.poll().is_none());
        assert_eq!(watcher.path(), Path::new("x"));
    }
}
