"""The drainage part of a report: its numbers agree with the measures, its chart is a drawing."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from checker import api
from checker.core.problems import BadInput
from checker.drawing.drainage_plan import standing
from checker.drawing.hydrograph import FlowCurve, Hydrograph, hydrograph_svg
from checker.files.source import read_text
from checker.findings.checked import Checked
from checker.pages.markdown_writer import markdown_of
from checker.papers.drainage import drainage_drawings, drainage_page, drainage_part
from checker.site.read import site_of
from checker.words.brief import brief_of

SAMPLE = Path("samples/tern-court/site.yaml")


def checked(old: str = "", new: str = "") -> Checked:
    text = SAMPLE.read_text(encoding="utf-8")
    assert old in text
    site = site_of(read_text(text.replace(old, new), SAMPLE.as_posix()), SAMPLE)
    return api.check(site, api.load_ruleset_for(site))


@pytest.fixture(scope="module")
def page() -> str:
    return markdown_of(drainage_page(checked()))


def test_areas_add_up_to_the_lot(page: str) -> None:
    assert "**9,200 sq ft**" in page
    assert "the lot is 9,200 sq ft" in page


def test_peaks_are_those_worked_by_hand(page: str) -> None:
    """From the sample's expected.yaml: 66.1, 42.6 and 108.7 gal/min."""
    rows = {line.split("|")[1].strip(): line for line in page.splitlines() if line.startswith("|")}
    assert "66.1 gal/min" in page
    assert "channel" in rows
    assert "108.7 gal/min" in page
    assert "42.6 gal/min" in page


def test_every_blocked_case_is_listed(page: str) -> None:
    for name in ("0 nothing", "1 channel", "4 main", "8 pop-up", "12 soil of dry-well"):
        assert f"| {name} " in page, name
    assert "15 front-leader and main" in page


def test_steps_name_their_sources(page: str) -> None:
    assert "equation 3-1, page 3-6" in page
    assert "Manning's equation, chapter 7" in page


def test_what_is_missing_is_said_where_it_is_missing() -> None:
    text = markdown_of(drainage_page(checked("measured_rate: 1.2 in/h, ", "")))
    assert "Cannot tell: give 'measured_rate' under 'ground'" in text.replace("\\_", "_")
    assert "Whose water goes where" in text


def test_a_site_without_drainage_has_no_part() -> None:
    site = api.load_site(Path("samples/fernhollow-before/site.yaml"))
    result = api.check(site, api.load_ruleset_for(site))
    assert drainage_part(brief_of(result)) == ()
    assert drainage_drawings(brief_of(result)) == {}
    assert "no panels and no outlets" in markdown_of(drainage_page(result))


def test_drawings_are_well_formed_and_the_same_each_time() -> None:
    one, two = (drainage_drawings(brief_of(checked())) for _ in range(2))
    assert one == two
    profiles = {f"pipe-profile-{number}.svg" for number in (1, 2, 3)}
    assert set(one) == {"hydrograph.svg", "drainage-plan.svg"} | profiles
    for svg in one.values():
        ET.fromstring(svg)


def test_the_plan_numbers_the_cases_where_water_stands() -> None:
    """Blocked at the back, water stands at the channel; at the front, on the apron.

    When the dry well's overflow is blocked its water rises through the pipe between them into the
    stone of the bed, which holds it.
    """
    assert standing(checked().survey) == {
        "channel": [1, 2, 4, 15],
        "apron": [3, 5, 9],
        "bed": [14],
    }


@pytest.mark.parametrize("system", ["us", "metric"])
def test_a_chart_of_nothing_is_still_a_chart(system: str) -> None:
    chart = Hydrograph("Title & more", "says <so>", 60.0, [0.0], [FlowCurve("dry", [0.0])], 1.0)
    svg = hydrograph_svg(chart, system)  # type: ignore[arg-type]
    ET.fromstring(svg)
    assert "Title &amp; more" in svg


def test_drainage_is_checked_even_where_no_rule_asks() -> None:
    with pytest.raises(BadInput, match="'slope' of"):
        checked("upper: 98.60, lower: 98.20, along", "slope: 3 ft, along")


def test_a_page_has_units_of_one_kind() -> None:
    """Feet and inches alone, formulas too: 1.66 / 0.3048^(1/2) is 3.01, 0.3048^(-1/3) 1.486."""
    text = markdown_of(drainage_page(checked()))
    metric = re.findall(r"\d (?:m|mm|cm|m2|m3|L|L/s|mm/h|km|kPa)\b|metres|litres", text)
    assert metric == []
    assert "k = 1.486, feet and seconds" in text
    assert "C = 3.01, feet and seconds" in text


US = re.compile(r"\d\s(?:in|ft|gal|sq|cu)\b|gal/min|in/h|ft/s|in/ft|sq ft|cu ft|\bfeet\b|\binch")
METRIC = re.compile(r"\d\s(?:mm|cm|m|m2|m3|L)\b|L/s|mm/h|m/s|\bmetres\b")


@pytest.mark.parametrize(
    ("name", "shown_in"),
    [
        ("samples/tern-court/site.yaml", "metric"),
        ("tests/water/sites/dry-well.yaml", "metric"),
        ("tests/water/sites/dry-well-metric.yaml", "us"),
        ("tests/water/sites/two-drains-metric.yaml", "us"),
    ],
)
def test_a_page_has_the_units_of_its_place(name: str, shown_in: str) -> None:
    """Whatever the file is drawn in, names of stocked sizes and of typed storms included."""
    path = Path(name)
    text = re.sub(r"(?m)^shown_in:.*\n", "", path.read_text(encoding="utf-8"))
    text = text.replace("units:", f"shown_in: {shown_in}\nunits:", 1)
    site = site_of(read_text(text, path.as_posix()), path)
    page = markdown_of(drainage_page(api.check(site, api.load_ruleset_for(site))))
    assert "Is enough" in page
    other = US if shown_in == "metric" else METRIC
    said = page.replace("and 1.1 in the riser", "")
    assert [line for line in said.splitlines() if other.search(line)] == []
