//! Files dropped on the window under X11, as file managers offer them: a list of file addresses («text/uri-list»).
//!
//! The window library takes only drops that offer plain text with bare paths, and tells nobody before the next event. Here a helper with a
//! connection of its own stands in for the window (XDND, version 5, of freedesktop.org: «XdndProxy»), takes the list, and has a frame drawn.
//! Elsewhere the window library's own drops are used.

use std::path::PathBuf;
use std::sync::mpsc::{Receiver, channel};

use super::desktop::Waker;

/// Paths that were dropped, in order. The helper lives as long as the program.
pub(super) fn watch(title: &str, waker: &Waker) -> Receiver<PathBuf> {
    let (paths, inbox) = channel();
    #[cfg(target_os = "linux")]
    {
        let (title, waker) = (title.to_owned(), waker.clone());
        // Without the helper, nothing can be dropped; files can still be opened by name.
        let _ = std::thread::Builder::new().name("file drops".into()).spawn(move || {
            let tell = |path| {
                paths.send(path).is_ok() && {
                    waker.wake();
                    true
                }
            };
            let _ = x11::serve(&title, &tell);
        });
    }
    #[cfg(not(target_os = "linux"))]
    {
        let _ = (title, waker, paths);
    }
    inbox
}

/// The files of a list: addresses as in RFC 2483 (one a line, `#` before a remark) and RFC 8089 (`file:` with or without a host), or bare
/// absolute paths. What names no file is left out.
pub(super) fn files_of(list: &str) -> Vec<PathBuf> {
    list.lines().map(str::trim_end).filter(|line| !line.starts_with('#')).filter_map(file_of).collect()
}

fn file_of(line: &str) -> Option<PathBuf> {
    let Some(rest) = line.strip_prefix("file:") else {
        return line.starts_with('/').then(|| PathBuf::from(line));
    };
    let path = match rest.strip_prefix("//") {
        Some(with_host) => &with_host[with_host.find('/')?..],
        None => rest,
    };
    if !path.starts_with('/') {
        return None;
    }
    // Percent signs stand for bytes (RFC 3986, 2.1).
    percent_encoding::percent_decode_str(path).decode_utf8().ok().map(|path| PathBuf::from(&*path))
}

#[cfg(target_os = "linux")]
mod x11 {
    use std::path::PathBuf;
    use std::time::Duration;

    use x11rb::connection::Connection;
    use x11rb::protocol::Event;
    use x11rb::protocol::xproto::{
        Atom, AtomEnum, ClientMessageEvent, ConnectionExt as _, CreateWindowAux, EventMask, PropMode, Window,
        WindowClass,
    };
    use x11rb::rust_connection::RustConnection;
    use x11rb::wrapper::ConnectionExt as _;

    use crate::window::desktop::find_windows;

    x11rb::atom_manager! {
        Atoms: AtomsCookie {
            XdndAware,
            XdndProxy,
            XdndEnter,
            XdndPosition,
            XdndStatus,
            XdndDrop,
            XdndFinished,
            XdndSelection,
            XdndTypeList,
            XdndActionCopy,
            UTF8_STRING,
            list: b"text/uri-list",
            data: b"_BRUSHARM_DROPPED",
        }
    }

    type Failure = Box<dyn std::error::Error>;

    /// A drop under way.
    #[derive(Default)]
    struct Drop {
        source: Window,
        target: Window,
        kind: Option<Atom>,
    }

