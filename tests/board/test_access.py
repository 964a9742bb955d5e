"""No room and no state of the page has a barrier that an independent checker (axe-core) finds.

Light and wide, dark and narrow; with target size switched on, which is off by default.
"""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

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
        assert page.wrong == []
    assert wrong == []
