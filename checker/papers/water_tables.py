"""Tables of the drainage calculation: areas, drains, pipes, stores, edges, blockages.

Every number is a figure; what a table lacks is said by whoever asks for it.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.units import AREA, FLOW, LENGTH, RATIO, TIME, VOLUME, Amount
from checker.measure.drainage.cases import (
    AFTER_S,
    NEVER_S,
    design_cases,
    design_flows,
    surface_levels_m,
    ways_by_catchment,
)
from checker.measure.drainage.drawn import ways_of
from checker.measure.drainage.network import inverts, network_of
from checker.measure.drainage.rain import storm
from checker.measure.drainage.sheds import sheds
from checker.measure.partition import REST
from checker.pages.blocks import Column, Table, TableRow
from checker.water.network import HARMED
from checker.words.amounts import clean

if TYPE_CHECKING:
    from checker.core.units import Dimension
    from checker.measure.drainage.rain import Which
    from checker.measure.survey import Survey
    from checker.papers.job import Job
    from checker.water.flows import Flows


_PURPOSES: Final = {
    "design": "design: what drains and stores must take",
    "rare": "rare: what may overflow, and where",
}


class WaterTables:
    """Makes the tables of one job.

    Args:
        job: What the documents read; takes the figures in.
    """

    def __init__(self, job: Job) -> None:
        self.job = job
        self.survey: Survey = job.checked.survey

    def figure(self, key: str, value_si: float, dimension: Dimension, unit: str = "") -> str:
        """The text of a number of the calculation."""
        amount = Amount(value_si, dimension, unit)
        return self.job.figures.add(f"water.{key}", key.replace(".", " "), amount)

    def small(self, key: str, value_m: float) -> str:
        """The text of a small length: rain, the inside of a pipe."""
        amount = Amount(value_m, LENGTH)
        return self.job.figures.add_small(f"water.{key}", key.replace(".", " "), amount)

    def rain(self) -> Table:
        """The storms."""
        rows = []
        whiches: tuple[Which, ...] = ("design", "rare")
        for which in whiches:
            if which == "rare" and not self._has_rare():
                continue
            fallen = storm(self.survey, which)
            depth = self.small(f"{which}.depth", math.fsum(fallen.depths_m))
            rows.append((_PURPOSES[which], clean(fallen.title), depth))
        columns = (
            Column("Storm and purpose", width=1.6),
            Column("What it is", width=2.2),
            Column("Depth", is_number=True),
        )
        return Table("Storms and their purpose", columns, tuple(rows))

    def _has_rare(self) -> bool:
        storms = self.job.checked.site.parts.get("storms", {})
        return "rare" in storms

    def areas(self) -> Table:
        """Where the water of every part of the lot goes; the areas add up to the lot."""
        rows = []
        for index, shed in enumerate(sheds(self.survey)):
            area = self.figure(f"shed.{index}.area", shed.area_m2, AREA)
            runoff = self.figure(f"shed.{index}.runoff", shed.runoff_fraction, RATIO)
            name = (
                self.job.keys.name(REST)
                if shed.surface == REST
                else self.job.keys.named(shed.surface)
            )
            part = f", panel {clean(shed.panel)}" if shed.panel else ""
            where = clean(shed.to) or "nowhere led"
            rows.append((f"{name}{part}", shed.nature, area, runoff, where, clean(shed.because)))
        whole = math.fsum(shed.area_m2 for shed in sheds(self.survey))
        sum_ = self.figure("shed.sum", whole, AREA)
        total = TableRow(("All", "", sum_, "", "", "adds up to the lot"), "total")
        columns = (
            Column("Part of the lot", width=1.6),
            Column("Kind", width=0.7),
            Column("Area", is_number=True),
            Column("Runoff share", is_number=True, width=0.8),
            Column("Goes to", width=1.1),
            Column("How found", width=1.8),
        )
        return Table("Areas and where their water goes", columns, (*rows, total))

    def drains(self) -> Table:
        """What comes to each drain, what it takes, and how high water stands over it."""
        flows, network = design_flows(self.survey), network_of(self.survey)
        rows = []
        for inlet in network.inlets:
            at = f"drain.{inlet.id}"
            peak = flows.peak_m3_per_s(inlet.id)
            stand = flows.stands.get(inlet.id)
            by_pass = math.fsum(
                link.volume_m3
                for link in flows.links
                if link.start == inlet.id and link.how in {"spills", "wells up", "stands"}
            )
            rows.append(
                (
                    clean(inlet.id),
                    self.figure(f"{at}.rim", inlet.rim_m, LENGTH),
                    self.figure(f"{at}.peak", peak, FLOW),
                    self.figure(f"{at}.takes", inlet.capacity_m3_per_s, FLOW),
                    self.figure(f"{at}.passes", by_pass, VOLUME),
                    self.figure(f"{at}.level", stand.level_m, LENGTH) if stand else "–",
                )
            )
        heads = ("Rim", "Peak to it", "Takes before it spills", "Passes by", "Highest water")
        columns = (Column("Drain", width=1.2), *(Column(head, is_number=True) for head in heads))
        return Table("Drains in the design storm", columns, tuple(rows))

    def pipes(self) -> Table:
        """Size, slope, what a pipe carries full, and its peak."""
        flows, network = design_flows(self.survey), network_of(self.survey)
        drawn = {pipe.id: pipe for pipe in ways_of(self.survey).pipes}
        rows = []
        for pipe in network.pipes:
            at, as_drawn = f"pipe.{pipe.id}", drawn[pipe.id]
            diameter_m = as_drawn.diameter_m or 0.0
            slope = inverts(as_drawn).slope_fraction
            peak = flows.peak_m3_per_s(pipe.id)
            used = peak / pipe.capacity_m3_per_s if pipe.capacity_m3_per_s > 0 else math.inf
            rows.append(
                (
                    clean(pipe.id),
                    self.small(f"{at}.diameter", diameter_m),
                    self.figure(f"{at}.slope", slope, RATIO, "%"),
                    self.figure(f"{at}.full", pipe.capacity_m3_per_s, FLOW),
                    self.figure(f"{at}.peak", peak, FLOW),
                    self.figure(f"{at}.used", used, RATIO, "%") if math.isfinite(used) else "–",
                    clean(pipe.to),
                )
            )
        heads = ("Inside diameter", "Slope", "Carries full", "Peak", "Share used")
        columns = (
            Column("Pipe", width=1.1),
            *(Column(head, is_number=True) for head in heads),
            Column("Leads to", width=1.1),
        )
        return Table("Pipes in the design storm", columns, tuple(rows))

    def stores(self) -> Table:
        """Most water in each store, its depth, and the time until it is empty."""
        flows, network = design_flows(self.survey), network_of(self.survey)
        rows = []
        for store in network.stores:
            at, stand = f"store.{store.id}", flows.stands.get(store.id)
            into = self.figure(f"{at}.into", flows.volume_m3(store.id), VOLUME)
            holds = self.figure(f"{at}.holds", max(store.shape.stored_m3), VOLUME)
            if stand is None:
                rows.append((clean(store.id), into, holds, "–", "–", "–"))
                continue
            emptied = "–"
            if stand.emptied_s is not None:
                emptied = "more than ten years"
                if stand.emptied_s < NEVER_S:
                    emptied = self.figure(f"{at}.emptied", stand.emptied_s, TIME)
            rows.append(
                (
                    clean(store.id),
                    into,
                    holds,
                    self.figure(f"{at}.level", stand.level_m, LENGTH),
                    self.figure(f"{at}.depth", stand.depth_m, LENGTH),
                    emptied,
                )
            )
        heads = ("Water into it", "Holds", "Highest water", "Depth", "Empty after the rain")
        columns = (Column("Store", width=1.2), *(Column(head, is_number=True) for head in heads))
        return Table("Stores in the design storm", columns, tuple(rows))

    def leaving(self) -> Table:
        """What leaves at each place: outlets and edges, before and after."""
        flows, ways = design_flows(self.survey), ways_of(self.survey)
        rows: list[tuple[str, ...]] = []
        for end in ways.outfalls:
            at = f"outlet.{end.id}"
            rows.append(
                (
                    clean(end.id),
                    end.kind,
                    "–",
                    self.figure(f"{at}.peak", flows.peak_m3_per_s(end.id), FLOW),
                    self.figure(f"{at}.volume", flows.volume_m3(end.id), VOLUME),
                )
            )
        for edge in ways.edges:
            at = f"edge.{edge.id}"
            before = "not given (not verified)"
            if edge.existing_m3_per_s is not None:
                before = self.figure(f"{at}.before", edge.existing_m3_per_s, FLOW)
            rows.append(
                (
                    clean(edge.id),
                    f"edge onto {edge.onto}",
                    before,
                    self.figure(f"{at}.peak", flows.peak_m3_per_s(edge.id), FLOW),
                    self.figure(f"{at}.volume", flows.volume_m3(edge.id), VOLUME),
                )
            )
        columns = (
            Column("Place", width=1.2),
            Column("What it is", width=1.3),
            Column("Peak before", is_number=True),
            Column("Peak after", is_number=True),
            Column("Volume after", is_number=True),
        )
        return Table("What leaves, by place, in the design storm", columns, tuple(rows))

    def balance(self) -> Table:
        """Water in, out and kept: what is missing shows a mistake of the calculation."""
        flows = design_flows(self.survey)
        ended = math.fsum(link.volume_m3 for link in flows.links if not link.end)
        known = {edge.id for edge in network_of(self.survey).edges}
        known |= {end.id for end in ways_of(self.survey).outfalls}
        gone = math.fsum(flows.volume_m3(name) for name in sorted(known))
        rows = (
            ("Runoff of all areas that are led somewhere", flows.rain_m3, "runoff"),
            ("Soaked away, left, or stands without a way", ended, "ended"),
            ("Of this, left by outlets and edges", gone, "gone"),
            (f"Still in stores {AFTER_S / 3600:.0f} h after the rain", flows.stored_m3, "kept"),
        )
        cells = tuple((what, self.figure(f"balance.{key}", m3, VOLUME)) for what, m3, key in rows)
        share = self.figure("balance.missing", abs(flows.balance_fraction), RATIO, "%")
        cells = (*cells, ("Missing in the balance, of the runoff", share))
        return Table(
            "Balance of water", (Column("What", width=3), Column("", is_number=True)), cells
        )

    def blocked(self) -> Table:
        """Each thing blocked in turn, and the worst two: where the water goes then."""
        cases = design_cases(self.survey)
        rows = [self._case(index, flows) for index, flows in enumerate(cases.cases)]
        columns = (
            Column("Blocked", width=1.8),
            Column("Into house, pool or to a neighbour", is_number=True, width=1.2),
            Column("Stands without a way", is_number=True),
            Column("Over edges", is_number=True),
            Column("Highest water", is_number=True),
        )
        return Table("Design storm with ways out blocked", columns, tuple(rows))

    def _case(self, index: int, flows: Flows) -> tuple[str, ...]:
        network = network_of(self.survey)
        at = f"blocked.{index}"
        harmed = math.fsum(flows.volume_m3(e.id) for e in network.edges if e.onto in HARMED)
        over = math.fsum(flows.volume_m3(edge.id) for edge in network.edges)
        levels = surface_levels_m(self.survey, flows)
        names = [clean(name).replace("/", ": ") for name in flows.blocked]
        return (
            " and ".join(names) or "nothing",
            self.figure(f"{at}.harmed", harmed, VOLUME),
            self.figure(f"{at}.standing", flows.standing_m3, VOLUME),
            self.figure(f"{at}.over", over, VOLUME),
            self.figure(f"{at}.level", max(levels.values()), LENGTH) if levels else "–",
        )

    def ways(self) -> Table:
        """How many ways out share nothing that can silt up, for each area."""
        rows = []
        for ways in ways_by_catchment(self.survey):
            count = self.job.figures.add_text(
                f"water.ways.{ways.catchment}", f"ways out of {ways.catchment}", str(ways.count)
            )
            paths = "; ".join(", ".join(map(clean, path)) for path in ways.paths)
            rows.append((clean(ways.catchment), count, paths or "none", ", ".join(ways.cut) or "–"))
        columns = (
            Column("Area", width=1.0),
            Column("Ways", is_number=True, width=0.5),
            Column("What each goes through", width=2.6),
            Column("Blocked together, no way is left", width=1.6),
        )
        return Table("Ways out that share nothing that can silt up", columns, tuple(rows))

    def levels(self) -> Table:
        """Floor and coping against the highest water of the worst case."""
        ways, cases = ways_of(self.survey), design_cases(self.survey)
        tops = [
            max(found.values())
            for flows in (cases.open, *cases.single)
            if (found := surface_levels_m(self.survey, flows))
        ]
        rows = []
        for name, level_m in (("Lowest floor", ways.lowest_floor_m), ("Coping", ways.coping_m)):
            if level_m is None:
                rows.append((name, "not given (not verified)", "–", "–"))
            elif not tops:
                rows.append((name, self.figure(f"level.{name}", level_m, LENGTH), "–", "–"))
            else:
                room = Amount(level_m - max(tops), LENGTH)
                key = f"water.room.{name}"
                rows.append(
                    (
                        name,
                        self.figure(f"level.{name}", level_m, LENGTH),
                        self.figure("level.highest", max(tops), LENGTH),
                        self.job.figures.add(key, f"{name} above water", room, signed=True),
                    )
                )
        heads = ("Its level", "Highest water, one thing blocked", "Room")
        columns = (Column("What"), *(Column(head, is_number=True) for head in heads))
        return Table("Levels of water against floor and coping", columns, tuple(rows))
