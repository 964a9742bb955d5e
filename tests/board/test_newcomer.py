"""From an empty lot to the packet: someone who never saw a site file draws Fernhollow.

The dimensions are those of the sample, which are invented; each act of the hand is counted.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any, Final

from tests.board import driving
from tests.board.driving import entered, expect, served

MOST_ACTS: Final = 90

BOXES: Final = (
    # name, material, stage, from the left, from the bottom, width, depth
    ("House", "roof", "existing", 16, 30, 48, 30),
    ("Drive", "concrete-drive", "existing", 46, 0, 18, 30),
    ("Front walk", "concrete-slab", "existing", 32, 21, 14, 4),
    ("Stoop", "steps", "existing", 34, 25, 6, 5),
    ("Shed", "roof", "existing", 66, 110, 10, 12),
    ("Pump pad", "equipment-pad", "existing", 73, 96, 4, 6),
    ("Old deck", "concrete-slab", "removed", 20, 74, 40, 28),
    ("Terrace", "stone-slab", "proposed", 8, 60, 64, 46),
    ("Roof over the dining end", "roof", "proposed", 54, 62, 14, 12),
    ("Side deck", "wood-deck", "proposed", 2, 38, 14, 12),
    ("Pool", "pool-water", "existing", 24, 80, 32, 16),
)


class Hand:
    """What a person does on the page, each act counted."""

    def __init__(self, page: Any) -> None:
        self.page = page
        self.acts = 0

    def press(self, name: str) -> None:
        self.page.get_by_role("button", name=name, exact=True).click()
        self.acts += 1

    def type(self, label: str, text: object) -> None:
        field = self.page.get_by_label(label, exact=True)
        field.fill(str(text))
        self.page.keyboard.press("Tab")
        self.acts += 1

    def choose(self, label: str, value: str) -> None:
        field = self.page.get_by_label(label, exact=True)
        if field.input_value() != value:
            field.select_option(value)
            self.acts += 1

    def said(self, text: str) -> None:
        driving.said(self.page, text)


def draw(hand: Hand) -> None:
    """The lot and all that is on it."""
    hand.type("Title", "Fernhollow pool terrace")
    hand.type("Width", 80)
    hand.type("Depth", 125)
    hand.press("Draw the lot")
    hand.said("lot drawn")
    hand.press("Rectangle")
    for name, material, stage, x, y, width, depth in BOXES:
        with hand.page.expect_response(lambda answer: "/guess" in answer.url):
            hand.type("Name", name)
        # The answer is put into the fields after it has come.
        hand.page.evaluate("() => new Promise((done) => setTimeout(done, 50))")
        hand.choose("Material", material)
        hand.choose("Stage", stage)
        hand.type("From the left", x)
        hand.type("From the bottom", y)
        hand.type("Width", width)
        hand.type("Depth", depth)
        hand.press("Draw it")
        hand.said(f"{name.lower()} drawn")
    hand.press("Band around")
    hand.said("drawn as pool coping")


def test_from_an_empty_lot_to_the_packet(browser: Any, tmp_path: Path) -> None:
    path = tmp_path / "fernhollow.yaml"
    with served(path) as command:
        page = entered(browser, command)
        hand = Hand(page)
        draw(hand)
        whole = page.locator("#verdict-body .whole strong")
        expect(whole).to_have_text("cannot tell")
        hand.type("Side deck: width of the open joints between boards or units", "1/4 in")
        hand.said("gap of side deck: 1/4 in")
        hand.choose("The zoning district of the lot", "R-2")
        expect(whole).to_have_text("fails")
        # Worked by hand in the sample: 4,642 of 4,500 sq ft.
        expect(page.locator(".numbers").first).to_contain_text("4,642 sq ft")
        hand.press("Find the least change")
        hand.press("Search")
        page.get_by_role("button", name="Take it").first.click()
        hand.acts += 1
        hand.said("Least change taken")
        expect(whole).to_have_text("passes")
        hand.press("Save")
        hand.said("Saved")
        with page.expect_download() as report:
            hand.press("Report")
        hand.press("Permit packet")
        hand.type("Site address", "12 Fernhollow Lane (invented)")
        hand.press("Write the packet")
        hand.said("Written to the folder fernhollow-packet")
        assert page.wrong == []
        shown = Path(report.value.path()).read_bytes()
    assert hand.acts <= MOST_ACTS
    assert (tmp_path / "fernhollow-packet").is_dir()
    text = path.read_text(encoding="utf-8")
    assert "  - {id: house, material: roof, shape: {rectangle: {corner: [16, 30]" in text
    out = tmp_path / "report"
    command_line = [sys.executable, "-m", "checker", "check", str(path), "--out", str(out)]
    done = subprocess.run(command_line, check=False, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    # The page's report and findings are those of the command, byte for byte.
    assert (out / "report.html").read_bytes() == shown
    findings = json.loads((out / "findings.json").read_text(encoding="utf-8"))
    assert findings["status"] == "passes"
