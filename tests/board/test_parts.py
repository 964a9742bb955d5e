"""Drainage and sections on the drawing page: put by taps, edited in forms, worked out in place."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from checker import api
from tests.board.driving import expect, said

SAMPLE = "tern-court"


def test_drains_are_put_edited_and_worked_out(page: Any, path: Path) -> None:
    start = path.read_text(encoding="utf-8")
    page.get_by_role("button", name="Drainage").click()
    page.get_by_role("button", name="Dry well", exact=True).wait_for()
    page.get_by_role("button", name="Work out flows").click()
    expect(page.locator("#worked")).to_contain_text("blocked", timeout=60_000)
    wells = page.locator(".drain.stores").count()
    page.get_by_role("button", name="Outlet", exact=True).click()
    box = page.locator("#plan").bounding_box()
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + 40)
    said(page, "outlet drawn")
    assert page.locator(".drain.outlets").count() >= 1
    assert page.locator(".drain.stores").count() == wells
    page.get_by_label("kind", exact=True).last.wait_for(state="attached")
    page.get_by_role("button", name="Undo").click()
    said(page, "Undone: outlet drawn")
    # The same bytes as the file: there is nothing to save.
    assert page.get_by_role("button", name="Save").is_disabled()
    assert path.read_text(encoding="utf-8") == start
    assert page.wrong == []


def test_a_section_is_begun_chosen_and_edited(page: Any, path: Path) -> None:
    page.get_by_role("button", name="Sections").click()
    page.get_by_label("A new section, called").fill("Back court")
    page.keyboard.press("Enter")
    said(page, "back court: Back court")
    field = page.locator("#part-section-back-court-courses-3-thickness")
    field.fill("14 in")
    page.keyboard.press("Tab")
    said(page, "back court")
    page.get_by_role("button", name="Save").click()
    said(page, "Saved")
    assert page.wrong == []
    courses = api.load_site(path).document.data["sections"]["back-court"]["courses"]
    assert [course.get("thickness") for course in courses] == [
        "2-3/8 in", None, "2 in", "14 in", None,
    ]  # fmt: skip
