"""How large the measures of drainage on a lot can be: beyond, a digit or a unit slipped.

A slip of ten, or of 25.4 where millimetres were typed as inches, mostly makes a drain, pipe or
store take more than it does. The ends are wide; who builds beyond them gives other measures.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.units import FOOT_M

if TYPE_CHECKING:
    from checker.site.drawn_fields import DrawnFields

_IN_M: Final = FOOT_M / 12
_WIDE_DO: Final = "check the number and its unit"

MOST_SI: Final[dict[str, dict[str, tuple[float, str]]]] = {
    # Channels are made level or with 0.5 to 1 % and cast in place with 2 % (common practice, no
    # source); the paving beside a steeper one falls along it, and its rim is no level.
    "inlets": {
        "fall": (0.05, "channels are built with 0.5 to 2 %; check the number and its unit"),
        "width": (24 * _IN_M, _WIDE_DO),
        "depth": (48 * _IN_M, _WIDE_DO),
        "slot": (6 * _IN_M, _WIDE_DO),
        "diameter": (12 * _IN_M, _WIDE_DO),
        "spill_depth": (12 * _IN_M, "give the water over the drain before it goes on, often 1 in"),
    },
    # Sewers of 20 % and more are anchored (recommended standards of ten States, from memory).
    "pipes": {
        "slope": (0.2, "check it, or give both inverts of a pipe so steep"),
        "diameter": (36 * _IN_M, _WIDE_DO),
        "cover": (30 * FOOT_M, _WIDE_DO),
    },
    "stores": {
        "depth": (30 * FOOT_M, _WIDE_DO),
        "slope": (0.2, _WIDE_DO),
        "chamber": (30 * FOOT_M, _WIDE_DO),
        "pit": (60 * FOOT_M, _WIDE_DO),
        "stone_below": (20 * FOOT_M, _WIDE_DO),
        "cover": (30 * FOOT_M, _WIDE_DO),
        "side_slope": (20.0, "give the run of its sides for a rise of 1, often 2 to 4"),
        # New permeable paving takes 1,000 in/h and more (order of magnitude, common practice).
        "surface_rate": (5000 * _IN_M / 3600, _WIDE_DO),
    },
    "outlets": {"diameter": (36 * _IN_M, _WIDE_DO)},
    # 500 gal/min: several times what empties a pool (common practice, no source).
    "inflows": {"flow": (0.0316, _WIDE_DO)},
}
"""Most that a key of each group may hold, SI, and what to do about more."""

LEAST_DIAMETER_M: Final = 0.5 * _IN_M
"""No pipe for water off paving is narrower: millimetres or inches slipped."""


def check_sizes(fields: DrawnFields, group: str) -> None:
    """Refuse what is larger than there can be, each at its line.

    Args:
        fields: An entry of the file, whose problems grow.
        group: Of `MOST_SI`.
    """
    for key, (most_si, do) in MOST_SI[group].items():
        if key in fields.data:
            fields.at_most(key, fields.si(key), most_si, do)
    narrow_m = fields.si("diameter")
    if narrow_m is not None and 0 < narrow_m < LEAST_DIAMETER_M:
        says = f"{fields.what('diameter')} is '{fields.data['diameter']}', less than a pipe can be"
        fields.problems.add(fields.place("diameter"), says, _WIDE_DO)


def most_rain_m(duration_s: float) -> float:
    """The most rain that ever fell on earth in a time, 0.491 D^0.452 m for D in hours.

    The envelope of the world's records (Jennings, in handbooks of hydrology; from memory).

    Example:
        The record of a day is 1.825 m (Foc-Foc 1966, from memory), of an hour 0.401 m:

        >>> round(most_rain_m(86400.0), 2), round(most_rain_m(3600.0), 2)
        (2.07, 0.49)
    """
    return float(0.491 * (duration_s / 3600) ** 0.452)
