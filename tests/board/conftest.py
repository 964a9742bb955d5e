"""One browser for all tests of the page; a board of its own for each, served from this process."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.board.driving import CHROMIUM, SAMPLES, Board, chromium, entered, served_here


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Debian's browser, closed behind each module: only one driver runs in a process."""
    pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    if CHROMIUM is None:
        pytest.skip("no Chromium on this machine")
    with chromium() as found:
        yield found


@pytest.fixture
def path(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """The site file: a copy of the sample that the module names as SAMPLE, or one to be begun."""
    sample = getattr(request.module, "SAMPLE", None)
    if sample is None:
        return tmp_path / "own.yaml"
    shutil.copytree(SAMPLES / sample, tmp_path / "lot")
    return tmp_path / "lot" / "site.yaml"


@pytest.fixture
def command(path: Path) -> Iterator[Board]:
    """Its board."""
    with served_here(path) as found:
        yield found


@pytest.fixture
def page(browser: Any, command: Board) -> Iterator[Any]:
    """The page of it."""
    found = entered(browser, command)
    yield found
    found.context.close()
