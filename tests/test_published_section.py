"""Published and hand-worked cases of the pavement section, each in the units of its source.

The cases are in `published/section-cases.yaml`. A case from memory says so in its id here, and so
does one of common practice, for which there is no source.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from checker.core.units import Order, meets, read_amount
from checker.courses.fabrics import (
    FINES_FOR_NO_FABRIC_ALONE_FRACTION,
    limits_for,
    opening_limit_m,
    retention_coefficient,
)
from checker.courses.filters import (
    Grains,
    Neighbours,
    filter_d15_limits_m,
    grain_span,
    neighbours,
    permeability_ratio,
    pipe_opening_ratio,
)
from checker.courses.gradation import SieveBand, SieveCurve, fit, fits, grain_size_m
from checker.courses.siting import (
    frost_section_m,
    investigation_depth_m,
    run_on_ratio,
    soil_tests_count,
)
from checker.courses.surface import (
    aspect_ratio,
    deck_drains_count,
    level_change,
    opening,
    slope_window_fraction,
)
from checker.courses.tables import bands, fabric_limits, sieve_name, sieve_openings_m
from checker.courses.takeoff import (
    course_volume_m3,
    joint_volume_m3,
    mass_kg,
    strips_count,
    units_count,
)
from checker.courses.upkeep import infiltration_m_per_s, places_count
from checker.courses.voids import dry_density_kg_per_m3, porosity_fraction
from checker.files.source import read_document
from checker.water.ground import design_rate_m_per_s, drawdown_time_s, water_held_m
from checker.water.pipes import full_pipe_diameter_m

if TYPE_CHECKING:
    from collections.abc import Callable

Case = dict[str, Any]
FOLDER = Path(__file__).parent
TABLES = FOLDER.parent / "rules" / "tables"
CASES: list[Case] = read_document(FOLDER / "published" / "section-cases.yaml").data["cases"]
CHECKS: dict[str, Callable[[Case, Case], None]] = {}


def check(name: str) -> Callable[[Callable[[Case, Case], None]], Callable[[Case, Case], None]]:
    """Register what a kind of case calls, given its inputs and what is expected."""

    def add(function: Callable[[Case, Case], None]) -> Callable[[Case, Case], None]:
        CHECKS[name] = function
        return function

    return add


def case_id(case: Case) -> str:
    marks = [mark for mark in ("from memory", "no source") if mark in case["evidence"]]
    return "::".join([case["id"], *marks])


@pytest.mark.parametrize("case", CASES, ids=case_id)
def test_case(case: Case) -> None:
    CHECKS[case["check"]](case["given"], case["expect"])


def test_every_case_has_its_own_id_and_says_where_it_is_from() -> None:
    assert len({case["id"] for case in CASES}) == len(CASES)
    words = {"read", "second-hand", "from memory", "worked by hand", "common practice, no source"}
    for case in CASES:
        assert case["source"]
        assert set(case["evidence"].split(" and ")) <= words, case["id"]


def test_no_kind_of_check_is_left_unused() -> None:
    assert set(CHECKS) == {case["check"] for case in CASES}


def si(text: object) -> float:
    return read_amount(text).value_si


def near(measured: float, expected: object, percent: float) -> None:
    assert measured == pytest.approx(si(expected), rel=percent / 100)


def verdict(*, holds: bool) -> str:
    return "passes" if holds else "fails"


@cache
def table(name: str) -> dict[str, Any]:
    data = read_document(TABLES / f"{name}.yaml").data
    assert data["format"] == "table/1"
    return dict(data)


@cache
def openings() -> dict[str, float]:
    return sieve_openings_m(table("sieves")["rows"], table("sieves")["columns"])


@cache
def sizes() -> dict[str, SieveBand]:
    return bands(table("stone-sizes")["rows"], openings())


def row_of(name: str, wanted: str) -> dict[str, Any]:
    def matches(row: dict[str, Any]) -> bool:
        if name == "infiltration-setbacks":
            return f"{row['to']} / {row['of']} / {row['strength']}" == wanted
        keys = ("item", "measure", "where", "of")
        return bool(next(row[key] for key in keys if key in row) == wanted)

    found = [row for row in table(name)["rows"] if matches(row)]
    assert len(found) == 1, wanted
    return dict(found[0])


def bound(name: str, row: dict[str, Any], column: str) -> float | None:
    if column not in row:
        return None
    unit = table(name)["columns"][column]
    return si(row[column]) if unit == "text" else si(f"{row[column]} {unit}")


@check("limit")
def limit(given: Case, expect: Case) -> None:
    row = row_of(given["table"], given["row"])
    measured = si(given["measured"])
    broken: list[float] = []
    known: list[float] = []
    orders: tuple[tuple[str, Order], ...] = (("least", "at least"), ("most", "at most"))
    for column, order in orders:
        value = bound(given["table"], row, column)
        if value is not None:
            known.append(value)
            if not meets(measured, value, order):
                broken.append(value)
    assert known
    assert verdict(holds=not broken) == expect["verdict"]
    if "limit" in expect:
        assert any(
            value == pytest.approx(si(expect["limit"]), rel=1e-5) for value in broken or known
        )


@check("sieves")
def sieves(given: Case, expect: Case) -> None:
    passing = {openings()[name]: share / 100 for name, share in given["passing"].items()}
    results = fit(SieveCurve.of(passing.items()), sizes()[given["size"]])
    answer = fits(results)
    assert answer is not None
    assert verdict(holds=answer) == expect["verdict"]
    failed = [sieve_name(r.limits.opening_m, openings()) for r in results if r.holds is False]
    assert failed == expect.get("fails_at", [])


@check("openings")
def sieve_openings(given: Case, expect: Case) -> None:
    assert [round(openings()[name] * 1000, 6) for name in given["sieves"]] == expect["mm"]


@check("grain")
def grain(given: Case, expect: Case) -> None:
    size_m = grain_size_m(sizes()[given["size"]].curve(given["edge"]), si(given["share"]))
    near(size_m, expect["size"], expect["within_percent"])


@check("stone-of-course")
def stone_of_course(given: Case, expect: Case) -> None:
    allowed = next(
        row["stone"].split()
        for row in table("standard-sections")["rows"]
        if (row["section"], row["course"]) == (given["section"], given["course"])
    )
    assert verdict(holds=given["stone"] in allowed) == expect["verdict"]


@check("porosity")
def porosity(given: Case, expect: Case) -> None:
    found = porosity_fraction(given["void_ratio"])
    assert found == pytest.approx(expect["porosity"], abs=expect["within"])


RATIOS = {
    "retention_mid": "retention_mid_ratio",
    "retention_worst": "retention_worst_ratio",
    "choke_mid": "choke_mid_ratio",
    "choke_worst": "choke_worst_ratio",
    "spread_low": "spread_low_ratio",
    "spread_mid": "spread_mid_ratio",
    "permeability_mid": "permeability_mid_ratio",
}


def compare_ratios(found: Neighbours, expect: Case) -> None:
    for name, attribute in RATIOS.items():
        if name in expect:
            ratio = getattr(found, attribute)
            assert ratio == pytest.approx(expect[name], rel=expect["within_percent"] / 100), name


def number(value: float | None) -> float:
    assert value is not None
    return value


@check("layers")
def layers(given: Case, expect: Case) -> None:
    found = neighbours(grain_span(sizes()[given["coarser"]]), grain_span(sizes()[given["finer"]]))
    compare_ratios(found, expect)
    answers = {
        "retention": meets(number(found.retention_worst_ratio), 5, "at most"),
        "choke": meets(number(found.choke_worst_ratio), 5, "less than"),
        "spread": meets(number(found.spread_mid_ratio), 2, "more than"),
        "spread_worst": meets(number(found.spread_low_ratio), 2, "more than"),
    }
    for name, holds in answers.items():
        if name in expect:
            assert verdict(holds=holds) == expect[name], name


@check("soil-under-stone")
def soil_under_stone(given: Case, expect: Case) -> None:
    soil = Grains(**{f"{name}_m": si(size) for name, size in given["soil"].items()})
    found = neighbours(grain_span(sizes()[given["stone"]]), grain_span(soil))
    compare_ratios(found, expect)
    holds = (
        meets(number(found.retention_mid_ratio), 5, "at most")
        and meets(number(found.spread_mid_ratio), 25, "at most")
        and meets(number(found.permeability_mid_ratio), 5, "at least")
    )
    assert verdict(holds=holds) == expect["verdict"]


@check("filter-limits")
def filter_limits(given: Case, expect: Case) -> None:
    least_m, most_m = filter_d15_limits_m(si(given["d15"]), si(given["d85"]))
    near(least_m, expect["least"], expect["within_percent"])
    near(most_m, expect["most"], expect["within_percent"])


@check("permeability")
def permeability(given: Case, expect: Case) -> None:
    ratio = permeability_ratio(si(given["filter_d15"]), si(given["soil_d15"]))
    near(ratio, expect["ratio"], expect["within_percent"])
    for multiplier in (5, 3):
        holds = meets(ratio, multiplier, "at least")
        assert verdict(holds=holds) == expect[f"at_least_{multiplier}"]


@check("pipe-hole")
def pipe_hole(given: Case, expect: Case) -> None:
    fine = sizes()[given["surround"]].curve("fine")
    ratio = pipe_opening_ratio(grain_size_m(fine, 0.85), si(given["hole"]))
    near(ratio, expect["ratio"], expect["within_percent"])
    assert verdict(holds=meets(ratio, 1.0, "more than")) == expect["verdict"]


@check("fabric")
def fabric(given: Case, expect: Case) -> None:
    rows = fabric_limits(table(given["table"])["rows"], table(given["table"])["columns"])
    limits = limits_for(si(given["fines"]), rows)
    assert limits is not None
    permittivity = number(limits.permittivity_at_least_per_s)
    holds = meets(si(given["opening"]), limits.opening_at_most_m, "at most") and meets(
        si(given["permittivity"]), permittivity, "at least"
    )
    assert verdict(holds=holds) == expect["verdict"]
    if "opening_at_most" in expect:
        near(limits.opening_at_most_m, expect["opening_at_most"], 1e-6)
    if "permittivity_at_least" in expect:
        near(permittivity, expect["permittivity_at_least"], 1e-6)


@check("fabric-alone")
def fabric_alone(given: Case, expect: Case) -> None:
    holds = meets(si(given["fines"]), FINES_FOR_NO_FABRIC_ALONE_FRACTION, "less than")
    assert verdict(holds=holds) == expect["verdict"]


@check("fabric-retention")
def fabric_retention(given: Case, expect: Case) -> None:
    b_ratio = retention_coefficient(float(given["uniformity"]), 0.30, woven=False)
    near(b_ratio, expect["coefficient"], expect["within_percent"])
    near(opening_limit_m(si(given["d85"]), b_ratio, 0.30), expect["opening"], 1)


@check("strips")
def strips(given: Case, expect: Case) -> None:
    width_m, length_m = (si(side) for side in given["bed"])
    roll_m = si(given["roll"])
    count = strips_count(width_m, roll_m, si(given["lap"]))
    assert count == expect["strips"]
    near(count * roll_m * length_m, expect["area"], 1e-6)


@check("aspect")
def aspect(given: Case, expect: Case) -> None:
    ratio = aspect_ratio(si(given["length"]), si(given["thickness"]))
    near(ratio, expect["ratio"], expect["within_percent"])
    assert verdict(holds=meets(ratio, 4, "at most")) == expect["at_most_4"]


@check("run-on")
def run_on(given: Case, expect: Case) -> None:
    near(run_on_ratio(si(given["draining"]), si(given["permeable"])), expect["ratio"], 1e-6)


@check("emptying")
def emptying(given: Case, expect: Case) -> None:
    stone_m, share = si(given["stone"]), float(given["porosity"])
    near(drawdown_time_s(stone_m, share, si(given["rate"])), expect["time"], 0.5)
    if "water" in expect:
        near(water_held_m(stone_m, share), expect["water"], expect["within_percent"])


@check("underdrain")
def underdrain(given: Case, expect: Case) -> None:
    diameter_m = full_pipe_diameter_m(si(given["flow"]), given["slope"], given["roughness"])
    near(diameter_m, expect["diameter"], expect["within_percent"])


@check("frost")
def frost(given: Case, expect: Case) -> None:
    near(frost_section_m(si(given["frost_depth"])), expect["section"], expect["within_percent"])


@check("design-rate")
def design_rate(given: Case, expect: Case) -> None:
    near(design_rate_m_per_s(si(given["measured"]), float(given["factor"])), expect["rate"], 1)


@check("soil-tests")
def soil_tests(given: Case, expect: Case) -> None:
    assert soil_tests_count(si(given["bed"]), given["kind"]) == expect["tests"]


@check("investigation")
def investigation(given: Case, expect: Case) -> None:
    depth_m = investigation_depth_m(si(given["water"]))
    near(depth_m, expect["depth"], expect["within_percent"])


@check("soil")
def soil(given: Case, expect: Case) -> None:
    found = table("soil-rates-minnesota")
    row = next(row for row in found["rows"] if row["texture"] == given["texture"])
    assert row["group"] == expect["group"]
    near(si(f"{row['rate']} {found['columns']['rate']}"), expect["rate"], 1e-6)


@check("slopes")
def slopes(given: Case, expect: Case) -> None:
    found = [si(slope) * 100 for slope in given["slopes"]]
    assert found == pytest.approx(expect["percent"], abs=expect["within"])


@check("window")
def window(given: Case, expect: Case) -> None:
    found = slope_window_fraction(si(given["least"]), si(given["most"]))
    assert found == pytest.approx(expect["window"], abs=1e-12)


@check("opening")
def slot(given: Case, expect: Case) -> None:
    found = opening(si(given["width"]), si(given["length"]), lies=given["lies"])
    assert found.answer == expect["verdict"]


@check("step")
def step(given: Case, expect: Case) -> None:
    bevel = float(given["bevel"]) if "bevel" in given else None
    assert verdict(holds=level_change(si(given["height"]), bevel)) == expect["verdict"]


@check("deck-drains")
def deck_drains(given: Case, expect: Case) -> None:
    long_m, wide_m = (si(side) for side in given["deck"])
    found = deck_drains_count(long_m, wide_m, si(given["area_each"]), si(given["spacing"]))
    assert found == expect["drains"]


@check("caution")
def caution(given: Case, expect: Case) -> None:
    rows = [row for row in table("work-cautions")["rows"] if row["topic"] == given["topic"]]
    assert [row["source"] for row in rows] == [expect["source"]]
    assert all(row["says"] for row in rows)


@check("calendar")
def calendar(given: Case, expect: Case) -> None:
    rows = [row for row in table("upkeep-calendar")["rows"] if row["task"] == given["task"]]
    assert [row["source"] for row in rows] == [expect["source"]]
    assert given["says"] in rows[0]["act"]


@check("stone")
def stone(given: Case, expect: Case) -> None:
    volume_m3 = course_volume_m3(si(given["area"]), si(given["thickness"]))
    near(volume_m3, expect["volume"], expect["within_percent"])
    near(mass_kg(volume_m3, si(given["density"])), expect["mass"], expect["within_percent"])


@check("density")
def density(given: Case, expect: Case) -> None:
    found = dry_density_kg_per_m3(given["porosity"], given["specific_gravity"])
    near(found, expect["density"], expect["within_percent"])
    near(found, expect["tons"], expect["within_percent"])


@check("units")
def units(given: Case, expect: Case) -> None:
    found = units_count(float(given["area"]), float(given["unit"]), si(given["waste"]))
    assert found == expect["count"]


@check("joint")
def joint(given: Case, expect: Case) -> None:
    volume_m3 = joint_volume_m3(si(given["area"]), si(given["open"]), si(given["depth"]))
    near(volume_m3, expect["volume"], expect["within_percent"])
    near(mass_kg(volume_m3, si(given["density"])), expect["mass"], expect["within_percent"])


@check("ring")
def ring(given: Case, expect: Case) -> None:
    rate = infiltration_m_per_s(si(given["water"]), si(given["ring"]), si(given["time"]))
    near(rate, expect["rate"], expect["within_percent"])


@check("ring-count")
def ring_count(given: Case, expect: Case) -> None:
    assert places_count(si(given["area"])) == expect["tests"]
