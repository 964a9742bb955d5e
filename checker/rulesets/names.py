"""The names that a rule set adds: its facts, readings, regions, counted and defined amounts."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from checker.algebra.dimensions import Unfitting, dimension_of
from checker.algebra.vocabulary import Vocabulary
from checker.core import units
from checker.core.problems import did_you_mean, nearly
from checker.core.units import AREA, LENGTH, Dimension
from checker.core.words import Word
from checker.rulesets.rules import ReadingChoice

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from checker.algebra import nodes as n
    from checker.rulesets.rule_file import RuleFile

DIMENSIONS: Final[dict[str, Dimension]] = {
    "length": LENGTH,
    "area": AREA,
    "volume": units.VOLUME,
    "time": units.TIME,
    "rate": units.SPEED,
    "flow": units.FLOW,
    "number or share": units.RATIO,
    "money": units.MONEY,
}


class Names:
    """The vocabulary of one rule set while it grows, file by file, adopted ones first.

    Args:
        files: The files; a later one replaces what an earlier one names.
        built_in: The measures and attributes that every rule set may use.
    """

    def __init__(self, files: Sequence[RuleFile], built_in: Vocabulary) -> None:
        self._files = files
        self.lot = dict(built_in.lot)
        self.surface = dict(built_in.surface)
        self.regions: dict[str, str] = {}
        self.region_files: dict[str, RuleFile] = {}
        self.reading_options: dict[str, tuple[str, ...]] = {}
        rules: set[str] = set()
        for file in files:
            rules |= {rule["id"] for rule in file.data["rules"]}
            rules -= set(file.data.get("without", ()))
        # The mappings are shared, so that the parsers see every name as soon as it is added.
        self.words = Vocabulary(
            self.lot, self.surface, self.regions, self.reading_options, frozenset(rules)
        )

    def _check_new(self, file: RuleFile, name: str, group: str) -> None:
        if name in self.surface:
            file.problems.add(
                file.document.key_place(group, name),
                f"'{name}' is already an attribute of surfaces",
                "choose another name",
            )

    @staticmethod
    def _check_fact(
        file: RuleFile, name: str, item: Mapping[str, Any], group: str = "facts"
    ) -> None:
        for key, kind in (("dimension", "amount"), ("choices", "text")):
            if key in item and item["kind"] != kind:
                file.wrong(
                    (group, name, key),
                    f"'{key}' is for {group} of kind {kind}, and '{name}' is of kind "
                    f"{item['kind']}",
                    f"remove it, or make the kind {kind}",
                )

    def attributes(self) -> dict[str, Word]:
        """What the set asks of a surface beside what every place may, by name."""
        found: dict[str, Word] = {}
        for file in self._files:
            for name, item in file.group("attributes").items():
                if name in self.surface or name in self.lot:
                    file.problems.add(
                        file.document.key_place("attributes", name),
                        f"'{name}' is already a name that every place may use",
                        "use that one, or choose another name",
                    )
                near = "" if name in self.surface else nearly(name, self.surface)
                if near:
                    file.problems.add(
                        file.document.key_place("attributes", name),
                        f"'{name}' is nearly '{near}', which every place may use",
                        "use that one, or choose a name that nobody takes for it",
                    )
                self._check_fact(file, name, item, "attributes")
                found[name] = _word(name, item, f"give '{name}' of {{id}}: {item['ask']}")
        self.surface |= found
        return found

    def facts(self) -> dict[str, Word]:
        """The questions about a lot, by name."""
        facts: dict[str, Word] = {}
        for file in self._files:
            for name, item in file.group("facts").items():
                self._check_new(file, name, "facts")
                self._check_fact(file, name, item)
                facts[name] = _word(name, item, f"give the fact '{name}': {item['ask']}")
        self.lot |= facts
        return facts

    def readings(self) -> dict[str, ReadingChoice]:
        """The unclear clauses, by id."""
        found: dict[str, ReadingChoice] = {}
        for file in self._files:
            for name, item in file.group("readings").items():
                at = ("readings", name)
                if item["default"] not in item["options"]:
                    file.wrong(
                        (*at, "default"),
                        f"'{item['default']}' is no option of '{name}'",
                        did_you_mean(item["default"], item["options"]),
                    )
                found[name] = ReadingChoice(
                    id=name,
                    question=item["question"],
                    options=dict(item["options"]),
                    default=item["default"],
                    citation=file.cite(item, at),
                )
                self.reading_options[name] = tuple(item["options"])
        return found

    def add_regions(self) -> None:
        """Take the names of regions; their making is read once all names are known."""
        for file in self._files:
            for name, item in file.group("regions").items():
                self.region_files[name] = file
                self.regions[name] = item["title"]
        inside = self.surface["inside"]
        self.surface["inside"] = Word(
            inside.name, "text", inside.title, choices=tuple(self.regions), ask=inside.ask
        )

    def add_counts(self) -> None:
        """Take the names of counted measures."""
        for file in self._files:
            for name, item in file.group("counts").items():
                self._check_new(file, name, "counts")
                self.lot[name] = Word(
                    name, "amount", item["title"], AREA, has_states=True, has_regions=True
                )

    def amounts(self) -> dict[str, n.Number]:
        """The amounts that the rule set defines, by name."""
        found: dict[str, n.Number] = {}
        for file in self._files:
            defined = file.group("amounts")
            for name, item in defined.items():
                self._check_new(file, name, "amounts")
                file.reader.later = frozenset(defined) - found.keys()
                at = ("amounts", name)
                node = file.number(item["is"], (*at, "is"))
                file.cite(item, at)
                found[name] = node
                try:
                    dimension = dimension_of(node, self.words)
                except Unfitting:
                    dimension = None
                self.lot[name] = Word(name, "amount", item["title"], dimension or units.RATIO)
        return found


def _word(name: str, item: Mapping[str, Any], ask: str) -> Word:
    return Word(
        name=name,
        kind=item["kind"],
        title=item.get("title", name.replace("_", " ")),
        dimension=DIMENSIONS[item.get("dimension", "number or share")],
        choices=tuple(item.get("choices", ())),
        ask=ask,
    )
