"""How changes, their costs and their proof are said; the same words on every page."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.algebra.explain import Speaker
from checker.core.rounding import rounded
from checker.core.showing import show, show_number
from checker.core.units import AREA, LENGTH, UNIT, Amount
from checker.words.amounts import pair_text

if TYPE_CHECKING:
    from checker.core.units import System
    from checker.findings.model import Finding
    from checker.solve.layout import Piece
    from checker.solve.optimum import Aim
    from checker.solve.options import Option, Options

_SAME_M2: Final = 0.0046
"""Half of a tenth of a square foot: areas this near look alike on a page."""

CAUTION: Final = (
    "Have the changed layout checked before work starts: buried lines are located first, a pool "
    "shell, its bonding grid and barriers are the work of licensed trades, and water must not be "
    "sent onto a neighbour's land. Local codes come first."
)


def area(area_m2: float, system: System) -> str:
    """An area to a tenth of a square foot or a hundredth of a square metre."""
    return show(Amount(area_m2, AREA), system, decimals=1 if system == "us" else 2)


def up(area_m2: float, system: System) -> float:
    """An area rounded up to the last digit that is shown of it."""
    return rounded(area_m2, 0.1 * UNIT["sq ft"].size_si if system == "us" else 0.01, "up")


def length(length_m: float, system: System) -> str:
    """A length."""
    return show(Amount(length_m, LENGTH), system)


def money(cents: int) -> str:
    """Cents as dollars."""
    sign = "-" if cents < 0 else ""
    return f"{sign}${show_number(abs(cents) / 100, 2)}"


def cost(cents: int) -> str:
    """What a change costs beyond the design, or saves."""
    return f"saves {money(-cents)}" if cents < 0 else money(cents)


def instruction(piece: Piece, system: System) -> str:
    """What to do with one piece, as an instruction without a final stop."""
    surface, way = piece.way.surface, piece.way
    name = surface.title[0].lower() + surface.title[1:]
    whole = piece.is_all
    much = f"all {area(piece.area_m2, system)}" if whole else area(piece.area_m2, system)
    if way.material is None:
        verb = "leave" if surface.stage == "proposed" else "take out"
        text = f"{verb} {much} of the {name}"
        text += " unbuilt" if surface.stage == "proposed" else ""
    else:
        text = f"turn {much} of the {name} into {way.material.title.lower()}"
    if piece.width_m is not None:
        text += f": a band {length(piece.width_m, system)} wide along {piece.along}"
        if piece.edge_m:
            text += f" ({length(piece.edge_m, system)})"
        if piece.area_m2 - piece.needed_m2 > _SAME_M2:
            text += f"; {area(up(piece.needed_m2, system), system)} would do"
    if piece.bays and not whole:
        noun = "bay" if len(piece.bays) == 1 else "bays"
        text += f": {noun} {Speaker.joined([str(bay) for bay in piece.bays])}"
    return text


def instructions(option: Option, system: System) -> str:
    """All that an option asks for, as one clause."""
    said = [instruction(piece, system) for piece in option.pieces]
    return "; ".join(said) if said else "change nothing"


def proof(option: Option, options: Options, aim: Aim) -> str:
    """What was proven of an option, as a sentence."""
    system = options.checked.system
    shown = option.proof
    if not shown.is_proven:
        return f"Not proven least: {shown.because}."
    room = f"widths are rounded up to {length(options.goal.module_m, system)}"
    if aim == "cost":
        found = money(round(shown.found.value_si * 100))
        if shown.found.value_si == 0:
            return "Proven least: the rules can be met without spending more than the design does."
        return f"Proven least: nothing that meets the rules costs less than {found}, before {room}."
    found = area(shown.found.value_si, system)
    if aim == "area":
        return f"Proven least: nothing less than {found} will do, before {room}."
    if shown.found.value_si <= 1e-6:
        return "Proven: no deck, walk or drive has to be given up."
    return f"Proven least: at least {found} of deck, walk or drive must be given up, before {room}."


def standing(finding: Finding, system: System) -> str:
    """Where a rule stands: its verdict with the three numbers."""
    text: str = finding.status
    if finding.measured is None or finding.limit is None:
        return text
    measured, limit = pair_text(finding.measured, finding.limit, system)
    text += f": {measured}, {finding.order} {limit}"
    if finding.margin is not None and math.isfinite(finding.margin.value_si):
        lacks = "over by" if finding.order in {"at most", "less than"} else "short by"
        side = lacks if finding.margin.value_si < 0 else "room left"
        room = Amount(abs(finding.margin.value_si), finding.margin.dimension, finding.margin.unit)
        text += f", {side} {show(room, system)}"
    return text
