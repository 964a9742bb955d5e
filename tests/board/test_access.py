"""No room and no state of the page has a barrier that an independent checker (axe-core) finds.

Light and wide, dark and narrow; with target size switched on, which is off by default.
"""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from tests.board.driving import SAMPLES, entered, served_here

axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed")
OPTIONS = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"],
    "rules": {"target-size": {"enabled": True}},
}
SCREENS: dict[str, dict[str, Any]] = {
    "light": {},
    "dark and narrow": {
        "color_scheme": "dark",
        "viewport": {"width": 390, "height": 800},
        "has_touch": True,
        "is_mobile": True,
    },
}


def found_in(page: Any, room: str) -> list[tuple[str, str, str]]:
    """What the checker finds, with the room; and that nothing stands out at the side."""
    violations = axe.Axe().run(page, options=OPTIONS).response["violations"]
    found = [(room, item["id"], item["nodes"][0]["html"]) for item in violations]
    if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
        found.append((room, "wider than the screen", ""))
    return found


def press(page: Any, name: str, until: str) -> None:
    page.get_by_role("button", name=name, exact=True).first.click()
    page.locator(until).first.wait_for()


def found_beside(page: Any) -> list[tuple[str, str, str]]:
    """A spot level and a hole: their forms, and what is shown of them."""
    wrong: list[tuple[str, str, str]] = []
    press(page, "Spot level", "#new-level")
    for field, value in (("#new-level", "99.5"), ("#new-x", "4"), ("#new-y", "9")):
        page.locator(field).fill(value)
    page.get_by_role("button", name="Draw it", exact=True).last.click()
    page.locator('[data-thing="levels/level-1"]').wait_for()
    wrong += found_in(page, "a new spot level")
    press(page, "Done", "#plan")
    press(page, "Level 99.5", "#field-level")
    wrong += found_in(page, "a spot level")
    press(page, "House", ".overlaps, #field-id")
    press(page, "Hole", "#new-way")
    for field, value in (
        ("#new-x", "30"),
        ("#new-y", "40"),
        ("#new-width", "4"),
        ("#new-depth", "4"),
    ):
        page.locator(field).fill(value)
    wrong += found_in(page, "a new hole")
    page.get_by_role("button", name="Draw it", exact=True).last.click()
    page.get_by_role("button", name="Fill hole 1", exact=True).wait_for()
    page.locator("#field-distance-0").wait_for()
    wrong += found_in(page, "a hole, distances and overlaps")
    return wrong


@pytest.mark.parametrize("screen", SCREENS)
def test_each_room_is_free_of_barriers(browser: Any, tmp_path: Path, screen: str) -> None:
    shutil.copytree(SAMPLES / "tern-court", tmp_path / "lot")
    wrong: list[tuple[str, str, str]] = []
    with served_here(tmp_path / "new.yaml") as command:
        page = entered(browser, command, **SCREENS[screen])
        wrong += found_in(page, "start")
    with served_here(tmp_path / "lot" / "site.yaml") as command:
        page = entered(browser, command, **SCREENS[screen])
        page.locator("#outline-body button").first.wait_for()
        wrong += found_in(page, "plan")
        press(page, "Drainage", "#parts summary")
        for fold in page.locator("#parts summary").all()[:3]:
            fold.click()
        wrong += found_in(page, "drainage")
        page.locator('[data-thing^="ways_out.inlets/"]').first.focus()
        page.locator("#field-place-0").wait_for()
        wrong += found_in(page, "a drain")
        press(page, "Sections", "#part-section-kind")
        press(page, "Begin it", "#worked img")
        wrong += found_in(page, "sections")
        press(page, "Variants", "#variants input")
        press(page, "Try materials", "#tried-form *")
        press(page, "Permit packet", "#packet *")
        wrong += found_in(page, "variants, materials, packet")
        press(page, "Choose several", "#toolbar [aria-pressed=true]")
        for button in page.locator("#outline-body button").all()[:2]:
            button.click()
        page.locator("#field-material-all").wait_for()
        wrong += found_in(page, "several")
        press(page, "Choose several", "#toolbar")
        page.keyboard.press("Escape")
        page.locator("#plan").focus()
        page.mouse.move(1, 1)
        press(page, "Polygon", "#new-material")
        wrong += found_in(page, "a new surface")
        press(page, "Easement, well, tree", "#new-kind")
        wrong += found_in(page, "a new easement")
        page.get_by_label("What it is", exact=True).select_option("features/well")
        for field, value in (("#new-x", "4"), ("#new-y", "9")):
            page.locator(field).fill(value)
        page.get_by_role("button", name="Draw it", exact=True).last.click()
        page.locator("#outline-body table").nth(1).wait_for()
        wrong += found_in(page, "a well that is drawn")
        press(page, "Done", "#plan")
        page.locator('[data-thing="features/well"]').focus()
        page.locator("#field-distance-0").wait_for()
        wrong += found_in(page, "a well that is chosen")
        press(page, "Take away", "#plan")
        wrong += found_beside(page)
        assert page.wrong == []
    assert wrong == []


