"""The shape of the `project` part of a site file: who, where, when, and what only people know.

Nothing here is worked out by the program. What is absent is printed as a blank and listed by the
preflight; it never becomes a guess.
"""

from __future__ import annotations

from typing import Annotated, Literal, NotRequired

from pydantic import Field
from typing_extensions import TypedDict

from checker.files.site_shape import AmountText, Id

DayText = Annotated[str, Field(description="YYYY-MM-DD")]
RevisionName = Annotated[str | int, Field(description="a letter or a number")]


class PersonShape(TypedDict):
    """A person or firm."""

    name: str
    company: NotRequired[str]
    address: NotRequired[str]
    phone: NotRequired[str]
    email: NotRequired[str]
    licence: NotRequired[Annotated[str, Field(description="kind and number")]]


class SurveyShape(TypedDict):
    """The survey that the drawing is based on."""

    by: NotRequired[str]
    licence: NotRequired[str]
    date: NotRequired[DayText]
    reference: NotRequired[Annotated[str, Field(description="its title, file or plat number")]]
    bearings: NotRequired[Annotated[str, Field(description="basis of bearings")]]
    datum: NotRequired[Annotated[str, Field(description="vertical datum")]]
    benchmark: NotRequired[Annotated[str, Field(description="where it is, and its level")]]


class RevisionShape(TypedDict):
    """One line of the revision box."""

    revision: RevisionName
    says: str
    date: NotRequired[DayText]


class DatesShape(TypedDict):
    """When the work is to be done."""

    start: NotRequired[DayText]
    stabilised: NotRequired[Annotated[DayText, Field(description="final stabilisation")]]


class ApprovalShape(TypedDict):
    """An approval by somebody else: health office, owners' association, township."""

    what: str
    state: Literal["obtained", "applied for", "not needed", "open"]
    by: NotRequired[str]
    date: NotRequired[DayText]
    reference: NotRequired[str]


class AlternativeShape(TypedDict):
    """A layout that was tried and rejected."""

    tried: str
    because: str


class AnswerShape(TypedDict):
    """An unclear point that somebody at the office settled."""

    question: str
    answer: str
    by: NotRequired[str]
    date: NotRequired[DayText]


class EarlierShape(TypedDict):
    """Cover added since the day from which the place counts."""

    says: str
    added: AmountText
    date: NotRequired[DayText]
    permit: NotRequired[str]


class CompareShape(TypedDict):
    """One line that compares the standard section with the one asked for."""

    what: str
    standard: str
    proposed: str


class DeviationShape(TypedDict):
    """A request to change the standard section."""

    standard: Annotated[str, Field(description="the standard, its section and clause")]
    differs: Annotated[str, Field(description="what differs from it")]
    constraint: Annotated[
        str,
        Field(description="the physical or policy constraint that makes the standard unworkable"),
    ]
    section: NotRequired[Annotated[Id, Field(description="the pavement section it is about")]]
    performance: NotRequired[
        Annotated[list[CompareShape], Field(description="performance side by side")]
    ]
    proof: NotRequired[Annotated[str, Field(description="why the result is as good or better")]]
    recognised: NotRequired[Annotated[str, Field(description="a recognised standard it follows")]]
    maintained_by: NotRequired[str]
    safety: NotRequired[Annotated[str, Field(description="beside the standard section")]]
    function: NotRequired[Annotated[str, Field(description="beside the standard section")]]
    appearance: NotRequired[Annotated[str, Field(description="beside the standard section")]]
    upkeep: NotRequired[Annotated[str, Field(description="beside the standard section")]]
    environment: NotRequired[Annotated[str, Field(description="beside the standard section")]]
    cost: NotRequired[Annotated[str, Field(description="over its life, beside the standard")]]


class CommentShape(TypedDict):
    """A review comment and the answer to it."""

    number: str
    comment: str
    answer: NotRequired[str]
    sheet: NotRequired[Annotated[str, Field(description="the sheet or part that was changed")]]


class BuiltStorageShape(TypedDict):
    """Storage or level of one facility as approved and as built."""

    what: str
    approved: AmountText
    built: AmountText


