"""Drives the board in a real browser: as `soakline draw` serves it, or from this process.

The second is the same board, guard and server without two seconds of loading; what a test says of
the process itself (that it is killed, how fast it starts) needs the first.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Protocol

from checker import api
from checker.board.desk import Desk
from checker.board.guard import Tickets
from checker.board.serve import LOOPBACK, door_to, listening, server_of

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = [
    "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
SAMPLES = Path(__file__).resolve().parents[2] / "samples"


class Board(Protocol):
    """A board that is served; its door lets a browser in, once."""

    door: Path


class Command:
    """`soakline draw` as its own process."""

    def __init__(self, path: Path) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "checker", "draw", str(path), "--no-browser"],
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        )  # fmt: skip
        assert self.process.stdout is not None
        said = ""
        for line in self.process.stdout:
            said += line
            match = re.search(r"once: (.*)$", line)
            if match:
                self.door = Path(match[1])
                return
        raise AssertionError(f"the command ended: {said}")

    def kill(self) -> None:
        self.process.kill()
        self.process.wait()
        assert self.process.stdout is not None
        self.process.stdout.close()


@contextmanager
def served(path: Path) -> Iterator[Command]:
    """The board of a site file, until the block ends."""
    started = Command(path)
    try:
        yield started
    finally:
        started.kill()


class _Here:
    """A board that this process serves."""

    def __init__(self, door: Path) -> None:
        self.door = door


@contextmanager
def served_here(path: Path) -> Iterator[Board]:
    """The board of a site file, served by a thread until the block ends."""
    if not path.exists():
        api.empty_site(path)
    keys = Tickets()
    with served_at(Desk(path), keys) as port, tempfile.TemporaryDirectory() as folder:
        yield _Here(door_to(Path(folder), f"{LOOPBACK}:{port}", keys.ticket()))


@contextmanager
def served_at(desk: Desk, keys: Tickets) -> Iterator[int]:
    """The port at which a thread serves a design to whoever has a key, until the block ends."""
    with listening() as listener:
        port: int = listener.getsockname()[1]
        server = server_of(lambda: desk, keys, f"{LOOPBACK}:{port}")
        work = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
        work.start()
        try:
            yield port
        finally:
            server.should_exit = server.force_exit = True
            work.join()
            desk.close()


@contextmanager
def chromium() -> Iterator[Any]:
    """Debian's browser."""
    from playwright.sync_api import sync_playwright

    as_root = ["--no-sandbox"] if os.geteuid() == 0 else []
    with sync_playwright() as driver:
        found = driver.chromium.launch(executable_path=CHROMIUM, args=[*FLAGS, *as_root])
        yield found
        found.close()


def expect(what: Any) -> Any:
    """What is to be seen on a page, within the time of a busy machine."""
    from playwright.sync_api import expect as expected

    expected.set_options(timeout=20_000)
    return expected(what)


def said(page: Any, text: str) -> None:
    """What the page says when an act is done."""
    expect(page.locator("#said")).to_contain_text(text)


def entered(browser: Any, command: Board, **settings: Any) -> Any:
    """The page, let in by its ticket; what goes wrong in it is kept in `page.wrong`."""
    context = browser.new_context(**{"viewport": {"width": 1280, "height": 900}} | settings)
    page = context.new_page()
    page.wrong = []
    page.on("pageerror", lambda error: page.wrong.append(str(error)))
    page.on("console", lambda said: page.wrong.append(said.text) if said.type == "error" else None)
    page.set_default_timeout(30_000)
    page.goto(command.door.as_uri())
    page.locator("#start h2, #verdict-body p").first.wait_for()
    return page
