"""Drives the board in a real browser, as `soakline draw` serves it from a process of its own."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = [
    "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
SAMPLES = Path(__file__).resolve().parents[2] / "samples"


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


@contextmanager
def chromium() -> Iterator[Any]:
    """Debian's browser."""
    from playwright.sync_api import sync_playwright

    as_root = ["--no-sandbox"] if os.geteuid() == 0 else []
    with sync_playwright() as driver:
        found = driver.chromium.launch(executable_path=CHROMIUM, args=[*FLAGS, *as_root])
        yield found
        found.close()


def entered(browser: Any, command: Command, **settings: Any) -> Any:
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
