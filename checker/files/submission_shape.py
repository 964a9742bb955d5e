"""The shape of the `submission` part of a rule set: what the office wants handed in, and how.

Conditions are left as plain data, as in rules: the rule language reads them.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, NotRequired

from pydantic import Field
from typing_extensions import TypedDict

from checker.files.site_shape import AmountText, Id
from checker.files.sources_shape import CiteShape

ItemName = Literal[
    "owner", "applicant", "preparer", "address", "parcel", "legal-description", "zoning",
    "lot-area", "coverage-table", "existing-and-proposed", "percent-of-lot", "excluded-surfaces",
    "earlier-additions", "scale", "north-arrow", "legend", "title-block", "revision-box",
    "lot-line-dimensions", "setbacks", "easements", "existing-shown", "removals-shown",
    "work-dimensioned", "survey", "survey-date", "datum", "benchmark", "spot-levels",
    "flow-arrows", "downspouts", "trees", "utilities", "constraints", "disturbance-limit",
    "section", "soil-information", "drainage-calculations", "design-storm", "overflow-statement",
    "neighbour-protection", "erosion-control", "sequence", "inspections", "upkeep-plan",
    "narrative", "truth-statement", "other-approvals", "deviation-request", "certifications",
    "flood", "groundwater", "contours", "walls", "neighbouring-land", "vicinity", "bearings",
    "pool-data", "drainage-sizes", "details", "upkeep-agreement", "photographs", "record-drawing",
    "flow-before",
]  # fmt: skip
"""What the program can look for in a site file or in what it writes itself."""


class ItemShape(TypedDict):
    """One thing that the office asks for: a known item, or a document that a person attaches."""

    item: NotRequired[ItemName]
    document: NotRequired[
        Annotated[Id, Field(description="a paper that must stand under 'on_file' of the site")]
    ]
    title: NotRequired[str]
    must: NotRequired[
        Annotated[bool | str, Field(description="no: good to have; yes when not said")]
    ]
    when: NotRequired[Annotated[dict[str, Any], Field(description="asked only when this holds")]]
    note: NotRequired[str]
    cite: NotRequired[CiteShape]


class TriggerShape(TypedDict):
    """A threshold that makes another permit, plan or person necessary."""

    id: Id
    permit: Annotated[str, Field(description="what becomes necessary")]
    when: dict[str, Any]
    needs: NotRequired[
        Annotated[list[Id], Field(description="papers that then must stand under 'on_file'")]
    ]
    note: NotRequired[str]
    cite: NotRequired[CiteShape]


class SealShape(TypedDict):
    """Who must sign and seal what."""

    who: Annotated[str, Field(description="licensed surveyor, engineer, soil tester, owner ...")]
    of: Annotated[str, Field(description="which document or drawing")]
    when: NotRequired[dict[str, Any]]
    cite: NotRequired[CiteShape]


class FilesShape(TypedDict):
    """How files are handed in."""

    one_file: NotRequired[Annotated[bool | str, Field(description="no: one file per document")]]
    most_megabytes: NotRequired[Annotated[int, Field(ge=1)]]
    longest_name: NotRequired[Annotated[int, Field(ge=20, description="characters")]]
    prefix: NotRequired[Annotated[str, Field(description="put before every file name")]]


class SubmissionShape(TypedDict):
    """What the office asks for."""

    office: NotRequired[str]
    items: NotRequired[list[ItemShape]]
    sheets: NotRequired[
        Annotated[
            list[Literal["letter", "tabloid", "arch-d"]],
            Field(min_length=1, description="sizes it takes: 8.5 x 11, 11 x 17, 24 x 36 in"),
        ]
    ]
    scales: NotRequired[
        Annotated[
            list[Literal[10, 20, 30, 40, 50, 60, 100]],
            Field(min_length=1, description="feet per inch it takes"),
        ]
    ]
    stamp_width: NotRequired[
        Annotated[AmountText, Field(description="clear space for the approval stamp")]
    ]
    most_survey_age_years: NotRequired[Annotated[int, Field(ge=1)]]
    counts_since: NotRequired[
        Annotated[str, Field(description="YYYY-MM-DD: additions since then are summed")]
    ]
    triggers: NotRequired[list[TriggerShape]]
    seals: NotRequired[list[SealShape]]
    files: NotRequired[FilesShape]
    truth_statement: NotRequired[
        Annotated[str, Field(description="the statement that the owner signs")]
    ]
