"""A rule set in plain English: what it asks about a lot, what counts, what must hold, what is open.

Everything said here is read from the same nodes that are evaluated, so that the text cannot drift
from what the program does.
"""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Final

from checker.algebra import nodes as n
from checker.core.showing import NO_BREAK, held_together, unit_for
from checker.core.units import AREA, LENGTH, RATIO, Amount
from checker.rulesets.handing_in import submission_sentences

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.algebra.regions import RegionRule
    from checker.algebra.tables import CountRow, CountTable
    from checker.core.units import Dimension
    from checker.core.words import Word
    from checker.rulesets.rules import Result, Rule, RuleSet

WIDTH: Final = 88
_KINDS: Final = {
    "published": "Published law",
    "invented": "Invented, not the law of any place",
    "model": "A model that places adopt",
}
_LEVELS: Final = {
    "heaviest": "Where surfaces lie over each other the heaviest is counted.",
    "top": "Where surfaces lie over each other the top one is counted.",
    "ground": "Where surfaces lie over each other the one on the ground is counted.",
    "sum": "Where surfaces lie over each other each of them is counted.",
}

_WIDTH_OF: Final = {
    "piece": "adjoining land that counts alike taken as one",
    "surface": "each surface taken by itself",
    "part": "the part in the region that is measured taken by itself",
}


def describe(ruleset: RuleSet) -> str:
    """A whole rule set as text, lines of at most 88 characters."""
    said = English(ruleset)
    parts = [
        [ruleset.title, "=" * len(ruleset.title), ""],
        list(said.opening()),
        _section("What it asks about the lot", said.facts()),
        _section("What it asks about surfaces", said.attributes()),
        _section("Parts of the land", said.regions()),
        _section("What counts", said.tables()),
        _section("Amounts", said.amounts()),
        _section("Rules", said.rules()),
        _section("Fees, permits and figures", said.results()),
        _section("Unclear clauses", said.readings()),
        _section("To be handed in", said.submission()),
        _section("Left out", [_item(text) for text in ruleset.left_out]),
        _section("Documents cited", said.sources()),
    ]
    return "\n".join(line for part in parts for line in part).rstrip() + "\n"


def _section(heading: str, lines: Iterator[str] | list[str]) -> list[str]:
    said = list(lines)
    return ["", heading, "-" * len(heading), "", *said] if said else []


def _item(text: str, indent: str = "", mark: str = "- ") -> str:
    filled = textwrap.fill(
        held_together(" ".join(text.split())),
        WIDTH,
        initial_indent=indent + mark,
        subsequent_indent=indent + " " * len(mark),
        break_long_words=False,
        break_on_hyphens=False,
    )
    return filled.replace(NO_BREAK, " ")


