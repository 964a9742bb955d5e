"""The shapes of rule sets, tables and source lists. Declared with pydantic, see `compile.py`.

Conditions and expressions are left as plain data here: `algebra.parse` reads them, because a
recursive union of shapes gives poor messages.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, NotRequired

from pydantic import Field
from typing_extensions import TypedDict

from checker.files.site_shape import AmountText, Id

Name = Annotated[
    str,
    Field(
        pattern=r"^[a-z][a-z0-9]*(_[a-z0-9]+)*$", description="lower-case words with underscores"
    ),
]
Day = Annotated[str, Field(description="YYYY-MM-DD")]
AllGiven = Annotated[
    dict[str, Any],
    Field(
        description="what every example here is given, unless it says otherwise; null takes it away"
    ),
]
ReadingMark = Literal[
    "read", "read in part", "from memory", "second-hand", "worked by hand", "invented"
]


class SourceShape(TypedDict):
    """A document that is cited."""

    key: Id
    document: str
    edition: str
    reading: ReadingMark
    compared: NotRequired[
        Annotated[Day, Field(description="the day this was laid beside the text")]
    ]
    url: NotRequired[str]
    note: NotRequired[str]


class SourcesShape(TypedDict):
    """A list of documents."""

    format: Literal["sources/1"]
    sources: list[SourceShape]


class TableShape(TypedDict):
    """A reference table."""

    format: Literal["table/1"]
    id: Id
    title: str
    source: str
    section: NotRequired[str]
    note: NotRequired[str]
    columns: dict[str, Any]
    rows: list[Any]


class CiteShape(TypedDict):
    """Where in the sources something stands."""

    source: Id
    section: str
    note: NotRequired[str]


class InForceShape(TypedDict):
    """From when and until when."""

    since: Day
    until: NotRequired[Annotated[Day, Field(description="the first day it no longer holds")]]


class FactShape(TypedDict):
    """Something about the lot that the drawing does not tell."""

    kind: Literal["text", "yes or no", "amount", "date"]
    title: NotRequired[Annotated[str, Field(description="what it is called on pages")]]
    ask: Annotated[str, Field(description="the question put to the person")]
    dimension: NotRequired[
        Literal["length", "area", "volume", "time", "rate", "number or share", "money"]
    ]
    choices: NotRequired[list[str]]


class ReadingShape(TypedDict):
    """An unclear clause, with the ways it can be read."""

    question: Annotated[str, Field(description="the question to put to the office")]
    options: Annotated[dict[Id, str], Field(min_length=2)]
    default: Annotated[Id, Field(description="the option used until the office has answered")]
    cite: NotRequired[CiteShape]


class RegionRuleShape(TypedDict):
    """How a region is made: exactly one of the kinds."""

    title: str
    overlay: NotRequired[Annotated[Id, Field(description="a region of the site file, by id")]]
    kind: NotRequired[Annotated[str, Field(description="all regions of the site of this kind")]]
    yard: NotRequired[Annotated[Id, Field(description="the yard along this side of the lot")]]
    depth: NotRequired[
        Annotated[Any, Field(description="of a required yard; without it, up to the dwelling")]
    ]
    band: NotRequired[Annotated[Id, Field(description="land near this feature or side")]]
    over: NotRequired[Annotated[AmountText, Field(description="where the band begins")]]
    up_to: NotRequired[Annotated[AmountText, Field(description="where the band ends")]]
    beyond_lot: NotRequired[
        Annotated[bool | str, Field(description="yes: land outside the lot counts too")]
    ]
    touching: NotRequired[
        Annotated[
            bool | str,
            Field(description="yes: the whole lot, as soon as any part of it lies inside"),
        ]
    ]


class CountRowShape(TypedDict):
    """One row of a counting table; the first that fits a surface decides."""

    where: NotRequired[dict[str, Any]]
    weight: NotRequired[
        Annotated[
            Any,
            Field(
                description="a share from 0 to 1, an expression, or 'cannot tell'; needed unless "
                "`rows_of` stands alone"
            ),
        ]
    ]
    rows_of: NotRequired[
        Annotated[Name, Field(description="all rows of this other table stand here")]
    ]
    title: NotRequired[str]
    needs: NotRequired[
        Annotated[list[Any], Field(description="conditions for this weight; else `otherwise`")]
    ]
    otherwise: NotRequired[Annotated[Any, Field(description="the weight when a need fails; 1")]]
    each_over: NotRequired[
        Annotated[AmountText, Field(description="items up to this size do not count at all")]
    ]
    exempt_first: NotRequired[
        Annotated[AmountText, Field(description="so much of all that fits this row is free")]
    ]
    exempt_up_to: NotRequired[
        Annotated[Any, Field(description="free while the sum of this row is at most this")]
    ]
    beyond: NotRequired[
        Annotated[
            Literal["excess", "all"],
            Field(description="what counts once the exempt sum is passed"),
        ]
    ]
    least_width: NotRequired[
        Annotated[AmountText, Field(description="parts narrower than this do not count")]
    ]
    drop_outer: NotRequired[
        Annotated[AmountText, Field(description="an outer strip of this width does not count")]
    ]
    cite: NotRequired[CiteShape]


class ExampleShape(TypedDict):
    """A worked example: what is given and what must come out."""

    name: str
    source: Annotated[
        Literal["printed", "hand"],
        Field(description="printed in a source, which is then cited, or worked by a person"),
    ]
    given: dict[str, Any]
    expect: dict[str, Any]
    note: NotRequired[Annotated[str, Field(description="the arithmetic")]]
    cite: NotRequired[CiteShape]


class CountShape(TypedDict):
    """A counting table: what each surface counts toward one measure."""

    title: str
    rows: list[CountRowShape]
    otherwise: Annotated[
        Any,
        Field(description="the weight of what no row fits; 'cannot tell' when the text is silent"),
    ]
    levels: NotRequired[
        Annotated[
            Literal["heaviest", "top", "ground", "sum"],
            Field(description="which of several surfaces over one spot counts"),
        ]
    ]
    per: NotRequired[Annotated[Name, Field(description="the measure it is compared with")]]
    cite: NotRequired[CiteShape]
    all_given: NotRequired[AllGiven]
    examples: NotRequired[list[ExampleShape]]


AmountRuleShape = TypedDict(
    "AmountRuleShape",
    {
        "title": str,
        "is": Any,
        "cite": NotRequired[CiteShape],
    },
)
"""An amount that the rule set defines and names."""


class BandShape(TypedDict):
    """A rung of the outcome ladder, tried when the rule itself is not met."""

    outcome: Literal["passes with conditions", "relief possible"]
    require: NotRequired[Any]
    documents: NotRequired[list[str]]
    says: NotRequired[str]
    cite: NotRequired[CiteShape]


class RuleShape(TypedDict):
    """One rule."""

    id: Id
    title: str
    cite: CiteShape
    require: Any
    applies: NotRequired[Any]
    or_else: NotRequired[list[BandShape]]
    documents: NotRequired[Annotated[list[str], Field(description="owed even when it passes")]]
    in_force: NotRequired[InForceShape]
    note: NotRequired[str]
    caution: NotRequired[str]
    remedies: NotRequired[list[Id]]
    all_given: NotRequired[AllGiven]
    examples: NotRequired[list[ExampleShape]]


class RuleSetShape(TypedDict):
    """A rule set: one place, or a model that places adopt."""

    format: Literal["ruleset/1"]
    id: Id
    title: str
    kind: Literal["published", "invented", "model"]
    in_force: InForceShape
    sources: list[SourceShape]
    rules: list[RuleShape]
    shown_in: NotRequired[Literal["us", "metric"]]
    verify: NotRequired[str]
    note: NotRequired[str]
    adopts: NotRequired[
        Annotated[
            list[str],
            Field(description="models, or rule sets of a wider authority, by id or path"),
        ]
    ]
    without: NotRequired[Annotated[list[Id], Field(description="adopted rules to leave out")]]
    facts: NotRequired[dict[Name, FactShape]]
    readings: NotRequired[dict[Id, ReadingShape]]
    regions: NotRequired[dict[Id, RegionRuleShape]]
    counts: NotRequired[dict[Name, CountShape]]
    amounts: NotRequired[dict[Name, AmountRuleShape]]
    examples: NotRequired[
        Annotated[
            dict[str, list[ExampleShape]],
            Field(description="worked examples for adopted rules and tables, by id or name"),
        ]
    ]
    left_out: NotRequired[list[str]]
    submission: NotRequired[
        Annotated[dict[str, Any], Field(description="what the office asks for")]
    ]
