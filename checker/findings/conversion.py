"""How much must be rebuilt when a surface that counts in full becomes one that counts in part."""

from __future__ import annotations

from checker.core.formula import NOT_NEGATIVE, Range, formula


@formula(
    source="area-to-convert",
    section="over / (1 - share)",
    valid={"over_m2": NOT_NEGATIVE, "share_fraction": Range(0.0, 1.0)},
)
def area_to_convert_m2(over_m2: float, share_fraction: float) -> float | None:
    """Area that must be rebuilt so that counted cover falls by an excess.

    Each square metre that counted in full and then counts a share takes off the rest of itself::

        area = over / (1 - share)

    Args:
        over_m2: The excess over the limit, with any reserve.
        share_fraction: The share of the new surface that still counts, 0 to 1.

    Returns:
        The area, before rounding up; None when the new surface counts in full, because then no
        area is enough.

    Example:
        160 sq ft over, paving that counts a quarter: 160 / 0.75 = 213.33, so 214 sq ft.

        >>> print(area_to_convert_m2(160.0, 0.25))
        213.333
    """
    if share_fraction == 1:
        return None if over_m2 > 0 else 0.0
    return over_m2 / (1 - share_fraction)
