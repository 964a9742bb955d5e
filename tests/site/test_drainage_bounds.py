"""Slips of a digit or a unit in measures of drainage are refused at their line."""

from __future__ import annotations

from typing import Any

import pytest

from checker.core.problems import BadInput
from checker.measure.drainage.drawn import check_drainage
from tests.measure.terrace import DATA, changed, survey

WELL = {"id": "well", "kind": "dry-well", "bottom": 92, "depth": "5 ft", "chamber": "48 in"}
CHANNEL = {"id": "drain", "kind": "channel-drain", "along": [[10, 20], [50, 20]], "rim": 99.56}


def stored(**more: Any) -> dict[str, Any]:
    return {"stores": [WELL | more], "pipes": changed("pipes", "pipe", to="well"), "outlets": []}


def piped(**more: Any) -> dict[str, Any]:
    return {"pipes": changed("pipes", "pipe", **more)}


def channel(**more: Any) -> dict[str, Any]:
    leader = DATA["ways_out"]["inlets"][1]
    return {"inlets": [CHANNEL | {"to": "pipe", "spills_to": "edge"} | more, leader]}


@pytest.mark.parametrize(
    ("good", "slipped", "key"),
    [
        (channel(fall="2 %"), channel(fall="20 %"), "fall"),
        (channel(fall="1/16 in/ft"), channel(fall="30 %"), "fall"),
        (channel(width="6 in"), channel(width="60 in"), "width"),
        (channel(depth="6 in"), channel(depth="60 in"), "depth"),
        (channel(width="12 in", slot="3/8 in"), channel(width="12 in", slot="9.5 in"), "slot"),
        (channel(spill_depth="1 in"), channel(spill_depth="25.4 in"), "spill_depth"),
        (piped(slope="2.5 %", lower=None), piped(slope="25 %", lower=None), "slope"),
        (piped(diameter="4 in"), piped(diameter="100 in"), "diameter"),
        (piped(diameter="100 mm"), piped(diameter="4 mm"), "diameter"),
        (piped(cover="12 in"), piped(cover="100 ft"), "cover"),
        (stored(pit="96 in"), stored(pit="96 ft"), "pit"),
        (stored(stone_below="12 in"), stored(stone_below="300 in"), "stone_below"),
        (stored(depth="6 ft"), stored(depth="72 ft"), "depth"),
        (stored(cover="18 in"), stored(cover="457 in"), "cover"),
    ],
)
def test_a_slip_is_refused(good: dict[str, Any], slipped: dict[str, Any], key: str) -> None:
    check_drainage(survey(ways_out=good))
    with pytest.raises(BadInput) as refused:
        check_drainage(survey(ways_out=slipped))
    (problem,) = refused.value.problems
    assert f"'{key}' of" in problem.says
    assert "more than there can be" in problem.says or "less than a pipe can be" in problem.says
    assert problem.place.line > 0
    assert problem.do


@pytest.mark.parametrize(
    ("storm", "is_told"),
    [
        # 50 mm in an hour, and the same number as inches: 1.27 m, where 0.49 m is the record's.
        ({"depth": "50 mm", "duration": "1 h", "shape": "uniform"}, False),
        ({"depth": "50 in", "duration": "1 h", "shape": "uniform"}, True),
        # 5 in and 127 in in a day; the record of 24 h is 1.825 m, 71.9 in.
        ({"depth": "5 in", "shape": "type-2"}, False),
        ({"depth": "71.9 in", "shape": "type-2"}, False),
        ({"depth": "127 in", "shape": "type-2"}, True),
        ({"fallen": {"0 min": "0 in", "30 min": "1.2 in"}}, False),
        ({"fallen": {"0 min": "0 in", "30 min": "30 in"}}, True),
    ],
)
def test_more_rain_than_ever_fell(storm: dict[str, Any], is_told: bool) -> None:
    found = survey(storms={"design": storm, "rare": None})
    if not is_told:
        check_drainage(found)
        return
    with pytest.raises(BadInput):
        check_drainage(found)
