"""The published cases of drainage, the units of their sources, and the register of calculations."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from checker.core.units import FOOT_M, INCH_M
from checker.files.source import read_document

if TYPE_CHECKING:
    from collections.abc import Callable

Case = dict[str, Any]

CASES: list[Case] = read_document(
    Path(__file__).parents[1] / "published" / "water-cases.yaml"
).data["cases"]
CALCS: dict[str, Callable[[Case], Case]] = {}

INCH_PER_HOUR = INCH_M / 3600
FOOT2_M2 = FOOT_M**2
CFS = FOOT_M**3
GPM = 231 * INCH_M**3 / 60
ACRE_M2 = 43560 * FOOT2_M2
MILE2_M2 = (5280 * FOOT_M) ** 2


def calc(function: Callable[[Case], Case]) -> Callable[[Case], Case]:
    """Register what works the cases of a kind: from their inputs to the names they expect."""
    CALCS[function.__name__] = function
    return function
