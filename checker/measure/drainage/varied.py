"""The storms tried again with a soil, or a rain, that turns out otherwise than given."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.records import Record, replace
from checker.measure.drainage.network import network_of
from checker.measure.drainage.tried import carried, hardest_of_its_length
from checker.water.outlets import Infiltration

if TYPE_CHECKING:
    from checker.measure.survey import Survey
    from checker.water.flows import Flows
    from checker.water.network import Network, Store
    from checker.water.storms import Storm

_SOIL: Final = (
    ("as given", 1.0),
    ("soil soaks half as fast", 0.5),
    ("soil soaks a fourth as fast", 0.25),
)
_RAIN: Final = (("a quarter more rain", 1.25),)


class Varied(Record, kw_only=True):
    """The design storm in one case.

    Attributes:
        says: What differs from what is given.
        rain: The storm.
        flows: What it did, nothing blocked.
    """

    says: str
    rain: Storm
    flows: Flows


def varied_flows(survey: Survey) -> tuple[Varied, ...]:
    """The design storm as given, with slower soil, and with more rain; nothing is blocked.

    The storm is the hardest of its length, as the blocked cases take it; stores are followed
    until they are empty.

    Raises:
        NotMeasured: The file lacks something.
        BadInput: The network cannot work.
    """

    def work_out(_data: object, _document: object) -> tuple[Varied, ...]:
        network, rain = network_of(survey), hardest_of_its_length(survey, "design")
        soils = _SOIL if network.stores else _SOIL[:1]
        found = [
            Varied(says=says, rain=rain, flows=carried(_with_soil(network, share), (rain,))[0])
            for says, share in soils
        ]
        for says, times in _RAIN:
            more = replace(rain, depths_m=tuple(times * depth_m for depth_m in rain.depths_m))
            found.append(Varied(says=says, rain=more, flows=carried(network, (more,))[0]))
        return tuple(found)

    return survey.part("varied_flows", work_out)


def _with_soil(network: Network, share: float) -> Network:
    """The network with the soaking rate of every store times a share."""
    return replace(network, stores=tuple(_slower(store, share) for store in network.stores))


def _slower(store: Store, share: float) -> Store:
    outlets = tuple(
        replace(outlet, rate_m_per_s=outlet.rate_m_per_s * share)
        if isinstance(outlet, Infiltration)
        else outlet
        for outlet in store.outlets
    )
    return replace(store, outlets=outlets)
