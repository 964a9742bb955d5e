"""Porosity and void ratio: two numbers for the same holes, kept apart.

Many manuals print "void ratio 0.40" and then multiply the depth of stone by 0.40, which is to use
it as a porosity. A true void ratio of 0.40 is a porosity of 0.286 and stores 29 % less water.
"""

from __future__ import annotations

from typing import Final

from checker.core.formula import NOT_NEGATIVE, POSITIVE, Range, formula
from checker.core.problems import CheckerError

WATER_KG_PER_M3: Final = 1000.0
"""Density of fresh water (62.43 lb per cu ft); trade tables that use 62.4 differ by 0.05 %."""

OPEN_GRADED_POROSITY: Final = Range(0.30, 0.48)
"""Porosities at which washed single-size stone is met; from memory, used only to ask back."""


class VoidMixUp(CheckerError):
    """A void ratio was given where a porosity is meant, or the two contradict each other."""


@formula(source="section-arithmetic", section="n = e / (1 + e)", valid={"void_ratio": NOT_NEGATIVE})
def porosity_fraction(void_ratio: float) -> float:
    """Volume of holes per volume of stone in place, from volume of holes per volume of solids.

    Example:
        By hand: 0.40 / 1.40.

        >>> round(porosity_fraction(0.40), 4)
        0.2857
    """
    return void_ratio / (1 + void_ratio)


@formula(
    source="section-arithmetic",
    section="e = n / (1 - n)",
    valid={"porosity_fraction": Range(0.0, 1.0, high_open=True)},
)
def void_ratio(porosity_fraction: float) -> float:
    """Volume of holes per volume of solids, from volume of holes per volume of stone in place.

    Example:
        By hand: 0.40 / 0.60.

        >>> round(void_ratio(0.40), 4)
        0.6667
    """
    return porosity_fraction / (1 - porosity_fraction)


def stated_porosity_fraction(
    stated_porosity: float | None, stated_void_ratio: float | None
) -> float | None:
    """The porosity that a file means, or None when it gives neither number.

    Args:
        stated_porosity: Holes per volume in place, 0 to below 1.
        stated_void_ratio: Holes per volume of solids, at least 0.

    Raises:
        VoidMixUp: Both are given and disagree by more than the second decimal, or a void ratio is
            given that washed stone cannot have but that would be an ordinary porosity.
        OutOfRange: A number is outside its range.
    """
    if stated_void_ratio is None:
        if stated_porosity is not None:
            void_ratio(stated_porosity)
        return stated_porosity
    meant_fraction = porosity_fraction(stated_void_ratio)
    if stated_porosity is not None:
        if abs(meant_fraction - stated_porosity) > 0.01:
            raise VoidMixUp(
                f"void ratio {stated_void_ratio:g} is porosity {meant_fraction:.3f}, not "
                f"{stated_porosity:g}; give only the porosity (holes per volume in place)"
            )
        return stated_porosity
    if not OPEN_GRADED_POROSITY.holds(meant_fraction) and OPEN_GRADED_POROSITY.holds(
        stated_void_ratio
    ):
        raise VoidMixUp(
            f"void ratio {stated_void_ratio:g} is porosity {meant_fraction:.3f}, too dense for "
            f"open-graded stone; if {stated_void_ratio:g} is the share of the stone's volume that "
            f"fills with water, write porosity: {stated_void_ratio:g}"
        )
    return meant_fraction


@formula(
    source="section-arithmetic",
    section="(1 - n) x specific gravity x density of water",
    valid={
        "porosity_fraction": Range(0.0, 1.0, high_open=True),
        "specific_gravity_ratio": POSITIVE,
    },
)
def dry_density_kg_per_m3(porosity_fraction: float, specific_gravity_ratio: float) -> float:
    """Dry mass of a cubic metre of stone in place.

    Args:
        porosity_fraction: Holes per volume in place, 0 to below 1.
        specific_gravity_ratio: Density of the solid stone over that of water, commonly 2.65.

    Example:
        By hand: 0.60 x 2.65 x 1000 = 1590 kg per cubic metre, which is 99.3 lb per cu ft.

        >>> round(dry_density_kg_per_m3(0.40, 2.65))
        1590
    """
    return (1 - porosity_fraction) * specific_gravity_ratio * WATER_KG_PER_M3
