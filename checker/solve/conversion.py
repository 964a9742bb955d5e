"""How much to convert when a surface that counts in full becomes one that counts in part."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.units import AREA, UNIT, rounded
from checker.findings.conversion import area_to_convert_m2
from checker.solve import wording

if TYPE_CHECKING:
    from checker.core.units import System
    from checker.solve.options import Options

SHARES: Final = (0.0, 0.25, 0.5, 0.75, 1.0)
"""The shares in which codes count permeable paving most often; common practice, no source."""


def whole_units_up_m2(area_m2: float, system: System) -> float:
    """An area rounded up to whole square feet, or to tenths of a square metre."""
    step_m2 = UNIT["sq ft"].size_si if system == "us" else 0.1
    return rounded(area_m2, step_m2, "up")


def conversion_rows(options: Options) -> list[tuple[str, str]]:
    """For the first limit of an area that is passed: what must be converted, by share counted."""
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
        rows: list[tuple[str, str]] = []
        for share in SHARES:
            wanted = area_to_convert_m2(over_m2, share)
            text = "not possible by converting"
            if wanted is not None:
                text = wording.area(whole_units_up_m2(wanted, system), system)
            rows.append((f"{share * 100:g} %", text))
        return rows
    return []
