"""The shapes of the parts of a site file about drainage: panels, ways out, storms.

Which keys a drain, store or outlet may have depends on its kind; `site.drainage_read` checks that.
"""

from __future__ import annotations

from typing import Annotated, Literal, NotRequired

from pydantic import Field
from typing_extensions import TypedDict

from checker.files.section_shape import YesOrNo
from checker.files.site_shape import AmountText, Id, PlacePoint

LevelText = Annotated[
    str | int | float, Field(description="a level; a bare number is in the unit of the file")
]
LineShape = Annotated[list[PlacePoint], Field(min_length=2)]


class PanelShape(TypedDict):
    """One plane of paving: spot levels, or one level with a pitch and its direction."""

    on: Annotated[Id, Field(description="the surface it is a part of")]
    id: NotRequired[Annotated[Id, Field(description="the surface's id when not said")]]
    points: NotRequired[
        Annotated[
            list[PlacePoint],
            Field(min_length=3, description="its outline; the whole surface without"),
        ]
    ]
    levels: NotRequired[
        Annotated[
            dict[str, LevelText],
            Field(min_length=3, description='spot levels at points: {"10,20": 99.60, ...}'),
        ]
    ]
    level: NotRequired[LevelText]
    at: NotRequired[Annotated[PlacePoint, Field(description="where 'level' holds")]]
    pitch: NotRequired[Annotated[AmountText, Field(description="1/4 in/ft, 2 %, 1:48")]]
    toward: NotRequired[
        Annotated[
            float | int | str,
            Field(
                description="where it falls: degrees clockwise from the top of the drawing, a "
                "point of the compass, 'away from house', 'line 2' of the lot or 'rear line'"
            ),
        ]
    ]
    drains_to: NotRequired[
        Annotated[Id, Field(description="the drain, store or edge; found from the fall without")]
    ]
    runoff: NotRequired[Annotated[AmountText, Field(description="runoff coefficient, 0 to 1")]]
    concentration: NotRequired[Annotated[AmountText, Field(description="time of concentration")]]
    concentration_source: NotRequired[
        Annotated[str, Field(description="where a longer time than is reckoned is from")]
    ]


class SpotLevelShape(TypedDict):
    """A level that was measured or is to be built."""

    at: PlacePoint
    level: LevelText
    what: NotRequired[
        Annotated[
            Literal[
                "ground", "lot corner", "neighbour's ground", "sill", "threshold", "coping", "rim",
                "top of wall", "foot of wall", "benchmark",
            ],
            Field(description="ground when absent; contours go through the ground alone"),
        ]
    ]  # fmt: skip
    stage: NotRequired[
        Annotated[Literal["existing", "proposed"], Field(description="existing when absent")]
    ]


class GrateShape(TypedDict):
    """The grate of an area drain, by its name in the table of stock or by its measures."""

    size: NotRequired[str]
    width: NotRequired[AmountText]
    length: NotRequired[AmountText]
    open: NotRequired[Annotated[AmountText, Field(description="clear area of its openings")]]
    against: NotRequired[
        Annotated[Literal["none", "wall"], Field(description="what stands along one side")]
    ]


class InletShape(TypedDict):
    """A drain in the surface, or the top of a roof leader."""

    id: Id
    kind: Literal["area-drain", "channel-drain", "roof-leader"]
    at: NotRequired[PlacePoint]
    along: NotRequired[LineShape]
    rim: NotRequired[LevelText]
    to: NotRequired[Annotated[Id, Field(description="the pipe or store below")]]
    spills_to: NotRequired[
        Annotated[Id, Field(description="where water goes over the surface when it is full")]
    ]
    spill_depth: NotRequired[
        Annotated[
            AmountText,
            Field(description="water over it before it goes on; up to its edge, or 1 in"),
        ]
    ]
    spill_length: NotRequired[AmountText]
    clogged: NotRequired[Annotated[AmountText, Field(description="share of it that is clogged")]]
    grate: NotRequired[GrateShape]
    width: NotRequired[Annotated[AmountText, Field(description="inside, of a channel")]]
    depth: NotRequired[Annotated[AmountText, Field(description="inside, of a channel")]]
    fall: NotRequired[Annotated[AmountText, Field(description="built into a channel")]]
    slot: NotRequired[Annotated[AmountText, Field(description="width of the slot of a channel")]]
    open: NotRequired[Annotated[AmountText, Field(description="clear area over a channel")]]
    of: NotRequired[Annotated[Id, Field(description="the roof that a leader drains")]]
    share: NotRequired[Annotated[AmountText, Field(description="of the roof")]]
    diameter: NotRequired[Annotated[AmountText, Field(description="inside, of a leader")]]


