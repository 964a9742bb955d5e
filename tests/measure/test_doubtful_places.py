"""Overflow edges and stores that cannot be what the file says: they judge no rule on flows."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from checker.core.problems import BadInput
from checker.core.records import replace
from checker.core.units import Amount
from checker.measure.drainage.doubts import doubts
from checker.measure.survey import Survey
from tests.measure.terrace import DATA, changed, survey

if TYPE_CHECKING:
    from pathlib import Path

FOOT_M = 0.3048
EDGE = DATA["ways_out"]["overflow_edges"][0]
POOL = {
    "id": "pool",
    "material": "pool-water",
    "stage": "proposed",
    "shape": {"rectangle": {"corner": [20, 5], "size": [20, 14.6]}},
}
BACKWARD = [{"on": "terrace", "level": 99.5, "at": [30, 40], "pitch": "1/4 in/ft", "toward": 0}]


def edged(*along: list[float], **more: Any) -> Survey:
    """The terrace, 10 to 50 by 20 to 40 ft before the house, with its overflow edge elsewhere."""
    other = {key: more.pop(key) for key in ("crest", "onto") if key in more}
    edge = EDGE | {"along": list(along)} | other
    if edge["onto"] in {"street", "neighbour"}:
        edge["existing_flow"] = "0 gal/min"
    return survey(ways_out={"overflow_edges": [edge]}, **more)


@pytest.mark.parametrize(
    ("along", "onto", "says"),
    [
        # Paving that falls to the wall: what goes over its edge there goes to the house.
        ([[10, 40], [50, 40]], "own land", "edge runs along the dwelling"),
        ([[10, 40], [50, 40]], "street", "edge runs along the dwelling"),
        ([[10, 40], [50, 40]], "house", ""),
        # Up to the wall squarely, half a foot of it lies beside the wall; along it a foot and more.
        ([[10, 30], [10, 40]], "own land", ""),
        ([[49.1, 39.6], [50, 39.6]], "own land", ""),
        ([[48.9, 39.6], [50, 39.6]], "own land", "edge runs along the dwelling"),
        ([[10, 39.4], [50, 39.4]], "own land", ""),
        # The lot is 60 ft square: over its line lies other land.
        ([[0, 10], [0, 30]], "own land", "edge runs along the lot line"),
        ([[0, 10], [0, 30]], "neighbour", ""),
        ([[0, 10], [0, 30]], "street", ""),
        ([[0.6, 10], [0.6, 30]], "own land", ""),
    ],
)
def test_what_lies_beyond_an_edge(along: list[list[float]], onto: str, says: str) -> None:
    # The lot round the terrace lies at 99.00, so that water gets to its line.
    levels = [{"at": at, "level": 99} for at in ([0, 0], [60, 0], [60, 60], [0, 60])]
    found = edged(*along, onto=onto, panels=BACKWARD, crest=99.92, levels=levels)
    told = doubts(found)
    assert len(told) == bool(says), told
    if says:
        assert told[0].startswith(says)
        for name in ("water_astray", "independent_ways_out", "floor_room", "design_overflow"):
            assert says in str(getattr(found.measured(name), "ask", "")), name


def test_an_edge_along_the_pool() -> None:
    """The pool's water begins 0.4 ft below the edge of the terrace; a foot lower it does not."""
    house, terrace = DATA["surfaces"]
    (told,) = doubts(survey(surfaces=[house, terrace, POOL]))
    assert told == (
        "edge runs along the pool, and its 'onto' is 'own land'; give 'onto: pool' of edge, or "
        "correct 'along'"
    )
    lower = POOL | {"shape": {"rectangle": {"corner": [20, 5], "size": [20, 13.6]}}}
    assert doubts(survey(surfaces=[house, terrace, lower])) == ()


