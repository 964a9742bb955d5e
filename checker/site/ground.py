"""Soil and groundwater below the lot, as the site file gives them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import Problems
from checker.core.records import Record
from checker.core.units import SPEED
from checker.files.shape import check_shape
from checker.site.fields import Fields

if TYPE_CHECKING:
    from checker.files.source import Document


FASTEST_SOIL_M_PER_S: Final = 0.01
"""Clean gravel, about 1,400 in/h (order of magnitude of permeability, from memory)."""

FASTEST_DO: Final = "check the number and its unit; clean gravel takes about 1,400 in/h"


class Soil(Record, kw_only=True):
    """The soil by its grains; None where the file does not say.

    Attributes:
        texture: Its name, e.g. sandy loam; empty when not said.
        d15_m: The size that 15 % of it is finer than.
        d50_m: The same for 50 %.
        d85_m: The same for 85 %.
        fines_fraction: Share passing the No. 200 sieve.
        uniformity_ratio: D60 over D10.
        sieves: A test of it: sieve names and the share passing.
    """

    texture: str = ""
    d15_m: float | None = None
    d50_m: float | None = None
    d85_m: float | None = None
    fines_fraction: float | None = None
    uniformity_ratio: float | None = None
    sieves: tuple[tuple[str, float], ...] = ()


class Ground(Record, kw_only=True):
    """What is known below the lot; None where the file does not say.

    Attributes:
        soil_group: A, B, C or D; empty when not said.
        measured_rate_m_per_s: Slowest infiltration rate of the tests.
        safety_factor: What the measured rate is divided by to design with.
        tests_count: Number of infiltration tests.
        water_table_depth_m: From the ground down to seasonal high water.
        rock_depth_m: From the ground down to rock.
        frost_depth_m: Depth of frost.
        bearing_ratio: CBR, per cent.
        soil: Its grains.
    """

    soil_group: str = ""
    measured_rate_m_per_s: float | None = None
    safety_factor: float | None = None
    tests_count: int | None = None
    water_table_depth_m: float | None = None
    rock_depth_m: float | None = None
    frost_depth_m: float | None = None
    bearing_ratio: float | None = None
    soil: Soil = Soil()


def read_ground(data: object, document: Document) -> Ground:
    """The ground of a site file.

    Args:
        data: What stands under `ground`; None when nothing does.
        document: The file, for places.

    Raises:
        BadInput: With every problem found.
    """
    if data is None:
        return Ground()
    at = ("ground",)
    shaped: dict[str, Any] = check_shape("ground", data, document, at)
    problems = Problems()
    fields = Fields(shaped, document, at, "the ground", problems)
    soil = Fields(shaped.get("soil", {}), document, (*at, "soil"), "the soil", problems)
    found = Ground(
        soil_group=fields.text("soil_group"),
        measured_rate_m_per_s=fields.size("measured_rate", SPEED),
        safety_factor=fields.ratio("safety_factor"),
        tests_count=shaped.get("tests"),
        water_table_depth_m=fields.length_m("water_table_depth"),
        rock_depth_m=fields.length_m("rock_depth"),
        frost_depth_m=fields.length_m("frost_depth"),
        bearing_ratio=fields.ratio("bearing_ratio"),
        soil=Soil(
            texture=soil.text("texture"),
            d15_m=soil.length_m("d15"),
            d50_m=soil.length_m("d50"),
            d85_m=soil.length_m("d85"),
            fines_fraction=soil.share_fraction("fines"),
            uniformity_ratio=soil.ratio("uniformity"),
            sieves=soil.sieves(),
        ),
    )
    fields.at_most("measured_rate", found.measured_rate_m_per_s, FASTEST_SOIL_M_PER_S, FASTEST_DO)
    if found.safety_factor is not None and found.safety_factor < 1:
        says = f"{fields.what('safety_factor')} is {found.safety_factor:g}"
        problems.add(fields.place("safety_factor"), says, "give 1 or more; 2 is common")
    problems.stop_if_any(f"{document.file} cannot be used")
    return found
