"""The drawing of a section: true to scale, complete, and safe to show."""

from __future__ import annotations

import re
from xml.etree import ElementTree as ET

import pytest

from checker.core.units import System
from checker.drawing.section import CUT_LEFT_MM, section_svg
from checker.drawing.section_hatches import SHEETS, TILES
from checker.measure.section.bed import beds
from checker.words.amounts import small
from checker.words.sections import course_lines
from tests.measure.section.made import changed, make

NAMESPACE = "{http://www.w3.org/2000/svg}"


def drawing(system: System = "us", more: str = "", **courses: str | None) -> ET.Element:
    bed = beds(make(changed(**courses), more=more))["terrace"]
    return ET.fromstring(section_svg(bed, system, ["Terrace"]))


def texts(found: ET.Element) -> list[str]:
    return [element.text or "" for element in found.iter(f"{NAMESPACE}text")]


def heights_mm(found: ET.Element) -> list[float]:
    return [
        float(element.attrib["height"])
        for element in found.iter(f"{NAMESPACE}rect")
        if element.attrib.get("x") == f"{CUT_LEFT_MM:g}" and "url(" in element.attrib["fill"]
    ]


def test_courses_are_drawn_to_scale() -> None:
    # 16.375 in of section: at 1:4 104 mm, the most that fits. 2.375 in are 15.08 mm, 2 in 12.7,
    # 12 in 76.2; then the ground below.
    found = drawing()
    assert "Scale 3 in = 1 ft (1:4)" in texts(found)
    assert heights_mm(found)[:3] == pytest.approx([15.08, 12.7, 76.2], abs=0.01)


def test_a_deeper_section_takes_the_next_scale() -> None:
    # 28.375 in: 180 mm at 1:4, 90 at 1:8.
    found = drawing(base='{course: base, stone: "57", thickness: 24 in}')
    assert "Scale 1-1/2 in = 1 ft (1:8)" in texts(found)
    assert heights_mm(found)[:3] == pytest.approx([7.54, 6.35, 76.2], abs=0.01)


def test_metric_drawings_have_metric_scales() -> None:
    # 415.9 mm at 1:5 are 83.2 mm.
    assert "Scale 1:5" in texts(drawing("metric"))


def test_page_and_drawing_share_one_unit() -> None:
    found = drawing()
    width, height = found.attrib["width"], found.attrib["height"]
    assert width.endswith("mm")
    assert found.attrib["viewBox"] == f"0 0 {width[:-2]} {height[:-2]}"


def test_every_course_has_a_letter_a_name_and_its_thickness() -> None:
    words = texts(drawing())
    for name in ("Unit", "Joint", "Bedding", "Base", "Subgrade", "A", "B", "C", "D", "E"):
        assert name in words, name
    for thickness in ("2-3/8 in", "2 in", "12 in"):
        assert thickness in words


def test_levels_follow_the_top() -> None:
    # 100.00 less 2.375 in is 99.80 ft, less 4.375 in 99.64 ft, less 16.375 in 98.64 ft.
    words = texts(drawing(more="    top: 100 ft\n"))
    assert [text for text in words if re.fullmatch(r"\d+\.\d\d ft", text)] == [
        "100.00 ft",
        "99.80 ft",
        "99.64 ft",
        "98.64 ft",
    ]


def test_depths_stand_where_no_level_is_given() -> None:
    words = texts(drawing())
    assert "Depth" in words
    assert "16-3/8 in" in words


def test_pipe_and_well_are_drawn_where_they_lie() -> None:
    # The subgrade lies 22 + 103.98 mm down; 4 in at 1:4 are 25.4 mm, the pipe's radius 12.7 mm.
    more = "    pipe: {diameter: 4 in, above_subgrade: 4 in}\n    well: {diameter: 6 in}\n"
    found = drawing(more=more)
    pipe = next(e for e in found.iter(f"{NAMESPACE}circle") if e.attrib["r"] == "12.7")
    assert float(pipe.attrib["cy"]) == pytest.approx(22 + 103.98 - 25.4 - 12.7, abs=0.02)


def test_sheets_differ_by_their_dashes() -> None:
    assert len({style.dashes for style in SHEETS.values()}) == len(SHEETS)
    assert len({tile.path for tile in TILES.values()}) == len(TILES)
    found = drawing(
        fabric="{course: fabric, weave: nonwoven}", bottom="{course: fabric, weave: woven}"
    )
    assert {"woven fabric", "nonwoven fabric"} <= set(texts(found))


def test_hostile_titles_are_only_text() -> None:
    title = "<script>alert(1)</script>"
    found = drawing(base=f'{{course: base, title: "{title}", stone: "57", thickness: 12 in}}')
    assert title in texts(found)
    assert not list(found.iter(f"{NAMESPACE}script"))


def test_a_course_without_thickness_still_draws() -> None:
    words = texts(drawing(base='{course: base, stone: "57"}'))
    assert "Base" in words
    assert any("cannot be told" in text for text in words)


def test_same_input_same_bytes() -> None:
    one, other = (section_svg(beds(make())["terrace"], "us") for _ in range(2))
    assert one == other


@pytest.mark.parametrize(
    ("inches", "text"),
    [(2.375, "2-3/8 in"), (0.5, "1/2 in"), (13, "13 in"), (0.0625, "1/16 in"), (0.1, "0.1 in")],
)
def test_inches_as_people_write_them(inches: float, text: str) -> None:
    assert small(inches * 0.0254, "us") == text


def test_words_beside_a_course() -> None:
    bed = beds(make())["terrace"]
    assert course_lines(bed.layers[3], "us") == ("Base", "No. 57, porosity 40 %")
