"""The lot of a worked example: names with values, and maybe surfaces with areas but no drawing."""

from __future__ import annotations

import re
from copy import copy
from typing import TYPE_CHECKING, Any, Final

from checker.algebra import nodes as n
from checker.algebra.scopes import SurfaceScope
from checker.algebra.tables import Spot
from checker.algebra.values import Missing, Quantity, certain, unknown
from checker.core.answers import day_hint, day_of, yes_or_no
from checker.core.problems import did_you_mean
from checker.core.units import AREA, LENGTH, Amount, UnreadableAmount, meets, read_amount
from checker.core.words import NO_WORK, WAS, WAS_NOTHING, WORK
from checker.measure.catalogue import LOT_MEASURES
from checker.rulesets.facts import read_fact
from checker.site.materials import materials

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from checker.algebra.tables import Split, Trim
    from checker.algebra.values import Context
    from checker.core.problems import Problems
    from checker.core.words import Word
    from checker.rulesets.rules import Example, RuleSet
    from checker.site.model import State

KEY: Final = re.compile(
    r"(?P<name>[a-z][a-z0-9_]*)(?: in (?P<region>[a-z][a-z0-9-]*))?"
    r"(?: \((?P<state>existing|proposed)\))?\Z"
)
"""How an example names an amount: `cover`, `cover in rear-yard`, `cover (existing)`."""

RESERVED: Final = frozenset({"surfaces", "site", "readings", "on_file", "date"})
_OWN_KEYS: Final = frozenset({"id", "area", "size", "was"})
_GROUPS: Final[dict[str, type]] = {"surfaces": list, "readings": dict, "on_file": list}

_At = tuple["str | int", ...]