class PipeShape(TypedDict):
    """A pipe."""

    id: Id
    to: NotRequired[Annotated[Id, Field(description="what its lower end leads to")]]
    diameter: NotRequired[Annotated[AmountText, Field(description="inside")]]
    material: NotRequired[Annotated[str, Field(description="a row of the table pipe-roughness")]]
    roughness: NotRequired[Annotated[float | int, Field(description="Manning's n instead")]]
    along: NotRequired[LineShape]
    length: NotRequired[Annotated[AmountText, Field(description="that of 'along' when absent")]]
    upper: NotRequired[Annotated[LevelText, Field(description="invert at the upper end")]]
    lower: NotRequired[Annotated[LevelText, Field(description="invert at the lower end")]]
    slope: NotRequired[Annotated[AmountText, Field(description="instead of one invert")]]
    cover: NotRequired[Annotated[AmountText, Field(description="least ground over its top")]]
    bend_loss: NotRequired[
        Annotated[
            float | int,
            Field(
                description=(
                    "sum of the loss coefficients of bends and fittings; 0.0033 for each degree "
                    "that 'along' turns when absent"
                )
            ),
        ]
    ]
    cleanouts: NotRequired[
        Annotated[list[PlacePoint], Field(description="where it can be opened along its line")]
    ]


class StoreSoilShape(TypedDict):
    """How a store soaks away; what is absent stands under 'ground'."""

    base: NotRequired[Annotated[YesOrNo, Field(description="the base counts; yes when absent")]]
    walls: NotRequired[Annotated[YesOrNo, Field(description="the walls count; yes when absent")]]
    rate: NotRequired[Annotated[AmountText, Field(description="measured at its base")]]


class StoreOutletShape(TypedDict):
    """A way out of a store besides the soil."""

    id: Id
    kind: Annotated[Literal["pipe", "edge"], Field(description="a round mouth, or a weir")]
    invert: NotRequired[Annotated[LevelText, Field(description="lowest point of a pipe's mouth")]]
    diameter: NotRequired[AmountText]
    crest: NotRequired[Annotated[LevelText, Field(description="of an edge")]]
    length: NotRequired[Annotated[AmountText, Field(description="of an edge")]]
    to: NotRequired[Id]


class StoreRowShape(TypedDict):
    """A row of a store of any shape."""

    level: LevelText
    stored: Annotated[AmountText, Field(description="water below the level")]
    base: NotRequired[Annotated[AmountText, Field(description="wet base area")]]
    walls: NotRequired[Annotated[AmountText, Field(description="wet wall area")]]


class StoreShape(TypedDict):
    """Water stored in a chamber or in stone."""

    id: Id
    kind: Literal["dry-well", "reservoir", "basin", "any-shape"]
    at: NotRequired[PlacePoint]
    under: NotRequired[Annotated[Id, Field(description="the surface that a reservoir lies below")]]
    bottom: NotRequired[LevelText]
    depth: NotRequired[AmountText]
    porosity: NotRequired[AmountText]
    length: NotRequired[Annotated[AmountText, Field(description="of a reservoir, along its fall")]]
    width: NotRequired[AmountText]
    slope: NotRequired[Annotated[AmountText, Field(description="fall of its base")]]
    side_slope: NotRequired[
        Annotated[AmountText, Field(description="of a basin: run of its sides for a rise of 1")]
    ]
    chamber: NotRequired[Annotated[AmountText, Field(description="inside diameter; 0 for stone")]]
    pit: NotRequired[Annotated[AmountText, Field(description="diameter of the pit")]]
    stone_below: NotRequired[AmountText]
    cover: NotRequired[Annotated[AmountText, Field(description="of ground over a dry well")]]
    rows: NotRequired[Annotated[list[StoreRowShape], Field(min_length=2)]]
    soil: NotRequired[StoreSoilShape]
    outlets: NotRequired[list[StoreOutletShape]]
    rim: NotRequired[
        Annotated[LevelText, Field(description="of the open surface above; none when buried")]
    ]
    spills_to: NotRequired[Id]
    spill_length: NotRequired[AmountText]
    surface_rate: NotRequired[Annotated[AmountText, Field(description="of the open surface")]]
    cover_porosity: NotRequired[
        Annotated[
            AmountText,
            Field(
                description=(
                    "holes per volume between the stone and the surface: bedding and joints "
                    "together; the bedding of the section, or none, when absent"
                )
            ),
        ]
    ]


