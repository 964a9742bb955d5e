"""The drainage parts of a site file: read as meant, and every mistake named with its place."""

from __future__ import annotations

import contextlib
from typing import Any

import pytest

from checker.core.problems import BadInput
from checker.files.source import read_text
from checker.site.drainage import Drain, Panel, Storms, WaysOut
from checker.site.drainage_read import read_panels, read_ways_out
from checker.site.storms_read import read_storms

FOOT = 0.3048
HEAD = "units: ft\nsurfaces: [{id: deck}, {id: walk}]\n"


def panels(text: str) -> tuple[Panel, ...]:
    document = read_text(f"{HEAD}panels:\n{text}", "lot.yaml")
    return read_panels(document.data["panels"], document)


def ways(text: str) -> WaysOut:
    document = read_text(f"{HEAD}ways_out:\n{text}", "lot.yaml")
    return read_ways_out(document.data["ways_out"], document)


def storms(text: str) -> Storms:
    document = read_text(f"{HEAD}storms:\n{text}", "lot.yaml")
    return read_storms(document.data["storms"], document)


def drain(text: str) -> Drain:
    return ways(f"  inlets:\n    - {{id: d, {text}}}").drains[0]


def test_points_and_levels_are_in_the_unit_of_the_file() -> None:
    (panel,) = panels('  - {on: deck, levels: {"1,2": 99.6, "3,2": 30 m, "1,4": 99 ft 6 in}}')
    assert panel.id == "deck"
    assert panel.levels[0][0] == (FOOT, 2 * FOOT)
    assert panel.levels[0][1] == pytest.approx(99.6 * FOOT)
    assert panel.levels[1][1] == 30.0
    assert panel.levels[2][1] == pytest.approx(99.5 * FOOT)


def test_amounts_of_a_drain() -> None:
    found = drain(
        "kind: channel-drain, along: [[0, 0], [10, 0]], rim: -0.5, slot: 3/8 in, clogged: 25 %"
    )
    assert found.points == ((0.0, 0.0), (10 * FOOT, 0.0))
    assert found.rim_m == pytest.approx(-0.5 * FOOT)
    assert found.slot_m == pytest.approx(0.375 * 0.0254)
    assert found.clogged_fraction == 0.25


def test_nothing_given_is_nothing() -> None:
    document = read_text(HEAD, "lot.yaml")
    assert read_panels(None, document) == ()
    assert read_ways_out(None, document) == WaysOut()
    assert read_storms(None, document) == Storms()
    assert ways("  inlets: []").clogged_fraction == 0.5


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("  - {on: dek}", "lot.yaml:4:10: the panel 'dek' lies on 'dek', which is no surface"),
        ("  - {on: deck}\n  - {on: deck}", "lot.yaml:5:5: a panel 'deck' is there twice"),
        ('  - {on: deck, levels: {"1;2": 1, "1,3": 2, "2,3": 3}}', "'1;2' is no point"),
        ('  - {on: deck, levels: {"1,2": x, "1,3": 2, "2,3": 3}}', "'x' is not an amount"),
        (
            '  - {on: deck, pitch: 2 %, levels: {"1,2": 1, "1,3": 2, "2,3": 3}}',
            "the panel deck has spot levels and ['pitch'] too",
        ),
        ("  - {on: deck, pitch: 3 ft}", "'pitch' of the panel deck: '3 ft' is a length"),
        ("  - {on: deck, runoff: 120 %}", "'runoff' of the panel deck is '120 %', more than"),
        ("  - {on: deck, fall: 2 %}", "fall"),
    ],
)
def test_mistakes_in_panels(text: str, says: str) -> None:
    with pytest.raises(BadInput) as error:
        panels(text)
    assert says in str(error.value)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            "  inlets: [{id: d, kind: area-drain, slot: 1 in}]",
            "'slot' of d has no meaning for the kind 'area-drain'",
        ),
        (
            "  inlets: [{id: d, kind: area-drain, grate: {width: 0 in}}]",
            "'width' of d is 0; give its size",
        ),
        ("  inlets: [{id: d, kind: drain}]", "kind"),
        ("  pipes: [{id: d}, {id: d}]", "a way out 'd' is there twice"),
        ("  pipes: [{id: d, upper: 1, lower: 0, slope: 1 %}]", "d has two inverts and a slope"),
        ("  pipes: [{id: d, roughness: 10}]", "'roughness' of d is 10; give Manning's n"),
        ("  pipes: [{id: d, diameter: 4}]", "'4' has no unit, but a length is wanted"),
        (
            "  stores: [{id: d, kind: dry-well, under: deck}]",
            "'under' of d has no meaning for the kind 'dry-well'",
        ),
        (
            "  stores: [{id: d, kind: dry-well, outlets: [{id: o, kind: edge, invert: 1}]}]",
            "'invert' of d has no meaning for the kind 'edge'",
        ),
        (
            "  stores: [{id: d, kind: dry-well, outlets: [&o {id: o, kind: edge}, *o]}]",
            "an outlet of d 'o' is there twice",
        ),
        ("  overflow_edges: [{id: e, along: [[0, 0]], onto: street}]", "along"),
        ("  overflow_edges: [{id: e, along: [[0, 0], [1, 0]], onto: lawn}]", "onto"),
    ],
)
def test_mistakes_in_ways_out(text: str, says: str) -> None:
    with pytest.raises(BadInput) as error:
        ways(text)
    assert says in str(error.value)
    assert "lot.yaml:" in str(error.value)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("  step: 1 h", "'step' of the storms is '1 h'; give a step from 10 s to 15 min"),
        (
            "  design: {duration: 1 h, shape: type-2}",
            "'duration' of the design storm is '1 h', but type-2 is a 24 h storm",
        ),
        (
            "  design: {depth: 1 in, shape: nested}",
            "the design storm is nested, which is made from",
        ),
        ("  rare: {fallen: {0 min: 0 in, 5 apples: 1 in}}", "'apples' in '5 apples'"),
        ("  rare: {return_period: -10}", "'return_period' of the rare storm is '-10'"),
    ],
)
def test_mistakes_in_storms(text: str, says: str) -> None:
    with pytest.raises(BadInput) as error:
        storms(text)
    assert says in str(error.value)


def test_storm_types_last_a_day_and_depths_fall_evenly() -> None:
    found = storms(
        "  design: {return_period: 10, shape: type-3}\n  rare: {depth: 3 in, duration: 2 h}"
    )
    assert found.design is not None
    assert found.design.duration_s == 86400
    assert found.rare is not None
    assert found.rare.form == "uniform"


def test_a_storm_as_earlier_files_write_it() -> None:
    found = storms("  rare: {return_period: 100, shape: type_2}")
    assert found.rare is not None
    assert found.rare.form == "type-2"


HOSTILE: list[Any] = [None, [], {}, "x", 3, True, [None], [{}], {"inlets": None}, {"inlets": [3]}]


@pytest.mark.parametrize("data", HOSTILE, ids=repr)
@pytest.mark.parametrize("read", [read_panels, read_ways_out, read_storms])
def test_anything_at_all_ends_in_records_or_problems(read: Any, data: Any) -> None:
    document = read_text(HEAD, "lot.yaml")
    with contextlib.suppress(BadInput):
        read(data, document)