def test_what_a_roof_sheds_over_its_eave_runs_from_the_house() -> None:
    """An edge along the wall that takes the roof's water alone leads none toward it."""
    eave = EDGE | {"id": "eave", "along": [[10, 60], [50, 60]], "onto": "street",
                   "existing_flow": "0 gal/min"}  # fmt: skip
    house = DATA["surfaces"][0] | {"attributes": {"purpose": "dwelling", "drains_to": "eave"}}
    inlets = [item for item in DATA["ways_out"]["inlets"] if item["id"] == "drain"]
    ways = {"overflow_edges": [EDGE, eave], "inlets": inlets}
    assert doubts(survey(surfaces=[house, DATA["surfaces"][1]], ways_out=ways)) == ()


@pytest.mark.parametrize(
    ("crest", "is_low"), [(99.58, False), (99.574, False), (99.57, True), (97, True)]
)
def test_a_crest_below_the_paving(crest: float, is_low: bool) -> None:
    """20 ft below 100.00 at 1/4 in/ft the paving lies at 99.583; levels go by hundredths."""
    told = doubts(edged([10, 20], [50, 20], crest=crest))
    assert bool(told) == is_low, told
    if is_low:
        assert "lies below all paving along it, 99.583 ft at least" in told[0]


def test_water_that_must_rise_to_the_paving_is_not_told_as_lower() -> None:
    """A crest that is too low for the house is no doubt: it is the worse for the house."""
    assert doubts(edged([10, 20], [50, 20], crest=97, onto="house")) == ()


def rows(gallons: float, base: str = "0 sq ft") -> dict[str, Any]:
    """A store of any shape of 5 ft."""
    return {
        "id": "tank", "kind": "any-shape",
        "rows": [
            {"level": 92, "stored": "0 gal", "base": base, "walls": "0 sq ft"},
            {"level": 97, "stored": f"{gallons} gal", "base": base, "walls": "9 sq ft"},
        ],
    }  # fmt: skip


def led(store: dict[str, Any], **more: Any) -> Survey:
    """The terrace with its pipe led into a store."""
    return survey(
        ways_out={"stores": [store], "pipes": changed("pipes", "pipe", to=store["id"])}
        | {"outlets": [], **more}
    )


def test_a_tank_takes_the_room_of_its_water() -> None:
    """Beside the house 60 x 60 - 40 x 20 = 2,800 sq ft are left: 5 ft deep 104,727 gal."""
    assert doubts(led(rows(104_700))) == ()
    (told,) = doubts(led(rows(104_800)))
    assert told.startswith("tank, 0.000 ft wide, does not fit")


WELL = {"id": "well", "kind": "dry-well", "chamber": "2 ft", "pit": "4 ft", "porosity": "40 %"}


@pytest.mark.parametrize(
    ("store", "levels", "says"),
    [
        # Nothing tells the ground over it: the highest level given is the floor at 100.50.
        (WELL | {"bottom": 95, "depth": "5 ft"}, [], ""),
        (WELL | {"bottom": 95, "depth": "6 ft"}, [], "above every level that is given, 100.500"),
        # A spot level 2 ft beside it tells; 4 ft beside it, it does not.
        (WELL | {"bottom": 95, "depth": "5 ft", "at": [30, 8]}, [30, 10], "ground over it, 99.000"),
        (WELL | {"bottom": 94, "depth": "5 ft", "at": [30, 8]}, [30, 10], ""),
        (WELL | {"bottom": 95, "depth": "5 ft", "at": [30, 8]}, [30, 12], ""),
        # Below the terrace, whose paving is at 99.792 there.
        (WELL | {"bottom": 95, "depth": "4.79 ft", "at": [30, 30]}, [], ""),
        (WELL | {"bottom": 95, "depth": "4.85 ft", "at": [30, 30]}, [], "over it, 99.792"),
    ],
)
def test_a_buried_store_lies_below_the_ground(
    store: dict[str, Any], levels: list[float], says: str
) -> None:
    spots = [{"at": levels, "level": 99}] if levels else []
    found = survey(
        ways_out={"stores": [store], "pipes": changed("pipes", "pipe", to="well"), "outlets": []},
        levels=spots or None,
    )
    told = doubts(found)
    assert len(told) == bool(says), told
    assert not says or says in told[0]


