"""Rule-set files to `RuleSet`: adopted models first, the place's own parts over them.

A place replaces a rule, table, fact, region or amount whole, by using its id again.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any, Final

from checker.algebra.parse import Parser
from checker.core.problems import BadInput, Problems, did_you_mean
from checker.core.records import replace
from checker.core.sources import Citation, Source
from checker.core.units import CURRENCIES, MONEY
from checker.files.shape import check_shape
from checker.rulesets.circles import Circles
from checker.rulesets.levels import Wants
from checker.rulesets.names import Names
from checker.rulesets.rule_file import RuleFile, read_sources
from checker.rulesets.rules import VERIFY, Band, Example, Result, Rule, RuleSet, SignedOff
from checker.rulesets.tables import Tables, read_region

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from checker.algebra.tables import CountTable
    from checker.algebra.vocabulary import Vocabulary
    from checker.core.words import DataPath
    from checker.files.source import Document

_MAX_ADOPTED: Final = 30
_HOW_MUCH: Final = {"duty": "say how much; what is owed without an amount is a form or a permit"}


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
        self.data: dict[str, Any] = check_shape("ruleset", document.data, document)
        self.files = self._adopted(document, self.data, ())
        self.own = self.files[-1]
        self.names = Names(self.files, built_in)
        for file in self.files:
            file.parser = Parser(self.names.words, file.document.place, self.problems)
            file.parser.currency = self._currency(file)

    def _adopted(
        self, document: Document, data: dict[str, Any], above: tuple[str, ...]
    ) -> list[RuleFile]:
        """This file after all that it adopts, each once."""
        files: list[RuleFile] = []
        for index, name in enumerate(data.get("adopts", ())):
            place = document.place("adopts", index)
            if name in {*above, data["id"]} or len(above) > _MAX_ADOPTED:
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
                for file in self._adopted(found, inner, (*above, data["id"]))
                if file.document.file not in known
            ]
        self.problems.stop_if_any(f"{document.file} cannot be used")
        sources = read_sources(document, data, self.problems)
        files.append(RuleFile(document, data, self.problems, sources))
        return files

    def ruleset(self) -> RuleSet:
        data, names = self.data, self.names
        attributes, facts, readings = names.attributes(), names.facts(), names.readings()
        names.add_regions()
        names.add_counts()
        amounts = names.amounts()
        regions = {name: read_region(name, file) for name, file in names.region_files.items()}
        tables = Tables(self.files)
        counts = tables.tables()
        read = self._rules()
        for rule, way in Circles(read, amounts, counts).found():
            says = f"the rule '{rule.id}' hangs on itself"
            says += f", by way of {', '.join(way[1:])}" if way[1:] else ""
            self.problems.add(rule.place, says, "take out one 'limit_of' or 'passes'")
        counts = self._seen_from(counts, tables, Wants(read, amounts, counts))
        found = self._results(read)
        rules, results, count_examples = self._with_more_examples(read, found, tables.examples())
        force, at = data["in_force"], ("in_force",)
        since, until = self.own.day(force, "since", at), self.own.day(force, "until", at)
        submission: dict[str, Any] = {}
        for file in self.files:
            submission |= file.group("submission")
        checked = self._checked()
        self.problems.stop_if_any(f"{self.document.file} cannot be used")
        return RuleSet(
            id=data["id"],
            title=data["title"],
            kind=data["kind"],
            since=since or date.min,
            until=until,
            rules=rules,
            words=names.words,
            document=self.document,
            system=data.get("shown_in", "us"),
            verify=data.get("verify", VERIFY),
            note=data.get("note", ""),
            checked=checked,
            currency=data.get("currency", "$"),
            results=results,
            facts=facts,
            attributes=attributes,
            readings=readings,
            regions=regions,
            counts=counts,
            count_examples=count_examples,
            amounts=amounts,
            sources={key: s for file in self.files for key, s in file.sources.items()},
            left_out=tuple(data.get("left_out", ())),
            submission=submission,
            documents={file.id: file.document for file in self.files},
        )

    def _seen_from(
        self, counts: Mapping[str, CountTable], tables: Tables, wants: Wants
    ) -> dict[str, CountTable]:
        """The tables, each with the surface that counts over a spot where its file is silent."""
        found: dict[str, CountTable] = {}
        for name, table in counts.items():
            levels = table.levels if tables.says_levels(name) else wants.levels(name)
            if levels is None:
                place = tables.place(name)
                says = f"rules want both more and less of '{name}', so it must say from where"
                do = (
                    "give 'levels: top' for what lies open to the sky, 'ground' for what lies below"
                )
                self.problems.add(place, says, do)
                levels = table.levels
            found[name] = replace(table, levels=levels)
        return found

    def _rules(self) -> dict[str, Rule]:
        found: dict[str, Rule] = {}
        for file in self.files:
            seen: set[str] = set()
            for index, item in enumerate(file.data["rules"]):
                if item["id"] in seen:
                    says = f"the rule '{item['id']}' stands twice"
                    file.wrong(("rules", index, "id"), says, "keep one")
                if item["id"] in self.names.lot:
                    says = f"'{item['id']}' is also the name of an amount"
                    file.wrong(("rules", index, "id"), says, "give the rule another id")
                seen.add(item["id"])
                found[item["id"]] = self._rule(file, item, ("rules", index))
            for index, name in enumerate(file.data.get("without", ())):
                if found.pop(name, None) is None:
                    hint = did_you_mean(name, found)
                    file.wrong(("without", index), f"'{name}' is no adopted rule", hint)
        return found

    def _rule(self, file: RuleFile, item: dict[str, Any], at: DataPath) -> Rule:
        force = item.get("in_force", {})
        return Rule(
            id=item["id"],
            title=item["title"],
            citation=file.cite(item, at)
            or Citation(source=Source(key="", document="", edition="")),
            require=file.condition(item, "require", at),
            applies=file.condition(item, "applies", at),
            place=file.place(at),
            or_else=tuple(
                _band(file, band, (*at, "or_else", i))
                for i, band in enumerate(item.get("or_else", ()))
            ),
            documents=tuple(item.get("documents", ())),
            note=item.get("note", ""),
            caution=item.get("caution", ""),
            remedies=tuple(item.get("remedies", ())),
            examples=file.examples(item, at),
            origin="" if file is self.own else file.id,
            since=file.day(force, "since", (*at, "in_force")),
            until=file.day(force, "until", (*at, "in_force")),
        )

    def _checked(self) -> SignedOff | None:
        given = self.data.get("checked")
        day = self.own.day(given or {}, "date", ("checked",))
        return SignedOff(by=given["by"], date=day) if given and day else None

    def _currency(self, file: RuleFile) -> str:
        given = str(file.data.get("currency", "$"))
        if given != "$" and given not in CURRENCIES:
            hint = did_you_mean(given, ("$", *CURRENCIES))
            file.wrong(("currency",), f"'{given}' is no currency that is known here", hint)
        return given

    def _results(self, rules: Mapping[str, Rule]) -> dict[str, Result]:
        found: dict[str, Result] = {}
        taken = {*rules, *self.names.lot}
        for file in self.files:
            seen: set[str] = set()
            for index, item in enumerate(file.data.get("results", ())):
                at: DataPath = ("results", index)
                if item["id"] in seen or item["id"] in taken:
                    file.wrong((*at, "id"), f"the name '{item['id']}' stands twice", "rename one")
                seen.add(item["id"])
                found[item["id"]] = _result(file, item, at, is_own=file is self.own)
        return found

    def _with_more_examples(
        self,
        rules: dict[str, Rule],
        results: dict[str, Result],
        tables: Mapping[str, tuple[Example, ...]],
    ) -> tuple[tuple[Rule, ...], tuple[Result, ...], dict[str, tuple[Example, ...]]]:
        """Add the examples that a file gives for rules, results and tables it adopts."""
        of_tables = dict(tables)
        for file, name, examples in self._more_examples():
            if name in rules:
                rules[name] = replace(rules[name], examples=rules[name].examples + examples)
            elif name in results:
                results[name] = replace(results[name], examples=results[name].examples + examples)
            elif name in of_tables:
                of_tables[name] += examples
            else:
                hint = did_you_mean(name, [*rules, *results, *of_tables])
                file.wrong(("examples", name), f"'{name}' is no rule or table of this set", hint)
        return tuple(rules.values()), tuple(results.values()), of_tables

    def _more_examples(self) -> Iterator[tuple[RuleFile, str, tuple[Example, ...]]]:
        for file in self.files:
            for name, items in file.group("examples").items():
                yield file, name, file.example_list(items, ("examples", name))


def _result(file: RuleFile, item: dict[str, Any], at: DataPath, *, is_own: bool) -> Result:
    force = item.get("in_force", {})
    kind = item["kind"]
    if "is" not in item and kind in {"figure", "duty", "fee"}:
        file.wrong(
            at, f"'is' of the {kind} '{item['id']}' is missing", _HOW_MUCH.get(kind, "say how much")
        )
    amount = file.number(item["is"], (*at, "is")) if "is" in item else None
    if amount is not None and kind == "fee":
        file.kind(amount, MONEY, (*at, "is"))
    return Result(
        id=item["id"],
        title=item["title"],
        kind=kind,
        citation=file.cite(item, at) or Citation(source=Source(key="", document="", edition="")),
        when=file.condition(item, "when", at),
        amount=amount,
        place=file.place(at),
        documents=tuple(item.get("documents", ())),
        says=item.get("says", ""),
        note=item.get("note", ""),
        examples=file.examples(item, at),
        origin="" if is_own else file.id,
        since=file.day(force, "since", (*at, "in_force")),
        until=file.day(force, "until", (*at, "in_force")),
    )


def _band(file: RuleFile, item: dict[str, Any], at: DataPath) -> Band:
    return Band(
        outcome=item["outcome"],
        require=file.condition(item, "require", at),
        documents=tuple(item.get("documents", ())),
        says=item.get("says", ""),
        citation=file.cite(item, at),
    )
