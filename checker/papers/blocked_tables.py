"""The tables of every storm tried, and of what happens when something is blocked."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from checker.core.showing import named_in
from checker.core.units import LENGTH, TIME, VOLUME, Amount
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.cases import (
    astray_m3,
    design_cases,
    highest_m,
    level_kept_m,
    longest_emptying_s,
    one_blocked,
    over_edges_m3,
    surface_levels_m,
    ways_by_catchment,
)
from checker.measure.drainage.drawn import ways_of
from checker.measure.drainage.network import network_of
from checker.measure.drainage.tried import storms_to_try, tried_flows
from checker.measure.drainage.varied import varied_flows
from checker.pages.blocks import Column, Table, numbers, texts_of
from checker.papers.drainage_tables import NOT_GIVEN, ONTO
from checker.words.amounts import NOTHING, clean, part_text

if TYPE_CHECKING:
    from checker.papers.drainage_tables import DrainageTables
    from checker.water.flows import Flows
    from checker.water.network import Network


def tried_table(tables: DrainageTables) -> Table:
    """What every storm tried did: the worst of each column is what the rules ask of."""
    network, rows = network_of(tables.survey), []
    pairs = zip(storms_to_try(tables.survey), tried_flows(tables.survey), strict=True)
    for index, (rain, flows) in enumerate(pairs):
        at = f"tried.{index}"
        emptied = NOTHING
        if network.stores:
            emptied = tables.figure(f"{at}.emptied", longest_emptying_s(flows), TIME)
        rows.append(
            (
                clean(named_in(rain.title, tables.brief.system)),
                tables.small(f"{at}.depth", math.fsum(rain.depths_m)),
                tables.figure(f"{at}.over", over_edges_m3(network, flows), VOLUME),
                tables.figure(f"{at}.astray", astray_m3(network, flows), VOLUME),
                emptied,
            )
        )
    heads = ("Depth", "Over edges", "Uncontrolled", "Stores empty after")
    columns = (Column("Storm", width=2), *numbers(*heads))
    return Table("Every storm tried, nothing blocked", columns, tuple(rows))


def varied_table(tables: DrainageTables) -> Table:
    """The design storm with slower soil and with more rain, nothing blocked."""
    network, rows = network_of(tables.survey), []
    for index, case in enumerate(varied_flows(tables.survey)):
        at = f"varied.{index}"
        emptied = NOTHING
        if network.stores:
            emptied = tables.figure(f"{at}.emptied", longest_emptying_s(case.flows), TIME)
        rows.append(
            (
                case.says,
                tables.small(f"{at}.depth", math.fsum(case.rain.depths_m)),
                tables.figure(f"{at}.out", _by_outlets_m3(network, case.flows), VOLUME),
                tables.figure(f"{at}.over", over_edges_m3(network, case.flows), VOLUME),
                tables.figure(f"{at}.astray", astray_m3(network, case.flows), VOLUME),
                emptied,
            )
        )
    heads = ("Depth", "By outlets", "Over edges", "Uncontrolled", "Stores empty after")
    columns = (Column("What differs", width=2), *numbers(*heads))
    return Table("The design storm if soil or rain is not as given", columns, tuple(rows))


def _by_outlets_m3(network: Network, flows: Flows) -> float:
    return math.fsum(flows.volume_m3(outlet.id) for outlet in network.outlets)


def ways_table(tables: DrainageTables) -> Table:
    """How many ways out share nothing that can silt up, for each area."""
    rows = []
    for ways in ways_by_catchment(tables.survey):
        key, title = f"water.ways.{ways.catchment}", f"outlets of {ways.catchment}"
        count = tables.brief.figures.add_text(key, title, str(ways.count))
        paths = "; ".join(" → ".join(map(part_text, path)) for path in ways.paths)
        lost = " and ".join(map(part_text, ways.cut))
        rows.append((clean(ways.catchment), count, paths or "none", lost or NOTHING))
    columns = (
        Column("Drained area"),
        Column("Ways", is_number=True, width=0.5),
        Column("What each goes through", width=2.6),
        Column("Lost together, no way is left", width=1.6),
    )
    return Table("Outlets that share nothing that can silt up", columns, tuple(rows))


def blocked_table(tables: DrainageTables) -> Table:
    """Each thing blocked in turn, and the worst two: where the water goes then."""
    cases = design_cases(tables.survey).cases
    rows = [_case(tables, index, flows) for index, flows in enumerate(cases)]
    for row in rows[1:]:
        for at in (3, 6):  # lists of edges and ways, said once
            row[at] = "as with nothing blocked" if row[at] == rows[0][at] else row[at]
    columns = (
        Column("Blocked", width=1.2),
        *(
            Column(name, is_number=True, width=0.6)
            for name in ("Uncontrolled", "Stands, no outlet")
        ),
        Column("Over edges", width=2.4),
        Column("Highest water on the surface", width=1.1),
        Column("Below the lowest floor", is_number=True, width=0.7),
        Column("Way of the drained area it changes most", width=2.4),
    )
    caption = "The design storm with each thing blocked, and the worst two"
    return Table(caption, columns, tuple(map(tuple, rows)))


def _case(tables: DrainageTables, index: int, flows: Flows) -> list[str]:
    network, at = network_of(tables.survey), f"blocked.{index}"
    levels = surface_levels_m(tables.survey, flows)
    highest = max(levels, key=lambda name: levels[name], default="")
    stands = "none"
    if highest:
        stands = f"{clean(highest)} {tables.level(f'{at}.level', levels[highest])}"
    try:
        kept_m = level_kept_m(tables.survey, "lowest_floor")
        room = tables.small(f"{at}.room", kept_m - levels[highest]) if highest else NOTHING
    except NotMeasured:
        room = "not given"
    over = [
        f"{clean(edge.id)} ({ONTO[edge.onto]}) "
        + tables.figure(f"{at}.over.{edge.id}", flows.volume_m3(edge.id), VOLUME)
        for edge in network.edges
        if flows.volume_m3(edge.id) > 0
    ]
    return [
        f"{index} {' and '.join(map(part_text, flows.blocked)) or 'nothing'}",
        tables.figure(f"{at}.astray", astray_m3(network, flows), VOLUME),
        tables.figure(f"{at}.standing", flows.standing_m3, VOLUME),
        "; ".join(over) or "none",
        stands,
        room,
        " → ".join(map(part_text, _changed_path(tables, flows))),
    ]


def _changed_path(tables: DrainageTables, flows: Flows) -> tuple[str, ...]:
    """The way of the first area whose water goes elsewhere than with nothing blocked."""
    calm = design_cases(tables.survey).open
    names = [item.id for item in network_of(tables.survey).catchments]
    paths = [(flows.path(name), calm.path(name)) for name in names]
    changed = (path for path, before in paths if path != before)
    return next(changed, paths[0][0] if paths else ())


def levels_table(tables: DrainageTables) -> Table:
    """Floor and coping, and edges that lead there, against the highest water of the worst case."""
    survey = tables.survey
    ways, rows = ways_of(survey), []
    for name, key, level_m in (
        ("Lowest floor", "lowest_floor", ways.lowest_floor_m),
        ("Coping", "coping", ways.coping_m),
    ):
        own = NOT_GIVEN if level_m is None else tables.level(f"level.{name}", level_m)
        kept = highest = room = NOTHING
        try:
            kept_m = level_kept_m(survey, "coping" if key == "coping" else "lowest_floor")
            kept = tables.level(f"level.kept.{name}", kept_m)
            top_m = highest_m(survey, one_blocked(survey))
            highest = tables.level("level.highest", top_m)
            left, title = Amount(kept_m - top_m, LENGTH), f"{name} above water"
            room = tables.brief.figures.add(f"water.room.{name}", title, left, signed=True)
        except NotMeasured:
            pass
        rows.append((name, own, kept, highest, room))
    heads = ("Its level", "Lowest, edges onto it counted", "Highest water, one thing blocked",
             "Room")  # fmt: skip
    columns = (*texts_of("What"), *numbers(*heads))
    return Table("Levels of water against floor and coping", columns, tuple(rows))
