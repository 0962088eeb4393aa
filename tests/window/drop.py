#!/usr/bin/python3
"""Drops a file on a window as a file manager does: XDND, version 5, offering «text/uri-list» only.

drop.py TITLE FILE. Needs python3-xlib. Ends with 1 when the window does not take the drop.
"""
import sys
import time
import urllib.parse

from Xlib import X, display
from Xlib.protocol import event

title, path = sys.argv[1:]
link = display.Display()
root = link.screen().root
atom = link.intern_atom


def named(window):
    """The first window under this one whose title begins with the wanted one."""
    for child in window.query_tree().children:
        name = child.get_full_property(atom("_NET_WM_NAME"), X.AnyPropertyType)
        if name is not None and bytes(name.value).decode("utf-8", "replace").startswith(title):
            return child
        below = named(child)
        if below is not None:
            return below
    return None


target = named(root)
if target is None:
    sys.exit(f"no window «{title}»")
aware = target.get_full_property(atom("XdndAware"), X.AnyPropertyType)
if aware is None:
    sys.exit("the window takes no drops")
proxy = target.get_full_property(atom("XdndProxy"), X.AnyPropertyType)
to = link.create_resource_object("window", proxy.value[0]) if proxy is not None else target

source = root.create_window(0, 0, 1, 1, 0, X.CopyFromParent, X.InputOutput, event_mask=X.PropertyChangeMask)
source.set_selection_owner(atom("XdndSelection"), X.CurrentTime)
link.sync()


def say(kind, *data):
    """Sends one message of the protocol to whoever stands in for the window."""
    message = event.ClientMessage(window=target, client_type=atom(kind), data=(32, (list(data) + [0] * 5)[:5]))
    to.send_event(message, event_mask=X.NoEventMask)
    link.flush()


def hear(kind, seconds=20):
    """Waits for an answer of the protocol; hands out the list of addresses when it is asked for."""
    until = time.time() + seconds
    while time.time() < until:
        if not link.pending_events():
            time.sleep(0.02)
            continue
        news = link.next_event()
        if news.type == X.SelectionRequest:
            address = "file://" + urllib.parse.quote(path) + "\r\n"
            taken = news.target == atom("text/uri-list")
            if taken:
                news.requestor.change_property(news.property, news.target, 8, address.encode())
            news.requestor.send_event(
                event.SelectionNotify(
                    time=news.time,
                    requestor=news.requestor,
                    selection=news.selection,
                    target=news.target,
                    property=news.property if taken else X.NONE,
                )
            )
            link.flush()
        elif news.type == X.ClientMessage and news.client_type == atom(kind):
            return list(news.data[1])
    sys.exit(f"no {kind}")


say("XdndEnter", source.id, 5 << 24, atom("text/uri-list"))
say("XdndPosition", source.id, 0, (300 << 16) | 300, X.CurrentTime, atom("XdndActionCopy"))
status = hear("XdndStatus")
if status[1] & 1 == 0:
    sys.exit("the window does not accept a list of files")
say("XdndDrop", source.id, 0, X.CurrentTime)
finished = hear("XdndFinished")
print(f"accepted: {finished[1] & 1}")
sys.exit(0 if finished[1] & 1 else 1)