BED = {"id": "bed", "kind": "reservoir", "under": "terrace", "bottom": 97, "depth": "20 in",
       "porosity": "40 %", "rim": 99.55, "spills_to": "edge"}  # fmt: skip


def bedded(*stores: dict[str, Any], material: str = "permeable-paving") -> Survey:
    """The terrace with stone below it; the first store takes what the drain leaves."""
    terrace = DATA["surfaces"][1] | {"material": material}
    ways = {"stores": list(stores), "inlets": changed("inlets", "drain", spills_to="bed")}
    return survey(surfaces=[DATA["surfaces"][0], terrace], ways_out=ways)


def test_no_water_gets_through_a_slab_into_the_stone_below() -> None:
    assert doubts(bedded(BED)) == ()
    (told,) = doubts(bedded(BED, material="concrete-slab"))
    assert told.startswith("bed has an open top and lies below 'terrace', which lets no water")


def test_stone_below_one_surface_is_not_counted_twice() -> None:
    """40 x 20 ft: two beds of 800 sq ft at one level are one bed; one below the other are two."""
    over, other = BED | {"spills_to": "more"}, BED | {"id": "more"}
    (told,) = doubts(bedded(over, other))
    assert told.startswith("bed and more lie below 'terrace' and are larger than it together")
    # 20 in deep from 97.00 reaches to 98.667.
    assert doubts(bedded(over, other | {"bottom": 95.3})) == ()
    assert doubts(bedded(over, other | {"bottom": 95.4})) != ()
    half = {"length": "20 ft", "width": "20 ft"}
    assert doubts(bedded(over | half, other | half)) == ()
    # A foot of stone all round is allowed: 800 + 120 sq ft.
    wide = {"length": "26.1 ft", "width": "20 ft"}
    assert doubts(bedded(over | half, other | wide)) != ()


def test_a_well_in_the_stone_is_not_counted_twice() -> None:
    inside = {"at": [30, 30], "bottom": 96, "depth": "2 ft"}
    outlet = [{"id": "o", "kind": "pipe", "invert": 98.6, "diameter": "4 in", "to": "pipe"}]

    def with_well(**more: Any) -> tuple[str, ...]:
        terrace = DATA["surfaces"][1] | {"material": "permeable-paving"}
        ways = {
            "stores": [BED | {"outlets": outlet}, WELL | inside | more],
            "inlets": changed("inlets", "drain", spills_to="bed"),
            "pipes": changed("pipes", "pipe", to="well"),
            "outlets": [],
        }
        return doubts(survey(surfaces=[DATA["surfaces"][0], terrace], ways_out=ways))

    (told,) = with_well()
    assert told.startswith("well lies in bed, below 'terrace'")
    # Its pit of 4 ft ends at the edge of the terrace at 20 ft, or at 97.00 below the stone.
    assert with_well(at=[30, 17.9]) == ()
    assert with_well(at=[30, 18.1]) != ()
    assert with_well(bottom=95) == ()


def test_a_gutter_is_no_water_beside_the_floor() -> None:
    """All paving soaks away: the highest water is in the leader's pipe, not in the gutter.

    Its pipe of 6 in begins at 98.50: the floor at 100.50 lies more than 18 in above its crown.
    """
    found = bedded(BED)
    room = found.measured("floor_room")
    assert isinstance(room, Amount)
    assert 18 < room.to("in") < 24


