"""Redundancy and overflow: for every control, what happens when it is full, clogged or blocked.

What the drainage calculation knows is printed; what only a designer can say is a blank to fill in.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.formula import OutOfRange
from checker.core.problems import BadInput
from checker.core.records import Record
from checker.core.units import FLOW, LENGTH, VOLUME, Amount
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.cases import astray_m3, design_cases, rare_flows, surface_levels_m
from checker.measure.drainage.drawn import ways_of
from checker.measure.drainage.network import network_of
from checker.pages.blocks import Block, Column, Table, caution, para, part
from checker.pages.paper import Paper
from checker.papers.drainage_tables import ONTO, DrainageTables
from checker.papers.job import NOT_GIVEN
from checker.words.amounts import clean, part_text

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from checker.papers.job import Job
    from checker.site.drainage import Pit
    from checker.water.flows import Flows

_NEVER_ASKED: Final = "to be filled in by the designer"


class OverflowCase(Record):
    """One thing that can go wrong: what happens, the second way with its level, where it leaves."""

    when: str
    happens: str = ""
    second_way: str = ""
    leaves: str = ""

    @property
    def is_blank(self) -> bool:
        """Whether a designer has to fill it in."""
        return not (self.happens and self.second_way and self.leaves)


def overflow_cases(job: Job) -> tuple[OverflowCase, ...]:
    """Every case, as far as the calculation tells it; empty where no way out is drawn."""
    if "ways_out" not in job.checked.site.parts:
        return ()
    return tuple(_Cases(job).all())


class _Cases:
    def __init__(self, job: Job) -> None:
        self.job = job
        self.survey = job.survey
        self.ways = ways_of(self.survey)
        self.tables = DrainageTables(job)

    def all(self) -> Iterator[OverflowCase]:
        yield self.told("Storm above the design storm", self.rare)
        yield self.told("The thing that does most harm when it is blocked or clogged", self.worst)
        yield self.told("Two things blocked together, the worst two", self.worst_pair)
        for pit in self.ways.pits:
            when = f"{clean(pit.id)} full, its ground frozen or saturated"
            yield self.told(when, lambda pit=pit: self.without_soil(pit))  # type: ignore[misc]
        yield from self.pool()

    def told(self, when: str, work: Callable[[], Flows | None]) -> OverflowCase:
        try:
            flows = work()
        except (NotMeasured, OutOfRange, BadInput):
            flows = None
        if flows is None:
            return OverflowCase(when)
        key = f"overflow.{when.lower().replace(' ', '-').replace(',', '')}"
        levels = surface_levels_m(self.survey, flows)
        highest = max(levels, key=lambda name: levels[name], default="")
        gone_m3 = astray_m3(network_of(self.survey), flows)
        astray = self.tables.figure(f"{key}.astray", gone_m3, VOLUME)
        happens = f"{astray} uncontrolled" if gone_m3 > 0 else "no uncontrolled overflow"
        if flows.blocked:
            happens = f"{' and '.join(map(part_text, flows.blocked))} blocked; {happens}"
        second = "no water stands on the surface"
        if highest:
            level = self.tables.level(f"{key}.level", levels[highest])
            second = f"highest water {level} at {clean(highest)}"
            second += self.below(key, levels[highest])
        over = [
            f"{clean(edge.id)} ({ONTO[edge.onto]}) "
            + self.tables.figure(f"{key}.over.{edge.id}", flows.volume_m3(edge.id), VOLUME)
            for edge in self.ways.edges
            if flows.volume_m3(edge.id) > 0
        ]
        ends = [clean(e.id) for e in self.ways.outfalls if flows.volume_m3(e.id) > 0]
        leaves = "; ".join([*over, *(f"through {end}" for end in ends)])
        return OverflowCase(when, happens, second, leaves or "soaks in")

    def below(self, key: str, level_m: float) -> str:
        said = []
        for name, own_m in (("floor", self.ways.lowest_floor_m), ("coping", self.ways.coping_m)):
            if own_m is not None:
                room = Amount(own_m - level_m, LENGTH)
                title = f"{name} above the water, {key}"
                text = self.job.figures.add(f"{key}.{name}", title, room, signed=True)
                said.append(f"{name} {text} over it")
        return "".join(f"; {text}" for text in said)

    def rare(self) -> Flows:
        return rare_flows(self.survey)

    def worst(self) -> Flows:
        return self._worst_of(design_cases(self.survey).single) or design_cases(self.survey).open

    def worst_pair(self) -> Flows | None:
        return design_cases(self.survey).worst_pair or None

    def _worst_of(self, cases: Sequence[Flows]) -> Flows | None:
        network = network_of(self.survey)

        def harm(flows: Flows) -> tuple[float, float]:
            levels = surface_levels_m(self.survey, flows)
            return astray_m3(network, flows), max(levels.values(), default=0.0)

        return max(cases, key=harm, default=None)

    def without_soil(self, pit: Pit) -> Flows | None:
        wanted = (f"{pit.id}/soil",)
        found = (f for f in design_cases(self.survey).single if tuple(f.blocked) == wanted)
        return next(found, None)

    def pool(self) -> Iterator[OverflowCase]:
        """Rain on a full pool runs over its coping, to where the file leads that."""
        site = self.job.checked.site
        if not site.pools:
            return
        when = "Pool full and a cover on it"
        coping = next((s for s in site.surfaces if s.material.id == "pool-coping"), None)
        to = coping.attributes.get("drains_to") if coping is not None else None
        if not isinstance(to, str) or self.ways.coping_m is None:
            yield OverflowCase(when)
            return
        level = self.tables.level("overflow.coping", self.ways.coping_m)
        yield OverflowCase(
            when,
            f"rain on it runs over the coping onto {self.job.keys.named(to)}",
            f"coping at {level}",
            f"with the water of {self.job.keys.named(to)}, as above",
        )


def overflow_statement(job: Job, number: str, water: Sequence[Block]) -> Paper:
    """The statement.

    Args:
        job: What the documents read.
        number: Its number in the index.
        water: What the drainage calculation says of overflow; empty without one.
    """
    said = job.project.texts.get("overflow")
    cases = overflow_cases(job)
    blocks: list[Block] = [
        para(clean(said) if said else f"Where water goes when everything is full: {NOT_GIVEN}."),
    ]
    if not water:
        blocks.append(
            caution(
                "Not verified: no drainage calculation stands behind this statement. Give "
                "'ways_out', 'ground' and 'storms' in the site file."
            )
        )
    if cases:
        blocks += [_statement(cases), *_edges(job)]
    if water:
        blocks.append(part("By the drainage calculation", *water))
    return Paper(
        id="overflow-statement",
        number=number,
        title="Overflow and redundancy statement",
        blocks=tuple(blocks),
        is_empty=not cases and not water and not said,
    )


def _statement(cases: Sequence[OverflowCase]) -> Table:
    rows = tuple(
        (
            case.when,
            case.happens or _NEVER_ASKED,
            case.second_way or _NEVER_ASKED,
            case.leaves or _NEVER_ASKED,
        )
        for case in cases
    )
    columns = (
        Column("When", width=1.3),
        Column("What happens", width=1.3),
        Column("Second way and its level", width=1.8),
        Column("Where it leaves", width=1.6),
    )
    return Table("What happens when an outlet is full, clogged or blocked", columns, rows)


def _edges(job: Job) -> Iterator[Table]:
    """Where water leaves over the surface: the level of each edge, and what protects the ground."""
    ways, tables = ways_of(job.survey), DrainageTables(job)
    rows = []
    for edge in ways.edges:
        crest = below = NOT_GIVEN
        if edge.crest_m is not None:
            crest = tables.level(f"edge.{edge.id}.crest", edge.crest_m)
            rooms = [
                f"{name} {tables.small(f'edge.{edge.id}.{name}', own_m - edge.crest_m)}"
                for name, own_m in (("floor", ways.lowest_floor_m), ("coping", ways.coping_m))
                if own_m is not None
            ]
            below = "; ".join(rooms) or NOT_GIVEN
        before = NOT_GIVEN
        if edge.existing_m3_per_s is not None:
            before = tables.figure(f"edge.{edge.id}.before", edge.existing_m3_per_s, FLOW)
        rows.append((clean(edge.id), crest, below, ONTO[edge.onto], before, ""))
    if rows:
        columns = (
            Column("Edge", width=0.9),
            Column("Crest", is_number=True, width=0.7),
            Column("Lies below", width=1.3),
            Column("Leads to", width=0.8),
            Column("Flow before", is_number=True, width=0.9),
            Column("Protection of the ground there (designer)", width=1.6),
        )
        yield Table("Ways over the surface", columns, tuple(rows))
