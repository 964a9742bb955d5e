"""The shape of a site file. Declared with pydantic, compiled by `compile.py`."""

from __future__ import annotations

from typing import Annotated, Any, Literal, NotRequired

from pydantic import Field
from typing_extensions import TypedDict

from checker.core.words import Stage

Id = Annotated[
    str,
    Field(pattern=r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$", description="lower-case words with hyphens"),
]
LikelyId = Annotated[
    str,
    Field(
        pattern=r"^[a-z][a-z0-9]*(-[a-z0-9]+)* ?\??$",
        description="a material; with a ? behind it where nobody has confirmed it",
    ),
]
AmountText = Annotated[str | int | float, Field(description="a number with its unit, e.g. 12 in")]
Fact = Annotated[str | bool | int | float, Field(description="a text, yes or no, date or amount")]


class ArcPointShape(TypedDict):
    """A corner from which an arc runs to the next corner."""

    at: Annotated[list[float | int], Field(min_length=2, max_length=2, description="x, y")]
    turn: Annotated[
        Literal["left", "right"], Field(description="to which side it bends, looking along it")
    ]
    radius: NotRequired[AmountText]
    middle_ordinate: NotRequired[
        Annotated[
            str | int | float,
            Field(description="how far the middle of the arc lies from the middle of its chord"),
        ]
    ]
    more_than_half: NotRequired[
        Annotated[bool | str, Field(description="yes: the longer of the two arcs of that radius")]
    ]


PlacePoint = Annotated[list[float | int], Field(min_length=2, max_length=2, description="x and y")]
PointShape = PlacePoint | ArcPointShape


class MeasuredFromShape(TypedDict):
    """From what a tape was held: a lot line, two lot lines, or a wall of a surface."""

    lot_line: NotRequired[
        Annotated[
            int,
            Field(ge=1, description="x runs along this line of the boundary, y into the lot"),
        ]
    ]
    and_line: NotRequired[
        Annotated[
            int,
            Field(ge=1, description="x is the distance from this line, y that from lot_line"),
        ]
    ]
    wall_of: NotRequired[
        Annotated[Id, Field(description="x runs along a wall of this surface, y away from it")]
    ]
    wall: NotRequired[
        Annotated[int, Field(ge=1, description="which line of its outline, counted from 1")]
    ]
    end: NotRequired[
        Annotated[
            Literal["first", "last"], Field(description="at which end of the line the tape starts")
        ]
    ]


class RectangleShape(TypedDict):
    """An upright or turned rectangle."""

    corner: Annotated[PlacePoint, Field(description="its lower left corner before turning")]
    size: Annotated[list[float | int | str], Field(min_length=2, max_length=2)]
    turned: NotRequired[Annotated[float | int, Field(description="degrees counter-clockwise")]]


class CircleShape(TypedDict):
    """A circle, by radius or diameter."""

    centre: PlacePoint
    radius: NotRequired[AmountText]
    diameter: NotRequired[AmountText]


class StripShape(TypedDict):
    """A strip of one width along a line: a walk, a wall, a drain."""

    along: Annotated[list[PointShape], Field(min_length=2)]
    width: AmountText
    side: NotRequired[
        Annotated[
            Literal["middle", "left", "right"],
            Field(description="which side of the line, looking along it"),
        ]
    ]


class RingShape(TypedDict):
    """A band of one width round another surface: the coping round a pool."""

    around: Id
    width: AmountText
    corners: NotRequired[Literal["square", "round"]]


class ShapeShape(TypedDict):
    """Where something lies: exactly one of the kinds, plus holes."""

    points: NotRequired[Annotated[list[PointShape], Field(min_length=3)]]
    rectangle: NotRequired[RectangleShape]
    circle: NotRequired[CircleShape]
    strip: NotRequired[StripShape]
    ring: NotRequired[RingShape]
    courses: NotRequired[
        Annotated[list[str], Field(min_length=2, description="metes and bounds, one course a line")]
    ]
    start: NotRequired[Annotated[PlacePoint, Field(description="where the first course begins")]]
    balance: NotRequired[
        Annotated[
            Literal["none", "compass rule"],
            Field(description="how a closing error is spread; none unless asked for"),
        ]
    ]
    angles: NotRequired[
        Annotated[
            Literal["decimal", "packed"],
            Field(
                description="what 26.1000 in a course is: degrees, or packed 26 degrees 10 minutes"
            ),
        ]
    ]
    layer: NotRequired[Annotated[str, Field(description="a layer of the drawing file")]]
    pattern: NotRequired[
        Annotated[str, Field(description="of the layer, only the hatches of this pattern")]
    ]
    where: NotRequired[
        Annotated[
            dict[str, Fact],
            Field(description="of the layer, only what has these values, e.g. {parcel: 164}"),
        ]
    ]
    nested: NotRequired[
        Annotated[
            Literal["hole", "filled"],
            Field(description="what an outline inside another one of the layer is"),
        ]
    ]
    measured_from: NotRequired[
        Annotated[MeasuredFromShape, Field(description="its points are measured from a line")]
    ]
    at: NotRequired[
        Annotated[PlacePoint, Field(description="a single point, for a well or a tree")]
    ]
    line: NotRequired[Annotated[list[PointShape], Field(min_length=2)]]
    parts: NotRequired[
        Annotated[list[ShapeShape], Field(min_length=1, description="several areas as one")]
    ]
    holes: NotRequired[list[ShapeShape]]
    repair: NotRequired[
        Annotated[
            Literal["overlap-open", "overlap-filled"],
            Field(
                description="how an outline that crosses itself is mended: what it goes round "
                "twice stays open, or is filled like the rest"
            ),
        ]
    ]


class LotShape(TypedDict):
    """The lot."""

    boundary: ShapeShape
    sides: NotRequired[
        Annotated[
            dict[Id, list[int | str] | str],
            Field(
                description="which boundary lines are the front, rear, ...: by number, counted "
                "from 1, by compass (north, south-west), 'nearest' and the id of a street, or rest"
            ),
        ]
    ]
    recorded_area: NotRequired[AmountText]
    closure: NotRequired[
        Annotated[int, Field(ge=1, description="the survey must close within 1 in so many")]
    ]


class SurfaceShape(TypedDict):
    """One surface. Every attribute is optional; a rule that needs an absent one asks for it."""

    id: Id
    shape: ShapeShape
    material: NotRequired[
        Annotated[str, Field(description="needed unless the layer table of the drawing names it")]
    ]
    stage: NotRequired[Annotated[Stage, Field(description="existing when not said")]]
    title: NotRequired[str]
    was: NotRequired[
        Annotated[Id, Field(description="the material it has today, where stage is replaced")]
    ]
    section: NotRequired[Annotated[Id, Field(description="its pavement section")]]
    may_become: NotRequired[
        Annotated[
            list[Id], Field(description="what a search for the least change may turn it into")
        ]
    ]
    fixed: NotRequired[Annotated[bool | str, Field(description="yes: never to be changed")]]
    measured_by: NotRequired[
        Annotated[str, Field(description="survey, field tape and date, length x width ...")]
    ]
    attributes: NotRequired[
        Annotated[dict[str, Fact], Field(description="facts about it that rules may ask for")]
    ]


class RestShape(TypedDict):
    """All land that no surface covers, with what rules may ask of it."""

    material: LikelyId
    attributes: NotRequired[
        Annotated[dict[str, Fact], Field(description="facts about it that rules may ask for")]
    ]


class FeatureShape(TypedDict):
    """Something that is not a surface but that rules measure to."""

    id: Id
    kind: Annotated[
        Literal[
            "well", "septic-tank", "septic-field", "shoreline", "foundation", "tree", "utility",
            "wall", "stream", "neighbour-structure", "public-way", "slope-toe", "barrier", "fence",
            "overhead-line", "gas-line", "water-line", "sewer-line", "erosion-control", "other",
        ],
        Field(description="what it is"),
    ]  # fmt: skip
    shape: ShapeShape
    title: NotRequired[str]
    height: NotRequired[Annotated[AmountText, Field(description="of a pool barrier")]]
    ground: NotRequired[
        Annotated[str | float | int, Field(description="the level that this height is taken from")]
    ]


class RegionShape(TypedDict):
    """A named part of the land: an overlay, an easement, a slope class."""

    id: Id
    kind: Literal["overlay", "easement", "right-of-way", "slope-class", "wetland", "water", "other"]
    shape: ShapeShape
    title: NotRequired[str]


class OnFileShape(TypedDict):
    """A document that exists: an authorisation, a test report, a recorded agreement."""

    document: Id
    title: NotRequired[str]
    of: NotRequired[str]
    by: NotRequired[str]
    date: NotRequired[str]
    reference: NotRequired[str]


class DrawingShape(TypedDict):
    """A drawing file whose layers the shapes refer to."""

    file: str
    unit: NotRequired[
        Annotated[str, Field(description="the unit of its numbers, when it has none")]
    ]
    layers: NotRequired[
        Annotated[
            dict[str, str],
            Field(
                description="layer to material, or: lot, ignore, unknown, or the kind of a "
                "feature; with a ? behind it where nobody has confirmed it"
            ),
        ]
    ]
    layer_by: NotRequired[
        Annotated[str, Field(description="GeoJSON or GIS: the property that names the layer")]
    ]
    close_gaps: NotRequired[
        Annotated[AmountText, Field(description="the largest gap of a ring that is closed")]
    ]
    coordinates: NotRequired[
        Annotated[
            Literal["longitude-latitude", "plan"],
            Field(description="what the numbers of a GeoJSON or GIS file are"),
        ]
    ]
    origin: NotRequired[
        Annotated[
            list[float | int],
            Field(
                min_length=2,
                max_length=2,
                description="what becomes 0, 0 of the plan: x and y as the drawing counts, or "
                "longitude and latitude",
            ),
        ]
    ]


class TracedShape(TypedDict):
    """A scanned survey below the drawing board; nothing is measured on it."""

    file: Annotated[str, Field(description="a PDF, PNG or JPEG beside the site file")]
    page: NotRequired[Annotated[int, Field(ge=1, description="of a PDF; the first when not said")]]
    corner: Annotated[PlacePoint, Field(description="where its lower left corner lies")]
    width: Annotated[AmountText, Field(description="how wide the sheet is on the ground")]
    turned: NotRequired[
        Annotated[float | int, Field(description="degrees counter-clockwise about that corner")]
    ]


class SiteShape(TypedDict):
    """One lot and everything on it."""

    format: Literal["site/1"]
    title: str
    place: Annotated[str, Field(description="id of a rule set, or the path of one")]
    units: Annotated[
        str, Field(description="the unit of bare coordinates: ft, m, us survey ft, in, mm")
    ]
    lot: NotRequired[Annotated[LotShape, Field(description="without it no rule can be told")]]
    surfaces: list[SurfaceShape]
    invented: NotRequired[Annotated[bool | str, Field(description="yes: made up, no real lot")]]
    date: NotRequired[
        Annotated[str, Field(description="YYYY-MM-DD: the law in force on this day is used")]
    ]
    shown_in: NotRequired[Literal["us", "metric"]]
    north: NotRequired[
        Annotated[float | int, Field(description="degrees from the top of the drawing, clockwise")]
    ]
    facts: NotRequired[Annotated[dict[str, Fact], Field(description="what the rule set asks for")]]
    drawing: NotRequired[DrawingShape]
    traced_over: NotRequired[
        Annotated[TracedShape, Field(description="a scanned survey that the lot was traced over")]
    ]
    rest_of_lot: NotRequired[
        Annotated[
            LikelyId | RestShape,
            Field(
                description="the material of all land that no surface covers, or a group of "
                "`material` and `attributes`"
            ),
        ]
    ]
    order: NotRequired[
        Annotated[
            list[Id],
            Field(description="surface ids, the first wins where two overlap at one level"),
        ]
    ]
    features: NotRequired[list[FeatureShape]]
    regions: NotRequired[list[RegionShape]]
    none_found: NotRequired[
        Annotated[
            list[Id],
            Field(description="what was looked for and is not there: well, septic-field, ..."),
        ]
    ]
    readings: NotRequired[
        Annotated[dict[str, str], Field(description="how the office reads an unclear clause")]
    ]
    on_file: NotRequired[list[OnFileShape]]
    project: NotRequired[Annotated[dict[str, Any], Field(description="owner, parcel, preparer")]]
    panels: NotRequired[Annotated[list[Any], Field(description="levels of deck panels")]]
    ways_out: NotRequired[Annotated[dict[str, Any], Field(description="inlets, pipes, stores")]]
    sections: NotRequired[Annotated[dict[str, Any], Field(description="pavement sections")]]
    ground: NotRequired[Annotated[dict[str, Any], Field(description="soil and groundwater")]]
    storms: NotRequired[Annotated[dict[str, Any], Field(description="design rain")]]
    levels: NotRequired[
        Annotated[list[Any], Field(description="spot levels: lot corners, ground, sills, rims")]
    ]
    costs: NotRequired[Annotated[str, Field(description="the path of a cost table")]]
    goal: NotRequired[Annotated[dict[str, Any], Field(description="what a change must reach")]]
