"""Options as data: change.json."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Final

from checker.core.units import AREA, LENGTH, MONEY, VOLUME

if TYPE_CHECKING:
    from checker.core.units import Amount
    from checker.solve.options import Conflict, Option, Options

FORMAT: Final = "change/1"


def records_of(options: Options) -> dict[str, Any]:
    """The options as plain data: SI numbers, money in whole cents."""
    return {
        "format": FORMAT,
        "site": options.checked.site.title,
        "ruleset": options.checked.ruleset.id,
        "goal": options.goal.find,
        "costs": {"title": options.costs.title, "invented": options.costs.is_invented},
        "options": [_option_record(option) for option in options.options],
        "conflicts": [
            {"option": conflict.key, "rules": list(conflict.rules), **_why(conflict)}
            for conflict in options.conflicts
        ],
        "fails_whatever_is_changed": [
            {"rule": conflict.rules[0], "beside": list(conflict.rules[1:]), **_why(conflict)}
            for conflict in options.beyond
        ],
        "stuck": [{"rule": rule, "because": why} for rule, why in options.stuck],
        "unsaid": [{"rule": rule, "because": why} for rule, why in options.unsaid],
        "hints": list(options.hints),
    }


def json_of(options: Options) -> str:
    """The options as JSON text."""
    return json.dumps(records_of(options), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _option_record(option: Option) -> dict[str, Any]:
    return {
        "key": option.key,
        "title": option.title,
        "assumes": option.assumes,
        "same_as": option.same_as,
        "cost_cents": option.cents,
        "changed_m2": _rounded(option.changed_m2),
        "lost_deck_m2": _rounded(option.lost_deck_m2),
        "permeable_m2": _rounded(option.permeable_m2),
        "proof": {
            "found": _amount(option.proof.found),
            "bound": _amount(option.proof.bound),
            "is_proven": option.proof.is_proven,
            "because": option.proof.because,
            "left_open": list(option.proof.left_open),
        },
        "pieces": [
            {
                "surface": piece.surface_id,
                "becomes": piece.way.material.id if piece.way.material else None,
                "area_m2": _rounded(piece.area_m2),
                "width_m": _rounded(piece.width_m) if piece.width_m is not None else None,
                "along": piece.along,
                "bays": list(piece.bays),
                "is_all": piece.is_all,
                "cost_cents": piece.cents,
            }
            for piece in option.pieces
        ],
        "findings": {f.rule: f.status for f in option.after.verdict.findings},
        "unmet": list(option.unmet),
        "still_open": list(option.still_open),
        "fails_if": list(option.fails_if),
        "faults": list(option.faults),
        "to_settle": list(option.to_settle),
    }


def _why(conflict: Conflict) -> dict[str, Any]:
    return {"says": conflict.says, "short": _amount(conflict.short)}


def _amount(amount: Amount | None) -> dict[str, Any] | None:
    if amount is None:
        return None
    if amount.dimension == MONEY:
        return {"cents": round(amount.value_si * 100)}
    key = {AREA: "m2", VOLUME: "m3", LENGTH: "m"}.get(amount.dimension, "si")
    return {key: _rounded(amount.value_si)}


def _rounded(number: float) -> float:
    """To a tenth of a square millimetre, so that two machines print the same."""
    return round(number, 7) + 0.0
