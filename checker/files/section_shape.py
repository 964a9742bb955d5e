"""The shapes of the parts of a site file about the ground: pavement sections and soil.

Which keys a course may have depends on what it is; `site.section` checks that, in its own words.
"""

from __future__ import annotations

from typing import Annotated, Literal, NotRequired

from pydantic import Field
from typing_extensions import TypedDict

from checker.core.words import CourseKind
from checker.files.site_shape import AmountText, Id

YesOrNo = bool | str
SieveTest = Annotated[
    dict[str, AmountText],
    Field(description="share of the mass passing each sieve: {3/8 in: 92 %, No. 4: 22 %}"),
]


class CourseShape(TypedDict):
    """One course of a section, or a fabric, grid or liner between two."""

    course: CourseKind
    title: NotRequired[str]
    thickness: NotRequired[AmountText]
    stone: NotRequired[Annotated[str, Field(description="a size of the table stone-sizes")]]
    sieves: NotRequired[SieveTest]
    porosity: NotRequired[
        Annotated[
            AmountText, Field(description="holes per volume in place; stone holds about 40 %")
        ]
    ]
    void_ratio: NotRequired[
        Annotated[
            AmountText,
            Field(description="holes per volume of solids; 0.67 is a porosity of 40 %"),
        ]
    ]
    specific_gravity: NotRequired[AmountText]
    washed: NotRequired[YesOrNo]
    fines: NotRequired[Annotated[AmountText, Field(description="share passing the No. 200 sieve")]]
    fractured_faces: NotRequired[AmountText]
    abrasion: NotRequired[Annotated[AmountText, Field(description="loss after 500 turns")]]
    compaction: NotRequired[str]
    note: NotRequired[str]
    length: NotRequired[Annotated[AmountText, Field(description="of one unit")]]
    width: NotRequired[Annotated[AmountText, Field(description="of one unit, or of the joints")]]
    open_share: NotRequired[
        Annotated[AmountText, Field(description="share of the surface that is joint")]
    ]
    weave: NotRequired[Literal["woven", "nonwoven"]]
    opening: NotRequired[Annotated[AmountText, Field(description="apparent opening size")]]
    open_area: NotRequired[Annotated[AmountText, Field(description="of a woven fabric")]]
    permittivity: NotRequired[AmountText]
    mass: NotRequired[Annotated[AmountText, Field(description="mass per area")]]
    survivability: NotRequired[Literal["1", "2", "3"]]
    lap: NotRequired[AmountText]
    roll_width: NotRequired[AmountText]
    turn_up: NotRequired[Annotated[AmountText, Field(description="up the sides of the bed")]]
    covers: NotRequired[
        Annotated[
            Literal["base and sides", "base", "sides", "one side"],
            Field(description="of a liner: where it lies; base and sides when not said"),
        ]
    ]
    aperture: NotRequired[Annotated[AmountText, Field(description="of a grid")]]
    treatment: NotRequired[Annotated[str, Field(description="what is done to the subgrade")]]
    compacted: NotRequired[YesOrNo]


class SectionPipeShape(TypedDict):
    """The perforated pipe in the stone."""

    diameter: AmountText
    holes: NotRequired[Annotated[AmountText, Field(description="diameter of the holes")]]
    slots: NotRequired[Annotated[AmountText, Field(description="width of the slots")]]
    holes_down: NotRequired[YesOrNo]
    wrapped: NotRequired[Annotated[YesOrNo, Field(description="stone all round it")]]
    stone: NotRequired[Annotated[str, Field(description="the size right round it")]]
    above_subgrade: NotRequired[
        Annotated[AmountText, Field(description="from the subgrade to the outside of its bottom")]
    ]
    cover: NotRequired[
        Annotated[AmountText, Field(description="of stone over its top, inside the bed")]
    ]
    outlet_above_subgrade: NotRequired[
        Annotated[
            AmountText,
            Field(description="where its outlet turns up: water below that level soaks in"),
        ]
    ]
    length: NotRequired[AmountText]
    slope: NotRequired[AmountText]
    to: NotRequired[
        Annotated[str, Field(description="the drain pipe under 'ways_out' that it leads to")]
    ]


