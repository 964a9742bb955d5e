"""The client's page comes out of a browser's printer on one sheet, Letter and A4, of every sample.

Skipped with a word where no browser or no driver is installed.
"""

from __future__ import annotations

import io
import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from checker import api
from tests.report.conftest import BRINE, SAMPLES, SITES, SORREL, check_file

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
pypdf = pytest.importorskip("pypdf")

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine")

LOTS = [SITES / "linden" / "after.yaml", BRINE, SORREL, *sorted(SAMPLES.glob("*/site.yaml"))]


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    as_root = ["--no-sandbox"] if os.geteuid() == 0 else []
    with playwright.sync_playwright() as driver:
        found = driver.chromium.launch(executable_path=CHROMIUM, args=as_root)
        yield found
        found.close()


def sheets(page: Any, size: str) -> Any:
    return pypdf.PdfReader(io.BytesIO(page.pdf(format=size))).pages


@pytest.mark.parametrize("path", LOTS, ids=lambda p: p.parent.name if p.stem == "site" else p.stem)
def test_one_sheet(browser: Any, path: Path, tmp_path: Path) -> None:
    page = browser.new_page()
    page.set_default_timeout(180_000)
    page.goto(api.write_client(check_file(path), tmp_path / "client.html").as_uri())
    for size in ("Letter", "A4"):
        found = sheets(page, size)
        assert len(found) == 1, size
        # The last thing on it is there too.
        assert "licensed people" in " ".join(found[0].extract_text().split())
    page.close()


def test_a_longer_page_takes_more_sheets(browser: Any, tmp_path: Path) -> None:
    page = browser.new_page()
    page.set_default_timeout(180_000)
    page.goto(api.write_client(check_file(SORREL), tmp_path / "client.html").as_uri())
    page.evaluate("document.body.append(...[...Array(9)].map(() => document.body.cloneNode(true)))")
    assert len(sheets(page, "Letter")) > 1
    page.close()
