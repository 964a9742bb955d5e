"""The `submission` part of a rule set: items, thresholds, seals, sheets and files.

A place that adopts a model keeps the model's part; what it says itself replaces it key by key.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from checker.algebra import nodes as n
from checker.algebra.parse import Parser
from checker.core.answers import day_hint, day_of
from checker.core.problems import Problems, did_you_mean
from checker.core.records import Record, field
from checker.core.sources import Citation
from checker.core.units import LENGTH, Amount, UnreadableAmount, read_amount
from checker.files.shape import check_shape

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from checker.core.problems import Place
    from checker.files.source import Document
    from checker.rulesets.rules import RuleSet

LONGEST_NAME_COUNT: Final = 60
"""Characters of a file name where the office does not say."""

ALL_SHEETS: Final = ("tabloid", "letter", "arch-d")


class Item(Record, kw_only=True):
    """One thing that the office asks for.

    Attributes:
        item: What the program can look for; empty for a paper.
        document: A paper that a person attaches; empty for an item.
        title: The office's own words; may be empty.
        is_must: It is sent back without it.
        when: Asked only when this holds.
    """

    place: Place
    item: str = ""
    document: str = ""
    title: str = ""
    is_must: bool
    when: n.Condition = field(default_factory=n.always)
    note: str = ""
    citation: Citation | None = None


class Trigger(Record, kw_only=True):
    """A threshold that makes another permit, plan or person necessary."""

    id: str
    permit: str
    when: n.Condition
    place: Place
    needs: tuple[str, ...] = ()
    note: str = ""
    citation: Citation | None = None


class Seal(Record, kw_only=True):
    """Who must sign and seal what."""

    who: str
    of: str
    when: n.Condition = field(default_factory=n.always)
    citation: Citation | None = None


class Submission(Record, kw_only=True):
    """What the office asks for.

    Attributes:
        is_given: The rule set says anything at all.
        office: Its name.
        items: What must be in the packet.
        sheets: Sheet sizes it takes.
        scales_ft_per_in: Scales it takes; empty for any.
        stamp: Width of the clear space for the approval stamp; None when not asked.
        most_survey_age_years_count: The survey may not be older; None when not said.
        counts_since: Additions since this day are summed; None when not said.
        triggers: Thresholds.
        seals: Who signs and seals.
        one_file: It wants one combined file; False for one file per document; None for either.
        most_megabytes_count: The largest file; None when not said.
        longest_name_count: Characters of a file name.
        prefix: Put before every file name.
        truth_statement: What the owner signs; empty when not said.
    """

    is_given: bool = False
    office: str = ""
    items: tuple[Item, ...] = ()
    sheets: tuple[str, ...] = ALL_SHEETS
    scales_ft_per_in: tuple[int, ...] = ()
    stamp: Amount | None = None
    most_survey_age_years_count: int | None = None
    counts_since: date | None = None
    triggers: tuple[Trigger, ...] = ()
    seals: tuple[Seal, ...] = ()
    one_file: bool | None = None
    most_megabytes_count: int | None = None
    longest_name_count: int = LONGEST_NAME_COUNT
    prefix: str = ""
    truth_statement: str = ""


def read_submission(ruleset: RuleSet) -> Submission:
    """What a rule set says about handing in.

    Raises:
        BadInput: With every problem found.
    """
    problems = Problems()
    merged: dict[str, tuple[Any, Document]] = {}
    for document in ruleset.documents.values():
        own = document.data.get("submission")
        if own is None:
            continue
        shaped: dict[str, Any] = check_shape("submission", own, document, ("submission",))
        merged |= {key: (value, document) for key, value in shaped.items()}
    found = _Reading(ruleset, merged, problems).submission()
    problems.stop_if_any(f"{ruleset.document.file} cannot be used")
    return found


class _Reading:
    def __init__(
        self, ruleset: RuleSet, merged: Mapping[str, tuple[Any, Document]], problems: Problems
    ) -> None:
        self.ruleset = ruleset
        self.merged = merged
        self.problems = problems

    def get(self, key: str, default: Any = None) -> Any:  # noqa: ANN401 - plain data
        return self.merged[key][0] if key in self.merged else default

    def place(self, *path: str | int) -> Place:
        document = self.merged[str(path[0])][1] if path[0] in self.merged else self.ruleset.document
        return document.place("submission", *path)

    def condition(self, data: Mapping[str, Any], *path: str | int) -> n.Condition:
        if "when" not in data:
            return n.always()
        document = self.merged[str(path[0])][1]
        parser = Parser(self.ruleset.words, document.place, self.problems)
        return parser.condition(data["when"], ("submission", *path, "when"))

    def cite(self, data: Mapping[str, Any], *path: str | int) -> Citation | None:
        if "cite" not in data:
            return None
        key = data["cite"]["source"]
        source = self.ruleset.sources.get(key)
        if source is None:
            hint = did_you_mean(key, self.ruleset.sources)
            place = self.place(*path, "cite", "source")
            self.problems.add(place, f"'{key}' is no source of this file", hint)
            return None
        return Citation(source=source, section=data["cite"]["section"])

    def yes(self, data: Mapping[str, Any], key: str, *path: str | int) -> bool | None:
        given = data.get(key)
        if given is None or isinstance(given, bool):
            return given
        answer = {"yes": True, "no": False}.get(str(given))
        if answer is None:
            self.problems.add(self.place(*path, key), f"'{key}' is '{given}'", "say yes or no")
        return answer

    def submission(self) -> Submission:
        files = self.get("files", {})
        return Submission(
            is_given=bool(self.merged),
            office=self.get("office", ""),
            items=tuple(self.item(item, i) for i, item in enumerate(self.get("items", ()))),
            sheets=tuple(self.get("sheets", ALL_SHEETS)),
            scales_ft_per_in=tuple(self.get("scales", ())),
            stamp=self.stamp(),
            most_survey_age_years_count=self.get("most_survey_age_years"),
            counts_since=self.counts_since(),
            triggers=self.triggers(),
            seals=tuple(self.seal(item, i) for i, item in enumerate(self.get("seals", ()))),
            one_file=self.yes(files, "one_file", "files"),
            most_megabytes_count=files.get("most_megabytes"),
            longest_name_count=files.get("longest_name", LONGEST_NAME_COUNT),
            prefix=files.get("prefix", ""),
            truth_statement=self.get("truth_statement", ""),
        )

    def stamp(self) -> Amount | None:
        given = self.get("stamp_width")
        if given is None:
            return None
        try:
            return read_amount(given, LENGTH)
        except UnreadableAmount as error:
            self.problems.add(self.place("stamp_width"), f"'stamp_width': {error}")
            return None

    def counts_since(self) -> date | None:
        given = self.get("counts_since")
        day = day_of(given) if given is not None else None
        if given is not None and day is None:
            self.problems.add(self.place("counts_since"), f"'{given}' is no day", day_hint(given))
        return day

    def item(self, data: Mapping[str, Any], index: int) -> Item:
        at = ("items", index)
        if ("item" in data) == ("document" in data):
            says = f"entry {index + 1} of 'items' needs one of 'item' and 'document'"
            self.problems.add(self.place(*at), says, "keep one of the two")
        must = self.yes(data, "must", *at)
        return Item(
            place=self.place(*at),
            item=data.get("item", ""),
            document=data.get("document", ""),
            title=data.get("title", ""),
            is_must=True if must is None else must,
            when=self.condition(data, *at),
            note=data.get("note", ""),
            citation=self.cite(data, *at),
        )

    def triggers(self) -> tuple[Trigger, ...]:
        found: list[Trigger] = []
        for index, data in enumerate(self.get("triggers", ())):
            at = ("triggers", index)
            if data["id"] in {item.id for item in found}:
                says = f"the threshold '{data['id']}' stands twice"
                self.problems.add(self.place(*at, "id"), says, "give each its own id")
            found.append(
                Trigger(
                    id=data["id"],
                    permit=data["permit"],
                    when=self.condition(data, *at),
                    place=self.place(*at),
                    needs=tuple(data.get("needs", ())),
                    note=data.get("note", ""),
                    citation=self.cite(data, *at),
                )
            )
        return tuple(found)

    def seal(self, data: Mapping[str, Any], index: int) -> Seal:
        at = ("seals", index)
        return Seal(
            who=data["who"],
            of=data["of"],
            when=self.condition(data, *at),
            citation=self.cite(data, *at),
        )