class GivenLot:
    """What a worked example gives.

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
        self._spots: dict[State, list[Spot]] = {"existing": [], "proposed": []}
        self._on_file = frozenset(map(str, self._group("on_file")))
        self.options = {str(k): str(v) for k, v in dict(self._group("readings")).items()}
        self.day = self._read_day()
        for key, value in example.given.items():
            if key not in RESERVED:
                self._take(key, value)
        for reading, option in self.options.items():
            known = ruleset.words.readings.get(reading)
            if known is None or option not in known:
                says = f"'{option}' is no option of the reading '{reading}'"
                hint = did_you_mean(option, known) if known else ""
                self._wrong(
                    ("readings", reading), says, hint or did_you_mean(reading, ruleset.readings)
                )

    def _group(self, key: str) -> Any:  # noqa: ANN401 - plain data
        wanted = _GROUPS[key]
        found = self._example.given.get(key, wanted())
        if isinstance(found, wanted):
            return found
        self._wrong((key,), f"'{key}' is not a {'list' if wanted is list else 'group of keys'}")
        return wanted()

    def _read_day(self) -> date | None:
        if "date" not in self._example.given:
            return None
        given = self._example.given["date"]
        day = day_of(given)
        if day is None:
            self._wrong(("date",), f"'{given}' is no day", day_hint(given))
        return day

    def _wrong(self, path: _At, says: str, do: str = "") -> None:
        place = self._example.document.place(*self._example.path, "given", *path)
        self._problems.add(place, says, do)

    def _take(self, key: str, value: object) -> None:
        match = KEY.match(key)
        lot = self._ruleset.words.lot
        word = lot.get(match["name"]) if match else None
        if match is None or word is None:
            self._wrong((key,), f"'{key}' is not a known name", did_you_mean(key, lot))
            return
        region = match["region"] or ""
        if region and region not in self._ruleset.regions:
            hint = did_you_mean(region, self._ruleset.regions)
            self._wrong((key,), f"'{region}' is no region of this rule set", hint)
        place = self._example.document.place(*self._example.path, "given", key)
        read = read_fact(word, value, place, self._problems)
        if isinstance(read, Amount):
            state = "existing" if match["state"] == "existing" else ""
            self._numbers[n.Named(match["name"], state, region)] = certain(read)
        elif read is not None:
            self._facts[match["name"]] = read

    def again(self) -> GivenLot:
        """The same lot for another scope."""
        return copy(self)

    def bind(self, lot: Context) -> None:
        """Take the scope of the lot and make the spots of the surfaces given."""
        self._lot = lot
        self._spots = {"existing": [], "proposed": []}
        for index, item in enumerate(self._group("surfaces")):
            if isinstance(item, dict):
                self._add_surface(item, index)
            else:
                self._wrong(
                    ("surfaces", index), "a surface is a group of keys", "material, area ..."
                )

    def _add_surface(self, item: dict[str, Any], index: int) -> None:
        at: _At = ("surfaces", index)
        facts: dict[str, Any] = {"covered": False, "inside": frozenset[str](), "stage": "proposed"}
        facts[WORK] = NO_WORK
        if WORK in item:
            facts |= dict.fromkeys(("material", WAS, "nature", "purpose", "section", "use"), "")
        for name, value in item.items():
            if name in _OWN_KEYS:
                continue
            word = self._ruleset.words.surface.get(name)
            if word is None:
                hint = did_you_mean(name, {*self._ruleset.words.surface, *_OWN_KEYS})
                self._wrong((*at, name), f"'{name}' is no attribute", hint)
                continue
            facts[name] = self._value(word, value, (*at, name))
        if "was" in item and facts["stage"] != "replaced":
            says = f"'was' has no meaning where 'stage' is '{facts['stage']}'"
            self._wrong((*at, "was"), says, "remove it, or say 'stage: replaced'")
        if "material" in facts:
            today = item.get(WAS, facts["material"] if facts["stage"] != "proposed" else None)
            facts[WAS] = WAS_NOTHING if today is None else str(today)
        area_m2, split = self._extent(item, at, facts)
        facts["area"] = Amount(area_m2, AREA)
        name = str(item.get("id", f"{facts.get('material', 'surface')} {index + 1}"))
        if facts["stage"] != "removed":
            self._spots["proposed"].append(Spot(area_m2, (self._scope(name, facts),), split))
        if facts["stage"] != "proposed":
            self._spots["existing"].append(
                Spot(area_m2, (self._scope(name, self._today(item, at, facts)),), split)
            )

    def _today(self, item: dict[str, Any], at: _At, facts: dict[str, Any]) -> dict[str, Any]:
        """What a surface is before the work: of its former material where it is replaced."""
        if "was" not in item:
            return dict(facts)
        word = self._ruleset.words.surface["material"]
        former = str(self._value(word, item["was"], (*at, "was")))
        today = {name: value for name, value in facts.items() if name != "nature"}
        if former in materials() and materials()[former].purpose:
            today.pop("purpose", None)
        return today | {"material": former}

    def _scope(self, name: str, facts: dict[str, Any]) -> SurfaceScope:
        assert self._lot is not None
        facts = dict(facts)
        material = materials().get(str(facts.get("material", "")))
        if material is not None:
            facts.setdefault("nature", material.nature)
            if material.purpose:
                facts.setdefault("purpose", material.purpose)
        return SurfaceScope(name, facts, self._lot, self._ruleset.words)

    def _extent(
        self, item: dict[str, Any], at: _At, facts: dict[str, Any]
    ) -> tuple[float, Split | None]:
        """The area of a surface and, for one given as a rectangle, its area once trimmed."""
        try:
            if "size" not in item:
                area = read_amount(item["area"], AREA) if "area" in item else Amount(0.0, AREA)
                return area.value_si, None
            if "area" in item or not isinstance(item["size"], list) or len(item["size"]) != 2:
                self._wrong((*at, "size"), "'size' is a pair of lengths instead of 'area'")
                return 0.0, None
            width_m, length_m = sorted(read_amount(side, LENGTH).value_si for side in item["size"])
        except UnreadableAmount as error:
            self._wrong((*at, "size" if "size" in item else "area"), str(error))
            return 0.0, None
        facts.setdefault("width", Amount(width_m, LENGTH))

        if not width_m * length_m:
            return 0.0, None

        def split(trims: Sequence[Trim]) -> Sequence[tuple[float, frozenset[int]]]:
            kept_m2 = length_m * width_m
            for trim in trims:
                by_m = trim.width_m
                if trim.strip == "outer":
                    kept_m2 *= max(1 - 2 * by_m / length_m, 0.0) * max(1 - 2 * by_m / width_m, 0.0)
                elif trim.strip == "inner":
                    kept_m2 *= max(1 - by_m / width_m, 0.0)
                elif not meets(width_m, by_m, "at least"):
                    kept_m2 = 0.0
            lost_m2 = length_m * width_m - kept_m2
            return [(kept_m2, frozenset()), (lost_m2, frozenset({0}))]

        return length_m * width_m, split

    def _value(self, word: Word, value: object, path: _At) -> Any:  # noqa: ANN401 - any kind
        if word.name in {"inside", "over"}:
            return frozenset(map(str, value if isinstance(value, list) else [value]))
        answer = yes_or_no(value) if word.kind == "yes or no" else None
        if answer is not None:
            return answer
        place = self._example.document.place(*self._example.path, "given", *path)
        return read_fact(word, value, place, self._problems)

    def number(self, named: n.Named) -> Quantity | None:
        """A number the example gives; built-in measures it does not give are missing."""
        plain = n.Named(named.name, "" if named.state == "proposed" else named.state, named.region)
        found = self._numbers.get(plain)
        if found is not None:
            return found
        has_surfaces = "surfaces" in self._example.given
        if named.name in LOT_MEASURES or (named.name in self._ruleset.counts and not has_surfaces):
            return self._lacks(named)
        return None

    def _lacks(self, named: n.Named) -> Quantity:
        word = self._ruleset.words.lot[named.name]
        return unknown([Missing(named.name, "", word.ask or f"give {named.key}")], word.dimension)

    def fact(self, name: str) -> str | bool | date | Amount | None:
        """A fact the example gives."""
        return self._facts.get(name)

    def spots(self, state: str, region: str) -> Sequence[Spot] | Missing:
        """The surfaces the example gives; in a region, those that say they lie inside it."""
        spots = self._spots["existing" if state == "existing" else "proposed"]
        return [spot for spot in spots if region in _inside(spot)] if region else spots

    def surfaces(self) -> Iterable[Context]:
        """The scope of each surface given that is there after the work."""
        return [spot.layers[0] for spot in self._spots["proposed"]]

    def is_on_file(self, document: str) -> bool:
        """Whether the example says that a document exists."""
        return document in self._on_file


def _inside(spot: Spot) -> frozenset[str]:
    found = spot.layers[0].fact("inside")
    return found if isinstance(found, frozenset) else frozenset()
