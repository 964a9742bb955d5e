"""The tables of a report on drainage."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.showing import show, show_number
from checker.core.units import AREA, LENGTH, RATIO, SPEED, TIME, UNIT, Amount
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.cases import (
    AFTER_S,
    NEVER_S,
    astray_m3,
    design_cases,
    design_flows,
    rare_flows,
    surface_levels_m,
    ways_by_catchment,
)
from checker.measure.drainage.drawn import ground_of, storms_of, ways_of
from checker.measure.drainage.grades import fall_asked_fraction
from checker.measure.drainage.network import inverts, network_of, roughness_coefficient
from checker.measure.drainage.planes import planes
from checker.measure.drainage.rain import storm
from checker.measure.drainage.sheds import sheds
from checker.measure.partition import REST
from checker.pages.blocks import Bullets, Column, Table, TableRow, Text
from checker.words.amounts import clean

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.core.units import Dimension
    from checker.findings.checked import Checked
    from checker.pages.blocks import Block
    from checker.water.flows import Flows

SETTINGS: Final = (
    (
        "Rational method step by step through the storm, with plain arithmetic (1.00833 for cubic "
        "feet a second, inches an hour and acres)."
    ),
    (
        "Manning's equation in metres (1.4859 in feet); pipes pass up to their full-flow capacity "
        "whatever stands at their lower end."
    ),
    (
        "Grates and slots as weirs while shallow and as orifices when deep, the smaller flow, with "
        "the clogged share taken off edge and area alike."
    ),
    "Stores routed exactly along straight lines of a table; what comes in goes out or stays.",
    "When something is full or blocked, its water comes up at the lowest open top upstream of it.",
)
_ONTO: Final = {
    "own land": "own land",
    "street": "street",
    "neighbour": "a neighbour's land",
    "house": "house",
    "pool": "pool",
}
_SMALL: Final = {"us": ("in", 2), "metric": ("mm", 0)}
_RATES: Final = {"us": ("gal/min", 1), "metric": ("L/s", 2)}
_AMOUNTS: Final = {"us": ("gal", 0), "metric": ("m3", 2)}
_SPEEDS: Final = {"us": ("ft/s", 2), "metric": ("m/s", 2)}


class WaterPages:
    """Makes the parts for one site."""

    def __init__(self, checked: Checked) -> None:
        self.checked = checked
        self.survey = checked.survey
        self.system = checked.system

    def shown(self, value: float, dimension: Dimension) -> str:
        """A number in the unit of its dimension."""
        return show(Amount(value, dimension), self.system)

    def in_unit(self, value: float, choice: dict[str, tuple[str, int]]) -> str:
        """A number in a unit of a trade's choice."""
        unit, decimals = choice[self.system]
        return f"{show_number(value / UNIT[unit].size_si, decimals)} {unit}"

    def level(self, level_m: float | None) -> str:
        """A level, or a dash where none is known."""
        return "–" if level_m is None else self.shown(level_m, LENGTH)

    def rain(self) -> Iterator[Block]:
        """Storms, soil and what the calculation rests on."""
        said = []
        storms, ground, ways = storms_of(self.survey), ground_of(self.survey), ways_of(self.survey)
        for which, asked in (("design", storms.design), ("rare", storms.rare)):
            if asked is not None:
                rain = storm(self.survey, "design" if which == "design" else "rare")
                depth = self.in_unit(rain.depth_m, _SMALL)
                said.append(f"The {which} storm: {clean(rain.title)}, {depth} of rain.")
        if ground.measured_rate_m_per_s is not None:
            rate = self.shown(ground.measured_rate_m_per_s, SPEED)
            factor = ground.safety_factor
            text = "no safety factor is given" if factor is None else f"safety factor {factor:g}"
            said.append(f"Soil: measured {rate}, {text}.")
        said.append(
            f"Openings count as clogged by {ways.clogged_fraction:.0%} where no drain says more."
        )
        yield Bullets(tuple(said))
        yield Bullets(SETTINGS, "Settings of the calculation", "fine")

    def areas(self) -> Iterator[Block]:
        """Every part of the lot with where its water goes; the areas add up."""
        rows = []
        every = sheds(self.survey)
        for shed in every:
            name = "Rest of the lot" if shed.surface == REST else shed.surface
            rows.append(
                TableRow(
                    (
                        clean(f"{name}, {shed.panel}" if shed.panel else name),
                        self.shown(shed.area_m2, AREA),
                        show_number(shed.runoff_fraction, 2),
                        clean(shed.to) or "nowhere",
                        clean(shed.because),
                    )
                )
            )
        whole = math.fsum(shed.area_m2 for shed in every)
        lot = self.survey.partition("proposed").lot_area_m2
        note = f"the lot is {self.shown(lot, AREA)}"
        rows.append(TableRow(("All", self.shown(whole, AREA), "", "", note), "total"))
        columns = (
            Column("Part of the lot"),
            Column("Area", is_number=True),
            Column("Runoff share", is_number=True),
            Column("Goes to"),
            Column("How that was found"),
        )
        yield Table("Areas and where their water goes", columns, tuple(rows))

    def falls(self) -> Iterator[Block]:
        """The plane of every panel."""
        rows = []
        for name, plane in planes(self.survey).items():
            if isinstance(plane, NotMeasured):
                rows.append(TableRow((clean(name), "cannot tell", "", "", clean(str(plane)))))
                continue
            low = min(plane.lowest, key=plane.rise_m)
            known = plane.level_m is not None
            rows.append(
                TableRow(
                    (
                        clean(name),
                        show(Amount(plane.pitch_fraction, RATIO, "in/ft"), self.system),
                        f"{round(plane.toward_degrees) % 360}°",
                        self.level(plane.level_at_m(low) if known else None),
                        self.in_unit(plane.misfit_m, _SMALL),
                    )
                )
            )
        columns = (
            Column("Panel"),
            Column("Fall", is_number=True),
            Column("Toward, from the top of the plan", is_number=True),
            Column("Lowest level", is_number=True),
            Column("Farthest spot level off it", is_number=True),
        )
        yield Table("Planes of the paving", columns, tuple(rows))
        yield Text(("1/4 in per ft is 1 in 48 and 2.08 %: four feet fall one inch.",), "fine")

    def drains(self) -> Iterator[Block]:
        """Drains and pipes with what comes to them."""
        flows, network = design_flows(self.survey), network_of(self.survey)
        rows = []
        for inlet in network.inlets:
            peak = flows.peak_m3_per_s(inlet.id, over_surface=True)
            stand = flows.stands.get(inlet.id)
            rows.append(
                TableRow(
                    (
                        clean(inlet.id),
                        self.level(inlet.rim_m),
                        self.in_unit(peak, _RATES),
                        self.in_unit(inlet.capacity_m3_per_s, _RATES),
                        self.in_unit(stand.depth_m if stand else 0.0, _SMALL),
                        clean(inlet.spills_to) or "nowhere",
                    )
                )
            )
        columns = (
            Column("Drain"),
            Column("Rim", is_number=True),
            Column("Peak that comes", is_number=True),
            Column("Takes before it spills", is_number=True),
            Column("Water over it", is_number=True),
            Column("Then goes to"),
        )
        yield Table("Drains", columns, tuple(rows))
        yield self._pipe_table(flows)

    def _pipe_table(self, flows: Flows) -> Table:
        rows = []
        capacities = {pipe.id: pipe.capacity_m3_per_s for pipe in network_of(self.survey).pipes}
        for pipe in ways_of(self.survey).pipes:
            slope, size_m = inverts(pipe).slope_fraction, pipe.diameter_m or 0.0
            peak, full = flows.peak_m3_per_s(pipe.id), capacities[pipe.id]
            rows.append(
                TableRow(
                    (
                        clean(pipe.id),
                        self.in_unit(size_m, _SMALL),
                        show_number(roughness_coefficient(pipe), 3),
                        show(Amount(slope, RATIO, "%"), self.system),
                        show(Amount(fall_asked_fraction(size_m), RATIO, "%"), self.system),
                        self.in_unit(peak, _RATES),
                        self.in_unit(full, _RATES),
                        f"{show_number(100 * peak / full if full > 0 else 0.0, 0)} %",
                    )
                )
            )
        columns = (
            Column("Pipe"),
            *(
                Column(title, is_number=True)
                for title in (
                    "Inside", "n", "Fall", "Fall asked", "Peak", "Carries full", "Share used",
                )
            ),
        )  # fmt: skip
        return Table("Pipes", columns, tuple(rows))

    def stores(self) -> Iterator[Block]:
        """Stores with their highest water and how long they take to empty."""
        flows, network = design_flows(self.survey), network_of(self.survey)
        if not network.stores:
            yield Text(("None are drawn.",))
            return
        rows = []
        for store in network.stores:
            stand = flows.stands[store.id]
            took = stand.emptied_s or 0.0
            emptied = "never" if took >= NEVER_S else self.shown(took, TIME)
            rows.append(
                TableRow(
                    (
                        clean(store.id),
                        self.level(store.shape.bottom_m),
                        self.in_unit(store.shape.stored_m3[-1], _AMOUNTS),
                        self.in_unit(flows.volume_m3(store.id), _AMOUNTS),
                        self.level(stand.level_m),
                        "no, it is full" if stand.over else "yes",
                        emptied,
                    )
                )
            )
        titles = (
            "Bottom",
            "Holds",
            "Comes in the storm",
            "Highest water",
            "Holds it",
            "Empty after the rain",
        )
        columns = (Column("Store"), *(Column(title, is_number=True) for title in titles))
        yield Table("Stores in the design storm", columns, tuple(rows))
        hours = show_number(AFTER_S / 3600, 0)
        yield Text(
            (f"Followed step by step for {hours} h after the rain, then worked out.",), "fine"
        )

    def blocked(self) -> Iterator[Block]:
        """Independent ways out, and every blocked case."""
        network = network_of(self.survey)
        columns = (Column("Drained area"), Column("Ways out", is_number=True), Column("They are"),
                   Column("Lost together, no way is left"))  # fmt: skip
        rows = [
            TableRow(
                (
                    clean(ways.catchment),
                    str(ways.count),
                    "; ".join(clean(" → ".join(path)) for path in ways.paths),
                    clean(" and ".join(ways.cut)),
                )
            )
            for ways in ways_by_catchment(self.survey)
        ]
        yield Table("Ways out that share nothing that can silt up", columns, tuple(rows))
        cases = design_cases(self.survey)
        floor_m = ways_of(self.survey).lowest_floor_m
        found = []
        for index, flows in enumerate(cases.cases):
            levels = surface_levels_m(self.survey, flows)
            highest = max(levels, key=lambda name: levels[name], default="")
            room = "not given" if floor_m is None else ""
            if highest and floor_m is not None:
                room = self.in_unit(floor_m - levels[highest], _SMALL)
            over = [
                f"{edge.id} ({_ONTO[edge.onto]}) {self.in_unit(flows.volume_m3(edge.id), _AMOUNTS)}"
                for edge in network.edges
                if flows.volume_m3(edge.id) > 0
            ]
            found.append(
                TableRow(
                    (
                        f"{index} {clean(' and '.join(flows.blocked)) or 'nothing'}",
                        f"{clean(highest)} {self.level(levels[highest])}" if highest else "none",
                        room,
                        clean("; ".join(over)) or "none",
                        self.in_unit(astray_m3(network, flows), _AMOUNTS),
                        clean(" → ".join(_worst_path(flows, network.catchments))),
                    )
                )
            )
        titles = ("Highest water on the surface", "Below the lowest floor", "Over edges", "Astray",
                  "Way of the drained area that it changes most")  # fmt: skip
        yield Table(
            "The design storm with each thing blocked in turn, and with the worst two",
            (Column("Blocked"), *(Column(title) for title in titles)),
            tuple(found),
        )
        says = "Astray is water into house or pool, onto a neighbour's land, or without any way."
        yield Text((says,), "fine")

    def rare(self) -> Iterator[Block]:
        """Where the rare storm overflows."""
        flows, network = rare_flows(self.survey), network_of(self.survey)
        rows = [
            TableRow(
                (
                    clean(edge.id),
                    _ONTO[edge.onto],
                    self.in_unit(flows.peak_m3_per_s(edge.id), _RATES),
                    self.in_unit(flows.volume_m3(edge.id), _AMOUNTS),
                    self.level(flows.stands[edge.id].level_m if edge.id in flows.stands else None),
                )
            )
            for edge in network.edges
        ]
        columns = (
            Column("Edge"),
            Column("Onto"),
            Column("Peak", is_number=True),
            Column("In all", is_number=True),
            Column("Highest water", is_number=True),
        )
        yield Table("Over the edges in the rare storm", columns, tuple(rows))
        astray = self.in_unit(astray_m3(network, flows), _AMOUNTS)
        yield Text(
            (f"Astray: {astray}. In the balance {abs(flows.balance_fraction):.0e} is missing.",)
        )


def _worst_path(flows: Flows, catchments: tuple[object, ...]) -> tuple[str, ...]:
    """The way of the first drained area whose water passes what is blocked, else of the first."""
    names = [str(getattr(item, "id", "")) for item in catchments]
    blocked = {name.split("/")[0] for name in flows.blocked}
    for name in names:
        path = flows.path(name)
        if blocked & {step.split("/")[0] for step in path}:
            return path
    return flows.path(names[0]) if names else ()
