"""What drains and pipes are asked is decided by the rain table, whatever storm is typed."""

from __future__ import annotations

import json
import random
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from checker import api
from checker.core.records import replace
from checker.core.units import INCH_M, Amount
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.gathering import long_times
from checker.measure.drainage.network import network_of
from checker.measure.drainage.rain import intensity_m_per_s
from checker.measure.drainage.sizing import sizes
from checker.measure.drainage.steps import steps
from checker.measure.drainage.tried import tried_flows
from checker.measure.survey import Survey
from checker.water.storms import Storm, most_intense_m_per_s
from tests.measure.terrace import DATA, survey

GALLON_M3 = 231 * INCH_M**3
HEAD = "Point precipitation frequency estimates (inches)\nLatitude: 1.0 Degree\n"
ROWS = "by duration for ARI (years):, 10\n5-min:, 0.4\n15-min:, 0.9\n60-min:, 2.0\n24-hr:, 4.3\n"
COARSE = "by duration for ARI (years):, 10\n60-min:, 2.0\n24-hr:, 4.3\n"


def with_table(
    tmp_path: Path, design: dict[str, Any], text: str = HEAD + ROWS, **more: Any
) -> Survey:
    """The terrace under a storm of a rain table."""
    (tmp_path / "rain.csv").write_text(text, encoding="utf-8")
    storms: dict[str, Any] = {"table": "rain.csv", "design": {"return_period": 10, **design}}
    found = survey(storms=storms | more.pop("storms", {}), **more)
    found.site = replace(found.site, file=tmp_path / "site.yaml")
    return found


def per_cent(found: Survey, name: str) -> float:
    """A share that is known."""
    measured = found.measured(name)
    assert isinstance(measured, Amount), measured
    return measured.value_si * 100


@pytest.mark.parametrize(
    "design",
    [
        {"duration": "24 h", "shape": "uniform"},
        {"duration": "1 h", "shape": "uniform"},
        {"duration": "1 h"},
    ],
)
def test_the_hardest_rain_is_asked_whatever_is_typed(
    tmp_path: Path, design: dict[str, Any]
) -> None:
    """0.4 in in 5 min are 4.8 in/h: 0.010390 x 4.8 x 800 x 0.95 = 37.90 gal/min."""
    found = with_table(tmp_path, design)
    takes = min(item.capacity_m3_per_s for item in network_of(found).inlets) * 60 / GALLON_M3
    assert per_cent(found, "drain_room") == pytest.approx(100 * takes / 37.90, rel=0.001)
    drain = next(item for item in sizes(found) if item.id == "drain")
    needed = float(drain.needed.removesuffix(" gal/min"))
    other = next(item for item in network_of(found).inlets if item.id != "drain")
    # What the drain beside it spills comes to this one as well: at most what is over its rating,
    # and less than that where water stands deeper over it than the rating says.
    spilt = max(0.0, 37.90 - other.capacity_m3_per_s * 60 / GALLON_M3)
    assert 37.85 <= needed <= 37.90 + spilt + 0.05


def test_a_typed_shape_that_is_harder_than_the_table_counts(tmp_path: Path) -> None:
    """The type-2 day of 4.3 in brings more in its hardest minutes than the row of 5 min."""
    found = with_table(tmp_path, {"shape": "type-2"})
    drain = next(item for item in sizes(found) if item.id == "drain")
    assert float(drain.needed.split()[0]) > 37.90


def test_a_table_that_begins_with_an_hour_cannot_tell(tmp_path: Path) -> None:
    found = with_table(tmp_path, {"duration": "1 h"}, HEAD + COARSE)
    for name in ("pipe_room", "drain_room"):
        assert "begins with 1-hour rain" in str(getattr(found.measured(name), "ask", ""))
    assert {item.id for item in sizes(found) if "begins with" in item.because} == {"pipe", "drain"}
    asks = "table rain.csv goes from 1-hour to 24-hour rain, but 5-min rain is asked: give its row"
    with pytest.raises(NotMeasured, match=asks):
        steps(found, "us")
    known = with_table(tmp_path, {"duration": "1 h"}, HEAD + COARSE, ground={"soil_group": "B"})
    assert asks in str(getattr(known.measured("peak_before"), "ask", ""))


def test_a_check_with_a_table_that_begins_with_a_day_cannot_tell(tmp_path: Path) -> None:
    """4.3 in a day are 0.18 in/h on the mean, which any pipe carries; the hardest minutes do."""
    day = "by duration for ARI (years):, 10\n24-hr:, 4.3\n48-hr:, 5.0\n"
    (tmp_path / "rain.csv").write_text(HEAD + day, encoding="utf-8")
    for shape in ("uniform", "nested"):
        design = {"return_period": 10, "duration": "24 h", "shape": shape}
        path = tmp_path / f"{shape}.yaml"
        data = DATA | {"storms": {"table": "rain.csv", "design": design}}
        path.write_text(json.dumps(data), encoding="utf-8")
        site = api.load_site(path, path.name)
        found = {f.rule: f for f in api.check(site, api.load_ruleset_for(site)).verdict.findings}
        for rule in ("drains-take", "pipes-carry"):
            assert found[rule].status == "cannot tell", (shape, rule)
            assert any("5-min rain" in item.ask for item in found[rule].missing), (shape, rule)


def test_a_mean_over_half_an_hour_cannot_tell() -> None:
    asks = str(getattr(survey().measured("drain_room"), "ask", ""))
    assert "how much falls in 30-min" in asks
    typed = {"0 min": "0 in", "20 min": "0.9 in", "30 min": "1 in"}
    other = survey(storms={"design": {"fallen": typed}}).measured("drain_room")
    assert "how much falls in 20-min" in str(getattr(other, "ask", ""))


