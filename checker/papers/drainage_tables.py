"""The tables of drainage, once: report, terminal and packet print these.

Every number is a figure, so that it has one text wherever it stands; what a table lacks is said by
whoever asks for it.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.showing import named_in, show_number
from checker.core.units import AREA, FLOW, LENGTH, RATIO, TIME, VOLUME, Amount
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.cases import (
    AFTER_S,
    astray_m3,
    design_flows,
    rare_flows,
)
from checker.measure.drainage.drawn import storms_of, ways_of
from checker.measure.drainage.gathering import long_times
from checker.measure.drainage.grades import fall_asked_fraction
from checker.measure.drainage.network import inverts, network_of, roughness_coefficient
from checker.measure.drainage.planes import planes
from checker.measure.drainage.rain import storm
from checker.measure.drainage.sheds import sheds
from checker.pages.blocks import Column, Table, TableRow, numbers, texts_of
from checker.water.pipe_losses import can_pass_m3_per_s
from checker.words.amounts import NOTHING, clean

if TYPE_CHECKING:
    from checker.core.units import Dimension
    from checker.measure.drainage.rain import Which
    from checker.pages.blocks import TableCell
    from checker.water.flows import Flows
    from checker.words.brief import Brief

NOT_GIVEN: Final = "not given (not verified)"
_PURPOSES: Final = {
    "design": "design: what drains and stores must take",
    "rare": "rare: what may overflow, and where",
}
ONTO: Final = {
    "own land": "own land",
    "street": "street",
    "neighbour": "a neighbour's land",
    "house": "house",
    "pool": "pool",
}


class DrainageTables:
    """Makes the tables of one lot.

    Args:
        brief: What is read; its figures take the numbers in.
    """

    def __init__(self, brief: Brief) -> None:
        self.brief = brief
        self.survey = brief.survey

    # Numbers

    def figure(self, key: str, value_si: float, dimension: Dimension, unit: str = "") -> str:
        """The text of a number of the calculation."""
        amount = Amount(value_si, dimension, unit)
        return self.brief.figures.add(f"water.{key}", key.replace(".", " "), amount)

    def level(self, key: str, level_m: float | None) -> str:
        """A level, or a dash where none is known."""
        return NOTHING if level_m is None else self.figure(key, level_m, LENGTH)

    def small(self, key: str, value_m: float) -> str:
        """A small length: rain, the inside of a pipe, water over a grate."""
        amount = Amount(value_m, LENGTH)
        return self.brief.figures.add_small(f"water.{key}", key.replace(".", " "), amount)

    # What falls, and where it goes

    def rain(self) -> Table:
        """The storms."""
        asked = storms_of(self.survey)
        whiches: tuple[Which, ...] = ("design", "rare")
        rows = []
        for which in whiches:
            if which == "design" or asked.rare is not None:
                fallen = storm(self.survey, which)
                depth = self.small(f"{which}.depth", math.fsum(fallen.depths_m))
                title = named_in(fallen.title, self.brief.system)
                rows.append((_PURPOSES[which], clean(title), depth))
        columns = (
            Column("Storm and purpose", width=1.6),
            Column("What it is", width=2.2),
            *numbers("Depth"),
        )
        return Table("Storms and their purpose", columns, tuple(rows))

    def areas(self) -> Table:
        """Where the water of every part of the lot goes; the areas add up to the lot."""
        rows: list[tuple[str, ...]] = []
        every, long_times = sheds(self.survey), self.long_times()
        for index, shed in enumerate(every):
            part = f", panel {clean(shed.panel)}" if shed.panel else ""
            if shed.below:
                part += f", below {self.brief.keys.named(shed.below)}"
            rows.append(
                (
                    str(index + 1),
                    f"{self.brief.keys.named(shed.surface)}{part}",
                    shed.nature,
                    self.figure(f"shed.{index}.area", shed.area_m2, AREA),
                    self.figure(f"shed.{index}.runoff", shed.runoff_fraction, RATIO),
                    clean(shed.to) or "nowhere led",
                    clean(shed.because) + long_times.get(shed.panel, ""),
                )
            )
        whole = self.figure("shed.sum", math.fsum(shed.area_m2 for shed in every), AREA)
        lot = self.figure("lot", self.survey.partition("proposed").lot_area_m2, AREA)
        total = TableRow(("", "All", "", whole, "", "", f"the lot is {lot}"), "total")
        columns = (
            Column("No.", is_number=True, width=0.4),
            Column("Part of the lot", width=1.6),
            Column("Kind", width=0.7),
            *numbers("Area"),
            Column("Runoff share", is_number=True, width=0.8),
            Column("Goes to", width=1.1),
            Column("How found", width=1.8),
        )
        return Table("Areas and where their water goes", columns, (*rows, total), header=1)

    def long_times(self) -> dict[str, str]:
        """What is said of each typed time of concentration that is longer than reckoned."""
        said = {}
        for item in long_times(self.survey):
            typed, taken = (show_number(s / 60, 1) for s in (item.typed_s, item.taken_s))
            text = f"; {typed} min typed as time of concentration"
            if item.reckoned_s is not None:
                text += f", {show_number(item.reckoned_s / 60, 1)} min reckoned"
            text += f", {taken} min counted"
            source = f", as its source says: {clean(item.source)}"
            said[item.of] = text + (source if item.source else ": give 'concentration_source'")
        return said

    def inflows(self) -> Table:
        """Water that no surface of the lot sheds."""
        rows, long_times = [], self.long_times()
        for inflow in ways_of(self.survey).inflows:
            at = f"inflow.{inflow.id}"
            given = (
                ("area", inflow.area_m2, AREA),
                ("runoff", inflow.runoff_fraction, RATIO),
                ("flow", inflow.flow_m3_per_s, FLOW),
                ("time", inflow.duration_s, TIME),
            )
            amounts = (
                NOTHING if value is None else self.figure(f"{at}.{key}", value, dimension)
                for key, value, dimension in given
            )
            kind = inflow.kind + long_times.get(inflow.id, "")
            rows.append((clean(inflow.id), kind, *amounts, clean(inflow.to)))
        heads = ("Area", "Runoff share", "Flow", "Runs for")
        columns = (*texts_of("Water", "What it is"), *numbers(*heads), *texts_of("Goes to"))
        return Table("Water from elsewhere", columns, tuple(rows))

    def falls(self) -> Table:
        """The plane of every panel."""
        rows: list[tuple[str, ...]] = []
        for name, plane in planes(self.survey).items():
            if isinstance(plane, NotMeasured):
                rows.append((clean(name), "cannot tell", NOTHING, NOTHING, clean(str(plane))))
                continue
            low = min(plane.lowest, key=plane.rise_m)
            low_m = plane.level_at_m(low) if plane.level_m is not None else None
            pitch = Amount(plane.pitch_fraction, RATIO, "%")
            rows.append(
                (
                    clean(name),
                    self.brief.figures.add(f"pitch.{name}", f"fall of {name}", pitch),
                    f"{round(plane.toward_degrees) % 360}°",
                    self.level(f"panel.{name}.low", low_m),
                    self.small(f"panel.{name}.misfit", plane.misfit_m),
                )
            )
        heads = ("Fall", "Toward, from the top of the plan", "Lowest level", "Farthest level off")
        return Table("Planes of the paving", (*texts_of("Panel"), *numbers(*heads)), tuple(rows))

    # What takes it

    def drains(self) -> Table:
        """What comes to each drain, what it takes, and how high water stands over it."""
        flows, rows = design_flows(self.survey), []
        for inlet in network_of(self.survey).inlets:
            at, stand = f"drain.{inlet.id}", flows.stands.get(inlet.id)
            by_pass = math.fsum(
                link.volume_m3
                for link in flows.links
                if link.start == inlet.id and link.how in {"spills", "stands"}
            )
            peak = flows.asked_m3_per_s(inlet.id)
            rows.append(
                (
                    clean(inlet.id),
                    self.level(f"{at}.rim", inlet.rim_m),
                    self.figure(f"{at}.peak", peak, FLOW),
                    self.figure(f"{at}.takes", inlet.capacity_m3_per_s, FLOW),
                    self.small(f"{at}.depth", stand.depth_m if stand else 0.0),
                    self.figure(f"{at}.passes", by_pass, VOLUME),
                    clean(inlet.spills_to) or "nowhere",
                )
            )
        heads = ("Rim", "Peak that comes", "Takes before it spills", "Water over it", "Passes by")
        columns = (Column("Drain", width=1.2), *numbers(*heads), *texts_of("Then goes to"))
        return Table("Drains in the design storm", columns, tuple(rows))

    def pipes(self) -> Table:
        """Size, slope, what a pipe carries full, and its peak."""
        flows, network = design_flows(self.survey), network_of(self.survey)
        drawn = {pipe.id: pipe for pipe in ways_of(self.survey).pipes}
        rows = []
        for pipe in network.pipes:
            at, as_drawn = f"pipe.{pipe.id}", drawn[pipe.id]
            size_m, full = as_drawn.diameter_m or 0.0, pipe.capacity_m3_per_s
            peak = flows.asked_m3_per_s(pipe.id)
            passes = can_pass_m3_per_s(network, flows, pipe)
            share = self.figure(f"{at}.used", peak / passes, RATIO, "%") if passes > 0 else NOTHING
            key, title = f"water.{at}.diameter", f"inside of {pipe.id}"
            inside = self.brief.figures.add_size(key, title, Amount(size_m, LENGTH))
            rows.append(
                (
                    clean(pipe.id),
                    inside,
                    self.brief.figures.add_text(
                        f"water.{at}.n",
                        f"roughness of {pipe.id}",
                        f"{roughness_coefficient(as_drawn):.3f}",
                    ),
                    self.figure(f"{at}.slope", inverts(as_drawn).slope_fraction, RATIO, "%"),
                    self.figure(f"{at}.asked", fall_asked_fraction(size_m), RATIO, "%"),
                    self.figure(f"{at}.peak", peak, FLOW),
                    self.figure(f"{at}.full", full, FLOW),
                    self.figure(f"{at}.passes", passes, FLOW),
                    share,
                    clean(pipe.to),
                )
            )
        heads = ("Inside", "n", "Fall", "Fall asked", "Peak", "Carries full",
                 "Passes below the rim", "Share used")  # fmt: skip
        columns = (Column("Pipe", width=1.1), *numbers(*heads), Column("Leads to", width=1.1))
        return Table("Pipes in the design storm", columns, tuple(rows))

    def stores(self) -> Table:
        """What each store holds and takes, its highest water, and when it is empty."""
        flows, rows = design_flows(self.survey), []
        for store in network_of(self.survey).stores:
            at, stand = f"store.{store.id}", flows.stands.get(store.id)
            level = depth = holds = emptied = NOTHING
            if stand is not None:
                level = self.level(f"{at}.level", stand.level_m)
                depth = self.figure(f"{at}.depth", stand.depth_m, LENGTH)
                holds = "no, it is full" if stand.over else "yes"
            if stand is not None and stand.emptied_s is not None:
                emptied = self.figure(f"{at}.emptied", stand.emptied_s, TIME)
            rows.append(
                (
                    clean(store.id),
                    self.level(f"{at}.bottom", store.shape.bottom_m),
                    self.figure(f"{at}.holds", max(store.shape.stored_m3), VOLUME),
                    self.figure(f"{at}.into", flows.volume_m3(store.id), VOLUME),
                    level,
                    depth,
                    holds,
                    emptied,
                )
            )
        heads = ("Bottom", "Holds", "Comes in the storm", "Highest water", "Depth", "Holds it",
                 "Empty after the rain")  # fmt: skip
        columns = (Column("Store", width=1.2), *numbers(*heads))
        return Table("Storage in the design storm", columns, tuple(rows))

    # What leaves

    def leaving(self) -> Table:
        """What leaves at each place: outlets and edges, before and after."""
        flows, ways = design_flows(self.survey), ways_of(self.survey)
        rows: list[tuple[str, ...]] = []
        for end in ways.outfalls:
            after = self._passing(f"outlet.{end.id}", end.id, flows)
            rows.append((clean(end.id), end.kind, NOTHING, *after))
        for edge in ways.edges:
            at, before = f"edge.{edge.id}", NOT_GIVEN
            if edge.existing_m3_per_s is not None:
                before = self.figure(f"{at}.before", edge.existing_m3_per_s, FLOW)
            onto = f"edge onto {ONTO[edge.onto]}"
            rows.append((clean(edge.id), onto, before, *self._passing(at, edge.id, flows)))
        columns = (
            Column("Place", width=1.2),
            Column("What it is", width=1.3),
            *numbers("Peak before", "Peak after", "Volume after"),
        )
        return Table("What leaves, by place, in the design storm", columns, tuple(rows))

    def _passing(self, at: str, element: str, flows: Flows) -> tuple[str, str]:
        """Peak and volume at an outlet or an edge."""
        peak = self.figure(f"{at}.peak", flows.peak_m3_per_s(element), FLOW)
        return peak, self.figure(f"{at}.volume", flows.volume_m3(element), VOLUME)

    def rare(self) -> Table:
        """Where the rare storm overflows."""
        flows = rare_flows(self.survey)
        rows: list[tuple[TableCell, ...]] = []
        for edge in network_of(self.survey).edges:
            at, stand = f"rare.{edge.id}", flows.stands.get(edge.id)
            level = self.level(f"{at}.level", stand.level_m if stand else None)
            passing = self._passing(at, edge.id, flows)
            rows.append((clean(edge.id), ONTO[edge.onto], *passing, level))
        astray = self.figure("rare.astray", astray_m3(network_of(self.survey), flows), VOLUME)
        if rows:
            rows.append(TableRow(("Uncontrolled", "", "", astray, ""), "total"))
        columns = (*texts_of("Edge", "Onto"), *numbers("Peak", "In all", "Highest water"))
        return Table("Over the edges in the rare storm", columns, tuple(rows))

    def balance(self) -> Table:
        """Water in, out and kept: what is missing shows a mistake of the calculation."""
        flows = design_flows(self.survey)
        soaked = math.fsum(link.volume_m3 for link in flows.links if link.how == "soaks away")
        known = {edge.id for edge in network_of(self.survey).edges}
        known |= {end.id for end in ways_of(self.survey).outfalls}
        gone = math.fsum(flows.volume_m3(name) for name in sorted(known))
        rows = (
            ("Runoff of all areas that are led somewhere", flows.rain_m3, "runoff"),
            ("Left by outlets and edges", gone, "gone"),
            ("Soaked away", soaked, "soaked"),
            ("Stands without a way", flows.standing_m3, "standing"),
            (
                f"In stores and puddles {AFTER_S / 3600:.0f} h after the rain",
                flows.stored_m3,
                "kept",
            ),
        )
        cells = tuple((what, self.figure(f"balance.{key}", m3, VOLUME)) for what, m3, key in rows)
        share = self.figure("balance.missing", abs(flows.balance_fraction), RATIO, "%")
        cells = (*cells, ("Missing in the balance, of the runoff", share))
        return Table("Balance of water", (Column("What", width=3), *numbers("Amount")), cells)
