"""The plan: true to scale, every surface lettered once, nothing over anything else."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from checker.drawing.lot import draw_lot, drawn_bounds
from checker.drawing.plan import plan_svg
from checker.drawing.scale import Frame, us_scale
from checker.findings.checked import Checked
from checker.words.letters import Keys
from tests.report.conftest import BRINE, FERNHOLLOW, SORREL, check_file

SVG = "{http://www.w3.org/2000/svg}"


def drawn(checked: Checked) -> ET.Element:
    return ET.fromstring(plan_svg(checked, Keys(checked.site), "what it shows"))


def corners(path: str) -> list[tuple[float, float]]:
    numbers = [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", path)]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def test_a_lot_side_is_true_to_scale(sorrel: Checked) -> None:
    # 100 ft are 30.48 m; at 1:240 that is 30,480 / 240 = 127 mm. 120 ft are 152.4 mm.
    root = drawn(sorrel)
    path = next(e for e in root.iter(f"{SVG}path") if e.get("class") == "lot-line")
    points = corners(path.attrib["d"])
    sides = [math.dist(a, b) for a, b in zip(points, [*points[1:], points[0]], strict=True)]
    assert sides == pytest.approx([127.0, 152.4, 127.0, 152.4], rel=0.005)
    # One unit of the drawing is one millimetre of paper.
    width, height = root.attrib["viewBox"].split()[2:]
    assert (root.attrib["width"], root.attrib["height"]) == (f"{width}mm", f"{height}mm")


def test_the_bar_is_true_to_scale(sorrel: Checked) -> None:
    # 40 ft at 1 in = 20 ft: two inches, 50.8 mm, in pieces of 12.7, 12.7 and 25.4 mm.
    bars = [
        float(e.attrib["width"])
        for e in drawn(sorrel).iter(f"{SVG}rect")
        if e.get("height") == "1.6"
    ]
    assert bars == pytest.approx([12.7, 12.7, 25.4], rel=0.005)


@pytest.mark.parametrize("path", [SORREL, BRINE, FERNHOLLOW], ids=lambda path: path.stem)
def test_the_plan_fits_letter_and_a4_upright(path: Path) -> None:
    # Half-inch margins leave 190.5 x 254 mm of letter paper and 184.6 x 271.6 mm of A4.
    width, height = map(float, drawn(check_file(path)).attrib["viewBox"].split()[2:])
    assert width <= 184.6
    assert height <= 254 - 20


@pytest.mark.parametrize("path", [SORREL, BRINE, FERNHOLLOW], ids=lambda path: path.stem)
def test_every_surface_has_its_letter_once_and_apart(path: Path) -> None:
    checked = check_file(path)
    keys = Keys(checked.site)
    root = drawn(checked)
    wanted = {keys.letter(surface.id) for surface in checked.site.surfaces}
    # The north arrow bears a larger N of its own.
    letters = [e.text or "" for e in root.iter(f"{SVG}text") if e.get("font-size") == "3"]
    assert sorted(letters) == sorted(wanted)
    rings = [
        (float(e.attrib["cx"]), float(e.attrib["cy"]), float(e.attrib["r"]))
        for e in root.iter(f"{SVG}circle")
        if float(e.attrib["r"]) > 2
    ]
    assert len(rings) == len(wanted)
    for index, (x, y, radius) in enumerate(rings):
        for other_x, other_y, other_radius in rings[:index]:
            assert math.dist((x, y), (other_x, other_y)) > 0.99 * max(radius, other_radius) * 1.4


def test_ids_are_unique_and_every_reference_is_there(brine: Checked) -> None:
    root = drawn(brine)
    ids = [e.attrib["id"] for e in root.iter() if "id" in e.attrib]
    assert len(ids) == len(set(ids))
    wanted = {e.attrib["href"].removeprefix("#") for e in root.iter() if "href" in e.attrib}
    for e in root.iter():
        wanted |= set(re.findall(r"url\(#([^)]+)\)", e.get("clip-path", "")))
    assert wanted <= set(ids)


def test_the_plan_is_lines_without_pictures_scripts_or_patterns(brine: Checked) -> None:
    tags = {e.tag.removeprefix(SVG) for e in drawn(brine).iter()}
    assert tags <= {
        "svg", "title", "desc", "defs", "clipPath", "path", "rect", "circle", "g", "use", "text",
    }  # fmt: skip


def test_north_is_turned_clockwise(brine: Checked, sorrel: Checked) -> None:
    turns = [
        re.search(r"rotate\((-?[\d.]+)\)", e.attrib["transform"])
        for e in drawn(brine).iter(f"{SVG}g")
        if "translate" in e.get("transform", "")
    ]
    assert [turn and turn[1] for turn in turns] == ["35"]
    arrow = next(e for e in drawn(sorrel).iter(f"{SVG}g") if "translate" in e.get("transform", ""))
    assert arrow.attrib["transform"].endswith("rotate(0)")


def test_far_things_and_short_lines_are_told_in_words(brine: Checked) -> None:
    texts = [e.text or "" for e in drawn(brine).iter(f"{SVG}text")]
    assert "Lake shore" in texts
    assert "L2" in texts
    assert any("table of lot lines" in text for text in texts)


def test_a_plan_of_today_leaves_the_work_out(sorrel: Checked) -> None:
    left, bottom, right, top = drawn_bounds(sorrel)
    del bottom, right
    frame = Frame(us_scale(20), left, top, 0.0, 0.0, 150.0, 180.0)
    today = draw_lot(sorrel, Keys(sorrel.site), frame, "today", "a-")
    # All of it stands; what is rebuilt still is what it was.
    assert today.stages == ("existing",)
    assert "Asphalt" in {title for _, title, _ in today.materials}
    assert all('id="a-' in text for text in today.defs)
    demolition = draw_lot(sorrel, Keys(sorrel.site), frame, "demolition", "b-")
    assert demolition.stages == ("existing", "removed")
    after = draw_lot(sorrel, Keys(sorrel.site), frame, "after", "c-")
    assert "removed" not in after.stages
    assert "Asphalt" not in {title for _, title, _ in after.materials}


def test_the_same_plan_twice(brine: Checked) -> None:
    again = check_file(BRINE)
    assert plan_svg(brine, Keys(brine.site), "x") == plan_svg(again, Keys(again.site), "x")