class PoolShape(TypedDict):
    """What forms ask about a pool, as its builders say it."""

    volume: NotRequired[str]
    depth: NotRequired[str]
    equipment: NotRequired[str]
    backwash: NotRequired[str]
    filling: NotRequired[str]
    wiring: NotRequired[str]
    gas: NotRequired[str]
    barrier: NotRequired[str]
    suction: NotRequired[str]


class DataShape(TypedDict):
    """What forms ask about the work and the land besides the drawings."""

    cost: NotRequired[Annotated[str, Field(description="value of the work")]]
    earthwork: NotRequired[Annotated[str, Field(description="fill, and where dug earth goes")]]
    securing: NotRequired[str]
    street_damage: NotRequired[str]
    handrail: NotRequired[str]
    walls: NotRequired[Annotated[str, Field(description="heights of retaining walls")]]
    groundwater: NotRequired[str]
    flood: NotRequired[Annotated[str, Field(description="zone, panel and date of the map")]]
    standing_wells: NotRequired[str]
    run_on_from_others: NotRequired[str]
    plat_limit: NotRequired[Annotated[str, Field(description="most cover that the plat allows")]]
    monuments: NotRequired[Annotated[str, Field(description="ties of the boundary to monuments")]]
    years_built: NotRequired[Annotated[str, Field(description="of the existing cover")]]
    raised_inlets: NotRequired[str]
    rain_table: NotRequired[
        Annotated[str, Field(description="edition of the rain table, and the day it was read")]
    ]
    flow_today: NotRequired[Annotated[str, Field(description="where the water goes before")]]
    neighbours_ground: NotRequired[Annotated[str, Field(description="levels beyond the lot line")]]


class AgreementShape(TypedDict):
    """What stands in an upkeep agreement or covenant."""

    parties: NotRequired[str]
    deed: NotRequired[str]
    entry: NotRequired[str]
    recording: NotRequired[str]
    annual_report: NotRequired[str]
    consent: NotRequired[Annotated[str, Field(description="of a neighbour")]]


class ProjectShape(TypedDict):
    """What a permit packet says of the project."""

    id: NotRequired[Annotated[str, Field(description="a job number of your own")]]
    address: NotRequired[str]
    parcel: NotRequired[Annotated[str, Field(description="parcel or tax number")]]
    legal: NotRequired[Annotated[str, Field(description="lot and block, or description")]]
    overlays: NotRequired[list[str]]
    owner: NotRequired[PersonShape]
    applicant: NotRequired[PersonShape]
    preparer: NotRequired[PersonShape]
    engineer: NotRequired[PersonShape]
    contractor: NotRequired[PersonShape]
    upkeep_by: NotRequired[PersonShape]
    survey: NotRequired[SurveyShape]
    revision: NotRequired[RevisionName]
    revisions: NotRequired[list[RevisionShape]]
    dates: NotRequired[DatesShape]
    approvals: NotRequired[list[ApprovalShape]]
    request: NotRequired[Annotated[str, Field(description="what is to be built")]]
    relief: NotRequired[Annotated[str, Field(description="relief asked for, or none")]]
    existing: NotRequired[Annotated[str, Field(description="slopes, soil, where water goes now")]]
    work: NotRequired[
        Annotated[str, Field(description="walls, fence, equipment, levels, materials")]
    ]
    alternatives: NotRequired[list[AlternativeShape]]
    answers: NotRequired[list[AnswerShape]]
    stormwater: NotRequired[
        Annotated[str, Field(description="the idea, during and after building")]
    ]
    overflow: NotRequired[Annotated[str, Field(description="where water goes when full")]]
    neighbours: NotRequired[str]
    erosion: NotRequired[list[str]]
    trees: NotRequired[str]
    earlier: NotRequired[list[EarlierShape]]
    deviation: NotRequired[DeviationShape]
    comments: NotRequired[list[CommentShape]]
    pool: NotRequired[PoolShape]
    data: NotRequired[DataShape]
    agreement: NotRequired[AgreementShape]
    vicinity: NotRequired[
        Annotated[str, Field(description="how the lot is found: streets and crossings near it")]
    ]
    grading: NotRequired[
        Annotated[str, Field(description="what grading is done, or 'no change of grade'")]
    ]
    built: NotRequired[list[BuiltStorageShape]]