class OutletShape(TypedDict):
    """A lawful end of a pipe."""

    id: Id
    kind: Literal["pop-up", "daylight", "sewer", "curb"]
    at: NotRequired[PlacePoint]
    level: NotRequired[
        Annotated[LevelText, Field(description="of the water there, or of the lid of a pop-up")]
    ]
    limit: NotRequired[Annotated[AmountText, Field(description="most that it lets out")]]
    loss: NotRequired[
        Annotated[
            float | int,
            Field(description="sum of the loss coefficients of riser and lid; 1.1 of a pop-up"),
        ]
    ]


class OverflowEdgeShape(TypedDict):
    """An edge over which water may leave the paving."""

    id: Id
    along: LineShape
    crest: NotRequired[LevelText]
    onto: Literal["own land", "street", "neighbour", "house", "pool"]
    existing_flow: NotRequired[
        Annotated[AmountText, Field(description="what went over it before, in the design storm")]
    ]


class InflowShape(TypedDict):
    """Water that no surface of the lot sheds: from uphill land, or pumped."""

    id: Id
    kind: Annotated[
        Literal["off-site", "pumped"],
        Field(description="off land that is not drawn, or from a pump such as a filter's backwash"),
    ]
    to: Annotated[Id, Field(description="the inlet, store or edge that it comes to")]
    area: NotRequired[Annotated[AmountText, Field(description="off-site: that sheds it")]]
    runoff: NotRequired[Annotated[AmountText, Field(description="off-site: runoff share")]]
    concentration: NotRequired[Annotated[AmountText, Field(description="off-site: its time")]]
    concentration_source: NotRequired[
        Annotated[str, Field(description="off-site: where a time over 5 min is from")]
    ]
    flow: NotRequired[Annotated[AmountText, Field(description="pumped: while it runs")]]
    duration: NotRequired[Annotated[AmountText, Field(description="pumped: how long it runs")]]


class WaysOutShape(TypedDict):
    """Everything that takes water."""

    inflows: NotRequired[list[InflowShape]]
    inlets: NotRequired[list[InletShape]]
    pipes: NotRequired[list[PipeShape]]
    stores: NotRequired[list[StoreShape]]
    outlets: NotRequired[list[OutletShape]]
    overflow_edges: NotRequired[list[OverflowEdgeShape]]
    lowest_floor: NotRequired[Annotated[LevelText, Field(description="or door sill")]]
    coping: NotRequired[Annotated[LevelText, Field(description="lowest level of the coping")]]
    clogged: NotRequired[
        Annotated[AmountText, Field(description="share of each grate; 50 % when absent")]
    ]


class StormShape(TypedDict):
    """A storm, from the rain table, by its depth, or typed."""

    return_period: NotRequired[Annotated[float | int, Field(description="years")]]
    duration: NotRequired[AmountText]
    shape: NotRequired[
        Annotated[
            Literal["nested", "uniform", "type-1", "type-1a", "type-2", "type-3"],
            Field(description="how it falls in time; the types are 24-hour storms"),
        ]
    ]
    depth: NotRequired[Annotated[AmountText, Field(description="instead of the rain table")]]
    fallen: NotRequired[
        Annotated[
            dict[str, AmountText],
            Field(min_length=2, description="typed: {0 min: 0 in, 30 min: 1.2 in, ...}"),
        ]
    ]


class StormsShape(TypedDict):
    """The rain to design with."""

    table: NotRequired[Annotated[str, Field(description="text table of a rainfall atlas, a path")]]
    source: NotRequired[
        Annotated[str, Field(description="where the table is from, when it does not say itself")]
    ]
    step: NotRequired[Annotated[AmountText, Field(description="1 min when absent")]]
    design: NotRequired[Annotated[StormShape, Field(description="what the drains must take")]]
    rare: NotRequired[Annotated[StormShape, Field(description="what may overflow, and where")]]