class WellShape(TypedDict):
    """The observation well."""

    diameter: NotRequired[AmountText]
    capped: NotRequired[YesOrNo]
    count: NotRequired[Annotated[int, Field(ge=1)]]


class EdgeShape(TypedDict):
    """What holds the edge."""

    kind: str
    length: NotRequired[AmountText]


class WalkShape(TypedDict):
    """The walking surface."""

    slope: NotRequired[Annotated[AmountText, Field(description="the main fall")]]
    cross_slope: NotRequired[AmountText]
    falls_to: NotRequired[
        Literal["away from pool and house", "toward the pool", "toward the house"]
    ]
    opening: NotRequired[Annotated[AmountText, Field(description="widest gap, grate or slot")]]
    opening_length: NotRequired[AmountText]
    opening_lies: NotRequired[Literal["across", "along", "any"]]
    step: NotRequired[Annotated[AmountText, Field(description="highest change of level")]]
    bevel: NotRequired[Annotated[AmountText, Field(description="rise over run, such as 1:2")]]
    unevenness: NotRequired[Annotated[AmountText, Field(description="step between two units")]]
    flatness: NotRequired[Annotated[AmountText, Field(description="gap under a 10 ft edge")]]
    lip_at_drain: NotRequired[Annotated[AmountText, Field(description="drain below the paving")]]
    friction: NotRequired[Annotated[float | int, Field(description="wet dynamic friction")]]
    tests: NotRequired[
        Annotated[list[AmountText], Field(description="rates of ring tests on the surface")]
    ]


class SectionShape(TypedDict):
    """One pavement section; surfaces name it with 'section'."""

    kind: Literal["permeable", "conventional"]
    use: Literal["pedestrian", "vehicle"]
    courses: Annotated[
        list[CourseShape], Field(min_length=1, description="from the top down to the subgrade")
    ]
    title: NotRequired[str]
    standard: NotRequired[
        Annotated[Id, Field(description="the adopted standard section it is compared with")]
    ]
    top: NotRequired[Annotated[AmountText, Field(description="level of the finished surface")]]
    pipe: NotRequired[SectionPipeShape]
    well: NotRequired[WellShape]
    edge: NotRequired[EdgeShape]
    walk: NotRequired[WalkShape]
    subgrade_slope: NotRequired[AmountText]
    run_on: NotRequired[
        Annotated[AmountText, Field(description="sealed area draining onto it over its own")]
    ]
    design_rain: NotRequired[
        Annotated[AmountText, Field(description="depth of the storm that the stone must hold")]
    ]
    note: NotRequired[str]


class SoilShape(TypedDict):
    """The soil below, by its grains."""

    texture: NotRequired[str]
    d15: NotRequired[AmountText]
    d50: NotRequired[AmountText]
    d85: NotRequired[AmountText]
    fines: NotRequired[Annotated[AmountText, Field(description="share passing the No. 200 sieve")]]
    uniformity: NotRequired[Annotated[float | int, Field(description="D60 over D10")]]
    sieves: NotRequired[SieveTest]


class GroundShape(TypedDict):
    """Soil and groundwater below the lot."""

    soil_group: NotRequired[Literal["A", "B", "C", "D"]]
    measured_rate: NotRequired[Annotated[AmountText, Field(description="slowest of the tests")]]
    safety_factor: NotRequired[float | int]
    tests: NotRequired[Annotated[int, Field(ge=0, description="number of infiltration tests")]]
    water_table_depth: NotRequired[
        Annotated[AmountText, Field(description="from the ground down to seasonal high water")]
    ]
    rock_depth: NotRequired[AmountText]
    frost_depth: NotRequired[AmountText]
    bearing_ratio: NotRequired[Annotated[float | int, Field(description="CBR, per cent")]]
    soil: NotRequired[SoilShape]
