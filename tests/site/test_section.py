"""Sections and ground of a site file: what is read, and whole messages for what is wrong."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from checker.core.problems import BadInput
from checker.files.source import Document, read_text
from checker.site.ground import Ground, read_ground
from checker.site.section import PavementSection
from checker.site.section_read import read_sections

GOOD = """\
sections:
  terrace:
    kind: permeable
    use: pedestrian
    top: -0.5 ft
    courses:
      - {course: unit, thickness: 2-3/8 in, length: 9 in, width: 6 in}
      - {course: joint, stone: "9", width: 3/8 in, open_share: 9 %}
      - {course: bedding, stone: "8", thickness: 2 in, porosity: 40 %, sieves: {3/8 in: 92 %}}
      - {course: fabric, weave: nonwoven, opening: 0.2 mm, permittivity: 1.2 1/s}
      - {course: base, stone: "57", thickness: 300 mm, porosity: 0.4, washed: yes}
      - {course: subgrade, treatment: scarified}
    pipe: {diameter: 4 in, holes: 3/8 in, holes_down: yes}
    well: {diameter: 6 in}
    walk: {slope: 1/4 in/ft, tests: [120 in/h]}
"""


def document(text: str) -> Document:
    return read_text(text, "lot.yaml")


def section(text: str) -> PavementSection:
    found = document(text)
    return read_sections(found.data["sections"], found)["terrace"]


def test_amounts_of_both_systems_become_metres() -> None:
    found = section(GOOD)
    assert [course.kind for course in found.courses] == [
        "unit", "joint", "bedding", "fabric", "base", "subgrade",
    ]  # fmt: skip
    bedding, fabric, base = found.courses[2:5]
    assert bedding.thickness_m == pytest.approx(0.0508)
    assert bedding.sieves == (("3/8 in", 0.92),)
    assert base.thickness_m == pytest.approx(0.3)
    assert base.is_washed is True
    assert fabric.sheet is not None
    assert fabric.sheet.opening_m == pytest.approx(0.0002)
    assert found.top_m == pytest.approx(-0.1524)
    assert found.pipe is not None
    assert found.pipe.holes_down is True
    assert found.well_count == 1
    assert found.walk.tests_m_per_s[0] == pytest.approx(120 * 0.0254 / 3600)


def test_what_is_not_said_is_none() -> None:
    found = section(GOOD)
    assert found.courses[0].stone == ""
    assert found.courses[4].fines_fraction is None
    assert found.design_rain_m is None
    assert found.walk.step_m is None


def problems(text: str, part: str = "sections") -> list[str]:
    found = document(text)
    readers: dict[str, Callable[[object, Document], object]] = {
        "sections": read_sections,
        "ground": read_ground,
    }
    with pytest.raises(BadInput) as caught:
        readers[part](found.data[part], found)
    return [str(problem) for problem in caught.value.problems]


def test_wrong_keys_and_words_are_all_told_with_their_place() -> None:
    text = """\
sections:
  terrace:
    kind: permeable
    use: walking
    courses:
      - {course: unit, thicknes: 2-3/8 in}
      - {course: bas}
      - {course: joint, stone: 9}
"""
    assert problems(text) == [
        "lot.yaml:4:10: 'use' of 'terrace' is 'walking'; use one of: pedestrian, vehicle",
        (
            "lot.yaml:6:24: 'thicknes' is not a key of entry 1 of 'courses' of 'terrace'; "
            "did you mean 'thickness'?"
        ),
        (
            "lot.yaml:7:18: 'course' of entry 2 of 'courses' of 'terrace' is 'bas'; "
            "did you mean 'base'?"
        ),
        (
            "lot.yaml:8:32: 'stone' of entry 3 of 'courses' of 'terrace' is the number 9; "
            "put it in quotes"
        ),
    ]


def test_wrong_amounts_and_orders_are_all_told_with_their_place() -> None:
    text = """\
sections:
  terrace:
    kind: permeable
    use: vehicle
    courses:
      - {course: base, thickness: 0 in, width: 3 mm, porosity: 40}
      - {course: unit, thickness: two}
      - {course: joint, washed: maybe}
    pipe: {diameter: 0 in, holes: 3, slots: 1 in}
"""
    assert problems(text) == [
        "lot.yaml:6:9: the base is 0 thick; give its thickness, or leave the course out",
        (
            "lot.yaml:6:41: 'width' of course 1 of terrace has no meaning for a base; use one of: "
            "abrasion, compaction, fines, fractured_faces, porosity, sieves, specific_gravity, "
            "stone, thickness, void_ratio, washed"
        ),
        (
            "lot.yaml:6:64: 'porosity' of course 1 of terrace is '40', more than the whole; "
            "give a share from 0 to 1, or a per cent such as 40 %"
        ),
        "lot.yaml:7:9: a unit stands below the base; list the courses from the top down",
        "lot.yaml:7:35: 'thickness' of course 2 of terrace: 'two' is not an amount",
        "lot.yaml:8:33: 'washed' of course 3 of terrace is 'maybe'; say yes or no",
        "lot.yaml:9:22: 'diameter' of the pipe of terrace is 0",
        (
            "lot.yaml:9:35: 'holes' of the pipe of terrace: '3' has no unit, but a length is "
            "wanted; write it like '3 in' or '3 ft'"
        ),
        (
            "lot.yaml:9:45: the pipe of terrace has both 'holes' and 'slots'; "
            "keep the wider of the two"
        ),
    ]


def test_nothing_lies_below_the_subgrade() -> None:
    text = """\
sections:
  terrace:
    kind: permeable
    use: vehicle
    courses:
      - {course: subgrade}
      - {course: fabric}
"""
    assert problems(text) == [
        "lot.yaml:6:9: something stands below the subgrade; put it last",
    ]


def test_ground_is_optional_throughout() -> None:
    assert read_ground(None, document("ground: {}")) == Ground()
    assert read_ground({}, document("ground: {}")) == Ground()


def test_ground_in_its_units() -> None:
    text = "ground: {measured_rate: 0.4 in/h, tests: 2, soil: {d15: 0.1 mm, fines: 12 %}}"
    found = read_ground(document(text).data["ground"], document(text))
    assert found.measured_rate_m_per_s == pytest.approx(0.4 * 0.0254 / 3600)
    assert (found.tests_count, found.soil.fines_fraction) == (2, 0.12)


def test_a_safety_factor_below_one() -> None:
    assert problems("ground: {safety_factor: 0.5}", "ground") == [
        "lot.yaml:1:25: 'safety_factor' of the ground is 0.5; give 1 or more; 2 is common",
    ]
