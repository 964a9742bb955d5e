"""The result of an infiltration test of a surface in words, against the action level."""

from __future__ import annotations

from typing import Final

from checker.core.problems import BadInput, Place, Problem
from checker.core.showing import show_number
from checker.core.units import (
    AREA,
    LENGTH,
    MASS,
    SPEED,
    TIME,
    Amount,
    Dimension,
    UnreadableAmount,
    amount,
    meets,
    read_amount,
)
from checker.courses.upkeep import POUND_KG, infiltration_m_per_s, places_count, pour_kg

_POURED_SHARE: Final = 0.05
"""Water poured this near to what is asked is that (the standards allow 0.05 kg, from memory)."""

ACTION_LEVEL: Final = amount(10, "in/h")
"""Below it the joints are cleaned (Minnesota manual, Everett standards; both read in part)."""

NEW_SURFACE: Final = amount(50, "in/h")
"""What a new surface should reach (15A NCAC 02H .1055, read)."""


def ring_test_text(
    water: str, ring: str, time: str, area: str | None, prewet: str | None = None
) -> tuple[str, bool]:
    """What one test says, and whether the surface stays above the action level.

    Args:
        water: Water poured, e.g. "40 lb".
        ring: Inside diameter of the ring.
        time: From the first water on the surface until none is left.
        area: Area of the paving, for the number of places to test; None for not said.
        prewet: How long the pre-wetting took, for the water to pour; None for not said.

    Raises:
        BadInput: An amount cannot be read, is of another kind, or is not above zero.
    """
    rate_m_per_s = infiltration_m_per_s(
        _above_zero("--water", water, MASS),
        _above_zero("--ring", ring, LENGTH),
        _above_zero("--time", time, TIME),
    )
    holds = meets(rate_m_per_s, ACTION_LEVEL.value_si, "at least")
    rate = Amount(rate_m_per_s, SPEED)
    lines = [
        f"Rate: {show_number(rate.to('in/h'), 1)} in/h ({show_number(rate.to('mm/h'), 0)} mm/h)",
        "Above the action level of 10 in/h."
        if holds
        else "Below the action level of 10 in/h: take out the top 1 in of joint stone, vacuum, "
        "refill, and test again.",
    ]
    if holds and not meets(rate_m_per_s, NEW_SURFACE.value_si, "at least"):
        lines.append("A new surface should reach 50 in/h in some places.")
    if prewet is not None:
        asked_kg = pour_kg(_above_zero("--prewet", prewet, TIME))
        pounds = show_number(asked_kg / POUND_KG, 0)
        pour = f"After this pre-wetting the test pours {pounds} lb ({show_number(asked_kg, 2)} kg)"
        same = abs(_above_zero("--water", water, MASS) / asked_kg - 1) < _POURED_SHARE
        lines.append(f"{pour}." if same else f"{pour}, not {water}: test again.")
        holds = holds and same
    if area is not None:
        count = places_count(_above_zero("--area", area, AREA))
        lines.append(f"Places to test on this area: {count}.")
    lines.append(
        "One test holds only where it stood: average several. The constant is from memory."
    )
    return "\n".join(lines), holds


def _above_zero(option: str, text: str, dimension: Dimension) -> float:
    try:
        found = read_amount(text, dimension)
    except UnreadableAmount as error:
        raise _bad(option, str(error)) from error
    if found.value_si <= 0:
        raise _bad(option, f"'{text}' is not above zero")
    return found.value_si


def _bad(option: str, says: str) -> BadInput:
    return BadInput("the test cannot be worked out", [Problem(Place(option), says)])
