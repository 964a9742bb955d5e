"""One rule-set file while it is read: its sources, its parser, and how its small parts are read."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING, Any

from checker.algebra import nodes as n
from checker.algebra.dimensions import Unfitting, dimension_of
from checker.core.answers import day_hint, day_of, yes_or_no
from checker.core.problems import did_you_mean
from checker.core.records import Struct
from checker.core.sources import Citation, Source
from checker.core.units import Dimension, UnreadableAmount, read_amount
from checker.rulesets.rules import Example

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import date

    from checker.algebra.parse import Parser
    from checker.core.problems import Place, Problems
    from checker.core.words import DataPath
    from checker.files.source import Document


class RuleFile(Struct):
    """One rule-set file with what is needed to read parts of it.

    Attributes:
        document: The file.
        data: Its content, of the right shape.
        problems: Collects what is wrong in any of the files read together.
        sources: What it cites, by key.
        parser: Reads its conditions and numbers; set once all names are known.
    """

    document: Document
    data: dict[str, Any]
    problems: Problems
    sources: dict[str, Source]
    parser: Parser | None = None

    @property
    def id(self) -> str:
        """Id of the rule set."""
        return str(self.data["id"])

    def place(self, at: DataPath) -> Place:
        """The place of a value."""
        return self.document.place(*at)

    def wrong(self, at: DataPath, says: str, do: str = "") -> None:
        """Note a problem at a path."""
        self.problems.add(self.place(at), says, do)

    def group(self, name: str) -> Mapping[str, Any]:
        """An optional group of named parts."""
        found: Mapping[str, Any] = self.data.get(name, {})
        return found

    @property
    def reader(self) -> Parser:
        """The parser, once all names are known."""
        assert self.parser is not None
        return self.parser

    def number(self, data: object, at: DataPath) -> n.Number:
        """A number in the scope of the lot."""
        return self.reader.number(data, at)

    def kind(self, node: n.Number, dimension: Dimension, at: DataPath) -> n.Number:
        """The same number; a problem when it is known to be of another kind."""
        found: Dimension | None = dimension
        is_read = not any(problem.place == self.place(at) for problem in self.problems.items)
        with contextlib.suppress(Unfitting):
            found = dimension_of(node, self.reader.words)
        if found is not None and found != dimension and is_read:
            self.wrong(at, f"this is to be of the kind {dimension.name}, not {found.name}")
        return node

    def condition(self, item: Mapping[str, Any], key: str, at: DataPath) -> n.Condition:
        """A condition under a key; one that always holds where the key is absent."""
        if key not in item:
            return n.always()
        return self.reader.condition(item[key], (*at, key))

    def cite(self, item: Mapping[str, Any], at: DataPath) -> Citation | None:
        """The citation under `cite`; None where there is none."""
        if "cite" not in item:
            return None
        data = item["cite"]
        source = self.sources.get(data["source"])
        if source is None:
            hint = did_you_mean(data["source"], self.sources)
            self.wrong(
                (*at, "cite", "source"), f"'{data['source']}' is no source of this file", hint
            )
            return None
        return Citation(source=source, section=data["section"])

    def clause(self, item: Mapping[str, Any], at: DataPath) -> str:
        """The citation under `cite` as text; empty where there is none."""
        citation = self.cite(item, at)
        return str(citation) if citation else ""

    def size_si(
        self, item: Mapping[str, Any], key: str, dimension: Dimension, at: DataPath
    ) -> float | None:
        """An amount of one kind that is not negative, in SI; None where it is absent."""
        if key not in item:
            return None
        try:
            read = read_amount(item[key], dimension)
        except UnreadableAmount as error:
            self.wrong((*at, key), str(error))
            return None
        if read.value_si < 0:
            self.wrong((*at, key), f"'{item[key]}' is below zero")
        return read.value_si

    def yes(self, item: Mapping[str, Any], key: str, at: DataPath) -> bool:
        """Yes or no; no where it is absent."""
        value = item.get(key, False)
        if yes_or_no(value) is None:
            self.wrong((*at, key), f"'{value}' is neither yes nor no")
        return bool(yes_or_no(value))

    def day(self, item: Mapping[str, Any], key: str, at: DataPath) -> date | None:
        """A day; None where it is absent or wrong."""
        if key not in item:
            return None
        found = day_of(item[key])
        if found is None:
            self.wrong((*at, key), f"'{item[key]}' is no day", day_hint(item[key]))
        return found

    def examples(self, item: Mapping[str, Any], at: DataPath) -> tuple[Example, ...]:
        """The worked examples of a rule or counting table."""
        return self.example_list(
            item.get("examples", ()), (*at, "examples"), item.get("all_given", {})
        )

    def example_list(
        self,
        items: Iterable[Mapping[str, Any]],
        at: DataPath,
        shared: Mapping[str, Any] | None = None,
    ) -> tuple[Example, ...]:
        """Worked examples of a list, each with what all of them are given."""
        found: list[Example] = []
        names: set[str] = set()
        for index, item in enumerate(items):
            path = (*at, index)
            citation = self.cite(item, path)
            if item["source"] == "printed" and "cite" not in item:
                self.wrong(path, f"'{item['name']}' is printed somewhere", "say where with 'cite'")
            if item["name"] in names:
                self.wrong(
                    (*path, "name"), f"the example '{item['name']}' stands twice", "rename one"
                )
            names.add(item["name"])
            given = {**(shared or {}), **item["given"]}
            found.append(
                Example(
                    name=item["name"],
                    is_printed=item["source"] == "printed",
                    given={name: value for name, value in given.items() if value is not None},
                    expect=item["expect"],
                    document=self.document,
                    path=path,
                    note=item.get("note", ""),
                    citation=citation,
                    printed_as=item.get("printed_as", {}),
                )
            )
        return tuple(found)


def read_sources(
    document: Document, data: Mapping[str, Any], problems: Problems
) -> dict[str, Source]:
    """The documents that a file cites, by key."""
    found: dict[str, Source] = {}
    for index, item in enumerate(data["sources"]):
        if item["key"] in found:
            place = document.place("sources", index, "key")
            problems.add(place, f"the source '{item['key']}' stands twice", "keep one")
        if "compared" in item and day_of(item["compared"]) is None:
            place = document.place("sources", index, "compared")
            problems.add(place, f"'{item['compared']}' is no day", day_hint(item["compared"]))
        found[item["key"]] = Source(**item)
    return found
