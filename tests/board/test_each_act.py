"""Each act of drawing by the keyboard alone, and by a finger on a narrow screen; each is told."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from checker.files.source import read_text
from tests.board.driving import Board, entered, expect, said

SAMPLE = "fernhollow-before"
SCREENS: dict[str, dict[str, Any]] = {
    "keys": {},
    "finger": {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True},
}


class Hand:
    """A person at the page, who has keys alone or fingers alone."""

    def __init__(self, page: Any, way: str) -> None:
        self.page, self.way = page, way

    def press(self, name: str) -> None:
        """A button: by Enter where the focus is, or by a tap."""
        button = self.page.get_by_role("button", name=name, exact=True).first
        if self.way == "keys":
            button.focus()
            self.page.keyboard.press("Enter")
        else:
            button.tap()

    def choose(self, name: str) -> None:
        self.press(name)
        expect(self.page.locator("#selected-title")).to_contain_text(name)

    def put(self, *points: tuple[float, float]) -> None:
        """Points of the plan: typed, the later ones by how far they are off, or tapped."""
        last: tuple[float, float] | None = None
        for x, y in points:
            if self.way == "keys":
                field = self.page.locator("#typed")
                field.focus()
                field.fill(f"{x} {y}" if last is None else f"{x - last[0]:g} {y - last[1]:g}")
                self.page.keyboard.press("Enter")
            else:
                self.page.touchscreen.tap(*self.seen(x, y))
            last = (x, y)

    def seen(self, x: float, y: float) -> list[float]:
        """Where a place of the lot is on the screen."""
        found: list[float] = self.page.evaluate(
            """([x, y]) => { const plan = document.getElementById("plan");
            plan.scrollIntoView({ block: "center" });
            const p = new DOMPoint(x, -y).matrixTransform(plan.getScreenCTM());
            return [p.x, p.y]; }""",
            [x, y],
        )
        return found

    def end(self) -> None:
        """End a line: by Enter on the plan, or by the button below it."""
        if self.way == "keys":
            self.page.locator("#plan").focus()
            self.page.keyboard.press("Enter")
        else:
            self.press("End it here")

    def select(self, label: str, value: str) -> None:
        self.page.get_by_label(label, exact=True).select_option(value)

    def drag(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        """A finger that is put down, drawn along and lifted."""
        talk = self.page.context.new_cdp_session(self.page)
        a, b = self.seen(*start), self.seen(*end)
        steps = [[a[k] + (b[k] - a[k]) * i / 6 for k in (0, 1)] for i in range(7)]
        for kind, at in (("touchStart", a), *(("touchMove", at) for at in steps)):
            point = [{"x": at[0], "y": at[1]}]
            talk.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": point})
        talk.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})

    def type(self, label: str, text: str) -> None:
        self.page.get_by_label(label, exact=True).fill(text)
        self.page.keyboard.press("Tab")

    def kept(self, path: Path, name: str) -> Any:
        """The shape of a surface in the file, once all that was done is in it."""
        return self.entry(path, "surfaces", name)["shape"]

    def entry(self, path: Path, of: str, name: str) -> Any:
        """An entry of the file, once all that was done is in it."""
        return next(entry for entry in self.data(path)[of] if entry["id"] == name)

    def data(self, path: Path) -> dict[str, Any]:
        """What the file says, once all that was done is in it."""
        self.press("Save")
        said(self.page, "Saved")
        found: dict[str, Any] = read_text(path.read_text(encoding="utf-8"), path.name).data
        return found


def box(hand: Hand, path: Path) -> None:
    """A rectangle is drawn, copied, pulled at a corner, split, joined, removed, taken away."""
    page = hand.page
    hand.press("Rectangle")
    hand.put((6, 6), (12, 12))
    said(page, "concrete slab drawn")
    assert hand.kept(path, "concrete-slab") == {"rectangle": {"corner": [6, 6], "size": [6, 6]}}
    hand.press("Copy")
    said(page, "concrete slab 2 drawn")
    hand.press("Take away")
    said(page, "concrete slab 2 taken away")
    hand.choose("Concrete slab")
    if hand.way == "keys":
        page.get_by_label("Width", exact=True).fill("10")
        page.keyboard.press("Tab")
    else:
        hand.drag((12, 12), (16, 12))
    said(page, "concrete slab reshaped")
    assert hand.kept(path, "concrete-slab")["rectangle"]["size"] == [10, 6]
    hand.press("Split")
    hand.put((11, 3), (11, 15))
    said(page, "It is split")
    hand.choose("Concrete slab")
    hand.select("Join with", "concrete-slab-2")
    said(page, "They are one")
    assert hand.kept(path, "concrete-slab")["rectangle"]["size"] == [10, 6]
    hand.select("Stage", "removed")
    said(page, "stage of concrete slab: removed")
    hand.press("Take away")
    said(page, "concrete slab taken away")


def lines(hand: Hand, path: Path) -> None:
    """A polygon with an arc, and a walk."""
    page = hand.page
    hand.press("Polygon")
    hand.put((6, 6), (16, 6))
    hand.press("Arc")
    if hand.way == "keys":
        for offset in ("4 4", "0 8"):
            page.locator("#typed").fill(offset)
            page.locator("#typed").press("Enter")
    else:
        hand.put((20, 10), (16, 14))
    hand.end()
    said(page, "concrete slab drawn")
    points = hand.kept(path, "concrete-slab")["points"]
    assert len(points) == 3
    # Half a circle over a chord of 8.
    assert points[1]["middle_ordinate"] == "4 ft"
    hand.press("Take away")
    said(page, "taken away")
    hand.press("Walk")
    hand.put((6, 16), (16, 16))
    hand.end()
    said(page, "concrete slab drawn")
    assert hand.kept(path, "concrete-slab")["strip"]["along"] == [[6, 16], [16, 16]]
    hand.press("Take away")
    said(page, "taken away")


def rounds(hand: Hand, path: Path) -> None:
    """A circle and the band around it."""
    hand.press("Circle")
    hand.put((12, 12), (16, 12))
    said(hand.page, "concrete slab drawn")
    assert hand.kept(path, "concrete-slab")["circle"]["centre"] == [12, 12]
    hand.press("Band around")
    said(hand.page, "concrete slab border drawn")
    assert hand.kept(path, "concrete-slab-border")["ring"]["around"] == "concrete-slab"


def wells(hand: Hand, path: Path) -> None:
    """A well is drawn, moved, named, called a tree, copied and taken away."""
    page = hand.page
    hand.press("Easement, well, tree")
    hand.select("What it is", "features/well")
    hand.put((10, 20))
    said(page, "well drawn")
    assert hand.entry(path, "features", "well")["shape"] == {"at": [10, 20]}
    # It was said that there is none.
    assert "well" not in read_text(path.read_text(encoding="utf-8"), "it").data["none_found"]
    if hand.way == "keys":
        hand.type("Place", "12 24")
    else:
        hand.drag((10, 20), (12, 24))
    said(page, "well moved")
    hand.type("Name", "Old oak")
    said(page, "title of well: Old oak")
    hand.select("What it is", "tree")
    said(page, "kind of well: tree")
    found = {"id": "well", "title": "Old oak", "kind": "tree", "shape": {"at": [12, 24]}}
    assert hand.entry(path, "features", "well") == found
    hand.press("Copy")
    said(page, "well 2 drawn")
    hand.press("Take away")
    said(page, "well 2 taken away")


def easements(hand: Hand, path: Path) -> None:
    """A strip of land and a line are drawn; the one is made wider, the other put farther off."""
    page = hand.page
    hand.press("Easement, well, tree")
    hand.put((4, 30), (4, 60))
    hand.end()
    said(page, "easement drawn")
    assert hand.entry(path, "regions", "easement")["shape"]["strip"]["along"] == [[4, 30], [4, 60]]
    hand.type("Width", "6 ft")
    said(page, "easement reshaped")
    assert hand.entry(path, "regions", "easement")["shape"]["strip"]["width"] == "6 ft"
    hand.press("Easement, well, tree")
    hand.select("What it is", "features/fence")
    hand.put((30, 112), (44, 112))
    hand.end()
    said(page, "fence drawn")
    # Line 1 runs along the bottom: 112 ft off it, then 114.
    page.locator("#field-distance-0").fill("114")
    page.keyboard.press("Tab")
    said(page, "fence moved")
    assert hand.entry(path, "features", "fence")["shape"] == {"line": [[30, 114], [44, 114]]}


def holes(hand: Hand, path: Path) -> None:
    """A hole is cut into the easement, made deeper, and filled."""
    page = hand.page
    hand.choose("Easement")
    hand.press("Hole")
    hand.put((3, 40), (5, 44))
    said(page, "easement given a hole")
    (hole,) = hand.entry(path, "regions", "easement")["shape"]["holes"]
    # A finger is led to corners and edges that are near.
    if hand.way == "keys":
        assert hole == {"rectangle": {"corner": [3, 40], "size": [2, 4]}}
    page.locator("#field-hole-0-depth").fill("6.5")
    page.keyboard.press("Tab")
    said(page, "easement reshaped")
    (deeper,) = hand.entry(path, "regions", "easement")["shape"]["holes"]
    assert deeper["rectangle"] == {**hole["rectangle"], "size": [hole["rectangle"]["size"][0], 6.5]}
    hand.press("Fill hole 1")
    said(page, "easement without a hole")
    assert "holes" not in hand.entry(path, "regions", "easement")["shape"]


def levels(hand: Hand, path: Path) -> None:
    """A spot level is put in, changed, moved and taken away."""
    page = hand.page
    hand.press("Spot level")
    hand.type("Level", "99.6")
    hand.put((70, 20))
    said(page, "spot level 99.6 put in")
    assert hand.data(path)["levels"] == [{"at": [70, 20], "level": 99.6}]
    hand.type("Level", "99.75")
    said(page, "level of level 1: 99.75")
    hand.select("Level of", "sill")
    said(page, "what of level 1: sill")
    if hand.way == "keys":
        hand.type("Place", "72 24")
    else:
        hand.drag((70, 20), (72, 24))
    said(page, "level 1 moved")
    hand.select("Stage", "proposed")
    said(page, "stage of level 1: proposed")
    now = {"at": [72, 24], "level": 99.75, "what": "sill", "stage": "proposed"}
    assert hand.data(path)["levels"] == [now]
    hand.press("Take away")
    said(page, "level 1 taken away")
    assert "levels" not in hand.data(path)


def overlaps(hand: Hand, path: Path) -> None:
    """A slab on the terrace is moved there, put under it and over it; it gets another id."""
    page = hand.page
    hand.press("Rectangle")
    # Both corners lie on the terrace, which is not chosen instead.
    hand.put((12, 66), (18, 76))
    said(page, "concrete slab 2 drawn")
    if hand.way == "keys":
        page.locator("#plan").focus()
        page.keyboard.press("ArrowLeft")
    else:
        hand.press("Move to a place")
        hand.put((13, 80))
    said(page, "concrete slab 2 moved")
    hand.press("Put it under Terrace")
    said(page, "Terrace lies over")
    order = hand.data(path)["order"]
    assert "terrace" in order
    assert "concrete-slab-2" not in order[: order.index("terrace")]
    hand.press("Put it over Terrace")
    said(page, "lies over Terrace")
    order = hand.data(path)["order"]
    assert order.index("concrete-slab-2") < order.index("terrace")
    hand.type("Named in the file", "North slab")
    said(page, "concrete slab 2 is now north slab")
    assert "north-slab" in hand.data(path)["order"]
    hand.press("Take away")
    said(page, "north slab taken away")


def taped(hand: Hand, path: Path) -> None:
    """A well so far off a wall of the house: the file says it so, and it goes with the wall."""
    page = hand.page
    hand.press("Easement, well, tree")
    hand.select("What it is", "features/well")
    wall = page.locator("#new-from option", has_text="House, left wall")
    page.locator("#new-from").select_option(wall.get_attribute("value"))
    hand.type("Off it", "10")
    hand.press("Draw it")
    said(page, "well 2 drawn")
    shape = hand.entry(path, "features", "well-2")["shape"]
    assert shape["measured_from"]["wall_of"] == "house"
    assert shape["at"][1] == 10
    hand.press("Done")
    hand.press("Well 2")
    # The file's own reading of it: 10 ft off the house.
    row = page.locator(".distances label", has_text="House: ")
    expect(row).to_contain_text("House: 10.00 ft")
    hand.type("Off it", "8")
    said(page, "well 2 moved")
    expect(row).to_contain_text("House: 8.00 ft")


@pytest.mark.parametrize("way", SCREENS)
def test_each_act(browser: Any, command: Board, path: Path, way: str) -> None:
    page = entered(browser, command, **SCREENS[way])
    page.get_by_role("button", name="Terrace", exact=True).wait_for()
    start = path.read_text(encoding="utf-8")
    hand = Hand(page, way)
    box(hand, path)
    lines(hand, path)
    rounds(hand, path)
    wells(hand, path)
    easements(hand, path)
    holes(hand, path)
    levels(hand, path)
    overlaps(hand, path)
    taped(hand, path)
    steps = 0
    while page.get_by_role("button", name="Undo", exact=True).is_enabled():
        page.evaluate("document.getElementById('said').textContent = ''")
        hand.press("Undo")
        said(page, "Undone")
        steps += 1
    assert steps == 41
    hand.press("Redo")
    said(page, "Made again")
    hand.press("Undo")
    said(page, "Undone")
    hand.press("Save")
    said(page, "Saved")
    assert path.read_text(encoding="utf-8") == start
    assert page.wrong == []
