"""Sizes: the smallest that does is named, with the storm that asks most."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from checker.core.units import INCH_M
from checker.files.source import read_text
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.sizing import Sized, sizes
from checker.measure.drainage.tried import storms_to_try
from checker.measure.survey import Survey
from checker.measure.words import built_in
from checker.site.read import site_of
from tests.measure.terrace import changed, survey

SAMPLE = Path("samples/tern-court/site.yaml")


def sample(*changes: tuple[str, str]) -> Survey:
    """The sample with some texts replaced."""
    text = SAMPLE.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return Survey(site_of(read_text(text, SAMPLE.as_posix()), SAMPLE), built_in(), {})


def by_id(found: tuple[Sized, ...]) -> dict[str, Sized]:
    return {item.id: item for item in found}


def test_every_storm_of_the_return_period_up_to_a_day_is_tried() -> None:
    titles = [storm.title for storm in storms_to_try(sample())]
    assert titles[0] == "10-year 1-hour, nested"
    assert "10-year 5-min, even" in titles
    assert titles[-2:] == ["10-year 24-hour, even", "10-year 5-min, until all runs"]


def test_a_pipe_gets_the_next_stocked_size_for_the_sharpest_storm() -> None:
    """By hand: 108.7 gal/min at 1.25 % and n = 0.010 just fill a pipe of 3.81 in."""
    diameter_m = (
        108.7 * 231 * INCH_M**3 / 60 * 0.010 * 4 ** (5 / 3) / math.pi / math.sqrt(0.0125)
    ) ** (3 / 8)
    main = by_id(sizes(sample()))["main"]
    assert main.needed == f"{diameter_m / INCH_M:.2f} in inside" == "3.81 in inside"
    assert (main.stocked, main.governing) == ("4 in", "10-year 1-hour, nested")
    assert main.is_enough


def test_stores_get_the_smallest_that_never_overflows() -> None:
    found = by_id(sizes(sample()))
    assert found["bed"].stocked == "6 in of stone"
    assert found["bed"].is_enough
    assert found["dry-well"].stocked == "72 in by 7 ft"
    assert found["dry-well"].governing == "10-year 1-hour, nested"
    assert not found["dry-well"].is_enough


OUTLET = "outlets: [{id: high-pipe, kind: pipe, invert: 98.90, diameter: 4 in, to: exfiltration}]"
PIPE = (
    "    - {id: exfiltration, to: dry-well, diameter: 4 in, material: smooth plastic pipe, "
    "length: 8 ft, upper: 98.90, lower: 98.70, cover: 10 in, along: [[15, 100], [8, 100]]}\n"
)
NO_DRAIN = ((f"      {OUTLET}\n", ""), (PIPE, ""))


@pytest.mark.parametrize(("inches", "enough"), [(4, True), (3, False)])
def test_the_chosen_stone_is_the_least(inches: int, enough: bool) -> None:
    """Without a drain, by hand: of 2.00 in in an hour 0.60 in soak away: 1.40 / 0.40 = 3.5 in."""
    stone = (f"bottom: {99.4 - inches / 12:.6f}", f"depth: {inches} in")
    drawn = sample(*NO_DRAIN, ("bottom: 98.40", stone[0]), ("depth: 12 in", stone[1]))
    bed = by_id(sizes(drawn))["bed"]
    assert bed.is_enough is enough
    assert bed.stocked == "4 in of stone"


def test_a_drain_below_the_top_is_no_overflow() -> None:
    """The pipe at 98.90 runs long before the stone is full: its water goes to the dry well."""
    assert by_id(sizes(sample()))["bed"].is_enough


def test_a_store_that_never_empties_is_not_enough() -> None:
    """Without soil that takes water, and without a drain: full of the first storm for ever."""
    found = by_id(sizes(sample(*NO_DRAIN, ("measured_rate: 1.2 in/h", "measured_rate: 0 in/h"))))
    assert not found["bed"].is_enough
    assert found["bed"].stocked == ""


def test_a_channel_keeps_its_length_and_gets_the_smallest_width() -> None:
    assert by_id(sizes(sample()))["channel"].stocked == "4 in wide"


@pytest.mark.parametrize(
    ("rate", "stocked"), [("0.5 in/h", "2 of 60 in by 6 ft"), ("0.1 in/h", "")]
)
def test_in_slow_soil_several_dry_wells_or_none(rate: str, stocked: str) -> None:
    """Side by side they fill and empty together; what stays wet for 72 h is not chosen."""
    found = by_id(sizes(sample(("measured_rate: 1.2 in/h", f"measured_rate: {rate}"))))
    assert found["dry-well"].stocked == stocked


def test_grates_are_counted_when_the_largest_is_not_enough() -> None:
    """3 in in 5 min are 36 in/h: off 800 sq ft of roof and 750 of terrace, over 400 gal/min."""
    much = {"design": {"depth": "3 in", "duration": "5 min", "shape": "uniform"}}
    drain = by_id(sizes(survey(storms=much)))["drain"]
    assert 400 < float(drain.needed.split()[0]) < 500
    assert drain.stocked == "5 of 18 in square"
    assert drain.governing == "5-min storm of 3 in, uniform"
    assert not drain.is_enough


def test_what_a_pipe_lacks_is_said() -> None:
    ways = {"pipes": changed("pipes", "pipe", lower=None)}
    with pytest.raises(NotMeasured, match="pipe"):
        sizes(survey(ways_out=ways))


def test_without_a_design_storm_nothing_is_sized() -> None:
    with pytest.raises(NotMeasured, match="design"):
        sizes(survey(storms=None))
