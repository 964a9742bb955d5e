"""The shapes of a goal and of a cost table. Declared with pydantic, see `compile.py`."""

from __future__ import annotations

from typing import Annotated, Literal, NotRequired

from pydantic import Field
from typing_extensions import TypedDict

from checker.files.site_shape import AmountText, Fact, Id


class WayShape(TypedDict):
    """How one surface may change."""

    change: NotRequired[
        Annotated[
            Literal["whole", "band", "bays"],
            Field(
                description="all of it or nothing; a band along one edge (the default); or whole "
                "bays of a size"
            ),
        ]
    ]
    along: NotRequired[
        Annotated[
            str,
            Field(
                description="the edge that a band follows: lawn, drain, house, pool, a side of the "
                "lot, or the id of another surface"
            ),
        ]
    ]
    bay: NotRequired[
        Annotated[
            list[AmountText],
            Field(min_length=1, max_length=2, description="length and width of one bay"),
        ]
    ]


class GoalShape(TypedDict):
    """What a search for the least change must reach, and what it may do."""

    find: NotRequired[Literal["least cost", "least area", "most deck kept"]]
    rules: NotRequired[
        Annotated[list[Id], Field(description="the rules to be met; all when not given")]
    ]
    reserve: NotRequired[
        Annotated[
            AmountText,
            Field(description="room to keep at each limit: an area, or a per cent of the limit"),
        ]
    ]
    conditions: NotRequired[
        Annotated[
            Literal["accepted", "avoided"],
            Field(description="whether a rule that passes with conditions is good enough"),
        ]
    ]
    may_be_removed: NotRequired[
        Annotated[list[Id], Field(description="surfaces that may be taken out or left unbuilt")]
    ]
    as_built: NotRequired[
        Annotated[
            dict[Id, dict[str, Fact]],
            Field(
                description="for each material, the attributes (and 'section') that new surfaces "
                "of it will have; they must be proven when built"
            ),
        ]
    ]
    to_be_on_file: NotRequired[
        Annotated[list[Id], Field(description="documents that will be handed in")]
    ]
    savings: NotRequired[
        Annotated[
            Literal["shown", "counted"],
            Field(description="whether what is not built or not rebuilt pays for other changes"),
        ]
    ]
    module: NotRequired[
        Annotated[AmountText, Field(description="widths are rounded up to this, e.g. 6 in")]
    ]
    least_width: NotRequired[
        Annotated[AmountText, Field(description="no piece is made narrower than this")]
    ]
    surfaces: NotRequired[dict[Id, WayShape]]


class CostShape(TypedDict):
    """What one material costs."""

    material: Id
    building: Annotated[AmountText, Field(description="to build it, e.g. $18/sq ft")]
    removal: Annotated[AmountText, Field(description="to take it out and cart it away")]
    note: NotRequired[str]


class CostsShape(TypedDict):
    """A cost table."""

    format: Literal["costs/1"]
    title: str
    costs: Annotated[list[CostShape], Field(min_length=1)]
    invented: NotRequired[Annotated[bool | str, Field(description="yes: made up, no real prices")]]
    source: NotRequired[Annotated[str, Field(description="who gave the prices and when")]]
    note: NotRequired[str]
