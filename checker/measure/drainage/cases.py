"""Storms through the network of a site, open and blocked, and the measures that come of it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.records import replace
from checker.core.units import meets
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import need, ways_of
from checker.measure.drainage.network import network_of
from checker.measure.drainage.rain import storm
from checker.measure.drainage.tried import hardest_of_its_length, storms_to_try, tried_flows
from checker.water.blockages import Blockages, Harm, blockages, harm
from checker.water.conveyance import carry
from checker.water.network import HARMED, Network
from checker.water.paths import Ways, independent_ways

if TYPE_CHECKING:
    from collections.abc import Sequence
    from typing import Literal

    from checker.measure.survey import Survey
    from checker.site.drainage import OverflowEdge
    from checker.site.model import Shape
    from checker.water.flows import Flows

    How = Literal["open", "one", "two"]
    Kept = Literal["lowest_floor", "coping"]

AFTER_S: Final = 72 * 3600.0
"""A store is watched for three days after the rain; later emptying is worked out."""


def design_cases(survey: Survey) -> Blockages:
    """The design storm with nothing blocked, each thing blocked, and the worst two."""

    def work_out(_data: object, _document: object) -> Blockages:
        network, rain = network_of(survey), hardest_of_its_length(survey, "design")
        usual = harm(network)

        def worse(flows: Flows) -> Harm:
            return (astray_m3(network, flows), *usual(flows))

        return blockages(network, rain, after_s=6 * 3600.0, worse=worse)

    return survey.part("design_cases", work_out)


def design_flows(survey: Survey) -> Flows:
    """The design storm with nothing blocked, followed until stores have emptied."""

    def work_out(_data: object, _document: object) -> Flows:
        return carry(network_of(survey), storm(survey, "design"), after_s=AFTER_S)

    return survey.part("design_flows", work_out)


def rare_flows(survey: Survey) -> Flows:
    """The rare storm with nothing blocked."""

    def work_out(_data: object, _document: object) -> Flows:
        network, rain = network_of(survey), hardest_of_its_length(survey, "rare")
        return carry(network, rain, after_s=6 * 3600.0, to_rest=False)

    return survey.part("rare_flows", work_out)


def ways_by_catchment(survey: Survey) -> tuple[Ways, ...]:
    """The independent ways out of every catchment.

    An edge as high as the lowest floor is none: water is in the house before it goes over.
    """
    network, floor_m = network_of(survey), ways_of(survey).lowest_floor_m
    if floor_m is not None:
        edges = (
            replace(edge, onto="house") if meets(edge.crest_m, floor_m, "at least") else edge
            for edge in network.edges
        )
        network = replace(network, edges=tuple(edges))
    return tuple(independent_ways(network, catchment.id) for catchment in network.catchments)


def fewest_ways_count(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Independent ways out of the catchment that has the fewest.

    What runs straight over an open edge is left out: no drain stands in its way.
    """
    network = network_of(survey)
    edges = {edge.id for edge in network.edges}
    drained = {catchment.id for catchment in network.catchments if catchment.to not in edges}
    if not drained:
        raise NotMeasured("no surface drains anywhere: give panels, leaders or 'drains_to'")
    return float(min(w.count for w in ways_by_catchment(survey) if w.catchment in drained))


def astray_m3(network: Network, flows: Flows) -> float:
    """Water that goes into house or pool, to a neighbour, or stands without a way."""
    onto = [edge.id for edge in network.edges if edge.onto in HARMED]
    return math.fsum(flows.volume_m3(edge) for edge in onto) + flows.standing_m3


def _worst(survey: Survey, how: How) -> Sequence[Flows]:
    if how == "open":
        return tried_flows(survey)
    cases = design_cases(survey)
    if how == "one":
        return one_blocked(survey)
    return (cases.worst_pair or cases.open,)


def one_blocked(survey: Survey) -> tuple[Flows, ...]:
    """The design storm with each thing blocked in turn, and with nothing."""
    cases = design_cases(survey)
    return (cases.open, *cases.single)


