"""The first page in a real browser: what one came for without scrolling, on a desk and on a phone.

Skipped with a word where no browser or no driver is installed.
"""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from checker import api
from checker.findings.checked import Checked
from checker.papers.writing import reports_of
from tests.report.conftest import BRINE, FERNHOLLOW, SAMPLES, SITES, check_file
from tests.report.hard_lots import HARD, check_hard

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed")

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine")

FLAGS = ["--disable-gpu", "--no-first-run", "--disable-background-networking"]
LINDEN = SITES / "linden" / "after.yaml"
OSIER = SAMPLES / "osier-after" / "site.yaml"
"""Of 98 rules."""

LOTS = [LINDEN, BRINE, FERNHOLLOW, SAMPLES / "wren-terrace" / "site.yaml", OSIER]
NOT_ASKED = {"does not apply", "not in force"}
OTHERS = sorted(set(SAMPLES.glob("*/site.yaml")) - set(LOTS))
DESK = {"width": 1280, "height": 1200}
PHONE = {"width": 390, "height": 844}

BOTTOM = """name => {
  const found = document.querySelector(name);
  return found ? found.getBoundingClientRect().bottom + window.scrollY : null;
}"""
WIDER = """() => [...document.querySelectorAll('*')].filter(e => e.clientWidth > 0
  && e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).overflowX !== 'visible'
).map(e => e.outerHTML.slice(0, 80))"""
"""Whatever scrolls sideways in itself."""


ON_PAPER = """() => Object.fromEntries([...document.querySelectorAll('[id^="rule-"][id$="-title"]')]
  .map(e => [e.id.slice(5, -6), e.closest('details').innerText.replace(/\\s+/g, ' ')]))"""
"""All that is to be seen of each rule that has a line."""


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    as_root = ["--no-sandbox"] if os.geteuid() == 0 else []
    with playwright.sync_playwright() as driver:
        found = driver.chromium.launch(executable_path=CHROMIUM, args=[*FLAGS, *as_root])
        yield found
        found.close()


@pytest.fixture(scope="module", params=LOTS, ids=lambda path: path.parent.name)
def checked(request: pytest.FixtureRequest) -> Checked:
    return check_file(request.param)


@pytest.fixture(scope="module")
def report(checked: Checked, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path: Path = tmp_path_factory.mktemp("page") / "report.html"
    path.write_text(reports_of(checked)["report.html"], encoding="utf-8")
    return path


def opened(browser: Any, report: Path, size: dict[str, int]) -> Any:
    """The report in a window of a size; a machine at work on other things may take its time."""
    page = browser.new_page(viewport=size)
    page.set_default_timeout(180_000)
    page.goto(report.as_uri())
    return page


def test_a_desk_shows_verdict_bar_steps_and_plan(browser: Any, report: Path) -> None:
    page = opened(browser, report, DESK)
    for part in (".verdict", ".gauge svg", "#next", "#plan svg"):
        assert page.evaluate(BOTTOM, part) <= DESK["height"], part
    page.close()


def test_a_phone_scrolls_nothing_sideways(browser: Any, report: Path) -> None:
    page = opened(browser, report, PHONE)
    page.evaluate("document.querySelectorAll('details').forEach(e => e.open = true)")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert page.evaluate(WIDER) == []
    page.close()


@pytest.mark.parametrize("name", HARD)
def test_hard_lots_on_a_desk_and_a_phone(browser: Any, name: str, tmp_path: Path) -> None:
    checked = check_hard(name, tmp_path)
    report = tmp_path / "report.html"
    report.write_text(reports_of(checked)["report.html"], encoding="utf-8")
    page = opened(browser, report, DESK)
    for part in (".verdict", ".gauge svg", "#next", "#plan svg"):
        assert page.evaluate(BOTTOM, part) <= DESK["height"], part
    page.set_viewport_size(PHONE)
    page.evaluate("document.querySelectorAll('details').forEach(e => e.open = true)")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    page.close()


def test_on_paper_each_rule_has_its_clause(browser: Any, report: Path, checked: Checked) -> None:
    asked = (f for f in checked.verdict.findings if f.status not in NOT_ASKED)
    clauses = {f.rule: " ".join(str(f.citation).split()) for f in asked}
    page = opened(browser, report, DESK)
    page.emulate_media(media="print")
    shown = page.evaluate(ON_PAPER)
    assert set(shown) == set(clauses)
    assert [rule for rule, text in shown.items() if clauses[rule] not in text] == []
    page.emulate_media(media="screen")
    closed = page.locator("details:not([open]) > summary .clause")
    assert not any(item.is_visible() for item in closed.all())
    page.close()


def test_a_link_opens_what_it_leads_to(browser: Any, report: Path) -> None:
    page = opened(browser, report, DESK)
    target = page.locator("#sources")
    assert not target.is_visible()
    page.locator('nav a[href="#sources"]').click()
    playwright.expect(target).to_be_visible()
    page.close()


def test_no_finding_of_the_accessibility_engine(browser: Any, report: Path) -> None:
    for size in (DESK, PHONE):
        assert violations(browser, report, size) == []


def violations(browser: Any, file: Path, size: dict[str, int]) -> list[Any]:
    """What the engine finds on a page with everything opened."""
    page = opened(browser, file, size)
    page.evaluate("document.querySelectorAll('details').forEach(e => e.open = true)")
    found = axe.Axe().run(page).response["violations"]
    page.close()
    return [(v["id"], [n["html"][:120] for n in v["nodes"]][:3]) for v in found]


@pytest.mark.parametrize("path", OTHERS, ids=lambda path: path.parent.name)
def test_no_finding_on_the_pages_of_the_other_samples(
    browser: Any, path: Path, tmp_path: Path
) -> None:
    texts = reports_of(check_file(path))
    for name in ("report.html", "client.html"):
        file = tmp_path / name
        file.write_text(texts[name], encoding="utf-8")
        assert violations(browser, file, DESK) == [], name


@pytest.fixture(scope="module")
def other_pages(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """The other pages of one lot: change, comparison, sensitivity, the client's."""
    folder = tmp_path_factory.mktemp("pages")
    checked = check_file(SAMPLES / "least-change-patio" / "site.yaml")
    texts = {
        **api.change_pages(api.least_change(checked)),
        **api.comparison_pages(api.compare_designs([checked, check_file(FERNHOLLOW)])),
        **api.sensitivity_pages(api.sensitivity(checked)),
        "client.html": reports_of(checked)["client.html"],
    }
    pages = [folder / name for name in texts if name.endswith(".html")]
    for page in pages:
        page.write_text(texts[page.name], encoding="utf-8")
    assert {page.stem for page in pages} == {"change", "comparison", "sensitivity", "client"}
    return pages


def test_no_finding_on_the_other_pages(browser: Any, other_pages: list[Path]) -> None:
    for file in other_pages:
        ids = re.findall(r'\sid="([^"]+)"', file.read_text(encoding="utf-8"))
        assert len(ids) == len(set(ids)), file.name
        page = opened(browser, file, DESK)
        page.evaluate("document.querySelectorAll('details').forEach(e => e.open = true)")
        found = axe.Axe().run(page).response["violations"]
        told = [(v["id"], [n["html"][:120] for n in v["nodes"]][:3]) for v in found]
        assert told == [], file.name
        page.set_viewport_size(PHONE)
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= PHONE["width"], file.name
        page.close()
