"""Rainfall atlas texts in the layout of the server, whole and broken.

The depths are those of NOAA Atlas 14 volume 11 at 32.8687 N 96.9737 W, as in `x-rm-01` of the
published cases.
"""

from __future__ import annotations

import pytest

from checker.core.problems import Problems
from checker.water.atlas import read_atlas
from checker.water.rainfall import rain_depth_m, rain_intensity_m_per_s

TEXT = """\
Point precipitation frequency estimates (inches)
NOAA Atlas 14 Volume 11 Version 2
Data type: Precipitation depth
Time series type: Partial duration
Project area: Texas
Location name (ESRI Maps): None
Station Name: -
Latitude: 32.8687 Degree
Longitude: -96.9737 Degree
Elevation (USGS): 497 ft


PRECIPITATION FREQUENCY ESTIMATES
by duration for ARI (years):, 1,2,5,10,25,50,100,200,500,1000
5-min:, 0.421,0.489,0.601,0.693,0.818,0.912,1.01,1.10,1.24,1.34
10-min:, 0.674,0.783,0.964,1.11,1.31,1.47,1.62,1.77,1.96,2.11
15-min:, 0.840,0.975,1.20,1.38,1.63,1.82,2.00,2.20,2.45,2.64
30-min:, 1.17,1.35,1.66,1.91,2.25,2.50,2.76,3.03,3.38,3.66
60-min:, 1.52,1.76,2.17,2.50,2.95,3.29,3.63,4.00,4.50,4.90
2-hr:, 1.85,2.18,2.70,3.14,3.76,4.23,4.71,5.24,5.96,6.54
24-hr:, 3.29,3.95,5.00,5.89,7.17,8.19,9.27,10.4,12.1,13.5
2-day:, 3.82,4.59,5.80,6.84,8.32,9.49,10.7,12.1,14.0,15.6

Date/time (GMT):  Wed Jun 10 16:58:01 2026
pyRunTime:  0.0074
"""


def complaints(text: str) -> list[str]:
    problems = Problems()
    table = read_atlas(text, "atlas.csv", problems)
    assert (table is None) == bool(problems)
    return [str(problem) for problem in problems.items]


def test_reads_depths_as_published() -> None:
    problems = Problems()
    table = read_atlas(TEXT, "atlas.csv", problems)
    assert not problems
    assert table is not None
    assert len(table.durations_s) == 8
    assert table.return_periods_years == (1, 2, 5, 10, 25, 50, 100, 200, 500, 1000)
    assert rain_depth_m(table, 3600, 10) == pytest.approx(2.50 * 0.0254)
    assert rain_depth_m(table, 172800, 1000) == pytest.approx(15.6 * 0.0254)
    assert table.title == (
        "NOAA Atlas 14 Volume 11 Version 2, Latitude: 32.8687 Degree, Longitude: -96.9737 Degree"
    )


def test_reads_intensities_into_depths() -> None:
    """2.5 in/h for 60 min are 2.5 in, 2.76 in/h for 30 min are 1.38 in."""
    text = (
        "Point precipitation frequency estimates (inches/hour)\n\n"
        "by duration for ARI (years):, 10\n30-min:, 2.76\n60-min:, 2.50\n"
    )
    table = read_atlas(text, "atlas.csv", Problems())
    assert table is not None
    assert rain_depth_m(table, 1800, 10) == pytest.approx(1.38 * 0.0254)
    assert rain_intensity_m_per_s(table, 3600, 10) == pytest.approx(2.5 * 0.0254 / 3600)


def test_reads_millimetres_and_windows_line_ends() -> None:
    text = (
        "Point precipitation frequency estimates (millimeters)\r\n"
        "by duration for ARI (years):, 2,10\r\n5-min:, 11,15\r\n1-hr:, 38,63\r\n"
    )
    table = read_atlas(text, "atlas.csv", Problems())
    assert table is not None
    assert rain_depth_m(table, 3600, 10) == pytest.approx(0.063)


def test_leaves_the_bounds_that_follow_aside() -> None:
    more = TEXT.replace(
        "\nDate/time", "\nPRECIPITATION FREQUENCY ESTIMATES (upper bound)\n5-min:, 9\n\nDate/time"
    )
    assert complaints(more) == []


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("(inches)", "", "atlas.csv:1: the first line does not say the unit"),
        ("(inches)", "(inchs)", "atlas.csv:1: the first line does not say the unit"),
        ("by duration for ARI (years):", "years:", "atlas.csv:1: no line 'by duration for ARI"),
        ("1,2,5,10", "1,2,2,10", "atlas.csv:14:35: '2' is not a return period in rising order"),
        ("0.421", "x.421", "atlas.csv:15:9: 'x.421' is not a rain depth; write a number above 0"),
        ("0.421", "-0.4", "atlas.csv:15:9: '-0.4' is not a rain depth"),
        ("0.421", "nan", "atlas.csv:15:9: 'nan' is not a rain depth"),
        ("0.421,", "", "atlas.csv:15: 9 values where the header has 10 return periods"),
        ("10-min:, 0.674", "5-min:, 0.674", "atlas.csv:16: the duration of 5 min follows 5 min"),
        ("15-min", "15-mins-or-so", "atlas.csv:17: '15-mins-or-so:' is not a duration"),
        ("15-min", "0-min", "atlas.csv:17: '0-min:' is not a duration"),
        ("0.674,0.783", "0.783,0.674", "atlas.csv:16: a longer return period has less rain"),
    ],
)  # fmt: skip
def test_names_what_is_wrong_with_line_and_column(old: str, new: str, says: str) -> None:
    found = complaints(TEXT.replace(old, new, 1))
    assert len(found) >= 1
    assert found[0].startswith(says)


@pytest.mark.parametrize("text", ["", "\n\n", "x" * 1_000_001, "(inches)\nby duration for ARI"])
def test_hostile_texts_end_in_problems(text: str) -> None:
    assert complaints(text)