def astray_open_m3(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Water astray with everything open, in the storm tried that is worst."""
    network = network_of(survey)
    return max(astray_m3(network, flows) for flows in _worst(survey, "open"))


def astray_one_blocked_m3(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Water astray in the design storm with the worst one thing blocked."""
    network = network_of(survey)
    return max(astray_m3(network, flows) for flows in _worst(survey, "one"))


def astray_two_blocked_m3(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Water astray in the design storm with the worst two things blocked."""
    network = network_of(survey)
    return max(astray_m3(network, flows) for flows in _worst(survey, "two"))


def astray_rare_m3(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Water astray in the rare storm with everything open."""
    return astray_m3(network_of(survey), rare_flows(survey))


def surface_levels_m(survey: Survey, flows: Flows) -> dict[str, float]:
    """Highest level of water on the surface, by drain, open store and edge.

    Roof leaders are left out, as what a gutter spills falls to the ground, and stores whose water
    stays below their surface.
    """
    shown = {drain.id for drain in ways_of(survey).drains if drain.kind != "roof-leader"}
    shown |= {edge.id for edge in network_of(survey).edges}
    levels = {name: stand.level_m for name, stand in flows.stands.items() if name in shown}
    for store in network_of(survey).stores:
        stand = flows.stands.get(store.id)
        if stand is not None and store.rim_m is not None and stand.level_m > store.rim_m:
            levels[store.id] = stand.level_m
    return levels


def level_kept_m(survey: Survey, key: Kept) -> float:
    """The level that water must stay below: the floor or coping, or an edge that leads there.

    Raises:
        NotMeasured: It is not given.
    """
    ways, onto = ways_of(survey), "pool" if key == "coping" else "house"
    given_m = need(ways.coping_m if key == "coping" else ways.lowest_floor_m, key, "'ways_out'")
    crests_m = [edge.crest_m for edge in network_of(survey).edges if edge.onto == onto]
    return min([given_m, *crests_m])


def highest_m(survey: Survey, cases: Sequence[Flows]) -> float:
    """Highest water on the surface in some cases; where none stands there, that in stores or pipes.

    Raises:
        NotMeasured: No water comes anywhere.
    """
    levels_m = [level for flows in cases for level in surface_levels_m(survey, flows).values()]
    network = network_of(survey)
    below = {store.id for store in network.stores} | {pipe.id for pipe in network.pipes}
    for flows in () if levels_m else cases:
        wet = flows.stands.keys() | {n for n, asked in flows.asked.items() if asked.any()}
        levels_m += [level for name, level in flows.levels_m.items() if name in below & wet]
    if not levels_m:
        raise NotMeasured("no water comes to any drain: give panels, leaders or 'drains_to'")
    return max(levels_m)


def _room_m(survey: Survey, key: Kept, cases: Sequence[Flows]) -> float:
    """What is to stay dry above the highest water on the surface, in the worst of some cases."""
    return level_kept_m(survey, key) - highest_m(survey, cases)


def floor_room_m(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Lowest floor above the highest water of every storm tried, everything open."""
    return _room_m(survey, "lowest_floor", _worst(survey, "open"))


def floor_room_one_blocked_m(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Lowest floor above the highest water of the design storm, the worst one blocked."""
    return _room_m(survey, "lowest_floor", _worst(survey, "one"))


def floor_room_rare_m(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Lowest floor above the highest water of the rare storm."""
    return _room_m(survey, "lowest_floor", (rare_flows(survey),))


def coping_room_one_blocked_m(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Coping above the highest water of the design storm, the worst one blocked."""
    return _room_m(survey, "coping", _worst(survey, "one"))


def emptying_s(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Longest time from the end of a storm tried until a store is empty; 0 without any.

    Infinite where one never empties.
    """
    return max((longest_emptying_s(flows) for flows in tried_flows(survey)), default=0.0)


def longest_emptying_s(flows: Flows) -> float:
    """Time from the end of the rain until every store is empty; infinite where one never is."""
    times_s = [stand.emptied_s for stand in flows.stands.values() if stand.emptied_s is not None]
    return max(times_s, default=0.0)


def overflow_m3(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Water that no drain or store takes and that goes over an edge, in the worst storm tried."""
    network = network_of(survey)
    return max(over_edges_m3(network, flows) for flows in tried_flows(survey))


def over_edges_m3(network: Network, flows: Flows) -> float:
    """Water that no drain or store takes and that goes over an edge.

    What runs straight over an edge, such as a drive to the street, is left out.
    """
    edges = {edge.id for edge in network.edges}
    return math.fsum(
        link.volume_m3
        for link in flows.links
        if link.end in edges and link.how in {"spills", "wells up"}
    )


def _before_m3_per_s(survey: Survey, edge: OverflowEdge) -> float:
    """Flow over an edge before the work: no more than all rain on the lot and from elsewhere."""
    before_m3_per_s = need(edge.existing_m3_per_s, "existing_flow", edge.id)
    ways = ways_of(survey)
    area_m2 = survey.site.lot.boundary.area + sum(item.area_m2 or 0.0 for item in ways.inflows)
    pumped_m3_per_s = sum(item.flow_m3_per_s or 0.0 for item in ways.inflows)
    hardest_m_per_s = max(
        max(rain.depths_m, default=0.0) / rain.step_s for rain in storms_to_try(survey)
    )
    if not meets(before_m3_per_s, hardest_m_per_s * area_m2 + pumped_m3_per_s, "at most"):
        raise NotMeasured(
            f"'existing_flow' of {edge.id} is more than the hardest rain on all of the lot; "
            "correct it"
        )
    return before_m3_per_s


def added_edge_flow_m3_per_s(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Greatest flow over an edge of the lot in every storm tried, beyond what went there before."""
    crossing = [edge for edge in ways_of(survey).edges if edge.onto in {"neighbour", "street"}]
    added = [
        flows.peak_m3_per_s(edge.id) - _before_m3_per_s(survey, edge)
        for edge in crossing
        for flows in tried_flows(survey)
    ]
    return max([0.0, *added])
