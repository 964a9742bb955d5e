"""What is asked of each option, which option comes first, and which change the same."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.records import Record, replace
from checker.core.units import MONEY, Amount

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.solve.goal import Find, Goal
    from checker.solve.optimum import Aim
    from checker.solve.options import Key, Option

AIMS: Final[dict[Find, tuple[Aim, ...]]] = {
    "least cost": ("cost", "area", "lost deck"),
    "least area": ("area", "cost", "lost deck"),
    "most deck kept": ("lost deck", "cost", "area"),
}
"""What is least, and what chooses among equals."""

NOT_MET: Final = "the drawn change does not meet every rule"
_OTHERS_NOT_MET: Final = "what seemed better did not meet every rule once it was drawn"


class Asked(Record):
    """An option to look for: its key, its name on pages and what is best in it."""

    key: Key
    title: str
    find: Find


PLAIN: Final = (
    Asked("least-cost", "Least cost", "least cost"),
    Asked("least-area", "Least area changed", "least area"),
    Asked("most-deck", "Most deck kept", "most deck kept"),
)


def find_of(key: Key, goal: Goal) -> Find:
    """What an option was searched by."""
    return next((asked.find for asked in PLAIN if asked.key == key), goal.find)


def _worth(option: Option, find: Find, goal: Goal) -> tuple[float, ...]:
    """What an option comes to, by each aim of a search."""
    values: dict[Aim, float] = {
        "cost": option.cents if goal.counts_savings else max(option.cents, 0),
        "area": option.changed_m2,
        "lost deck": option.lost_deck_m2,
    }
    return tuple(round(values[aim], 4) for aim in AIMS[find])


def stood_in(options: Sequence[Option], goal: Goal) -> list[Option]:
    """The options; where a search gave up, the best that another one found to meet the rules.

    What meets the rules without credit, or however they are read, meets them as they are.
    """
    offered = [option for option in options if option.is_offered]
    plain = {asked.key for asked in PLAIN}
    return [
        _instead(option, offered, goal)
        if offered and not option.is_offered and option.key in plain
        else option
        for option in options
    ]


def _instead(option: Option, met: Sequence[Option], goal: Goal) -> Option:
    find = find_of(option.key, goal)
    best = min(met, key=lambda other: _worth(other, find, goal))
    reached, unit = _worth(best, find, goal)[0], option.proof.bound
    found = Amount(reached / 100 if unit.dimension == MONEY else reached, unit.dimension)
    because = option.proof.because.replace(NOT_MET, _OTHERS_NOT_MET)
    proof = replace(option.proof, found=found, is_proven=False, because=because)
    return replace(best, key=option.key, title=option.title, assumes=option.assumes, proof=proof)


def ranked(options: Sequence[Option], goal: Goal) -> tuple[Option, ...]:
    """The options, the best first; each that changes the same as an earlier one names it.

    What leaves fewer rules open comes before what is better by the aim.
    """

    def merit(option: Option) -> tuple[object, ...]:
        ranks = _worth(option, goal.find, goal)
        is_careful = option.key not in {asked.key for asked in PLAIN}
        is_other = find_of(option.key, goal) != goal.find
        return (
            not option.is_offered,
            len(option.still_open),
            is_careful,
            *ranks,
            is_other,
            option.key,
        )

    ranked = sorted(options, key=merit)
    found: list[Option] = []
    for option in ranked:
        what = _what(option)
        same = next((other.key for other in found if _what(other) == what), "")
        found.append(replace(option, same_as=same))
    return tuple(found)


def _what(option: Option) -> tuple[object, ...]:
    return tuple(
        (p.surface_id, p.way.says, round(p.area_m2, 4), p.bays, p.along) for p in option.pieces
    )
