"""The storms that are tried: what asks most of drains, pipes and stores, not what was typed.

By the rational method a drain is asked most by rain of its time of concentration, five minutes at
least. So with a rain table every duration up to a day is tried, and rain of each time of
concentration until all that drains runs. A table that begins with longer rain, or a typed storm
that says no more than a mean over longer, hides the peak: then nothing can be told.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final

from checker.core.units import meets
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import storms_of
from checker.measure.drainage.network import network_of
from checker.measure.drainage.rain import (
    by_table,
    duration_name,
    nested_by_table,
    rain_table,
    storm,
)
from checker.water.concentration import SHORTEST_S
from checker.water.conveyance import carry_storms
from checker.water.rainfall import rain_depth_m, rain_intensity_m_per_s
from checker.water.storms import uniform_storm

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.measure.drainage.rain import Which
    from checker.measure.survey import Survey
    from checker.site.drainage import StormAsked
    from checker.water.flows import Flows
    from checker.water.network import Network
    from checker.water.storms import Storm

_DAY_S: Final = 86400.0
_LONG_STEP_S: Final = 1800.0
"""Step of even storms longer than a day, which change only as they begin and end."""

_AFTER_S: Final = 24 * 3600.0
"""What goes over an edge does so by then; stores are followed until they are empty."""


def concentrations_s(survey: Survey) -> tuple[float, ...]:
    """Times of concentration of what drains, five minutes at least, each once, rising."""
    times_s = {max(SHORTEST_S, c.concentration_s) for c in network_of(survey).catchments}
    return tuple(sorted(times_s)) or (SHORTEST_S,)


def storms_to_try(survey: Survey) -> tuple[Storm, ...]:
    """The design storm, and others of its return period.

    Those are even storms of every duration of the rain table, and rain of each time of
    concentration until all that drains runs.

    Raises:
        NotMeasured: No design storm is given.
    """
    found = [storm(survey, "design")]
    years, step_s = by_table(survey), storms_of(survey).step_s
    if years is None:
        return tuple(found)
    rain = rain_table(survey)
    for duration_s in rain.durations_s:
        depth_m = rain_depth_m(rain, duration_s, years)
        title = f"{years:g}-year {duration_name(duration_s)}, even"
        own_step_s = step_s if duration_s <= _DAY_S else _LONG_STEP_S
        found.append(uniform_storm(depth_m, duration_s, own_step_s, title))
    for time_s in concentrations_s(survey):
        if rain.durations_s[0] <= time_s <= rain.durations_s[-1]:
            lasts_s = time_s + step_s
            depth_m = rain_intensity_m_per_s(rain, time_s, years) * lasts_s
            title = f"{years:g}-year {duration_name(time_s)}, until all runs"
            found.append(uniform_storm(depth_m, lasts_s, step_s, title))
    return tuple(found)


def hardest_of_its_length(survey: Survey, which: Which) -> Storm:
    """The storm to block things in: the one asked for, but never an even one of a rain table.

    Even rain of a day asks nothing of a drain; nested as the table says it brings as much in the
    day and the most of every shorter time with it.

    Raises:
        NotMeasured: The storm is not asked for, or lacks its rain.
    """
    asked: StormAsked | None = getattr(storms_of(survey), which)
    if asked is not None and asked.form == "uniform" and by_table(survey, which) is not None:
        return nested_by_table(survey, asked, which)
    return storm(survey, which)


def tried_flows(survey: Survey) -> tuple[Flows, ...]:
    """Every storm of `storms_to_try` through the network."""

    def work_out(_data: object, _document: object) -> tuple[Flows, ...]:
        return carried(network_of(survey), storms_to_try(survey))

    return survey.part("tried_flows", work_out)


def carried(network: Network, storms: Sequence[Storm]) -> tuple[Flows, ...]:
    """Storms through a network until its stores are empty, those of one step together."""
    found: dict[int, Flows] = {}
    for step_s in dict.fromkeys(rain.step_s for rain in storms):
        places = [place for place, rain in enumerate(storms) if rain.step_s == step_s]
        some = [storms[place] for place in places]
        flows = carry_storms(network, some, after_s=_AFTER_S, to_rest=True)
        found |= dict(zip(places, flows, strict=True))
    return tuple(found[place] for place in range(len(storms)))


def hold_to_short_rain(survey: Survey) -> None:
    """Refuse rain that does not tell how hard it falls in the time of concentration.

    Raises:
        NotMeasured: The rain table begins with longer rain, or the typed storm is a mean over
            longer.
    """
    asked = storms_of(survey).design
    shortest_s = concentrations_s(survey)[0]
    if by_table(survey) is not None:
        begins_s = rain_table(survey).durations_s[0]
        if not meets(begins_s, shortest_s, "at most"):
            raise NotMeasured(
                f"the rain table begins with {duration_name(begins_s)} rain, but drains are asked "
                f"most by {duration_name(shortest_s)} rain: give its row"
            )
    elif asked is not None and not meets(_mean_over_s(asked), shortest_s, "at most"):
        raise NotMeasured(
            f"the design storm says how much falls in {duration_name(_mean_over_s(asked))}, but "
            f"drains are asked most by {duration_name(shortest_s)} rain: give a rain 'table' "
            "and a 'return_period'"
        )


def _mean_over_s(asked: StormAsked) -> float:
    """The time over which a typed storm gives the mean of its hardest rain."""
    if asked.fallen:
        spans = [(b[1] - a[1], b[0] - a[0]) for a, b in pairwise(asked.fallen)]
        return max(spans, key=lambda span: span[0] / span[1])[1]
    return asked.duration_s if asked.form == "uniform" and asked.duration_s else 0.0
