"""Serves a board from this machine, to the browser of the person who started it."""

from __future__ import annotations

import gc
import os
import socket
import sys
import tempfile
import webbrowser
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, cast

from checker.core.problems import CheckerError

if TYPE_CHECKING:
    from collections.abc import Callable

    import uvicorn

    from checker.board.desk import Desk
    from checker.board.guard import App, Tickets

LOOPBACK = "127.0.0.1"


class NoServer(CheckerError):
    """The page cannot be served: its libraries are not installed, or its port is taken."""


def serve(path: Path, say: Callable[[str], None], *, port: int = 0, opens: bool = True) -> None:
    """Serve the board of a site file until it is stopped.

    Args:
        path: The site file.
        say: Prints a line for the person.
        port: The port; 0 takes a free one.
        opens: Open the page in the person's browser.

    Raises:
        BadInput: The file is no site file.
        NoServer: The extra `draw` is not installed, or something else listens on the port.
    """
    if find_spec("uvicorn") is None or find_spec("starlette") is None:
        raise NoServer("the drawing board needs two more packages: pip install '.[draw]'")
    from checker.board.guard import Tickets

    look_through(path)
    keys = Tickets()
    with listening(port) as listener:
        host = f"{LOOPBACK}:{listener.getsockname()[1]}"
        with tempfile.TemporaryDirectory(prefix="soakline-") as folder:
            door = door_to(Path(folder), host, keys.ticket())
            say(f"The drawing board of {path.name} is open at http://{host}")
            say(f"It opens with this file, once: {door}")
            say("Stop it with Ctrl+C; every change is kept as it is made.")
            if opens:
                webbrowser.open(door.as_uri())
            _run(path, listener, keys, host)


def look_through(path: Path) -> None:
    """Tell what can be told of a site file before shapes are loaded: the browser opens meanwhile.

    Raises:
        BadInput: The file is no site file, or is on a board already.
    """
    from checker.board.journal import held_for
    from checker.files.opening import decoded, read_bytes
    from checker.files.rereading import read_lately
    from checker.files.shape import check_shape

    document = read_lately(decoded(read_bytes(path, path.name), path.name), path.name)
    check_shape("site", document.data, document)
    held_for(path).let_go()


def _run(path: Path, listener: socket.socket, keys: Tickets, host: str) -> None:
    """Serve a site file until it is stopped, or found not to be one."""
    desks: list[Desk] = []
    wrong: list[CheckerError] = []

    def opened() -> Desk:
        from checker.board.desk import Desk

        try:
            desks.append(Desk(path))
        except CheckerError as error:
            wrong.append(error)
            server.should_exit = True
            raise
        return desks[0]

    server = server_of(opened, keys, host)
    # What is loaded beside the page does not keep it waiting for its turn.
    sys.setswitchinterval(0.0005)
    gc.disable()
    try:
        server.run(sockets=[listener])
    finally:
        for desk in desks:
            desk.close()
    if wrong:
        raise wrong[0]


def listening(port: int = 0) -> socket.socket:
    """A socket of this machine alone, on which a browser may knock while the server is loaded."""
    # Named by its protocol, so that the event loop sends each small answer at once (TCP_NODELAY).
    found = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        found.bind((LOOPBACK, port))
        found.listen()
    except OSError as refused:
        found.close()
        raise NoServer(
            f"port {port} cannot be used: {refused.strerror}; without '--port' a free one is taken"
        ) from refused
    return found


def server_of(opened: Callable[[], Desk], keys: Tickets, host: str) -> uvicorn.Server:
    """What serves a design to whoever holds a key, under one host name; it is opened meanwhile."""
    import uvicorn

    from checker.board.guard import Guard
    from checker.board.shell import Shell

    def load() -> App:
        desk = opened()
        from checker.board.routes import application
        from checker.board.session import Board

        board = Board(desk, keys)
        board.begin()
        # What is loaded stays; no clearing up of memory looks through it again while a hand waits.
        gc.freeze()
        gc.enable()
        return cast("App", application(board))

    app = Guard(Shell(load), keys, host)
    settings = uvicorn.Config(app, log_level="error", access_log=False, lifespan="off", ws="none")
    return uvicorn.Server(settings)


def door_to(folder: Path, host: str, ticket: str) -> Path:
    """A private file that leads the browser on, so that the ticket is on no command line."""
    path = folder / "open-the-board.html"
    text = (
        '<!doctype html><meta charset="utf-8"><title>Drawing board</title>'
        f'<meta http-equiv="refresh" content="0; url=http://{host}/#{ticket}">'
        f'<p><a href="http://{host}/#{ticket}">Open the drawing board</a></p>\n'
    )
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "w", encoding="utf-8") as stream:
        stream.write(text)
    return path
