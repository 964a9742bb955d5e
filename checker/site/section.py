"""Pavement sections as drawn: courses from the top down, pipe, well, edge, walking surface.

Only what stands in the file: what a stone size means, and whether courses hold each other, is
worked out in `measure`.
"""

from __future__ import annotations

from typing import Final, Literal

from checker.core.problems import Place
from checker.core.records import Record
from checker.core.words import CourseKind

PavementKind = Literal["permeable", "conventional"]
Use = Literal["pedestrian", "vehicle"]

STONE_KINDS: Final = ("bedding", "choker", "base", "pipe-zone", "subbase", "sand-filter")
"""Courses that lie under the units and are made of stone or sand."""

SHEET_KINDS: Final = ("fabric", "grid", "liner")


class SheetLayer(Record, kw_only=True):
    """A fabric, grid or liner by its properties; None where the file does not say.

    Attributes:
        weave: woven, nonwoven or empty.
        opening_m: Apparent opening size of a fabric.
        open_area_fraction: Share of open area of a woven fabric.
        permittivity_per_s: Flow through it per head and area.
        mass_kg_per_m2: Mass per area.
        survivability: Class 1, 2 or 3; empty when not said.
        lap_m: Side lap.
        roll_width_m: Width of the roll.
        turn_up_m: How far it goes up the sides of the bed.
        covers: Where a liner lies: base and sides, base, sides or one side.
        aperture_m: Opening of a grid.
    """

    weave: str = ""
    opening_m: float | None = None
    open_area_fraction: float | None = None
    permittivity_per_s: float | None = None
    mass_kg_per_m2: float | None = None
    survivability: str = ""
    lap_m: float | None = None
    roll_width_m: float | None = None
    turn_up_m: float | None = None
    covers: str = "base and sides"
    aperture_m: float | None = None


class Course(Record, kw_only=True):
    """One course, or a sheet between two; None where the file does not say.

    Attributes:
        kind: What it is.
        title: Its name on pages.
        place: Where the file says so.
        at: Its path in the file.
        thickness_m: Its thickness in place.
        stone: Size by number, e.g. "57"; empty when not said.
        sieves: A test of it: sieve names and the share passing.
        porosity_fraction: As stated, holes per volume in place.
        void_ratio: As stated, holes per volume of solids.
        specific_gravity_ratio: Of the solid stone.
        is_washed: It is washed.
        fines_fraction: Share passing the No. 200 sieve.
        fractured_fraction: Share with fractured faces.
        abrasion_fraction: Loss after 500 turns.
        compaction: How it is compacted.
        length_m: Of one unit.
        width_m: Of one unit, or of the joints.
        open_fraction: Share of the surface that is joint.
        sheet: For fabrics, grids and liners.
        treatment: What is done to the subgrade.
        is_compacted: The subgrade is compacted.
    """

    kind: CourseKind
    title: str
    place: Place
    at: tuple[str | int, ...]
    thickness_m: float | None = None
    stone: str = ""
    sieves: tuple[tuple[str, float], ...] = ()
    porosity_fraction: float | None = None
    void_ratio: float | None = None
    specific_gravity_ratio: float | None = None
    is_washed: bool | None = None
    fines_fraction: float | None = None
    fractured_fraction: float | None = None
    abrasion_fraction: float | None = None
    compaction: str = ""
    length_m: float | None = None
    width_m: float | None = None
    open_fraction: float | None = None
    sheet: SheetLayer | None = None
    treatment: str = ""
    is_compacted: bool | None = None
    note: str = ""


class BedPipe(Record, kw_only=True):
    """The perforated pipe in the stone.

    Attributes:
        diameter_m: Outside diameter.
        holes_m: Diameter of round holes; None when it has none.
        slots_m: Width of slots; None when it has none.
        holes_down: The holes look down.
        is_wrapped: Stone lies all round it.
        stone: The size right round it; empty for the course it lies in.
        above_subgrade_m: From the subgrade to its bottom.
        cover_m: Stone over its top within the bed.
        outlet_above_subgrade_m: Level of an outlet that turns up; None for a plain one.
        length_m: Its length.
        slope_fraction: Its fall.
        to: The drain pipe that it leads to; empty when not said.
    """

    place: Place
    diameter_m: float
    holes_m: float | None = None
    slots_m: float | None = None
    holes_down: bool | None = None
    is_wrapped: bool | None = None
    stone: str = ""
    above_subgrade_m: float | None = None
    cover_m: float | None = None
    outlet_above_subgrade_m: float | None = None
    length_m: float | None = None
    slope_fraction: float | None = None
    to: str = ""


class Walk(Record, kw_only=True):
    """The walking surface; None where the file does not say.

    Attributes:
        slope_fraction: The main fall.
        cross_slope_fraction: Across it.
        falls_to: Where the water goes; empty when not said.
        opening_m: Widest gap, grate or slot.
        opening_length_m: Its long dimension; None for a round one.
        opening_lies: How the long dimension lies to the way people walk.
        step_m: Highest change of level.
        bevel_fraction: Rise over run of its bevel; None for upright.
        unevenness_m: Step between two units.
        flatness_m: Gap under a straightedge of 10 ft.
        lip_m: How far a drain lies below the paving.
        friction_fraction: Wet dynamic friction.
        tests_m_per_s: Ring tests of the surface.
    """

    slope_fraction: float | None = None
    cross_slope_fraction: float | None = None
    falls_to: str = ""
    opening_m: float | None = None
    opening_length_m: float | None = None
    opening_lies: Literal["across", "along", "any"] = "across"
    step_m: float | None = None
    bevel_fraction: float | None = None
    unevenness_m: float | None = None
    flatness_m: float | None = None
    lip_m: float | None = None
    friction_fraction: float | None = None
    tests_m_per_s: tuple[float, ...] = ()


class PavementSection(Record, kw_only=True):
    """One pavement section.

    Attributes:
        id: Its name in the file.
        title: Its name on pages.
        kind: Built to let water through, or not.
        use: Who uses it.
        courses: From the top down.
        standard: Id of the adopted standard section; empty when none is named.
        top_m: Level of the finished surface.
        pipe: The perforated pipe; None without one.
        well_count: Observation wells; None when not said.
        well_diameter_m: Their diameter.
        well_is_capped: They have a cap.
        edge: What holds the edge; empty when not said.
        edge_length_m: Its length.
        walk: The walking surface.
        subgrade_slope_fraction: Fall of the subgrade.
        run_on_ratio: Sealed area that drains onto it over its own area.
        design_rain_m: Storm that the stone must hold.
    """

    id: str
    title: str
    kind: PavementKind
    use: Use
    courses: tuple[Course, ...]
    place: Place
    standard: str = ""
    top_m: float | None = None
    pipe: BedPipe | None = None
    well_count: int | None = None
    well_diameter_m: float | None = None
    well_is_capped: bool | None = None
    edge: str = ""
    edge_length_m: float | None = None
    walk: Walk = Walk()
    subgrade_slope_fraction: float | None = None
    run_on_ratio: float | None = None
    design_rain_m: float | None = None
    note: str = ""

    def first(self, kind: CourseKind) -> Course | None:
        """The uppermost course of a kind; None without one."""
        return next((course for course in self.courses if course.kind == kind), None)