def test_a_slow_surface_may_begin_later(tmp_path: Path) -> None:
    """Water that gathers in 15 min is asked 0.9 in in 15 min, 3.6 in/h: 28.43 gal/min.

    By that row, the first, a sheet runs down 20 ft at 1/48 in 0.933 / 3.6^0.4 x
    (0.011 x 20 / (1/48)^0.5)^0.6 = 0.933 / 1.6693 x 1.2878 = 0.720 min. Rain of less than 15 min
    is not in the table and may fall harder: that is the most it takes.
    """
    rows = ROWS.replace("5-min:, 0.4\n15-min", "15-min", 1)
    panels = [
        DATA["panels"][0] | {"concentration": "15 min", "concentration_source": "a planted gutter"}
    ]
    ways = {"inlets": [item for item in DATA["ways_out"]["inlets"] if item["id"] == "drain"]}
    found = with_table(
        tmp_path, {"duration": "24 h", "shape": "uniform"}, HEAD + rows, panels=panels,
        ways_out=ways,
    )  # fmt: skip
    drain = next(item for item in sizes(found) if item.id == "drain")
    assert (drain.needed, drain.governing) == ("28.4 gal/min", "10-year 15-min, until all runs")
    gathers, peak = (step for step in steps(found, "us") if step.of.startswith("terrace"))
    assert gathers.result.value_si == pytest.approx(0.720, abs=0.0005)
    assert "at most, by 15-min rain, the first of the table" in gathers.what
    assert peak.what.startswith("peak flow")
    assert peak.result.value_si * 60 / GALLON_M3 == pytest.approx(28.43, abs=0.01)


@pytest.mark.parametrize("minutes", ["60 min", "15 min", "5 min"])
def test_nobody_types_themselves_a_lower_peak(tmp_path: Path, minutes: str) -> None:
    """Water runs down this panel in under a minute: five are taken, whatever longer time is typed.

    With its source a longer time counts, and less is asked.
    """
    asked, long = [], {"concentration": minutes}
    for more in ({}, long, long | {"concentration_source": "a planted gutter"}):
        found = with_table(
            tmp_path, {"duration": "1 h"}, HEAD + ROWS, panels=[DATA["panels"][0] | more]
        )
        asked.append(max(flows.asked_m3_per_s("drain") for flows in tried_flows(found)))
        told = list(long_times(found))
        if more and minutes != "5 min":
            assert told[0].typed_s > 300
            assert told[0].reckoned_s is not None
            assert told[0].reckoned_s < 60
            assert told[0].taken_s == (told[0].typed_s if told[0].source else 300)
        else:
            assert told == []
    plain, typed, sourced = asked
    # Five minutes are the mean of the hardest five, in which the rain of this table is even.
    assert typed == pytest.approx(plain, rel=0.02)
    assert sourced < 0.8 * plain or minutes == "5 min"


def test_a_table_says_where_it_is_from(tmp_path: Path) -> None:
    design: dict[str, Any] = {"duration": "1 h"}
    found = with_table(tmp_path, design, HEAD.split("\n", 1)[0] + "\n" + ROWS)
    assert "say where the rain table rain.csv is from" in str(
        getattr(found.measured("design_overflow"), "ask", "")
    )
    said = with_table(
        tmp_path, design, HEAD.split("\n", 1)[0] + "\nLatitude: -\n" + ROWS,
        storms={"source": "county sheet 4"},
    )  # fmt: skip
    assert isinstance(said.measured("design_overflow"), Amount)


def test_return_period_and_duration_are_measures(tmp_path: Path) -> None:
    found = with_table(tmp_path, {"duration": "1 h"})
    assert getattr(found.measured("design_return_period"), "value_si", 0) == 10
    assert getattr(found.measured("design_duration"), "value_si", 0) == 3600
    assert "is typed" in str(getattr(survey().measured("rare_return_period"), "ask", ""))
    assert getattr(survey().measured("rare_duration"), "value_si", 0) == 1800


def test_no_rain_of_a_longer_time_is_harder(tmp_path: Path) -> None:
    """Of typed rain in any order, and of the table: the peak falls as the water gathers longer."""
    chance = random.Random(5)
    for _ in range(200):
        depths = tuple(chance.choice((0.0, 0.001, chance.random() / 100)) for _ in range(12))
        rain = Storm(step_s=300.0, depths_m=depths)
        found = [most_intense_m_per_s(rain, 300.0 * n) for n in range(1, 20)]
        assert all(b <= a * (1 + 1e-12) for a, b in pairwise(found))
        # Plainly: no window of that length or longer brings more.
        for count in range(1, 13):
            plain = max(
                sum(depths[a:b]) / (300.0 * (b - a))
                for a in range(13)
                for b in range(a + count, 13)
            )
            assert found[count - 1] == pytest.approx(plain)
    site = with_table(tmp_path, {"duration": "24 h", "shape": "uniform"})
    rates = [intensity_m_per_s(site, 60.0 * n) for n in range(0, 300, 7)]
    assert all(b <= a for a, b in pairwise(rates))
    assert rates[0] == pytest.approx(4.8 * INCH_M / 3600)


def test_a_table_in_which_longer_rain_is_harder_is_refused(tmp_path: Path) -> None:
    from checker.core.problems import BadInput

    for old, new, says in (
        ("0.9", "1.5", "rains harder over this duration"),
        ("0.9", "0.3", "has less rain than the row above"),
    ):
        with pytest.raises(BadInput, match=says):
            intensity_m_per_s(with_table(tmp_path, {}, HEAD + ROWS.replace(old, new)), 300.0)
    missing = survey(storms={"design": {"duration": "1 h"}})
    with pytest.raises(NotMeasured):
        intensity_m_per_s(missing, 300.0)