def test_an_even_day_hides_no_flow_over_a_lot_line(tmp_path: Path) -> None:
    """Of 5 in a day the terrace sheds 0.2 in/h; of the table's 5 minutes, 0.6 in, 7.2 in/h.

    800 sq ft at 0.95 under 7.2 in/h: 760 x 7.2 / 43,200 = 0.1267 cu ft/s, 56.9 gal/min, and the
    roof's as much, where the street takes all of it.
    """
    table = (
        "Point precipitation frequency estimates (inches)\nLocation name: Invented\n"
        "by duration for ARI (years):, 10\n5-min:, 0.6\n60-min:, 2.0\n24-hr:, 5.0\n"
    )
    (tmp_path / "rain.csv").write_text(table, encoding="utf-8")
    edge = EDGE | {"onto": "street", "existing_flow": "5 gal/min"}
    drains = {"drains_to": "edge"}
    surfaces = [item | {"attributes": item["attributes"] | drains} for item in DATA["surfaces"]]
    ways = {"overflow_edges": [edge], "inlets": [], "pipes": [], "outlets": []}
    storms = {"table": "rain.csv", "design": {"return_period": 10, "duration": "24 h",
                                              "shape": "uniform"}}  # fmt: skip
    found = survey(surfaces=surfaces, panels=[], ways_out=ways, storms=storms)
    found.site = replace(found.site, file=tmp_path / "site.yaml")
    added = found.measured("added_edge_flow")
    assert isinstance(added, Amount)
    assert added.to("gal/min") == pytest.approx(2 * 56.86 - 5, rel=0.002)


@pytest.mark.parametrize(
    ("long", "is_short"), [("30 ft", False), ("28 ft", False), ("27 ft", True), ("5 ft", True)]
)
def test_a_pipe_is_no_shorter_than_it_is_drawn(long: str, is_short: bool) -> None:
    """Drawn 30 ft long: 5 % and a foot less, 27.5 ft, are rounding."""
    pipe = changed("pipes", "pipe", along=[[30, 20], [30, -10]], length=long)
    told = doubts(survey(ways_out={"pipes": pipe}))
    assert bool(told) == is_short, told
    assert not told or told[0].startswith("pipe is drawn longer than its 'length'")


@pytest.mark.parametrize(
    ("long", "is_short"), [("40 ft", False), ("41 ft", False), ("42 ft", True)]
)
def test_water_goes_no_wider_than_its_edge(long: str, is_short: bool) -> None:
    """The edge of the terrace is 40 ft long, and a foot is rounding."""
    told = doubts(survey(ways_out={"inlets": changed("inlets", "drain", spill_length=long)}))
    assert bool(told) == is_short, told
    assert not told or told[0].startswith("edge is shorter than the 'spill_length' of drain")


@pytest.mark.parametrize(
    ("kind", "at", "says"),
    [
        ("daylight", [30, 50], "daylight opens within the dwelling"),
        ("daylight", [30, 5], ""),
        ("pop-up", [30, 50], "daylight opens within the dwelling"),
        # A house drain may lead to the sewer within the house.
        ("sewer", [30, 50], ""),
    ],
)
def test_water_comes_out_outside(kind: str, at: list[int], says: str) -> None:
    level = 98.4 if kind == "pop-up" else 98.2
    end = {"id": "daylight", "kind": kind, "level": level, "at": at}
    told = doubts(survey(ways_out={"outlets": [end]}))
    assert len(told) == bool(says), told
    assert not says or told[0].startswith(says)


CHANNEL = {
    "kind": "channel-drain", "at": None, "grate": None, "along": [[20, 20], [40, 20]],
    "width": "4 in", "depth": "4 in",
}  # fmt: skip


@pytest.mark.parametrize(
    ("drain", "says"),
    [
        (CHANNEL | {"slot": "4 in"}, ""),
        (CHANNEL | {"slot": "4.1 in"}, "the slot of drain is wider than its channel"),
        # 20 ft by 4 in are 960 sq in.
        (CHANNEL | {"open": "960 sq in"}, ""),
        (CHANNEL | {"open": "961 sq in"}, "drain is more open than it is large"),
        ({"grate": {"width": "6 in", "length": "8 in", "open": "48 sq in"}}, ""),
        (
            {"grate": {"width": "6 in", "length": "8 in", "open": "48.1 sq in"}},
            "the grate of drain is more open than it is large",
        ),
    ],
)
def test_no_opening_is_larger_than_what_it_is_in(drain: dict[str, Any], says: str) -> None:
    found = survey(ways_out={"inlets": changed("inlets", "drain", **drain)})
    if not says:
        assert doubts(found) == ()
        return
    with pytest.raises(BadInput, match=says):
        doubts(found)
