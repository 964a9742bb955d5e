"""The shapes of rule sets, tables and source lists. Declared with pydantic, see `compile.py`.

Conditions and expressions are left as plain data here: `algebra.parse` reads them, because a
recursive union of shapes gives poor messages.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, NotRequired

from pydantic import Field
from typing_extensions import TypedDict

from checker.files.site_shape import AmountText, Id
from checker.files.sources_shape import CiteShape, Day, InForceShape, SourceShape

Name = Annotated[
    str,
    Field(
        pattern=r"^[a-z][a-z0-9]*(_[a-z0-9]+)*$", description="lower-case words with underscores"
    ),
]
AllGiven = Annotated[
    dict[str, Any],
    Field(
        description="what every example here is given, unless it says otherwise; null takes it away"
    ),
]


class FactShape(TypedDict):
    """Something about the lot that the drawing does not tell."""

    kind: Annotated[
        Literal["text", "yes or no", "amount", "date"],
        Field(description="what kind of answer it takes"),
    ]
    title: NotRequired[Annotated[str, Field(description="what it is called on pages")]]
    ask: Annotated[str, Field(description="the question put to the person")]
    dimension: NotRequired[
        Annotated[
            Literal["length", "area", "volume", "time", "rate", "flow", "number or share", "money"],
            Field(description="for amounts; number or share when not said"),
        ]
    ]
    choices: NotRequired[
        Annotated[list[str], Field(description="for texts: the answers that are allowed")]
    ]


class ReadingShape(TypedDict):
    """An unclear clause, with the ways it can be read."""

    question: Annotated[str, Field(description="the question to put to the office")]
    options: Annotated[
        dict[Id, str], Field(min_length=2, description="the ways to read it, each in words")
    ]
    default: Annotated[Id, Field(description="the option used until the office has answered")]
    cite: NotRequired[Annotated[CiteShape, Field(description="the unclear clause")]]


class RegionRuleShape(TypedDict):
    """How a region is made: exactly one of overlay, kind, yard, band and lot."""

    title: Annotated[str, Field(description="what it is called on pages")]
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
        Annotated[
            bool | str, Field(description="yes: the part of it outside the lot, and that alone")
        ]
    ]
    lot: NotRequired[Annotated[bool | str, Field(description="yes: all of the lot")]]
    least_width: NotRequired[
        Annotated[AmountText, Field(description="land narrower than this does not belong to it")]
    ]
    touching: NotRequired[
        Annotated[
            bool | str,
            Field(description="yes: the whole lot, as soon as any part of it lies inside"),
        ]
    ]


class CountRowShape(TypedDict):
    """One row of a counting table; the first that fits a surface decides."""

    where: NotRequired[
        Annotated[
            dict[str, Any], Field(description="which surfaces it fits; without it, all of them")
        ]
    ]
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
    title: NotRequired[Annotated[str, Field(description="what it is called on pages")]]
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
        Annotated[Any, Field(description="parts narrower than this do not count")]
    ]
    width_of: NotRequired[
        Annotated[
            Literal["piece", "surface", "part"],
            Field(
                description="what must be so wide: the whole piece of land that counts alike "
                "(piece, when not said), each surface by itself, or the part of the piece in the "
                "region that is measured"
            ),
        ]
    ]
    drop_outer: NotRequired[
        Annotated[
            Any,
            Field(description="a strip of this width along the whole building does not count"),
        ]
    ]
    drop_inner: NotRequired[
        Annotated[Any, Field(description="a strip of this width along the walls does not count")]
    ]
    cite: NotRequired[Annotated[CiteShape, Field(description="where the law says so")]]


class ExampleShape(TypedDict):
    """A worked example: what is given and what must come out."""

    name: Annotated[str, Field(description="what it shows; no two alike in one list")]
    source: Annotated[
        Literal["printed", "hand"],
        Field(description="printed in a source, which is then cited, or worked by a person"),
    ]
    given: Annotated[
        dict[str, Any],
        Field(
            description="names with values, and `surfaces` or `site`, `readings`, `on_file`, `date`"
        ),
    ]
    expect: Annotated[dict[str, Any], Field(description="what must come out")]
    printed_as: NotRequired[
        Annotated[
            dict[str, Any],
            Field(
                description="what the office printed instead, by the key of `expect`, where its "
                "figure does not follow from its own rule"
            ),
        ]
    ]
    note: NotRequired[Annotated[str, Field(description="the arithmetic")]]
    cite: NotRequired[Annotated[CiteShape, Field(description="where it is printed")]]


class CountShape(TypedDict):
    """A counting table: what each surface counts toward one measure."""

    title: Annotated[str, Field(description="what it counts, starting in lower case")]
    rows: Annotated[
        list[CountRowShape], Field(description="in order; the first that fits a surface decides")
    ]
    otherwise: Annotated[
        Any,
        Field(description="the weight of what no row fits; 'cannot tell' when the text is silent"),
    ]
    levels: NotRequired[
        Annotated[
            Literal["heaviest", "top", "ground", "sum"],
            Field(
                description="which of several surfaces over one spot counts; when not said, top "
                "where rules want more of it, else heaviest"
            ),
        ]
    ]
    cite: NotRequired[Annotated[CiteShape, Field(description="where the law says so")]]
    all_given: NotRequired[AllGiven]
    examples: NotRequired[Annotated[list[ExampleShape], Field(description="worked examples")]]


AmountRuleShape = TypedDict(
    "AmountRuleShape",
    {
        "title": Annotated[str, Field(description="what it is called on pages")],
        "is": Annotated[Any, Field(description="the number")],
        "cite": NotRequired[Annotated[CiteShape, Field(description="where the law says so")]],
    },
)
"""An amount that the rule set defines and names."""


class BandShape(TypedDict):
    """A rung of the outcome ladder, tried when the rule itself is not met."""

    outcome: Annotated[
        Literal["passes with conditions", "relief possible"],
        Field(description="what the verdict is then"),
    ]
    require: NotRequired[
        Annotated[Any, Field(description="what must hold then; without it, nothing more")]
    ]
    documents: NotRequired[Annotated[list[str], Field(description="what is owed then")]]
    says: NotRequired[Annotated[str, Field(description="this rung in words")]]
    cite: NotRequired[Annotated[CiteShape, Field(description="where the law says so")]]


class RuleShape(TypedDict):
    """One rule."""

    id: Annotated[Id, Field(description="its name in files, never used again for another rule")]
    title: Annotated[str, Field(description="its name on pages, in your own words")]
    cite: Annotated[CiteShape, Field(description="where the law says so")]
    require: Annotated[Any, Field(description="the condition that must hold")]
    applies: NotRequired[
        Annotated[Any, Field(description="the condition under which it is asked; else always")]
    ]
    or_else: NotRequired[
        Annotated[list[BandShape], Field(description="the rungs below a plain pass, in order")]
    ]
    documents: NotRequired[Annotated[list[str], Field(description="owed even when it passes")]]
    in_force: NotRequired[
        Annotated[InForceShape, Field(description="when it differs from that of the set")]
    ]
    note: NotRequired[Annotated[str, Field(description="anything the reader should know")]]
    caution: NotRequired[Annotated[str, Field(description="a danger to point out")]]
    remedies: NotRequired[
        Annotated[
            list[Id],
            Field(
                description="kinds of change that help: swap-to-permeable, remove-paving, "
                "add-treatment, move-surface, shrink-surface"
            ),
        ]
    ]
    all_given: NotRequired[AllGiven]
    examples: NotRequired[Annotated[list[ExampleShape], Field(description="worked examples")]]


class CheckedShape(TypedDict):
    """Who laid the whole file beside the text, and when."""

    by: Annotated[str, Field(description="the role and office, not the name, e.g. town planner")]
    date: Annotated[Day, Field(description="the day, YYYY-MM-DD")]


ResultShape = TypedDict(
    "ResultShape",
    {
        "id": Annotated[Id, Field(description="its name in files")],
        "title": Annotated[str, Field(description="its name on pages, in your own words")],
        "kind": Annotated[
            Literal["figure", "duty", "fee", "permit", "form"],
            Field(description="a number that is shown, or what is owed"),
        ],
        "cite": Annotated[CiteShape, Field(description="where the law says so")],
        "when": NotRequired[
            Annotated[Any, Field(description="the condition under which it is owed; else always")]
        ],
        "is": NotRequired[
            Annotated[Any, Field(description="how much; needed unless a permit or form")]
        ],
        "documents": NotRequired[
            Annotated[list[str], Field(description="what must be handed in where it is owed")]
        ],
        "says": NotRequired[Annotated[str, Field(description="what follows, in words")]],
        "in_force": NotRequired[
            Annotated[InForceShape, Field(description="when it differs from that of the set")]
        ],
        "note": NotRequired[Annotated[str, Field(description="anything the reader should know")]],
        "all_given": NotRequired[AllGiven],
        "examples": NotRequired[
            Annotated[list[ExampleShape], Field(description="worked examples")]
        ],
    },
)
"""What follows from a design and is no limit: a figure, a duty, a fee, a permit or form owed."""


class RuleSetShape(TypedDict):
    """A rule set: one place, or a model that places adopt."""

    format: Annotated[Literal["ruleset/1"], Field(description="the kind and version of the file")]
    id: Annotated[Id, Field(description="the name of the file without its ending")]
    title: Annotated[str, Field(description="what it is called on pages")]
    kind: Annotated[
        Literal["published", "invented", "model"],
        Field(description="law of a real place, made up, or a model that places adopt"),
    ]
    in_force: Annotated[InForceShape, Field(description="from when and until when it holds")]
    sources: Annotated[list[SourceShape], Field(description="every document that is cited")]
    rules: Annotated[list[RuleShape], Field(description="the rules, in the order of the report")]
    shown_in: NotRequired[
        Annotated[Literal["us", "metric"], Field(description="the units of its pages; us")]
    ]
    currency: NotRequired[
        Annotated[
            str, Field(description="what it counts money in: $, or an ISO code as CAD or EUR; $")
        ]
    ]
    verify: NotRequired[
        Annotated[str, Field(description="with whom to verify, shown in every report")]
    ]
    checked: NotRequired[
        Annotated[
            CheckedShape,
            Field(description="who laid it beside the text and signed; every report says so"),
        ]
    ]
    note: NotRequired[Annotated[str, Field(description="anything the reader should know")]]
    adopts: NotRequired[
        Annotated[
            list[str],
            Field(description="models, or rule sets of a wider authority, by id or path"),
        ]
    ]
    without: NotRequired[Annotated[list[Id], Field(description="adopted rules to leave out")]]
    facts: NotRequired[
        Annotated[dict[Name, FactShape], Field(description="what it asks about a lot, by name")]
    ]
    attributes: NotRequired[
        Annotated[
            dict[Name, FactShape],
            Field(description="what it asks about a surface beside what every place may, by name"),
        ]
    ]
    readings: NotRequired[
        Annotated[dict[Id, ReadingShape], Field(description="unclear clauses, by id")]
    ]
    regions: NotRequired[
        Annotated[dict[Id, RegionRuleShape], Field(description="parts of the land, by id")]
    ]
    counts: NotRequired[
        Annotated[
            dict[Name, CountShape], Field(description="counting tables, by the measure they make")
        ]
    ]
    amounts: NotRequired[
        Annotated[dict[Name, AmountRuleShape], Field(description="numbers it defines, by name")]
    ]
    results: NotRequired[
        Annotated[
            list[ResultShape], Field(description="what follows from a design and is no limit")
        ]
    ]
    examples: NotRequired[
        Annotated[
            dict[str, list[ExampleShape]],
            Field(description="worked examples for adopted rules and tables, by id or name"),
        ]
    ]
    left_out: NotRequired[
        Annotated[list[str], Field(description="what of the text is not in the file")]
    ]
    submission: NotRequired[
        Annotated[dict[str, Any], Field(description="what the office asks for")]
    ]