class English:
    """Says the parts of one rule set.

    Args:
        ruleset: The rule set.
    """

    def __init__(self, ruleset: RuleSet) -> None:
        self.ruleset = ruleset
        self.speaker = ruleset.speaker()

    def opening(self) -> Iterator[str]:
        """What kind of rule set it is, from when it holds, and what to verify."""
        ruleset = self.ruleset
        until = f" until {ruleset.until.isoformat()}" if ruleset.until else ""
        yield _item(f"{_KINDS[ruleset.kind]}, in force since {ruleset.since.isoformat()}{until}.")
        adopted = [name for name in ruleset.documents if name != ruleset.id]
        if adopted:
            yield _item(f"Adopts {self.speaker.joined(adopted)}.")
        if ruleset.checked:
            yield _item(
                f"Checked against the text by the {ruleset.checked.by}, {ruleset.checked.date}."
            )
        for text in (ruleset.verify, ruleset.note):
            if text:
                yield _item(text)

    def facts(self) -> Iterator[str]:
        """The questions put to the person who fills in a site file."""
        for word in self.ruleset.facts.values():
            yield _item(self.fact(word))

    def attributes(self) -> Iterator[str]:
        """What the set asks of a surface beside what every place may ask."""
        for word in self.ruleset.attributes.values():
            yield _item(self.fact(word))

    @staticmethod
    def fact(word: Word) -> str:
        """One question, with what kind of answer it takes."""
        kind = word.dimension.name if word.kind == "amount" else word.kind
        choices = f" ({', '.join(word.choices)})" if word.choices else ""
        ask = word.ask.removeprefix(f"give the fact '{word.name}': ")
        ask = ask.removeprefix(f"give '{word.name}' of {{id}}: ")
        return f"{word.name}, {kind}: {ask}{choices}"

    def regions(self) -> Iterator[str]:
        """How each region is made."""
        for region in self.ruleset.regions.values():
            yield _item(f"{region.title}: {self.region(region)}.")

    def region(self, region: RegionRule) -> str:
        """How a region is made, as a clause."""
        said = {
            "overlay": f"the region '{region.of}' that the site file draws",
            "kind": f"every {region.of} that the site file draws",
            "yard": self._yard(region),
            "band": self._band(region),
            "lot": "the lot",
        }[region.making]
        if region.is_touching:
            said = f"the whole lot as soon as any part of it lies in {said}"
        if region.is_beyond_lot:
            said = f"{said}, the land outside the lot alone"
        if region.least_width_m:
            width = self._size(region.least_width_m, LENGTH)
            said = f"{said}, without what is narrower than {width}"
        return said

    def _yard(self, region: RegionRule) -> str:
        if region.depth is None:
            return f"all land along the {region.of} lot line, up to the dwelling"
        return f"land along the {region.of} lot line, {self.speaker.number(region.depth)} deep"

    def _band(self, region: RegionRule) -> str:
        over = self._size(region.over_m, LENGTH) if region.over_m else ""
        if region.up_to_m is None:
            return f"land {f'more than {over} ' if over else ''}from the {region.of}"
        up_to = self._size(region.up_to_m, LENGTH)
        return f"land {f'from {over} ' if over else ''}up to {up_to} from the {region.of}"

    def _size(self, value_si: float, dimension: Dimension) -> str:
        unit = unit_for(dimension, self.ruleset.system)[0]
        return self.speaker.amount(Amount(value_si, dimension, unit))

    def tables(self) -> Iterator[str]:
        """Every counting table."""
        for index, table in enumerate(self.ruleset.counts.values()):
            if index:
                yield ""
            yield from self.table(table)

    def table(self, table: CountTable) -> Iterator[str]:
        """One counting table: its rows in order, and what no row fits."""
        yield _item(f"{table.title} ({table.name}){self.clause(table.clause)}", mark="")
        yield _item("The first line that fits a surface decides.", indent="  ", mark="")
        for number, row in enumerate(table.rows, start=1):
            yield _item(self.row(row), indent="  ", mark=f"{number}. ")
        yield _item(self.rest(table), indent="  ")
        yield _item(_LEVELS[table.levels], indent="  ", mark="")

    def rest(self, table: CountTable) -> str:
        """What becomes of a surface that no row of a table fits."""
        if table.otherwise is None:
            return "anything else: the text does not say, ask the office"
        return f"anything else: {self.weight(table.otherwise)}"

    def row(self, row: CountRow) -> str:
        """One row of a counting table as a sentence without its stop."""
        where = "anything" if row.where == n.always() else self.speaker.condition(row.where)
        parts = [f"{row.title} ({where})" if row.title else where]
        weight = self.weight(row.weight)
        if row.needs:
            needs = "; ".join(self.speaker.condition(need) for need in row.needs)
            weight = f"{weight} if {needs}; else it {self.weight(row.otherwise)}"
        said = f"{parts[0]}: {weight}"
        for extra in self._extras(row):
            said += f"; {extra}"
        return f"{said}{self.clause(row.clause)}"

    def clause(self, clause: str) -> str:
        """Where something stands, short: its section, and the source's key if there are several."""
        for source in self.ruleset.sources.values():
            if clause.startswith(f"{source.document}, "):
                section = clause.removeprefix(f"{source.document}, ")
                section = section.removesuffix(f" ({source.edition})")
                key = f"{source.key}: " if len(self.ruleset.sources) > 1 else ""
                return f" [{key}{section}]"
        return f" [{clause}]" if clause else ""

    def _extras(self, row: CountRow) -> Iterator[str]:
        if row.each_over_m2 is not None:
            size = self._size(row.each_over_m2, AREA)
            yield f"an item of at most {size} does not count at all"
        if row.exempt_first_m2:
            yield f"the first {self._size(row.exempt_first_m2, AREA)} of all of it is free"
        if row.exempt_up_to is not None:
            cap = self.speaker.number(row.exempt_up_to)
            beyond = "only the excess counts" if row.beyond == "excess" else "all of it counts"
            yield f"free while its sum is at most {cap}, beyond that {beyond}"
        if row.drop_outer is not None:
            strip = self.speaker.number(row.drop_outer)
            yield f"a strip of {strip} along the outline of the whole building does not count"
        if row.drop_inner is not None:
            strip = self.speaker.number(row.drop_inner)
            yield f"a strip of {strip} along the walls does not count"
        if row.least_width is not None:
            width = self.speaker.number(row.least_width)
            yield f"parts narrower than {width} do not count, {_WIDTH_OF[row.width_of]}"

    def weight(self, weight: n.Number) -> str:
        """How much counts, as a verb phrase."""
        if weight == n.Choose(()):
            return "counts as the office says, the text does not"
        if isinstance(weight, n.Fixed) and weight.amount.dimension == RATIO:
            share = weight.amount.value_si
            if share in {0.0, 1.0}:
                return "counts in full" if share else "does not count"
            return f"counts at {share * 100:.10g} %"
        return f"counts at this share: {self.speaker.number(weight)}"

    def amounts(self) -> Iterator[str]:
        """The amounts that the rule set defines."""
        for name, node in self.ruleset.amounts.items():
            title = self.speaker.name(name)
            yield _item(f"{title} ({name}): {self.speaker.number(node)}.")

    def rules(self) -> Iterator[str]:
        """Every rule in order."""
        for index, rule in enumerate(self.ruleset.rules):
            if index:
                yield ""
            yield from self.rule(rule)

    def rule(self, rule: Rule) -> Iterator[str]:
        """One rule: when it is asked, what must hold, the ladder below, what is owed."""
        origin = f", from {rule.origin}" if rule.origin else ""
        yield _item(f"{rule.title} ({rule.id}{origin})", mark="")
        for said in self.rule_lines(rule):
            yield _item(said, indent="  ")

    def rule_lines(self, rule: Rule) -> Iterator[str]:
        """The sentences of one rule."""
        if rule.applies != n.always():
            yield f"Asked only where {self.speaker.condition(rule.applies)}."
        yield self.speaker.sentence(rule.require)
        for band in rule.or_else:
            when = (
                "" if band.require == n.always() else f", if {self.speaker.condition(band.require)}"
            )
            says = f": {band.says}" if band.says else ""
            owed = f" Owed then: {', '.join(band.documents)}." if band.documents else ""
            yield f"If not: {band.outcome}{when}{says}.{owed}"
        if rule.documents:
            yield f"Owed in any case: {', '.join(rule.documents)}."
        for force, day in (("In force since", rule.since), ("No longer in force from", rule.until)):
            if day is not None:
                yield f"{force} {day.isoformat()}."
        if rule.caution:
            yield f"Caution: {rule.caution}"
        if rule.note:
            yield rule.note
        yield f"Source: {rule.citation}."
        if rule.citation.source.is_remembered:
            yield 'Written from memory, so that the program answers "cannot tell".'

    def results(self) -> Iterator[str]:
        """Figures, duties, fees, permits and forms."""
        for index, result in enumerate(self.ruleset.results):
            if index:
                yield ""
            origin = f", from {result.origin}" if result.origin else ""
            yield _item(f"{result.title} ({result.kind} {result.id}{origin})", mark="")
            for said in self.result_lines(result):
                yield _item(said, indent="  ")

    def result_lines(self, result: Result) -> Iterator[str]:
        """The sentences of one result."""
        if result.says:
            yield result.says
        if result.amount is not None:
            yield f"How much: {self.speaker.number(result.amount)}."
        if result.when != n.always():
            verb = "Shown" if result.kind == "figure" else "Owed"
            yield f"{verb} where {self.speaker.condition(result.when)}."
        elif result.kind != "figure":
            yield "Owed in any case."
        if result.documents:
            yield f"To hand in then: {', '.join(result.documents)}."
        days = (("In force since", result.since), ("No longer in force from", result.until))
        for force, day in days:
            if day is not None:
                yield f"{force} {day.isoformat()}."
        if result.note:
            yield result.note
        yield f"Source: {result.citation}."

    def readings(self) -> Iterator[str]:
        """The unclear clauses, with the ways to read them."""
        for choice in self.ruleset.readings.values():
            yield _item(f"{choice.question} ({choice.id})")
            for option, title in choice.options.items():
                used = ", used until the office has answered" if option == choice.default else ""
                yield _item(f"{option}: {title}{used}", indent="  ")

    def submission(self) -> Iterator[str]:
        """What the office asks for with an application."""
        for said in submission_sentences(self.ruleset, self.speaker):
            yield _item(said)

    def sources(self) -> Iterator[str]:
        """What is cited and how far it was read."""
        for source in self.ruleset.sources.values():
            edition = f", {source.edition}" if source.edition else ""
            compared = f"; compared {source.compared}" if source.compared else ""
            url = f" <{source.url}>" if source.url else ""
            note = f" {source.note}" if source.note else ""
            yield _item(f"{source.document}{edition} ({source.reading}{compared}).{note}{url}")
