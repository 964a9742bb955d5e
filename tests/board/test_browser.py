"""The board in a real browser: a person draws, sees, undoes and saves; by pointer, keys and finger.

Skipped with a word where no browser or no driver is installed.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.board.driving import Board, Command, entered, expect, said, served_here

SAMPLE = "fernhollow-before"

axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed")


def opened(browser: Any, command: Board, **settings: Any) -> Any:
    page = entered(browser, command, **settings)
    page.get_by_role("button", name="Terrace", exact=True).wait_for()
    return page


def verdict(page: Any) -> str:
    return str(page.locator("#verdict-body .whole strong").inner_text())


def test_a_person_draws_by_pointer_sees_it_undoes_it_and_saves(
    browser: Any, command: Board, path: Path
) -> None:
    start = path.read_text(encoding="utf-8")
    page = opened(browser, command)
    assert verdict(page) == "fails"
    page.get_by_role("button", name="Terrace", exact=True).click()
    page.get_by_label("Depth", exact=True).fill("43")
    page.get_by_label("Depth", exact=True).press("Enter")
    said(page, "terrace reshaped")
    # 64 x 3 = 192 sq ft less; 142 was too much.
    expect(page.locator("#verdict-body .whole strong")).to_have_text("passes")
    page.get_by_role("button", name="Undo").click()
    said(page, "Undone: terrace reshaped")
    expect(page.locator("#verdict-body .whole strong")).to_have_text("fails")
    page.get_by_role("button", name="Redo").click()
    page.get_by_role("button", name="Save").click()
    said(page, "Saved")
    text = path.read_text(encoding="utf-8")
    assert text == start.replace("size: [64, 46]", "size: [64, 43]")
    assert page.wrong == []


def test_the_lot_line_is_drawn_its_sides_named_and_its_place_picked(
    browser: Any, tmp_path: Path
) -> None:
    """The invented lot of the samples from its measures: 80 by 125 ft, a house of 48 by 30."""
    path = tmp_path / "own.yaml"
    path.write_text(
        "format: site/1\ntitle: Own lot\nplace: alder-ferry\nunits: ft\nfacts: {zone: R-2}\n"
        "rest_of_lot: lawn\nsurfaces:\n"
        "  - {id: shed, material: roof, stage: existing, attributes: {purpose: accessory},"
        " shape: {rectangle: {corner: [66, 110], size: [10, 12]}}}\n",
        encoding="utf-8",
    )
    with served_here(path) as command:
        context = browser.new_context(viewport={"width": 1280, "height": 900})
        page = context.new_page()
        page.goto(command.door.as_uri())
        page.get_by_role("button", name="Shed", exact=True).wait_for()
        assert verdict(page) == "cannot tell"
        page.get_by_role("button", name="Lot line").click()
        for typed in ("0 0", "80 0", "0 125", "-80 0"):
            page.locator("#typed").fill(typed)
            page.locator("#typed").press("Enter")
        page.locator("#plan").focus()
        page.keyboard.press("Enter")
        said(page, "lot line reshaped")
        page.keyboard.press("Escape")
        page.get_by_label("Line 1:").select_option("front")
        said(page, "sides")
        page.get_by_label("Line 3:").select_option("rear")
        expect(page.locator("#verdict-body .whole strong")).to_have_text("passes")
        page.get_by_role("button", name="Save").click()
        said(page, "Saved")
    text = path.read_text(encoding="utf-8")
    assert "points: [[0, 0], [80, 0], [80, 125], [0, 125]]" in text
    assert "front: [1]" in text


def test_everything_by_keys_alone(browser: Any, command: Board) -> None:
    page = opened(browser, command)
    plan = page.locator("#plan")
    plan.focus()
    page.keyboard.press("r")
    for _ in range(3):
        page.keyboard.press("Shift+ArrowUp")
    page.keyboard.press("Enter")
    page.locator("#typed").focus()
    page.keyboard.type("6 4")
    page.keyboard.press("Enter")
    said(page, "concrete slab drawn")
    expect(page.locator("#selected-title")).to_contain_text("Concrete slab")
    page.locator('[data-id="concrete-slab"]').focus()
    page.keyboard.press("ArrowLeft")
    said(page, "concrete slab moved")
    page.keyboard.press("Delete")
    said(page, "concrete slab taken away")
    page.keyboard.press("Control+z")
    said(page, "Undone")
    assert page.wrong == []


def test_dragging_shows_the_verdict_before_anything_is_changed(
    browser: Any, command: Board
) -> None:
    page = opened(browser, command)
    page.get_by_role("button", name="Terrace", exact=True).click()
    handle = page.locator(".handle").nth(2)
    box = handle.bounding_box()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.mouse.move(box["x"] - 20, box["y"] + 60, steps=8)
    expect(page.locator(".trial")).to_be_visible()
    page.keyboard.press("Escape")
    page.mouse.up()
    said(page, "terrace reshaped")
    assert page.wrong == []


def test_a_killed_server_loses_nothing(browser: Any, path: Path) -> None:
    first = Command(path)
    page = opened(browser, first)
    page.get_by_role("button", name="Shed", exact=True).click()
    page.locator('[data-id="shed"]').focus()
    page.keyboard.press("ArrowLeft")
    said(page, "shed moved")
    first.kill()
    expect(page.locator("#banner")).to_contain_text("does not answer")
    second = Command(path)
    try:
        again = opened(browser, second)
        again.get_by_role("button", name="Undo").click()
        said(again, "Undone: shed moved")
    finally:
        second.kill()


def test_a_second_tab_follows(browser: Any, command: Board) -> None:
    page = opened(browser, command)
    secret = page.evaluate("sessionStorage.getItem('board-secret')")
    other = page.context.new_page()
    other.add_init_script(f"sessionStorage.setItem('board-secret', '{secret}')")
    other.goto(page.url)
    other.get_by_role("button", name="Shed", exact=True).click()
    other.get_by_role("button", name="Take away").click()
    expect(page.get_by_role("button", name="Shed", exact=True)).to_have_count(0)


def test_a_used_ticket_opens_nothing(browser: Any, command: Board) -> None:
    opened(browser, command)
    page = browser.new_context().new_page()
    page.goto(command.door.as_uri())
    expect(page.locator("#hint")).to_contain_text("opens once")


def test_fingers_and_a_narrow_screen(browser: Any, command: Board) -> None:
    page = opened(browser, command, has_touch=True, is_mobile=True)
    page.set_viewport_size({"width": 390, "height": 800})
    page.get_by_role("button", name="Shed", exact=True).tap()
    page.get_by_role("button", name="Move to a place").tap()
    box = page.locator("#plan").bounding_box()
    page.locator("#plan").tap(
        position={"x": box["width"] * 0.5, "y": box["height"] * 0.12}, force=True
    )
    said(page, "shed moved")
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= 390


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_barriers_that_a_checker_finds(browser: Any, command: Board, scheme: str) -> None:
    page = opened(browser, command, color_scheme=scheme)
    options = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
    for act in (
        lambda: None,
        lambda: page.get_by_role("button", name="Terrace", exact=True).click(),
        lambda: page.get_by_role("button", name="Try materials").click(),
        lambda: page.get_by_role("button", name="Variants").click(),
        lambda: page.get_by_role("button", name="Find the least change").click(),
        lambda: page.get_by_role("button", name="Permit packet").click(),
        lambda: page.get_by_role("button", name="Rectangle").click(),
    ):
        act()
        page.wait_for_timeout(400)
        found = axe.Axe().run(page, options=options).response["violations"]
        assert [(item["id"], item["nodes"][0]["html"]) for item in found] == []


def test_arcs_are_declared_as_the_engine_reads_them(browser: Any, command: Board) -> None:
    """A half circle of 10 ft radius to the right of a walk to the east, and a longer one."""
    page = opened(browser, command)
    found = page.evaluate(
        """async () => {
        const { arcOf, alongArc } = await import("/static/geometry/shapes.js");
        const half = arcOf([0, 0], [10, -10], [20, 0]);
        const long = arcOf([0, 0], [10, -30], [20, 0]);
        const ends = alongArc([0, 0], long, [20, 0]);
        return { half, long, flat: arcOf([0, 0], [5, 0], [9, 0]),
          low: Math.min(...ends.map((p) => p[1])) }; }"""
    )
    # From the circle through three points: radius 10; and 500/30 = 16.67, middle 30 from the chord.
    assert found["half"] == {"turn": "left", "middle": pytest.approx(10)}
    assert found["long"] == {"turn": "left", "middle": pytest.approx(30)}
    assert found["low"] == pytest.approx(-30)
    assert found["flat"] is None


def test_a_polygon_with_an_arc_is_drawn_split_and_joined(
    browser: Any, command: Board, path: Path
) -> None:
    page = opened(browser, command)
    page.get_by_role("button", name="Polygon").click()
    typed = page.locator("#typed")
    for text in ("2 2", "20 0"):
        typed.fill(text)
        typed.press("Enter")
    page.get_by_role("button", name="Arc").click()
    for text in ("5 5", "0 10"):
        typed.fill(text)
        typed.press("Enter")
    typed.fill("-20 0")
    typed.press("Enter")
    page.locator("#plan").focus()
    page.keyboard.press("Enter")
    said(page, "concrete slab drawn")
    # 20 x 10 and half a circle of radius 5: 200 + 39.27 sq ft.
    expect(page.locator("tr", has_text="Concrete slab").last).to_contain_text("239 sq ft")
    page.get_by_role("button", name="Shed", exact=True).click()
    page.get_by_label("Line 2, side").fill("10")
    page.keyboard.press("Enter")
    said(page, "shed moved")
    page.get_by_role("button", name="Save").click()
    said(page, "Saved")
    text = path.read_text(encoding="utf-8")
    # It was 66 from the left and 4 ft off the line; 6 more.
    assert "corner: [60, 110]" in text
    assert "middle_ordinate: 5 ft" in text
    assert page.wrong == []


def test_materials_are_tried_taken_and_kept_as_a_variant(
    browser: Any, command: Board, path: Path
) -> None:
    page = opened(browser, command)
    page.get_by_role("button", name="Variants").click()
    page.get_by_label("Keep this design as a variant called").fill("stone")
    page.get_by_role("button", name="Keep it").click()
    said(page, "Kept as the variant stone")
    page.get_by_role("button", name="Terrace", exact=True).click()
    page.get_by_role("button", name="Try materials").click()
    rows = page.locator("#tried tbody tr")
    # Permeable paving, pavers in sand, lawn, and stone as drawn.
    expect(rows).to_have_count(4)
    best = rows.first
    expect(best).to_contain_text("lawn")
    expect(best).to_contain_text("$")
    best.get_by_role("button", name="Take it").click()
    said(page, "lawn")
    page.get_by_role("button", name="Compare side by side").click()
    expect(page.locator("#compared")).to_contain_text("Measures")
    page.get_by_role("button", name="Take stone").click()
    said(page, "Variant stone taken")
    # The same bytes as the file: there is nothing to save.
    assert page.get_by_role("button", name="Save").is_disabled()
    assert path.with_name("site-variant-stone.yaml").read_bytes() == path.read_bytes()
    assert page.wrong == []


def test_the_plan_of_a_narrow_screen_has_every_room_within_reach(
    browser: Any, command: Board
) -> None:
    page = opened(browser, command, viewport={"width": 390, "height": 800})
    for name in ("Try materials", "Variants", "Drainage", "Sections", "Permit packet"):
        page.get_by_role("button", name=name).click()
        page.wait_for_timeout(300)
        assert page.evaluate("document.documentElement.scrollWidth") <= 390, name