@pytest.mark.parametrize("screen", SCREENS)
def test_each_state_of_the_search_and_of_the_file(
    browser: Any, tmp_path: Path, screen: str
) -> None:
    """Options found and drawn over the plan, materials tried, a place made, a file changed, no
    answer."""
    shutil.copytree(SAMPLES / "fernhollow-before", tmp_path / "lot")
    path = tmp_path / "lot" / "site.yaml"
    wrong: list[tuple[str, str, str]] = []
    with served_here(path) as command:
        page = entered(browser, command, **SCREENS[screen])
        press(page, "Find the least change", "#found-body")
        page.get_by_role("button", name="Show it on the plan").first.wait_for()
        wrong += found_in(page, "options")
        press(page, "Show it on the plan", "#over-take")
        wrong += found_in(page, "an option over the plan")
        press(page, "Back to the options", "#found-body")
        press(page, "Terrace", "#field-material")
        press(page, "Try materials", "#tried tbody tr")
        wrong += found_in(page, "materials tried")
        page.keyboard.press("Escape")
        press(page, "Close: Other materials", "#plan")
        page.locator("#plan").focus()
        page.keyboard.press("Escape")
        page.evaluate("document.querySelector('#plan').dispatchEvent(new MouseEvent('click'))")
        press(page, "Another place", "#place-title")
        wrong += found_in(page, "a place of one's own")
        press(page, "Polygon", "#new-material")
        page.locator("#typed").fill("no length")
        page.locator("#typed").press("Enter")
        page.locator("#said.refused").wait_for()
        for typed in ("5 5", "9 0", "0 9"):
            page.locator("#typed").fill(typed)
            page.locator("#typed").press("Enter")
        page.get_by_role("button", name="End it here").wait_for()
        wrong += found_in(page, "a refusal, and a polygon that is begun")
        path.write_text(path.read_text(encoding="utf-8") + "\n", encoding="utf-8")
        page.get_by_role("button", name="Take the file").wait_for()
        wrong += found_in(page, "a file changed elsewhere")
        assert page.wrong == []
    page.locator("#banner", has_text="does not answer").wait_for()
    wrong += found_in(page, "no answer")
    assert wrong == []


@pytest.mark.parametrize("screen", SCREENS)
def test_what_is_handed_in(browser: Any, tmp_path: Path, screen: str) -> None:
    """Layers of a drawing, and a scanned survey that is being fitted."""
    scan = tmp_path / "scan.png"
    Image.new("L", (300, 400), 200).save(scan)
    wrong: list[tuple[str, str, str]] = []
    with served_here(tmp_path / "drawn.yaml") as command:
        page = entered(browser, command, **SCREENS[screen])
        page.get_by_label("A file:").set_input_files(SAMPLES / "dxf-lot" / "survey.dxf")
        page.locator("#layers tbody tr").first.wait_for()
        wrong += found_in(page, "layers")
    with served_here(tmp_path / "traced.yaml") as command:
        page = entered(browser, command, **SCREENS[screen])
        page.get_by_label("A PDF, PNG or JPEG").set_input_files(scan)
        page.locator("#plan image").wait_for()
        press(page, "Scale by two points", "#plan image")
        wrong += found_in(page, "a survey to trace")
    assert wrong == []
