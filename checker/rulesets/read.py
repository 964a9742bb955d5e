"""Rule-set files to `RuleSet`: adopted models first, the place's own parts over them.

A place replaces a rule, table, fact, region or amount whole, by using its id again.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Any, Final

from checker.algebra import nodes as n
from checker.algebra.counting import CountRow, CountTable
from checker.algebra.dimensions import Unfitting, dimension_of
from checker.algebra.parse import Parser
from checker.algebra.parse_keys import YES, read_day
from checker.algebra.regions import RegionRule
from checker.algebra.vocabulary import Vocabulary, Word
from checker.core import units
from checker.core.problems import BadInput, Problem, Problems, did_you_mean
from checker.core.sources import Citation, Source
from checker.core.units import AREA, LENGTH, Amount, Dimension, UnreadableAmount, read_amount
from checker.files.shape import check_shape
from checker.rulesets.rules import VERIFY, Band, Example, ReadingChoice, Rule, RuleSet

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from checker.files.source import Document

DIMENSIONS: Final[dict[str, Dimension]] = {
    "length": LENGTH,
    "area": AREA,
    "volume": units.VOLUME,
    "time": units.TIME,
    "rate": units.SPEED,
    "number or share": units.RATIO,
    "money": units.MONEY,
}
_MAX_ADOPTED: Final = 30


@dataclass(slots=True)
class _File:
    """One rule-set file with what is needed to read parts of it."""

    document: Document
    data: dict[str, Any]
    sources: dict[str, Source]
    parser: Parser


@dataclass(slots=True)
class _Names:
    """The vocabulary while it grows."""

    lot: dict[str, Word]
    surface: dict[str, Word]
    regions: dict[str, str] = field(default_factory=dict)
    readings: dict[str, tuple[str, ...]] = field(default_factory=dict)


def read_ruleset(
    document: Document, model: Callable[[str], Document], built_in: Vocabulary
) -> RuleSet:
    """Read a rule set and the models it adopts.

    Args:
        document: The file.
        model: Gives the file of a model by id; raises `BadInput` when there is none.
        built_in: The measures and attributes that every rule set may use.

    Raises:
        BadInput: With every problem of this file, or of the first model that has any.
    """
    return _Reading(document, model, built_in).ruleset()


class _Reading:
    def __init__(
        self, document: Document, model: Callable[[str], Document], built_in: Vocabulary
    ) -> None:
        self.document = document
        self.model = model
        self.problems = Problems()
        self.names = _Names(dict(built_in.lot), dict(built_in.surface))
        self.data: dict[str, Any] = check_shape("ruleset", document.data, document)
        self.files = self.adopted(document, self.data, ())
        rule_ids = frozenset(rule["id"] for file in self.files for rule in file.data["rules"])
        self.words = Vocabulary(
            self.names.lot, self.names.surface, self.names.regions, self.names.readings, rule_ids
        )
        for file in self.files:
            file.parser = Parser(self.words, file.document.place, self.problems)

    def adopted(
        self, document: Document, data: dict[str, Any], above: tuple[str, ...]
    ) -> list[_File]:
        """This file after all that it adopts, each once."""
        files: list[_File] = []
        for index, name in enumerate(data.get("adopts", ())):
            place = document.place("adopts", index)
            if name in above or len(above) > _MAX_ADOPTED:
                self.problems.add(place, f"'{name}' adopts itself", "remove one of them")
                continue
            try:
                found = self.model(name)
            except BadInput as missing:
                says = "; ".join(problem.says for problem in missing.problems)
                self.problems.add(place, says, missing.problems[0].do)
                continue
            inner: dict[str, Any] = check_shape("ruleset", found.data, found)
            known = {file.document.file for file in files}
            files += [
                file
                for file in self.adopted(found, inner, (*above, data["id"]))
                if file.document.file not in known
            ]
        self.problems.stop_if_any(f"{document.file} cannot be used")
        sources = self.sources(document, data)
        files.append(_File(document, data, sources, None))  # type: ignore[arg-type]
        return files

    def sources(self, document: Document, data: dict[str, Any]) -> dict[str, Source]:
        found: dict[str, Source] = {}
        for index, item in enumerate(data["sources"]):
            if item["key"] in found:
                place = document.place("sources", index, "key")
                self.problems.add(place, f"the source '{item['key']}' stands twice", "keep one")
            if "compared" in item and read_day(item["compared"]) is None:
                place = document.place("sources", index, "compared")
                self.problems.add(place, f"'{item['compared']}' is no day", "write YYYY-MM-DD")
            found[item["key"]] = Source(**item)
        return found

    def ruleset(self) -> RuleSet:
        data = self.data
        facts, readings, regions = self.facts(), self.readings(), self.region_words()
        self.count_words()
        amounts = self.amounts()
        made_regions = {name: self.region(name, file) for name, file in regions.items()}
        counts, count_examples = self.counts()
        rules = self.rules()
        since = self.day(data["in_force"]["since"], "in_force", "since")
        until = None
        if "until" in data["in_force"]:
            until = self.day(data["in_force"]["until"], "in_force", "until")
        self.problems.stop_if_any(f"{self.document.file} cannot be used")
        return RuleSet(
            id=data["id"],
            title=data["title"],
            kind=data["kind"],
            since=since,
            until=until,
            rules=rules,
            words=self.words,
            document=self.document,
            system=data.get("shown_in", "us"),
            verify=data.get("verify", VERIFY),
            note=data.get("note", ""),
            facts=facts,
            readings=readings,
            regions=made_regions,
            counts=counts,
            count_examples=count_examples,
            amounts=amounts,
            sources={key: s for file in self.files for key, s in file.sources.items()},
            left_out=tuple(data.get("left_out", ())),
            submission=self.submission(),
            documents={file.data["id"]: file.document for file in self.files},
        )

    def submission(self) -> Mapping[str, Any]:
        merged: dict[str, Any] = {}
        for file in self.files:
            merged |= file.data.get("submission", {})
        return merged

    def day(self, text: object, *at: str | int) -> date:
        found = read_day(text)
        if found is None:
            self.problems.add(self.document.place(*at), f"'{text}' is no day", "write YYYY-MM-DD")
        return found or date(1, 1, 1)

    def cite(self, file: _File, data: dict[str, Any] | None, *at: str | int) -> Citation | None:
        if data is None:
            return None
        source = file.sources.get(data["source"])
        if source is None:
            place = file.document.place(*at, "source")
            hint = did_you_mean(data["source"], file.sources)
            self.problems.add(place, f"'{data['source']}' is no source of this file", hint)
            return None
        return Citation(source=source, section=data["section"])

    # Names

    def new_name(self, file: _File, name: str, group: str) -> None:
        if name in self.names.surface:
            place = file.document.key_place(group, name)
            self.problems.add(
                place, f"'{name}' is already an attribute of surfaces", "choose another name"
            )

    def facts(self) -> dict[str, Word]:
        facts: dict[str, Word] = {}
        for file in self.files:
            for name, item in file.data.get("facts", {}).items():
                self.new_name(file, name, "facts")
                title = name.replace("_", " ")
                facts[name] = Word(
                    name=name,
                    kind=item["kind"],
                    title=title,
                    dimension=DIMENSIONS[item.get("dimension", "number or share")],
                    choices=tuple(item.get("choices", ())),
                    ask=f"give the fact '{name}': {item['ask']}",
                )
        self.names.lot |= facts
        return facts

    def readings(self) -> dict[str, ReadingChoice]:
        found: dict[str, ReadingChoice] = {}
        for file in self.files:
            for name, item in file.data.get("readings", {}).items():
                at = ("readings", name)
                if item["default"] not in item["options"]:
                    self.problems.add(
                        file.document.place(*at, "default"),
                        f"'{item['default']}' is no option of '{name}'",
                        did_you_mean(item["default"], item["options"]),
                    )
                found[name] = ReadingChoice(
                    id=name,
                    question=item["question"],
                    options=dict(item["options"]),
                    default=item["default"],
                    citation=self.cite(file, item.get("cite"), *at, "cite"),
                )
                self.names.readings[name] = tuple(item["options"])
        return found

    def region_words(self) -> dict[str, _File]:
        found: dict[str, _File] = {}
        for file in self.files:
            for name, item in file.data.get("regions", {}).items():
                found[name] = file
                self.names.regions[name] = item["title"]
        inside = self.names.surface["inside"]
        self.names.surface["inside"] = Word(
            inside.name, "text", inside.title, choices=tuple(found), ask=inside.ask
        )
        return found

    def count_words(self) -> None:
        for file in self.files:
            for name, item in file.data.get("counts", {}).items():
                self.new_name(file, name, "counts")
                self.names.lot[name] = Word(
                    name, "amount", item["title"], AREA, has_states=True, has_regions=True
                )

    def amounts(self) -> dict[str, n.Number]:
        found: dict[str, n.Number] = {}
        for file in self.files:
            for name, item in file.data.get("amounts", {}).items():
                self.new_name(file, name, "amounts")
                at = ("amounts", name)
                node = file.parser.number(item["is"], (*at, "is"))
                self.cite(file, item.get("cite"), *at, "cite")
                found[name] = node
                try:
                    dimension = dimension_of(node, self.words)
                except Unfitting:
                    dimension = None
                self.names.lot[name] = Word(name, "amount", item["title"], dimension or units.RATIO)
        return found

    # Parts

    def region(self, name: str, file: _File) -> RegionRule:
        item = file.data["regions"][name]
        at = ("regions", name)
        makings = [key for key in ("overlay", "kind", "yard", "band") if key in item]
        if len(makings) != 1:
            self.problems.add(
                file.document.place(*at),
                f"the region '{name}' is made in {len(makings)} ways",
                "give exactly one of overlay, kind, yard, band",
            )
            makings = makings[:1] or ["overlay"]
        making = makings[0]
        depth = None
        if "depth" in item:
            depth = file.parser.number(item["depth"], (*at, "depth"))
        return RegionRule(
            id=name,
            title=item["title"],
            making=making,  # type: ignore[arg-type]
            of=item.get(making, ""),
            depth=depth,
            over_m=self.size(file, item, "over", LENGTH, at) or 0.0,
            up_to_m=self.size(file, item, "up_to", LENGTH, at),
            is_beyond_lot=self.yes(file, item, "beyond_lot", at),
            is_touching=self.yes(file, item, "touching", at),
        )

    def size(
        self,
        file: _File,
        item: dict[str, Any],
        key: str,
        dimension: Dimension,
        at: tuple[str | int, ...],
    ) -> float | None:
        if key not in item:
            return None
        try:
            read: Amount = read_amount(item[key], dimension)
        except UnreadableAmount as error:
            self.problems.add(file.document.place(*at, key), str(error))
            return None
        if read.value_si < 0:
            self.problems.add(file.document.place(*at, key), f"'{item[key]}' is below zero")
        return read.value_si

    def yes(self, file: _File, item: dict[str, Any], key: str, at: tuple[str | int, ...]) -> bool:
        value = item.get(key, False)
        if value not in YES:
            self.problems.add(file.document.place(*at, key), f"'{value}' is neither yes nor no")
        return bool(YES.get(value, False))

    def counts(self) -> tuple[dict[str, CountTable], dict[str, tuple[Example, ...]]]:
        tables: dict[str, CountTable] = {}
        examples: dict[str, tuple[Example, ...]] = {}
        for file in self.files:
            for name, item in file.data.get("counts", {}).items():
                at = ("counts", name)
                tables[name] = self.count_table(file, name, item)
                examples[name] = self.examples(file, item, at)
        return tables, examples

    def count_table(self, file: _File, name: str, item: dict[str, Any]) -> CountTable:
        at = ("counts", name)
        otherwise = None
        if item["otherwise"] != "cannot tell":
            otherwise = file.parser.number(item["otherwise"], (*at, "otherwise"), "surface")
        citation = self.cite(file, item.get("cite"), *at, "cite")
        return CountTable(
            name=name,
            title=item["title"],
            rows=tuple(
                self.count_row(file, row, (*at, "rows", i)) for i, row in enumerate(item["rows"])
            ),
            otherwise=otherwise,
            levels=item.get("levels", "heaviest"),
            clause=str(citation) if citation else "",
        )

    def count_row(self, file: _File, row: dict[str, Any], at: tuple[str | int, ...]) -> CountRow:
        parser = file.parser
        where = parser.where(row["where"], (*at, "where")) if "where" in row else n.always()
        cap = None
        if "exempt_up_to" in row:
            cap = parser.number(row["exempt_up_to"], (*at, "exempt_up_to"))
        citation = self.cite(file, row.get("cite"), *at, "cite")
        return CountRow(
            where=where,
            weight=self.weight(file, row["weight"], (*at, "weight")),
            otherwise=self.weight(file, row.get("otherwise", 1), (*at, "otherwise")),
            title=row.get("title", ""),
            needs=tuple(
                parser.condition(need, (*at, "needs", i), "surface")
                for i, need in enumerate(row.get("needs", ()))
            ),
            each_over_m2=self.size(file, row, "each_over", AREA, at),
            exempt_first_m2=self.size(file, row, "exempt_first", AREA, at) or 0.0,
            exempt_up_to=cap,
            beyond=row.get("beyond", "excess"),
            drop_outer_m=self.size(file, row, "drop_outer", LENGTH, at) or 0.0,
            least_width_m=self.size(file, row, "least_width", LENGTH, at) or 0.0,
            clause=str(citation) if citation else "",
        )

    def weight(self, file: _File, data: Any, at: tuple[str | int, ...]) -> n.Number:  # noqa: ANN401
        node = file.parser.number(data, at, "surface")
        if isinstance(node, n.Fixed) and not 0 <= node.amount.value_si <= 1:
            self.problems.add(
                file.document.place(*at), f"the weight '{data}' is not from 0 to 1", "0.5 or 50 %"
            )
        return node

    def rules(self) -> tuple[Rule, ...]:
        found: dict[str, Rule] = {}
        for file in self.files:
            own = {item["id"] for item in file.data["rules"]}
            if len(own) != len(file.data["rules"]):
                seen: set[str] = set()
                for index, item in enumerate(file.data["rules"]):
                    if item["id"] in seen:
                        place = file.document.place("rules", index, "id")
                        self.problems.add(
                            place, f"the rule '{item['id']}' stands twice", "keep one"
                        )
                    seen.add(item["id"])
            for index, item in enumerate(file.data["rules"]):
                found[item["id"]] = self.rule(file, item, index)
            for index, name in enumerate(file.data.get("without", ())):
                if found.pop(name, None) is None:
                    place = file.document.place("without", index)
                    hint = did_you_mean(name, found)
                    self.problems.add(place, f"'{name}' is no adopted rule", hint)
        return tuple(found.values())

    def rule(self, file: _File, item: dict[str, Any], index: int) -> Rule:
        at: tuple[str | int, ...] = ("rules", index)
        applies = n.always()
        if "applies" in item:
            applies = file.parser.condition(item["applies"], (*at, "applies"))
        force = item.get("in_force", {})
        citation = self.cite(file, item["cite"], *at, "cite")
        unknown = Source(key="", document="", edition="")
        return Rule(
            id=item["id"],
            title=item["title"],
            citation=citation or Citation(source=unknown),
            require=file.parser.condition(item["require"], (*at, "require")),
            applies=applies,
            place=file.document.place(*at),
            or_else=tuple(
                self.band(file, band, (*at, "or_else", i))
                for i, band in enumerate(item.get("or_else", ()))
            ),
            documents=tuple(item.get("documents", ())),
            note=item.get("note", ""),
            caution=item.get("caution", ""),
            remedies=tuple(item.get("remedies", ())),
            examples=self.examples(file, item, at),
            origin="" if file.document is self.document else file.data["id"],
            since=self.rule_day(file, force, "since", at),
            until=self.rule_day(file, force, "until", at),
        )

    def rule_day(
        self, file: _File, force: dict[str, Any], key: str, at: tuple[str | int, ...]
    ) -> date | None:
        if key not in force:
            return None
        found = read_day(force[key])
        if found is None:
            place = file.document.place(*at, "in_force", key)
            self.problems.add(place, f"'{force[key]}' is no day", "write YYYY-MM-DD")
        return found

    def band(self, file: _File, item: dict[str, Any], at: tuple[str | int, ...]) -> Band:
        require = n.always()
        if "require" in item:
            require = file.parser.condition(item["require"], (*at, "require"))
        return Band(
            outcome=item["outcome"],
            require=require,
            documents=tuple(item.get("documents", ())),
            says=item.get("says", ""),
            citation=self.cite(file, item.get("cite"), *at, "cite"),
        )

    def examples(
        self, file: _File, item: dict[str, Any], at: tuple[str | int, ...]
    ) -> tuple[Example, ...]:
        found: list[Example] = []
        for index, example in enumerate(item.get("examples", ())):
            path = (*at, "examples", index)
            citation = self.cite(file, example.get("cite"), *path, "cite")
            if example["source"] == "printed" and "cite" not in example:
                self.problems.add(
                    file.document.place(*path),
                    f"'{example['name']}' is printed somewhere",
                    "say where with 'cite'",
                )
            found.append(
                Example(
                    name=example["name"],
                    is_printed=example["source"] == "printed",
                    given=example["given"],
                    expect=example["expect"],
                    document=file.document,
                    path=path,
                    note=example.get("note", ""),
                    citation=citation,
                )
            )
        return tuple(found)


def refuse_model(name: str) -> Document:
    """A source of models that has none, for rule sets that stand alone."""
    from checker.core.problems import Place

    raise BadInput("no models", [Problem(Place(name), f"there is no model rule set '{name}'")])
