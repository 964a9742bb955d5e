"""The report of a screening in a real browser: read by a machine, on a desk, a phone and paper.

Skipped with a word where no browser or no driver is installed.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from checker import api
from tests.screen.test_run import drawn

pytest.importorskip("pyarrow")
playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed")

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine")

DESK = {"width": 1280, "height": 1200}
PHONE = {"width": 390, "height": 844}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A town under its own limit and two others, with its report."""
    found = tmp_path_factory.mktemp("town")
    town = drawn(found, 200)
    screening = api.screen(town, found / "judged.parquet", limits=["cover-share=25%,30%"])
    api.write_pages(api.screening_pages(screening), found / "report")
    return found / "report"


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    flags = ["--disable-gpu", "--no-first-run", "--disable-background-networking"]
    as_root = ["--no-sandbox"] if os.geteuid() == 0 else []
    with playwright.sync_playwright() as driver:
        found = driver.chromium.launch(executable_path=CHROMIUM, args=[*flags, *as_root])
        yield found
        found.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_no_finding_and_nothing_wider_than_the_screen(
    browser: Any, folder: Path, size: dict[str, int], scheme: str
) -> None:
    page = browser.new_page(viewport=size, color_scheme=scheme)
    page.goto((folder / "screening.html").as_uri())
    found = axe.Axe().run(page).response["violations"]
    assert [(v["id"], [n["html"][:120] for n in v["nodes"]][:3]) for v in found] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
    page.close()


def test_every_picture_has_its_numbers_beside_it(browser: Any, folder: Path) -> None:
    """Each drawing has a text of its own and a table in its section; none is loaded from afar."""
    page = browser.new_page(viewport=DESK)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto((folder / "screening.html").as_uri())
    names = page.evaluate(
        "() => [...document.querySelectorAll('svg')].map(e => e.getAttribute('aria-label')"
        " || e.querySelector('title')?.textContent || '')"
    )
    assert len(names) >= 3
    assert all(names)
    tables = page.evaluate(
        "() => [...document.querySelectorAll('section')].filter(e => e.querySelector('svg'))"
        ".map(e => e.querySelectorAll('table').length)"
    )
    assert all(tables)
    assert all(url.startswith("file:") for url in asked)
    page.close()


def test_on_paper_no_picture_is_cut_and_nothing_is_hidden(browser: Any, folder: Path) -> None:
    page = browser.new_page(viewport={"width": 720, "height": 1000})
    page.goto((folder / "screening.html").as_uri())
    on_screen = page.inner_text("main").split()
    page.emulate_media(media="print")
    assert page.inner_text("main").split() == on_screen
    wide = page.evaluate(
        "() => Math.max(...[...document.querySelectorAll('svg, table')]"
        ".map(e => e.getBoundingClientRect().right))"
    )
    assert wide <= 720
    page.close()
