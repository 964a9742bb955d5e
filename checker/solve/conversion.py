"""How much to convert when a surface that counts in full becomes one that counts in part."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.rounding import rounded
from checker.core.units import AREA, UNIT, meets
from checker.findings.conversion import area_to_convert_m2
from checker.solve.scenarios import PERMEABLE

if TYPE_CHECKING:
    from checker.core.units import System
    from checker.solve.options import Options

SHARES: Final = (0.0, 0.25, 0.5, 0.75, 1.0)
"""The shares in which codes count permeable paving most often; common practice, no source."""


def whole_units_up_m2(area_m2: float, system: System) -> float:
    """An area rounded up to whole square feet, or to tenths of a square metre."""
    step_m2 = UNIT["sq ft"].size_si if system == "us" else 0.1
    return rounded(area_m2, step_m2, "up")


def _open_to_permeable_m2(options: Options) -> float:
    """How much of the land may become paving that lets water through."""
    land = options.program.land
    fits = [
        any(way.material is not None and way.material.id in PERMEABLE for way in unit.ways[1:])
        for unit in land.units
    ]
    parts = options.program.parts
    return math.fsum(p.area_m2 for p in parts if any(fits[number] for number in p.units))


def conversion_rows(options: Options) -> list[tuple[float, float | None]]:
    """For the first limit of an area that is passed: the share counted and the m2 to convert.

    None where no conversion of the land that may become permeable reaches the limit; no rows
    where none may.
    """
    open_m2 = _open_to_permeable_m2(options)
    if not open_m2:
        return []
    system = options.checked.system
    reserve = options.goal.reserve
    for finding in options.checked.verdict.findings:
        margin = finding.margin
        if finding.order != "at most" or margin is None or margin.dimension != AREA:
            continue
        if finding.is_met or margin.value_si >= 0 or finding.limit is None:
            continue
        over_m2 = -margin.value_si
        if reserve is not None:
            is_share = reserve.dimension != AREA
            over_m2 += reserve.value_si * (finding.limit.value_si if is_share else 1.0)
        rows: list[tuple[float, float | None]] = []
        for share in SHARES:
            wanted_m2 = area_to_convert_m2(over_m2, share)
            if wanted_m2 is not None and meets(wanted_m2, open_m2, "at most"):
                wanted_m2 = whole_units_up_m2(wanted_m2, system)
            else:
                wanted_m2 = None
            rows.append((share, wanted_m2))
        return rows
    return []