    /// Stands in for the window until the display is gone. `tell` is given each path.
    pub(super) fn serve(title: &str, tell: &dyn Fn(PathBuf) -> bool) -> Result<(), Failure> {
        let (connection, screen) = x11rb::connect(None)?;
        let root = connection.setup().roots.get(screen).ok_or("no screen")?.root;
        let atoms = Atoms::new(&connection)?.reply()?;
        let windows = find_windows(&connection, root, title, Duration::from_secs(5));
        let own = connection.generate_id()?;
        connection.create_window(
            0,
            own,
            root,
            -10,
            -10,
            1,
            1,
            0,
            WindowClass::INPUT_ONLY,
            0,
            &CreateWindowAux::new().override_redirect(1),
        )?;
        // The one that stands in names itself, so that a leftover name of a closed program is noticed.
        for window in windows.into_iter().chain([own]) {
            connection.change_property32(
                PropMode::REPLACE,
                window,
                atoms.XdndProxy,
                AtomEnum::WINDOW,
                &[own],
            )?;
            connection.change_property32(PropMode::REPLACE, window, atoms.XdndAware, AtomEnum::ATOM, &[5])?;
        }
        connection.flush()?;
        let mut drop = Drop::default();
        loop {
            match connection.wait_for_event()? {
                Event::ClientMessage(message) => heard(&connection, &atoms, own, &mut drop, &message)?,
                Event::SelectionNotify(news) if news.property == atoms.data => {
                    let reply =
                        connection.get_property(true, own, atoms.data, AtomEnum::ANY, 0, 1 << 18)?.reply()?;
                    let text = String::from_utf8_lossy(&reply.value).into_owned();
                    answer(&connection, &drop, atoms.XdndFinished, [1, atoms.XdndActionCopy, 0, 0])?;
                    if !super::files_of(&text).into_iter().all(tell) {
                        return Ok(());
                    }
                }
                _ => {}
            }
            connection.flush()?;
        }
    }

    fn heard(
        connection: &RustConnection,
        atoms: &Atoms,
        own: Window,
        drop: &mut Drop,
        message: &ClientMessageEvent,
    ) -> Result<(), Failure> {
        let data = message.data.as_data32();
        if message.type_ == atoms.XdndEnter {
            let offered = if data[1] & 1 == 0 {
                data[2..].to_vec()
            } else {
                let types = connection
                    .get_property(false, data[0], atoms.XdndTypeList, AtomEnum::ATOM, 0, 1024)?
                    .reply()?;
                types.value32().map_or_else(Vec::new, Iterator::collect)
            };
            // A list of addresses before plain text.
            let kind = [atoms.list, atoms.UTF8_STRING].into_iter().find(|kind| offered.contains(kind));
            *drop = Drop { source: data[0], target: message.window, kind };
        } else if message.type_ == atoms.XdndPosition {
            let accepts = u32::from(drop.kind.is_some());
            let action = if drop.kind.is_some() { atoms.XdndActionCopy } else { 0 };
            answer(connection, drop, atoms.XdndStatus, [accepts, 0, 0, action])?;
        } else if message.type_ == atoms.XdndDrop {
            match drop.kind {
                Some(kind) => {
                    connection.convert_selection(own, atoms.XdndSelection, kind, atoms.data, data[2])?;
                }
                None => answer(connection, drop, atoms.XdndFinished, [0, 0, 0, 0])?,
            }
        }
        Ok(())
    }

    /// A message to the program that is dropped from: ours is the window that was meant.
    fn answer(connection: &RustConnection, drop: &Drop, kind: Atom, said: [u32; 4]) -> Result<(), Failure> {
        let [a, b, c, d] = said;
        let message = ClientMessageEvent::new(32, drop.source, kind, [drop.target, a, b, c, d]);
        connection.send_event(false, drop.source, EventMask::NO_EVENT, message)?;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn val_addresses_of_files_are_read_as_the_standards_write_them() {
        // Forms of RFC 8089, appendix B, and a list as in RFC 2483, section 5.
        let list = "# two files\r\nfile:///path/to/file\r\nfile:/path/to/file\r\nfile://host.example.com/path/to/file\r\n";
        assert_eq!(files_of(list), vec![PathBuf::from("/path/to/file"); 3]);
        assert_eq!(
            files_of("file:///lane%20one/50%25/b%C3%BCrste.ron"),
            [PathBuf::from("/lane one/50%/bürste.ron")]
        );
        assert_eq!(files_of("/bare/path with blanks.ron\n"), [PathBuf::from("/bare/path with blanks.ron")]);
    }

    #[test]
    fn verif_what_names_no_file_is_left_out() {
        for text in ["", "http://example.com/a", "some words", "file:relative", "file://host-only", "#/a/b"] {
            assert!(files_of(text).is_empty(), "{text}");
        }
        // A percent sign without digits stands for itself; bytes that are no text name nothing.
        assert_eq!(files_of("file:///100%"), [PathBuf::from("/100%")]);
        assert!(files_of("file:///%FF").is_empty());
    }
}
