"""Rainfall atlas texts in the layout of the server, whole and broken.

The depths are those of NOAA Atlas 14 volume 11 at 32.8687 N 96.9737 W, as in `x-rm-01` of the
published cases.
"""

from __future__ import annotations

import pytest

from checker.core.problems import Problems
from checker.water.atlas import read_atlas, text_of
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


@pytest.mark.parametrize(
    "saved",
    [
        "\n" + TEXT,
        "\n".join(line + ",,," for line in TEXT.splitlines()),
        TEXT.replace(",", ";"),
        TEXT.replace(",", ";").replace(".", ",").replace("Latitude: 32,8687", "Latitude: 32.8687")
        .replace("Longitude: -96,9737", "Longitude: -96.9737"),
        TEXT.replace(":, ", ":\t").replace(",", "\t"),
    ],
    ids=["a blank first line", "empty cells", "semicolons", "decimal commas", "tabs"],
)  # fmt: skip
def test_what_a_spreadsheet_saves_is_the_same_table(saved: str) -> None:
    assert complaints(saved) == []
    assert read_atlas(saved, "a.csv", Problems()) == read_atlas(TEXT, "a.csv", Problems())


def test_texts_in_any_encoding() -> None:
    for raw in (TEXT.encode("utf-16"), TEXT.encode("utf-16-le"), TEXT.encode("utf-8-sig")):
        assert text_of(raw) == TEXT
    assert text_of("Duration/Dur\u00e9e".encode("cp1252")) == "Duration/Dur\u00e9e"


def test_chances_of_a_year_are_return_periods_of_the_annual_series() -> None:
    """A chance of 1/10 in a year is the 10-year event of the annual maximum series."""
    text = (
        "Point precipitation frequency estimates (inches)\nTime series type: Annual maximum\n"
        "by duration for AEP:, '1/2,'1/10,1%\n60-min:, 1.0,2.0,3.0\n24-hr:, 2.0,4.0,6.0\n"
    )
    table = read_atlas(text, "a.csv", Problems())
    assert table is not None
    assert table.return_periods_years == (2, 10, 100)
    assert rain_depth_m(table, 3600, 10) == pytest.approx(2.0 * 0.0254)
    assert "annual maximum series" in table.title


def test_intensities_rounded_to_whole_millimetres_keep_only_fine_rows() -> None:
    """8 mm/h rounded may be 7.5: 6 per cent off, so the row is left out; 10 mm/h is 5."""
    text = (
        "Point precipitation frequency estimates (millimeters/hour)\n"
        "by duration for ARI (years):, 2,10\n60-min:, 21,32\n2-hr:, 10,18\n3-hr:, 8,13\n"
        "60-day:, 0,0\n"
    )
    table = read_atlas(text, "a.csv", Problems())
    assert table is not None
    assert table.durations_s == (3600, 7200)
    assert rain_depth_m(table, 7200, 10) == pytest.approx(0.036)
    assert "rows from 3 h left out" in table.title
    coarse = text.replace("60-min:, 21,32\n2-hr:, 10,18\n", "")
    assert "download the depths" in complaints(coarse)[0]


CANADA = """\
           Short Duration Rainfall Intensity-Duration-Frequency Data

Table 2a :  Return Period Rainfall Amounts (mm)

   Duration/Dur\u00e9e      2      5     10     25     50    100   #Years
                   yr/ans yr/ans yr/ans yr/ans yr/ans yr/ans   Ann\u00e9es
            5 min    8.0   10.3   11.8   13.8   15.2   16.6     72
             1 h    20.0   26.0   30.0   35.0   39.0   43.0     72
            24 h    48.0   60.0   68.0   78.0   85.0   93.0     75

Table 2b :  Return Period Rainfall Rates (mm/h)
            5 min   96.0  123.6  141.6  165.6  182.4  199.2     72
"""


def test_a_canadian_file_gives_its_depths() -> None:
    table = read_atlas(CANADA, "idf.txt", Problems())
    assert table is not None
    assert table.return_periods_years == (2, 5, 10, 25, 50, 100)
    assert table.durations_s == (300, 3600, 86400)
    assert rain_depth_m(table, 3600, 10) == pytest.approx(0.030)
    broken = CANADA.replace("16.6     72", "16.6  72 5")
    assert "return periods; compare the row" in complaints(broken)[0]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            (
                "result = 'none';\nErrorMsg = 'Error 3.0: Selected location is not within a "
                "project area';\n"
            ),
            "it is not within a project area; ask for a point in an area that the atlas covers",
        ),
        ("<!DOCTYPE html><html></html>", "is a web page, not a rain table; download the table"),
    ],
)
def test_what_a_server_sends_instead_is_named(text: str, says: str) -> None:
    assert says in complaints(text)[0]


def test_a_title_in_brackets_is_no_unit() -> None:
    """A word before the unit, in brackets too, does not hide it."""
    title = TEXT.splitlines()[0]
    assert "(inches)" in title
    for told in (f"Estimates (volume) {title}", f"(invented)\n{title}"):
        text = TEXT.replace(title, told, 1)
        found = read_atlas(text, "atlas.csv", Problems())
        usual = read_atlas(TEXT, "atlas.csv", Problems())
        assert found is not None
        assert usual is not None
        assert found.depths_m == usual.depths_m


def test_a_file_without_the_table_of_depths_is_no_table_of_depths() -> None:
    """Its rates stand below the same heads as its depths; they are not taken for them."""
    heads = CANADA.replace("Table 2a :  Return Period Rainfall Amounts (mm)", "")
    assert "has no table 2a of rainfall depths" in complaints(heads)[0]
