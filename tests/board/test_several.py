"""Several surfaces at once, drainage moved on the plan, usual sections; in a real browser."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

from checker import api
from tests.board.driving import SAMPLES, entered, expect, said, served_here

SAMPLE = "tern-court"


def unchanged(page: Any, times: int) -> None:
    """Undo so often; then the text is the file's own again, byte for byte."""
    for _ in range(times):
        page.get_by_role("button", name="Undo").click()
        said(page, "Undone")
        page.evaluate("document.getElementById('said').textContent = ''")
    expect(page.get_by_role("button", name="Save")).to_be_disabled()
    assert page.wrong == []


def test_several_are_moved_copied_and_taken_away_as_one_step(page: Any) -> None:
    rows = page.locator("#outline-body tbody tr")
    count = rows.count()
    page.locator("#plan").focus()
    page.keyboard.press("m")
    said(page, "Tap each surface")
    names = rows.locator("button")
    names.nth(count - 1).click()
    names.nth(count - 2).press("Enter")
    said(page, "2 surfaces chosen")
    page.locator("#plan").focus()
    page.keyboard.press("ArrowRight")
    said(page, "2 surfaces moved")
    page.get_by_role("button", name="Copy all").click()
    expect(rows).to_have_count(count + 2)
    said(page, "2 surfaces copied")
    expect(page.locator("#selected-title")).to_have_text("2 surfaces")
    page.locator("#plan").focus()
    page.keyboard.press("Delete")
    expect(rows).to_have_count(count)
    unchanged(page, 3)


def test_a_drain_and_the_end_of_a_pipe_follow_hand_and_keys(page: Any) -> None:
    name = "rear-leader"
    page.locator(f'[data-thing="ways_out.inlets/{name}"]').click()
    expect(page.locator("#selected-title")).to_contain_text(name)
    before = page.get_by_label("Place", exact=True).input_value()
    page.keyboard.press("ArrowRight")
    said(page, f"{name.replace('-', ' ')} moved")
    x, y = map(float, before.split())
    expect(page.get_by_label("Place", exact=True)).to_have_value(f"{x + 1:g} {y:g}")
    page.locator('[data-thing="ways_out.inlets/channel"]').focus()
    page.get_by_role("button", name="Put a bend in").click()
    said(page, "channel moved")
    expect(page.locator(".handle")).to_have_count(3)
    box = page.locator(".handle").nth(1).bounding_box()
    page.evaluate("document.getElementById('said').textContent = ''")
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.mouse.move(box["x"] + 40, box["y"] + 40, steps=5)
    page.mouse.up()
    said(page, "channel moved")
    unchanged(page, 3)


def test_each_usual_section_is_begun_drawn_and_read(browser: Any, tmp_path: Path) -> None:
    path = Path(shutil.copy(SAMPLES / "fernhollow-before/site.yaml", tmp_path / "site.yaml"))
    with served_here(path) as command:
        _begin_each(entered(browser, command), path)


def _begin_each(page: Any, path: Path) -> None:
    page.get_by_role("button", name="Sections").click()
    page.get_by_label("As usual for").wait_for()
    keys = page.locator("#part-section-kind option").evaluate_all("all => all.map(o => o.value)")
    for number, key in enumerate(keys):
        page.get_by_label("As usual for").select_option(key)
        page.get_by_label("A new section, called").fill(f"Trial {number}")
        page.get_by_role("button", name="Begin it").click()
        said(page, f"trial {number}: ")
        expect(page.locator("#worked img")).to_have_count(number + 1)
    page.get_by_role("button", name="Save").click()
    said(page, "Saved")
    assert page.wrong == []
    site = api.load_site(path)
    assert len(site.document.data["sections"]) == len(keys)
    api.check(site, api.load_ruleset_for(site))
