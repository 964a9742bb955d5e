"""How changes, their costs and their proof are said; the same words on every page."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.algebra.explain import Speaker
from checker.core.rounding import rounded
from checker.core.showing import show, show_number
from checker.core.units import AREA, LENGTH, UNIT, Amount
from checker.measure.arrangement import SLIVER_M2
from checker.words.amounts import trio_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.core.rounding import RoundingWay
    from checker.core.units import System
    from checker.findings.model import Finding
    from checker.solve.layout import Piece
    from checker.solve.optimum import Aim
    from checker.solve.options import Option, Options

_AIMS: Final = {"cost": "cost", "area": "area changed", "lost deck": "deck given up"}

CAUTION: Final = (
    "Have the changed layout checked before work starts: buried lines are located first, a pool "
    "shell, its bonding grid and barriers are the work of licensed trades, and water must not be "
    "sent onto a neighbour's land. Local codes come first."
)


def area(area_m2: float, system: System, way: RoundingWay = "nearest") -> str:
    """An area to a tenth of a square foot or a hundredth of a square metre."""
    return show(Amount(area_m2, AREA), system, decimals=1 if system == "us" else 2, way=way)


def up(area_m2: float, system: System) -> float:
    """An area rounded up to the last digit that is shown of it."""
    return rounded(area_m2, _shown_m2(system), "up")


def _shown_m2(system: System) -> float:
    """The last digit that is shown of an area."""
    return 0.1 * UNIT["sq ft"].size_si if system == "us" else 0.01


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
    name = (surface.title[0].lower() + surface.title[1:]).removeprefix("the ")
    whole = piece.is_all
    much = f"{'all ' if whole else ''}{area(piece.area_m2, system)}"
    of = f"{much} of the {name}{f' {piece.within}' if piece.within else ''}"
    if piece.is_rest:
        of = f"the rest of the {name}, {much},"
    if way.material is None:
        verb = "leave" if surface.stage == "proposed" else "take out"
        text = f"{verb} {of.removesuffix(',')}"
        text += " unbuilt" if surface.stage == "proposed" else ""
    elif surface.stage == "replaced" and way.material == surface.was:
        text = f"leave {of.removesuffix(',')} as it is today, {way.material.title.lower()}"
    else:
        text = f"turn {of} into {way.material.title.lower()}"
    if piece.width_m is not None:
        text += f": a band {length(piece.width_m, system)} wide along {piece.along}"
        if piece.edge_m:
            text += f" ({length(piece.edge_m, system)})"
        if piece.is_beyond:
            text += ", beyond the first"
    if piece.bays and not whole:
        noun = "bay" if len(piece.bays) == 1 else "bays"
        text += f": {noun} {Speaker.joined(list(_runs(piece.bays)))}"
    below_m2 = piece.area_m2 - piece.built_m2
    if way.built and below_m2 > SLIVER_M2:
        text += f"; on {area(below_m2, system)} of it what lies below comes to light"
    return text


def _runs(numbers: Sequence[int]) -> Iterator[str]:
    """Numbers in their order, three and more in a row as "5 to 9"."""
    found: list[list[int]] = []
    for number in sorted(numbers):
        if found and number == found[-1][-1] + 1:
            found[-1].append(number)
        else:
            found.append([number])
    for run in found:
        yield from ([f"{run[0]} to {run[-1]}"] if len(run) > 2 else map(str, run))


def instructions(option: Option, system: System) -> str:
    """All that an option asks for, as one clause."""
    said = [instruction(piece, system) for piece in option.pieces]
    return "; ".join(said) if said else "change nothing"


def proofs(alike: Sequence[tuple[Option, Aim]], options: Options) -> Iterator[str]:
    """What was proven of options that change the same: said once, with what can be built once."""
    lead = "Proven least: "
    said = list(dict.fromkeys(proof(option, options, aim) for option, aim in alike))
    plain = [text for text in said if text.startswith(lead) and text.count(". ") == 0]
    if len(plain) > 1:
        steps = _steps(options) if alike[0][0].pieces else ""
        yield (
            lead
            + "; ".join(t.removeprefix(lead).removesuffix(f"{steps}.") for t in plain)
            + f"{steps.replace(', in bands', '; all of it in bands', 1)}."
        )
        said = [text for text in said if text not in plain]
    yield from said


def proof(option: Option, options: Options, aim: Aim) -> str:
    """What was proven of an option, as a sentence or two; it is said of what is drawn."""
    system, shown = options.checked.system, option.proof
    steps = _steps(options) if option.pieces else ""
    rules = "the other rules" if option.still_fails else "the rules"
    if aim == "cost":
        cents = [round(a.value_si * 100) for a in (shown.found, shown.bound)]
        found, bound, gap = money(cents[0]), money(cents[1]), money(cents[0] - cents[1])
        least = f"nothing that meets {rules} costs less than {bound}"
        if option.cents < 0 <= shown.found.value_si and not options.goal.counts_savings:
            least += " before what it saves"
        if shown.is_proven and shown.found.value_si == 0:
            least = f"{rules} can be met without spending more than the design does"
    else:
        found, bound = (area(a.value_si, system) for a in (shown.found, shown.bound))
        # As whoever subtracts the two printed numbers finds it.
        shown_m2 = [
            rounded(a.value_si, _shown_m2(system), "nearest") for a in (shown.found, shown.bound)
        ]
        gap = area(shown_m2[0] - shown_m2[1], system)
        least = f"nothing that meets {rules} changes less than {bound}"
        if aim == "lost deck":
            least = f"at least {bound} of deck, walk or drive must be given up"
        if aim == "lost deck" and shown.is_proven and shown.found.value_si <= 1e-6:
            least = "no deck, walk or drive has to be given up"
    if shown.is_proven:
        text = f"Proven least: {least}{steps}."
    elif found == bound:
        text = f"Not proven least: {shown.because}."
    else:
        text = (
            f"Not proven least: {shown.because}. Found {found}; {least}; the gap is {gap}{steps}."
        )
    if shown.left_open:
        names = Speaker.joined([_AIMS[aim] for aim in shown.left_open])
        text += f" Among equals the least {names} may be another one."
    return text


def _steps(options: Options) -> str:
    """What is counted as something that can be built."""
    goal, system = options.goal, options.checked.system
    open_ones = [s for s in options.checked.site.surfaces if goal.is_open(s)]
    if not any(goal.way(surface.id).change == "band" for surface in open_ones):
        return ""
    return (
        f", in bands at least {length(goal.least_width_m, system)} wide whose widths are multiples "
        f"of {length(goal.module_m, system)}"
    )


def judged_afterwards(options: Options) -> Iterator[str]:
    """The rules that were only judged on the changed drawing; those for one reason in one line."""
    alike: dict[str, list[str]] = {}
    for rule, why in options.unsaid:
        alike.setdefault(why, []).append(options.checked.ruleset.rule(rule).title)
    for why, titles in alike.items():
        names = "; ".join(f"'{title}'" for title in titles)
        rules, verb = (f"{len(titles)} rules", "were") if len(titles) > 1 else (names, "was")
        listed = f" They are: {names}." if len(titles) > 1 else ""
        yield (
            f"{rules} {verb} judged on the changed drawing alone, and not searched for: "
            f"{why}.{listed}"
        )


def standing(finding: Finding, system: System) -> str:
    """Where a rule stands: its verdict with the three numbers."""
    text: str = finding.status
    if finding.measured is None or finding.limit is None:
        return text
    margin = finding.margin or Amount(math.inf)
    measured, limit, room = trio_text(
        finding.measured, finding.limit, margin, system, None, finding.order
    )
    text += f": {measured}, {finding.order} {limit}"
    if math.isfinite(margin.value_si):
        lacks = "over by" if finding.order in {"at most", "less than"} else "short by"
        side = lacks if margin.value_si < 0 else "room left"
        text += f", {side} {room.lstrip('+−')}"
    return text
