"""What a search must reach and what it may do: the part `goal` of a site file."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final, Literal

from checker.core.problems import Problems, did_you_mean
from checker.core.records import Record, field
from checker.core.units import AREA, LENGTH, RATIO, Amount, UnreadableAmount, read_amount
from checker.files.shape import check_shape
from checker.findings.declared import read_declared
from checker.site.materials import materials
from checker.site.values import read_attributes, read_size

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from checker.core.units import System
    from checker.rulesets.rules import RuleSet
    from checker.site.model import Site, Surface, Value

Find = Literal["least cost", "least area", "most deck kept"]

MODULE_M: Final[dict[System, float]] = {"us": 0.1524, "metric": 0.15}
"""Six inches, or 15 cm: the module that widths are multiples of when the goal gives none."""

LEAST_WIDTH_M: Final[dict[System, float]] = {"us": 0.9144, "metric": 0.9}
"""Three feet, or 90 cm: the narrowest piece that is made when the goal gives no width."""


class AsBuilt(Record, kw_only=True):
    """What new surfaces of a material will be like; to be proven when they are built.

    Attributes:
        attributes: By attribute name.
        section: The id of their pavement section; may be empty.
    """

    attributes: Mapping[str, Value]
    section: str = ""


class Way(Record, kw_only=True):
    """How one surface may change.

    Attributes:
        change: All of it or nothing, a band along an edge, or whole bays.
        along: The edge that a band follows; empty for the lawn side, else the longest.
        bay_m: Length and width of one bay; empty unless it changes by bays.
    """

    change: Literal["whole", "band", "bays"] = "band"
    along: str = ""
    bay_m: tuple[float, float] | None = None


class Goal(Record, kw_only=True):
    """What a search must reach and what it may do.

    Attributes:
        find: What is best.
        rules: Ids of the rules to be met; empty for all.
        reserve: Room to keep at each limit: an area, or a share of the limit; None for none.
        accepts_conditions: A rule that passes with conditions is good enough.
        removable: Ids of surfaces that may be taken out.
        as_built: What new surfaces will be like, by material.
        to_be_on_file: Documents that will be handed in.
        counts_savings: What is not built pays for other changes.
        module_m: Widths are rounded up to this.
        least_width_m: No piece is made narrower than this.
        ways: How single surfaces may change, by id.
    """

    find: Find = "least cost"
    rules: tuple[str, ...] = ()
    reserve: Amount | None = None
    accepts_conditions: bool = True
    removable: frozenset[str] = frozenset()
    as_built: Mapping[str, AsBuilt] = field(default_factory=dict)
    to_be_on_file: tuple[str, ...] = ()
    counts_savings: bool = False
    module_m: float = MODULE_M["us"]
    least_width_m: float = LEAST_WIDTH_M["us"]
    ways: Mapping[str, Way] = field(default_factory=dict)

    def way(self, surface_id: str) -> Way:
        """How a surface may change."""
        return self.ways.get(surface_id, Way())

    def is_open(self, surface: Surface) -> bool:
        """Whether a surface may change at all."""
        if surface.is_fixed or surface.stage == "removed":
            return False
        others = [material for material in surface.may_become if material != surface.material]
        return bool(others) or surface.id in self.removable


def goal_of(site: Site, ruleset: RuleSet, *, must_be_open: bool = True) -> Goal:
    """The goal that a site file gives, or the plain one: least cost, every rule, no reserve.

    Args:
        site: The site.
        ruleset: Its rules.
        must_be_open: Some surface must be one that may change; a design on which all work is done
            can be judged but not searched.

    Raises:
        BadInput: It names something unknown, gives something unusable, or nothing is open.
    """
    data: dict[str, Any] = {}
    if "goal" in site.parts:
        data = check_shape("goal", site.parts["goal"], site.document, ("goal",))
    reading = _Reading(site, ruleset, data)
    goal = reading.goal()
    if must_be_open:
        reading.refuse_if_closed(goal)
    reading.problems.stop_if_any(f"{site.document.file} cannot be searched for a change")
    return goal


class _Reading:
    """One walk over the part `goal`."""

    def __init__(self, site: Site, ruleset: RuleSet, data: dict[str, Any]) -> None:
        self.site = site
        self.ruleset = ruleset
        self.data = data
        self.document = site.document
        self.problems = Problems()
        self.surfaces = {surface.id: surface for surface in site.surfaces}

    def goal(self) -> Goal:
        data = self.data
        rules = {rule.id for rule in self.ruleset.rules}
        self.known(data.get("rules", ()), rules, "rule of this place", "rules")
        self.may_change(data.get("may_be_removed", ()), "may_be_removed")
        self.may_change(data.get("surfaces", {}), "surfaces")
        self.known(data.get("as_built", ()), materials(), "material", "as_built")
        return Goal(
            find=data.get("find", "least cost"),
            rules=tuple(data.get("rules", ())),
            reserve=self.reserve(),
            accepts_conditions=data.get("conditions", "accepted") == "accepted",
            removable=frozenset(data.get("may_be_removed", ())),
            as_built={name: self.built(name, item) for name, item in self.part("as_built")},
            to_be_on_file=tuple(data.get("to_be_on_file", ())),
            counts_savings=data.get("savings", "shown") == "counted",
            module_m=self.length_m("module") or MODULE_M[self.site.own_system],
            least_width_m=self.length_m("least_width") or LEAST_WIDTH_M[self.site.own_system],
            ways={name: self.way(name, item) for name, item in self.part("surfaces")},
        )

    def part(self, key: str) -> Iterable[tuple[str, dict[str, Any]]]:
        found: dict[str, dict[str, Any]] = self.data.get(key, {})
        return found.items()

    def known(self, names: Iterable[str], allowed: Iterable[str], what: str, key: str) -> None:
        allowed = set(allowed)
        for index, name in enumerate(names):
            if name not in allowed:
                at = name if isinstance(self.data[key], dict) else index
                place = self.document.key_place("goal", key, at)
                self.problems.add(place, f"'{name}' is no {what}", did_you_mean(name, allowed))

    def may_change(self, names: Iterable[str], key: str) -> None:
        names = tuple(names)
        self.known(names, self.surfaces, "surface", key)
        for index, name in enumerate(names):
            if name in self.surfaces and self.surfaces[name].is_fixed:
                at = name if isinstance(self.data[key], dict) else index
                place = self.document.key_place("goal", key, at)
                self.problems.add(
                    place, f"'{name}' is fixed", "take out its 'fixed: yes', or this line"
                )

    def reserve(self) -> Amount | None:
        if "reserve" not in self.data:
            return None
        place = self.document.place("goal", "reserve")
        given = self.data["reserve"]
        try:
            read = read_amount(given)
        except UnreadableAmount as error:
            self.problems.add(place, f"'reserve': {error}")
            return None
        if read.dimension not in {AREA, RATIO} or (read.dimension == RATIO and read.unit != "%"):
            says = f"'reserve' is '{given}'"
            self.problems.add(place, says, "give an area, or a per cent of the limit")
        elif read.value_si < 0:
            says = f"'reserve' is '{given}', below zero"
            self.problems.add(place, says, "give it without a minus sign")
        elif read.dimension == RATIO and read.value_si >= 1:
            says = f"'reserve' is '{given}': nothing of the limit is left"
            self.problems.add(place, says, "give less than 100 %")
        return read

    def built(self, name: str, item: dict[str, Any]) -> AsBuilt:
        at = ("goal", "as_built", name)
        section = item.get("section", "")
        sections = self.site.parts.get("sections", {})
        if section and section not in sections:
            place = self.document.place(*at, "section")
            says = f"there is no section '{section}'"
            self.problems.add(place, says, did_you_mean(section, sections) or "add it: 'sections'")
        given = {key: value for key, value in item.items() if key != "section"}
        others: dict[str, Any] = {}
        owner, problems = f"new {name}", self.problems
        attributes = read_attributes(given, self.document, at, owner, problems, others)
        asked = self.ruleset.attributes
        for key in sorted(others.keys() - asked.keys()):
            says = f"'{key}' is no attribute of a surface that this place knows"
            problems.add(self.document.key_place(*at, key), says, did_you_mean(key, asked))
        attributes |= read_declared(self.document, self.ruleset, others, at, problems)
        return AsBuilt(attributes=attributes, section=section)

    def length_m(self, key: str) -> float | None:
        if key not in self.data:
            return None
        place = self.document.place("goal", key)
        read = read_size(self.data[key], LENGTH, f"'{key}'", place, self.problems)
        if read is not None and read.value_si == 0:
            self.problems.add(place, f"'{key}' is zero", "give a length above zero")
            return None
        return read.value_si if read is not None else None

    def way(self, name: str, item: dict[str, Any]) -> Way:
        at = ("goal", "surfaces", name)
        change = item.get("change", "bays" if "bay" in item else "band")
        sizes: list[float] = []
        for index, given in enumerate(item.get("bay", ())):
            place = self.document.place(*at, "bay", index)
            read = read_size(given, LENGTH, f"'bay' of {name}", place, self.problems)
            if read is not None and read.value_si > 0:
                sizes.append(read.value_si)
            elif read is not None:
                self.problems.add(place, f"'bay' of {name} is zero", "give a length above zero")
        if change == "bays" and "bay" not in item:
            do = "give the size of one: bay: [10 ft, 10 ft]"
            self.problems.add(self.document.place(*at), f"'bay' of {name} is missing", do)
        if change != "bays" and "bay" in item:
            place = self.document.key_place(*at, "bay")
            self.problems.add(place, f"'bay' of {name} has no meaning with 'change: {change}'")
        return Way(
            change=change,
            along=item.get("along", ""),
            bay_m=(sizes[0], sizes[-1]) if sizes else None,
        )

    def refuse_if_closed(self, goal: Goal) -> None:
        if self.problems or any(goal.is_open(surface) for surface in self.site.surfaces):
            return
        self.problems.add(
            self.document.place("surfaces"),
            "no surface may change",
            "give one 'may_become: [permeable-paving, ...]', or name it under "
            "'goal: may_be_removed'",
        )
