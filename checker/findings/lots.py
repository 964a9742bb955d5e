"""The two kinds of lot that a sheet reads from: a drawing, and what a worked example gives."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, Final

from checker.algebra import nodes as n
from checker.algebra.counting import Spot
from checker.algebra.parse_keys import YES, read_day
from checker.algebra.scopes import SurfaceScope
from checker.algebra.values import Missing, Quantity, certain
from checker.core.problems import Problems, did_you_mean
from checker.core.units import AREA, Amount, UnreadableAmount, read_amount
from checker.measure.catalogue import LOT_MEASURES
from checker.measure.regions import NoRegion
from checker.measure.survey import Survey
from checker.rulesets.facts import read_fact
from checker.site.materials import materials

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date

    from checker.algebra.values import Context
    from checker.algebra.vocabulary import Word
    from checker.rulesets.rules import Example, RuleSet
    from checker.site.model import Site

Value = "str | bool | date | Amount"


class DrawnLot:
    """A surveyed drawing.

    Args:
        site: The lot as drawn.
        ruleset: The rules whose regions it is cut by.
        facts: The site's facts, read by the rule set's kinds.
    """

    def __init__(
        self, site: Site, ruleset: RuleSet, facts: Mapping[str, str | bool | date | Amount]
    ) -> None:
        self.survey = Survey(
            site, ruleset.words, ruleset.regions, sorted(regions_told_apart(ruleset))
        )
        self._facts = facts
        self._on_file = {
            key
            for item in site.on_file
            for key in ((f"{item.document} of {item.of}",) if item.of else (item.document,))
        }

    def bind(self, lot: Context) -> None:
        """Take the scope of the lot."""
        self.survey.bind(lot)

    def number(self, named: n.Named) -> Quantity | None:
        """A built-in measure; None for names that the rule set defines."""
        return self.survey.number(named) if named.name in LOT_MEASURES else None

    def fact(self, name: str) -> str | bool | date | Amount | None:
        """A fact of the site file, or a measure that is a text or a truth."""
        if name in LOT_MEASURES:
            found = self.survey.measured(name)
            return found if isinstance(found, str | bool) else None
        return self._facts.get(name)

    def spots(self, state: str, region: str) -> Sequence[Spot] | Missing:
        """The spots of a state, cut to a region when one is named."""
        which = "existing" if state == "existing" else "proposed"
        try:
            if region:
                return self.survey.spots_within(which, region)  # type: ignore[arg-type]
            return self.survey.spots(which)  # type: ignore[arg-type]
        except NoRegion as lacks:
            return Missing(region, "", str(lacks))

    def surfaces(self) -> Iterable[Context]:
        """The scope of each surface."""
        return self.survey.surfaces()

    def is_on_file(self, document: str) -> bool:
        """Whether a document exists."""
        return document in self._on_file


def regions_told_apart(ruleset: RuleSet) -> set[str]:
    """The regions that any `inside:` test of a rule set names."""
    from checker.algebra.walk import nodes

    trees: list[object] = [rule.require for rule in ruleset.rules]
    trees += [rule.applies for rule in ruleset.rules]
    trees += [tuple(table.rows) for table in ruleset.counts.values()]
    return {
        str(value)
        for tree in trees
        for node in nodes(tree)
        if isinstance(node, n.Is) and node.name == "inside"
        for value in node.values
        if value in ruleset.regions
    }


_KEY: Final = re.compile(
    r"(?P<name>[a-z][a-z0-9_]*)(?: in (?P<region>[a-z][a-z0-9-]*))?(?: \((?P<state>\w+)\))?\Z"
)
RESERVED: Final = frozenset({"surfaces", "readings", "on_file", "date"})


class GivenLot:
    """What a worked example gives: names and values, and maybe surfaces with areas.

    Args:
        example: The example.
        ruleset: The rules whose names it uses.
        problems: Collects what cannot be read.
    """

    def __init__(self, example: Example, ruleset: RuleSet, problems: Problems) -> None:
        self._ruleset = ruleset
        self._example = example
        self._problems = problems
        self._numbers: dict[n.Named, Quantity] = {}
        self._facts: dict[str, str | bool | date | Amount] = {}
        self._lot: Context | None = None
        self._spots: dict[str, list[Spot]] = {}
        given = example.given
        self._on_file = frozenset(map(str, given.get("on_file", ())))
        self.options = {str(k): str(v) for k, v in dict(given.get("readings", {})).items()}
        self.day = read_day(given["date"]) if "date" in given else None
        for key, value in given.items():
            if key not in RESERVED:
                self._take(key, value)
        for reading in self.options:
            if self.options[reading] not in ruleset.words.readings.get(reading, ()):
                hint = did_you_mean(reading, ruleset.words.readings)
                self._wrong(("readings", reading), f"'{reading}' has no such option", hint)

    def _wrong(self, path: tuple[str | int, ...], says: str, do: str = "") -> None:
        place = self._example.document.place(*self._example.path, "given", *path)
        self._problems.add(place, says, do)

    def _take(self, key: str, value: object) -> None:
        match = _KEY.match(key)
        lot = self._ruleset.words.lot
        word = lot.get(match["name"]) if match else None
        if match is None or word is None:
            self._wrong((key,), f"'{key}' is not a known name", did_you_mean(key, lot))
            return
        place = self._example.document.place(*self._example.path, "given", key)
        read = read_fact(word, value, place, self._problems)
        if read is None:
            return
        if isinstance(read, Amount):
            state = match["state"] or ""
            region = match["region"] or ""
            self._numbers[n.Named(match["name"], state, region)] = certain(read)
        self._facts[match["name"]] = read

    def bind(self, lot: Context) -> None:
        """Take the scope of the lot and make the spots of the surfaces given."""
        self._lot = lot
        self._spots = {"existing": [], "proposed": []}
        for index, item in enumerate(self._example.given.get("surfaces", ())):
            self._add_surface(index, item)

    def _add_surface(self, index: int, item: Any) -> None:  # noqa: ANN401 - plain data
        if not isinstance(item, dict):
            self._wrong(("surfaces", index), "a surface is a group of keys", "material, area ...")
            return
        facts: dict[str, Any] = {"covered": False, "inside": frozenset[str](), "stage": "proposed"}
        for name, value in item.items():
            if name in {"area", "id"}:
                continue
            word = self._ruleset.words.surface.get(name)
            if word is None:
                hint = did_you_mean(name, self._ruleset.words.surface)
                self._wrong(("surfaces", index, name), f"'{name}' is no attribute", hint)
                continue
            facts[name] = self._value(word, value, ("surfaces", index, name))
        area_m2 = 0.0
        try:
            area_m2 = read_amount(item.get("area", 0), AREA).value_si if "area" in item else 0.0
        except UnreadableAmount as error:
            self._wrong(("surfaces", index, "area"), str(error))
        facts["area"] = Amount(area_m2, AREA)
        material = materials().get(str(facts.get("material", "")))
        if material is not None:
            facts.setdefault("nature", material.nature)
        name = str(item.get("id", f"{facts.get('material', 'surface')} {index + 1}"))
        assert self._lot is not None
        scope = SurfaceScope(name, facts, self._lot, self._ruleset.words)
        spot = Spot(area_m2, (scope,))
        if facts["stage"] != "removed":
            self._spots["proposed"].append(spot)
        if facts["stage"] != "proposed":
            self._spots["existing"].append(spot)

    def _value(self, word: Word, value: object, path: tuple[str | int, ...]) -> Any:  # noqa: ANN401
        if word.name in {"inside", "over"}:
            return frozenset(map(str, value if isinstance(value, list) else [value]))
        if word.kind == "yes or no" and isinstance(value, str | bool) and value in YES:
            return YES[value]
        place = self._example.document.place(*self._example.path, "given", *path)
        return read_fact(word, value, place, self._problems)

    def number(self, named: n.Named) -> Quantity | None:
        """A number the example gives; built-in measures it does not give are missing."""
        plain = n.Named(named.name, "" if named.state == "proposed" else named.state, named.region)
        for key in (named, plain):
            if key in self._numbers:
                return self._numbers[key]
        if named.name in self._ruleset.counts and not self._example.given.get("surfaces"):
            return None if named.name in self._ruleset.amounts else self._lacks(named)
        return self._lacks(named) if named.name in LOT_MEASURES else None

    def _lacks(self, named: n.Named) -> Quantity:
        word = self._ruleset.words.lot[named.name]
        missing = Missing(named.name, "", word.ask or f"give {named.key}")
        return Quantity(float("-inf"), float("inf"), word.dimension, (missing,))

    def fact(self, name: str) -> str | bool | date | Amount | None:
        """A fact the example gives."""
        return self._facts.get(name)

    def spots(self, state: str, region: str) -> Sequence[Spot] | Missing:
        """The surfaces the example gives; in a region, those that say they lie inside it."""
        spots = self._spots["existing" if state == "existing" else "proposed"]
        if not region:
            return spots
        return [spot for spot in spots if region in _inside(spot)]

    def surfaces(self) -> Iterable[Context]:
        """The scope of each surface given that is there after the work."""
        return [spot.layers[0] for spot in self._spots["proposed"]]

    def is_on_file(self, document: str) -> bool:
        """Whether the example says that a document exists."""
        return document in self._on_file


def _inside(spot: Spot) -> frozenset[str]:
    found = spot.layers[0].fact("inside")
    return found if isinstance(found, frozenset) else frozenset()
