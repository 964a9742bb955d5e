"""The `project` part of a site file as records: who, where, when, and what only people know."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import Problems
from checker.core.records import Record, field
from checker.core.units import Amount, UnreadableAmount, read_amount
from checker.files.shape import check_shape
from checker.site.values import read_day

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from checker.files.source import Document
    from checker.site.model import Site

PEOPLE: Final = ("owner", "applicant", "preparer", "engineer", "contractor", "upkeep_by")
_REVISION: Final = re.compile(r"[A-Z][0-9]?\Z|[0-9]{1,2}\Z")
_TEXTS: Final = (
    "id", "address", "parcel", "legal", "request", "relief", "existing", "work", "stormwater",
    "overflow", "neighbours", "trees", "vicinity", "grading",
)  # fmt: skip
_MOST_CHARACTERS: Final = 4000


class Person(Record, kw_only=True):
    """A person or firm; empty where the file does not say."""

    name: str
    company: str = ""
    address: str = ""
    phone: str = ""
    email: str = ""
    licence: str = ""

    def lines(self) -> tuple[str, ...]:
        """What is known, one line each."""
        licence = f"licence {self.licence}" if self.licence else ""
        known = (self.name, self.company, self.address, self.phone, self.email, licence)
        return tuple(part for part in known if part)


class BaseSurvey(Record, kw_only=True):
    """The survey that the drawing is based on; empty where the file does not say."""

    by: str = ""
    licence: str = ""
    day: date | None = None
    reference: str = ""
    bearings: str = ""
    datum: str = ""
    benchmark: str = ""


class Revision(Record, kw_only=True):
    """One line of the revision box."""

    revision: str
    says: str
    day: date | None = None


class Earlier(Record, kw_only=True):
    """Cover added since the day from which the place counts, as an area in m2."""

    says: str
    added_m2: float
    day: date | None = None
    permit: str = ""


class BuiltStorage(Record, kw_only=True):
    """Storage or a level as approved and as built, both of one kind."""

    what: str
    approved: Amount
    built: Amount


class Project(Record, kw_only=True):
    """What a permit packet says of the project.

    Attributes:
        texts: Plain texts by key; absent where the file does not say.
        people: By role.
        survey: The base survey.
        revision: Letter or number of this set; "A" when not said.
        revisions: The revision box.
        start: First day of work.
        stabilised: Day of final stabilisation.
        overlays: Named overlay districts.
        erosion: Measures against erosion.
        earlier: Cover added since the place began to count.
        built: Facilities as approved and as built.
        rows: Lists of plain records: approvals, alternatives, answers, comments.
        deviation: The request to change the standard section; empty without one.
        data: What forms ask besides, by group: pool, data, agreement.
    """

    texts: Mapping[str, str] = field(default_factory=dict)
    people: Mapping[str, Person] = field(default_factory=dict)
    survey: BaseSurvey = BaseSurvey()
    revision: str = "A"
    revisions: tuple[Revision, ...] = ()
    start: date | None = None
    stabilised: date | None = None
    overlays: tuple[str, ...] = ()
    erosion: tuple[str, ...] = ()
    earlier: tuple[Earlier, ...] = ()
    built: tuple[BuiltStorage, ...] = ()
    rows: Mapping[str, tuple[Mapping[str, str], ...]] = field(default_factory=dict)
    deviation: Mapping[str, Any] = field(default_factory=dict)
    data: Mapping[str, Mapping[str, str]] = field(default_factory=dict)


def read_project(site: Site) -> Project:
    """The project part of a site file.

    Raises:
        BadInput: With every problem found.
    """
    data = site.parts.get("project", {})
    document = site.document
    shaped: dict[str, Any] = check_shape("project", data, document, ("project",))
    problems = Problems()
    reading = _Reading(document, problems)
    project = reading.project(shaped)
    _refuse_long(shaped, document, ("project",), problems)
    problems.stop_if_any(f"{document.file} cannot be used")
    return project


def _refuse_long(
    data: object, document: Document, at: tuple[str | int, ...], problems: Problems
) -> None:
    """A text that would fill pages was pasted by mistake."""
    if isinstance(data, dict):
        for key, value in data.items():
            _refuse_long(value, document, (*at, key), problems)
    elif isinstance(data, list):
        for index, value in enumerate(data):
            _refuse_long(value, document, (*at, index), problems)
    elif isinstance(data, str) and len(data) > _MOST_CHARACTERS:
        says = (
            f"'{at[-1]}' has {len(data):,} characters, more than the {_MOST_CHARACTERS:,} allowed"
        )
        problems.add(document.place(*at), says, "shorten it, and attach the long text")


class _Reading:
    def __init__(self, document: Document, problems: Problems) -> None:
        self.document = document
        self.problems = problems

    def day(self, data: Mapping[str, Any], key: str, *at: str | int) -> date | None:
        if key not in data:
            return None
        place = self.document.place("project", *at, key)
        return read_day(data[key], f"'{key}'", place, self.problems)

    def size(self, data: Mapping[str, Any], key: str, *at: str | int) -> Amount:
        try:
            return read_amount(data[key])
        except UnreadableAmount as error:
            place = self.document.place("project", *at, key)
            self.problems.add(place, f"'{key}': {error}")
            return Amount(0.0)

    def revision(self, given: object, *at: str | int) -> str:
        text = str(given)
        if not _REVISION.match(text):
            place = self.document.place("project", *at)
            says = f"the revision is '{text[:20]}'"
            self.problems.add(place, says, "use a letter such as B, or a number such as 2")
        return text

    def project(self, data: Mapping[str, Any]) -> Project:
        dates = data.get("dates", {})
        return Project(
            texts={key: data[key] for key in _TEXTS if data.get(key)},
            people={role: Person(**data[role]) for role in PEOPLE if role in data},
            survey=self.survey(data.get("survey", {})),
            revision=self.revision(data["revision"], "revision") if "revision" in data else "A",
            revisions=tuple(
                Revision(
                    revision=self.revision(item["revision"], "revisions", i, "revision"),
                    says=item["says"],
                    day=self.day(item, "date", "revisions", i),
                )
                for i, item in enumerate(data.get("revisions", ()))
            ),
            start=self.day(dates, "start", "dates"),
            stabilised=self.day(dates, "stabilised", "dates"),
            overlays=tuple(data.get("overlays", ())),
            erosion=tuple(data.get("erosion", ())),
            earlier=tuple(self.earlier(item, i) for i, item in enumerate(data.get("earlier", ()))),
            built=tuple(self.built(item, i) for i, item in enumerate(data.get("built", ()))),
            rows={
                key: tuple(data.get(key, ()))
                for key in ("approvals", "alternatives", "answers", "comments")
            },
            deviation=data.get("deviation", {}),
            data={key: data.get(key, {}) for key in ("pool", "data", "agreement")},
        )

    def survey(self, data: Mapping[str, Any]) -> BaseSurvey:
        texts = {key: value for key, value in data.items() if key != "date"}
        return BaseSurvey(day=self.day(data, "date", "survey"), **texts)

    def earlier(self, data: Mapping[str, Any], index: int) -> Earlier:
        at = ("earlier", index)
        added = self.size(data, "added", *at)
        if added.dimension.length != 2 or added.value_si < 0:
            place = self.document.place("project", *at, "added")
            self.problems.add(place, f"'{data['added']}' is not an area", "write it like 250 sq ft")
        return Earlier(
            says=data["says"],
            added_m2=added.value_si,
            day=self.day(data, "date", *at),
            permit=data.get("permit", ""),
        )

    def built(self, data: Mapping[str, Any], index: int) -> BuiltStorage:
        at = ("built", index)
        approved, built = self.size(data, "approved", *at), self.size(data, "built", *at)
        if approved.dimension != built.dimension:
            place = self.document.place("project", *at, "built")
            says = f"'{data['built']}' and '{data['approved']}' are not of one kind"
            self.problems.add(place, says, "give both as volumes, or both as levels")
        return BuiltStorage(what=data["what"], approved=approved, built=built)
