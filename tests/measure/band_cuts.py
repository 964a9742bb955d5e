"""Bands along one edge."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from checker.measure.cuts import BandCut, CutEdge, band_cuts
from checker.measure.frames import frames


def band_cut(
    land: Any,
    cells: Sequence[Any],
    line: Any,
    *,
    module_m: float,
    least_width_m: float,
    most: int,
) -> BandCut:
    (frame,) = frames([land], [line])
    edge = CutEdge(land, cells, line, frame, most)
    (found,) = band_cuts([edge], module_m=module_m, least_width_m=least_width_m)
    return found
